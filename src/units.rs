//! Quantities of the trade with their units: parsing what a caster writes, printing what a caster reads.
//!
//! Lowest layer of the program: it imports nothing of the project. A [`Dimension`] says what kind of quantity a
//! field or a rule holds and in which unit it is stored; the newtypes ([`Celsius`], [`Kelvins`], ...) keep a
//! temperature from being added to a temperature, or a pressure from being passed for a length.
//!
//! Conversion factors: NIST Special Publication 811 (2008), appendix B; the exact ones are exact by definition.

use std::fmt;
use std::ops::{Add, Sub};

/// Standard atmosphere in mbar (exact by definition), used to turn a gauge vacuum into an absolute pressure.
pub const ATMOSPHERE_MBAR: f64 = 1013.25;

macro_rules! newtype {
    ($(#[$doc:meta])* $name:ident, $dimension:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(f64);
        impl $name {
            /// Wraps a number given in this type's unit.
            pub const fn new(value: f64) -> Self { Self(value) }
            /// The number in this type's unit.
            pub const fn get(self) -> f64 { self.0 }
            /// What kind of quantity this is.
            pub const DIMENSION: Dimension = Dimension::$dimension;
        }
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&Dimension::$dimension.show(self.0))
            }
        }
    };
}

newtype!(
    /// A temperature on the Celsius scale, in °C.
    Celsius, Temperature);
newtype!(
    /// A difference of two temperatures, in K.
    Kelvins, Span);
newtype!(
    /// An absolute pressure, in mbar.
    Millibars, Pressure);
newtype!(
    /// A mass, in g.
    Grams, Mass);
newtype!(
    /// A length, in mm.
    Millimetres, Length);
newtype!(
    /// A stretch of time, in s.
    Seconds, Duration);
newtype!(
    /// A density, in g/cm³.
    GramsPerCm3, Density);
newtype!(
    /// A power, in W.
    Watts, Power);

impl Celsius {
    /// The same temperature in kelvin.
    pub const fn kelvin(self) -> f64 {
        self.0 + 273.15
    }
    /// From a temperature in kelvin.
    pub const fn from_kelvin(kelvin: f64) -> Self {
        Self(kelvin - 273.15)
    }
}
impl Sub for Celsius {
    type Output = Kelvins;
    fn sub(self, other: Self) -> Kelvins {
        Kelvins(self.0 - other.0)
    }
}
impl Add<Kelvins> for Celsius {
    type Output = Self;
    fn add(self, span: Kelvins) -> Self {
        Self(self.0 + span.0)
    }
}
impl Sub<Kelvins> for Celsius {
    type Output = Self;
    fn sub(self, span: Kelvins) -> Self {
        Self(self.0 - span.0)
    }
}
impl Millibars {
    /// The same pressure in pascal.
    pub const fn pascals(self) -> f64 {
        self.0 * 100.0
    }
    /// From a pressure in pascal.
    pub const fn from_pascals(pascals: f64) -> Self {
        Self(pascals / 100.0)
    }
}

/// The kinds of quantity that a sheet, a rule or a computation can hold, each with the unit its numbers are stored in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Dimension {
    /// Stored in °C.
    Temperature,
    /// A temperature difference, stored in K.
    Span,
    /// A heating rate, stored in K/h.
    HeatingRate,
    /// An absolute pressure, stored in mbar.
    Pressure,
    /// A pressure above the surroundings, stored in mbar.
    OverPressure,
    /// Stored in g.
    Mass,
    /// Stored in mm.
    Length,
    /// Stored in s.
    Duration,
    /// A share of a whole, stored as a fraction (0.4 for 40 %).
    Share,
    /// Grams of water to 100 g of powder, stored as that number of grams.
    WaterRatio,
    /// Stored in g/cm³.
    Density,
    /// Stored in W.
    Power,
    /// Stored in turns a minute.
    Speed,
    /// A gas leak, stored in mbar·L/s.
    LeakRate,
    /// Stored in L.
    Volume,
    /// A bare count, such as purge cycles.
    Count,
    /// A plain ratio of two like quantities.
    Ratio,
}

/// A unit that may be written, with its way to the stored unit: stored = number * scale + offset.
struct Unit {
    names: &'static [&'static str],
    scale: f64,
    offset: f64,
}

const fn unit(names: &'static [&'static str], scale: f64) -> Unit {
    Unit { names, scale, offset: 0.0 }
}

const TEMPERATURE: &[Unit] = &[
    unit(&["C", "°C", "ºC", "degC", "celsius"], 1.0),
    Unit { names: &["F", "°F", "ºF", "degF", "fahrenheit"], scale: 1.0 / 1.8, offset: -32.0 / 1.8 },
    Unit { names: &["K", "kelvin"], scale: 1.0, offset: -273.15 },
];
const SPAN: &[Unit] = &[unit(&["K", "C", "°C", "kelvin"], 1.0), unit(&["F", "°F"], 1.0 / 1.8)];
const HEATING_RATE: &[Unit] = &[
    unit(&["K/h", "C/h", "°C/h"], 1.0),
    unit(&["K/min", "C/min", "°C/min"], 60.0),
    unit(&["F/h", "°F/h"], 1.0 / 1.8),
    unit(&["F/min", "°F/min"], 60.0 / 1.8),
];
const PRESSURE: &[Unit] = &[
    unit(&["mbar", "hPa"], 1.0),
    unit(&["bar"], 1000.0),
    unit(&["Pa"], 0.01),
    unit(&["kPa"], 10.0),
    unit(&["MPa"], 10_000.0),
    unit(&["psi"], 68.947_572_931_68),
    unit(&["Torr", "torr"], 1.333_223_684_21),
    unit(&["mmHg"], 1.333_223_874_15),
    unit(&["inHg"], 33.863_886_4),
    unit(&["atm"], ATMOSPHERE_MBAR),
];
const MASS: &[Unit] = &[
    unit(&["g", "gram", "grams"], 1.0),
    unit(&["kg"], 1000.0),
    unit(&["mg"], 0.001),
    unit(&["dwt"], 1.555_173_84),
    unit(&["ozt"], 31.103_476_8),
    unit(&["gr", "grain"], 0.064_798_91),
    unit(&["ct"], 0.2),
    unit(&["oz"], 28.349_523_125),
    unit(&["lb"], 453.592_37),
];
const LENGTH: &[Unit] =
    &[unit(&["mm"], 1.0), unit(&["cm"], 10.0), unit(&["m"], 1000.0), unit(&["in", "inch", "\"", "″"], 25.4)];
const DURATION: &[Unit] = &[
    unit(&["s", "sec", "seconds"], 1.0),
    unit(&["min", "minutes"], 60.0),
    unit(&["h", "hr", "hours"], 3600.0),
    unit(&["d", "days"], 86_400.0),
];
const SHARE: &[Unit] = &[unit(&["%"], 0.01), unit(&["‰", "permille"], 0.001)];
const WATER_RATIO: &[Unit] = &[unit(&["per 100", "/100", ":100", "ml per 100 g", "g per 100 g"], 1.0)];
const DENSITY: &[Unit] = &[
    unit(&["g/cm3", "g/cm³", "g/ml"], 1.0),
    unit(&["kg/m3", "kg/m³"], 0.001),
    unit(&["lb/in3"], 27.679_904_71),
];
const POWER: &[Unit] = &[unit(&["W"], 1.0), unit(&["kW"], 1000.0)];
const SPEED: &[Unit] = &[unit(&["rpm", "turns/min", "1/min"], 1.0)];
const LEAK_RATE: &[Unit] = &[unit(&["mbar L/s", "mbar·L/s", "mbar*L/s"], 1.0), unit(&["Pa m3/s"], 10.0)];
const VOLUME: &[Unit] = &[unit(&["L", "l"], 1.0), unit(&["ml", "mL", "cm3", "cm³"], 0.001)];
const COUNT: &[Unit] = &[unit(&["", "cycles", "times"], 1.0)];
const RATIO: &[Unit] = &[unit(&["", "x", "times"], 1.0)];

/// Why a written quantity could not be read. The text is for the caster: what was wrong and what is allowed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum UnitError {
    /// Nothing that looks like a number at the start.
    #[error("`{text}` does not begin with a number; write for instance `{example}`")]
    NotANumber {
        /// What was written.
        text: String,
        /// A right spelling.
        example: &'static str,
    },
    /// A number with a comma for the decimal point.
    #[error("`{text}` has a comma; write the decimal point as a dot")]
    Comma {
        /// What was written.
        text: String,
    },
    /// Infinite, not a number, or beyond what the program can hold.
    #[error("`{text}` is not a finite number")]
    NotFinite {
        /// What was written.
        text: String,
    },
    /// A number without a unit where one is needed.
    #[error("`{text}` has no unit; allowed units: {allowed}")]
    MissingUnit {
        /// What was written.
        text: String,
        /// The units that this field takes.
        allowed: String,
    },
    /// A unit this dimension does not have.
    #[error("unknown unit `{unit}` for {kind}; allowed units: {allowed}")]
    UnknownUnit {
        /// The unit as written.
        unit: String,
        /// What kind of quantity was wanted.
        kind: &'static str,
        /// The units that this field takes.
        allowed: String,
    },
    /// `inHg` alone may mean a vacuum or an absolute pressure.
    #[error("`{text}` may be a vacuum or an absolute pressure; write `{text} vacuum` or `{text} abs`")]
    AmbiguousGauge {
        /// What was written.
        text: String,
    },
    /// A gauge vacuum deeper than the atmosphere, or an absolute pressure below zero.
    #[error(
        "`{text}` would be below zero absolute pressure: a vacuum gauge cannot read more than 1013 mbar (29.9 inHg)"
    )]
    BelowVacuum {
        /// What was written.
        text: String,
    },
    /// A temperature below absolute zero.
    #[error("`{text}` is below absolute zero (-273.15 C)")]
    BelowAbsoluteZero {
        /// What was written.
        text: String,
    },
}

impl Dimension {
    /// All of them.
    const ALL: [Self; 17] = [
        Self::Temperature,
        Self::Span,
        Self::HeatingRate,
        Self::Pressure,
        Self::OverPressure,
        Self::Mass,
        Self::Length,
        Self::Duration,
        Self::Share,
        Self::WaterRatio,
        Self::Density,
        Self::Power,
        Self::Speed,
        Self::LeakRate,
        Self::Volume,
        Self::Count,
        Self::Ratio,
    ];

    fn units(self) -> &'static [Unit] {
        match self {
            Self::Temperature => TEMPERATURE,
            Self::Span => SPAN,
            Self::HeatingRate => HEATING_RATE,
            Self::Pressure | Self::OverPressure => PRESSURE,
            Self::Mass => MASS,
            Self::Length => LENGTH,
            Self::Duration => DURATION,
            Self::Share => SHARE,
            Self::WaterRatio => WATER_RATIO,
            Self::Density => DENSITY,
            Self::Power => POWER,
            Self::Speed => SPEED,
            Self::LeakRate => LEAK_RATE,
            Self::Volume => VOLUME,
            Self::Count => COUNT,
            Self::Ratio => RATIO,
        }
    }

    /// The kind of quantity in words, as used in messages.
    pub fn name(self) -> &'static str {
        match self {
            Self::Temperature => "a temperature",
            Self::Span => "a temperature difference",
            Self::HeatingRate => "a heating rate",
            Self::Pressure => "a pressure",
            Self::OverPressure => "a pressure above the surroundings",
            Self::Mass => "a mass",
            Self::Length => "a length",
            Self::Duration => "a time",
            Self::Share => "a share",
            Self::WaterRatio => "a water to powder ratio",
            Self::Density => "a density",
            Self::Power => "a power",
            Self::Speed => "a turning speed",
            Self::LeakRate => "a leak rate",
            Self::Volume => "a volume",
            Self::Count => "a count",
            Self::Ratio => "a ratio",
        }
    }

    fn example(self) -> &'static str {
        match self {
            Self::Temperature => "640 C",
            Self::Span => "25 K",
            Self::HeatingRate => "180 K/h",
            Self::Pressure => "30 mbar",
            Self::OverPressure => "1.2 bar",
            Self::Mass => "14.2 g",
            Self::Length => "3 mm",
            Self::Duration => "10 min",
            Self::Share => "40 %",
            Self::WaterRatio => "40 per 100",
            Self::Density => "10.36 g/cm3",
            Self::Power => "4 kW",
            Self::Speed => "400 rpm",
            Self::LeakRate => "0.01 mbar L/s",
            Self::Volume => "10 L",
            Self::Count => "3",
            Self::Ratio => "1.2",
        }
    }

    /// The units that may be written, for messages and help.
    pub fn allowed(self) -> String {
        let mut names: Vec<&str> =
            self.units().iter().filter_map(|u| u.names.first().copied()).filter(|n| !n.is_empty()).collect();
        match self {
            Self::Pressure => names.push("and any of them with `vacuum` or `abs` behind it"),
            Self::Count | Self::Ratio => return "none, a bare number".to_owned(),
            _ => {}
        }
        names.join(", ")
    }

    /// The unit that numbers are stored in, for machine output.
    pub fn stored_unit(self) -> &'static str {
        match self {
            Self::Temperature => "C",
            Self::Span => "K",
            Self::HeatingRate => "K/h",
            Self::Pressure | Self::OverPressure => "mbar",
            Self::Mass => "g",
            Self::Length => "mm",
            Self::Duration => "s",
            Self::WaterRatio => "g per 100 g",
            Self::Density => "g/cm3",
            Self::Power => "W",
            Self::Speed => "rpm",
            Self::LeakRate => "mbar L/s",
            Self::Volume => "L",
            Self::Share | Self::Count | Self::Ratio => "1",
        }
    }

    /// True for quantities that are written without a unit.
    pub fn is_bare(self) -> bool {
        matches!(self, Self::Count | Self::Ratio)
    }

    /// Reads a quantity with its unit, such as `640 C`, `1.2bar`, `28 inHg vacuum`, `40 per 100`.
    ///
    /// Returns the number in this dimension's stored unit: always finite, never below absolute zero or vacuum.
    ///
    /// # Errors
    /// A [`UnitError`] that says what is wrong and what may be written instead.
    pub fn parse(self, text: &str) -> Result<f64, UnitError> {
        let text = text.trim();
        let split = number_end(text);
        let (digits, rest) = text.split_at(split);
        let rest = rest.trim();
        if digits.is_empty() {
            return Err(UnitError::NotANumber { text: shorten(text), example: self.example() });
        }
        if rest.starts_with(',') {
            return Err(UnitError::Comma { text: shorten(text) });
        }
        let number: f64 = digits
            .replace('−', "-")
            .parse()
            .map_err(|_| UnitError::NotANumber { text: shorten(text), example: self.example() })?;
        if !number.is_finite() {
            return Err(UnitError::NotFinite { text: shorten(text) });
        }
        let value = match self {
            Self::Pressure => absolute_pressure(text, number, rest)?,
            Self::OverPressure => {
                let rest = strip_word(rest, &["over", "gauge", "g"]).unwrap_or(rest);
                self.scaled(text, number, rest)?
            }
            _ => self.scaled(text, number, rest)?,
        };
        if !value.is_finite() {
            return Err(UnitError::NotFinite { text: shorten(text) });
        }
        if self == Self::Temperature && value < -273.15 {
            return Err(UnitError::BelowAbsoluteZero { text: shorten(text) });
        }
        Ok(value)
    }

    fn scaled(self, text: &str, number: f64, unit_text: &str) -> Result<f64, UnitError> {
        let found = self.units().iter().find(|u| u.names.iter().any(|n| same_unit(n, unit_text)));
        match found {
            Some(u) => Ok(number.mul_add(u.scale, u.offset)),
            None if unit_text.is_empty() => {
                Err(UnitError::MissingUnit { text: shorten(text), allowed: self.allowed() })
            }
            None => Err(UnitError::UnknownUnit {
                unit: shorten(unit_text),
                kind: self.name(),
                allowed: self.allowed(),
            }),
        }
    }

    /// Prints a stored number with the unit that a caster would use for its size, to about three figures.
    pub fn show(self, value: f64) -> String {
        match self {
            Self::Temperature => format!("{} °C", round(value, 0)),
            Self::Span => format!("{} K", figures(value, 3)),
            Self::HeatingRate => format!("{} K/h", figures(value, 3)),
            Self::Pressure if value.abs() >= 1500.0 => format!("{} bar", figures(value / 1000.0, 3)),
            // A gauge on the caster reads bar.
            Self::OverPressure if value.abs() >= 1000.0 => format!("{} bar", figures(value / 1000.0, 3)),
            Self::Pressure | Self::OverPressure => format!("{} mbar", figures(value, 3)),
            Self::Mass if value.abs() >= 1000.0 => format!("{} kg", figures(value / 1000.0, 4)),
            Self::Mass => format!("{} g", figures(value, 3)),
            Self::Length => format!("{} mm", figures(value, 3)),
            Self::Duration if value.abs() >= 5400.0 => format!("{} h", figures(value / 3600.0, 3)),
            Self::Duration if value.abs() >= 90.0 => format!("{} min", figures(value / 60.0, 3)),
            Self::Duration => format!("{} s", figures(value, 3)),
            Self::Share => format!("{} %", figures(value * 100.0, 3)),
            Self::WaterRatio => format!("{} per 100", figures(value, 3)),
            Self::Density => format!("{} g/cm³", figures(value, 4)),
            Self::Power if value.abs() >= 1000.0 => format!("{} kW", figures(value / 1000.0, 3)),
            Self::Power => format!("{} W", figures(value, 3)),
            Self::Speed => format!("{} rpm", figures(value, 3)),
            Self::LeakRate => format!("{} mbar·L/s", figures(value, 2)),
            Self::Volume => format!("{} L", figures(value, 3)),
            Self::Count | Self::Ratio => figures(value, 3),
        }
    }
}

/// Absolute pressure from a reading: `30 mbar`, `30 mbar abs`, `28 inHg vacuum`, `-0.9 bar gauge`.
fn absolute_pressure(text: &str, number: f64, rest: &str) -> Result<f64, UnitError> {
    let dimension = Dimension::Pressure;
    let value = if let Some(unit) = strip_word(rest, &["vacuum", "vac"]) {
        ATMOSPHERE_MBAR - dimension.scaled(text, number.abs(), unit)?
    } else if let Some(unit) = strip_word(rest, &["gauge", "over"]) {
        ATMOSPHERE_MBAR + dimension.scaled(text, number, unit)?
    } else if let Some(unit) = strip_word(rest, &["abs", "absolute"]) {
        dimension.scaled(text, number, unit)?
    } else if same_unit("inHg", rest) {
        return Err(UnitError::AmbiguousGauge { text: shorten(text) });
    } else {
        dimension.scaled(text, number, rest)?
    };
    if value < 0.0 {
        return Err(UnitError::BelowVacuum { text: shorten(text) });
    }
    Ok(value)
}

/// `rest` without one of `words` at its end.
fn strip_word<'a>(rest: &'a str, words: &[&str]) -> Option<&'a str> {
    words.iter().find_map(|w| rest.strip_suffix(w)).map(str::trim)
}

fn same_unit(name: &str, written: &str) -> bool {
    name == written || (name.len() > 1 && name.eq_ignore_ascii_case(written))
}

/// Byte length of the leading number: sign, digits, one dot, exponent.
fn number_end(text: &str) -> usize {
    let mut end = 0;
    let mut seen_digit = false;
    let mut seen_dot = false;
    for (at, c) in text.char_indices() {
        match c {
            '+' | '-' | '−' if at == 0 => {}
            '0'..='9' => seen_digit = true,
            '.' if !seen_dot => seen_dot = true,
            _ => break,
        }
        end = at + c.len_utf8();
    }
    if !seen_digit {
        return 0;
    }
    // An exponent only when digits follow: `1e3`, not the `e` of a word.
    let tail = &text[end..];
    if tail.starts_with(['e', 'E']) {
        let after = tail[1..].strip_prefix(['+', '-']).unwrap_or(&tail[1..]);
        let digits = after.chars().take_while(char::is_ascii_digit).count();
        if digits > 0 {
            end += tail.len() - after.len() + digits;
        }
    }
    end
}

/// Long rubbish is cut, so that a message stays readable.
fn shorten(text: &str) -> String {
    const MOST: usize = 40;
    let clean: String = text.chars().map(|c| if c.is_control() { '?' } else { c }).collect();
    match clean.char_indices().nth(MOST) {
        Some((at, _)) => format!("{}...", &clean[..at]),
        None => clean,
    }
}

/// Whether a word is a unit that follows its number after a space, so that the two belong on one line.
pub fn is_unit(word: &str) -> bool {
    /// Units that no field is stored in or written with, but that the program prints.
    const PRINTED: &[&str] =
        &["second", "minute", "hour", "day", "J", "kJ", "J/K", "J/g", "J/(g K)", "ppm", "points", "µm"];
    !word.is_empty()
        && (PRINTED.contains(&word)
            || Dimension::ALL.iter().any(|d| d.units().iter().any(|u| u.names.contains(&word))))
}

/// A number rounded to a count of decimals, without a negative zero.
pub fn round(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    if text.trim_start_matches('-').chars().all(|c| matches!(c, '0' | '.')) {
        text.trim_start_matches('-').to_owned()
    } else {
        text
    }
}

/// A number rounded to so many significant figures, 3 of 1234.5 being 1230.
pub fn significant(value: f64, count: u32) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let step = 10f64.powf(value.abs().log10().floor() + 1.0 - f64::from(count));
    let rounded = (value / step).round() * step;
    // Away from the rounding of the step itself: 0.3 and not 0.30000000000000004.
    format!("{rounded:.12e}").parse().unwrap_or(rounded)
}

/// A number with so many significant figures, plain notation inside 0.001 .. 10^6. Digits before the point are never
/// rounded away: what was recorded as 1013 mbar is not shown as 1010.
pub fn figures(value: f64, count: usize) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { "0".to_owned() } else { value.to_string() };
    }
    let magnitude = value.abs().log10().floor();
    if !(-4.0..7.0).contains(&magnitude) {
        return format!("{value:.*e}", count.saturating_sub(1));
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "bounded by the range above")]
    let decimals = (count as f64 - 1.0 - magnitude).max(0.0) as usize;
    let text = round(value, decimals);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Exact factors of NIST SP 811 (2008), appendix B, and the worked gauge reading of the acceptance table.
    #[test]
    fn published_conversions() {
        let cases = [
            (Dimension::Temperature, "1350 F", 732.222, 0.001),
            (Dimension::Temperature, "300 F", 148.889, 0.001),
            (Dimension::Mass, "1 ozt", 31.103_476_8, 1e-9),
            (Dimension::Mass, "1 dwt", 1.555_173_84, 1e-9),
            (Dimension::Pressure, "1 psi", 68.947_572_93, 1e-6),
            (Dimension::Pressure, "760 Torr", 1013.25, 1e-6),
            (Dimension::Pressure, "28 inHg vacuum", 65.06, 0.1),
            (Dimension::Length, "1 in", 25.4, 1e-12),
            (Dimension::Density, "0.302 lb/in3", 8.359, 0.001),
            (Dimension::Share, "40%", 0.4, 1e-12),
            (Dimension::WaterRatio, "40 per 100", 40.0, 1e-12),
            (Dimension::Duration, "1.5 h", 5400.0, 1e-9),
        ];
        for (dimension, text, expected, tolerance) in cases {
            let got = dimension.parse(text).unwrap_or(f64::NAN);
            assert!((got - expected).abs() <= tolerance, "{text}: {got} and not {expected}");
        }
    }

    #[test]
    fn refusals_name_what_is_allowed() {
        assert!(matches!(Dimension::Temperature.parse("640"), Err(UnitError::MissingUnit { .. })));
        assert!(matches!(Dimension::Temperature.parse("640 mbar"), Err(UnitError::UnknownUnit { .. })));
        assert!(matches!(Dimension::Pressure.parse("28 inHg"), Err(UnitError::AmbiguousGauge { .. })));
        assert!(matches!(Dimension::Pressure.parse("31 inHg vacuum"), Err(UnitError::BelowVacuum { .. })));
        assert!(matches!(Dimension::Pressure.parse("-3 mbar"), Err(UnitError::BelowVacuum { .. })));
        assert!(matches!(Dimension::Mass.parse("14,2 g"), Err(UnitError::Comma { .. })));
        assert!(matches!(Dimension::Mass.parse("1e999 g"), Err(UnitError::NotFinite { .. })));
        assert!(matches!(Dimension::Temperature.parse("-300 C"), Err(UnitError::BelowAbsoluteZero { .. })));
        assert!(matches!(Dimension::Mass.parse("heavy"), Err(UnitError::NotANumber { .. })));
    }

    #[test]
    fn figures_round_behind_the_point_and_significant_everywhere() {
        assert_eq!(significant(1234.5, 3), 1230.0);
        assert_eq!(significant(-0.012_36, 2), -0.012);
        assert_eq!(significant(657.5, 2), 660.0);
        assert_eq!(significant(0.0, 2), 0.0);
        assert_eq!(significant(0.3, 2), 0.3);
        assert_eq!(figures(1234.5, 3), "1234");
        assert_eq!(figures(0.012_34, 2), "0.012");
        assert_eq!(figures(-0.0, 3), "0");
        assert_eq!(figures(2.0e-9, 2), "2.0e-9");
        assert_eq!(round(-0.04, 1), "0.0");
    }
}
