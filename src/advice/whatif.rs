//! What another sheet would do: to the causes as they are now, and to the defects at the next cast.

use super::diagnosis::Refusal;
use super::findings::Observation;
use super::model::Model;
use super::remedy::{BeforeAfter, Outlook, harm_with};
use super::step::move_effect;
use crate::rules::{CauseKey, DefectKey};
use crate::sheet::Sheet;

/// The change in every cause and every defect.
#[derive(Debug, Clone, PartialEq)]
pub struct WhatIf {
    /// Chance that the cause holds now and that it holds at the next cast, in the order of the rules.
    pub causes: Vec<(CauseKey, BeforeAfter)>,
    /// Chance of the defect at the next cast with the sheet as it is and as it would be.
    pub defects: Vec<(DefectKey, BeforeAfter)>,
}

/// What the next cast would be like with `changed` in place of the model's sheet, given what was found. With nothing
/// found: the risk that the two sheets carry by themselves.
///
/// # Errors
/// [`Refusal`] when the findings contradict each other outright.
pub fn what_if(model: &Model<'_>, changed: &Sheet, observations: &[Observation]) -> Result<WhatIf, Refusal> {
    let prepared = model.network.prepare(&model.evidence(observations)).map_err(Refusal::Engine)?;
    let posterior = prepared.posterior_active();
    let effect = move_effect(model, changed);
    let outlook = Outlook::new(model, &prepared);
    let network = &model.network;
    let causes = model
        .rules
        .cause_keys()
        .map(|key| {
            let cause = model.cause(key);
            let states: Vec<f64> = network.siblings(cause).map(|c| posterior.cause(c)).collect();
            let mut before = vec![(1.0 - states.iter().sum::<f64>()).max(0.0)];
            before.extend(states);
            let at = network.siblings(cause).position(|c| c == cause).unwrap_or(0) + 1;
            let after = effect.push(network, cause, &before);
            (key, BeforeAfter { before: before[at], after: after[at] })
        })
        .collect();
    let strengths = model.strengths_with(changed);
    let defects = model.rules.defect_keys().map(|defect| {
        let harm = harm_with(model, &[defect], &strengths);
        let after = 1.0 - outlook.clean_after(&effect, &harm);
        (defect, BeforeAfter { before: outlook.unchanged(defect), after })
    });
    let defects = defects.collect();
    Ok(WhatIf { causes, defects })
}
