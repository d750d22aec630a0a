//! What a cause accounts for: whether it made the fault that was complained of, or is only there, and which findings
//! it leaves open.
//!
//! A cause may be nearly certain by a sign of its own (slurry seen to be thick) and have little to do with the fault.
//! With its links to defects cut and those to its own signs kept, the sums give exactly the chance that it is there
//! and made none of the defects:
//!
//! P(cause there, all its links to defects silent | findings) =
//!     P'(cause, findings) / P(findings) * prod over those links (1 - strength),
//!
//! P' being of the network without those links, and the links those to defects that the findings rest on.

use super::findings::Observation;
use super::hand::rested_on;
use super::model::Model;
use crate::inference::{Limits, Var};
use crate::rules::CauseKey;

/// A cause that shows a finding less often than this does not account for it.
const SHOWS: f64 = 0.03;

/// Whether a sign of its own was seen of a cause. Where none was, a hand in a defect is a hand in anything.
pub(super) fn shows_itself(model: &Model<'_>, observations: &[Observation], cause: CauseKey) -> bool {
    let id = Var::Cause(model.cause(cause));
    let own = |o: &Observation| match model.var(*o) {
        Var::Node(node) => model.network.parents(node).iter().any(|(parent, _)| *parent == id),
        Var::Cause(_) => false,
    };
    observations.iter().filter(|o| o.is_present()).any(own)
}

/// Chance that the cause is there and had a hand in a defect. `None` where the sums are too wide to be exact.
pub(super) fn in_fault(
    model: &Model<'_>,
    observations: &[Observation],
    cause: CauseKey,
    there: f64,
    ln_evidence: f64,
) -> Option<f64> {
    let rested = rested_on(&model.network, &model.evidence(observations));
    let defects = model.rules.defect_keys().filter(|d| rested[model.defect(*d).index()]);
    let silent: f64 = defects.map(|d| 1.0 - model.strength(cause, d)).product();
    let cut = model.without_defects_of(cause, observations).ok()?;
    let limits = Limits::default().exact();
    let prepared = cut.network.prepare_within(&cut.evidence(observations), &limits).ok()?;
    let still_there = prepared.posterior_active().cause(cut.cause(cause));
    let idle = silent * still_there * (prepared.ln_evidence() - ln_evidence).exp();
    Some((there - idle).clamp(0.0, there))
}

/// What was seen and the cause does not account for, neither by itself nor by a defect that it brings.
pub(super) fn left_open(
    model: &Model<'_>,
    observations: &[Observation],
    cause: CauseKey,
) -> Vec<Observation> {
    let id = Var::Cause(model.cause(cause));
    let link = |to: Var| match to {
        Var::Node(node) => {
            let parents = model.network.parents(node).iter();
            parents.filter(|(parent, _)| *parent == id).map(|(_, strength)| *strength).fold(0.0, f64::max)
        }
        Var::Cause(_) => 0.0,
    };
    let shows = |o: &Observation| match model.var(*o) {
        Var::Node(node) => {
            let by = model.network.parents(node).iter().map(|(parent, strength)| match parent {
                above @ Var::Node(_) => 1.0 - strength * link(*above),
                Var::Cause(_) => 1.0,
            });
            1.0 - (1.0 - link(Var::Node(node))) * by.product::<f64>()
        }
        Var::Cause(_) => 1.0,
    };
    observations.iter().filter(|o| o.is_present() && shows(o) < SHOWS).copied().collect()
}

#[cfg(test)]
mod tests {
    use super::in_fault;
    use crate::advice::{Model, Observation, Sureness, standings};
    use crate::rules::{CauseKey, Finding, shipped};
    use crate::sheet::{Sheet, catalogue};

    /// Where no sign of its own was seen, a hand in a defect is a hand in anything: the closed form of the ranking,
    /// which cuts nothing, gives the same.
    #[test]
    fn without_own_signs_both_ways_agree() {
        let rules = shipped(&catalogue()).rules;
        let sheet = Sheet::default();
        for ids in [&["pores-round-smooth", "metal-missing"][..], &["fins", "rough-all-over"]] {
            let signs = ids.iter().filter_map(|id| rules.find_sign(id));
            let seen: Vec<Observation> =
                signs.map(|s| Observation { finding: Finding::Sign(s), how: Sureness::Seen }).collect();
            assert!(!seen.is_empty());
            let model = Model::focused(&rules, &sheet, &seen).unwrap();
            let evidence = model.evidence(&seen);
            let prepared = model.network.prepare(&evidence).unwrap();
            let posterior = prepared.posterior_active();
            let own = |cause: CauseKey| {
                let mut shows = rules.cause(cause).shows.iter();
                shows.any(|l| ids.contains(&rules.sign(l.to).id.as_str()))
            };
            let all = standings(&model, &evidence, &posterior);
            let without: Vec<_> = all.iter().filter(|s| !own(s.cause)).take(8).collect();
            assert_eq!(without.len(), 8);
            for standing in without {
                let told =
                    in_fault(&model, &seen, standing.cause, standing.probability, prepared.ln_evidence())
                        .unwrap();
                let off = (told - standing.had_a_hand).abs();
                assert!(off < 1e-9, "{}: {told} {}", rules.cause(standing.cause).id, standing.had_a_hand);
            }
        }
    }
}
