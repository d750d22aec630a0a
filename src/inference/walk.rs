//! Joint states drawn by a random walk, for evidence too wide to be drawn exactly in the time at hand.
//!
//! Every root and hidden node is drawn again and again given all others (Gibbs sampling). What comes out is right in the
//! long run only: good enough to choose what to ask, not to state a result. [`Prepared::sample`] is the exact way.
//!
//! [`Prepared::sample`]: super::Prepared::sample

use super::evidence::Evidence;
use super::network::{CauseId, Network, NodeId, Var};
use super::sample::{Random, World};

/// Walks that start apart, so that one that is stuck is outvoted.
const WALKS: usize = 8;
/// Rounds before the first state is kept, and from one kept state to the next.
const SETTLE: usize = 60;
const APART: usize = 4;

/// Joint states from a random walk.
#[derive(Debug, Clone)]
pub struct Walked {
    /// The states.
    pub worlds: Vec<World>,
    causes: Vec<f64>,
}

impl Walked {
    /// Probability of a cause, approximately: the mean of its chances given all else on the way.
    pub fn cause(&self, cause: CauseId) -> f64 {
        self.causes[cause.index()]
    }
}

impl Network {
    /// Draws about `count` joint states given the evidence, approximately; the same seed draws the same.
    pub fn walk(&self, evidence: &Evidence, count: usize, seed: u64) -> Walked {
        let mut random = Random::new(seed);
        let mut walked = Walked { worlds: Vec::with_capacity(count), causes: vec![0.0; self.causes()] };
        let each = count.div_ceil(WALKS);
        let mut rounds = 0.0;
        for _ in 0..WALKS {
            let mut walk = Walk::new(self, evidence, &mut random);
            for round in 0..SETTLE + each * APART {
                let settled = round >= SETTLE;
                walk.round(&mut random, settled.then_some(&mut walked.causes));
                rounds += f64::from(u8::from(settled));
                if settled && (round - SETTLE) % APART == APART - 1 {
                    // Products of many factors pick up rounding.
                    walk.count_again();
                    walked.worlds.push(walk.world(&mut random));
                }
            }
        }
        walked.causes.iter_mut().for_each(|sum| *sum /= rounds);
        walked
    }
}

struct Walk<'n> {
    network: &'n Network,
    /// Likelihood pair of each variable, causes first.
    pairs: Vec<(f64, f64)>,
    /// Nodes with evidence at or below them.
    relevant: Vec<bool>,
    states: Vec<Option<usize>>,
    on: Vec<bool>,
    /// P(absent | parents as they are) of each relevant node.
    absent: Vec<f64>,
}

impl<'n> Walk<'n> {
    fn new(network: &'n Network, evidence: &Evidence, random: &mut Random) -> Self {
        let mut pairs = vec![(1.0, 1.0); network.causes() + network.nodes()];
        let mut relevant = vec![false; network.nodes()];
        for (var, likelihood) in evidence.iter().filter(|(var, _)| network.contains(*var)) {
            let at = match var {
                Var::Cause(c) => c.index(),
                Var::Node(n) => {
                    relevant[n.index()] = true;
                    network.causes() + n.index()
                }
            };
            pairs[at] = (likelihood.absent(), likelihood.present());
        }
        for n in (0..network.nodes()).rev() {
            relevant[n] |= network.children_of_node(n).iter().any(|(child, _)| relevant[*child as usize]);
        }
        let mut walk = Self {
            network,
            relevant,
            states: vec![None; network.roots()],
            on: vec![false; network.nodes()],
            absent: vec![1.0; network.nodes()],
            pairs,
        };
        for root in 0..network.roots() {
            walk.states[root] = walk.prior_state(root, random);
        }
        for n in 0..network.nodes() {
            let (absent, present) = walk.pairs[network.causes() + n];
            // Hidden nodes begin as they may: what was seen below them needs some of them.
            walk.on[n] = walk.relevant[n] && present > 0.0 && (absent == 0.0 || random.chance(0.5));
        }
        walk.count_again();
        walk
    }

    fn prior_state(&self, root: usize, random: &mut Random) -> Option<usize> {
        let states = self.network.states(root);
        let weights: Vec<f64> = std::iter::once(self.network.in_order[root])
            .chain(self.network.prior[states.clone()].iter().copied())
            .collect();
        random.one_of(&weights).checked_sub(1).map(|k| states.start + k)
    }

    fn holds(&self, var: Var) -> bool {
        match var {
            Var::Cause(c) => self.states[self.network.root_of(c)] == Some(c.index()),
            Var::Node(n) => self.on[n.index()],
        }
    }

    fn absent_anew(&self, n: usize) -> f64 {
        let node = NodeId::at(n);
        let present = self.network.parents(node).iter().filter(|(var, _)| self.holds(*var));
        (1.0 - self.network.leak(node)) * present.map(|(_, s)| 1.0 - s).product::<f64>()
    }

    fn count_again(&mut self) {
        for n in 0..self.network.nodes() {
            if self.relevant[n] {
                self.absent[n] = self.absent_anew(n);
            }
        }
    }

    /// Chance of a node's present state if its chance of absence is `absent`.
    fn fits(&self, n: usize, absent: f64) -> f64 {
        if self.on[n] { 1.0 - absent } else { absent }
    }

    /// Takes a parent out of its children's chances, or puts it in.
    fn shift(&mut self, children: &[(u32, f64)], out: bool) {
        for (child, s) in children {
            let n = *child as usize;
            if !self.relevant[n] {
                continue;
            }
            if !out {
                self.absent[n] *= 1.0 - s;
            } else if *s < 1.0 {
                self.absent[n] /= 1.0 - s;
            } else {
                // The parent is marked as gone already.
                self.absent[n] = self.absent_anew(n);
            }
        }
    }

    /// What the children say for a parent that is out of their chances now: the factor on its being there.
    fn speaks(&self, children: &[(u32, f64)]) -> (f64, f64) {
        let (mut without, mut with) = (1.0, 1.0);
        for (child, s) in children.iter().filter(|(c, _)| self.relevant[*c as usize]) {
            let n = *child as usize;
            without *= self.fits(n, self.absent[n]);
            with *= self.fits(n, self.absent[n] * (1.0 - s));
        }
        (without, with)
    }

    /// Draws every root and every hidden node once; the chances of the causes are added up in `causes`.
    fn round(&mut self, random: &mut Random, mut causes: Option<&mut Vec<f64>>) {
        let network = self.network;
        let mut weights = Vec::new();
        for root in 0..network.roots() {
            if let Some(state) = self.states[root].take() {
                self.shift(network.children_of_cause(state), true);
            }
            let states = network.states(root);
            weights.clear();
            let unsaid: f64 = states.clone().map(|s| self.pairs[s].0).product();
            weights.push(network.in_order[root] * unsaid);
            for s in states.clone() {
                let said: f64 =
                    states.clone().map(|t| if s == t { self.pairs[t].1 } else { self.pairs[t].0 }).product();
                let (without, with) = self.speaks(network.children_of_cause(s));
                let factor =
                    if without > 0.0 { with / without } else { f64::from(u8::from(with > 0.0)) * 1e9 };
                weights.push(network.prior[s] * said * factor);
            }
            let sum: f64 = weights.iter().sum();
            if let Some(sums) = causes.as_deref_mut().filter(|_| sum > 0.0) {
                states.clone().zip(&weights[1..]).for_each(|(s, w)| sums[s] += w / sum);
            }
            let state = random.one_of(&weights).checked_sub(1).map(|k| states.start + k);
            self.states[root] = state;
            if let Some(state) = state {
                self.shift(network.children_of_cause(state), false);
            }
        }
        for n in 0..network.nodes() {
            let (l0, l1) = self.pairs[network.causes() + n];
            if !self.relevant[n] || l0 == 0.0 || l1 == 0.0 {
                continue;
            }
            let children = network.children_of_node(n);
            if std::mem::replace(&mut self.on[n], false) {
                self.shift(children, true);
            }
            let (without, with) = self.speaks(children);
            let (off, on) = (l0 * self.absent[n] * without, l1 * (1.0 - self.absent[n]) * with);
            if on > 0.0 && random.unit() * (on + off) < on {
                self.on[n] = true;
                self.shift(children, false);
            }
        }
    }

    /// The state as it stands, with all that hangs below it drawn.
    fn world(&self, random: &mut Random) -> World {
        World::complete(self.network, &self.states, |n| self.relevant[n].then_some(self.on[n]), random)
    }
}
