//! `--if`: what other figures, another alloy or another way of working would do.

use crate::advice::findings::lower_first;
use crate::advice::{BeforeAfter, WhatIf};
use crate::cli::failure::Failure;
use crate::cli::output::{Out, from_to};
use crate::cli::style::{HEADING, paint};
use crate::rules::RuleBase;
use crate::sheet::{FACTS, Field, Sheet, apply_setting};

/// Changes smaller than this are not worth a line; JSON has them all.
const SHOWN: f64 = 0.005;

/// The sheet with the settings of the flags; `None` without flags.
pub(super) fn changed(
    rules: &RuleBase,
    sheet: &Sheet,
    settings: &[String],
) -> Result<Option<Sheet>, Failure> {
    let mut changed = sheet.clone();
    for text in settings {
        apply_setting(rules, &mut changed, text).map_err(Failure::usage)?;
    }
    Ok((!settings.is_empty()).then_some(changed))
}

/// Figures that differ, with the old and the new one.
pub(in crate::cli) fn differing(a: &Sheet, b: &Sheet) -> Vec<(Field, Option<f64>, Option<f64>)> {
    let all = Field::ALL.iter().map(|f| (*f, a.get(*f), b.get(*f)));
    all.filter(|(_, a, b)| a != b).collect()
}

/// The alloy and the facts that differ, by their place on the sheet, with the old and the new one.
pub(in crate::cli) fn unlike(
    rules: &RuleBase,
    a: &Sheet,
    b: &Sheet,
) -> Vec<(String, Option<String>, Option<String>)> {
    let alloy = ("alloy".to_owned(), a.alloy_words(rules), b.alloy_words(rules));
    let facts = FACTS.iter().map(|(section, name, id)| {
        let place = section.map_or_else(|| (*name).to_owned(), |s| format!("{s}.{name}"));
        let value = |s: &Sheet| s.fact(rules, id).map(str::to_owned);
        (place, value(a), value(b))
    });
    std::iter::once(alloy).chain(facts).filter(|(_, a, b)| a != b).collect()
}

pub(super) fn print(rules: &RuleBase, sheet: &Sheet, changed: &Sheet, what_if: &WhatIf, out: &mut Out) {
    out.gap();
    out.line(paint(HEADING, "What if, at the next cast"));
    let show = |v: Option<String>| v.unwrap_or_else(|| "not recorded".to_owned());
    for (what, from, to) in unlike(rules, sheet, changed) {
        out.hang("     ", &format!("{what}: {} -> {}", show(from), show(to)));
    }
    for (field, from, to) in differing(sheet, changed) {
        let figure = |v: Option<f64>| show(v.map(|v| field.dimension().show(v)));
        out.hang("     ", &format!("{} {} -> {}", field.title(), figure(from), figure(to)));
    }
    let causes = what_if.causes.iter().map(|(k, c)| (rules.cause(*k).title.as_str(), *c));
    let defects = what_if.defects.iter().map(|(k, c)| (rules.defect(*k).title.as_str(), *c));
    table("causes", causes, out);
    table("defects", defects, out);
}

/// The changes, the largest first.
fn table<'a>(what: &str, all: impl Iterator<Item = (&'a str, BeforeAfter)>, out: &mut Out) {
    let size = |c: &BeforeAfter| (c.after - c.before).abs();
    let mut shown: Vec<(&str, BeforeAfter)> = all.filter(|(_, c)| size(c) >= SHOWN).collect();
    shown.sort_by(|a, b| size(&b.1).total_cmp(&size(&a.1)));
    if shown.is_empty() {
        out.hang("     ", &format!("{what}: nothing changes by half a point or more"));
    }
    for (title, chance) in shown {
        let word = if chance.after > chance.before { "likelier" } else { "less likely" };
        out.hang("     ", &format!("{}: {} ({word})", lower_first(title), from_to(chance)));
    }
}
