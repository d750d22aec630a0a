//! Quantities of the trade with their units: parsing what a caster writes, printing what a caster reads.
//!
//! Lowest layer of the program: it imports nothing of the project. A [`Dimension`] says what kind of quantity a
//! field or a rule holds and in which unit it is stored; the newtypes ([`Celsius`], [`Kelvins`], ...) keep a
//! temperature from being added to a temperature, or a pressure from being passed for a length.
//!
//! Conversion factors: NIST Special Publication 811 (2008), appendix B; the exact ones are exact by definition.

mod number;
mod reading;
mod unit;

pub use number::small_number;
pub use reading::UnitError;
pub use unit::is_unit;

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
            Self::Duration if value.abs() >= 14.0 * 86_400.0 => format!("{} d", figures(value / 86_400.0, 3)),
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
