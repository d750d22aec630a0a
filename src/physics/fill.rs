//! Can the metal enter a detail, how fast, and how far does it run before it stops?
//!
//! Young and Laplace for the back-pressure of a surface that does not wet; J. Campbell, Castings, uses the limit of
//! 180°. Contact angles on oxide: gold on alumina 134° (Mater. Trans. 44 (2003) 2659), silver on graphite 124 to 127°
//! (J. Lee et al., Metals and Materials Int. 13 (2007) 83), 120 to 150° on silica (from memory).

use crate::units::{Celsius, Grams, GramsPerCm3, Millibars, Millimetres, Seconds};

use super::alloy::metres;
use super::error::within;
use super::freeze::flow_stop_time;
use super::heat::MouldHeat;
use super::{CastingMetal, Estimate, GRAVITY, PhysicsError};

/// Contact angle of metal on fired investment in degrees: 140, from 120 to 180 (sharp detail, rough wall).
pub const CONTACT_ANGLE: (f64, f64, f64) = (120.0, 140.0, 180.0);
/// Discharge coefficient of a gate: 0.6, from 0.4 to 0.8 (from memory).
pub const DISCHARGE: (f64, f64, f64) = (0.4, 0.6, 0.8);

/// The shape of a fine detail.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Detail {
    /// A gap between two walls; its thickness counts.
    Plate,
    /// A round wire or prong; its diameter counts.
    Wire,
}

impl Detail {
    /// Back-pressure is so many times tension over size.
    fn factor(self) -> f64 {
        match self {
            Self::Plate => 2.0,
            Self::Wire => 4.0,
        }
    }

    /// Volume over surface.
    fn modulus(self, size: Millimetres) -> Millimetres {
        Millimetres::new(size.get() / self.factor())
    }
}

fn tension(n_per_m: f64) -> Result<f64, PhysicsError> {
    within("surface tension", "N/m", n_per_m, 0.001, 5.0)
}

fn angle_cosine(degrees: f64) -> Result<f64, PhysicsError> {
    Ok(within("contact angle", "degrees", degrees, 0.0, 180.0)?.to_radians().cos())
}

fn drive_pascals(drive: Millibars) -> Result<f64, PhysicsError> {
    Ok(within("driving pressure", "mbar", drive.get(), 0.0, 1e6)? * 100.0)
}

/// Pressure with which a surface resists entering a detail: `-2 sigma cos(theta)/d` (plate), `-4 ...` (wire).
///
/// Negative where the liquid wets (angle below 90°). Tension 0.001 to 5 N/m, angle 0 to 180°, size 0.001 to
/// 10 000 mm.
///
/// # Errors
/// An input outside its range.
pub fn capillary_pressure(
    surface_tension: f64,
    contact_angle: f64,
    size: Millimetres,
    detail: Detail,
) -> Result<Millibars, PhysicsError> {
    let d = metres("size of the detail", size)?;
    let cosine = angle_cosine(contact_angle)?;
    Ok(Millibars::from_pascals(-detail.factor() * tension(surface_tension)? * cosine / d))
}

/// Height of liquid whose weight equals a pressure, `p/(rho g)`. Pressure -1e6 to 1e6 mbar, density 0.1 to 30 g/cm³.
///
/// # Errors
/// An input outside its range.
pub fn head_of(pressure: Millibars, density: GramsPerCm3) -> Result<Millimetres, PhysicsError> {
    let p = within("pressure", "mbar", pressure.get(), -1e6, 1e6)? * 100.0;
    let rho = within("density", "g/cm3", density.get(), 0.1, 30.0)? * 1000.0;
    Ok(Millimetres::new(1000.0 * p / (rho * GRAVITY)))
}

/// Pressure of a head of metal, `rho g h`. Head 0 to 10 000 mm, density 0.1 to 30 g/cm³.
///
/// # Errors
/// An input outside its range.
pub fn head_pressure(density: GramsPerCm3, head: Millimetres) -> Result<Millibars, PhysicsError> {
    let rho = within("density", "g/cm3", density.get(), 0.1, 30.0)?;
    let h = within("head of metal", "mm", head.get(), 0.0, 10_000.0)?;
    Ok(Millibars::from_pascals(rho * h * GRAVITY))
}

/// Pressure of spun metal, `rho omega^2 (r2^2 - r1^2)/2`, from its inner surface to the detail.
///
/// Radii 0 to 5000 mm with the inner one smaller, 0 to 10 000 turns a minute, density 0.1 to 30 g/cm³.
///
/// # Errors
/// An input outside its range, or the inner radius above the outer.
pub fn centrifugal_pressure(
    density: GramsPerCm3,
    inner: Millimetres,
    outer: Millimetres,
    turns_per_minute: f64,
) -> Result<Millibars, PhysicsError> {
    let rho = within("density", "g/cm3", density.get(), 0.1, 30.0)? * 1000.0;
    let r1 = within("inner radius", "mm", inner.get(), 0.0, 5000.0)? / 1000.0;
    let r2 = within("outer radius", "mm", outer.get(), 0.0, 5000.0)? / 1000.0;
    let rpm = within("turning speed", "rpm", turns_per_minute, 0.0, 10_000.0)?;
    if r1 > r2 {
        return Err(PhysicsError::Contradiction("the inner radius is above the outer radius"));
    }
    let omega = rpm * std::f64::consts::TAU / 60.0;
    Ok(Millibars::from_pascals(0.5 * rho * omega * omega * (r2 * r2 - r1 * r1)))
}

/// What vacuum under the flask gives at the metal front: 0.2 to 0.5 of the difference, 0.35 in between.
///
/// The wall's permeability and the gas in the cavity take the rest. Pressures 0 to 100 000 mbar; no help when the
/// flask is not below the pressure above the metal.
///
/// # Errors
/// An input outside its range.
pub fn vacuum_assist(above: Millibars, flask: Millibars) -> Result<Estimate<Millibars>, PhysicsError> {
    let above = within("pressure above the metal", "mbar", above.get(), 0.0, 1e5)?;
    let below = within("pressure in the flask", "mbar", flask.get(), 0.0, 1e5)?;
    let step = (above - below).max(0.0);
    let at = |share: f64| Millibars::new(share * step);
    Ok(Estimate::new(at(0.35), at(0.2), at(0.5), "share of the gauge reading, from memory")
        .with_weak("no data on the permeability of investment: measure it on a test piece"))
}

/// Least thickness (or wire diameter) that a driving pressure fills: `2 sigma |cos theta|/p`, twice that for a wire.
///
/// Zero where the metal wets (angle of 90° or less). Tension 0.001 to 5 N/m, angle 0 to 180°, drive above 0 to
/// 1e6 mbar.
///
/// # Errors
/// An input outside its range.
pub fn least_section(
    surface_tension: f64,
    contact_angle: f64,
    drive: Millibars,
    detail: Detail,
) -> Result<Millimetres, PhysicsError> {
    let sigma = tension(surface_tension)?;
    let cosine = angle_cosine(contact_angle)?;
    let p = within("driving pressure", "mbar", drive.get(), 1e-6, 1e6)? * 100.0;
    Ok(Millimetres::new((-1000.0 * detail.factor() * sigma * cosine / p).max(0.0)))
}

/// The same with its range: angle 120 to 180°, tension within 20 %, and the range of the drive. Drive 1e-6 to
/// 1e6 mbar at both ends.
///
/// # Errors
/// An input outside its range.
pub fn least_section_range(
    metal: &CastingMetal,
    drive: Estimate<Millibars>,
    detail: Detail,
) -> Result<Estimate<Millimetres>, PhysicsError> {
    let sigma = metal.surface_tension();
    let at = |share: f64, angle: f64, drive: Millibars| least_section(sigma * share, angle, drive, detail);
    Ok(Estimate::new(
        at(1.0, CONTACT_ANGLE.1, drive.value)?,
        at(0.8, CONTACT_ANGLE.0, drive.high)?,
        at(1.2, CONTACT_ANGLE.2, drive.low)?,
        "Young and Laplace; Campbell, Castings",
    )
    .with_weak("tension and contact angle of real melts are known to 20 %, oxide skins are not modelled"))
}

/// Speed of the metal in m/s, `C_d sqrt(2 (drive - capillary)/rho)`; zero where it cannot enter.
///
/// Drive 0 to 1e6 mbar, capillary -1e6 to 1e6 mbar, density 0.1 to 30 g/cm³, discharge 0.05 to 1.
///
/// # Errors
/// An input outside its range.
pub fn flow_speed(
    drive: Millibars,
    capillary: Millibars,
    density: GramsPerCm3,
    discharge: f64,
) -> Result<f64, PhysicsError> {
    let p = drive_pascals(drive)?;
    let back = within("capillary pressure", "mbar", capillary.get(), -1e6, 1e6)? * 100.0;
    let rho = within("density", "g/cm3", density.get(), 0.1, 30.0)? * 1000.0;
    let c = within("discharge coefficient", "", discharge, 0.05, 1.0)?;
    Ok(c * (2.0 * (p - back).max(0.0) / rho).sqrt())
}

/// Time for a mass of metal to pass round gates, `volume/(area speed)`.
///
/// Metal 0.001 to 1e6 g, gates 0.1 to 1000 mm, 1 to 10 000 of them, speed 0.001 to 100 m/s.
///
/// # Errors
/// An input outside its range.
pub fn fill_time(
    metal: Grams,
    density: GramsPerCm3,
    gate: Millimetres,
    gates: u32,
    speed: f64,
) -> Result<Seconds, PhysicsError> {
    let grams = within("metal", "g", metal.get(), 0.001, 1e6)?;
    let rho = within("density", "g/cm3", density.get(), 0.1, 30.0)?;
    let d = within("gate", "mm", gate.get(), 0.1, 1000.0)?;
    let count = within("number of gates", "", f64::from(gates), 1.0, 10_000.0)?;
    let v = within("speed", "m/s", speed, 0.001, 100.0)?;
    let area = std::f64::consts::PI * d * d / 4.0 * count;
    // mm³ over mm² times mm/s
    Ok(Seconds::new(grams / rho * 1000.0 / (area * v * 1000.0)))
}

/// Verdict on filling, by the time to fill over the time that the metal flows (thresholds from memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FillVerdict {
    /// Below 0.3.
    Comfortable,
    /// 0.3 to 1.
    Marginal,
    /// Above 1: it freezes on the way.
    Misrun,
    /// The surface holds the metal out of the detail.
    DoesNotEnter,
}

/// A detail to be filled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FillCase<'a> {
    /// The alloy.
    pub metal: &'a CastingMetal,
    /// The mould.
    pub mould: &'a MouldHeat,
    /// Temperature of the metal.
    pub pour: Celsius,
    /// Temperature of the flask.
    pub flask: Celsius,
    /// Shape of the thinnest detail.
    pub detail: Detail,
    /// Its thickness or diameter.
    pub size: Millimetres,
    /// How far the metal must run in it.
    pub path: Millimetres,
    /// Head, casting pressure, spin and vacuum assist together, above the gas in the cavity.
    pub drive: Estimate<Millibars>,
}

/// Whether a detail fills.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FillAnswer {
    /// What the surface holds against it.
    pub capillary: Estimate<Millibars>,
    /// The least size that this drive fills.
    pub least_section: Estimate<Millimetres>,
    /// Speed of the metal, m/s.
    pub speed: Estimate,
    /// How long it flows.
    pub flows_for: Estimate<Seconds>,
    /// How far it runs.
    pub reach: Estimate<Millimetres>,
    /// Time to fill over time that it flows, 0 to 1000 (1000 stands for "does not enter").
    pub ratio: Estimate,
    /// The verdict on the best value.
    pub verdict: FillVerdict,
}

/// Computes whether a detail fills, with the range that contact angle, tension, discharge, drive and mould allow.
///
/// Size 0.001 to 10 000 mm, path 0 to 10 000 mm, drive 1e-6 to 1e6 mbar, temperatures as in
/// [`super::freeze::freezing_time`].
///
/// # Errors
/// An input outside its range.
pub fn fill(case: &FillCase<'_>) -> Result<FillAnswer, PhysicsError> {
    let FillCase { metal, mould, pour, flask, detail, size, path, drive } = *case;
    let path = within("flow path", "mm", path.get(), 0.0, 10_000.0)?;
    let sigma = metal.surface_tension();
    let back = |share: f64, angle: f64| capillary_pressure(sigma * share, angle, size, detail);
    let capillary = Estimate::new(
        back(1.0, CONTACT_ANGLE.1)?,
        back(0.8, CONTACT_ANGLE.0)?,
        back(1.2, CONTACT_ANGLE.2)?,
        "Young and Laplace; Campbell, Castings",
    )
    .with_weak("tension and contact angle of real melts are known to 20 %");
    let least_section = least_section_range(metal, drive, detail)?;
    let rho = metal.density_liquid();
    let speed = Estimate::new(
        flow_speed(drive.value, capillary.value, rho, DISCHARGE.1)?,
        flow_speed(drive.low, capillary.high, rho, DISCHARGE.0)?,
        flow_speed(drive.high, capillary.low, rho, DISCHARGE.2)?,
        "discharge through a gate, Bernoulli",
    )
    .with_weak("discharge coefficient 0.4 to 0.8");
    let flows_for = flow_stop_time(metal, detail.modulus(size), pour, flask, mould)?;
    let run = |v: f64, t: Seconds| Millimetres::new(v * 1000.0 * t.get());
    let mut reach = Estimate::new(
        run(speed.value, flows_for.value),
        run(speed.low, flows_for.low),
        run(speed.high, flows_for.high),
        flows_for.source,
    );
    reach.weak = flows_for.weak;
    let over =
        |reach: Millimetres| if path <= 0.0 { 0.0 } else { (path / reach.get().max(1e-9)).min(1000.0) };
    let mut ratio = Estimate::new(over(reach.value), over(reach.low), over(reach.high), reach.source);
    ratio.weak = reach.weak;
    let verdict = if speed.value <= 0.0 {
        FillVerdict::DoesNotEnter
    } else if ratio.value > 1.0 {
        FillVerdict::Misrun
    } else if ratio.value > 0.3 {
        FillVerdict::Marginal
    } else {
        FillVerdict::Comfortable
    };
    Ok(FillAnswer { capillary, least_section, speed, flows_for, reach, ratio, verdict })
}

/// Adds driving pressures, ranges and all. Every part 0 to 1e6 mbar.
///
/// # Errors
/// A part outside the range.
pub fn drive_of(parts: &[Estimate<Millibars>]) -> Result<Estimate<Millibars>, PhysicsError> {
    let (mut value, mut low, mut high, mut weak) = (0.0, 0.0, 0.0, None);
    for part in parts {
        for end in [part.value, part.low, part.high] {
            drive_pascals(end)?;
        }
        value += part.value.get();
        low += part.low.get();
        high += part.high.get();
        weak = weak.or(part.weak);
    }
    let mut sum =
        Estimate::new(Millibars::new(value), Millibars::new(low), Millibars::new(high), "sum of the drives");
    sum.weak = weak;
    Ok(sum)
}
