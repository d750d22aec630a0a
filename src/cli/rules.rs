//! `aftercast rules`: look after the rule base.

use super::failure::{Failure, Outcome};
use super::output::Out;
use super::rule_base;
use crate::document::{Excerpt, render};
use crate::rules::lint;
use std::path::Path;

/// What to do with the rules.
#[derive(Debug, clap::Subcommand)]
pub(super) enum Command {
    /// Read all rules and report everything that is wrong or useless in them
    Check,
}

pub(super) fn run(command: &Command, folder: Option<&Path>, out: &mut Out) -> Result<Outcome, Failure> {
    match command {
        Command::Check => check(folder, out),
    }
}

fn check(folder: Option<&Path>, out: &mut Out) -> Result<Outcome, Failure> {
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
