//! The screen of a check.

use super::Answer;
use super::gauge::gauge;
use crate::advice::findings::lower_first;
use crate::advice::limits::{Held, Standing, worth_showing};
use crate::advice::{Promise, Risk};
use crate::cli::output::{Out, bar, percent};
use crate::cli::style::{CAUTION, HEADING, paint};
use crate::report::words::{causes_behind, limit_words, reason_words, step_words};
use crate::units::{Dimension, figures, significant};

pub(super) fn print(answer: &Answer<'_>, top: usize, warnings: &str, out: &mut Out) {
    if !warnings.is_empty() {
        out.line(warnings.trim_end());
        out.gap();
    }
    let rules = answer.model.rules;
    let alloy = answer.sheet.alloy_heading(rules);
    let figures = answer.sheet.figures.len() + answer.sheet.facts.len();
    let s = if figures == 1 { "" } else { "s" };
    out.hang("", &format!("{alloy}; {figures} figure{s} on the sheet"));
    if answer.sheet.alloy().is_none() {
        out.hang("", "Most figures need the alloy itself, not only its family: name one of the table.");
    }
    out.gap();
    verdict(answer, out);
    limits(answer, out);
    risks(answer, top, out);
    changes(answer, top, out);
    cautions(answer, out);
    out.hang(
        "",
        "The percentages are the model's own: strengths and base rates are graded by hand for casts that went \
         wrong, so read them against each other and not as your shop's scrap rate. The equipment maker, local \
         codes and licensed practice come first.",
    );
}

fn verdict(answer: &Answer<'_>, out: &mut Out) {
    let passed: Vec<&Held> = answer.held.iter().filter(|h| h.stops()).collect();
    for held in &passed {
        let mut block = Out::new();
        block.hang("limit passed: ", &format!("{}: {}.", held.limit.id, held.limit.title));
        out.line(block.into_text().trim_end().replacen("limit passed:", &paint(CAUTION, "limit passed:"), 1));
    }
    if passed.is_empty() {
        out.line("No limit is passed that can hurt someone or ruin the cast.");
    } else {
        out.hang("", "Do not cast so.");
    }
    out.gap();
}

fn limits(answer: &Answer<'_>, out: &mut Out) {
    out.line(paint(HEADING, "Figures against their limits"));
    if answer.held.is_empty() {
        out.hang("  ", "Nothing on this sheet can be held against a limit.");
        out.gap();
        return;
    }
    for held in worth_showing(&answer.held) {
        let word = held.word();
        let lead = format!("  {word:<5} {}  ", gauge(held));
        if held.is_best_in_words() {
            out.hang(&lead, &held.figure.says);
            continue;
        }
        out.hang(&lead, &format!("{}: {}", held.name, limit_words(held)));
        // A recorded figure says no more than its row.
        if held.standing != Standing::Clear && !held.figure.says.starts_with(held.name) {
            let weak = held.figure.weak.map_or_else(String::new, |w| format!(" (rough: {w})"));
            out.hang("        ", &format!("{}{weak}", held.figure.says));
        }
        if held.is_passed() {
            out.hang("        ", &format!("{}: {}", held.limit.title, held.limit.cure));
        }
    }
    out.hang("  ", "o the figure, = how far off it may be, | its limit, X both.");
    out.gap();
}

fn risks(answer: &Answer<'_>, top: usize, out: &mut Out) {
    out.line(paint(HEADING, "Faults that this sheet makes likelier"));
    let raised = &answer.forecast.raised;
    if raised.is_empty() {
        out.hang("  ", "None: no fault is likelier with this sheet than with any other of this alloy.");
    }
    for risk in raised.iter().take(top) {
        one_risk(answer, risk, out);
    }
    if raised.len() > top {
        out.line(format!("  and {} more", raised.len() - top));
    }
    for cause in causes_behind(answer.model, &answer.forecast, top).take(top.min(3)) {
        let because = cause.supports.first().map_or_else(String::new, |r| format!(": {}", reason_words(r)));
        let title = lower_first(&answer.model.rules.cause(cause.cause).title);
        out.hang("  by: ", &format!("{title}{because}"));
    }
    out.gap();
}

fn one_risk(answer: &Answer<'_>, risk: &Risk, out: &mut Out) {
    let defect = answer.model.rules.defect(risk.defect);
    let times = figures(significant(risk.chance / risk.usual.max(1e-6), 2), 2);
    let lead = format!("  [{}] {:>9}  ", bar(risk.chance, 10), percent(risk.chance));
    out.hang(&lead, &format!("{}; usual {}, {times} times", defect.title, percent(risk.usual)));
}

fn changes(answer: &Answer<'_>, top: usize, out: &mut Out) {
    if answer.forecast.raised.is_empty() {
        return;
    }
    out.line(paint(HEADING, "What to change first"));
    if answer.forecast.promises.is_empty() {
        out.hang("  ", "No single change known here lowers these risks by enough to speak of.");
    }
    for (at, promise) in answer.forecast.promises.iter().take(top).enumerate() {
        one_change(answer, at + 1, promise, out);
    }
    out.gap();
}

fn one_change(answer: &Answer<'_>, number: usize, promise: &Promise, out: &mut Out) {
    let rules = answer.model.rules;
    let remedy = rules.remedy(promise.remedy.remedy);
    out.hang(&format!("{number:>3}. "), &remedy.title);
    match promise.remedy.step.and_then(step_words) {
        Some(words) => out.hang("     this sheet: ", &words),
        None => out.hang("     ", &remedy.change),
    }
    let title = lower_first(&rules.defect(promise.defect).title);
    out.hang(
        "     ",
        &format!(
            "{title} {} -> {}; work {}",
            percent(promise.chance.before),
            percent(promise.chance.after),
            Dimension::Duration.show(remedy.effort.get())
        ),
    );
    for (defect, chance) in promise.remedy.spoils.iter().take(2) {
        let title = lower_first(&rules.defect(*defect).title);
        let (before, after) = (percent(chance.before), percent(chance.after));
        out.hang("     may spoil: ", &format!("{title}, {before} -> {after}"));
    }
}

fn cautions(answer: &Answer<'_>, out: &mut Out) {
    if answer.cautions.is_empty() {
        return;
    }
    let rules = answer.model.rules;
    out.line(paint(HEADING, "Cautions that this sheet raises"));
    for raised in &answer.cautions {
        let caution = rules.caution(raised.caution);
        out.hang("  ", &format!("{}: {}", raised.step, caution.hazard));
        out.hang("    ", &format!("{} ({})", caution.advice, caution.basis.in_full(rules)));
    }
    out.gap();
}
