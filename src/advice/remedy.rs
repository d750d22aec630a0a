//! What a change would do at the next cast: chance that the trouble stays away, and what it may spoil.
//!
//! Causes persist to the next cast, chance does not. A remedy *removes* a cause with the chance its `cures` states:
//! either the cause is gone and brings none of its defects, or it stays and may bring any. So a cause that holds now
//! weighs `e + (1 - e) * prod(1 - strength)`, and a state in order weighs the chance that the remedy brings nothing
//! in. Each number is a ratio of two sums over all states, Z(w, E) / Z(1, E), times the leaks: exact.

use super::model::Model;
use crate::inference::{Prepared, Weights};
use crate::rules::{CauseKey, DefectKey, Remedy, RemedyKey};

/// Minutes that a whole re-cast costs: invest, burn out, cast, clean; bench time only, common practice.
pub const RECAST_MINUTES: f64 = 180.0;

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
}

impl<'a> Outlook<'a> {
    /// Looks ahead from what was found.
    pub fn new(model: &'a Model<'a>, prepared: &'a Prepared<'a>) -> Self {
        Self { model, prepared }
    }

    /// Chance that none of `defects` comes at the next cast after these changes; no change when empty.
    pub fn clean(&self, remedies: &[RemedyKey], defects: &[DefectKey]) -> f64 {
        let (weights, leaks) = self.next_cast(remedies, defects);
        (self.prepared.ratio(&weights) * leaks).clamp(0.0, 1.0)
    }

    /// The chance that none of `defects` comes at the next cast after these changes, taken apart: a factor for the state
    /// of each root, and the share of casts that the leaks leave clean.
    pub fn next_cast(&self, remedies: &[RemedyKey], defects: &[DefectKey]) -> (Weights, f64) {
        let mut weights = Weights::ones(&self.model.network);
        for key in self.model.rules.cause_keys() {
            let cured = self.cured(remedies, key);
            let stays: f64 = defects.iter().map(|d| 1.0 - self.model.strength(key, *d)).product();
            weights.multiply(self.model.cause(key), cured + (1.0 - cured) * stays);
            let brought = self.brought(remedies, key);
            if brought > 0.0 {
                weights.multiply_in_order(self.model.cause(key), 1.0 - brought * (1.0 - stays));
            }
        }
        let leaks: f64 = defects.iter().map(|d| 1.0 - self.model.rules.defect(*d).leak.value).product();
        (weights, leaks)
    }

    /// Chance of one defect at the next cast, before and after these changes.
    pub fn defect(&self, remedies: &[RemedyKey], defect: DefectKey) -> BeforeAfter {
        BeforeAfter { before: 1.0 - self.clean(&[], &[defect]), after: 1.0 - self.clean(remedies, &[defect]) }
    }

    /// Chance that at least one of the remedies takes the cause away.
    fn cured(&self, remedies: &[RemedyKey], cause: CauseKey) -> f64 {
        self.chance(remedies, cause, |r| &r.cures)
    }

    /// Chance that at least one of the remedies brings the cause in.
    fn brought(&self, remedies: &[RemedyKey], cause: CauseKey) -> f64 {
        self.chance(remedies, cause, |r| &r.spoils)
    }

    fn chance(
        &self,
        remedies: &[RemedyKey],
        cause: CauseKey,
        links: impl Fn(&Remedy) -> &Vec<crate::rules::Link<CauseKey>>,
    ) -> f64 {
        let rules = self.model.rules;
        let context = &self.model.context;
        let missed: f64 = remedies
            .iter()
            .map(|r| {
                let remedy = rules.remedy(*r);
                let fits = context.holds(rules, &remedy.condition);
                links(remedy)
                    .iter()
                    .filter(|l| l.to == cause)
                    .map(|l| 1.0 - fits * l.strength.value * context.holds(rules, &l.condition))
                    .product::<f64>()
            })
            .product();
        1.0 - missed
    }
}
