//! How long a section takes to freeze, and how long metal can flow.
//!
//! Chvorinov's rule with the mould constant written out: the mould draws `b dT / sqrt(pi t)` through the wall
//! (M. C. Flemings, Solidification Processing, 1974; J. Campbell, Castings). Checked against a finite-difference model:
//! the time goes exactly with the square of the modulus, and the formula with the mean freezing temperature is 12 %
//! (flask at 400 °C) to 34 % (650 °C) short, which the high end covers.

use crate::units::{Celsius, Millimetres, Seconds};

use super::alloy::metres;
use super::error::within;
use super::heat::MouldHeat;
use super::{CastingMetal, Estimate, PhysicsError};

/// A flask must be at least so much below the solidus for the freezing time to mean anything, in K.
pub const LEAST_FLASK_GAP: f64 = 50.0;

/// A section of a casting, a gate or a feeder.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// Wide plate: thickness.
    Plate(Millimetres),
    /// Strip: thickness and width.
    Strip(Millimetres, Millimetres),
    /// Long bar of rectangular section: two sides.
    Bar(Millimetres, Millimetres),
    /// Block: three sides.
    Block(Millimetres, Millimetres, Millimetres),
    /// Long round rod or wire, or the section of a ring: diameter.
    Rod(Millimetres),
    /// Cylinder as high as wide: diameter.
    Drum(Millimetres),
    /// Ball: diameter.
    Ball(Millimetres),
}

impl Shape {
    /// Volume over cooling surface. Every side 0.001 to 10 000 mm.
    ///
    /// # Errors
    /// A side outside the range.
    pub fn modulus(self) -> Result<Millimetres, PhysicsError> {
        let side = |l: Millimetres| metres("size of a section", l).map(|m| m * 1000.0);
        Ok(Millimetres::new(match self {
            Self::Plate(t) => side(t)? / 2.0,
            Self::Strip(a, b) | Self::Bar(a, b) => {
                let (a, b) = (side(a)?, side(b)?);
                a * b / (2.0 * (a + b))
            }
            Self::Block(a, b, c) => {
                let (a, b, c) = (side(a)?, side(b)?, side(c)?);
                a * b * c / (2.0 * (a * b + b * c + a * c))
            }
            Self::Rod(d) => side(d)? / 4.0,
            Self::Drum(d) | Self::Ball(d) => side(d)? / 6.0,
        }))
    }

    /// Number of curved directions and the radius in m: for walls that heat leaves more easily than a flat one.
    fn curvature(self) -> Option<(f64, f64)> {
        match self {
            Self::Rod(d) | Self::Drum(d) => Some((1.0, d.get() / 2000.0)),
            Self::Ball(d) => Some((2.0, d.get() / 2000.0)),
            _ => None,
        }
    }
}

/// How long a section takes to freeze.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Freezing {
    /// From pouring to solid.
    pub time: Estimate<Seconds>,
    /// The time for a modulus of 1 cm, in s/cm²: the mould constant of Chvorinov's rule.
    pub constant: f64,
    /// How deep the mould is heated by then.
    pub heated_depth: Millimetres,
    /// Whether the mould between two castings is still cold enough in its middle for the formula; nothing when the
    /// spacing was not told. When false the true time is longer without a bound.
    pub mould_deep_enough: Option<bool>,
}

const CHVORINOV: &str = "Chvorinov's rule with the mould's effusivity, after Flemings 1974 and Campbell";

/// A flask temperature, checked against the solidus.
fn cold_enough(metal: &CastingMetal, flask: Celsius) -> Result<f64, PhysicsError> {
    within("flask temperature", "C", flask.get(), -50.0, metal.solidus().get() - LEAST_FLASK_GAP)
}

/// Mean temperature of the freezing metal: a share (0.5 the mean, 0.25 nearer the solidus) of its range.
fn freezing_temperature(metal: &CastingMetal, share: f64) -> f64 {
    share.mul_add((metal.liquidus() - metal.solidus()).get(), metal.solidus().get())
}

/// `(pi/4) (heat M / (b dT))^2` with the heat in J/m³ and the modulus in m.
fn plane_time(heat: f64, modulus: f64, effusivity: f64, difference: f64) -> f64 {
    std::f64::consts::FRAC_PI_4 * (heat * modulus / (effusivity * difference)).powi(2)
}

/// A section's modulus in m, the pour and the flask in °C, each inside its range.
fn within_range(
    metal: &CastingMetal,
    modulus: Millimetres,
    pour: Celsius,
    flask: Celsius,
) -> Result<(f64, f64, f64), PhysicsError> {
    Ok((metres("modulus", modulus)?, metal.pour(pour)?, cold_enough(metal, flask)?))
}

/// A time with its range that is weak where the mould's figures are.
fn timed(
    value: Seconds,
    low: Seconds,
    high: Seconds,
    source: &'static str,
    b: &Estimate,
) -> Estimate<Seconds> {
    let mut time = Estimate::new(value, low, high, source);
    time.weak = b.weak;
    time
}

/// Freezing time of a section by its modulus, flat walls.
///
/// `t = (pi/4) [rho H M / (b (T* - T_flask))]^2`, H the heat of superheat, freezing range and latent heat, T* the mean of
/// solidus and liquidus. The range covers the mould's effusivity and T* nearer to the solidus. `modulus` 0.001 to
/// 10 000 mm; flask from -50 °C to 50 K below the solidus; `spacing` is the gap of mould to the next casting.
///
/// # Errors
/// An input outside its range: a flask too near the solidus never lets the section freeze properly.
pub fn freezing_time(
    metal: &CastingMetal,
    modulus: Millimetres,
    pour: Celsius,
    flask: Celsius,
    mould: &MouldHeat,
    spacing: Option<Millimetres>,
) -> Result<Freezing, PhysicsError> {
    let (m, pour, flask) = within_range(metal, modulus, pour, flask)?;
    let heat = metal.superheat_per_volume(pour) + metal.freezing_heat_per_volume();
    let b = mould.effusivity();
    let at = |b: f64, share: f64| plane_time(heat, m, b, freezing_temperature(metal, share) - flask);
    let value = at(b.value, 0.5);
    let (low, high) = (Seconds::new(at(b.high, 0.5)), Seconds::new(at(b.low, 0.25)));
    let time = timed(Seconds::new(value), low, high, CHVORINOV, &b);
    let heated_depth = mould.heated_depth(time.value)?;
    let mould_deep_enough = match spacing {
        Some(gap) => Some(heated_depth.get() < metres("spacing of the castings", gap)? * 500.0),
        None => None,
    };
    Ok(Freezing { time, constant: value / (m * 100.0).powi(2), heated_depth, mould_deep_enough })
}

/// Freezing time of a shape, with the help that curved walls give.
///
/// For rods and balls the mould is wider than the casting, and `M rho H = (T* - T_f) [(2/sqrt pi) b sqrt t + n k t/(2r)]`
/// with n = 1 for a cylinder and 2 for a sphere (from memory). Other shapes as [`freezing_time`] by their modulus.
///
/// # Errors
/// As for [`freezing_time`].
pub fn freezing_time_of(
    shape: Shape,
    metal: &CastingMetal,
    pour: Celsius,
    flask: Celsius,
    mould: &MouldHeat,
) -> Result<Estimate<Seconds>, PhysicsError> {
    let modulus = shape.modulus()?;
    let plane = freezing_time(metal, modulus, pour, flask, mould, None)?.time;
    let Some((n, radius)) = shape.curvature() else { return Ok(plane) };
    // The plane time gives (2/sqrt pi) b sqrt(t) = C, so the curved one solves s + e s^2 = s_plane, s = sqrt t.
    let mut curved: Estimate<Seconds> = plane;
    let b = mould.effusivity();
    let solve = |plane: f64, b: f64| {
        let e = n * b * mould.diffusivity().sqrt() / (2.0 * radius) / (2.0 / std::f64::consts::PI.sqrt() * b);
        let s = plane.sqrt();
        // The root written so that a tiny e does not cancel.
        (2.0 * s / (1.0 + (1.0 + 4.0 * e * s).sqrt())).powi(2)
    };
    curved.value = Seconds::new(solve(plane.value.get(), b.value));
    curved.low = Seconds::new(solve(plane.low.get(), b.high));
    curved.high = Seconds::new(solve(plane.high.get(), b.low));
    Ok(curved)
}

/// How long the peak wall temperature lasts: the time to remove the superheat of a section.
///
/// `(pi/4) [rho M c_l (T_pour - T_L) / (b (mean(T_pour, T_L) - T_flask))]^2`; a finite-difference model gives 17 % more.
/// Ranges as in [`freezing_time`].
///
/// # Errors
/// An input outside its range.
pub fn superheat_time(
    metal: &CastingMetal,
    modulus: Millimetres,
    pour: Celsius,
    flask: Celsius,
    mould: &MouldHeat,
) -> Result<Estimate<Seconds>, PhysicsError> {
    let (m, pour, flask) = within_range(metal, modulus, pour, flask)?;
    let mean = f64::midpoint(pour, metal.liquidus().get());
    let heat = metal.superheat_per_volume(pour);
    let at = |b: f64| Seconds::new(plane_time(heat, m, b, mean - flask));
    let b = mould.effusivity();
    let high = Seconds::new(1.17 * at(b.low).get());
    Ok(timed(at(b.value), at(b.high), high, CHVORINOV, &b))
}

/// How long metal flows in a section before the growing solid stops it.
///
/// As the freezing time, but with the superheat and only a share of the freezing heat: 0.3 (0.2 to 0.35) where the
/// alloy freezes over a range, 1 (0.7 to 1) for a pure metal or a eutectic with less than 5 K (Flemings; Campbell, from
/// memory). Ranges as in [`freezing_time`].
///
/// # Errors
/// An input outside its range.
pub fn flow_stop_time(
    metal: &CastingMetal,
    modulus: Millimetres,
    pour: Celsius,
    flask: Celsius,
    mould: &MouldHeat,
) -> Result<Estimate<Seconds>, PhysicsError> {
    let (m, pour, flask) = within_range(metal, modulus, pour, flask)?;
    let (value, low, high) =
        if (metal.liquidus() - metal.solidus()).get() < 5.0 { (1.0, 0.7, 1.0) } else { (0.3, 0.2, 0.35) };
    let b = mould.effusivity();
    let difference = freezing_temperature(metal, 0.5) - flask;
    let at = |share: f64, b: f64| {
        let heat = share.mul_add(metal.freezing_heat_per_volume(), metal.superheat_per_volume(pour));
        Seconds::new(plane_time(heat, m, b, difference))
    };
    Ok(timed(at(value, b.value), at(low, b.high), at(high, b.low), "Flemings, fluidity of alloys", &b))
}
