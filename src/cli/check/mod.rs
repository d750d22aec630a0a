//! `aftercast check`: what a sheet asks for, before metal is melted.

mod gauge;
mod json;
mod text;

use super::failure::{Failure, Outcome};
use super::output::Out;
use super::page::PageFile;
use super::{Format, rule_base};
use crate::advice::limits::{Held, hold};
use crate::advice::{Forecast, Model, Refusal, cautions, forecast};
use crate::sheet::Sheet;
use std::path::{Path, PathBuf};

/// Say what a process sheet asks for, before metal is melted
///
/// Holds every figure that the sheet records or lets compute against its limit,
/// says which faults the sheet makes likelier and what to change first. Ends with
/// exit code 1 when a limit that can hurt someone or ruin the cast is passed.
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast check sheets/heavy-ring.yaml")]
pub(super) struct Arguments {
    /// The process sheet; - reads it from the standard input
    #[arg(value_name = "SHEET")]
    sheet: PathBuf,

    /// How many raised risks and changes to show
    #[arg(long, value_name = "N", default_value_t = 5, value_parser = clap::value_parser!(u16).range(1..=200))]
    top: u16,

    #[command(flatten)]
    page: PageFile,

    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// Everything that there is to say.
struct Answer<'a> {
    model: &'a Model<'a>,
    sheet: &'a Sheet,
    held: Vec<Held>,
    forecast: Forecast,
    cautions: Vec<cautions::Raised>,
}

pub(super) fn run(arguments: &Arguments, folder: Option<&Path>, out: &mut Out) -> Result<Outcome, Failure> {
    arguments.page.refuse_existing()?;
    let rules = rule_base::sound(folder)?;
    let (sheet, warnings) = rule_base::sheet(&rules, &arguments.sheet)?;
    let plain = Sheet { alloy: sheet.alloy.clone(), ..Sheet::default() };
    let model = |sheet: &Sheet| Model::new(&rules, sheet).map_err(|e| Failure::usage(e.to_string()));
    let (model, plain) = (model(&sheet)?, model(&plain)?);
    let forecast = forecast(&model, &plain, &sheet).map_err(|refusal| match refusal {
        Refusal::Engine(error) => Failure::usage(error.to_string()),
        Refusal::Impossible(_) => Failure::usage("the sheet contradicts itself"),
    })?;
    let held = hold(&rules, &sheet, &model.quantities);
    let stops = held.iter().any(Held::stops);
    let cautions = cautions::raised(&rules, &sheet);
    arguments.page.write(|| crate::report::check_page(&model, &sheet, &held, &forecast, &cautions))?;
    let answer = Answer { model: &model, sheet: &sheet, held, forecast, cautions };
    match arguments.format {
        Format::Text => {
            text::print(&answer, usize::from(arguments.top), &warnings, out);
            arguments.page.print(out);
        }
        Format::Json => out.json(&json::answer(&answer))?,
    }
    Ok(if stops { Outcome::Faults } else { Outcome::Done })
}
