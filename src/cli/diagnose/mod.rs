//! `aftercast diagnose`: findings in, ranked causes and remedies out.

mod json;
pub(super) mod next;
mod plan;
pub(super) mod text;
pub(super) mod understood;
pub(super) mod whatif;
pub(super) mod words;

use super::failure::{Failure, Outcome};
use super::output::Out;
use super::page::PageFile;
use super::said::Said;
use super::{Format, files, rule_base};
use crate::advice::findings::with_ruled_out;
use crate::advice::{Model, Observation, Refusal, diagnose, missing, what_if};
use crate::report::words::Closer;
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

    /// What if the sheet said this at the next cast, such as flask.temperature=580 C or mould.binder=phosphate
    #[arg(long = "if", value_name = "FIELD=VALUE")]
    what_if: Vec<String>,

    /// Write the next process sheet here: the first step of the plan, or what --if says
    #[arg(long, value_name = "FILE")]
    next: Option<PathBuf>,

    #[command(flatten)]
    page: PageFile,

    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
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
    let (mut sheet, warnings) = arguments.said.job(&rules)?;
    let understood = understood.map(|u| understood::Taken::new(&rules, u, &observations, &mut sheet));
    sheet.take_implied(&rules, observations.iter().filter(|o| o.is_present()).map(|o| o.finding));
    let model = Model::focused(&rules, &sheet, &observations).map_err(|e| Failure::usage(e.to_string()))?;
    let diagnosis =
        diagnose(&model, &sheet, &observations).map_err(|r| refused(&rules, &observations, &r))?;
    arguments.page.refuse_existing()?;
    if let Some(path) = &arguments.next {
        files::refuse_existing(path)?;
    }
    let changed = whatif::changed(&rules, &sheet, &arguments.what_if)?;
    let forward = match &changed {
        Some(changed) => {
            let told = what_if(&model, changed, &observations);
            Some(told.map_err(|r| refused(&rules, &observations, &r))?)
        }
        None => None,
    };
    arguments.page.write(|| crate::report::page(&model, &sheet, &observations, &diagnosis))?;
    let next = match &arguments.next {
        Some(path) => {
            Some(next::write(&model, &sheet, &diagnosis, changed.as_ref().zip(forward.as_ref()), path)?)
        }
        None => None,
    };
    let missing = missing(&model, &sheet, &diagnosis.ranking());
    match arguments.format {
        Format::Text => {
            if let Some(counts) = &tuned {
                out.hang("", &counts.words());
                out.gap();
            }
            if !warnings.is_empty() {
                out.line(warnings.trim_end());
                out.gap();
            }
            if let Some(taken) = &understood {
                taken.print(&rules, understood::Said::Flags, out);
                out.gap();
            }
            let around = text::Around {
                missing: &missing,
                top: usize::from(arguments.top),
                asked: Vec::new(),
                closer: Closer::Ask,
            };
            text::print(&model, &sheet, &observations, &diagnosis, &around, out);
            if let (Some(changed), Some(forward)) = (&changed, &forward) {
                whatif::print(&rules, &sheet, changed, forward, out);
            }
            if let Some(written) = &next {
                written.print(out);
            }
            arguments.page.print(out);
        }
        Format::Json => {
            let extra = json::Extra { what_if: forward.as_ref(), next, tuned: tuned.as_ref() };
            let taken = understood.as_ref();
            out.json(&json::answer(&model, &sheet, &observations, taken, &diagnosis, &missing, extra))?;
        }
    }
    Ok(Outcome::Done)
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
    let model = Model::focused(rules, &sheet, &observations).map_err(|e| Failure::usage(e.to_string()))?;
    let diagnosis = diagnose(&model, &sheet, &observations).map_err(|r| refused(rules, &observations, &r))?;
    let missing = missing(&model, &sheet, &diagnosis.ranking());
    match format {
        Format::Text => {
            let around = text::Around { missing: &missing, top, asked: Vec::new(), closer: Closer::Ask };
            text::print(&model, &sheet, &observations, &diagnosis, &around, out);
        }
        Format::Json => {
            let extra = json::Extra::default();
            out.json(&json::answer(&model, &sheet, &observations, None, &diagnosis, &missing, extra))?;
        }
    }
    Ok(())
}

/// The sheet, with the alloy of the flag.
pub(super) fn job(
    rules: &RuleBase,
    sheet: Option<&Path>,
    alloy: Option<&str>,
) -> Result<(Sheet, String), Failure> {
    let (mut sheet, warnings) = match sheet {
        Some(path) => rule_base::sheet(rules, path)?,
        None => (Sheet::default(), String::new()),
    };
    if let Some(name) = alloy {
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
