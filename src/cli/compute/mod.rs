//! `aftercast compute`: each calculation alone.

mod answer;
mod heat;
mod input;
mod metal;
mod weight;

use super::failure::{Failure, Outcome};
use super::output::Out;
use super::{Format, rule_base};
use answer::Answer;
use std::path::Path;

/// One calculation. Every input is written with its unit, such as 14.2g or "28 inHg vacuum".
#[derive(Debug, clap::Subcommand)]
pub(super) enum Kind {
    Weight(With<weight::Weight>),
    Density(With<weight::DensityOf>),
    Porosity(With<weight::Porosity>),
    Purge(With<heat::Purging>),
    Leak(With<heat::Leak>),
    Zinc(With<metal::Zinc>),
    Oxygen(With<metal::OxygenIn>),
    Melting(With<metal::Melting>),
    Pyrometer(With<heat::PyrometerError>),
    Thermocouple(With<heat::ThermocoupleError>),
    Overshoot(With<heat::OvershootOf>),
    MeltTime(With<heat::MeltTime>),
    Fill(With<metal::Fill>),
    Freeze(With<metal::Freeze>),
    Gate(With<metal::Gate>),
    Wall(With<metal::Wall>),
    Soak(With<heat::Soak>),
    Units(With<weight::Units>),
}

// No doc comment here: it would stand in the help in place of the calculation's own words.
#[derive(Debug, clap::Args)]
pub(super) struct With<T: clap::Args> {
    #[command(flatten)]
    inputs: T,

    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

pub(super) fn run(kind: &Kind, folder: Option<&Path>, out: &mut Out) -> Result<Outcome, Failure> {
    macro_rules! dispatch {
        ($($variant:ident => $word:literal),* $(,)?) => {
            match kind {$(
                Kind::$variant(with) => {
                    let rules = || rule_base::sound(folder);
                    (with.inputs.answer(&rules)?.of($word), with.format)
                }
            )*}
        };
    }
    let (answer, format): (Answer, Format) = dispatch! {
        Weight => "weight", Density => "density", Porosity => "porosity", Purge => "purge", Leak => "leak",
        Zinc => "zinc", Oxygen => "oxygen", Melting => "melting", Pyrometer => "pyrometer",
        Thermocouple => "thermocouple", Overshoot => "overshoot", MeltTime => "melt-time", Fill => "fill",
        Freeze => "freeze", Gate => "gate", Wall => "wall", Soak => "soak", Units => "units",
    };
    match format {
        Format::Text => answer.print(out),
        Format::Json => out.json(&answer)?,
    }
    Ok(Outcome::Done)
}
