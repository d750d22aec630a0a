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

    #[command(flatten)]
    said: Said,

    /// Leave the shop's closed cases out of how often each cause happens
    #[arg(long)]
    untuned: bool,

    /// How many causes and remedies to show
    #[arg(long, value_name = "N", default_value_t = 5, value_parser = clap::value_parser!(u16).range(1..=200))]
    top: u16,

    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// What was seen and what is known of the job, in flags.
#[derive(Debug, clap::Args)]
pub(super) struct Said {
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
}

impl Said {
    /// The findings, which may be none, and the sheet with what they imply; the sheet's warnings as text.
    pub(super) fn understood(&self, rules: &RuleBase) -> Result<(Vec<Observation>, Sheet, String), Failure> {
        let observations = words::flags(self, rules)?;
        let (mut sheet, warnings) = job(self, rules)?;
        sheet.take_implied(rules, observations.iter().filter(|o| o.is_present()).map(|o| o.finding));
        Ok((observations, sheet, warnings))
    }
}

pub(super) fn run(
    arguments: &Arguments,
    folder: Option<&Path>,
    casebook: Option<&Path>,
    out: &mut Out,
) -> Result<Outcome, Failure> {
    let mut rules = rule_base::sound(folder)?;
    let tuned = if arguments.untuned { None } else { super::casebook::tune(&mut rules, casebook)? };
    let words::Heard { observations, understood } = words::observations(arguments, &rules)?;
    let observations = with_ruled_out(&rules, observations);
    let (mut sheet, warnings) = job(&arguments.said, &rules)?;
    let understood = understood.map(|u| understood::Taken::new(&rules, u, &observations, &mut sheet));
    sheet.take_implied(&rules, observations.iter().filter(|o| o.is_present()).map(|o| o.finding));
    let mut head = Out::new();
    if let Some(counts) = tuned {
        head.hang("", &counts.words());
        head.gap();
    }
    if !warnings.is_empty() {
        head.line(warnings.trim_end());
        head.gap();
    }
    if arguments.format == Format::Text {
        let head = head.into_text();
        head.lines().for_each(|line| out.line(line));
    }
    let job =
        Job { rules: &rules, sheet: &sheet, observations: &observations, understood: understood.as_ref() };
    print(&job, usize::from(arguments.top), arguments.format, out)?;
    Ok(Outcome::Done)
}

/// What a diagnosis is made of.
struct Job<'a> {
    rules: &'a RuleBase,
    sheet: &'a Sheet,
    observations: &'a [Observation],
    understood: Option<&'a understood::Taken>,
}

/// Works out and prints what a case of the casebook means.
pub(super) fn of_case(
    rules: &RuleBase,
    case: &crate::casebook::Case,
    top: usize,
    format: Format,
    out: &mut Out,
) -> Result<(), Failure> {
    let observations = with_ruled_out(rules, case.observations.clone());
    let sheet = crate::casebook::score::job(rules, case);
    let job = Job { rules, sheet: &sheet, observations: &observations, understood: None };
    print(&job, top, format, out)
}

/// Works out and prints what the findings mean for a sheet.
fn print(job: &Job<'_>, top: usize, format: Format, out: &mut Out) -> Result<(), Failure> {
    let Job { rules, sheet, observations, understood } = *job;
    let model = Model::focused(rules, sheet, observations).map_err(|e| Failure::usage(e.to_string()))?;
    let diagnosis = diagnose(&model, sheet, observations).map_err(|r| refused(rules, observations, &r))?;
    let missing = missing(&model, sheet, &diagnosis);
    match format {
        Format::Text => {
            if let Some(taken) = understood {
                taken.print(rules, out);
            }
            let around = text::Around { missing: &missing, top };
            text::print(&model, sheet, observations, &diagnosis, &around, out);
        }
        Format::Json => {
            out.json(&json::answer(&model, sheet, observations, understood, &diagnosis, &missing))?;
        }
    }
    Ok(())
}

/// The sheet, with the alloy of the flag.
fn job(said: &Said, rules: &RuleBase) -> Result<(Sheet, String), Failure> {
    let (mut sheet, warnings) = match &said.sheet {
        Some(path) => rule_base::sheet(rules, path)?,
        None => (Sheet::default(), String::new()),
    };
    if let Some(name) = &said.alloy {
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
