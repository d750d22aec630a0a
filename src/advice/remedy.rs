//! What a change would do at the next cast: chance that the trouble stays away, and what it may spoil.
//!
//! A remedy *removes* a cause with the chance its `cures` states: either the cause is gone and brings none of its
//! defects, or it stays and may bring any. So a cause that holds now weighs `e + (1 - e) * prod(1 - strength)`, and a
//! state in order weighs the chance that the remedy brings nothing in. A remedy that moves a figure of the sheet does
//! so through that sheet instead (`step`). Each number is one ratio of two sums over all states times the leaks: exact.

use super::effect::{Effect, Harm};
use super::model::{Model, Strengths};
use crate::inference::{ActivePosterior, Prepared, Weights};
use crate::rules::{DefectKey, RemedyKey};
use std::cell::OnceCell;

/// Minutes that a whole re-cast costs: invest, burn out, cast, clean; bench time only, common practice.
pub const RECAST_MINUTES: f64 = 180.0;

/// A remedy that gains less than this is not worth a line.
pub const SMALLEST_GAIN: f64 = 0.01;

/// A chance before and after a change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BeforeAfter {
    /// With nothing changed.
    pub before: f64,
    /// With the change.
    pub after: f64,
}

/// What one or more remedies together would do.
pub struct Outlook<'a> {
    model: &'a Model<'a>,
    prepared: &'a Prepared<'a>,
    now: ActivePosterior,
    /// Chance of each defect at the next cast with nothing changed, once it was asked for.
    unchanged: Vec<OnceCell<f64>>,
}

impl<'a> Outlook<'a> {
    /// Looks ahead from what was found.
    pub fn new(model: &'a Model<'a>, prepared: &'a Prepared<'a>) -> Self {
        let unchanged = vec![OnceCell::new(); model.rules.defects.len()];
        Self { model, prepared, now: prepared.posterior_active(), unchanged }
    }

    /// The most by which a change can raise and lower the chance that none of the defects comes. Costs no sum over
    /// states, so that changes that miss every likely cause are passed over at once.
    pub fn most_change(&self, harm: &Harm, from: &Effect, to: &Effect) -> (f64, f64) {
        harm.most_change(&self.model.network, from, to, |c| self.now.cause(c))
    }

    /// Chance of one defect at the next cast with nothing changed.
    pub(super) fn unchanged(&self, defect: DefectKey) -> f64 {
        *self.unchanged[defect.index()]
            .get_or_init(|| 1.0 - self.clean_after(&Effect::none(), &harm(self.model, &[defect])))
    }

    /// A remedy as the rules grade it, whatever the sheet's figures.
    pub fn graded(&self, remedy: RemedyKey) -> Effect {
        graded(self.model, remedy, |_| true)
    }

    /// Weights and leak factor of: nothing that does harm comes at the next cast after a change.
    pub fn next_cast(&self, effect: &Effect, harm: &Harm) -> (Weights, f64) {
        harm.weights(&self.model.network, &[(effect, true)], None)
    }

    /// Chance that none of `defects` comes at the next cast after these changes, made in this order and as the rules
    /// grade them; no change when empty.
    pub fn clean(&self, remedies: &[RemedyKey], defects: &[DefectKey]) -> f64 {
        let effect = remedies.iter().fold(Effect::none(), |all, r| all.then(&self.graded(*r)));
        self.clean_after(&effect, &harm(self.model, defects))
    }

    /// Chance that none of the defects comes at the next cast after a change.
    pub fn clean_after(&self, effect: &Effect, harm: &Harm) -> f64 {
        let (weights, no_leak) = self.next_cast(effect, harm);
        (self.prepared.ratio(&weights) * no_leak).clamp(0.0, 1.0)
    }

    /// Chance of one defect at the next cast, before and after a change.
    pub fn defect(&self, effect: &Effect, defect: DefectKey) -> BeforeAfter {
        let harm = harm(self.model, &[defect]);
        BeforeAfter { before: self.unchanged(defect), after: 1.0 - self.clean_after(effect, &harm) }
    }
}

/// What each cause does to a set of defects in this job.
pub fn harm(model: &Model<'_>, defects: &[DefectKey]) -> Harm {
    harm_with(model, defects, model.strengths())
}

/// The same, and nothing new may come of the change either: a cause that it brings in must bring no defect at all. A
/// change that ends one fault with another is no success.
pub(super) fn sound(model: &Model<'_>, trouble: &[DefectKey]) -> Harm {
    let others: Vec<DefectKey> = model.rules.defect_keys().filter(|d| !trouble.contains(d)).collect();
    let (stays, no_leak) = stay_away(model, trouble, model.strengths());
    let (quiet, _) = stay_away(model, &others, model.strengths());
    Harm::with_what_is_brought(&model.network, |c| stays[c.index()], |c| quiet[c.index()], no_leak)
}

/// The same as [`harm`] in a job with another sheet.
pub(super) fn harm_with(model: &Model<'_>, defects: &[DefectKey], strengths: &Strengths) -> Harm {
    let (stays, no_leak) = stay_away(model, defects, strengths);
    Harm::new(&model.network, |c| stays[c.index()], no_leak)
}

/// Chance that each cause brings none of the defects, and that chance brings none.
fn stay_away(model: &Model<'_>, defects: &[DefectKey], strengths: &Strengths) -> (Vec<f64>, f64) {
    let mut stays = vec![1.0; model.network.causes()];
    for (cause, strength) in defects.iter().flat_map(|d| strengths.to(*d)) {
        stays[model.cause(*cause).index()] *= 1.0 - strength;
    }
    (stays, defects.iter().map(|d| 1.0 - strengths.leak(*d)).product())
}

/// A remedy as the rules grade it, for the causes that `take` lets in.
pub(super) fn graded(
    model: &Model<'_>,
    remedy: RemedyKey,
    take: impl Fn(crate::inference::CauseId) -> bool,
) -> Effect {
    let rules = model.rules;
    let record = rules.remedy(remedy);
    let fits = model.context.holds(rules, &record.condition);
    let chance = |l: &crate::rules::Link<crate::rules::CauseKey>| {
        fits * l.strength.value * model.context.holds(rules, &l.condition)
    };
    let mut effect = Effect::none();
    for link in record.cures.iter().filter(|l| take(model.cause(l.to))) {
        effect.cure(&model.network, model.cause(link.to), chance(link));
    }
    for link in record.spoils.iter().filter(|l| take(model.cause(l.to))) {
        effect.bring(&model.network, model.cause(link.to), chance(link));
    }
    effect
}
