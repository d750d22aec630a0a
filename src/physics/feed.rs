//! Gates and feeders: does the gate stay open while the section freezes, and is there metal enough behind it?
//!
//! R. Wlodawer, Directional Solidification of Steel Castings, 1966, and J. Campbell, Castings (from memory): the feeder's
//! modulus at least 1.2 times that of the casting, the neck's 1.1 times. Trade papers give a feed sprue of 70 to 150 %
//! of the section's area at the thickest place, which is the same size.

use crate::units::{Grams, GramsPerCm3, Kelvins, Millimetres};

use super::error::within;
use super::freeze::Shape;
use super::{Composition, Estimate, PhysicsError};

/// Least modulus of a gate over that of the section it feeds.
pub const GATE_FACTOR: f64 = 1.1;
/// Least modulus of a feeder or sprue over that of the casting.
pub const FEEDER_FACTOR: f64 = 1.2;
/// Below this ratio of gate to section the gate is shut long before the section has frozen. An engineering choice:
/// the ratio of a round gate with 70 % of the area of a square section, the least that trade papers give.
pub const GATE_SHUTS: f64 = 0.94;
/// Share of a simple feeder's volume that it can give; a hot main sprue gives 0.2 to 0.3.
pub const FEEDER_YIELD: f64 = 0.14;

/// Verdict on a gate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum GateVerdict {
    /// At least 1.1 times the section's modulus.
    Feeds,
    /// Between [`GATE_SHUTS`] and 1.1.
    Marginal,
    /// Smaller: it freezes first, whatever the pressure.
    FreezesFirst,
}

/// A gate against the section it feeds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GateAnswer {
    /// Modulus of the gate over that of the section.
    pub ratio: f64,
    /// Diameter of the round gate that would feed it.
    pub gate_wanted: Millimetres,
    /// Diameter of the round sprue or feeder behind it.
    pub feeder_wanted: Millimetres,
    /// The verdict.
    pub verdict: GateVerdict,
}

/// Compares a gate with the heaviest section behind it. Sizes 0.001 to 10 000 mm.
///
/// # Errors
/// A size outside the range.
pub fn gate(gate: Shape, section: Shape) -> Result<GateAnswer, PhysicsError> {
    let section = section.modulus()?;
    let ratio = gate.modulus()?.get() / section.get();
    let verdict = if ratio >= GATE_FACTOR {
        GateVerdict::Feeds
    } else if ratio >= GATE_SHUTS {
        GateVerdict::Marginal
    } else {
        GateVerdict::FreezesFirst
    };
    Ok(GateAnswer {
        ratio,
        gate_wanted: round_of(section, GATE_FACTOR),
        feeder_wanted: round_of(section, FEEDER_FACTOR),
        verdict,
    })
}

/// Diameter of a round rod whose modulus is so many times the section's.
fn round_of(section: Millimetres, factor: f64) -> Millimetres {
    Millimetres::new(4.0 * factor * section.get())
}

/// Volume that a metal loses on freezing, as a share: mean by mass of the elements, one point either way.
pub fn freezing_shrinkage(alloy: &Composition) -> Estimate {
    let at = |pick: fn((f64, f64, f64)) -> f64| alloy.mix_by_mass(|p| pick(p.shrinkage));
    let value = at(|s| s.1);
    Estimate::new(
        value,
        at(|s| s.0).min(value - 0.01),
        at(|s| s.2).max(value + 0.01),
        "quoted freezing shrinkages",
    )
    .with_weak("published figures differ by 1 to 1.5 points for each metal")
}

/// Volume that the melt loses from the pouring temperature to the liquidus, as a share. Superheat 0 to 2000 K.
///
/// From the CRC slopes of liquid density, mean by mass; within 20 %.
///
/// # Errors
/// A superheat outside the range.
pub fn liquid_contraction(alloy: &Composition, superheat: Kelvins) -> Result<Estimate, PhysicsError> {
    let k = within("superheat", "K", superheat.get(), 0.0, 2000.0)?;
    let slope = alloy.mix_by_mass(|p| p.density_slope / p.density_liquid.get());
    Ok(Estimate::relative(slope * k, 0.2, "CRC liquid densities"))
}

/// Liquid that must be fed to a casting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FeedNeed {
    /// Volume of the shrinkage, cm³: freezing and superheat.
    pub shrinkage: Estimate,
    /// Volume of the feeder that can give it, cm³: `V beta/(epsilon - beta)`; nothing when a feeder of this yield never can.
    pub feeder: Option<Estimate>,
}

/// Shrinkage and feeder of a casting. Mass 0.001 to 1e6 g, density 0.1 to 30 g/cm³, yield 0.05 to 0.5, superheat 0 to
/// 2000 K.
///
/// # Errors
/// An input outside its range.
pub fn feed_need(
    alloy: &Composition,
    casting: Grams,
    density: GramsPerCm3,
    superheat: Kelvins,
    feeder_yield: f64,
) -> Result<FeedNeed, PhysicsError> {
    let grams = within("casting", "g", casting.get(), 0.001, 1e6)?;
    let rho = within("density", "g/cm3", density.get(), 0.1, 30.0)?;
    let epsilon = within("yield of the feeder", "", feeder_yield, 0.05, 0.5)?;
    let volume = grams / rho;
    let (freezing, liquid) = (freezing_shrinkage(alloy), liquid_contraction(alloy, superheat)?);
    let mut beta = Estimate::new(
        (freezing.value + liquid.value).max(0.0),
        (freezing.low + liquid.low).max(0.0),
        (freezing.high + liquid.high).max(0.0),
        freezing.source,
    );
    beta.weak = freezing.weak;
    // A feeder whose yield is hardly above the shrinkage would be many times the casting: no answer.
    let feeder =
        (beta.value < 0.9 * epsilon).then(|| beta.map(|b| volume * b / (epsilon - b.min(0.9 * epsilon))));
    Ok(FeedNeed { shrinkage: beta.map(|b| b * volume), feeder })
}
