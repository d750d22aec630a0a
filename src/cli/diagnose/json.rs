//! The answer for programs. README.md documents the schema; fields are only ever added within a schema number.

use super::next::Written;
use crate::advice::findings::{id, title};
use crate::advice::{
    BeforeAfter, Diagnosis, Missing, Model, Observation, Opposites, Pair, Plan, Policy, Reason, Sureness,
    WhatIf,
};
use crate::casebook::learn::Counts;
use crate::cli::rule_base::{Warning, warnings};
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
    pairs: Vec<Together>,
    plan: Option<Steps>,
    opposites: Vec<Pull>,
    what_if: Option<Change>,
    next: Option<Written>,
    /// Figures of the sheet to look at again.
    warnings: Vec<Warning>,
    /// Only when closed cases of the shop tune how often each cause happens.
    #[serde(skip_serializing_if = "Option::is_none")]
    tuned: Option<Tuned>,
}

/// By what the rates were tuned.
#[derive(Debug, Serialize)]
pub(in crate::cli) struct Tuned {
    closed_cases: u32,
    note: String,
}

impl From<&Counts> for Tuned {
    fn from(counts: &Counts) -> Self {
        Self { closed_cases: counts.closed, note: counts.words() }
    }
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

/// Two changes for one cast; `success` is with the first alone and with both.
#[derive(Debug, Serialize)]
struct Together {
    remedies: [String; 2],
    success: Chance,
}

#[derive(Debug, Serialize)]
struct Steps {
    expected_minutes: f64,
    work_minutes: f64,
    solved: f64,
    recast_minutes: f64,
    unsolved_minutes: f64,
    steps: Vec<PlanStep>,
    likeliest_first: Other,
    cheapest_first: Other,
    at_once: Other,
}

#[derive(Debug, Serialize)]
struct PlanStep {
    remedy: String,
    needed: f64,
    works: f64,
    cause: String,
    cause_now: f64,
    cause_if_works: f64,
    cause_if_fails: f64,
}

#[derive(Debug, Serialize)]
struct Other {
    order: Vec<String>,
    expected_minutes: f64,
    solved: f64,
}

/// A figure that two defects want moved in opposite directions.
#[derive(Debug, Serialize)]
struct Pull {
    field: &'static str,
    unit: &'static str,
    from: f64,
    lower_for: String,
    lower: Chance,
    higher_for: String,
    higher: Chance,
    window: [f64; 2],
    either_at_best: f64,
    split_the_tree: bool,
}

/// Every cause and defect with other figures on the sheet.
#[derive(Debug, Serialize)]
pub(in crate::cli) struct Change {
    causes: Vec<Spoil>,
    defects: Vec<Spoil>,
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
    explains: bool,
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
    eases: Vec<Spoil>,
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

/// What was asked for beside the diagnosis.
#[derive(Default)]
pub(in crate::cli) struct Extra<'a> {
    pub(in crate::cli) what_if: Option<&'a WhatIf>,
    pub(in crate::cli) next: Option<Written>,
    pub(in crate::cli) tuned: Option<&'a Counts>,
}

pub(in crate::cli) fn answer(
    model: &Model<'_>,
    sheet: &Sheet,
    observations: &[Observation],
    understood: Option<&super::understood::Taken>,
    diagnosis: &Diagnosis,
    missing: &[Missing],
    extra: Extra<'_>,
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
                Defect {
                    id: defect.id.clone(),
                    title: defect.title.clone(),
                    probability: d.probability,
                    explains: d.explains,
                }
            })
            .collect(),
        remedies: diagnosis.remedies.iter().map(|r| remedy(rules, r)).collect(),
        none_known: diagnosis.none_known,
        conflict_ln: diagnosis.conflict,
        left_out: diagnosis.left_out.clone(),
        missing: missing.iter().map(|m| unknown(rules, m)).collect(),
        trouble: diagnosis.trouble.iter().map(|d| rules.defect(*d).id.clone()).collect(),
        pairs: diagnosis.pairs.iter().map(|p| together(rules, p)).collect(),
        plan: diagnosis.plan.as_ref().map(|p| plan(rules, p)),
        opposites: diagnosis.opposites.iter().map(|o| pull(rules, o)).collect(),
        what_if: extra.what_if.map(|w| change(rules, w)),
        next: extra.next,
        warnings: warnings(sheet),
        tuned: extra.tuned.map(Tuned::from),
    }
}

fn chance(c: BeforeAfter) -> Chance {
    Chance { before: c.before, after: c.after }
}

fn together(rules: &RuleBase, pair: &Pair) -> Together {
    let id = |r| rules.remedy(r).id.clone();
    Together { remedies: [id(pair.remedies.0), id(pair.remedies.1)], success: chance(pair.success) }
}

fn plan(rules: &RuleBase, plan: &Plan) -> Steps {
    let other = |p: &Policy| Other {
        order: p.order.iter().map(|r| rules.remedy(*r).id.clone()).collect(),
        expected_minutes: p.minutes,
        solved: p.solved,
    };
    Steps {
        expected_minutes: plan.minutes,
        work_minutes: plan.work,
        solved: plan.solved,
        recast_minutes: crate::advice::RECAST_MINUTES,
        unsolved_minutes: crate::advice::UNSOLVED_MINUTES,
        steps: plan
            .steps
            .iter()
            .map(|s| PlanStep {
                remedy: rules.remedy(s.remedy).id.clone(),
                needed: s.needed,
                works: s.works,
                cause: rules.cause(s.teaches.cause).id.clone(),
                cause_now: s.teaches.now,
                cause_if_works: s.teaches.if_works,
                cause_if_fails: s.teaches.if_fails,
            })
            .collect(),
        likeliest_first: other(&plan.likeliest_first),
        cheapest_first: other(&plan.cheapest_first),
        at_once: other(&plan.at_once),
    }
}

fn pull(rules: &RuleBase, o: &Opposites) -> Pull {
    let id = |d| rules.defect(d).id.clone();
    Pull {
        field: o.field.id(),
        unit: o.field.dimension().stored_unit(),
        from: o.from,
        lower_for: id(o.lower.0),
        lower: Chance { before: o.lower.1, after: o.lower.2 },
        higher_for: id(o.higher.0),
        higher: Chance { before: o.higher.1, after: o.higher.2 },
        window: [o.window.0, o.window.1],
        either_at_best: o.at_best,
        split_the_tree: o.split,
    }
}

/// A forward run as JSON.
pub(in crate::cli) fn change(rules: &RuleBase, what_if: &WhatIf) -> Change {
    let one = |id: &String, title: &String, c: BeforeAfter| Spoil {
        id: id.clone(),
        title: title.clone(),
        before: c.before,
        after: c.after,
    };
    Change {
        causes: what_if
            .causes
            .iter()
            .map(|(k, c)| one(&rules.cause(*k).id, &rules.cause(*k).title, *c))
            .collect(),
        defects: what_if
            .defects
            .iter()
            .map(|(k, c)| one(&rules.defect(*k).id, &rules.defect(*k).title, *c))
            .collect(),
    }
}

fn changes(rules: &RuleBase, all: &[(crate::rules::DefectKey, BeforeAfter)]) -> Vec<Spoil> {
    all.iter()
        .map(|(d, c)| Spoil {
            id: rules.defect(*d).id.clone(),
            title: rules.defect(*d).title.clone(),
            before: c.before,
            after: c.after,
        })
        .collect()
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
        eases: changes(rules, &ranked.eases),
        spoils: changes(rules, &ranked.spoils),
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
