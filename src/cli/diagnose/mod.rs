//! `aftercast diagnose`: findings in, ranked causes and remedies out.

mod json;
mod text;
mod understood;
mod words;

pub(super) use text::step_words;

use super::failure::{Failure, Outcome};
use super::output::Out;
use super::{Format, rule_base};
use crate::advice::findings::with_ruled_out;
use crate::advice::{Model, Observation, Refusal, diagnose, missing};
use crate::rules::RuleBase;
use crate::sheet::Sheet;
use std::path::{Path, PathBuf};

/// Rank the likely causes of a bad casting and what to change first
///
/// Findings are ids, titles or the words casters use ("pinholes", "didn't fill"),
/// several joined by commas, or one line of your own words. Words that are near a
/// name but not the name count as "probably"; what may be meant is asked back and
/// not counted. Everything is optional but one finding.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  aftercast diagnose --defects pinholes --sheet sheets/heavy-ring.yaml\n  \
    aftercast diagnose \"small round holes after polishing, only on the thick rings\""
)]
pub(super) struct Arguments {
    /// What you see, in your own words; "no fins" says that there are none
    #[arg(value_name = "WORDS")]
    words: Vec<String>,

    /// Defects as you would call them, such as pinholes,misrun
    #[arg(long, value_name = "ID[,ID...]", value_delimiter = ',')]
    defects: Vec<String>,

    /// Signs that you saw
    #[arg(long, value_name = "ID[,ID...]", value_delimiter = ',')]
    signs: Vec<String>,

    /// Defects or signs that you looked for and did not find
    #[arg(long, value_name = "ID[,ID...]", value_delimiter = ',')]
    absent: Vec<String>,

    /// Defects or signs that are there, but not for sure
    #[arg(long, value_name = "ID[,ID...]", value_delimiter = ',')]
    probably: Vec<String>,

    /// Defects that are proved, by section or analysis
    #[arg(long, value_name = "ID[,ID...]", value_delimiter = ',')]
    certain: Vec<String>,

    /// The alloy, its family or its metal, when no sheet names it
    #[arg(long, value_name = "NAME")]
    alloy: Option<String>,

    /// The process sheet of this cast; - reads it from the standard input
    #[arg(long, value_name = "FILE")]
    sheet: Option<PathBuf>,

    /// How many causes and remedies to show
    #[arg(long, value_name = "N", default_value_t = 5, value_parser = clap::value_parser!(u16).range(1..=200))]
    top: u16,

    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

pub(super) fn run(arguments: &Arguments, folder: Option<&Path>, out: &mut Out) -> Result<Outcome, Failure> {
    let rules = rule_base::sound(folder)?;
    let words::Heard { observations, understood } = words::observations(arguments, &rules)?;
    let observations = with_ruled_out(&rules, observations);
    let (mut sheet, warnings) = job(arguments, &rules)?;
    let understood = understood.map(|u| understood::Taken::new(&rules, u, &observations, &mut sheet));
    sheet.take_implied(&rules, observations.iter().filter(|o| o.is_present()).map(|o| o.finding));
    let model = Model::focused(&rules, &sheet, &observations).map_err(|e| Failure::usage(e.to_string()))?;
    let diagnosis =
        diagnose(&model, &sheet, &observations).map_err(|r| refused(&rules, &observations, &r))?;
    let missing = missing(&model, &sheet, &diagnosis);
    match arguments.format {
        Format::Text => {
            if !warnings.is_empty() {
                out.line(warnings.trim_end());
                out.gap();
            }
            if let Some(taken) = &understood {
                taken.print(&rules, out);
            }
            text::print(&model, &sheet, &observations, &diagnosis, &missing, usize::from(arguments.top), out);
        }
        Format::Json => {
            out.json(&json::answer(&model, &sheet, &observations, understood.as_ref(), &diagnosis, &missing))?
        }
    }
    Ok(Outcome::Done)
}

/// The sheet, with the alloy of the flag.
fn job(arguments: &Arguments, rules: &RuleBase) -> Result<(Sheet, String), Failure> {
    let (mut sheet, warnings) = match &arguments.sheet {
        Some(path) => rule_base::sheet(rules, path)?,
        None => (Sheet::default(), String::new()),
    };
    if let Some(name) = &arguments.alloy {
        sheet.name_alloy(rules, rule_base::alloy(rules, name)?);
    }
    Ok((sheet, warnings))
}

fn refused(rules: &RuleBase, observations: &[Observation], refusal: &Refusal) -> Failure {
    match refusal {
        Refusal::Impossible(at) => {
            let words = observations.get(*at).map_or_else(String::new, |o| o.words(rules));
            Failure::usage(format!(
                "these findings cannot go together: `{words}` does not fit those before it"
            ))
            .with_help("leave out the one you are least sure of, or give it with --probably")
        }
        Refusal::Engine(error) => Failure::usage(error.to_string()),
    }
}
