//! Heat and time to melt a charge.

use crate::units::{Celsius, Grams, Seconds, Watts};

use super::error::within;
use super::{CastingMetal, Estimate, PhysicsError};

/// How a charge is heated; decides how much of the power reaches it (from memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Heating {
    /// 0.3 to 0.6 of the power, 0.4 taken.
    Induction,
    /// 0.05 to 0.2 of the flame, 0.1 taken.
    Torch,
    /// All of it: the power into the charge is known.
    Known,
}

/// Power that reaches the charge. 1 to 1e6 W.
///
/// # Errors
/// A power outside the range.
pub fn absorbed(power: Watts, how: Heating) -> Result<Estimate<Watts>, PhysicsError> {
    let w = within("power", "W", power.get(), 1.0, 1e6)?;
    let (value, low, high) = match how {
        Heating::Induction => (0.4, 0.3, 0.6),
        Heating::Torch => (0.1, 0.05, 0.2),
        Heating::Known => (1.0, 1.0, 1.0),
    };
    let at = |share: f64| Watts::new(share * w);
    Ok(Estimate::new(at(value), at(low), at(high), "usual coupling, from memory"))
}

/// Heat to bring a charge from `start` to the pouring temperature, in J: solid, latent, liquid. Within 10 % for a mixed
/// alloy, 2 % for a pure metal.
///
/// Charge 0.001 to 1e6 g; start -50 °C to the solidus; pour from the liquidus to 3000 °C.
///
/// # Errors
/// An input outside its range.
pub fn melting_heat(
    metal: &CastingMetal,
    charge: Grams,
    start: Celsius,
    pour: Celsius,
) -> Result<Estimate, PhysicsError> {
    let kg = within("charge", "g", charge.get(), 0.001, 1e6)? / 1000.0;
    let t0 = within("temperature of the charge", "C", start.get(), -50.0, metal.solidus().get())?;
    let pour = metal.pour(pour)?;
    let per_kg = metal.heat_capacity_solid() * (metal.solidus().get() - t0)
        + metal.latent_heat()
        + metal.heat_capacity_liquid() * (pour - metal.liquidus().get());
    let pure = metal.solidus() == metal.liquidus();
    Ok(Estimate::relative(
        kg * per_kg,
        if pure { 0.02 } else { 0.10 },
        "SGTE heat capacities, CRC latent heats",
    ))
}

/// Time to melt, `Q/(eta P)`, with the range of coupling and heat. A time far longer says: wrong coupling, wet or oversized
/// charge, cold crucible; far shorter: doubt the temperature reading.
///
/// Ranges as in [`melting_heat`] and [`absorbed`].
///
/// # Errors
/// An input outside its range.
pub fn melting_time(
    metal: &CastingMetal,
    charge: Grams,
    start: Celsius,
    pour: Celsius,
    power: Watts,
    how: Heating,
) -> Result<Estimate<Seconds>, PhysicsError> {
    let heat = melting_heat(metal, charge, start, pour)?;
    let into = absorbed(power, how)?;
    let at = |q: f64, w: Watts| Seconds::new(q / w.get());
    Ok(Estimate::new(
        at(heat.value, into.value),
        at(heat.low, into.high),
        at(heat.high, into.low),
        heat.source,
    )
    .with_weak("coupling of the power is a usual figure; the crucible's own heat is not counted"))
}
