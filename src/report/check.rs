//! The page of a sheet before the cast.

use super::draw::{Gauge, bar};
use super::words::{causes_behind, from_to, limit_words, minutes, percent, reason_words, step_words};
use super::{alloy_words, moves, render, rows, upper_first, warnings};
use crate::advice::cautions::Raised;
use crate::advice::findings::lower_first;
use crate::advice::limits::{Bound, Held, worth_showing};
use crate::advice::{Forecast, Model};
use crate::document::visible;
use crate::sheet::Sheet;
use minijinja::{Value, context};

/// Raised risks and changes on the page.
const SHOWN: usize = 5;
/// Causes named under the risks.
const CAUSES: usize = 3;

/// The page of a check: figures against their limits, raised risks, what to change first, cautions, the sheet.
///
/// # Errors
/// Only if the template, which is part of the program, is broken.
pub fn check_page(
    model: &Model<'_>,
    sheet: &Sheet,
    held: &[Held],
    forecast: &Forecast,
    cautions: &[Raised],
) -> Result<String, minijinja::Error> {
    let stops: Vec<Value> = held
        .iter()
        .filter(|h| h.stops())
        .map(|h| context! { title => h.limit.title, says => upper_first(&visible(&h.figure.says)), cure => upper_first(h.limit.cure) })
        .collect();
    let filling = context! {
        alloy => alloy_words(model, sheet),
        warnings => warnings(sheet),
        stops,
        gauges => worth_showing(held).into_iter().map(gauge).collect::<Vec<_>>(),
        risks => risks(model, forecast),
        causes => causes(model, forecast),
        changes => changes(model, forecast),
        cautions => raised(model, cautions),
        sheet => rows(model, sheet),
        note => sheet.note.as_deref().map(visible),
    };
    render("check.html", include_str!("check.html"), filling)
}

/// A figure on the scale of its limit; a scale with a low end above zero is logarithmic.
fn gauge(held: &Held) -> Value {
    let (from, to) = held.limit.gauge;
    let place = |v: f64| if from > 0.0 { v.clamp(from, to).ln() } else { v.clamp(from, to) };
    let at = place(held.limit.bound.at());
    let show = |v: f64| held.dimension.show(v);
    let words = limit_words(held);
    let drawing = Gauge {
        low: place(from),
        high: place(to),
        good: vec![match held.limit.bound {
            Bound::Most(_) => (place(from), at),
            Bound::Least(_) => (at, place(to)),
        }],
        value: (place(held.figure.low), place(held.figure.value), place(held.figure.high)),
        ends: (show(from), show(to)),
        label: format!("{}: {words}", held.name),
    };
    // A recorded figure says no more than its head.
    let says =
        if held.figure.says.starts_with(held.name) { String::new() } else { visible(&held.figure.says) };
    let cure = if held.is_passed() {
        format!("{}{}: {}", if says.is_empty() { "" } else { "; " }, held.limit.title, held.limit.cure)
    } else {
        String::new()
    };
    let best_in_words = held.is_best_in_words();
    context! {
        standing => held.word(),
        title => if best_in_words { visible(&held.figure.says) } else { held.name.to_owned() },
        value => (!best_in_words).then_some(words),
        drawing => Value::from_safe_string(drawing.svg()),
        words => if best_in_words { String::new() } else { format!("{says}{cure}") },
        weak => held.figure.weak,
    }
}

fn risks(model: &Model<'_>, forecast: &Forecast) -> Vec<Value> {
    let one = |r: &crate::advice::Risk| {
        context! {
            title => visible(&model.rules.defect(r.defect).title),
            percent => percent(r.chance),
            usual => percent(r.usual),
            bar => Value::from_safe_string(bar(r.chance, &percent(r.chance))),
        }
    };
    forecast.raised.iter().take(SHOWN).map(one).collect()
}

/// The causes behind the risks, when there are any.
fn causes(model: &Model<'_>, forecast: &Forecast) -> Vec<String> {
    let one = |c: &crate::advice::RankedCause| {
        let because = c.supports.first().map_or_else(String::new, |r| format!(": {}", reason_words(r)));
        visible(&format!("{}{because}", lower_first(&model.rules.cause(c.cause).title)))
    };
    causes_behind(model, forecast, SHOWN).take(CAUSES).map(one).collect()
}

fn changes(model: &Model<'_>, forecast: &Forecast) -> Vec<Value> {
    let one = |p: &crate::advice::Promise| {
        let remedy = model.rules.remedy(p.remedy.remedy);
        context! {
            title => visible(&remedy.title),
            change => visible(&remedy.change),
            figure => p.remedy.step.and_then(step_words),
            effort => minutes(remedy.effort.get() / 60.0),
            defect => visible(&model.rules.defect(p.defect).title),
            chance => from_to(p.chance),
            spoils => moves(model, &p.remedy.spoils, 2),
        }
    };
    forecast.promises.iter().take(SHOWN).map(one).collect()
}

fn raised(model: &Model<'_>, cautions: &[Raised]) -> Vec<Value> {
    let rules = model.rules;
    let one = |r: &Raised| {
        let caution = rules.caution(r.caution);
        context! {
            step => visible(&r.step),
            hazard => visible(caution.hazard.trim_end_matches('.')),
            advice => visible(&caution.advice),
            authority => visible(&caution.basis.in_full(rules)),
        }
    };
    cautions.iter().map(one).collect()
}
