//! Posteriors: what the passes say about every cause and node, and how far it can be trusted.

use super::barren::Barren;
use super::limits::InferenceError;
use super::network::{CauseId, Network, NodeId, Var};
use super::prepare::{Dropped, Prepared};
use super::reduce::{Kind, Single, link};
use super::solved::Solved;

/// Probability of presence and of absence. Both are kept, as each is exact where the other rounds to 1.
pub(super) type Both = (f64, f64);

/// Marks nodes that were not asked for.
const UNKNOWN: Both = (f64::NAN, f64::NAN);

#[derive(Debug, Clone)]
pub(super) struct Table {
    pub(super) cause: Vec<Both>,
    pub(super) node: Vec<Both>,
}

impl Table {
    pub(super) fn zero(network: &Network) -> Self {
        Self { cause: vec![(0.0, 0.0); network.causes()], node: vec![(0.0, 0.0); network.nodes()] }
    }

    pub(super) fn add(&mut self, other: &Self, share: f64) {
        let pairs = self.cause.iter_mut().zip(&other.cause).chain(self.node.iter_mut().zip(&other.node));
        for (sum, value) in pairs {
            sum.0 += share * value.0;
            sum.1 += share * value.1;
        }
    }

    pub(super) fn new(prepared: &Prepared<'_>, solved: &Solved<'_>, all: bool) -> Self {
        let r = &solved.reduction;
        let network = r.network;
        let mut table =
            Self { cause: vec![(0.0, 1.0); network.causes()], node: vec![UNKNOWN; network.nodes()] };
        if all && solved.reduction.kind.contains(&Kind::Barren) {
            solved.sweeps.iter().for_each(super::sweep::Sweep::keep_backward);
        }
        for root in 0..network.roots() {
            if let Some(state) = r.fixed[root] {
                if let Some(s) = state {
                    table.cause[s] = (1.0, 0.0);
                }
                continue;
            }
            let states = network.states(root);
            if let Some((component, _, slot)) = solved.root_at(root) {
                let masses = &solved.sweeps[component].marginals().states;
                let mass = |s: usize| solved.cause_at(s).map_or(0.0, |(_, _, at)| masses[at]);
                fill(&mut table.cause, states, masses[slot], mass);
            } else {
                fill(&mut table.cause, states, r.in_order[root], |s| r.cause[s]);
            }
        }
        let mut barren = Barren::new(prepared, solved);
        for n in 0..network.nodes() {
            table.node[n] = match r.kind[n] {
                Kind::Known(true) => (1.0, 0.0),
                Kind::Known(false) => (0.0, 1.0),
                Kind::Bit => {
                    let (component, bit) = solved.bit_place[n];
                    let (off, on) = solved.sweeps[component as usize].marginals().bits[bit as usize];
                    (on / (off + on), off / (off + on))
                }
                Kind::Collapsed(single) => collapsed(&table, solved, n, single),
                Kind::Barren if all => barren.node(&table, n),
                Kind::Barren => UNKNOWN,
            };
        }
        table
    }

    pub(super) fn get(&self, var: Var) -> Both {
        match var {
            Var::Cause(c) => self.cause[c.index()],
            Var::Node(n) => self.node[n.index()],
        }
    }
}

fn fill(cause: &mut [Both], states: std::ops::Range<usize>, in_order: f64, mass: impl Fn(usize) -> f64) {
    let sum = in_order + states.clone().map(&mass).sum::<f64>();
    for s in states.clone() {
        let rest = in_order + states.clone().filter(|&t| t != s).map(&mass).sum::<f64>();
        cause[s] = (mass(s) / sum, rest / sum);
    }
}

/// A collapsed node follows from its one open parent.
fn collapsed(table: &Table, solved: &Solved<'_>, n: usize, single: Option<Single>) -> Both {
    let r = &solved.reduction;
    let network = r.network;
    let bare = r.collapsed_given(n, 0.0);
    match single {
        None => bare,
        Some(Single::Node(u)) => {
            let with = r.collapsed_given(n, link(network, n, Var::Node(NodeId::at(u))));
            let (on, off) = table.node[u];
            (off * bare.0 + on * with.0, off * bare.1 + on * with.1)
        }
        Some(Single::Root(root)) => {
            let mut sum = (0.0, 0.0);
            // The root may have been fixed by other evidence after the node was collapsed.
            let states = network.states(root);
            let in_order = match r.fixed[root] {
                Some(state) => f64::from(u8::from(state.is_none())),
                None => match solved.root_at(root) {
                    Some((component, _, slot)) => {
                        let sweep = &solved.sweeps[component];
                        let masses = &sweep.marginals().states;
                        let all =
                            states.clone().filter_map(|s| solved.cause_at(s)).map(|(_, _, at)| masses[at]);
                        masses[slot] / (masses[slot] + all.sum::<f64>())
                    }
                    None => r.in_order[root],
                },
            };
            let all = states.map(|s| {
                let given = r.collapsed_given(n, link(network, n, Var::Cause(CauseId::at(s))));
                (table.cause[s].0, given)
            });
            for (p, given) in all.chain([(in_order, bare)]) {
                sum.0 += p * given.0;
                sum.1 += p * given.1;
            }
            sum
        }
    }
}

/// Posterior probabilities of everything in a network.
#[derive(Debug, Clone)]
pub struct Posterior {
    pub(super) table: Table,
    pub(super) ln_evidence: f64,
    pub(super) width: usize,
    /// Present when findings had to be left out: which, and how far each posterior can be off.
    pub approximation: Option<Bound>,
}

impl Posterior {
    /// Probability that the cause holds.
    pub fn cause(&self, cause: CauseId) -> f64 {
        self.table.cause[cause.index()].0
    }

    /// Probability that the node is present.
    pub fn node(&self, node: NodeId) -> f64 {
        self.table.node[node.index()].0
    }

    /// Probability that the variable is present.
    pub fn of(&self, var: impl Into<Var>) -> f64 {
        self.table.get(var.into()).0
    }

    /// Probability that the variable is absent, exact also where it is tiny.
    pub fn absent(&self, var: impl Into<Var>) -> f64 {
        self.table.get(var.into()).1
    }

    /// ln of the odds of presence; infinite where the variable is certain.
    pub fn ln_odds(&self, var: impl Into<Var>) -> f64 {
        let (present, absent) = self.table.get(var.into());
        present.ln() - absent.ln()
    }

    /// ln of the probability of the evidence (see [`Prepared::ln_evidence`]).
    pub fn ln_evidence(&self) -> f64 {
        self.ln_evidence
    }

    /// Largest number of findings and hidden nodes that were open at once.
    pub fn width(&self) -> usize {
        self.width
    }
}

/// Posterior probabilities of all causes and of the nodes that have evidence at or below them.
#[derive(Debug, Clone)]
pub struct ActivePosterior(pub(super) Posterior);

impl ActivePosterior {
    /// Probability that the cause holds.
    pub fn cause(&self, cause: CauseId) -> f64 {
        self.0.cause(cause)
    }

    /// Probability that the node is present; `None` if it has no evidence at or below it.
    pub fn node(&self, node: NodeId) -> Option<f64> {
        Some(self.0.node(node)).filter(|p| !p.is_nan())
    }

    /// ln of the odds of a cause; infinite where it is certain.
    pub fn ln_odds(&self, cause: CauseId) -> f64 {
        self.0.ln_odds(cause)
    }

    /// ln of the probability of the evidence (see [`Prepared::ln_evidence`]).
    pub fn ln_evidence(&self) -> f64 {
        self.0.ln_evidence
    }

    /// Present when findings had to be left out.
    pub fn approximation(&self) -> Option<&Bound> {
        self.0.approximation.as_ref()
    }
}

/// Intervals that hold for certain when findings had to be left out.
#[derive(Debug, Clone)]
pub struct Bound {
    dropped: Vec<Var>,
    ln_factor: f64,
    ln_evidence: (f64, f64),
    cause: Vec<(f64, f64)>,
    node: Vec<(f64, f64)>,
}

impl Bound {
    pub(super) fn new(dropped: &Dropped, table: &Table, ln_evidence: f64) -> Self {
        let ln_factor = dropped.ln_high - dropped.ln_low;
        let interval = |&(p, q): &Both| {
            if p.is_nan() || p <= 0.0 || q <= 0.0 {
                return (p, p);
            }
            let factor = ln_factor.exp();
            // factor may be infinite.
            (p / (p + q * factor), if factor.is_finite() { p * factor / (p * factor + q) } else { 1.0 })
        };
        Self {
            dropped: dropped.findings.clone(),
            ln_factor,
            ln_evidence: (ln_evidence + dropped.ln_low, ln_evidence + dropped.ln_high),
            cause: table.cause.iter().map(interval).collect(),
            node: table.node.iter().map(interval).collect(),
        }
    }

    /// The findings that were left out.
    pub fn dropped(&self) -> &[Var] {
        &self.dropped
    }

    /// Interval for the posterior of a cause.
    pub fn cause(&self, cause: CauseId) -> (f64, f64) {
        self.cause[cause.index()]
    }

    /// Interval for the posterior of a node.
    pub fn node(&self, node: NodeId) -> (f64, f64) {
        self.node[node.index()]
    }

    /// Any odds may be off by this much either way, in ln.
    pub fn ln_factor(&self) -> f64 {
        self.ln_factor
    }

    /// Interval for ln of the probability of the evidence.
    pub fn ln_evidence(&self) -> (f64, f64) {
        self.ln_evidence
    }
}

impl Prepared<'_> {
    /// Refuses where only intervals can be given.
    pub(super) fn insist_exact(&self) -> Result<(), InferenceError> {
        match self.dropped {
            None => Ok(()),
            Some(_) => {
                let width = self.network.width(&self.evidence)?;
                Err(InferenceError::TooWide { width, limit: self.limits.swept })
            }
        }
    }
}
