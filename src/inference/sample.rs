//! Joint states of everything, drawn exactly from their distribution given the evidence.
//!
//! The forward tables of a sweep are all that is needed: from the last step back to the first, the state before a step
//! is drawn given the state after it, and with it the root's state or the bit's. A node outside the sweep follows
//! from its parents. So a thousand joint states cost about as much as a posterior, and what asking about a node would
//! tell can be read off them, where a sum over its hidden parents would grow with two to the power of their number.

use super::evidence::Weights;
use super::network::{CauseId, Network, NodeId, Var};
use super::posterior::Both;
use super::prepare::Prepared;
use super::random::Random;
use super::reduce::{Kind, Single, link};
use super::solved::Solved;

/// One joint state of all causes and all nodes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct World {
    causes: Vec<CauseId>,
    holds: Vec<bool>,
    nodes: Vec<bool>,
}

impl World {
    /// Whether a variable is present in this state.
    pub fn holds(&self, var: impl Into<Var>) -> bool {
        match var.into() {
            Var::Cause(c) => self.holds[c.index()],
            Var::Node(n) => self.nodes[n.index()],
        }
    }

    /// The causes that hold, in the order of their indices.
    pub fn causes(&self) -> &[CauseId] {
        &self.causes
    }

    /// Probability that a node is present given its parents in this state.
    pub fn chance(&self, network: &Network, node: NodeId) -> f64 {
        let parents = network.parents(node).iter();
        let missed: f64 = parents.filter(|(var, _)| self.holds(*var)).map(|(_, s)| 1.0 - s).product();
        1.0 - (1.0 - network.leak(node)) * missed
    }

    /// For each state the product of the weights of the root states that hold in it.
    pub fn weights(worlds: &[Self], weights: &Weights) -> Vec<f64> {
        // Most roots are in order: what all in order would weigh is taken once, roots that weigh nothing apart.
        let whole: f64 = weights.in_order.iter().filter(|w| **w > 0.0).product();
        let nothing = weights.in_order.iter().filter(|w| **w == 0.0).count();
        // What a root that is not in order weighs in place of that.
        let roots = weights.root_of.iter().map(|root| weights.in_order[*root as usize]);
        let instead: Vec<(f64, usize)> = roots
            .zip(&weights.cause)
            .map(|(in_order, weight)| if in_order > 0.0 { (weight / in_order, 0) } else { (*weight, 1) })
            .collect();
        let one = |world: &Self| {
            let (mut product, mut left) = (whole, nothing);
            for cause in &world.causes {
                let (factor, clears) = instead[cause.index()];
                product *= factor;
                left -= clears;
            }
            if left > 0 { 0.0 } else { product }
        };
        worlds.iter().map(one).collect()
    }
}

impl Prepared<'_> {
    /// Draws `count` joint states from P(everything | evidence); the same seed draws the same. Where findings were
    /// left out ([`Prepared::left_out`]) they are drawn as if those had not been made.
    pub fn sample(&self, count: usize, seed: u64) -> Vec<World> {
        self.draws(count, seed, Leaves::Drawn)
    }

    /// The same, but nodes that nothing hangs on and nothing was said of are absent in every state: half of the work, where
    /// only causes and what they lead to is looked at.
    pub fn sample_without_leaves(&self, count: usize, seed: u64) -> Vec<World> {
        self.draws(count, seed, Leaves::Absent)
    }

    fn draws(&self, count: usize, seed: u64, leaves: Leaves) -> Vec<World> {
        let mut random = Random::new(seed);
        let mut wanted = vec![0usize; self.runs.len()];
        for _ in 0..count {
            wanted[random.one_of(self.runs.iter().map(|(share, _)| *share))] += 1;
        }
        let runs = self.runs.iter().zip(wanted);
        runs.flat_map(|((_, run), count)| draw(run, count, leaves, &mut random)).collect()
    }
}

/// What becomes of nodes that nothing hangs on and nothing was said of.
#[derive(Clone, Copy, PartialEq)]
enum Leaves {
    Drawn,
    Absent,
}

fn draw(solved: &Solved<'_>, count: usize, leaves: Leaves, random: &mut Random) -> Vec<World> {
    let network = solved.reduction.network;
    let drawn: Vec<_> = solved.sweeps.iter().map(|sweep| sweep.draw(count, random)).collect();
    (0..count)
        .map(|i| {
            let mut world = World {
                causes: Vec::new(),
                holds: vec![false; network.causes()],
                nodes: vec![false; network.nodes()],
            };
            for root in 0..network.roots() {
                if let Some(cause) = root_state(solved, &drawn, i, root, random) {
                    world.holds[cause] = true;
                    world.causes.push(CauseId::at(cause));
                }
            }
            for n in 0..network.nodes() {
                world.nodes[n] = match solved.reduction.kind[n] {
                    Kind::Known(present) => present,
                    Kind::Bit => {
                        let (component, bit) = solved.bit_place[n];
                        drawn[component as usize][i].bits[bit as usize]
                    }
                    Kind::Collapsed(single) => random.chance(collapsed(solved, &world, n, single).0),
                    Kind::Barren if leaves == Leaves::Absent && network.children_of_node(n).is_empty() => {
                        false
                    }
                    Kind::Barren => random.chance(world.chance(network, NodeId::at(n))),
                };
            }
            world
        })
        .collect()
}

/// The deviating state in which a root is, if it is in one.
fn root_state(
    solved: &Solved<'_>,
    drawn: &[Vec<Drawn>],
    i: usize,
    root: usize,
    random: &mut Random,
) -> Option<usize> {
    let r = &solved.reduction;
    if let Some(state) = r.fixed[root] {
        return state;
    }
    let states = r.network.states(root);
    match solved.root_at(root) {
        Some((component, step, _)) => {
            let chosen = drawn[component][i].states[step];
            // Position 0 is in order; states that cannot be have no position.
            states.clone().find(|s| chosen > 0 && solved.cause_state[*s] == chosen)
        }
        None => {
            let weights = std::iter::once(r.in_order[root]).chain(r.cause[states.clone()].iter().copied());
            random.one_of(weights).checked_sub(1).map(|k| states.start + k)
        }
    }
}

/// (present, absent) of a node that follows from its one open parent.
fn collapsed(solved: &Solved<'_>, world: &World, n: usize, single: Option<Single>) -> Both {
    let r = &solved.reduction;
    let parent = match single {
        None => None,
        Some(Single::Node(u)) => world.nodes[u].then(|| Var::Node(NodeId::at(u))),
        Some(Single::Root(root)) => {
            r.network.states(root).find(|s| world.holds[*s]).map(|s| Var::Cause(CauseId::at(s)))
        }
    };
    r.collapsed_given(n, parent.map_or(0.0, |var| link(r.network, n, var)))
}

/// What one component came out as: the position of each root step's state, and each bit.
#[derive(Debug, Clone)]
pub(super) struct Drawn {
    pub(super) states: Vec<u32>,
    pub(super) bits: Vec<bool>,
}
