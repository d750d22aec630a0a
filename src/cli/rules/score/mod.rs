//! `aftercast rules score`: how good the rules are, measured on cases whose cause is known.

mod json;
mod text;

use super::cases;
use crate::advice::findings::lower_first;
use crate::casebook::Case;
use crate::casebook::score::{Contrast, NoAnswer, Scored, outweighed, score};
use crate::cli::failure::{Failure, Outcome};
use crate::cli::output::Out;
use crate::cli::{Format, rule_base};
use crate::rules::{CauseKey, RuleBase};
use std::path::Path;

/// Measure the rules on cases whose cause is known
///
/// Without --cases the shipped casebook is taken. A case counts as right when the
/// first cause is one that the case names or accepts.
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast rules score --cases tests/cases")]
pub(in crate::cli) struct Arguments {
    #[command(flatten)]
    cases: cases::Chosen,

    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// A case whose first cause is not right: what came first and what spoke for it.
struct Miss {
    rival: CauseKey,
    truth: CauseKey,
    contrasts: Vec<Contrast>,
}

pub(super) fn run(arguments: &Arguments, folder: Option<&Path>, out: &mut Out) -> Result<Outcome, Failure> {
    let rules = rule_base::sound(folder)?;
    let cases = cases::read(&arguments.cases, &rules)?;
    let scored = score(&rules, &cases);
    match arguments.format {
        Format::Text => text::print(&rules, &scored, out),
        Format::Json => out.json(&json::answer(&rules, &scored))?,
    }
    Ok(Outcome::Done)
}

fn miss(rules: &RuleBase, scored: &Scored<'_>) -> Option<Miss> {
    let answer = scored.answer.as_ref().ok()?;
    let (rival, _) = answer.first()?;
    let (truth, _) = answer.truth()?;
    if rival == truth {
        return None;
    }
    let contrasts = outweighed(rules, scored.case, rival, truth).unwrap_or_default();
    Some(Miss { rival, truth, contrasts })
}

/// Why a case got no answer, in words.
fn no_answer(rules: &RuleBase, case: &Case, reason: &NoAnswer) -> String {
    let NoAnswer::Impossible(at) = reason else { return reason.to_string() };
    let words = case.observations.get(*at).map_or_else(String::new, |o| o.words(rules));
    format!("{reason}: `{}` does not fit the others", lower_first(&words))
}
