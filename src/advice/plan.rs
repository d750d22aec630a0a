//! A sequence of changes, one at a time with a re-cast behind each, and what it costs.
//!
//! A step costs its effort when it is reached, and a whole re-cast when it fails. That the trouble came back is
//! evidence: the chance of the next step is taken given that all before it failed. Causes persist through the whole
//! plan (what a failed step left in place is still there), so the chance that steps 1..n all fail is
//!
//! ```text
//! sum over subsets A of the steps of (-1)^|A| x P(the casts in A are free of the trouble)
//! ```
//!
//! each term one ratio of two sums. The plan itself is searched: a beam over sequences, the sequences of the simple
//! rules, and swaps of neighbours until nothing gains.

use super::effect::{Effect, Harm};
use crate::inference::{CauseId, Network, Prepared};
use std::cell::RefCell;
use std::collections::HashMap;

/// Minutes that it costs when every step has failed: five working days of trials, or the job given away. Graded by
/// hand.
pub const UNSOLVED_MINUTES: f64 = 2400.0;

/// Sequences carried along in the search.
const BEAM: usize = 8;
/// Differences of cost below this are rounding.
const ROUNDING: f64 = 1e-9;

/// One change that a plan may make.
#[derive(Debug, Clone, PartialEq)]
pub struct Action {
    /// Work in minutes, without the re-cast.
    pub effort: f64,
    /// What it does.
    pub effect: Effect,
}

/// What things cost beside the changes, in minutes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Costs {
    /// A cast that failed and must be made again.
    pub recast: f64,
    /// All steps failed.
    pub unsolved: f64,
}

/// A sequence with what it costs.
#[derive(Debug, Clone, PartialEq)]
pub struct Sequence {
    /// Places of the actions, first to last.
    pub order: Vec<usize>,
    /// Expected cost in minutes.
    pub minutes: f64,
    /// Chance that this many steps have failed: 1 first, then after each step.
    pub failed: Vec<f64>,
}

impl Sequence {
    /// Expected minutes of work and of re-casts alone.
    pub fn work(&self, costs: Costs) -> f64 {
        self.minutes - self.failed.last().copied().unwrap_or(1.0) * costs.unsolved
    }

    /// Chance that the sequence ends with a sound cast.
    pub fn solved(&self) -> f64 {
        1.0 - self.failed.last().copied().unwrap_or(1.0)
    }
}

/// A sequence, and the cause that is to hold now.
type Asked = (Vec<usize>, Option<CauseId>);

/// Weighs sequences of actions against what was found.
pub struct Planner<'a> {
    network: &'a Network,
    prepared: &'a Prepared<'a>,
    harm: &'a Harm,
    actions: &'a [Action],
    costs: Costs,
    /// Chances that were worked out already: the search comes by the same sequences again and again.
    known: RefCell<HashMap<Asked, f64>>,
}

impl<'a> Planner<'a> {
    /// `prepared` is what was found, `harm` what must not come back.
    pub fn new(
        network: &'a Network,
        prepared: &'a Prepared<'a>,
        harm: &'a Harm,
        actions: &'a [Action],
        costs: Costs,
    ) -> Self {
        Self { network, prepared, harm, actions, costs, known: RefCell::default() }
    }

    /// Chance that all steps but the last fail and the last is free of the trouble; with `only`, and that this cause
    /// holds now.
    fn works(&self, order: &[usize], only: Option<CauseId>) -> f64 {
        self.works_from(order, only, f64::NEG_INFINITY).unwrap_or(0.0)
    }

    /// [`Planner::works`], or `None` as soon as it is sure to be below `enough`. That all steps fail before the last
    /// works is no likelier than that any one of them does, which takes two terms and not all.
    fn works_from(&self, order: &[usize], only: Option<CauseId>, enough: f64) -> Option<f64> {
        let key = (order.to_vec(), only);
        if let Some(known) = self.known.borrow().get(&key) {
            return Some(*known);
        }
        let before = order.len().saturating_sub(1);
        let mut casts: Vec<(&Effect, bool)> =
            order.iter().map(|a| (&self.actions[*a].effect, true)).collect();
        let mut term = |subset: u32| {
            for (at, cast) in casts.iter_mut().take(before).enumerate() {
                cast.1 = subset >> at & 1 == 1;
            }
            let (weights, no_leak) = self.harm.weights(self.network, &casts, only);
            self.prepared.ratio(&weights) * no_leak
        };
        let last = term(0);
        let mut sum = last;
        for at in 0..before {
            let too = term(1 << at);
            sum -= too;
            if last - too < enough {
                return None;
            }
        }
        for subset in (0_u32..1 << before).filter(|s| s.count_ones() > 1) {
            sum += if subset.count_ones() % 2 == 0 { term(subset) } else { -term(subset) };
        }
        let chance = sum.clamp(0.0, 1.0);
        self.known.borrow_mut().insert(key, chance);
        Some(chance)
    }

    /// Chance that all steps fail; with `only`, and that this cause holds now.
    fn fails(&self, order: &[usize], only: Option<CauseId>) -> f64 {
        let holds = only.map_or(1.0, |_| {
            let (weights, _) = self.harm.weights(self.network, &[], only);
            self.prepared.ratio(&weights)
        });
        (1..=order.len()).fold(holds, |left, n| (left - self.works(&order[..n], only)).max(0.0))
    }

    /// The sequence with its cost.
    pub fn weigh(&self, order: &[usize]) -> Sequence {
        let mut sequence = Sequence { order: Vec::new(), minutes: self.costs.unsolved, failed: vec![1.0] };
        for action in order {
            sequence = self.extend(&sequence, *action);
        }
        sequence
    }

    fn extend(&self, sequence: &Sequence, action: usize) -> Sequence {
        self.extend_within(sequence, action, f64::INFINITY).unwrap_or_else(|| sequence.clone())
    }

    /// The sequence with one more step, or `None` when it is sure to cost more than `most` minutes.
    fn extend_within(&self, sequence: &Sequence, action: usize, most: f64) -> Option<Sequence> {
        let mut next = sequence.clone();
        next.order.push(action);
        let before = sequence.failed.last().copied().unwrap_or(1.0);
        let step = before * (self.actions[action].effort - self.costs.unsolved);
        let failing = self.costs.recast + self.costs.unsolved;
        let enough = before - (most - sequence.minutes - step) / failing;
        let after = (before - self.works_from(&next.order, None, enough - ROUNDING)?).max(0.0);
        next.minutes += step + after * failing;
        next.failed.push(after);
        Some(next)
    }

    /// Chance that a cause holds now: given that all steps but the last of `order` failed, and then given that the
    /// last succeeded or failed too.
    pub fn teaches(&self, order: &[usize], cause: CauseId) -> (f64, f64, f64) {
        let share =
            |part: f64, whole: f64| if whole > ROUNDING { (part / whole).clamp(0.0, 1.0) } else { 0.0 };
        let only = Some(cause);
        let before = &order[..order.len().saturating_sub(1)];
        (
            share(self.fails(before, only), self.fails(before, None)),
            share(self.works(order, only), self.works(order, None)),
            share(self.fails(order, only), self.fails(order, None)),
        )
    }

    /// Cut where it costs least to stop.
    fn cut(&self, order: &[usize]) -> Sequence {
        let mut best = self.weigh(&[]);
        let mut so_far = best.clone();
        for action in order {
            so_far = self.extend(&so_far, *action);
            if so_far.minutes < best.minutes - ROUNDING {
                best = so_far.clone();
            }
        }
        best
    }

    /// A rule of thumb: the order as given, as far as it pays, at most `depth` steps.
    pub fn follow(&self, order: &[usize], depth: usize) -> Sequence {
        self.cut(&order[..order.len().min(depth)])
    }

    /// All changes in one go, and one cast: chance that it is sound, and the cost.
    pub fn at_once(&self, order: &[usize]) -> Sequence {
        let effect = order.iter().fold(Effect::none(), |all, a| all.then(&self.actions[*a].effect));
        let (weights, no_leak) = self.harm.weights(self.network, &[(&effect, true)], None);
        let failed = 1.0 - (self.prepared.ratio(&weights) * no_leak).clamp(0.0, 1.0);
        let effort: f64 = order.iter().map(|a| self.actions[*a].effort).sum();
        let minutes = effort + failed * (self.costs.recast + self.costs.unsolved);
        Sequence { order: order.to_vec(), minutes, failed: vec![1.0, failed] }
    }

    /// Each next step the one with most success a minute, given that all before failed.
    pub fn greedy(&self, depth: usize) -> Vec<usize> {
        let mut order: Vec<usize> = Vec::new();
        while order.len() < depth.min(self.actions.len()) {
            let mut best: Option<(f64, usize)> = None;
            for a in (0..self.actions.len()).filter(|a| !order.contains(a)) {
                let minutes = (self.actions[a].effort + self.costs.recast).max(f64::MIN_POSITIVE);
                let trial: Vec<usize> = order.iter().copied().chain([a]).collect();
                let enough = best.map_or(f64::NEG_INFINITY, |(rate, _)| rate * minutes);
                let rate = self.works_from(&trial, None, enough).map(|works| works / minutes);
                if let Some(rate) = rate.filter(|r| best.is_none_or(|(so_far, _)| *r > so_far)) {
                    best = Some((rate, a));
                }
            }
            order.extend(best.map(|(_, a)| a));
        }
        order
    }

    /// The cheapest sequence found, of at most `depth` steps.
    pub fn best(&self, depth: usize) -> Sequence {
        let mut best = self.improve(self.follow(&self.greedy(depth), depth));
        let mut beam = vec![self.weigh(&[])];
        let deepest = depth.min(self.actions.len());
        for level in 1..=deepest {
            let mut longer: Vec<Sequence> = Vec::new();
            for s in &beam {
                for a in (0..self.actions.len()).filter(|a| !s.order.contains(a)) {
                    // Only what may enter the beam, or at the last level may win, is worked out to the end.
                    let most = if level == deepest {
                        longer.first().map_or(best.minutes, |f| f.minutes.min(best.minutes))
                    } else {
                        longer.get(BEAM - 1).map_or(f64::INFINITY, |l| l.minutes)
                    };
                    let Some(next) = self.extend_within(s, a, most) else { continue };
                    let place = longer.partition_point(|l| {
                        l.minutes.total_cmp(&next.minutes).then_with(|| l.order.cmp(&next.order)).is_lt()
                    });
                    longer.insert(place, next);
                    longer.truncate(BEAM);
                }
            }
            if let Some(first) = longer.first().filter(|f| f.minutes < best.minutes - ROUNDING) {
                best = first.clone();
            }
            beam = longer;
        }
        self.improve(best)
    }

    /// Swaps neighbours while that saves anything.
    fn improve(&self, mut best: Sequence) -> Sequence {
        let mut gained = true;
        while gained {
            gained = false;
            for at in 1..best.order.len() {
                let mut order = best.order.clone();
                order.swap(at - 1, at);
                let trial = self.weigh(&order);
                if trial.minutes < best.minutes - ROUNDING {
                    best = trial;
                    gained = true;
                }
            }
        }
        best
    }
}
