//! A process sheet as YAML that reads back the same.

use super::field::{FACTS, Field, SECTIONS};
use super::model::{JobAlloy, Recorded, Sheet};
use crate::document::{visible, wrap};
use crate::rules::{Alloy, RuleBase, Section, Window};
use crate::units::Dimension;
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// The sheet as text. `head` stands on top and `remarks` behind their figures, both as comments; control
/// characters in them show as U+FFFD.
pub fn write_sheet(
    rules: &RuleBase,
    sheet: &Sheet,
    head: &[String],
    remarks: &BTreeMap<Field, String>,
) -> String {
    let mut text = String::new();
    for line in head {
        let _ = writeln!(text, "# {}", visible(line));
    }
    match &sheet.alloy {
        Some(JobAlloy::Known(alloy)) if rules.find_alloy(&alloy.id).is_none() => {
            own_alloy(rules, alloy, &mut text)
        }
        Some(JobAlloy::Known(alloy)) => line(&mut text, "", "alloy", &alloy.id),
        Some(JobAlloy::Family(key)) => line(&mut text, "", "alloy", &rules.family(*key).id),
        Some(JobAlloy::Metal(metal)) => line(&mut text, "", "alloy", metal.word()),
        None => {}
    }
    if let Some(note) = &sheet.note {
        line(&mut text, "", "note", &quoted(note));
    }
    section(rules, sheet, None, remarks, &mut text);
    for name in SECTIONS {
        let mut inside = String::new();
        section(rules, sheet, Some(name), remarks, &mut inside);
        if !inside.is_empty() {
            let _ = write!(text, "{name}:\n{inside}");
        }
    }
    text
}

fn section(
    rules: &RuleBase,
    sheet: &Sheet,
    name: Option<&str>,
    remarks: &BTreeMap<Field, String>,
    text: &mut String,
) {
    let indent = if name.is_some() { "  " } else { "" };
    for (_, word, id) in FACTS.iter().filter(|(s, ..)| *s == name) {
        if let Some(value) = sheet.fact(rules, id) {
            line(text, indent, word, value);
        }
    }
    for field in Field::ALL.iter().filter(|f| f.split().0 == name) {
        let Some(recorded) = sheet.figures.get(field) else { continue };
        // A long remark stands above its figure, so that no line runs off the page.
        if let Some(remark) = remarks.get(field) {
            for part in wrap(remark, 76 - indent.len()) {
                let _ = writeln!(text, "{indent}# {part}");
            }
        }
        line(text, indent, field.split().1, &figure(field.dimension(), recorded));
    }
}

fn line(text: &mut String, indent: &str, key: &str, value: &str) {
    let _ = writeln!(text, "{indent}{key}: {value}");
}

/// As written by the caster, or, for a figure that was set, as short as it reads back the same.
fn figure(dimension: Dimension, recorded: &Recorded) -> String {
    let plain = |c: char| c.is_alphanumeric() || " ./%°·³-+".contains(c);
    if recorded.span.is_some() && recorded.written.chars().all(plain) {
        return recorded.written.clone();
    }
    written_figure(dimension, recorded.value)
}

/// A figure as short as it reads back the same.
pub fn written_figure(dimension: Dimension, value: f64) -> String {
    let shown = dimension.show(value);
    if dimension.parse(&shown).is_ok_and(|v| (v - value).abs() <= 1e-9 * value.abs()) {
        return shown;
    }
    match dimension {
        Dimension::Share => format!("{} %", value * 100.0),
        Dimension::WaterRatio => format!("{value} per 100"),
        _ if dimension.is_bare() => value.to_string(),
        _ => format!("{value} {}", dimension.stored_unit()),
    }
}

fn own_alloy(rules: &RuleBase, alloy: &Alloy, text: &mut String) {
    let _ = writeln!(text, "alloy:");
    line(text, "  ", "title", &quoted(&alloy.title));
    line(text, "  ", "family", &rules.family(alloy.family).id);
    let shares: Vec<String> =
        alloy.composition.parts().map(|(e, s)| format!("{}: {} %", e.symbol(), s * 100.0)).collect();
    line(text, "  ", "composition", &format!("{{{}}}", shares.join(", ")));
    line(text, "  ", "solidus", &written_figure(Dimension::Temperature, alloy.solidus.get()));
    line(text, "  ", "liquidus", &written_figure(Dimension::Temperature, alloy.liquidus.get()));
    if let Some(density) = alloy.density {
        line(text, "  ", "density", &format!("{} g/cm3", density.get()));
    }
    if let Some(limit) = alloy.revert_limit {
        line(text, "  ", "revert-limit", &written_figure(Dimension::Share, limit));
    }
    if let Some((from, to)) = alloy.quench_after {
        let show = |s: crate::units::Seconds| written_figure(Dimension::Duration, s.get());
        line(text, "  ", "quench-after", &format!("[{}, {}]", show(from), show(to)));
    }
    windows(text, "melt", &alloy.melt);
    windows(text, "flask", &alloy.flask);
}

fn windows(text: &mut String, name: &str, windows: &BTreeMap<Section, Window>) {
    if windows.is_empty() {
        return;
    }
    let show = |t: crate::units::Celsius| written_figure(Dimension::Temperature, t.get());
    let all: Vec<String> = windows
        .iter()
        .map(|(section, w)| format!("{}: [{}, {}]", section.word(), show(w.low), show(w.high)))
        .collect();
    line(text, "  ", name, &format!("{{{}}}", all.join(", ")));
}

/// A double-quoted scalar; what JSON escapes YAML reads.
fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}
