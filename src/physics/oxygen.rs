//! Gas that the melt holds and throws out on freezing: oxygen in silver, oxide in sterling, hydrogen.
//!
//! Oxygen in silver: coefficients from memory in the form of S. Otsuka, Z. Kozuka, Trans. JIM 22 (1981) 558; the size
//! agrees with the twenty volumes of Gay-Lussac (Encyclopaedia Britannica, 9th ed.). Oxide limit: L. Schramm, G. Behr, W. Löser,
//! K. Wetzig, J. Phase Equilib. Diffus. 26 (2005) 605, with the silver-copper melt of [`super::phase`]. Hydrogen: Trans. AIME,
//! February 1968 (liquid silver); R. B. McLellan, J. Phys. Chem. Solids 34 (1973) 1137 (solid silver, gold);
//! C. L. Thomas 1967 (solid copper); from memory (liquid copper).

use crate::units::{Celsius, Grams, GramsPerCm3, Millibars, Millimetres};

use super::error::within;
use super::phase::copper_activity;
use super::{
    ATMOSPHERE_PA, Composition, Element, Estimate, GAS_CONSTANT, GRAVITY, MOLAR_VOLUME_STP, OXYGEN_ATOM,
    PhysicsError,
};

/// Pressure of a gas in atmospheres, checked: 0 to 5000 mbar.
fn atmospheres(what: &'static str, p: Millibars) -> Result<f64, PhysicsError> {
    Ok(within(what, "mbar", p.get(), 0.0, 5000.0)? * 100.0 / ATMOSPHERE_PA)
}

const SIEVERTS: &str = "Sieverts' law, coefficients after the form of Otsuka and Kozuka 1981 (from memory)";

/// Oxygen dissolved in liquid fine silver at equilibrium with a partial pressure of oxygen, as a mass fraction.
///
/// 961 to 1300 °C, 0 to 5000 mbar, within 10 % (more above one atmosphere).
///
/// # Errors
/// An input outside its range.
pub fn oxygen_in_silver(oxygen: Millibars, at: Celsius) -> Result<Estimate, PhysicsError> {
    let p = atmospheres("partial pressure of oxygen", oxygen)?;
    within("melt temperature", "C", at.get(), 961.0, 1300.0)?;
    let t = at.kelvin();
    let atom_percent = (-(5.44f64.mul_add(t, -14_310.0)) / (GAS_CONSTANT * t)).exp() * p.sqrt();
    let (o, ag) = (atom_percent * OXYGEN_ATOM, (100.0 - atom_percent) * Element::Ag.properties().molar_mass);
    Ok(Estimate::relative(o / (o + ag), 0.10, SIEVERTS)
        .with_weak("coefficients from memory; the size is confirmed by the rule of twenty volumes only"))
}

/// Gas from dissolved oxygen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GasEvolved {
    /// cm³ at 0 °C and one atmosphere.
    pub normal: Estimate,
    /// cm³ at the melting point of silver and the pressure around.
    pub hot: Estimate,
    /// The same over the volume of the liquid metal.
    pub volumes: Estimate,
}

/// Gas that silver throws out on freezing. Solid silver keeps 0.004 to 0.006 % by mass at most, which the low end takes
/// off.
///
/// `oxygen` is a mass fraction, 0 to 0.01; `metal` 0.001 to 1e6 g; `ambient` 1 to 100 000 mbar.
///
/// # Errors
/// An input outside its range.
pub fn gas_on_freezing(
    oxygen: Estimate,
    metal: Grams,
    ambient: Millibars,
) -> Result<GasEvolved, PhysicsError> {
    for end in [oxygen.value, oxygen.low, oxygen.high] {
        within("oxygen in the metal", "", end, 0.0, 0.01)?;
    }
    let grams = within("metal", "g", metal.get(), 0.001, 1e6)?;
    let p = within("pressure around", "mbar", ambient.get(), 1.0, 1e5)? * 100.0;
    let silver = Element::Ag.properties();
    let moles = |fraction: f64| grams * fraction.max(0.0) / (2.0 * OXYGEN_ATOM);
    let ends = [oxygen.value, oxygen.low - 6e-5, oxygen.high].map(moles);
    let scaled = |per_mole: f64| {
        let mut e = Estimate::new(ends[0] * per_mole, ends[1] * per_mole, ends[2] * per_mole, oxygen.source);
        e.weak = oxygen.weak;
        e
    };
    let hot = GAS_CONSTANT * silver.melting.kelvin() / p * 1e6;
    let liquid = grams / silver.density_liquid.get();
    Ok(GasEvolved { normal: scaled(MOLAR_VOLUME_STP), hot: scaled(hot), volumes: scaled(hot / liquid) })
}

/// Oxygen pressure above which cuprous oxide forms on molten silver-copper: `exp(2 dG/RT)/a_Cu^4` bar.
///
/// For alloys with silver and copper as at least 90 % of the mass and some copper; the rest is taken as absent. 850 to
/// 1200 °C (checked 947 to 1152 °C), within 25 %.
///
/// # Errors
/// A temperature outside the range, or an alloy of other metals.
pub fn cuprous_oxide_limit(alloy: &Composition, at: Celsius) -> Result<Estimate<Millibars>, PhysicsError> {
    within("melt temperature", "C", at.get(), 850.0, 1200.0)?;
    let (ag, cu) = (alloy.share(Element::Ag), alloy.share(Element::Cu));
    if ag + cu < 0.9 || cu < 1e-4 {
        return Err(PhysicsError::Contradiction(
            "the oxide limit is known for silver-copper alloys only (90 % of both, some copper)",
        ));
    }
    let moles = |e: Element| alloy.mole_fraction(e);
    let x = moles(Element::Cu) / (moles(Element::Cu) + moles(Element::Ag));
    let t = at.kelvin();
    let energy = 89.07f64.mul_add(t, -191_127.0);
    let bar = (2.0 * energy / (GAS_CONSTANT * t)).exp() / copper_activity(x, at)?.powi(4);
    let mut out = Estimate::relative(
        Millibars::new(1000.0 * bar),
        0.25,
        "Schramm et al. 2005 with the silver-copper melt of Hayes et al. 1986",
    );
    if ag + cu < 0.995 {
        out.weak = Some("zinc, tin, silicon and germanium take the oxygen first and are not counted");
    }
    Ok(out)
}

/// Metals for which a solubility of hydrogen is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum HydrogenIn {
    /// 961 to 1300 °C.
    LiquidSilver,
    /// 600 to 962 °C.
    SolidSilver,
    /// 1085 to 1350 °C.
    LiquidCopper,
    /// 497 to 1085 °C.
    SolidCopper,
}

/// Hydrogen dissolved at equilibrium, in cm³ (0 °C, one atmosphere) per 100 g of metal.
///
/// Hydrogen pressure 0 to 5000 mbar; temperatures as in [`HydrogenIn`]. Within 5 % for liquid silver, 20 % for the others.
/// In gold it is negligible (about 0.02).
///
/// # Errors
/// An input outside its range.
pub fn hydrogen(metal: HydrogenIn, pressure: Millibars, at: Celsius) -> Result<Estimate, PhysicsError> {
    let root = atmospheres("partial pressure of hydrogen", pressure)?.sqrt();
    let (low, high) = match metal {
        HydrogenIn::LiquidSilver => (961.0, 1300.0),
        HydrogenIn::SolidSilver => (600.0, 962.0),
        HydrogenIn::LiquidCopper => (1084.0, 1350.0),
        HydrogenIn::SolidCopper => (497.0, 1085.0),
    };
    within("temperature of the metal", "C", at.get(), low, high)?;
    let t = at.kelvin();
    let (per_root, off, source) = match metal {
        HydrogenIn::LiquidSilver => (10f64.powf(2.154 - 3512.0 / t), 0.05, "Trans. AIME, February 1968"),
        HydrogenIn::LiquidCopper => (10f64.powf(2.424 - 2273.0 / t), 0.20, "fit to recalled handbook values"),
        HydrogenIn::SolidSilver => {
            // Two measured points, a straight line in 1/T: atom fractions at 941 and 703 °C.
            let (hot, cold) = (1214.15, 976.15);
            let slope = (6.17e-6f64 / 1.51e-6).ln() / (1.0 / cold - 1.0 / hot);
            let atoms = 6.17e-6 * (slope * (1.0 / hot - 1.0 / t)).exp();
            let moles = 100.0 / Element::Ag.properties().molar_mass * atoms / 2.0;
            (moles * MOLAR_VOLUME_STP, 0.20, "McLellan 1973")
        }
        HydrogenIn::SolidCopper => {
            // Atoms per m³ and root Pa; Boltzmann in eV/K; hot copper of 8.4 g/cm³; Avogadro.
            let atoms = 1.9e24 * (-0.51 / (8.617_333e-5 * t)).exp() * ATMOSPHERE_PA.sqrt();
            let moles = atoms * (100.0 / 8.4e6) / 6.022_140_76e23 / 2.0;
            (moles * MOLAR_VOLUME_STP, 0.20, "C. L. Thomas 1967")
        }
    };
    Ok(Estimate::relative(per_root * root, off, source))
}

/// Gas pressure that a bubble needs: surroundings, metal above it and its own surface, `p + rho g h + 2 sigma/r`.
///
/// Ambient 0 to 100 000 mbar, depth 0 to 10 000 mm, density 0.1 to 30 g/cm³, tension 0 to 5 N/m, radius 1e-4 to 100 mm.
///
/// # Errors
/// An input outside its range.
pub fn bubble_pressure(
    ambient: Millibars,
    depth: Millimetres,
    density: GramsPerCm3,
    surface_tension: f64,
    radius: Millimetres,
) -> Result<Millibars, PhysicsError> {
    let p = within("pressure around", "mbar", ambient.get(), 0.0, 1e5)?;
    let h = within("depth", "mm", depth.get(), 0.0, 10_000.0)?;
    let rho = within("density", "g/cm3", density.get(), 0.1, 30.0)?;
    let sigma = within("surface tension", "N/m", surface_tension, 0.0, 5.0)?;
    let r = within("radius of the bubble", "mm", radius.get(), 1e-4, 100.0)? / 1000.0;
    Ok(Millibars::new(p + Millibars::from_pascals(rho * h * GRAVITY + 2.0 * sigma / r).get()))
}
