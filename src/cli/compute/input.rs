//! Inputs with their units, and the alloy that a calculation is about.

use crate::cli::failure::Failure;
use crate::cli::rule_base;
use crate::document::visible;
use crate::physics::{CastingMetal, Composition, Element, Estimate, PhysicsError, phase, weigh};
use crate::rules::RuleBase;
use crate::units::{Celsius, Dimension, GramsPerCm3};

/// Reads the rules when a calculation needs the alloy table.
pub(super) type Rules<'a> = &'a dyn Fn() -> Result<RuleBase, Failure>;

macro_rules! parsers {
    ($($name:ident => $dimension:ident;)*) => {$(
        pub(super) fn $name(text: &str) -> Result<f64, String> {
            Dimension::$dimension.parse(text).map_err(|e| e.to_string())
        }
    )*};
}

parsers! {
    temperature => Temperature;
    pressure => Pressure;
    over_pressure => OverPressure;
    mass => Mass;
    length => Length;
    duration => Duration;
    share => Share;
    density => Density;
    power => Power;
    speed => Speed;
    leak_rate => LeakRate;
    volume => Volume;
    heating_rate => HeatingRate;
    bare => Ratio;
}

impl From<PhysicsError> for Failure {
    fn from(error: PhysicsError) -> Self {
        Self::usage(error.to_string())
    }
}

/// Which metal.
#[derive(Debug, clap::Args)]

pub(super) struct Metal {
    /// An alloy of the table, by the name casters use
    #[arg(long, value_name = "NAME", conflicts_with = "composition")]
    alloy: Option<String>,

    /// Its composition in percent by weight, such as Ag=92.5,Cu=7.5
    #[arg(long, value_name = "EL=%,...")]
    composition: Option<String>,

    /// Where it is wholly solid, when the table does not say or you know better
    #[arg(long, value_name = "TEMPERATURE", value_parser = temperature)]
    solidus: Option<f64>,

    /// Where it is wholly liquid
    #[arg(long, value_name = "TEMPERATURE", value_parser = temperature)]
    liquidus: Option<f64>,
}

/// A metal as far as it is known.
pub(super) struct Known {
    pub(super) composition: Composition,
    solidus: Option<Celsius>,
    liquidus: Option<Celsius>,
    density: Option<GramsPerCm3>,
}

impl Metal {
    pub(super) fn known(&self, rules: Rules<'_>) -> Result<Known, Failure> {
        let mut known = match (&self.alloy, &self.composition) {
            (Some(name), _) => {
                let rules = rules()?;
                let alloy = rules.alloy(rule_base::one_alloy(&rules, name)?);
                Known {
                    composition: alloy.composition,
                    solidus: Some(alloy.solidus),
                    liquidus: Some(alloy.liquidus),
                    density: alloy.density,
                }
            }
            (None, Some(text)) => {
                let composition = composition(text)?;
                let range = phase::melting_range(&composition).ok().flatten();
                Known {
                    solidus: range.map(|r| r.solidus.value),
                    liquidus: range.map(|r| r.liquidus.value),
                    composition,
                    density: None,
                }
            }
            (None, None) => return Err(Failure::usage("name the metal with --alloy or --composition")),
        };
        known.solidus = self.solidus.map(Celsius::new).or(known.solidus);
        known.liquidus = self.liquidus.map(Celsius::new).or(known.liquidus);
        Ok(known)
    }
}

impl Known {
    pub(super) fn liquidus(&self) -> Result<Celsius, Failure> {
        self.liquidus.ok_or_else(no_range)
    }

    pub(super) fn solidus(&self) -> Result<Celsius, Failure> {
        self.solidus.ok_or_else(no_range)
    }

    /// The metal as freezing and filling see it.
    pub(super) fn casting(&self) -> Result<CastingMetal, Failure> {
        Ok(CastingMetal::of(&self.composition, self.solidus()?, self.liquidus()?)?)
    }

    pub(super) fn density(&self) -> Estimate<GramsPerCm3> {
        match self.density {
            Some(density) => Estimate::relative(density, 0.005, "alloy table"),
            None => weigh::density(&self.composition),
        }
    }
}

fn no_range() -> Failure {
    Failure::usage("the melting range of this composition cannot be computed here")
        .with_help("give --solidus and --liquidus, from the maker's sheet")
}

/// `Ag=92.5,Cu=7.5`; percent signs and spaces are allowed.
fn composition(text: &str) -> Result<Composition, Failure> {
    let help = "write element and percent by weight, such as Ag=92.5,Cu=7.5";
    let mut parts: Vec<(Element, f64)> = Vec::new();
    for part in text.split(',').map(str::trim).filter(|p| !p.is_empty()) {
        let (symbol, percent) = part
            .split_once('=')
            .ok_or_else(|| Failure::usage(format!("`{}` is no share", visible(part))).with_help(help))?;
        let element =
            symbol.trim().parse::<Element>().map_err(|e| Failure::usage(e.to_string()).with_help(help))?;
        let number = percent.trim().trim_end_matches('%').trim().parse::<f64>();
        let number = number.map_err(|_| {
            Failure::usage(format!("`{}` is no number", visible(percent.trim()))).with_help(help)
        })?;
        parts.push((element, number));
    }
    Composition::from_percent(&parts).map_err(|e| Failure::usage(e.to_string()).with_help(help))
}
