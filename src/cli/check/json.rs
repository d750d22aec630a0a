//! The check for programs. README.md documents the schema; fields are only ever added within a schema number.

use super::Answer;
use crate::advice::limits::{Bound, Held, Level, Standing};
use crate::cli::rule_base::{Warning, warnings};
use serde::Serialize;

const SCHEMA: u32 = 1;

#[derive(Debug, Serialize)]
pub(super) struct Check {
    schema: u32,
    alloy: Option<String>,
    /// `stop` when a limit is passed that can hurt someone or ruin the cast, else `go`.
    verdict: &'static str,
    limits: Vec<Limit>,
    risks: Vec<Risk>,
    causes: Vec<Cause>,
    changes: Vec<Change>,
    cautions: Vec<Caution>,
    /// Figures to look at again.
    warnings: Vec<Warning>,
}

#[derive(Debug, Serialize)]
struct Limit {
    id: &'static str,
    title: &'static str,
    level: &'static str,
    standing: &'static str,
    quantity: &'static str,
    name: &'static str,
    value: f64,
    low: f64,
    high: f64,
    bound: &'static str,
    limit: f64,
    unit: &'static str,
    says: String,
    weak: Option<&'static str>,
    cure: &'static str,
    basis: &'static str,
}

#[derive(Debug, Serialize)]
struct Risk {
    id: String,
    title: String,
    chance: f64,
    usual: f64,
    raised: bool,
}

#[derive(Debug, Serialize)]
struct Cause {
    id: String,
    title: String,
    chance: f64,
}

#[derive(Debug, Serialize)]
struct Change {
    id: String,
    title: String,
    defect: String,
    before: f64,
    after: f64,
    field: Option<&'static str>,
    from: Option<f64>,
    to: Option<f64>,
    unit: Option<&'static str>,
}

#[derive(Debug, Serialize)]
struct Caution {
    id: String,
    step: String,
    hazard: String,
    advice: String,
    basis: String,
    authority: String,
}

pub(super) fn answer(answer: &Answer<'_>) -> Check {
    let rules = answer.model.rules;
    let forecast = &answer.forecast;
    Check {
        schema: SCHEMA,
        alloy: answer.sheet.alloy_words(rules),
        verdict: if answer.held.iter().any(Held::stops) { "stop" } else { "go" },
        limits: answer.held.iter().map(limit).collect(),
        risks: forecast
            .risks
            .iter()
            .map(|r| {
                let defect = rules.defect(r.defect);
                Risk {
                    id: defect.id.clone(),
                    title: defect.title.clone(),
                    chance: r.chance,
                    usual: r.usual,
                    raised: r.is_raised(),
                }
            })
            .collect(),
        causes: forecast
            .causes
            .iter()
            .map(|c| {
                let cause = rules.cause(c.cause);
                Cause { id: cause.id.clone(), title: cause.title.clone(), chance: c.probability }
            })
            .collect(),
        changes: forecast
            .promises
            .iter()
            .map(|p| {
                let remedy = rules.remedy(p.remedy.remedy);
                let step = p.remedy.step;
                Change {
                    id: remedy.id.clone(),
                    title: remedy.title.clone(),
                    defect: rules.defect(p.defect).id.clone(),
                    before: p.chance.before,
                    after: p.chance.after,
                    field: step.map(|s| s.field.id()),
                    from: step.and_then(|s| s.from),
                    to: step.and_then(|s| s.to),
                    unit: step.map(|s| s.field.dimension().stored_unit()),
                }
            })
            .collect(),
        cautions: answer
            .cautions
            .iter()
            .map(|r| {
                let caution = rules.caution(r.caution);
                Caution {
                    id: caution.id.clone(),
                    step: r.step.clone(),
                    hazard: caution.hazard.clone(),
                    advice: caution.advice.clone(),
                    basis: caution.basis.words(rules),
                    authority: caution.basis.in_full(rules),
                }
            })
            .collect(),
        warnings: warnings(answer.sheet),
    }
}

fn limit(held: &Held) -> Limit {
    let l = held.limit;
    Limit {
        id: l.id,
        title: l.title,
        level: match l.level {
            Level::Stop => "stop",
            Level::Watch => "watch",
        },
        standing: match held.standing {
            Standing::Clear => "clear",
            Standing::Near => "near",
            Standing::Passed => "passed",
        },
        quantity: l.quantity,
        name: held.name,
        value: held.figure.value,
        low: held.figure.low,
        high: held.figure.high,
        bound: match l.bound {
            Bound::Most(_) => "most",
            Bound::Least(_) => "least",
        },
        limit: l.bound.at(),
        unit: held.dimension.stored_unit(),
        says: held.figure.says.clone(),
        weak: held.figure.weak,
        cure: l.cure,
        basis: l.basis,
    }
}
