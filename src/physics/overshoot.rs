//! A small charge under much power runs past its temperature before the sensor says so.

use crate::units::{Celsius, Grams, Kelvins, Seconds, Watts};

use super::error::within;
use super::{Estimate, PhysicsError};

/// A heap of something hot: its mass and its heat capacity in J/(kg·K).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeatedMass {
    /// Mass, 0.001 to 1e6 g.
    pub mass: Grams,
    /// J/(kg·K), 50 to 5000; graphite at casting heat about 1900.
    pub heat_capacity: f64,
}

/// Heating rate in K/s of a charge, and of a crucible if the power couples into it: `P/sum(m c)`.
///
/// `into` is the power that arrives (see [`super::melt::absorbed`]), 0 to 1e6 W at every end.
///
/// # Errors
/// An input outside its range.
pub fn heating_rate(
    into: Estimate<Watts>,
    charge: HeatedMass,
    crucible: Option<HeatedMass>,
) -> Result<Estimate, PhysicsError> {
    let mut capacity = 0.0;
    for part in [Some(charge), crucible].into_iter().flatten() {
        let kg = within("heated mass", "g", part.mass.get(), 0.001, 1e6)? / 1000.0;
        capacity += kg * within("heat capacity", "J/kgK", part.heat_capacity, 50.0, 5000.0)?;
    }
    for end in [into.value, into.low, into.high] {
        within("power", "W", end.get(), 0.0, 1e6)?;
    }
    Ok(into.map(|w| w / capacity))
}

/// How far a charge overshoots: heating rate times the lag of sensor and control, 0 to 600 s.
///
/// An upper view for a lag much shorter than the time in which the melt loses its heat, and without a latent plateau. Doubt a
/// melt whose overshoot is above half of its intended superheat.
///
/// # Errors
/// An input outside its range.
pub fn overshoot(
    into: Estimate<Watts>,
    charge: HeatedMass,
    crucible: Option<HeatedMass>,
    lag: Seconds,
) -> Result<Estimate<Kelvins>, PhysicsError> {
    let lag = within("lag of sensor and control", "s", lag.get(), 0.0, 600.0)?;
    let mut out: Estimate<Kelvins> = heating_rate(into, charge, crucible)?.map(|rate| rate * lag);
    out.source = "heat balance";
    out.weak = Some("lag and coupling are seldom known; the threshold is an engineering choice");
    Ok(out)
}

/// Whether an overshoot is worth a warning: more than half of the intended superheat.
pub fn is_worrying(overshoot: Kelvins, pour: Celsius, liquidus: Celsius) -> bool {
    overshoot.get() > 0.5 * (pour - liquidus).get().max(0.0)
}
