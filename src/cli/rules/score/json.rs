//! The measurement for programs.

use super::{miss, no_answer};
use crate::casebook::score::{Scored, Tally, calibration};
use crate::casebook::{Confidence, Grade};
use crate::rules::RuleBase;
use serde::Serialize;
use std::collections::BTreeMap;

const SCHEMA: u32 = 1;

#[derive(Debug, Serialize)]
pub(super) struct Answer {
    schema: u32,
    inside: Group,
    edge: Group,
    by_grade: BTreeMap<String, Group>,
    by_confidence: BTreeMap<String, Group>,
    by_defect: BTreeMap<String, Group>,
    calibration: Vec<Band>,
    cases: Vec<Case>,
}

#[derive(Debug, Serialize)]
struct Group {
    cases: usize,
    first: usize,
    in_three: usize,
    mean_rank: f64,
    log_loss: f64,
    mean_first: f64,
}

#[derive(Debug, Serialize)]
struct Band {
    from: f64,
    to: f64,
    group: Group,
}

#[derive(Debug, Serialize)]
struct Case {
    id: String,
    grade: Option<&'static str>,
    confidence: Option<&'static str>,
    scope: &'static str,
    rank: Option<usize>,
    none_known: Option<f64>,
    log_loss: Option<f64>,
    truth: Option<Chance>,
    first: Vec<Chance>,
    overreaches: bool,
    outweighed_by: Vec<Weight>,
    no_answer: Option<String>,
}

#[derive(Debug, Serialize)]
struct Chance {
    id: String,
    probability: f64,
}

#[derive(Debug, Serialize)]
struct Weight {
    words: String,
    /// `null` where it rules the cause out.
    ln_first: Option<f64>,
    ln_truth: Option<f64>,
}

fn finite(ln: f64) -> Option<f64> {
    ln.is_finite().then_some(ln)
}

fn group(tally: Tally) -> Group {
    Group {
        cases: tally.cases,
        first: tally.first,
        in_three: tally.in_three,
        mean_rank: tally.mean_rank,
        log_loss: tally.log_loss,
        mean_first: tally.mean_first,
    }
}

pub(super) fn answer(rules: &RuleBase, scored: &[Scored<'_>]) -> Answer {
    let inside = || scored.iter().filter(|s| s.is_inside());
    let inside_list: Vec<&Scored<'_>> = inside().collect();
    Answer {
        schema: SCHEMA,
        inside: group(Tally::of(inside())),
        edge: group(Tally::of(scored.iter().filter(|s| !s.is_inside()))),
        by_grade: Grade::WORDS
            .iter()
            .map(|(w, g)| ((*w).to_owned(), group(Tally::of(inside().filter(|s| s.case.grade == Some(*g))))))
            .collect(),
        by_confidence: Confidence::WORDS
            .iter()
            .map(|(w, c)| {
                ((*w).to_owned(), group(Tally::of(inside().filter(|s| s.case.confidence == Some(*c)))))
            })
            .collect(),
        by_defect: rules
            .defect_keys()
            .map(|d| (rules.defect(d).id.clone(), Tally::of(inside().filter(|s| s.case.what.contains(&d)))))
            .filter(|(_, t)| t.cases > 0)
            .map(|(id, t)| (id, group(t)))
            .collect(),
        calibration: calibration(&inside_list)
            .into_iter()
            .map(|(from, to, tally)| Band { from, to, group: group(tally) })
            .collect(),
        cases: scored.iter().map(|s| case(rules, s)).collect(),
    }
}

fn case(rules: &RuleBase, one: &Scored<'_>) -> Case {
    let chance = |(c, probability): (crate::rules::CauseKey, f64)| Chance {
        id: rules.cause(c).id.clone(),
        probability,
    };
    let answer = one.answer.as_ref().ok();
    Case {
        id: one.case.id.clone(),
        grade: one.case.grade.map(Grade::word),
        confidence: one.case.confidence.map(Confidence::word),
        scope: one.case.scope.word(),
        rank: answer.and_then(|a| a.rank),
        none_known: answer.map(|a| a.none_known),
        log_loss: answer.and_then(crate::casebook::score::Answer::log_loss),
        truth: answer.and_then(crate::casebook::score::Answer::truth).map(chance),
        first: answer.map(|a| a.ranked.iter().take(5).copied().map(chance).collect()).unwrap_or_default(),
        overreaches: one.overreaches(),
        outweighed_by: miss(rules, one)
            .map(|m| {
                m.contrasts
                    .into_iter()
                    .map(|c| Weight { words: c.words, ln_first: finite(c.rival), ln_truth: finite(c.truth) })
                    .collect()
            })
            .unwrap_or_default(),
        no_answer: one.answer.as_ref().err().map(|reason| no_answer(rules, one.case, reason)),
    }
}
