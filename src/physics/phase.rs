//! Solidus and liquidus: silver-copper computed, silver-rich alloys with small additions estimated.
//!
//! Silver-copper: F. H. Hayes, H. L. Lukas, G. Effenberg, G. Petzow, Z. Metallkunde 77 (1986) 749, as used in the NIST
//! solder database; lattice stabilities of A. T. Dinsdale, Calphad 15 (1991) 317. No open assessment of gold-copper or
//! silver-gold was found, so carat golds have no answer here and take theirs from the alloy table.

use std::sync::LazyLock;

use crate::units::Celsius;

use super::error::within;
use super::{Composition, Element, Estimate, GAS_CONSTANT, PhysicsError};

const MELTS_AG: f64 = 1234.93;
const MELTS_CU: f64 = 1357.77;

/// Where an alloy begins and ends to melt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeltingRange {
    /// Wholly solid below.
    pub solidus: Estimate<Celsius>,
    /// Wholly liquid above.
    pub liquidus: Estimate<Celsius>,
}

/// The eutectic of silver and copper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Eutectic {
    /// Its temperature.
    pub temperature: Celsius,
    /// Mass fraction of copper in the melt.
    pub copper: f64,
    /// Mass fraction of copper in the silver-rich solid.
    pub copper_in_silver: f64,
    /// Mass fraction of copper in the copper-rich solid.
    pub copper_in_copper: f64,
}

/// Excess term over RT: `(x_other)^2 (L0 + L1 (3 x_self - x_other) sign)`; logarithms of both activity coefficients at a
/// mole fraction of copper.
fn ln_gamma(l0: f64, l1: f64, cu: f64, t: f64) -> (f64, f64) {
    let ag = 1.0 - cu;
    let rt = GAS_CONSTANT * t;
    (cu * cu * (l0 + l1 * (3.0 * ag - cu)) / rt, ag * ag * (l0 + l1 * (ag - 3.0 * cu)) / rt)
}

fn liquid(cu: f64, t: f64) -> (f64, f64) {
    ln_gamma((-4.468_19f64).mul_add(t, 17_323.40), (-2.352_85f64).mul_add(t, 1654.38), cu, t)
}

fn solid(cu: f64, t: f64) -> (f64, f64) {
    ln_gamma((-10.442_88f64).mul_add(t, 36_061.88), -4310.12, cu, t)
}

/// Gibbs energy of melting in J/mol: silver, copper.
fn melting_energy(t: f64) -> (f64, f64) {
    let ag = if t < MELTS_AG {
        11_025.076 - 8.891_021 * t - 1.034e-20 * t.powi(7)
    } else {
        11_508.141 - 9.301_747 * t - 1.412e29 * t.powi(-9)
    };
    let cu = if t < MELTS_CU {
        12_964.736 - 9.511_904 * t - 5.849e-21 * t.powi(7)
    } else {
        13_495.481 - 9.922_344 * t - 3.642e29 * t.powi(-9)
    };
    (ag, cu)
}

/// By how much the two equilibrium conditions fail, at a temperature and mole fractions of copper in melt and solid.
fn mismatch(t: f64, melt: f64, crystal: f64) -> (f64, f64) {
    let (l, s, g) = (liquid(melt, t), solid(crystal, t), melting_energy(t));
    let rt = GAS_CONSTANT * t;
    (
        (1.0 - melt).ln() + l.0 + g.0 / rt - (1.0 - crystal).ln() - s.0,
        melt.ln() + l.1 + g.1 / rt - crystal.ln() - s.1,
    )
}

/// Newton in temperature and the unknown fraction, the other one being fixed. `solve_melt` says which is unknown.
fn newton(fixed: f64, solve_melt: bool, mut t: f64, mut x: f64) -> Option<(f64, f64)> {
    let f = |t: f64, x: f64| if solve_melt { mismatch(t, x, fixed) } else { mismatch(t, fixed, x) };
    for _ in 0..80 {
        let (a, b) = f(t, x);
        if a.abs() < 1e-11 && b.abs() < 1e-11 {
            return Some((t, x));
        }
        let (dt, dx) = (1e-3, 1e-5 * x.min(1.0 - x));
        let (up, down) = (f(t + dt, x), f(t - dt, x));
        let (right, left) = (f(t, x + dx), f(t, x - dx));
        let (at, bt) = ((up.0 - down.0) / (2.0 * dt), (up.1 - down.1) / (2.0 * dt));
        let (ax, bx) = ((right.0 - left.0) / (2.0 * dx), (right.1 - left.1) / (2.0 * dx));
        let det = at * bx - ax * bt;
        if det == 0.0 || !det.is_finite() {
            return None;
        }
        let (step_t, step_x) = ((ax * b - a * bx) / det, (a * bt - at * b) / det);
        // Held back so that the fraction stays inside 0..1 and the temperature near the diagram.
        let room = if step_x < 0.0 { x } else { 1.0 - x };
        let damp = (40.0 / step_t.abs().max(40.0)).min(0.5 * room / step_x.abs().max(0.5 * room));
        t = damp.mul_add(step_t, t).clamp(600.0, 1500.0);
        x = damp.mul_add(step_x, x);
        if step_t.abs() < 1e-8 && step_x.abs() < 1e-13 {
            return Some((t, x));
        }
    }
    None
}

/// Follows a boundary from the pure metal to a mole fraction of copper: temperature and the other phase's fraction.
/// `copper_side` starts from copper, else from silver.
fn follow(cu: f64, solve_melt: bool, copper_side: bool) -> Option<(f64, f64)> {
    // In terms of the minor metal, whose share in the solid is about `keeps` of that in the melt.
    let minor = if copper_side { 1.0 - cu } else { cu };
    let (mut t, keeps) = if copper_side { (MELTS_CU, 0.25) } else { (MELTS_AG, 0.35) };
    let mut ratio: f64 = if solve_melt { 1.0 / keeps } else { keeps };
    let flip = |m: f64| if copper_side { 1.0 - m } else { m };
    const STEPS: u32 = 16;
    for step in 1..=STEPS {
        let here = minor * f64::from(step) / f64::from(STEPS);
        let guess = (here * ratio).clamp(1e-12, 0.9);
        let (at, other) = newton(flip(here), solve_melt, t, flip(guess))?;
        t = at;
        ratio = flip(other) / here;
    }
    Some((t, flip(minor * ratio)))
}

/// Temperature (K) and mole fractions of copper in the melt and both solids.
static EUTECTIC: LazyLock<Option<[f64; 4]>> = LazyLock::new(|| {
    let (mut low, mut high) = (0.3, 0.5);
    for _ in 0..50 {
        let middle = f64::midpoint(low, high);
        let (silver, copper) = (follow(middle, false, false)?.0, follow(middle, false, true)?.0);
        if silver > copper { low = middle } else { high = middle }
    }
    let melt = f64::midpoint(low, high);
    let (t, in_silver) = follow(melt, false, false)?;
    let (_, in_copper) = follow(melt, false, true)?;
    Some([t, melt, in_silver, in_copper])
});

const NO_SOLUTION: PhysicsError =
    PhysicsError::Contradiction("the silver-copper equilibrium could not be solved here");

/// Mass fraction of copper from its mole fraction.
fn by_mass(cu: f64) -> f64 {
    let (m_cu, m_ag) = (Element::Cu.properties().molar_mass, Element::Ag.properties().molar_mass);
    cu * m_cu / (cu * m_cu + (1.0 - cu) * m_ag)
}

/// Mole fraction of copper from its mass fraction.
fn by_moles(copper: f64) -> f64 {
    let (m_cu, m_ag) = (Element::Cu.properties().molar_mass, Element::Ag.properties().molar_mass);
    copper / m_cu / (copper / m_cu + (1.0 - copper) / m_ag)
}

/// The eutectic, computed: published 779 °C, 28.1 % copper.
///
/// # Errors
/// None in practice; the equations could fail to be solved.
pub fn silver_copper_eutectic() -> Result<Eutectic, PhysicsError> {
    let [t, melt, in_silver, in_copper] = (*EUTECTIC).ok_or(NO_SOLUTION)?;
    Ok(Eutectic {
        temperature: Celsius::from_kelvin(t),
        copper: by_mass(melt),
        copper_in_silver: by_mass(in_silver),
        copper_in_copper: by_mass(in_copper),
    })
}

/// Solidus and liquidus of silver-copper at a mass fraction of copper from 0 to 1, within 5 K.
///
/// The solidus is the temperature below which it stays solid: close to the copper-rich end of the eutectic the solubility is
/// retrograde, and an alloy there melts a little again on cooling.
///
/// # Errors
/// A fraction outside the range.
pub fn silver_copper(copper: f64) -> Result<MeltingRange, PhysicsError> {
    let copper = within("mass fraction of copper", "", copper, 0.0, 1.0)?;
    let cu = by_moles(copper);
    let [eutectic, melt, in_silver, in_copper] = (*EUTECTIC).ok_or(NO_SOLUTION)?;
    // Nearer to a pure metal than this its own melting point is the answer.
    let tiny = 1e-6;
    let (solidus, liquidus) = if cu < tiny {
        (MELTS_AG, MELTS_AG)
    } else if cu > 1.0 - tiny {
        (MELTS_CU, MELTS_CU)
    } else {
        let liquidus = follow(cu, false, cu > melt).ok_or(NO_SOLUTION)?.0.max(eutectic);
        let solidus = if cu < in_silver {
            follow(cu, true, false).ok_or(NO_SOLUTION)?.0
        } else if cu > in_copper {
            follow(cu, true, true).ok_or(NO_SOLUTION)?.0
        } else {
            eutectic
        };
        (solidus.min(liquidus), liquidus)
    };
    let at = |t: f64| Estimate::plus_minus(Celsius::from_kelvin(t), 5.0, HAYES);
    Ok(MeltingRange { solidus: at(solidus), liquidus: at(liquidus) })
}

const HAYES: &str = "Hayes, Lukas, Effenberg and Petzow 1986, computed";

/// Activity of copper in liquid silver-copper at a mole fraction of copper (0 to 1) and 427 to 1427 °C, the pure liquid
/// being 1.
///
/// # Errors
/// An input outside its range.
pub fn copper_activity(copper_moles: f64, at: Celsius) -> Result<f64, PhysicsError> {
    let cu = within("mole fraction of copper", "", copper_moles, 0.0, 1.0)?;
    within("melt temperature", "C", at.get(), 427.0, 1427.0)?;
    Ok(cu * liquid(cu, at.kelvin()).1.exp())
}

/// Solidus and liquidus of an alloy where they can be computed or estimated; `None` elsewhere (carat golds, platinum
/// and palladium alloys, bronzes: take them from the alloy table).
///
/// Pure metals (99.5 % and more): the melting point, within 3 K. Silver with copper: [`silver_copper`]. Silver-rich
/// alloys with up to 5 % of zinc, tin, indium, silicon, germanium or phosphorus: lowered by 8 to 12 K per mass percent of
/// zinc, 20 of tin or indium, and the solidus by 50 and more of the others, all from memory and coarse.
///
/// # Errors
/// None for a valid composition; the equations could fail to be solved.
pub fn melting_range(alloy: &Composition) -> Result<Option<MeltingRange>, PhysicsError> {
    let (ag, cu) = (alloy.share(Element::Ag), alloy.share(Element::Cu));
    let base = alloy.base();
    if alloy.share(base) >= 0.995 {
        let at = Estimate::plus_minus(base.properties().melting, 3.0, "CRC Handbook");
        return Ok(Some(MeltingRange { solidus: at, liquidus: at }));
    }
    let added = 1.0 - ag - cu;
    if ag + cu <= 0.0 || added > 0.05 || (added > 1e-3 && ag < 0.6) {
        return Ok(None);
    }
    let pair = silver_copper((cu / (ag + cu)).clamp(0.0, 1.0))?;
    if added < 1e-3 {
        return Ok(Some(pair));
    }
    // Kelvin per mass percent: solidus usual, least, most; liquidus usual, least, most.
    let mut drop = [0.0; 6];
    for (element, share) in alloy.parts() {
        let per_percent = match element {
            Element::Ag | Element::Cu => continue,
            Element::Zn => [10.0, 8.0, 12.0, 10.0, 8.0, 12.0],
            Element::Sn | Element::In => [20.0, 10.0, 30.0, 20.0, 10.0, 30.0],
            Element::Si | Element::Ge | Element::P => [50.0, 25.0, 150.0, 10.0, 0.0, 25.0],
            // A trace of anything else is let pass without an effect.
            _ if share < 1e-3 => continue,
            _ => return Ok(None),
        };
        for (sum, k) in drop.iter_mut().zip(per_percent) {
            *sum += k * share * 100.0;
        }
    }
    let [s, s_least, s_most, l, l_least, l_most] = drop;
    let lower = |e: Estimate<Celsius>, usual: f64, least: f64, most: f64| {
        let (v, low, high) = (e.value.get() - usual, e.low.get() - most, e.high.get() - least);
        Estimate::new(Celsius::new(v), Celsius::new(low), Celsius::new(high), HAYES)
            .with_weak("the effect of the additions is a coarse figure from memory")
    };
    let liquidus = lower(pair.liquidus, l, l_least, l_most);
    let mut solidus = lower(pair.solidus, s, s_least, s_most);
    if solidus.value > liquidus.value {
        solidus = liquidus;
    }
    Ok(Some(MeltingRange { solidus, liquidus }))
}
