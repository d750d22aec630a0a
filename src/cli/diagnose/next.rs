//! `--next`: the process sheet of the next cast.

use super::whatif::{differing, unlike};
use crate::advice::findings::lower_first;
use crate::advice::{BeforeAfter, Diagnosis, Model, RankedRemedy, WhatIf};
use crate::cli::failure::Failure;
use crate::cli::files;
use crate::cli::output::{Out, from_to};
use crate::cli::rule_base::{Warning, warnings};
use crate::document::{Excerpt, render, wrap};
use crate::report::words::step_words;
use crate::rules::{DefectKey, RuleBase};
use crate::sheet::{Field, Sheet, read_sheet, write_sheet};
use serde::Serialize;
use std::collections::BTreeMap;
use std::path::Path;

/// A sheet that was written.
#[derive(Debug, Serialize)]
pub(in crate::cli) struct Written {
    file: String,
    changes: Vec<Changed>,
    /// Work beside the figures, in words.
    also: Option<String>,
    /// The forward run over the old sheet and the new one.
    effect: Vec<String>,
    /// Figures of the new sheet to look at again.
    warnings: Vec<Warning>,
    #[serde(skip)]
    warned: String,
}

#[derive(Debug, Serialize)]
struct Changed {
    field: &'static str,
    unit: &'static str,
    from: Option<f64>,
    to: Option<f64>,
    reason: String,
}

/// Writes the sheet with the first step of the plan, or with the caster's own figures.
pub(in crate::cli) fn write(
    model: &Model<'_>,
    sheet: &Sheet,
    diagnosis: &Diagnosis,
    own: Option<(&Sheet, &WhatIf)>,
    path: &Path,
) -> Result<Written, Failure> {
    let rules = model.rules;
    let mut written = Written {
        file: path.display().to_string(),
        changes: Vec::new(),
        also: None,
        effect: Vec::new(),
        warnings: Vec::new(),
        warned: String::new(),
    };
    let mut next = sheet.clone();
    let mut remarks = BTreeMap::new();
    let mut head =
        vec!["The next cast. A changed figure carries its reason; the rest is as it was.".to_owned()];
    if let Some((own, forward)) = own {
        next = own.clone();
        written.effect = largest(rules, forward);
        for (field, from, to) in differing(sheet, own) {
            remark(&mut written, &mut remarks, field, from, to, "Chosen by hand.");
        }
        let words = |v: Option<String>| v.unwrap_or_else(|| "not recorded".to_owned());
        let unlike = unlike(rules, sheet, own).into_iter();
        let unlike: Vec<String> =
            unlike.map(|(what, a, b)| format!("{what}: {} -> {}", words(a), words(b))).collect();
        if !unlike.is_empty() {
            let also = format!("Chosen by hand too: {}.", unlike.join("; "));
            head.extend(wrap(&also, 76));
            written.also = Some(also);
        }
    } else {
        let first = diagnosis.plan.as_ref().and_then(|p| p.steps.first()).map(|s| s.remedy);
        let Some(ranked) = first.and_then(|f| diagnosis.remedies.iter().find(|r| r.remedy == f)) else {
            return Err(Failure::usage("no change pays, so there is no next sheet to write")
                .with_help("give more findings, or choose figures yourself with --if"));
        };
        let remedy = rules.remedy(ranked.remedy);
        written.effect = effects(rules, ranked);
        match ranked.step.and_then(|s| Some((s, s.to?))) {
            Some((step, to)) => {
                next.set(step.field, to);
                let reason = format!("{}: {}", remedy.title, written.effect.join("; "));
                remark(&mut written, &mut remarks, step.field, step.from, Some(to), &reason);
            }
            None => {
                let by = ranked.step.and_then(step_words).map_or_else(String::new, |w| format!(" ({w})"));
                written.also = Some(format!("{}: {}{by}", remedy.title, remedy.change));
            }
        }
        if let Some(also) = &written.also {
            head.push("The change is none of these figures:".to_owned());
            head.extend(wrap(also, 76));
        }
        for key in &remedy.cautions {
            let caution = rules.caution(*key);
            let text = format!("Caution. {}: {}", caution.hazard.trim_end_matches('.'), caution.advice);
            head.extend(wrap(&text, 76));
        }
    }
    let text = write_sheet(rules, &next, &head, &remarks);
    let back = read_sheet(rules, &written.file, text.as_bytes());
    if back.problems.errors() > 0 {
        return Err(Failure::Problems(Box::new(back.sources), Box::new(back.problems)));
    }
    written.warnings = warnings(&back.sheet);
    written.warned = render(&back.sources, &back.problems, Excerpt::Coloured);
    files::write(path, text.as_bytes(), false)?;
    Ok(written)
}

fn remark(
    written: &mut Written,
    remarks: &mut BTreeMap<Field, String>,
    field: Field,
    from: Option<f64>,
    to: Option<f64>,
    reason: &str,
) {
    let was = from.map_or_else(|| "not recorded".to_owned(), |v| field.dimension().show(v));
    remarks.insert(field, format!("was {was}. {reason}"));
    written.changes.push(Changed {
        field: field.id(),
        unit: field.dimension().stored_unit(),
        from,
        to,
        reason: reason.to_owned(),
    });
}

/// The defects that a forward run changes most.
fn largest(rules: &RuleBase, forward: &WhatIf) -> Vec<String> {
    let size = |c: &BeforeAfter| (c.after - c.before).abs();
    let mut all: Vec<&(DefectKey, BeforeAfter)> =
        forward.defects.iter().filter(|d| size(&d.1) >= 0.005).collect();
    all.sort_by(|a, b| size(&b.1).total_cmp(&size(&a.1)));
    all.into_iter().take(5).map(|(d, c)| one_change(rules, *d, *c)).collect()
}

fn one_change(rules: &RuleBase, defect: DefectKey, chance: BeforeAfter) -> String {
    format!("{} {}", lower_first(&rules.defect(defect).title), from_to(chance))
}

fn effects(rules: &RuleBase, ranked: &RankedRemedy) -> Vec<String> {
    let all = ranked.eases.iter().take(3).chain(ranked.spoils.iter().take(2));
    all.map(|(d, c)| one_change(rules, *d, *c)).collect()
}

impl Written {
    /// What was written, as text.
    pub(in crate::cli) fn print(&self, out: &mut Out) {
        out.gap();
        if !self.warned.is_empty() {
            out.line(self.warned.trim_end());
            out.gap();
        }
        out.hang("", &format!("The next sheet is in {}.", self.file));
        for change in &self.changes {
            let field = Field::find(change.field);
            let name = field.map_or(change.field, Field::title);
            let show = |v: Option<f64>| match (field, v) {
                (Some(f), Some(v)) => f.dimension().show(v),
                _ => "not recorded".to_owned(),
            };
            out.hang("     ", &format!("{} {} -> {}", name, show(change.from), show(change.to)));
        }
        if let Some(also) = &self.also {
            out.hang("     ", also);
        }
        for effect in &self.effect {
            out.hang("     ", effect);
        }
    }
}
