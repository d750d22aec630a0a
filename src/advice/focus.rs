//! Which hidden defects a set of findings is about.
//!
//! Exact sums cost 2^(hidden defects and findings open at once), and general signs ("found only on polishing") hang on
//! twenty defects, most of which the other findings make hopeless. So the findings are explained by the defects that
//! matter, at most [`MOST`] of them; what the rest would add is counted as chance. The sums over what is kept are
//! exact. tests/focus.rs measures what this costs against the whole network on the cases with known causes: 0.02 points
//! of a posterior in the mean, 5 points at worst, the first cause the same in every case.

use super::findings::{Observation, Sureness};
use crate::rules::{DefectKey, Finding};

/// Most defects kept. Twelve open bits are a sweep of a fraction of a millisecond.
pub(super) const MOST: usize = 10;
/// A defect is left out when it explains the findings this much worse than the best one.
const HOPELESS: f64 = 1e-4;

/// What the choice needs to know of the network, as plain chances.
pub(super) trait Chances {
    /// How many defects there are.
    fn defects(&self) -> usize;
    /// What a defect is called in the rules, wherever it stands there.
    fn id(&self, defect: usize) -> &str;
    /// Chance of a defect before anything was seen.
    fn defect(&self, defect: usize) -> f64;
    /// Chance that what was observed is there though no defect shows it.
    fn by_chance(&self, observation: Observation) -> f64;
    /// Chance that a defect alone shows what was observed.
    fn shown(&self, defect: usize, observation: Observation) -> f64;
}

/// For each defect whether it is kept. `None` when there is nothing to leave out.
pub(super) fn kept(chances: &impl Chances, observations: &[Observation]) -> Option<Vec<bool>> {
    if observations.is_empty() {
        return None;
    }
    let scores: Vec<f64> = (0..chances.defects()).map(|d| score(chances, d, observations)).collect();
    let touched =
        |d: usize| observations.iter().any(|o| chances.shown(d, *o) > 0.0) || is_certain(d, observations);
    let mut order: Vec<usize> = (0..scores.len()).filter(|d| touched(*d)).collect();
    // Scores that differ by rounding are alike; among them the order of the rules must not decide what is left out.
    let class = |d: usize| (scores[d].ln() * 1e9).round();
    order.sort_by(|a, b| class(*b).total_cmp(&class(*a)).then_with(|| chances.id(*a).cmp(chances.id(*b))));
    let best = order.first().map(|d| scores[*d])?;
    let mut kept = vec![false; scores.len()];
    for (at, d) in order.iter().enumerate() {
        kept[*d] = is_said(*d, observations) || (at < MOST && scores[*d] >= best * HOPELESS);
    }
    Some(kept)
}

/// How well a defect alone explains all that was observed, against chance: prior times likelihood ratios.
fn score(chances: &impl Chances, defect: usize, observations: &[Observation]) -> f64 {
    let mut score = chances.defect(defect).max(1e-12);
    for observation in observations {
        let chance = chances.by_chance(*observation).clamp(1e-6, 1.0 - 1e-6);
        let present = 1.0 - (1.0 - chance) * (1.0 - chances.shown(defect, *observation));
        score *= match observation.how {
            Sureness::Seen | Sureness::Certain => present / chance,
            Sureness::Probably => (0.2 + 0.6 * present) / (0.2 + 0.6 * chance),
            Sureness::Absent | Sureness::RuledOut => (1.0 - present).max(1e-6) / (1.0 - chance),
        };
    }
    score
}

fn is_certain(defect: usize, observations: &[Observation]) -> bool {
    observations.iter().any(|o| o.how == Sureness::Certain && is_about(defect, *o))
}

/// Defects that were spoken of stay in the sweep, whatever their odds.
fn is_said(defect: usize, observations: &[Observation]) -> bool {
    observations.iter().any(|o| is_about(defect, *o))
}

fn is_about(defect: usize, observation: Observation) -> bool {
    matches!(observation.finding, Finding::Defect(key) if key == DefectKey::from_index(defect))
}
