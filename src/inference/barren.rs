//! Nodes without evidence at or below them.
//!
//! P(absent | E) is the expectation, given E, of (1 - leak) x product over present parents of (1 - strength): an
//! expectation of a product of factors, each on the present side of one variable. Factors on parts of the network that
//! are independent given E multiply; a factor `f` on a hidden barren node with several parents is
//! f + (1 - f) x [absent], and its absence is again factors on its parents. So all ends in factors on roots and bits,
//! for which a pass over the stretch of steps between them is enough. No number is negative.

use super::evidence::Likelihood;
use super::limits::Limits;
use super::network::{CauseId, NodeId, Var};
use super::posterior::{Both, Table};
use super::prepare::Prepared;
use super::reduce::{Kind, Single, Units, link};
use super::solved::{NONE, Plan, Solved};
use super::sweep::Work;

/// Beyond this many barren nodes with several parents above a node, asserting absence and solving anew is cheaper than all subsets.
const MOST_SUBSETS: usize = 5;

pub(super) struct Barren<'p, 'n> {
    prepared: &'p Prepared<'n>,
    solved: &'p Solved<'n>,
    /// Parts of the network (components, then roots outside of all) that each node depends on, given the evidence.
    parts: Vec<Vec<u32>>,
    /// How many barren nodes with several open parents are at or above each node, counted once for each path.
    tangle: Vec<usize>,
    scratch: Vec<Scratch>,
    work: Work,
}

type Factors = Vec<(Var, f64)>;

/// Weights and pairs of one component, changed for a pass and put back.
type Scratch = (Vec<f64>, Vec<(f64, f64)>);

impl<'p, 'n> Barren<'p, 'n> {
    pub(super) fn new(prepared: &'p Prepared<'n>, solved: &'p Solved<'n>) -> Self {
        let scratch = solved.sweeps.iter().map(|s| (s.weights.clone(), s.pairs.clone())).collect();
        Self { prepared, solved, parts: Vec::new(), tangle: Vec::new(), scratch, work: Work::default() }
    }

    /// (present, absent) of barren node `n`; the table must hold all causes and all earlier nodes.
    pub(super) fn node(&mut self, table: &Table, n: usize) -> Both {
        while self.parts.len() <= n {
            let next = self.parts.len();
            let mut parts = self.parts_of(next);
            if parts.is_empty() {
                // Depends on nothing but chance: a part of its own, shared with what depends on it.
                parts.push((self.solved.sweeps.len() + self.solved.root_place.len() + next) as u32);
            }
            self.parts.push(parts);
            self.tangle.push(self.tangle_of(next));
        }
        let r = &self.solved.reduction;
        let factors: Factors = r.open_parents(n).map(|(var, s)| (var, 1.0 - s)).collect();
        let absent = if self.tangle[n] > MOST_SUBSETS {
            self.anew(n).unwrap_or_else(|| self.expect(table, factors) * r.leak[n].0)
        } else {
            r.leak[n].0 * self.expect(table, factors)
        };
        let absent = absent.clamp(0.0, 1.0);
        (1.0 - absent, absent)
    }

    fn part_of_root(&self, root: usize) -> u32 {
        match self.solved.root_place[root].0 {
            NONE => (self.solved.sweeps.len() + root) as u32,
            component => component,
        }
    }

    fn parts_of(&self, n: usize) -> Vec<u32> {
        let r = &self.solved.reduction;
        match r.kind[n] {
            Kind::Known(_) | Kind::Collapsed(None) => Vec::new(),
            Kind::Bit => vec![self.solved.bit_place[n].0],
            Kind::Collapsed(Some(Single::Root(root))) if r.fixed[root].is_some() => Vec::new(),
            Kind::Collapsed(Some(Single::Root(root))) => vec![self.part_of_root(root)],
            Kind::Collapsed(Some(Single::Node(u))) => self.parts[u].clone(),
            Kind::Barren => {
                let mut parts = Vec::new();
                for (var, _) in r.open_parents(n) {
                    match var {
                        Var::Cause(c) => parts.push(self.part_of_root(r.network.root_of(c))),
                        Var::Node(u) => parts.extend_from_slice(&self.parts[u.index()]),
                    }
                }
                parts.sort_unstable();
                parts.dedup();
                parts
            }
        }
    }

    fn tangle_of(&self, n: usize) -> usize {
        let r = &self.solved.reduction;
        if r.kind[n] != Kind::Barren {
            return 0;
        }
        let above = r.open_parents(n).map(|(var, _)| match var {
            Var::Node(u) => {
                let itself =
                    r.kind[u.index()] == Kind::Barren && matches!(r.units(u.index()), Units::Several);
                self.tangle[u.index()].saturating_add(usize::from(itself))
            }
            Var::Cause(_) => 0,
        });
        above.fold(0, usize::saturating_add)
    }

    fn depend_on_same(&self, a: Var, b: Var) -> bool {
        let r = &self.solved.reduction;
        match (a, b) {
            (Var::Cause(a), Var::Cause(b)) => {
                self.part_of_root(r.network.root_of(a)) == self.part_of_root(r.network.root_of(b))
            }
            (Var::Cause(c), Var::Node(n)) | (Var::Node(n), Var::Cause(c)) => {
                self.parts[n.index()].binary_search(&self.part_of_root(r.network.root_of(c))).is_ok()
            }
            (Var::Node(a), Var::Node(b)) => {
                let (a, b) = (&self.parts[a.index()], &self.parts[b.index()]);
                a.iter().any(|part| b.binary_search(part).is_ok())
            }
        }
    }

    /// Expectation, given the evidence, of the product of the factors on the present sides of the variables.
    fn expect(&mut self, table: &Table, mut factors: Factors) -> f64 {
        let mut product = 1.0;
        while let Some(first) = factors.pop() {
            let mut group = vec![first];
            let mut next = 0;
            while next < group.len() && !factors.is_empty() {
                let var = group[next].0;
                let mut i = 0;
                while i < factors.len() {
                    if self.depend_on_same(var, factors[i].0) {
                        group.push(factors.swap_remove(i));
                    } else {
                        i += 1;
                    }
                }
                next += 1;
            }
            product *= if let [(var, factor)] = group[..] {
                let (present, absent) = table.get(var);
                absent + factor * present
            } else {
                self.together(table, group)
            };
        }
        product
    }

    /// The same for factors that hang together.
    fn together(&mut self, table: &Table, mut factors: Factors) -> f64 {
        let solved = self.solved;
        let r = &solved.reduction;
        // Later nodes first: their factors turn into factors on earlier ones.
        let turned = |var: &Var| match var {
            Var::Node(n) if r.kind[n.index()] != Kind::Bit => Some(n.index()),
            _ => None,
        };
        let Some(at) = (0..factors.len())
            .filter(|&i| turned(&factors[i].0).is_some())
            .max_by_key(|&i| turned(&factors[i].0))
        else {
            return self.stretch(table, &factors);
        };
        let (var, factor) = factors.swap_remove(at);
        let Var::Node(n) = var else { return 0.0 };
        let n = n.index();
        let single = match r.kind[n] {
            Kind::Collapsed(single) => single,
            _ => match r.units(n) {
                Units::None => None,
                Units::One(single) => Some(single),
                Units::Several => {
                    let with = factor * self.expect(table, factors.clone());
                    let mut gone = factors;
                    for (parent, s) in r.open_parents(n) {
                        multiply(&mut gone, parent, 1.0 - s);
                    }
                    return with + (1.0 - factor) * r.leak[n].0 * self.expect(table, gone);
                }
            },
        };
        let given = |strength: f64| {
            let (present, absent) = r.collapsed_given(n, strength);
            absent + factor * present
        };
        let bare = given(0.0);
        if bare == 0.0 {
            return 0.0;
        }
        match single {
            None => {}
            Some(Single::Node(u)) => {
                let parent = Var::Node(NodeId::at(u));
                multiply(&mut factors, parent, given(link(r.network, n, parent)) / bare);
            }
            Some(Single::Root(root)) => {
                for s in r.network.states(root) {
                    let parent = Var::Cause(CauseId::at(s));
                    multiply(&mut factors, parent, given(link(r.network, n, parent)) / bare);
                }
            }
        }
        bare * self.expect(table, factors)
    }

    /// Factors on roots and bits of one part: states of one root, or a stretch of a sweep.
    fn stretch(&mut self, table: &Table, factors: &[(Var, f64)]) -> f64 {
        let solved = self.solved;
        let network = solved.reduction.network;
        let root = |var: Var| match var {
            Var::Cause(c) => Some(network.root_of(c)),
            Var::Node(_) => None,
        };
        let one = root(factors[0].0);
        if one.is_some() && factors.iter().all(|(var, _)| root(*var) == one) {
            let of = |var: &Var| table.get(*var).0;
            let named: f64 = factors.iter().map(|(var, _)| of(var)).sum();
            return (1.0 - named).max(0.0) + factors.iter().map(|(var, f)| f * of(var)).sum::<f64>();
        }
        let (mut first, mut last, mut component) = (usize::MAX, 0, None);
        for &(var, factor) in factors {
            let (part, step) = match var {
                Var::Cause(c) => {
                    let Some((part, step, slot)) = solved.cause_at(c.index()) else { continue };
                    self.scratch[part].0[slot] *= factor;
                    (part, step)
                }
                Var::Node(n) => {
                    let (part, bit) = solved.bit_place[n.index()];
                    self.scratch[part as usize].1[bit as usize].1 *= factor;
                    (part as usize, solved.sweeps[part as usize].close_at[bit as usize])
                }
            };
            component = Some(part);
            (first, last) = (step.min(first), step.max(last));
        }
        let Some(part) = component else { return 1.0 };
        let sweep = &solved.sweeps[part];
        let (weights, pairs) = &mut self.scratch[part];
        let ratio = sweep.ratio(first, last, &mut self.work, weights, pairs);
        weights.copy_from_slice(&sweep.weights);
        pairs.copy_from_slice(&sweep.pairs);
        ratio
    }

    /// P(absent | E) by asserting absence; `None` if that is much wider.
    fn anew(&self, n: usize) -> Option<f64> {
        let prepared = self.prepared;
        let limits = Limits { kept_numbers: 0, ..prepared.limits };
        let more = prepared.evidence.with(NodeId::at(n), Likelihood::NO);
        let dropped = prepared.left_out();
        let Some(plan) = Plan::new(prepared.network, &more, &self.solved.forced, dropped, 1).ok()? else {
            return Some(0.0);
        };
        if plan.width() > limits.swept.max(self.solved.width + 4) {
            return None;
        }
        Some(plan.solve(&limits).map_or(0.0, |absent| (absent.ln_evidence - self.solved.ln_evidence).exp()))
    }
}

fn multiply(factors: &mut Factors, var: Var, factor: f64) {
    if factor == 1.0 {
        return;
    }
    match factors.iter_mut().find(|(other, _)| *other == var) {
        Some((_, held)) => *held *= factor,
        None => factors.push((var, factor)),
    }
}
