//! A case as YAML, in the format that the reader reads.

use super::case::{Case, CaseSource};
use crate::advice::{Sureness, findings};
use crate::rules::RuleBase;
use crate::sheet::{FACTS, JobAlloy, SECTIONS, Sheet};
use std::fmt::Write as _;

/// The text of a case's file. Reading it gives the same case again.
pub fn to_yaml(rules: &RuleBase, case: &Case) -> String {
    let mut out = String::new();
    let mut line = |key: &str, value: String| {
        let space = if value.starts_with('\n') { "" } else { " " };
        let _ = writeln!(out, "{key}:{space}{value}");
    };
    line("id", quoted(&case.id));
    line("title", quoted(&case.title));
    line("status", case.status.word().to_owned());
    line("origin", case.origin.word().to_owned());
    match &case.source {
        Some(CaseSource::Listed { source, at }) => {
            line("source", format!("{{source: {}, at: {}}}", rules.source(*source).id, quoted(at)));
        }
        Some(CaseSource::Text(text)) => line("source", quoted(text)),
        None => {}
    }
    if let Some(level) = case.level {
        line("level", level.to_string());
    }
    if let Some(date) = case.date {
        line("date", date.to_string());
    }
    line("story", quoted(&case.story));
    let sheet = sheet_lines(rules, &case.sheet);
    if !sheet.is_empty() {
        line("sheet", format!("\n{}", sheet.trim_end()));
    }
    let mut seen = String::new();
    for (name, how, only_defects) in [
        ("defects", Sureness::Seen, Some(true)),
        ("signs", Sureness::Seen, Some(false)),
        ("probably", Sureness::Probably, None),
        ("absent", Sureness::Absent, None),
        ("certain", Sureness::Certain, None),
    ] {
        let ids: Vec<&str> = case
            .observations
            .iter()
            .filter(|o| o.how == how)
            .filter(|o| {
                let defect = matches!(o.finding, crate::rules::Finding::Defect(_));
                only_defects.is_none_or(|wanted| wanted == defect)
            })
            .map(|o| findings::id(rules, o.finding))
            .collect();
        if !ids.is_empty() {
            let _ = write!(seen, "\n  {name}: [{}]", ids.join(", "));
        }
    }
    line("seen", if seen.is_empty() { "{}".to_owned() } else { seen });
    if !case.asked.is_empty() {
        let asked: Vec<String> = case.asked.iter().map(|a| format!("\n  - {}", quoted(a))).collect();
        line("asked", asked.concat());
    }
    let list = |ids: Vec<&str>| format!("[{}]", ids.join(", "));
    let closed = case.status == super::Status::Closed;
    if closed || !case.causes.is_empty() {
        line("cause", list(case.causes.iter().map(|c| rules.cause(*c).id.as_str()).collect()));
    }
    if !case.accepted.is_empty() {
        line("accepted", list(case.accepted.iter().map(|c| rules.cause(*c).id.as_str()).collect()));
    }
    if !case.what.is_empty() {
        line("what", list(case.what.iter().map(|d| rules.defect(*d).id.as_str()).collect()));
    }
    if let Some(confidence) = case.confidence {
        line("confidence", confidence.word().to_owned());
    }
    if let Some(proof) = &case.proof {
        line("proof", quoted(proof));
    }
    if !case.change.is_empty() {
        line("change", list(case.change.iter().map(|r| rules.remedy(*r).id.as_str()).collect()));
    }
    if let Some(result) = &case.result {
        line("result", quoted(result));
    }
    if let Some(lesson) = &case.lesson {
        line("lesson", quoted(lesson));
    }
    out
}

/// The sheet's lines, indented by two.
fn sheet_lines(rules: &RuleBase, sheet: &Sheet) -> String {
    let mut out = String::new();
    match &sheet.alloy {
        Some(JobAlloy::Known(alloy)) if rules.find_alloy(&alloy.id).is_some() => {
            let _ = writeln!(out, "  alloy: {}", alloy.id);
        }
        Some(JobAlloy::Known(alloy)) => {
            let parts: Vec<String> = alloy
                .composition
                .parts()
                .map(|(e, share)| format!("{}: {} %", e.symbol(), crate::units::round(share * 100.0, 6)))
                .collect();
            let _ = writeln!(
                out,
                "  alloy:\n    title: {}\n    family: {}\n    composition: {{{}}}\n    solidus: {} C\n    liquidus: {} C",
                quoted(&alloy.title),
                rules.family(alloy.family).id,
                parts.join(", "),
                alloy.solidus.get(),
                alloy.liquidus.get()
            );
        }
        Some(JobAlloy::Family(family)) => {
            let _ = writeln!(out, "  alloy: {}", rules.family(*family).id);
        }
        Some(JobAlloy::Metal(metal)) => {
            let _ = writeln!(out, "  alloy: {}", metal.word());
        }
        None => {}
    }
    if let Some(note) = &sheet.note {
        let _ = writeln!(out, "  note: {}", quoted(note));
    }
    for section in std::iter::once(None).chain(SECTIONS.iter().copied().map(Some)) {
        let mut entries: Vec<String> = Vec::new();
        for (place, name, id) in FACTS.iter().filter(|(place, _, _)| *place == section) {
            debug_assert_eq!(*place, section);
            if let Some(value) = sheet.fact(rules, id) {
                entries.push(format!("{name}: {value}"));
            }
        }
        for (field, recorded) in &sheet.figures {
            let (place, name) = field.split();
            if place == section {
                entries.push(format!("{name}: {}", quoted(&recorded.written)));
            }
        }
        match section {
            None => entries.iter().for_each(|e| {
                let _ = writeln!(out, "  {e}");
            }),
            Some(section) if !entries.is_empty() => {
                let _ = writeln!(out, "  {section}: {{{}}}", entries.join(", "));
            }
            Some(_) => {}
        }
    }
    out
}

/// A text in double quotes: nothing in it can end it, begin a new field or steer a terminal.
fn quoted(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            c if c.is_control() || matches!(c, '\u{2028}' | '\u{2029}' | '\u{feff}') => {
                let _ = write!(out, "\\u{:04X}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::casebook::{from_texts, shipped};
    use crate::sheet::catalogue;

    /// The figures' places in a file are no part of what a case says.
    fn without_places(mut case: Case) -> Case {
        case.sheet.figures.values_mut().for_each(|r| r.span = None);
        case
    }

    #[test]
    fn every_shipped_case_survives_being_written_and_read() {
        let rules = crate::rules::shipped(&catalogue()).rules;
        for case in shipped(&rules).cases {
            let text = to_yaml(&rules, &case);
            let again =
                from_texts(&rules, "", vec![(format!("{}.yaml", case.id), text.clone().into_bytes())]);
            assert_eq!(again.problems.errors(), 0, "{text}");
            let again = again.cases.into_iter().next().unwrap();
            assert_eq!(without_places(again), without_places(case));
        }
    }

    #[test]
    fn hostile_text_stays_text() {
        let rules = crate::rules::shipped(&catalogue()).rules;
        let mut case = shipped(&rules).cases.remove(0);
        for story in
            ["\"\nstatus: open\n", "a: b # c", "\u{1b}[2J", "- x", "\\u0000", "<script>", "a\u{2028}b"]
        {
            case.story = story.to_owned();
            let text = to_yaml(&rules, &case);
            assert!(!text.contains('\u{1b}'));
            let again =
                from_texts(&rules, "", vec![(format!("{}.yaml", case.id), text.clone().into_bytes())]);
            assert_eq!(again.problems.errors(), 0, "{text}");
            assert_eq!(again.cases[0].story, story);
            assert_eq!(again.cases[0].status, case.status);
        }
    }
}
