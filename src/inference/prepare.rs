//! From evidence to something that answers: exact in one sweep, exact in several, or with intervals.

use super::evidence::{Evidence, Likelihood, Weights};
use super::limits::{InferenceError, Limits};
use super::network::{CauseId, Network, NodeId, Var};
use super::posterior::{ActivePosterior, Bound, Posterior, Table};
use super::reduce::Kind;
use super::solved::{Plan, Solved};

/// Evidence below this probability counts as impossible.
const LN_SMALLEST: f64 = -575.0;

impl Network {
    /// Reduces, orders and runs the forward pass for `evidence`; what follows from it is then asked of the result.
    pub fn prepare(&self, evidence: &Evidence) -> Result<Prepared<'_>, InferenceError> {
        self.prepare_within(evidence, &Limits::default())
    }

    /// [`Network::prepare`] with other limits.
    pub fn prepare_within(
        &self,
        evidence: &Evidence,
        limits: &Limits,
    ) -> Result<Prepared<'_>, InferenceError> {
        match self.attempt(evidence, limits)? {
            Some(prepared) => Ok(prepared),
            None => Err(InferenceError::Impossible { finding: self.culprit(evidence, limits)? }),
        }
    }

    /// Width of the sweep for `evidence`, without any sum.
    pub fn width(&self, evidence: &Evidence) -> Result<usize, InferenceError> {
        Ok(Plan::new(self, evidence, &[], &[], 1)?.map_or(0, |plan| plan.width()))
    }

    /// `Ok(None)`: the evidence is impossible.
    fn attempt(&self, evidence: &Evidence, limits: &Limits) -> Result<Option<Prepared<'_>>, InferenceError> {
        let Some(plan) = Plan::new(self, evidence, &[], &[], limits.sums)? else { return Ok(None) };
        let width = plan.width();
        let mut runs = Vec::new();
        let mut dropped = None;
        if width <= limits.swept {
            runs.extend(plan.solve(limits).map(|solved| (1.0, solved)));
        } else if let Some(plans) =
            (width <= limits.split).then(|| self.split(evidence, plan, limits)).transpose()?.flatten()
        {
            // Tables are not kept: there may be hundreds of runs.
            let sparing = Limits { kept_numbers: 0, ..*limits };
            runs.extend(
                plans.into_iter().filter_map(|plan| plan.solve(&sparing)).map(|solved| (1.0, solved)),
            );
        } else if limits.bounds {
            let (plan, dropping) = self.drop_findings(evidence, limits)?;
            runs.extend(plan.and_then(|plan| plan.solve(limits)).map(|solved| (1.0, solved)));
            dropped = Some(dropping);
        } else {
            return Err(InferenceError::TooWide { width, limit: limits.swept });
        }
        let top = runs.iter().map(|(_, run)| run.ln_evidence).fold(f64::NEG_INFINITY, f64::max);
        let sum: f64 = runs.iter().map(|(_, run)| (run.ln_evidence - top).exp()).sum();
        let ln_evidence = top + sum.ln();
        // Soft likelihoods carry an arbitrary factor, which says nothing about how possible the evidence is.
        let scale: f64 = evidence.iter().map(|(_, l)| l.absent().max(l.present()).ln()).sum();
        if runs.is_empty() || ln_evidence - scale < LN_SMALLEST {
            return Ok(None);
        }
        for (share, run) in &mut runs {
            *share = (run.ln_evidence - ln_evidence).exp();
        }
        Ok(Some(Prepared {
            network: self,
            evidence: evidence.clone(),
            runs,
            dropped,
            ln_evidence,
            limits: *limits,
        }))
    }

    /// The finding whose addition makes impossible evidence impossible: more findings never make it possible again,
    /// so halving finds the first.
    fn culprit(&self, evidence: &Evidence, limits: &Limits) -> Result<Var, InferenceError> {
        let (mut possible, mut impossible) = (0, evidence.len());
        while impossible > possible + 1 {
            let middle = usize::midpoint(possible, impossible);
            match self.attempt(&evidence.first(middle), limits) {
                Ok(None) => impossible = middle,
                Ok(Some(_)) | Err(InferenceError::TooWide { .. }) => possible = middle,
                Err(other) => return Err(other),
            }
        }
        // There is always a finding: without any, the probability is 1.
        Ok(evidence
            .iter()
            .nth(impossible.saturating_sub(1))
            .map_or(Var::Cause(CauseId::at(0)), |(var, _)| var))
    }

    /// Fixes roots of the widest component, most bits first, until every run is narrow enough. `None`: too many runs.
    fn split<'n>(
        &'n self,
        evidence: &Evidence,
        plan: Plan<'n>,
        limits: &Limits,
    ) -> Result<Option<Vec<Plan<'n>>>, InferenceError> {
        let mut done: Vec<Plan<'n>> = Vec::new();
        let mut todo = vec![plan];
        while let Some(plan) = todo.pop() {
            if plan.width() <= limits.swept {
                done.push(plan);
                continue;
            }
            if done.len() + todo.len() >= limits.split_runs {
                return Ok(None);
            }
            let widest = plan.widest().unwrap_or(0);
            let bits = |root: usize| {
                let mut bits: Vec<u32> = self
                    .states(root)
                    .flat_map(|s| self.children_of_cause(s))
                    .map(|&(n, _)| n)
                    .filter(|&n| plan.reduction.is_bit(n as usize))
                    .collect();
                bits.sort_unstable();
                bits.dedup();
                bits.len()
            };
            let candidates = (0..self.roots()).filter(|&r| plan.root_place[r].0 as usize == widest);
            let Some(root) = candidates.max_by_key(|&r| (bits(r), usize::MAX - r)) else { return Ok(None) };
            let states = self.states(root).filter(|&s| plan.reduction.cause[s] > 0.0).map(Some);
            let in_order = (plan.reduction.in_order[root] > 0.0).then_some(None);
            for state in states.chain(in_order) {
                let mut forced = plan.forced.clone();
                forced.push((root, state));
                todo.extend(Plan::new(self, evidence, &forced, &[], limits.sums)?);
            }
        }
        Ok(Some(done))
    }

    /// Leaves out findings, those with the narrowest range first, until the sweep is narrow enough.
    fn drop_findings<'n>(
        &'n self,
        evidence: &Evidence,
        limits: &Limits,
    ) -> Result<(Option<Plan<'n>>, Dropped), InferenceError> {
        let mut dropped: Vec<Var> = Vec::new();
        let Some(mut plan) = Plan::new(self, evidence, &[], &[], limits.sums)? else {
            return Ok((None, Dropped::default()));
        };
        while plan.width() > limits.swept {
            let mut candidates: Vec<(f64, Var)> = evidence
                .iter()
                .filter(|(var, _)| !dropped.contains(var))
                .filter_map(|(var, likelihood)| match var {
                    Var::Node(n) => {
                        let (low, high) = range(&plan, n, likelihood);
                        Some((if low > 0.0 { high.ln() - low.ln() } else { f64::INFINITY }, var))
                    }
                    Var::Cause(_) => None,
                })
                .collect();
            candidates.sort_by(|a, b| a.0.total_cmp(&b.0));
            let Some(&(_, fallback)) = candidates.first() else {
                return Err(InferenceError::TooWide { width: plan.width(), limit: limits.swept });
            };
            // The first one that makes the sweep shorter; if none does alone, the first.
            let mut next = None;
            for &(_, var) in &candidates {
                dropped.push(var);
                let trial = Plan::new(self, evidence, &[], &dropped, limits.sums)?;
                match trial {
                    None => return Ok((None, Dropped::default())),
                    Some(trial) if trial.cost() < 0.9 * plan.cost() => {
                        next = Some(trial);
                        break;
                    }
                    Some(_) => {
                        dropped.pop();
                    }
                }
            }
            plan = match next {
                Some(next) => next,
                None => {
                    dropped.push(fallback);
                    match Plan::new(self, evidence, &[], &dropped, limits.sums)? {
                        Some(next) => next,
                        None => return Ok((None, Dropped::default())),
                    }
                }
            };
        }
        let mut result = Dropped { ln_low: 0.0, ln_high: 0.0, findings: dropped };
        for (var, likelihood) in evidence.iter().filter(|(var, _)| result.findings.contains(var)) {
            if let Var::Node(n) = var {
                let (low, high) = range(&plan, n, likelihood);
                result.ln_low += low.ln();
                result.ln_high += high.ln();
            }
        }
        Ok((Some(plan), result))
    }
}

/// Least and largest probability of what was seen of node `n`, whatever its open parents do.
fn range(plan: &Plan<'_>, n: NodeId, likelihood: Likelihood) -> (f64, f64) {
    let r = &plan.reduction;
    let (l0, l1) = (likelihood.absent(), likelihood.present());
    if l0 > 0.0 && l1 > 0.0 && !r.network.children_of_node(n.index()).is_empty() {
        // A hidden node with children: the children depend on its state, so only the pair itself bounds the factor.
        return (l0.min(l1), l0.max(l1));
    }
    let (mut off, mut on) = (1.0 - r.network.leak(n), r.network.leak(n));
    let mut open_roots: Vec<(usize, f64)> = Vec::new();
    let mut open_nodes: Vec<f64> = Vec::new();
    for &(var, strength) in r.network.parents(n) {
        let present = match var {
            Var::Cause(c) => r.fixed[r.network.root_of(c)] == Some(Some(c.index())),
            Var::Node(u) => r.kind[u.index()] == Kind::Known(true),
        };
        match var {
            _ if present => (off, on) = (off * (1.0 - strength), on + off * strength),
            _ if !r.is_open(var) => {}
            Var::Cause(c) => {
                let root = r.network.root_of(c);
                match open_roots.iter_mut().find(|(other, _)| *other == root) {
                    Some((_, most)) => *most = most.max(strength),
                    None => open_roots.push((root, strength)),
                }
            }
            Var::Node(_) => open_nodes.push(strength),
        }
    }
    let (mut all_off, mut all_on) = (off, on);
    for strength in open_roots.into_iter().map(|(_, s)| s).chain(open_nodes) {
        (all_off, all_on) = (all_off * (1.0 - strength), all_on + all_off * strength);
    }
    let (none, all) = (l0 * off + l1 * on, l0 * all_off + l1 * all_on);
    (none.min(all), none.max(all))
}

/// Findings left out of a sum that would have been too wide, and the range of the product of their factors.
#[derive(Debug, Clone, Default)]
pub(super) struct Dropped {
    pub(super) findings: Vec<Var>,
    pub(super) ln_low: f64,
    pub(super) ln_high: f64,
}

/// Evidence made ready for questions.
pub struct Prepared<'n> {
    pub(super) network: &'n Network,
    pub(super) evidence: Evidence,
    /// Runs that exclude each other, with their shares of the evidence's probability.
    pub(super) runs: Vec<(f64, Solved<'n>)>,
    pub(super) dropped: Option<Dropped>,
    pub(super) ln_evidence: f64,
    pub(super) limits: Limits,
}

impl Prepared<'_> {
    /// Posteriors of all causes and all nodes. Nodes without evidence at or below them cost a partial pass each where
    /// their parents hang together through the evidence; [`Prepared::posterior_active`] leaves them out.
    pub fn posterior(&self) -> Posterior {
        let table = self.table(true);
        Posterior {
            approximation: self.dropped.as_ref().map(|dropped| Bound::new(dropped, &table, self.ln_evidence)),
            table,
            ln_evidence: self.ln_evidence(),
            width: self.width(),
        }
    }

    /// Posteriors of all causes and of those nodes that have evidence at or below them: one backward pass.
    pub fn posterior_active(&self) -> ActivePosterior {
        let table = self.table(false);
        ActivePosterior(Posterior {
            approximation: self.dropped.as_ref().map(|dropped| Bound::new(dropped, &table, self.ln_evidence)),
            table,
            ln_evidence: self.ln_evidence(),
            width: self.width(),
        })
    }

    fn table(&self, all: bool) -> Table {
        let mut mixed: Option<Table> = None;
        for (share, run) in &self.runs {
            let table = Table::new(self, run, all);
            if self.runs.len() == 1 {
                return table;
            }
            mixed.get_or_insert_with(|| Table::zero(self.network)).add(&table, *share);
        }
        mixed.unwrap_or_else(|| Table::zero(self.network))
    }

    /// ln of the probability of the evidence. Where findings were left out ([`Prepared::left_out`]) an upper bound;
    /// the interval is in [`Bound::ln_evidence`].
    pub fn ln_evidence(&self) -> f64 {
        self.ln_evidence + self.dropped.as_ref().map_or(0.0, |d| d.ln_high)
    }

    /// Z(w, E) / Z(1, E): how much likelier the evidence is when every state counts with its weight. Where findings
    /// were left out this is only within [`Prepared::ratio_interval`].
    pub fn ratio(&self, weights: &Weights) -> f64 {
        self.runs.iter().map(|(share, run)| share * run.ratio(weights)).sum()
    }

    /// The interval in which [`Prepared::ratio`] lies for certain; a single point unless findings were left out.
    pub fn ratio_interval(&self, weights: &Weights) -> (f64, f64) {
        let ratio = self.ratio(weights);
        match &self.dropped {
            None => (ratio, ratio),
            Some(d) => {
                let factor = (d.ln_high - d.ln_low).exp();
                let high = if ratio > 0.0 { ratio * factor } else { 0.0 };
                (ratio / factor, high)
            }
        }
    }

    /// Findings that were left out because the evidence hangs together too closely; empty when all is exact.
    pub fn left_out(&self) -> &[Var] {
        self.dropped.as_ref().map_or(&[], |d| &d.findings)
    }

    /// Probability, given the evidence, that no cause holds that could have produced a finding seen present: chance
    /// (the leaks) alone made them all. A finding counts as seen present if its likelihood is larger when present.
    pub fn none_known(&self) -> f64 {
        let network = self.network;
        let mut weights = Weights::ones(network);
        let mut above = vec![false; network.nodes()];
        for (var, likelihood) in self.evidence.iter() {
            if let Var::Node(n) = var
                && likelihood.present() > likelihood.absent()
            {
                above[n.index()] = true;
            }
        }
        for n in network.node_ids().rev() {
            if above[n.index()] {
                for &(var, _) in network.parents(n).iter().filter(|(_, s)| *s > 0.0) {
                    match var {
                        Var::Cause(c) => weights.set(c, 0.0),
                        Var::Node(u) => above[u.index()] = true,
                    }
                }
            }
        }
        self.ratio(&weights)
    }

    /// Largest number of findings and hidden nodes that were open at once in the sweep.
    pub fn width(&self) -> usize {
        self.runs.iter().map(|(_, run)| run.width).max().unwrap_or(0)
    }

    /// How many sweeps are added up; more than one when roots had to be fixed.
    pub fn sweeps(&self) -> usize {
        self.runs.len()
    }
}
