//! `aftercast rules check`: everything that is wrong or useless in the rules.

use crate::cli::failure::{Failure, Outcome};
use crate::cli::output::Out;
use crate::cli::rule_base;
use crate::document::{Excerpt, render};
use crate::rules::lint;
use std::path::Path;

pub(super) fn run(folder: Option<&Path>, out: &mut Out) -> Result<Outcome, Failure> {
    let mut loaded = rule_base::load(folder)?;
    if loaded.problems.errors() == 0 {
        loaded.problems.append(lint(&loaded.rules, &loaded.places));
    }
    let text = render(&loaded.sources, &loaded.problems, Excerpt::Coloured);
    if !text.is_empty() {
        out.line(text.trim_end());
        out.gap();
    }
    let r = &loaded.rules;
    let (errors, warnings) = (loaded.problems.errors(), loaded.problems.warnings());
    out.line(format!(
        "{} causes, {} defects, {} signs, {} questions, {} remedies, {} alloys",
        r.causes.len(),
        r.defects.len(),
        r.signs.len(),
        r.questions.len(),
        r.remedies.len(),
        r.alloys.len()
    ));
    let plural = |n: usize| if n == 1 { "" } else { "s" };
    if errors + warnings == 0 {
        out.line("no fault found");
        return Ok(Outcome::Done);
    }
    out.line(format!("{errors} error{}, {warnings} warning{}", plural(errors), plural(warnings)));
    Ok(Outcome::Faults)
}
