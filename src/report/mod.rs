//! The answer as one page for browser and printer: no script, no network, drawings made here.
//!
//! [`page`] is for a diagnosis, [`check_page`] for a sheet before the cast. The templates see plain texts, which they
//! escape, and finished drawings; `frame.html` has the style, `parts.html` what both pages share. What a page says is
//! what the screen says: both take their words from [`words`].

mod check;
mod draw;
mod templates;
pub mod words;

use crate::advice::findings::lower_first;
use crate::advice::{BeforeAfter, Diagnosis, Model, Observation, RankedRemedy, Reason};
use crate::document::visible;
use crate::inference::Var;
use crate::rules::{CauseKey, DefectKey, SheetRule};
use crate::sheet::{FACTS, Field, Sheet};
pub use check::check_page;
use draw::{Chain, Gauge, Knot, bar};
use minijinja::{Value, context};
pub use templates::environment;
use words::{
    Closer, doubt_words, factor_words, from_to, idle_words, minutes, percent, plan_words, pulled_words,
    step_words, teaches_words,
};

/// Causes on the page.
const CAUSES: usize = 5;
/// Reasons of each cause, for and against.
const REASONS: usize = 2;
/// Boxes of a column in the chain.
const BOXES: usize = 5;
/// Links weaker than this are left out of the chain.
const FAINT: f64 = 0.04;
/// Gauges on the page.
const GAUGES: usize = 6;
/// Worth of a figure that speaks against its cause, beside one that speaks for a cause of this probability.
const AGAINST: f64 = 0.02;
/// What speaks for a cause less likely than this is beside the point.
const POSSIBLE: f64 = 0.01;
/// A factor this far from 1 makes a figure worth a gauge.
const TELLING: f64 = 0.2;

/// A template, and those that it is built from, filled in.
fn render(name: &str, template: &str, filling: Value) -> Result<String, minijinja::Error> {
    let mut templates = environment();
    // The names' ending turns escaping on.
    templates.add_template("frame.html", include_str!("frame.html"))?;
    templates.add_template("parts.html", include_str!("parts.html"))?;
    templates.add_template(name, template)?;
    templates.get_template(name)?.render(filling)
}

/// The page of a diagnosis, as `diagnose` and an interview end with one.
///
/// # Errors
/// Only if the template, which is part of the program, is broken.
pub fn page(
    model: &Model<'_>,
    sheet: &Sheet,
    observations: &[Observation],
    diagnosis: &Diagnosis,
) -> Result<String, minijinja::Error> {
    let rules = model.rules;
    let filling = context! {
        alloy => alloy_words(model, sheet),
        findings => observations.iter().map(|o| o.words(rules)).collect::<Vec<_>>(),
        doubts => doubt_words(diagnosis, &Closer::Ask),
        causes => causes(model, diagnosis),
        defects => defects(model, diagnosis),
        chain => Value::from_safe_string(chain(model, observations, diagnosis)),
        gauges => gauges(model, diagnosis),
        opposites => diagnosis.opposites.iter().map(|o| pulled_words(rules, o)).collect::<Vec<_>>(),
        plan => plan(model, diagnosis),
        cautions => cautions(model, diagnosis),
        sheet => rows(model, sheet),
        note => sheet.note.as_deref().map(visible),
    };
    render("diagnosis.html", include_str!("diagnosis.html"), filling)
}

fn alloy_words(model: &Model<'_>, sheet: &Sheet) -> String {
    visible(&sheet.alloy_heading(model.rules))
}

fn causes(model: &Model<'_>, diagnosis: &Diagnosis) -> Vec<Value> {
    let words = |reason: &Reason| format!("{}: {}", visible(&reason.words), factor_words(reason.ln));
    let side = |all: &[Reason]| all.iter().take(REASONS).map(words).collect::<Vec<_>>();
    diagnosis
        .causes
        .iter()
        .take(CAUSES)
        .map(|c| {
            let cause = model.rules.cause(c.cause);
            context! {
                title => visible(&cause.title),
                percent => percent(c.had_a_hand),
                bar => Value::from_safe_string(bar(c.had_a_hand, &percent(c.had_a_hand))),
                idle => idle_words(c),
                supports => side(&c.supports),
                opposes => side(&c.opposes),
                check => cause.check.as_deref().map(visible),
            }
        })
        .collect()
}

fn defects(model: &Model<'_>, diagnosis: &Diagnosis) -> Vec<Value> {
    let likely = diagnosis.defects.iter().filter(|d| d.explains && d.probability >= 0.1).take(4);
    likely
        .map(|d| {
            context! {
                title => visible(&model.rules.defect(d.defect).title),
                percent => percent(d.probability),
                bar => Value::from_safe_string(bar(d.probability, &percent(d.probability))),
            }
        })
        .collect()
}

/// The likeliest causes, the defects that link them to what was seen, and what was seen.
fn chain(model: &Model<'_>, observations: &[Observation], diagnosis: &Diagnosis) -> String {
    let rules = model.rules;
    let causes: Vec<(CauseKey, f64)> =
        diagnosis.causes.iter().take(BOXES).map(|c| (c.cause, c.had_a_hand)).collect();
    let seen: Vec<&Observation> = observations.iter().filter(|o| o.is_present()).take(BOXES).collect();
    let parents = |o: &Observation| match model.var(*o) {
        Var::Node(node) => model.network.parents(node),
        Var::Cause(_) => &[],
    };
    let to_seen = |defect: DefectKey, o: &Observation| {
        let var = Var::Node(model.defect(defect));
        if model.var(*o) == var {
            return 1.0;
        }
        parents(o).iter().find(|(p, _)| *p == var).map_or(0.0, |(_, s)| *s)
    };
    let defects: Vec<(DefectKey, f64)> = diagnosis
        .defects
        .iter()
        .filter(|d| seen.iter().any(|o| to_seen(d.defect, o) >= FAINT))
        .take(BOXES)
        .map(|d| (d.defect, d.probability))
        .collect();
    let mut links = Vec::new();
    for (at, (defect, _)) in defects.iter().enumerate() {
        let from = causes
            .iter()
            .enumerate()
            .map(|(c, (cause, _))| ((0, c), (1, at), model.strength(*cause, *defect)));
        links.extend(from);
        links.extend(seen.iter().enumerate().map(|(s, o)| ((1, at), (2, s), to_seen(*defect, o))));
    }
    links.retain(|(_, _, strength)| *strength >= FAINT);
    let knot = |title: &str, chance: f64| Knot { title: title.to_owned(), chance: Some(percent(chance)) };
    let drawing = Chain {
        columns: [
            causes.iter().map(|(k, p)| knot(&rules.cause(*k).title, *p)).collect(),
            defects.iter().map(|(k, p)| knot(&rules.defect(*k).title, *p)).collect(),
            seen.iter().map(|o| Knot { title: o.words(rules), chance: None }).collect(),
        ],
        links,
    };
    drawing.svg("Which causes bring which defects, and which defects show as what was seen")
}

/// The known quantities that say most, each on the scale of the rule that reads it.
fn gauges(model: &Model<'_>, diagnosis: &Diagnosis) -> Vec<Value> {
    let rules = model.rules;
    let mut told: Vec<(f64, CauseKey, &SheetRule)> = Vec::new();
    for key in rules.cause_keys() {
        for rule in &rules.cause(key).sheet {
            if let Some(computed) = model.quantities.get(rule.quantity) {
                let holds = model.context.holds(rules, &rule.condition);
                let ln = holds * rule.ln_factor(computed.value).clamp(-20.0, 20.0);
                told.push((ln, key, rule));
            }
        }
    }
    // What speaks for a likely cause comes first; what speaks against one is worth less to the reader.
    let chance =
        |key: CauseKey| diagnosis.causes.iter().find(|c| c.cause == key).map_or(0.0, |c| c.probability);
    told.retain(|(ln, key, _)| ln.abs() >= TELLING && (*ln < 0.0 || chance(*key) >= POSSIBLE));
    let worth = |ln: f64, key: CauseKey| if ln > 0.0 { ln * chance(key) } else { -ln * AGAINST };
    told.sort_by(|a, b| worth(b.0, b.1).total_cmp(&worth(a.0, a.1)).then(a.1.cmp(&b.1)));
    let mut used = Vec::new();
    told.retain(|(_, _, rule)| {
        let new = !used.contains(&rule.quantity);
        used.push(rule.quantity);
        new
    });
    let one = |(ln, key, rule): &(f64, CauseKey, &SheetRule)| {
        let quantity = rules.quantity(rule.quantity);
        let computed = model.quantities.get(rule.quantity)?;
        let (first, last) = (rule.knots.first()?.0, rule.knots.last()?.0);
        let (low, high) = (first.min(computed.value), last.max(computed.value));
        let show = |v: f64| quantity.dimension.show(v);
        let cause = lower_first(&visible(&rules.cause(*key).title));
        let words = format!("{}: “{cause}” {}", visible(&computed.says), factor_words(*ln));
        let gauge = Gauge {
            low,
            high,
            good: quiet(rule, low, high),
            value: (computed.low, computed.value, computed.high),
            ends: (show(low), show(high)),
            label: format!("{} {}", quantity.title, show(computed.value)),
        };
        Some(context! {
            title => quantity.title,
            value => show(computed.value),
            drawing => Value::from_safe_string(gauge.svg()),
            words,
            weak => computed.weak,
        })
    };
    told.iter().take(GAUGES).filter_map(one).collect()
}

/// Stretches of a scale in which the rule does not make its cause likelier.
fn quiet(rule: &SheetRule, low: f64, high: f64) -> Vec<(f64, f64)> {
    const PARTS: usize = 200;
    let mut stretches: Vec<(f64, f64)> = Vec::new();
    let mut open: Option<f64> = None;
    for part in 0..=PARTS {
        #[expect(clippy::cast_precision_loss, reason = "two hundred parts")]
        let value = low + (high - low) * part as f64 / PARTS as f64;
        let good = rule.ln_factor(value) <= 0.0;
        match (good, open) {
            (true, None) => open = Some(value),
            (false, Some(from)) => {
                stretches.push((from, value));
                open = None;
            }
            _ => {}
        }
    }
    stretches.extend(open.map(|from| (from, high)));
    stretches
}

fn plan(model: &Model<'_>, diagnosis: &Diagnosis) -> Option<Value> {
    let rules = model.rules;
    let plan = diagnosis.plan.as_ref()?;
    let steps: Vec<Value> = plan
        .steps
        .iter()
        .filter_map(|step| Some((step, ranked(diagnosis, step.remedy)?)))
        .map(|(step, ranked)| {
            let remedy = rules.remedy(step.remedy);
            context! {
                title => visible(&remedy.title),
                change => visible(&remedy.change),
                figure => ranked.step.and_then(step_words),
                needed => percent(step.needed),
                works => percent(step.works),
                effort => minutes(remedy.effort.get() / 60.0),
                eases => moves(model, &ranked.eases, 3),
                spoils => moves(model, &ranked.spoils, 2),
                teaches => visible(&teaches_words(rules, step.teaches)),
            }
        })
        .collect();
    Some(context! {
        steps,
        sum => plan_words(plan, &Closer::Ask),
        likeliest => minutes(plan.likeliest_first.minutes),
        cheapest => minutes(plan.cheapest_first.minutes),
        at_once => (plan.steps.len() > 1).then(|| minutes(plan.at_once.minutes)),
    })
}

/// Defects whose chance moves, in words.
fn moves(model: &Model<'_>, all: &[(DefectKey, BeforeAfter)], count: usize) -> String {
    let one = |(d, c): &(DefectKey, BeforeAfter)| {
        format!("{} {}", lower_first(&visible(&model.rules.defect(*d).title)), from_to(*c))
    };
    all.iter().take(count).map(one).collect::<Vec<_>>().join("; ")
}

fn ranked(diagnosis: &Diagnosis, remedy: crate::rules::RemedyKey) -> Option<&RankedRemedy> {
    diagnosis.remedies.iter().find(|r| r.remedy == remedy)
}

/// The cautions of the plan's steps, each once.
fn cautions(model: &Model<'_>, diagnosis: &Diagnosis) -> Vec<Value> {
    let rules = model.rules;
    let steps = diagnosis.plan.iter().flat_map(|p| &p.steps);
    let mut keys: Vec<_> = steps.flat_map(|s| rules.remedy(s.remedy).cautions.iter().copied()).collect();
    let mut seen = Vec::new();
    keys.retain(|k| {
        let new = !seen.contains(k);
        seen.push(*k);
        new
    });
    keys.into_iter()
        .map(|k| {
            let caution = rules.caution(k);
            context! { hazard => visible(caution.hazard.trim_end_matches('.')), advice => visible(&caution.advice) }
        })
        .collect()
}

/// The sheet as names and values.
fn rows(model: &Model<'_>, sheet: &Sheet) -> Vec<(String, String)> {
    let rules = model.rules;
    let facts = FACTS.iter().filter_map(|(_, _, id)| {
        let key = rules.find_fact(id)?;
        let value = *sheet.facts.get(&key)?;
        let fact = rules.fact(key);
        Some((visible(&fact.title), visible(&fact.values.get(value)?.title)))
    });
    let figures = Field::ALL.iter().filter_map(|f| {
        sheet.figures.get(f).map(|r| (f.title().to_owned(), visible(&f.dimension().show(r.value))))
    });
    facts.chain(figures).collect()
}
