//! Weights, densities, porosity, units.

use super::answer::Answer;
use super::input::{Metal, Rules, density, mass, share, temperature};
use crate::cli::failure::Failure;
use crate::document::visible;
use crate::physics::Estimate;
use crate::physics::weigh::{Immersion, metal_from_wax, porosity, wax_density};
use crate::units::{ATMOSPHERE_MBAR, Celsius, Dimension, Grams, GramsPerCm3, UnitError};

/// Metal to melt for a wax tree
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast compute weight --alloy sterling --wax 14.2g")]
pub(in crate::cli) struct Weight {
    #[command(flatten)]
    metal: Metal,

    /// Weight of all the wax that turns to metal, sprues included
    #[arg(long, value_name = "MASS", value_parser = mass)]
    wax: f64,

    /// Density of the wax, 0.95 g/cm3 if not given
    #[arg(long, value_name = "DENSITY", value_parser = density)]
    wax_density: Option<f64>,

    /// Share of the whole that is button, 15 % if not given
    #[arg(long, value_name = "SHARE", value_parser = share)]
    button: Option<f64>,
}

impl Weight {
    pub(super) fn answer(&self, rules: Rules<'_>) -> Result<Answer, Failure> {
        let metal = self.metal.known(rules)?.density();
        let wax =
            self.wax_density.map_or_else(wax_density, |d| Estimate::exact(GramsPerCm3::new(d), "as given"));
        let needed = metal_from_wax(Grams::new(self.wax), metal, wax, self.button)?;
        Ok(Answer::new()
            .figure("casting", "in the place of the wax", Dimension::Mass, needed.casting)
            .figure("button", "for the button", Dimension::Mass, needed.button)
            .figure("total", "to melt", Dimension::Mass, needed.total)
            .note(format!(
                "density of the metal {}, of the wax {}",
                metal.show_as(Dimension::Density),
                wax.show_as(Dimension::Density)
            )))
    }
}

/// Density of an alloy
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast compute density --composition Ag=92.5,Cu=7.5")]
pub(in crate::cli) struct DensityOf {
    #[command(flatten)]
    metal: Metal,
}

impl DensityOf {
    pub(super) fn answer(&self, rules: Rules<'_>) -> Result<Answer, Failure> {
        let density = self.metal.known(rules)?.density();
        Ok(Answer::new().figure("density", "density of the solid at 20 °C", Dimension::Density, density))
    }
}

/// Closed porosity from weighing in air and in water
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example: aftercast compute porosity --alloy sterling --in-air 12.3456g --in-water 11.15g --water 22C"
)]
#[command(override_usage = "aftercast compute porosity [OPTIONS] --in-air M --in-water M --water T")]
pub(in crate::cli) struct Porosity {
    #[command(flatten)]
    metal: Metal,

    /// Weight in air
    #[arg(long, value_name = "MASS", value_parser = mass)]
    in_air: f64,

    /// Weight hung in water
    #[arg(long, value_name = "MASS", value_parser = mass)]
    in_water: f64,

    /// Temperature of the water
    #[arg(long, value_name = "TEMPERATURE", value_parser = temperature)]
    water: f64,

    /// What the balance resolves, 1 mg if not given
    #[arg(long, value_name = "MASS", value_parser = mass)]
    balance: Option<f64>,

    /// Density of sound metal, when you have measured it; else the alloy's
    #[arg(long, value_name = "DENSITY", value_parser = density)]
    reference: Option<f64>,
}

impl Porosity {
    pub(super) fn answer(&self, rules: Rules<'_>) -> Result<Answer, Failure> {
        let mut weighing =
            Immersion::new(Grams::new(self.in_air), Grams::new(self.in_water), Celsius::new(self.water));
        if let Some(balance) = self.balance {
            weighing.balance = Grams::new(balance);
        }
        let measured = weighing.density()?;
        let sound = match self.reference {
            Some(d) => Estimate::relative(GramsPerCm3::new(d), 0.001, "as given"),
            None => self.metal.known(rules)?.density(),
        };
        let share = porosity(measured, sound)?;
        let mut answer = Answer::new()
            .figure("porosity", "closed porosity", Dimension::Share, share)
            .figure("density", "density of the piece", Dimension::Density, measured)
            .figure("reference", "density of sound metal", Dimension::Density, sound)
            .note("Pores that are open to the water are not seen.");
        if share.low <= 0.0 {
            answer = answer.note(
                "This cannot be told from none: a heavier piece, a finer balance or a reference of your own metal would tell more.",
            );
        }
        Ok(answer)
    }
}

/// The trade's units in each other
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples: aftercast compute units \"28 inHg vacuum\"\n          aftercast compute units 1350F"
)]
pub(in crate::cli) struct Units {
    /// A number with its unit, such as 1350F, 3dwt or "28 inHg vacuum"
    #[arg(value_name = "QUANTITY", allow_hyphen_values = true)]
    quantity: String,
}

/// The kinds of number that a unit tells apart, in the order in which they are tried.
const KINDS: &[Dimension] = &[
    Dimension::Temperature,
    Dimension::Pressure,
    Dimension::Mass,
    Dimension::Length,
    Dimension::Duration,
    Dimension::HeatingRate,
    Dimension::Density,
    Dimension::Power,
    Dimension::Speed,
    Dimension::LeakRate,
    Dimension::Volume,
    Dimension::Share,
    Dimension::WaterRatio,
];

/// A name and how to get the number from the stored one.
type Into = (&'static str, fn(f64) -> f64);

fn targets(dimension: Dimension) -> &'static [Into] {
    match dimension {
        Dimension::Temperature => &[("C", |v| v), ("F", |v| v * 1.8 + 32.0), ("K", |v| v + 273.15)],
        Dimension::Pressure => &[
            ("mbar", |v| v),
            ("kPa", |v| v / 10.0),
            ("bar", |v| v / 1000.0),
            ("psi", |v| v / 68.947_572_931_68),
            ("Torr", |v| v / 1.333_223_684_21),
            ("inHg abs", |v| v / 33.863_886_4),
            ("inHg vacuum", |v| (ATMOSPHERE_MBAR - v) / 33.863_886_4),
            ("mbar over the atmosphere", |v| v - ATMOSPHERE_MBAR),
        ],
        Dimension::Mass => &[
            ("g", |v| v),
            ("dwt", |v| v / 1.555_173_84),
            ("ozt", |v| v / 31.103_476_8),
            ("gr", |v| v / 0.064_798_91),
            ("ct", |v| v / 0.2),
            ("oz", |v| v / 28.349_523_125),
            ("kg", |v| v / 1000.0),
        ],
        Dimension::Length => &[("mm", |v| v), ("cm", |v| v / 10.0), ("in", |v| v / 25.4)],
        Dimension::Duration => &[("s", |v| v), ("min", |v| v / 60.0), ("h", |v| v / 3600.0)],
        Dimension::HeatingRate => &[("K/h", |v| v), ("K/min", |v| v / 60.0), ("F/h", |v| v * 1.8)],
        Dimension::Density => {
            &[("g/cm3", |v| v), ("kg/m3", |v| v * 1000.0), ("lb/in3", |v| v / 27.679_904_71)]
        }
        Dimension::Power => &[("W", |v| v), ("kW", |v| v / 1000.0)],
        Dimension::Volume => &[("L", |v| v), ("ml", |v| v * 1000.0)],
        Dimension::Share => &[("%", |v| v * 100.0), ("permille", |v| v * 1000.0), ("karat", |v| v * 24.0)],
        Dimension::Speed => &[("rpm", |v| v)],
        Dimension::LeakRate => &[("mbar L/s", |v| v), ("Pa m3/s", |v| v / 10.0)],
        Dimension::WaterRatio => &[("per 100", |v| v)],
        _ => &[],
    }
}

impl Units {
    pub(super) fn answer(&self, _: Rules<'_>) -> Result<Answer, Failure> {
        let text = self.quantity.as_str();
        let mut told = None;
        for kind in KINDS {
            match kind.parse(text) {
                Ok(value) => return Ok(converted(*kind, value)),
                Err(UnitError::UnknownUnit { .. }) => {}
                // The unit belongs here and the number cannot be: that is the error to tell.
                Err(error) => told = told.or(Some(error)),
            }
        }
        Err(match told {
            Some(UnitError::MissingUnit { .. }) => {
                Failure::usage(format!("`{}` has no unit", visible(text)))
                    .with_help("write for instance 1350F, 3dwt, 14psi or \"28 inHg vacuum\"")
            }
            Some(error) => Failure::usage(error.to_string()),
            None => Failure::usage(format!("no unit of the trade is known in `{}`", visible(text)))
                .with_help("C, F, K, mbar, bar, kPa, psi, Torr, inHg vacuum, g, dwt, ozt, gr, ct, oz, mm, in, s, min, h, %, permille ..."),
        })
    }
}

fn converted(kind: Dimension, value: f64) -> Answer {
    let source = "NIST Special Publication 811 (2008), appendix B";
    // A gauge of vacuum has no reading above the atmosphere.
    let reads = |unit: &str| unit != "inHg vacuum" || value <= ATMOSPHERE_MBAR;
    targets(kind).iter().filter(|(unit, _)| reads(unit)).fold(Answer::new(), |answer, (unit, from)| {
        let number = from(value);
        let shown = crate::units::figures(number, 6);
        answer.plain("value", *unit, unit, number, shown, source)
    })
}
