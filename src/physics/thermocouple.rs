//! How far a new thermocouple may be off by its standard.

use crate::units::{Celsius, Kelvins};

use super::PhysicsError;
use super::error::within;

/// Thermocouple types met at casting heat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ThermocoupleType {
    /// Nickel-chromium against nickel.
    K,
    /// Platinum-10 % rhodium against platinum.
    S,
    /// Platinum-13 % rhodium against platinum.
    R,
}

/// Tolerance class of IEC 60584.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ToleranceClass {
    /// The tighter one.
    One,
    /// The usual one.
    Two,
}

/// Tolerance of a new thermocouple, plus or minus (IEC 60584).
///
/// K class 1 to 1000 °C, class 2 to 1200 °C, both from -40 °C; S and R from 0 to 1600 °C. Ageing comes on top: type
/// K above 1000 °C drifts by -5 to +10 K in tens of hours (from memory), and a sheath immersed by less than ten
/// diameters reads low.
///
/// # Errors
/// A temperature outside the class.
pub fn tolerance(
    kind: ThermocoupleType,
    class: ToleranceClass,
    at: Celsius,
) -> Result<Kelvins, PhysicsError> {
    use ThermocoupleType::{K, R, S};
    use ToleranceClass::{One, Two};
    let (low, high) = match (kind, class) {
        (K, One) => (-40.0, 1000.0),
        (K, Two) => (-40.0, 1200.0),
        (S | R, _) => (0.0, 1600.0),
    };
    let t = within("temperature at the thermocouple", "C", at.get(), low, high)?;
    Ok(Kelvins::new(match (kind, class) {
        (K, One) => (0.004 * t.abs()).max(1.5),
        (K, Two) => (0.0075 * t.abs()).max(2.5),
        (S | R, One) => 1.0 + 0.003 * (t - 1100.0).max(0.0),
        (S | R, Two) => (0.0025 * t).max(1.5),
    }))
}
