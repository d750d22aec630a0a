//! The answer for programs. README.md documents the schema; fields are only ever added within a schema number.

use crate::advice::findings::{id, title};
use crate::advice::{BeforeAfter, Diagnosis, Missing, Model, Observation, Reason, Sureness};
use crate::rules::RuleBase;
use crate::sheet::Sheet;
use serde::Serialize;

/// Number of the schema.
const SCHEMA: u32 = 1;

#[derive(Debug, Serialize)]
pub(in crate::cli) struct Answer {
    schema: u32,
    alloy: Option<String>,
    findings: Vec<Finding>,
    /// Only when free words were given.
    #[serde(skip_serializing_if = "Option::is_none")]
    understood: Option<super::understood::Answer>,
    causes: Vec<Cause>,
    defects: Vec<Defect>,
    remedies: Vec<Remedy>,
    none_known: f64,
    conflict_ln: f64,
    left_out: Vec<String>,
    trouble: Vec<String>,
    missing: Vec<Unknown>,
}

/// A figure that is not on the sheet and would move the leading causes.
#[derive(Debug, Serialize)]
struct Unknown {
    /// Its path on the sheet.
    id: String,
    title: String,
    /// Expected movement of the leading causes' chances, summed.
    change: f64,
    cause: String,
    cause_change: f64,
}

#[derive(Debug, Serialize)]
struct Finding {
    id: String,
    title: String,
    kind: &'static str,
    how: &'static str,
}

#[derive(Debug, Serialize)]
struct Cause {
    id: String,
    title: String,
    probability: f64,
    had_a_hand: f64,
    prior: f64,
    supports: Vec<Because>,
    opposes: Vec<Because>,
    basis: String,
}

#[derive(Debug, Serialize)]
struct Because {
    words: String,
    /// `null` where the sheet rules the cause out.
    ln_factor: Option<f64>,
    weak: Option<&'static str>,
}

#[derive(Debug, Serialize)]
struct Defect {
    id: String,
    title: String,
    probability: f64,
}

#[derive(Debug, Serialize)]
struct Remedy {
    id: String,
    title: String,
    change: String,
    against: String,
    success: Chance,
    gain_per_hour: f64,
    effort_minutes: f64,
    step: Option<Step>,
    spoils: Vec<Spoil>,
    cautions: Vec<Caution>,
    because: String,
    basis: String,
}

#[derive(Debug, Serialize)]
struct Chance {
    before: f64,
    after: f64,
}

#[derive(Debug, Serialize)]
struct Step {
    field: &'static str,
    from: Option<f64>,
    to: Option<f64>,
    unit: &'static str,
}

#[derive(Debug, Serialize)]
struct Spoil {
    id: String,
    title: String,
    before: f64,
    after: f64,
}

#[derive(Debug, Serialize)]
struct Caution {
    id: String,
    hazard: String,
    advice: String,
    basis: String,
}

pub(in crate::cli) fn answer(
    model: &Model<'_>,
    sheet: &Sheet,
    observations: &[Observation],
    understood: Option<&super::understood::Taken>,
    diagnosis: &Diagnosis,
    missing: &[Missing],
) -> Answer {
    let rules = model.rules;
    Answer {
        schema: SCHEMA,
        alloy: sheet.alloy_words(rules),
        findings: observations.iter().map(|o| finding(rules, o)).collect(),
        understood: understood.map(|t| t.answer(rules)),
        causes: diagnosis
            .causes
            .iter()
            .map(|c| {
                let cause = rules.cause(c.cause);
                Cause {
                    id: cause.id.clone(),
                    title: cause.title.clone(),
                    probability: c.probability,
                    had_a_hand: c.had_a_hand,
                    prior: c.prior,
                    supports: c.supports.iter().map(because).collect(),
                    opposes: c.opposes.iter().map(because).collect(),
                    basis: cause.basis.words(rules),
                }
            })
            .collect(),
        defects: diagnosis
            .defects
            .iter()
            .map(|d| {
                let defect = rules.defect(d.defect);
                Defect { id: defect.id.clone(), title: defect.title.clone(), probability: d.probability }
            })
            .collect(),
        remedies: diagnosis.remedies.iter().map(|r| remedy(rules, r)).collect(),
        none_known: diagnosis.none_known,
        conflict_ln: diagnosis.conflict,
        left_out: diagnosis.left_out.clone(),
        missing: missing.iter().map(|m| unknown(rules, m)).collect(),
        trouble: diagnosis.trouble.iter().map(|d| rules.defect(*d).id.clone()).collect(),
    }
}

fn finding(rules: &RuleBase, observation: &Observation) -> Finding {
    Finding {
        id: id(rules, observation.finding).to_owned(),
        title: title(rules, observation.finding).to_owned(),
        kind: kind(observation.finding),
        how: how(observation.how),
    }
}

pub(super) fn kind(finding: crate::rules::Finding) -> &'static str {
    match finding {
        crate::rules::Finding::Defect(_) => "defect",
        crate::rules::Finding::Sign(_) => "sign",
    }
}

pub(super) fn how(sureness: Sureness) -> &'static str {
    match sureness {
        Sureness::Seen => "seen",
        Sureness::Probably => "probably",
        Sureness::Absent => "absent",
        Sureness::RuledOut => "ruled-out",
        Sureness::Certain => "certain",
    }
}

fn because(reason: &Reason) -> Because {
    Because {
        words: reason.words.clone(),
        ln_factor: reason.ln.is_finite().then_some(reason.ln),
        weak: reason.weak,
    }
}

fn remedy(rules: &RuleBase, ranked: &crate::advice::RankedRemedy) -> Remedy {
    let remedy = rules.remedy(ranked.remedy);
    let chance = |c: BeforeAfter| Chance { before: c.before, after: c.after };
    Remedy {
        id: remedy.id.clone(),
        title: remedy.title.clone(),
        change: remedy.change.clone(),
        against: rules.cause(ranked.against).id.clone(),
        success: chance(ranked.success),
        gain_per_hour: ranked.gain_per_hour,
        effort_minutes: remedy.effort.get() / 60.0,
        step: ranked.step.map(|s| Step {
            field: s.field.id(),
            from: s.from,
            to: s.to,
            unit: s.field.dimension().stored_unit(),
        }),
        spoils: ranked
            .spoils
            .iter()
            .map(|(d, c)| Spoil {
                id: rules.defect(*d).id.clone(),
                title: rules.defect(*d).title.clone(),
                before: c.before,
                after: c.after,
            })
            .collect(),
        cautions: remedy
            .cautions
            .iter()
            .map(|k| {
                let c = rules.caution(*k);
                Caution {
                    id: c.id.clone(),
                    hazard: c.hazard.clone(),
                    advice: c.advice.clone(),
                    basis: c.basis.words(rules),
                }
            })
            .collect(),
        because: remedy.because.clone(),
        basis: remedy.basis.words(rules),
    }
}

fn unknown(rules: &RuleBase, missing: &Missing) -> Unknown {
    Unknown {
        id: missing.what.id(rules),
        title: missing.what.title(rules).to_owned(),
        change: missing.change,
        cause: rules.cause(missing.cause).id.clone(),
        cause_change: missing.cause_change,
    }
}
