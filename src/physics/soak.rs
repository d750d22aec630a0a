//! How far the core of a flask lags behind the kiln.
//!
//! Long cylinder whose surface is held at a temperature: `theta = sum 2/(b_n J1(b_n)) exp(-b_n^2 Fo)` over the roots of
//! J0 (H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids). For dry, fired investment; below 200 °C the water
//! about doubles the times. A full kiln adds its own lag.

use std::sync::LazyLock;

use crate::units::{Celsius, Kelvins, Millimetres, Seconds};

use super::error::within;
use super::{Estimate, PhysicsError};

/// Thermal diffusivity of fired investment in m²/s, within 30 %.
pub const DIFFUSIVITY: f64 = 3.8e-7;
const OFF: f64 = 0.3;
const WEAK: &str = "diffusivity of investment known to 30 %; water and a full kiln add to it";
const SOURCE: &str = "Carslaw and Jaeger, long cylinder";
const TERMS: usize = 30;

/// Bessel functions of the first kind of order 0 and 1 by their integrals, `(1/pi) int cos(n s - x sin s) ds`.
///
/// The trapezoidal rule converges faster than any power on a periodic function: with N panels the error is about the
/// Bessel function of order 2 N, which is below rounding for the panels taken and x from 0 to 150.
fn bessel(x: f64) -> (f64, f64) {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "x is at most about 100 here"
    )]
    let panels = 40 + (0.5 * x) as u32;
    let (mut zero, mut one) = (0.0, 0.0);
    for k in 0..panels {
        let s = std::f64::consts::PI * (f64::from(k) + 0.5) / f64::from(panels);
        let phase = x * s.sin();
        zero += phase.cos();
        one += (s - phase).cos();
    }
    (zero / f64::from(panels), one / f64::from(panels))
}

/// Squares of the roots of J0 and the weights of the series.
static SERIES: LazyLock<[(f64, f64); TERMS]> = LazyLock::new(|| {
    let mut series = [(0.0, 0.0); TERMS];
    let mut n = 0.75;
    for term in &mut series {
        // McMahon's start, then Newton: J0' = -J1.
        let start = std::f64::consts::PI * n;
        let mut root = start + 1.0 / (8.0 * start) - 124.0 / (3.0 * (8.0 * start).powi(3));
        // The start is within 0.002, and each step doubles the digits.
        for _ in 0..3 {
            let (zero, one) = bessel(root);
            root += zero / one;
        }
        *term = (root * root, 2.0 / (root * bessel(root).1));
        n += 1.0;
    }
    series
});

/// What is left at the axis of the first difference in temperature, 1 to 0, at a Fourier number `a t/R²` of 0 or more.
///
/// # Errors
/// A negative or infinite Fourier number.
pub fn axis_response(fourier: f64) -> Result<f64, PhysicsError> {
    let fo = within("Fourier number", "", fourier, 0.0, f64::MAX)?;
    // The heat has not reached the axis, and thirty terms would not show it.
    if fo < 0.005 {
        return Ok(1.0);
    }
    Ok(SERIES.iter().map(|(square, weight)| weight * (-square * fo).exp()).sum::<f64>().clamp(0.0, 1.0))
}

fn radius(diameter: Millimetres) -> Result<f64, PhysicsError> {
    Ok(within("flask diameter", "mm", diameter.get(), 1.0, 2000.0)? / 2000.0)
}

/// Temperature at the axis of a flask, `held` after its surface went from one temperature to another.
///
/// Temperatures -50 to 1500 °C, diameter 1 to 2000 mm, time 0 to 1e6 s.
///
/// # Errors
/// An input outside its range.
pub fn core_temperature(
    from: Celsius,
    surface: Celsius,
    diameter: Millimetres,
    held: Seconds,
) -> Result<Estimate<Celsius>, PhysicsError> {
    let t0 = within("starting temperature", "C", from.get(), -50.0, 1500.0)?;
    let t1 = within("kiln temperature", "C", surface.get(), -50.0, 1500.0)?;
    let seconds = within("time in the kiln", "s", held.get(), 0.0, 1e6)?;
    let r = radius(diameter)?;
    let at = |share: f64| -> Result<Celsius, PhysicsError> {
        let left = axis_response(DIFFUSIVITY * share * seconds / (r * r))?;
        Ok(Celsius::new((t0 - t1).mul_add(left, t1)))
    };
    Ok(Estimate::new(at(1.0)?, at(1.0 - OFF)?, at(1.0 + OFF)?, SOURCE).with_weak(WEAK))
}

/// Time until only a share of the first difference is left at the axis (0.05 for 5 %).
///
/// Share 0.0001 to 1, diameter 1 to 2000 mm.
///
/// # Errors
/// An input outside its range.
pub fn soak_time(diameter: Millimetres, share_left: f64) -> Result<Estimate<Seconds>, PhysicsError> {
    let share = within("share left", "", share_left, 1e-4, 1.0)?;
    let r = radius(diameter)?;
    let (mut low, mut high) = (0.0, 3.0);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if axis_response(middle)? > share { low = middle } else { high = middle }
    }
    let fo = if share >= 1.0 { 0.0 } else { high };
    let at = |factor: f64| Seconds::new(fo * r * r / (DIFFUSIVITY * factor));
    Ok(Estimate::new(at(1.0), at(1.0 + OFF), at(1.0 - OFF), SOURCE).with_weak(WEAK))
}

/// Time until the axis is within so many kelvin of the kiln, after a step from one temperature to another.
///
/// Zero when the step is smaller than that. Temperatures -50 to 1500 °C, within 0.2 to 1000 K, diameter 1 to 2000 mm.
///
/// # Errors
/// An input outside its range.
pub fn soak_time_within(
    from: Celsius,
    kiln: Celsius,
    diameter: Millimetres,
    left: Kelvins,
) -> Result<Estimate<Seconds>, PhysicsError> {
    let t0 = within("starting temperature", "C", from.get(), -50.0, 1500.0)?;
    let t1 = within("kiln temperature", "C", kiln.get(), -50.0, 1500.0)?;
    let k = within("difference left", "K", left.get(), 0.2, 1000.0)?;
    soak_time(diameter, (k / (t0 - t1).abs().max(k)).clamp(1e-4, 1.0))
}

/// How far the axis lags behind a kiln that heats steadily: `rate R²/(4 a)`.
///
/// Rate in K/h, 0 to 10 000; diameter 1 to 2000 mm. For a ramp longer than the soak time.
///
/// # Errors
/// An input outside its range.
pub fn ramp_lag(diameter: Millimetres, rate: f64) -> Result<Estimate<Kelvins>, PhysicsError> {
    let per_second = within("heating rate", "K/h", rate, 0.0, 10_000.0)? / 3600.0;
    let r = radius(diameter)?;
    let at = |factor: f64| Kelvins::new(per_second * r * r / (4.0 * DIFFUSIVITY * factor));
    Ok(Estimate::new(at(1.0), at(1.0 + OFF), at(1.0 - OFF), SOURCE).with_weak(WEAK))
}
