//! A process sheet as YAML: plain, and read again as the same sheet.

use super::field::{FACTS, Field, SECTIONS};
use super::model::{JobAlloy, Recorded, Sheet};
use crate::rules::{Alloy, RuleBase, Window};
use std::fmt::Write as _;

/// Writes everything that the sheet records, in the order of the fields; as it was written where that is known.
pub fn write_sheet(rules: &RuleBase, sheet: &Sheet) -> String {
    let mut text = String::new();
    if let Some(note) = &sheet.note {
        let _ = writeln!(text, "note: {}", quoted(note));
    }
    match &sheet.alloy {
        Some(JobAlloy::Known(alloy)) if rules.find_alloy(&alloy.id).is_some() => {
            let _ = writeln!(text, "alloy: {}", alloy.id);
        }
        Some(JobAlloy::Known(alloy)) => text.push_str(&own_alloy(rules, alloy)),
        Some(JobAlloy::Family(key)) => {
            let _ = writeln!(text, "alloy: {}", rules.family(*key).id);
        }
        Some(JobAlloy::Metal(metal)) => {
            let _ = writeln!(text, "alloy: {}", metal.word());
        }
        None => {}
    }
    for (name, value) in lines(rules, sheet, None) {
        let _ = writeln!(text, "{name}: {value}");
    }
    for section in SECTIONS {
        let inside = lines(rules, sheet, Some(section));
        if !inside.is_empty() {
            let _ = writeln!(text, "{section}:");
        }
        for (name, value) in inside {
            let _ = writeln!(text, "  {name}: {value}");
        }
    }
    text
}

/// Facts and figures of one section.
fn lines(rules: &RuleBase, sheet: &Sheet, section: Option<&str>) -> Vec<(&'static str, String)> {
    let facts = FACTS.iter().filter(|(s, _, _)| *s == section).filter_map(|(_, name, id)| {
        sheet.fact(rules, id).map(|value| (*name, quoted(value)))
    });
    let figures = Field::ALL.iter().filter(|f| f.split().0 == section).filter_map(|field| {
        sheet.figures.get(field).map(|recorded| (field.split().1, figure(*field, recorded)))
    });
    facts.chain(figures).collect()
}

/// A figure as written, or with all its digits where the written form was rounded.
fn figure(field: Field, recorded: &Recorded) -> String {
    let dimension = field.dimension();
    let same = |v: f64| (v - recorded.value).abs() <= 1e-9 * recorded.value.abs().max(1.0);
    let written = recorded.written.trim();
    if dimension.parse(written).is_ok_and(same) {
        return quoted(written);
    }
    quoted(format!("{} {}", recorded.value, dimension.stored_unit()).trim())
}

/// The shop's own alloy.
fn own_alloy(rules: &RuleBase, alloy: &Alloy) -> String {
    let mut text = format!("alloy:\n  title: {}\n", quoted(&alloy.title));
    let _ = writeln!(text, "  family: {}", rules.family(alloy.family).id);
    let shares: Vec<String> =
        alloy.composition.parts().map(|(e, share)| format!("{e}: {} %", share * 100.0)).collect();
    let _ = writeln!(text, "  composition: {{{}}}", shares.join(", "));
    let _ = writeln!(text, "  solidus: {} C\n  liquidus: {} C", alloy.solidus.get(), alloy.liquidus.get());
    if let Some(density) = alloy.density {
        let _ = writeln!(text, "  density: {} g/cm3", density.get());
    }
    if let Some(limit) = alloy.revert_limit {
        let _ = writeln!(text, "  revert-limit: {} %", limit * 100.0);
    }
    if let Some((from, to)) = alloy.quench_after {
        let _ = writeln!(text, "  quench-after: [{} s, {} s]", from.get(), to.get());
    }
    for (name, windows) in [("melt", &alloy.melt), ("flask", &alloy.flask)] {
        let of = |w: &Window| format!("[{} C, {} C]", w.low.get(), w.high.get());
        let all: Vec<String> = windows.iter().map(|(s, w)| format!("{}: {}", s.word(), of(w))).collect();
        if !all.is_empty() {
            let _ = writeln!(text, "  {name}: {{{}}}", all.join(", "));
        }
    }
    text
}

/// A text as it is where YAML takes it for nothing else, in quotes otherwise.
fn quoted(text: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || matches!(c, ' ' | '.' | '%' | '/' | '°' | '·' | '³' | '-' | '_');
    let starts = text.chars().next().is_some_and(char::is_alphanumeric);
    let reserved = ["true", "false", "yes", "no", "on", "off", "null", "y", "n"];
    if starts && text.chars().all(plain) && text.trim() == text && !reserved.contains(&text.to_lowercase().as_str()) {
        return text.to_owned();
    }
    // Double quotes: the one form that can hold every character.
    serde_json::to_string(text).unwrap_or_else(|_| "\"\"".to_owned())
}
