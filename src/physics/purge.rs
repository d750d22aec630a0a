//! What the vacuum and argon cycles leave of the air in the chamber.
//!
//! Ideal mixing: D. A. Crowl, J. F. Louvar, Chemical Process Safety, chapter on inerting. It is optimistic: fired
//! investment, graphite and refractory give off gas from their pores and blind cavities mix slowly, which the high
//! end of the range stands for.

use crate::units::{Millibars, Seconds};

use super::error::within;
use super::{Estimate, PhysicsError};

/// Oxygen in air as a mole fraction.
pub const OXYGEN_IN_AIR: f64 = 0.2095;

/// A purge as run. [`Purge::default`] is one honest cycle of a tight chamber.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Purge {
    /// How often the chamber was pumped down and filled again.
    pub cycles: u32,
    /// Pressure reached each time, absolute.
    pub vacuum: Millibars,
    /// Pressure filled up to, absolute.
    pub backfill: Millibars,
    /// Leak while pumped down, mbar·L/s (see [`leak_rate`]).
    pub leak: f64,
    /// Free volume of the chamber in L.
    pub volume: f64,
    /// How long the chamber stands under vacuum in each cycle.
    pub under_vacuum: Seconds,
    /// Oxygen in the gas it is filled with, as a mole fraction.
    pub gas_oxygen: f64,
}

impl Default for Purge {
    fn default() -> Self {
        Self {
            cycles: 1,
            vacuum: Millibars::new(10.0),
            backfill: Millibars::new(1000.0),
            leak: 0.0,
            volume: 10.0,
            under_vacuum: Seconds::new(60.0),
            // Argon of 99.996 to 99.999 %.
            gas_oxygen: 3e-6,
        }
    }
}

/// What is left of the air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Residual {
    /// Oxygen in the chamber as a mole fraction (1e-6 is 1 ppm).
    pub fraction: Estimate,
    /// Its partial pressure after the last fill.
    pub pressure: Estimate<Millibars>,
}

/// How many cycles a purge takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CyclesNeeded {
    /// By the formula, before rounding up.
    pub exact: f64,
    /// Whole cycles.
    pub whole: u32,
}

const SOURCE: &str = "Crowl and Louvar, vacuum purging, ideal mixing";

impl Purge {
    /// Remaining share per cycle, the share it tends to, both with the leak, and the fill pressure.
    fn ratio_and_floor(&self) -> Result<(f64, f64, f64), PhysicsError> {
        let p_v = within("vacuum reached", "mbar", self.vacuum.get(), 1e-6, 1e5)?;
        let p_b = within("fill pressure", "mbar", self.backfill.get(), 1e-6, 1e5)?;
        if p_v > p_b {
            return Err(PhysicsError::Contradiction("the vacuum reached is above the fill pressure"));
        }
        let leak = within("leak", "mbar L/s", self.leak, 0.0, 1e6)?;
        let volume = within("chamber volume", "L", self.volume, 0.01, 1e5)?;
        let seconds = within("time under vacuum", "s", self.under_vacuum.get(), 0.0, 86_400.0)?;
        let gas = within("oxygen in the fill gas", "", self.gas_oxygen, 0.0, OXYGEN_IN_AIR)?;
        let drawn = p_b - p_v;
        if drawn <= 0.0 {
            return Ok((1.0, OXYGEN_IN_AIR, p_b));
        }
        // Air that leaks in takes the place of fill gas, so it cannot exceed what is drawn.
        let air = (leak * seconds / volume).min(drawn);
        Ok((p_v / p_b, (OXYGEN_IN_AIR * air + gas * (drawn - air)) / drawn, p_b))
    }

    fn fraction(&self) -> Result<(f64, f64), PhysicsError> {
        let (ratio, floor, p_b) = self.ratio_and_floor()?;
        let left = ratio.powf(f64::from(self.cycles));
        Ok(((OXYGEN_IN_AIR - floor).mul_add(left, floor).min(OXYGEN_IN_AIR), p_b))
    }

    /// Oxygen left after the cycles, leak and gas impurity included.
    ///
    /// The high end supposes a vacuum half as good as the gauge says and a leak twice as large, for gas from pores
    /// and blind cavities. Pressures 1e-6 to 100 000 mbar, leak 0 to 1e6 mbar·L/s, volume 0.01 to 100 000 L, time 0
    /// to 86 400 s, impurity 0 to 0.2095.
    ///
    /// # Errors
    /// An input outside its range, or a vacuum above the fill pressure.
    pub fn residual_oxygen(&self) -> Result<Residual, PhysicsError> {
        let (value, p_b) = self.fraction()?;
        let worse = Self {
            vacuum: Millibars::new((self.vacuum.get() * 2.0).min(self.backfill.get())),
            leak: (self.leak * 2.0).min(1e6),
            ..*self
        };
        let (high, _) = worse.fraction()?;
        let fraction = Estimate::new(value, value, high, SOURCE)
            .with_weak("optimistic: hot investment and graphite give off gas, blind cavities mix slowly");
        Ok(Residual { fraction, pressure: fraction.map(|y| y * p_b) })
    }

    /// Cycles to come down to an oxygen fraction, with this purge's leak and gas; `None` when they do not let it.
    /// `target`: 1e-12 to 1.
    ///
    /// # Errors
    /// An input outside its range.
    pub fn cycles_to(&self, target: f64) -> Result<Option<CyclesNeeded>, PhysicsError> {
        let target = within("wanted oxygen fraction", "", target, 1e-12, 1.0)?;
        let (ratio, floor, _) = self.ratio_and_floor()?;
        if target >= OXYGEN_IN_AIR {
            return Ok(Some(CyclesNeeded { exact: 0.0, whole: 0 }));
        }
        if ratio >= 1.0 || target <= floor {
            return Ok(None);
        }
        Ok(Some(count(((target - floor) / (OXYGEN_IN_AIR - floor)).ln() / ratio.ln())))
    }
}

fn count(exact: f64) -> CyclesNeeded {
    // A hair of slack, so that 3.0000000001 is three.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "held in the range of u32 first"
    )]
    let whole = (exact - 1e-9).ceil().clamp(0.0, f64::from(u32::MAX)) as u32;
    CyclesNeeded { exact, whole }
}

/// Cycles from one fraction of a gas to another by dilution alone: `n = ln(target/start) / ln(vacuum/backfill)`.
///
/// `start` and `target`: 1e-12 to 1; pressures 1e-6 to 100 000 mbar with the vacuum below the fill.
///
/// # Errors
/// An input outside its range, or a vacuum not below the fill pressure.
pub fn cycles_needed(
    start: f64,
    target: f64,
    vacuum: Millibars,
    backfill: Millibars,
) -> Result<CyclesNeeded, PhysicsError> {
    let start = within("fraction at the start", "", start, 1e-12, 1.0)?;
    let target = within("wanted fraction", "", target, 1e-12, 1.0)?;
    let p_v = within("vacuum reached", "mbar", vacuum.get(), 1e-6, 1e5)?;
    let p_b = within("fill pressure", "mbar", backfill.get(), 1e-6, 1e5)?;
    if p_v >= p_b {
        return Err(PhysicsError::Contradiction("the vacuum reached is not below the fill pressure"));
    }
    Ok(if target >= start { count(0.0) } else { count((target / start).ln() / (p_v / p_b).ln()) })
}

/// Leak in mbar·L/s from an isolation test: pump down, shut the valve, watch the pressure rise.
///
/// `volume` 0.01 to 100 000 L, `rise` 0 to 2000 mbar, `time` 1 to 604 800 s. Gas given off by the walls counts as a
/// leak in this test.
///
/// # Errors
/// An input outside its range.
pub fn leak_rate(volume: f64, rise: Millibars, time: Seconds) -> Result<f64, PhysicsError> {
    let volume = within("chamber volume", "L", volume, 0.01, 1e5)?;
    let rise = within("pressure rise", "mbar", rise.get(), 0.0, 2000.0)?;
    let time = within("time of the test", "s", time.get(), 1.0, 604_800.0)?;
    Ok(volume * rise / time)
}
