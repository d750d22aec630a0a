//! Chamber, thermometers, melting, soak.

use super::answer::Answer;
use super::input::{
    Metal, Rules, bare, duration, heating_rate, leak_rate, length, mass, power, pressure, temperature, volume,
};
use crate::cli::failure::Failure;
use crate::physics::melt::{Heating, absorbed, melting_heat, melting_time};
use crate::physics::overshoot::{HeatedMass, overshoot};
use crate::physics::purge::{Purge, leak_rate as leak_of};
use crate::physics::thermocouple::{ThermocoupleType, ToleranceClass, tolerance};
use crate::physics::{Estimate, pyrometer, soak};
use crate::units::{Celsius, Dimension, Grams, Kelvins, Millibars, Millimetres, Seconds, Watts};

/// Oxygen that purge cycles leave in a chamber
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast compute purge --cycles 2 --vacuum 10mbar")]
pub(in crate::cli) struct Purging {
    /// How many times it is pumped down and filled again
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(0..=100))]
    cycles: u32,

    /// Pressure reached each time; a gauge vacuum is written as "28 inHg vacuum"
    #[arg(long, value_name = "PRESSURE", value_parser = pressure, allow_hyphen_values = true)]
    vacuum: f64,

    /// Pressure to which it is filled
    #[arg(long, value_name = "PRESSURE", value_parser = pressure, default_value = "1000 mbar")]
    fill: f64,

    /// Leak of the chamber, such as "0.01 mbar L/s"; needs --volume and --time
    #[arg(long, value_name = "RATE", value_parser = leak_rate, requires = "volume", requires = "time")]
    leak: Option<f64>,

    /// Volume of the chamber
    #[arg(long, value_name = "VOLUME", value_parser = volume)]
    volume: Option<f64>,

    /// Time under vacuum in each cycle
    #[arg(long, value_name = "TIME", value_parser = duration)]
    time: Option<f64>,

    /// Oxygen in the gas, in parts per million
    #[arg(long, value_name = "PPM", value_parser = bare, default_value = "4")]
    gas_ppm: f64,

    /// Oxygen to come down to, in parts per million; answers how many cycles
    #[arg(long, value_name = "PPM", value_parser = bare)]
    target_ppm: Option<f64>,
}

impl Purging {
    pub(super) fn answer(&self, _: Rules<'_>) -> Result<Answer, Failure> {
        let purge = Purge {
            cycles: self.cycles,
            vacuum: Millibars::new(self.vacuum),
            backfill: Millibars::new(self.fill),
            leak: self.leak.unwrap_or(0.0),
            volume: self.volume.unwrap_or(10.0),
            under_vacuum: Seconds::new(self.time.unwrap_or(0.0)),
            gas_oxygen: self.gas_ppm * 1e-6,
        };
        let left = purge.residual_oxygen()?;
        let mut answer = Answer::new()
            .figure("pressure", "oxygen left", Dimension::Pressure, left.pressure)
            .other("fraction", "that is", "ppm", left.fraction.map(|y: f64| y * 1e6));
        if let Some(ppm) = self.target_ppm {
            match purge.cycles_to(ppm * 1e-6)? {
                Some(n) => {
                    answer = answer.plain(
                        "cycles",
                        "cycles to the target",
                        "1",
                        f64::from(n.whole),
                        n.whole.to_string(),
                        "vacuum purging formula",
                    );
                }
                None => {
                    answer = answer.note(
                        "No number of cycles comes down to the target: the gas or the leak does not let it.",
                    )
                }
            }
        }
        Ok(answer.note("The formula takes the gas as well mixed and all walls as dry: moulds, graphite and lining give off more."))
    }
}

/// Leak of a chamber from an isolation test
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast compute leak --volume 10L --rise 5mbar --time 5min")]
#[command(override_usage = "aftercast compute leak [OPTIONS] --volume V --rise P --time T")]
pub(in crate::cli) struct Leak {
    /// Volume of the chamber
    #[arg(long, value_name = "VOLUME", value_parser = volume)]
    volume: f64,

    /// How far the pressure rose with the valve shut
    #[arg(long, value_name = "PRESSURE", value_parser = pressure)]
    rise: f64,

    /// In which time
    #[arg(long, value_name = "TIME", value_parser = duration)]
    time: f64,
}

impl Leak {
    pub(super) fn answer(&self, _: Rules<'_>) -> Result<Answer, Failure> {
        let leak = leak_of(self.volume, Millibars::new(self.rise), Seconds::new(self.time))?;
        Ok(Answer::new()
            .figure(
                "leak",
                "leak",
                Dimension::LeakRate,
                Estimate::<f64>::exact(leak, "volume times pressure rise over time"),
            )
            .note("Gas given off by damp walls counts as a leak here: test a warm, dry, empty chamber."))
    }
}

/// How far a pyrometer is off when its emissivity is set wrong
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast compute pyrometer --reading 1000C --set 0.3 --actual 0.2")]
#[command(override_usage = "aftercast compute pyrometer [OPTIONS] --reading T --set N --actual N")]
pub(in crate::cli) struct PyrometerError {
    /// What it shows
    #[arg(long, value_name = "TEMPERATURE", value_parser = temperature)]
    reading: f64,

    /// The emissivity set on it
    #[arg(long, value_name = "NUMBER", value_parser = bare)]
    set: f64,

    /// The emissivity of the melt; bright silver 0.04 to 0.07, gold 0.2, platinum 0.35, an oxide skin 0.6 to 0.8
    #[arg(long, value_name = "NUMBER", value_parser = bare)]
    actual: f64,

    /// The wavelength it works at, in micrometres
    #[arg(long, value_name = "MICROMETRES", value_parser = bare, default_value = "0.9")]
    wavelength: f64,
}

impl PyrometerError {
    pub(super) fn answer(&self, _: Rules<'_>) -> Result<Answer, Failure> {
        let shown = Celsius::new(self.reading);
        let at = |actual: f64| pyrometer::true_temperature(shown, self.wavelength, self.set, actual);
        let value = at(self.actual)?;
        // Emissivities of liquid metal are known to a third; the ends stay in the formula's range.
        let (low, high) = (at((self.actual * 1.33).min(1.0))?, at((self.actual * 0.67).max(0.01))?);
        let is = Estimate::new(value, low, high, "Planck's law")
            .with_weak("the range is that of an emissivity known to a third");
        let off: Estimate<Kelvins> = is.map(|t| self.reading - t);
        Ok(Answer::new().figure("temperature", "true temperature", Dimension::Temperature, is).figure(
            "error",
            "the reading is off by",
            Dimension::Span,
            off,
        ))
    }
}

/// How far a new thermocouple may be off
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast compute thermocouple --type k --at 1000C")]
pub(in crate::cli) struct ThermocoupleError {
    /// Its type
    #[arg(long = "type", value_enum)]
    kind: Type,

    /// Its tolerance class, 1 or 2
    #[arg(long, value_name = "CLASS", default_value_t = 2, value_parser = clap::value_parser!(u8).range(1..=2))]
    class: u8,

    /// At which temperature
    #[arg(long, value_name = "TEMPERATURE", value_parser = temperature)]
    at: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Type {
    K,
    S,
    R,
}

impl ThermocoupleError {
    pub(super) fn answer(&self, _: Rules<'_>) -> Result<Answer, Failure> {
        let kind = match self.kind {
            Type::K => ThermocoupleType::K,
            Type::S => ThermocoupleType::S,
            Type::R => ThermocoupleType::R,
        };
        let class = if self.class == 1 { ToleranceClass::One } else { ToleranceClass::Two };
        let off = tolerance(kind, class, Celsius::new(self.at))?;
        Ok(Answer::new()
            .figure("tolerance", "may be off by, either way", Dimension::Span, Estimate::exact(off, "IEC 60584"))
            .note("New wire only: type K drifts by -5 to +10 K in tens of hours above 1000 °C, and a sheath that is not deep enough reads low."))
    }
}

/// How far a small charge overshoots its set temperature
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast compute overshoot --alloy fine-silver --charge 100g --power 4kW")]
pub(in crate::cli) struct OvershootOf {
    #[command(flatten)]
    metal: Metal,

    /// The charge
    #[arg(long, value_name = "MASS", value_parser = mass)]
    charge: f64,

    /// Power of the heater
    #[arg(long, value_name = "POWER", value_parser = power)]
    power: f64,

    /// A graphite crucible that heats with it
    #[arg(long, value_name = "MASS", value_parser = mass)]
    crucible: Option<f64>,

    /// Delay of sensor and control
    #[arg(long, value_name = "TIME", value_parser = duration, default_value = "2 s")]
    lag: f64,
}

impl OvershootOf {
    pub(super) fn answer(&self, rules: Rules<'_>) -> Result<Answer, Failure> {
        let metal = self.metal.known(rules)?.casting()?;
        let charge =
            HeatedMass { mass: Grams::new(self.charge), heat_capacity: metal.heat_capacity_liquid() };
        let held = self
            .crucible
            .map(|m| HeatedMass { mass: Grams::new(m), heat_capacity: crate::sheet::derived::GRAPHITE_HEAT });
        let into = absorbed(Watts::new(self.power), Heating::Induction)?;
        let over = overshoot(into, charge, held, Seconds::new(self.lag))?;
        let answer = Answer::new().figure("overshoot", "may overshoot by", Dimension::Span, over);
        Ok(if self.crucible.is_none() {
            answer.note("Without the crucible's mass this is an upper value.")
        } else {
            answer
        })
    }
}

/// Time and energy to melt a charge
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example: aftercast compute melt-time --alloy sterling --charge 300g --power 3kW --to 993C"
)]
#[command(override_usage = "aftercast compute melt-time [OPTIONS] --charge M --power P --to T")]
pub(in crate::cli) struct MeltTime {
    #[command(flatten)]
    metal: Metal,

    /// The charge
    #[arg(long, value_name = "MASS", value_parser = mass)]
    charge: f64,

    /// Power of the heater
    #[arg(long, value_name = "POWER", value_parser = power)]
    power: f64,

    /// Pouring temperature
    #[arg(long, value_name = "TEMPERATURE", value_parser = temperature)]
    to: f64,

    /// Temperature of the charge
    #[arg(long, value_name = "TEMPERATURE", value_parser = temperature, default_value = "20 C")]
    start: f64,

    /// A torch and not induction
    #[arg(long)]
    torch: bool,
}

impl MeltTime {
    pub(super) fn answer(&self, rules: Rules<'_>) -> Result<Answer, Failure> {
        let metal = self.metal.known(rules)?.casting()?;
        let (charge, start, to) = (Grams::new(self.charge), Celsius::new(self.start), Celsius::new(self.to));
        let how = if self.torch { Heating::Torch } else { Heating::Induction };
        let heat = melting_heat(&metal, charge, start, to)?;
        let time = melting_time(&metal, charge, start, to, Watts::new(self.power), how)?;
        Ok(Answer::new()
            .other("energy", "heat into the metal", "kJ", heat.map(|j: f64| j / 1000.0))
            .figure("time", "time to melt", Dimension::Duration, time)
            .note("Far longer says wrong coupling, a wet or oversized charge or a cold crucible; far shorter, doubt the temperature reading."))
    }
}

/// How long the core of a flask lags behind its skin
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast compute soak --diameter 89mm --from 730C --to 480C --held 1h")]
pub(in crate::cli) struct Soak {
    /// Diameter of the flask
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    diameter: f64,

    /// Temperature that it comes from, such as the burnout peak; needs --to
    #[arg(long, value_name = "TEMPERATURE", value_parser = temperature, requires = "to")]
    from: Option<f64>,

    /// Temperature of the oven, such as the casting temperature
    #[arg(long, value_name = "TEMPERATURE", value_parser = temperature)]
    to: Option<f64>,

    /// How long it has been held there; needs --from
    #[arg(long, value_name = "TIME", value_parser = duration, requires = "from")]
    held: Option<f64>,

    /// Heating rate of the oven, for the lag during a ramp
    #[arg(long, value_name = "RATE", value_parser = heating_rate)]
    rate: Option<f64>,
}

impl Soak {
    pub(super) fn answer(&self, _: Rules<'_>) -> Result<Answer, Failure> {
        let across = Millimetres::new(self.diameter);
        let mut answer = Answer::new().figure(
            "time",
            "until the core has done 95 % of a change",
            Dimension::Duration,
            soak::soak_time(across, 0.05)?,
        );
        if let (Some(from), Some(to), Some(held)) = (self.from, self.to, self.held) {
            let core =
                soak::core_temperature(Celsius::new(from), Celsius::new(to), across, Seconds::new(held))?;
            answer = answer.figure("core", "the core stands at", Dimension::Temperature, core);
        }
        if let Some(rate) = self.rate {
            answer = answer.figure(
                "lag",
                "behind the oven during the ramp",
                Dimension::Span,
                soak::ramp_lag(across, rate)?,
            );
        }
        Ok(answer.note("For a dry flask: driving the water out, below about 200 °C, takes as long again."))
    }
}
