//! The remedies that a plan between two questions is made of.

use super::outcome::mean;
use crate::advice::{Effect as Change, Model, Outlook, RECAST_MINUTES, SMALLEST_GAIN, harm};
use crate::inference::World;
use crate::rules::{DefectKey, RemedyKey};

/// Remedies that plans are made of.
const REMEDIES: usize = 20;

/// A remedy with its success in each world.
#[derive(Debug)]
pub(super) struct Outlooks {
    pub(super) remedy: RemedyKey,
    pub(super) minutes: f64,
    pub(super) success: Vec<f64>,
}

impl Outlooks {
    /// The best remedies against some defects, those that fit the job.
    pub(super) fn best(
        model: &Model<'_>,
        outlook: &Outlook<'_>,
        trouble: &[DefectKey],
        worlds: &[World],
    ) -> Vec<Self> {
        let rules = model.rules;
        let harm = harm(model, trouble);
        let after = |effect: &Change| -> Vec<f64> {
            let (weights, leaks) = outlook.next_cast(effect, &harm);
            World::weights(worlds, &weights).into_iter().map(|w| w * leaks).collect()
        };
        let unchanged = after(&Change::none());
        let mut all: Vec<Self> = Vec::new();
        let mut idle: Vec<Self> = Vec::new();
        for remedy in rules.remedy_keys() {
            if model.context.holds(rules, &rules.remedy(remedy).condition) <= 0.0 {
                continue;
            }
            let effect = outlook.graded(remedy);
            let minutes = rules.remedy(remedy).effort.get() / 60.0 + RECAST_MINUTES;
            // What misses every likely cause leaves the next cast to chance, and costs no sum.
            if outlook.most_change(&harm, &Change::none(), &effect).0 < SMALLEST_GAIN {
                idle.push(Self { remedy, minutes, success: Vec::new() });
            } else {
                all.push(Self { remedy, minutes, success: after(&effect) });
            }
        }
        idle.sort_by(|a, b| a.minutes.total_cmp(&b.minutes));
        idle.truncate(REMEDIES);
        all.extend(idle.into_iter().map(|one| Self { success: unchanged.clone(), ..one }));
        let mut rated: Vec<(f64, Self)> = all.into_iter().map(|one| (one.rate(), one)).collect();
        rated.sort_by(|a, b| b.0.total_cmp(&a.0));
        rated.into_iter().take(REMEDIES).map(|(_, one)| one).collect()
    }

    /// Success for each minute.
    fn rate(&self) -> f64 {
        mean(&self.success) / self.minutes
    }
}
