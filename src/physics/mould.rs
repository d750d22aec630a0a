//! Breakdown of gypsum-bonded investment: when its wall gives off sulphur dioxide into the metal.
//!
//! Equilibrium from CRC data (chemicals 1.5.2), NIST Shomate heat capacities (thermo 0.6.1) and wollastonite after
//! T. J. B. Holland, R. Powell, J. Metamorph. Geol. 29 (2011) 333, as linear Gibbs energies for 850 to 1550 K.
//! Thermogravimetry of dental investment sees the onset near 900 °C with calcium silicate as the product, where the
//! model gives 4 mbar. What the equilibrium allows becomes fast only some 100 to 200 K higher.

use crate::units::{Celsius, Millibars, Millimetres, Seconds};

use super::error::within;
use super::freeze::{freezing_time, superheat_time};
use super::heat::{MouldHeat, wall_temperature};
use super::{CastingMetal, Estimate, GAS_CONSTANT, PhysicsError};

/// What the wall is in contact with besides metal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MouldState {
    /// Burnt out white to the core.
    Clean,
    /// Black or grey core: carbon or wax residue.
    CarbonLeft,
    /// Hydrogen or carbon monoxide at this partial pressure: forming gas, a gas flame, graphite near the flask.
    ReducingGas(Millibars),
}

/// How bad it is. Thresholds are engineering choices on the computed pressures, not published limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MouldVerdict {
    /// Clean below 850 °C: under 1.3 mbar.
    Safe,
    /// Clean 850 to 950 °C, 1 to 12 mbar: long contact or vacuum assist makes it worse.
    Watch,
    /// Clean 950 to 1050 °C, 12 to 86 mbar: gas in heavy sections.
    GasInHeavySections,
    /// Clean above 1050 °C: this binder does not suit; phosphate- or acid-bonded silica does.
    Unsuitable,
    /// Carbon above 700 °C or reducing gas above 500 °C: sulphur dioxide for certain.
    GasForCertain,
}

const SOURCE: &str = "CRC, NIST and Holland-Powell data, linear Gibbs energies";

fn kelvin(wall: Celsius) -> Result<f64, PhysicsError> {
    within("temperature of the mould wall", "C", wall.get(), 200.0, 2200.0)?;
    Ok(wall.kelvin())
}

/// `exp(-(h - s T)/RT)`.
fn equilibrium(h: f64, s: f64, t: f64) -> f64 {
    (-(h - s * t) / (GAS_CONSTANT * t)).exp()
}

/// Sulphur dioxide and oxygen over a sulphate: `p_SO2 = (sqrt 2 K)^(2/3)` bar, the total 1.5 times that; in mbar.
fn sulphate_total(k: f64) -> f64 {
    1500.0 * (std::f64::consts::SQRT_2 * k).powf(2.0 / 3.0)
}

/// Total gas pressure over pure calcium sulphate (to lime). 200 to 2200 °C, checked for 577 to 1277 °C, within 12 %.
///
/// # Errors
/// A temperature outside the range.
pub fn pure_sulphate_pressure(at: Celsius) -> Result<Estimate<Millibars>, PhysicsError> {
    let t = kelvin(at)?;
    let p = sulphate_total(equilibrium(481_900.0, 256.63, t));
    Ok(Estimate::relative(Millibars::new(p), 0.12, SOURCE))
}

/// Gas pressure that a gypsum-bonded silica wall can build up.
///
/// Clean: sulphate with silica to calcium silicate, sulphur dioxide and oxygen, total pressure, within 8 %
/// (30 % outside the checked range). Carbon
/// left: the larger of the free-carbon reaction and of the sulphide that carbon has made; within a factor of 1.5.
/// Reducing gas: sulphur dioxide once the gas has come to equilibrium (carbon monoxide; hydrogen alike), within a
/// factor of 1.5. 200 to 2200 °C, checked for 577 to 1277 °C. Gas partial pressure 0 to 10 000 mbar.
///
/// # Errors
/// An input outside its range.
pub fn breakdown_pressure(state: MouldState, wall: Celsius) -> Result<Estimate<Millibars>, PhysicsError> {
    let t = kelvin(wall)?;
    let clean = sulphate_total(equilibrium(392_804.0, 257.89, t));
    let checked = (577.0..=1277.0).contains(&wall.get());
    let rough = |p: f64| {
        let p = p.max(clean);
        Estimate::new(Millibars::new(p), Millibars::new(p / 1.5), Millibars::new(p * 1.5), SOURCE)
            .with_weak("a limit of equilibrium: the reaction is fast only 100 to 200 K higher")
    };
    Ok(match state {
        MouldState::Clean if checked => Estimate::relative(Millibars::new(clean), 0.08, SOURCE),
        MouldState::Clean => Estimate::relative(Millibars::new(clean), 0.3, SOURCE)
            .with_weak("beyond the temperatures for which the data were fitted"),
        MouldState::CarbonLeft => {
            // CaSO4 + SiO2 + C: equal parts SO2 and CO.
            let free_carbon = 2000.0 * equilibrium(279_545.0, 344.89, t).sqrt();
            // CaS + 3 CaSO4 + 4 SiO2: four SO2.
            let sulphide = 1000.0 * equilibrium(642_112.0, 697.50, t).powf(0.25);
            rough(free_carbon.max(sulphide))
        }
        MouldState::ReducingGas(gas) => {
            let p0 = within("reducing gas", "mbar", gas.get(), 0.0, 10_000.0)? / 1000.0;
            let k = equilibrium(111_104.0, 171.79, t);
            // y^2 = K (p0 - y), the positive root written without cancellation.
            let y = if p0 > 0.0 { 2.0 * p0 / (1.0 + (1.0 + 4.0 * p0 / k).sqrt()) } else { 0.0 };
            rough(1000.0 * y)
        }
    })
}

/// The verdict on a wall (or kiln) temperature. 0 to 3500 °C.
///
/// # Errors
/// A temperature outside the range.
pub fn verdict(state: MouldState, wall: Celsius) -> Result<MouldVerdict, PhysicsError> {
    let t = within("temperature of the mould wall", "C", wall.get(), 0.0, 3500.0)?;
    let clean = match t {
        t if t < 850.0 => MouldVerdict::Safe,
        t if t < 950.0 => MouldVerdict::Watch,
        t if t < 1050.0 => MouldVerdict::GasInHeavySections,
        _ => MouldVerdict::Unsuitable,
    };
    Ok(match state {
        MouldState::Clean => clean,
        MouldState::CarbonLeft if t >= 700.0 => MouldVerdict::GasForCertain,
        MouldState::CarbonLeft => MouldVerdict::Watch,
        MouldState::ReducingGas(gas) if t >= 500.0 && gas.get() > 0.0 => MouldVerdict::GasForCertain,
        MouldState::ReducingGas(_) => clean,
    })
}

/// What a mould wall goes through behind one section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallExposure {
    /// Temperature of the wall while there is superheat.
    pub peak: Estimate<Celsius>,
    /// How long that lasts.
    pub peak_for: Estimate<Seconds>,
    /// Gas pressure of the mould at the peak.
    pub peak_pressure: Estimate<Millibars>,
    /// Gas pressure at the liquidus, where the wall stays until the section has frozen.
    pub plateau_pressure: Estimate<Millibars>,
    /// How long that lasts.
    pub plateau_for: Estimate<Seconds>,
    /// The worse of both; a peak of less than a second counts one step milder.
    pub verdict: MouldVerdict,
}

/// Peak and plateau of the wall of a gypsum-bonded mould behind a section, and what it gives off.
///
/// Ranges as in [`super::freeze::freezing_time`]; the wall must come out between 200 and 2200 °C. Above 1277 °C (platinum
/// and palladium alloys) the pressures are carried beyond their data: such a mould is unsuitable long before.
///
/// # Errors
/// An input outside its range.
pub fn wall_exposure(
    metal: &CastingMetal,
    modulus: Millimetres,
    pour: Celsius,
    flask: Celsius,
    mould: &MouldHeat,
    state: MouldState,
) -> Result<WallExposure, PhysicsError> {
    let peak = wall_temperature(metal, pour, flask, mould)?;
    let peak_for = superheat_time(metal, modulus, pour, flask, mould)?;
    let plateau_for = freezing_time(metal, modulus, pour, flask, mould, None)?.time;
    let mut at_peak = verdict(state, peak.value)?;
    if peak_for.value.get() < 1.0 {
        at_peak = match at_peak {
            MouldVerdict::Unsuitable => MouldVerdict::GasInHeavySections,
            MouldVerdict::GasInHeavySections => MouldVerdict::Watch,
            MouldVerdict::Watch => MouldVerdict::Safe,
            other => other,
        };
    }
    Ok(WallExposure {
        peak,
        peak_for,
        peak_pressure: breakdown_pressure(state, peak.value)?,
        plateau_pressure: breakdown_pressure(state, metal.liquidus())?,
        plateau_for,
        verdict: at_peak.max(verdict(state, metal.liquidus())?),
    })
}

/// Sulphur dioxide in cm³ at 0 °C and one atmosphere, if a layer of the mould breaks down wholly.
///
/// 165 cm³ per gram of calcium sulphate; a fired mould of 1.2 g/cm³ with 27 % of it. `area` in cm², 0 to 1e6; `depth` 0
/// to 1000 mm. The share of gypsum is a common recipe: within 25 %.
///
/// # Errors
/// An input outside its range.
pub fn sulphur_dioxide_from(area: f64, depth: Millimetres) -> Result<Estimate, PhysicsError> {
    let area = within("area of the wall", "cm2", area, 0.0, 1e6)?;
    let depth = within("depth of the layer", "mm", depth.get(), 0.0, 1000.0)?;
    Ok(Estimate::relative(area * depth / 10.0 * 1.2 * 0.27 * 165.0, 0.25, "molar mass of calcium sulphate")
        .with_weak("share of gypsum in the powder is a common recipe"))
}
