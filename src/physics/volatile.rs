//! Zinc and cadmium: vapour pressure over the melt, boiling under vacuum, metal lost.
//!
//! Pure liquids: C. B. Alcock, V. P. Itkin, M. K. Horrigan, Canad. Metall. Quart. 23 (1984) 309, as carried by
//! chemicals 1.5.2; zinc by the Kubaschewski and Alcock form (coefficients from memory, within 4 % of an independent
//! third-law computation from SGTE and CRC data), as the Alcock fit must not be carried to casting heat.
//! Activity of zinc in copper: I. Ansara, A. T. Dinsdale, M. H. Rand (eds), COST 507 database, 1998.
//! In gold and silver the activity of zinc is lower; no numbers were found in the open, so copper-zinc stands as an
//! upper bound and a provisional regular solution (from memory) gives the lower estimate.

use crate::units::{Celsius, Grams, GramsPerCm3, Kelvins, Millibars, Millimetres, Seconds};

use super::alloy::metres;
use super::error::within;
use super::{ATMOSPHERE_PA, Composition, Element, Estimate, GAS_CONSTANT, GRAVITY, PhysicsError};

/// Coldest melt for which a vapour pressure is given: zinc melts there.
const COLDEST: f64 = 419.53;
/// Hottest melt for which a vapour pressure is given.
const HOTTEST: f64 = 2400.0;
/// End of the range in which the zinc formula was checked, 1500 K.
const ZINC_CHECKED: f64 = 1226.85;
/// How far the computed boiling temperature may be off: handbook boiling points of brass lie 20 to 35 K lower.
const BOILING_OFF: f64 = 40.0;

/// The elements that a casting melt can lose by boiling.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Volatile {
    /// In brass, carat golds, white golds, some sterling alloys.
    Zinc,
    /// In old solders and old carat golds: its vapour is poisonous.
    Cadmium,
}

impl Volatile {
    /// The element.
    pub fn element(self) -> Element {
        match self {
            Self::Zinc => Element::Zn,
            Self::Cadmium => Element::Cd,
        }
    }
}

fn kelvin(at: Celsius) -> Result<f64, PhysicsError> {
    within("melt temperature", "C", at.get(), COLDEST, HOTTEST)?;
    Ok(at.kelvin())
}

/// Pa over the pure liquid; nothing for an element without a fit.
fn pure_pascals(element: Element, t: f64) -> Option<f64> {
    // log10(p/atm) = a + b/T + c log10 T + d 1e-3 T
    let (a, b, c, d) = match element {
        Element::Zn => {
            return Some(133.322 * 10f64.powf(12.34 - 6620.0 / t - 1.255 * t.log10()));
        }
        Element::Cd => (5.242, -5392.0, 0.0, 0.0),
        Element::Ag => (5.752, -13_827.0, 0.0, 0.0),
        Element::Pb => (8.532, -10_093.0, -1.075, 0.0),
        Element::Cu => (11.209, -17_427.0, -1.4742, 0.0),
        Element::Au => (10.298, -18_898.0, -1.2222, 0.0),
        Element::In => (9.919, -12_568.0, -1.5298, 0.3377),
        Element::Sn => (2.719, -15_107.0, 0.8036, -0.1033),
        Element::Ni => (6.666, -20_765.0, 0.0, 0.0),
        Element::Pd => (5.426, -17_899.0, 0.0, 0.0),
        _ => return None,
    };
    Some(ATMOSPHERE_PA * 10f64.powf(a + b / t + c * t.log10() + d * 1e-3 * t))
}

/// Vapour pressure of the pure liquid metal. 419.53 to 2400 °C.
///
/// Zinc within 8 % to 1227 °C, 25 % above. Cadmium is an upper value: the fit overshoots above its boiling point.
/// The others within 15 %.
///
/// # Errors
/// A temperature outside the range, or an element without a published fit (Zn, Cd, Ag, Pb, Cu, Au, In, Sn, Ni, Pd
/// have one).
pub fn vapour_pressure(element: Element, at: Celsius) -> Result<Estimate<Millibars>, PhysicsError> {
    let t = kelvin(at)?;
    let p = pure_pascals(element, t).ok_or(PhysicsError::NoData { what: "vapour pressure", element })?;
    let (low, high, source, weak) = match element {
        Element::Zn if at.get() <= ZINC_CHECKED => (0.92, 1.08, ZINC, None),
        Element::Zn => (0.75, 1.25, ZINC, Some("beyond the range in which the formula was checked")),
        Element::Cd => {
            (0.55, 1.02, ALCOCK, Some("the fit overshoots at casting temperatures: an upper value"))
        }
        _ => (0.85, 1.15, ALCOCK, None),
    };
    let mbar = |share: f64| Millibars::from_pascals(p * share);
    let mut out = Estimate::new(mbar(1.0), mbar(low), mbar(high), source);
    out.weak = weak;
    Ok(out)
}

const ZINC: &str = "Kubaschewski and Alcock form, checked against SGTE and CRC data";
const ALCOCK: &str = "Alcock, Itkin and Horrigan 1984";

/// Activity coefficient of zinc in liquid copper-zinc, dimensionless, at a mole fraction of zinc.
///
/// Redlich-Kister form of COST 507 (1998). Assessed for 927 to 1227 °C and up to 0.6; computed for 419.53 to
/// 2400 °C and 0 to 1.
///
/// # Errors
/// A mole fraction or temperature outside the range.
pub fn zinc_activity_in_copper(mole_fraction: f64, at: Celsius) -> Result<f64, PhysicsError> {
    let t = kelvin(at)?;
    let zn = within("mole fraction of zinc", "", mole_fraction, 0.0, 1.0)?;
    let cu = 1.0 - zn;
    let l0 = 12.652_69f64.mul_add(t, -40_695.54);
    let l1 = (-6.554_25f64).mul_add(t, 4402.72);
    let l2 = (-3.254_16f64).mul_add(t, 7818.10);
    let g = cu * cu * (l0 + l1 * (cu - 3.0 * zn) + l2 * (cu - zn) * (cu - 5.0 * zn));
    Ok((g / (GAS_CONSTANT * t)).exp())
}

/// Provisional regular solution of gold, silver and copper with zinc; every other metal counts as copper.
fn zinc_activity_regular(alloy: &Composition, t: f64) -> f64 {
    let au = alloy.mole_fraction(Element::Au);
    let ag = alloy.mole_fraction(Element::Ag);
    let zn = alloy.mole_fraction(Element::Zn);
    let cu = (1.0 - au - ag - zn).max(0.0);
    let cu_zn = 12.7f64.mul_add(t, -40_700.0);
    // RT ln gamma_Zn = (1 - x_Zn) sum x_j W_jZn - sum of the pairs without zinc.
    let with_zinc = cu * cu_zn - ag * 20_000.0 - au * 85_000.0;
    let without = ag * cu * 15_000.0 - au * ag * 16_000.0 - au * cu * 22_000.0;
    let g = (1.0 - zn) * with_zinc - without;
    (g / (GAS_CONSTANT * t)).exp()
}

/// Activity coefficient of zinc in any alloy: the value is that of copper-zinc at the same mole fraction, an upper
/// bound where there is gold; the low end comes from a provisional regular solution.
///
/// # Errors
/// A temperature outside 419.53 to 2400 °C.
pub fn zinc_activity(alloy: &Composition, at: Celsius) -> Result<Estimate, PhysicsError> {
    let value = zinc_activity_in_copper(alloy.mole_fraction(Element::Zn), at)?;
    let other = zinc_activity_regular(alloy, kelvin(at)?);
    let foreign = 1.0 - alloy.mole_fraction(Element::Cu) - alloy.mole_fraction(Element::Zn);
    if foreign < 0.02 {
        return Ok(Estimate::relative(value, 0.15, "COST 507 assessment of copper-zinc, 1998"));
    }
    Ok(Estimate::new(value, other.min(value), other.max(value), "COST 507 assessment of copper-zinc, 1998")
        .with_weak(
            "copper-zinc taken as an upper bound; gold lowers the zinc pressure several times, silver hardly",
        ))
}

/// Partial pressure of zinc or cadmium over the melt. 419.53 to 2400 °C; zero when there is none in the alloy.
///
/// Zinc: `p = gamma x p0` with the activity of [`zinc_activity`], the range widened so that the boiling temperature
/// covers the handbook's. Cadmium: ideal mixing (Raoult), an upper value.
///
/// # Errors
/// A temperature outside the range.
pub fn partial_pressure(
    which: Volatile,
    alloy: &Composition,
    at: Celsius,
) -> Result<Estimate<Millibars>, PhysicsError> {
    let pure = vapour_pressure(which.element(), at)?;
    let x = alloy.mole_fraction(which.element());
    let (value, low, high) = (pure.value.get(), pure.low.get(), pure.high.get());
    match which {
        Volatile::Zinc => {
            let gamma = zinc_activity(alloy, at)?;
            // Handbook boiling points of brass are 20 to 35 K lower: 25 to 30 % more pressure than computed.
            let mut out = Estimate::new(
                Millibars::new(gamma.value * x * value),
                Millibars::new(gamma.low * x * low),
                Millibars::new(gamma.high * x * high * 1.25),
                gamma.source,
            );
            out.weak = gamma.weak.or(pure.weak);
            Ok(out)
        }
        Volatile::Cadmium => Ok(Estimate::new(
            Millibars::new(x * value),
            Millibars::new(0.2 * x * low),
            Millibars::new(x * high),
            pure.source,
        )
        .with_weak("ideal mixing: an upper value, no activity was found")),
    }
}

/// Whether the melt boils.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Boiling {
    /// Even the high end of the vapour pressure stays below the pressure on the melt.
    No,
    /// The range of the vapour pressure spans the pressure on the melt.
    Possible,
    /// Even the low end is above it.
    Yes,
}

/// Compares a vapour pressure with the pressure in the chamber.
///
/// Bubbles form when the vapour pressure exceeds it; `depth` and `density` add the weight of the melt over a bubble
/// in the bath (depth zero for the surface).
///
/// # Errors
/// A pressure outside 0 to 100 000 mbar, a depth outside 0 to 1000 mm, or a density outside 0.1 to 30 g/cm³.
pub fn boiling(
    vapour: Estimate<Millibars>,
    chamber: Millibars,
    depth: Millimetres,
    density: GramsPerCm3,
) -> Result<Boiling, PhysicsError> {
    let chamber = within("chamber pressure", "mbar", chamber.get(), 0.0, 1e5)?;
    let depth = within("depth of the bath", "mm", depth.get(), 0.0, 1000.0)?;
    let density = within("density", "g/cm3", density.get(), 0.1, 30.0)?;
    let needed = Millibars::from_pascals(density * depth * GRAVITY).get() + chamber;
    Ok(if vapour.high.get() <= 0.0 || vapour.high.get() < needed {
        Boiling::No
    } else if vapour.low.get() > needed {
        Boiling::Yes
    } else {
        Boiling::Possible
    })
}

/// The temperature at which the zinc or cadmium of an alloy boils under a pressure, with at least 40 K either way.
///
/// `None` when it does not boil between 419.53 and 2400 °C. `pressure`: 0.001 to 100 000 mbar.
///
/// # Errors
/// A pressure outside the range.
pub fn boiling_temperature(
    which: Volatile,
    alloy: &Composition,
    pressure: Millibars,
) -> Result<Option<Estimate<Celsius>>, PhysicsError> {
    let wanted = within("pressure", "mbar", pressure.get(), 0.001, 1e5)?;
    let solve = |pick: fn(&Estimate<Millibars>) -> f64| -> Result<Option<f64>, PhysicsError> {
        let at = |t: f64| partial_pressure(which, alloy, Celsius::new(t)).map(|p| pick(&p));
        let (mut low, mut high) = (COLDEST, HOTTEST);
        if at(high)? < wanted {
            return Ok(None);
        }
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if at(middle)? < wanted { low = middle } else { high = middle }
        }
        Ok(Some(high))
    };
    let Some(value) = solve(|p| p.value.get())? else { return Ok(None) };
    let early = solve(|p| p.high.get())?.unwrap_or(value).min(value - BOILING_OFF);
    let late = solve(|p| p.low.get())?.unwrap_or(HOTTEST).max(value + BOILING_OFF);
    let weak = partial_pressure(which, alloy, Celsius::new(value))?;
    let mut out = Estimate::new(Celsius::new(value), Celsius::new(early), Celsius::new(late), weak.source);
    out.weak = weak.weak;
    Ok(Some(out))
}

/// The fastest that a metal can evaporate, into a perfect vacuum, in g/(cm²·s):
/// `J = alpha (p - p_far) sqrt(M / 2 pi R T)` (Hertz, Knudsen, Langmuir).
///
/// `pressure` and `far`: 0 to 100 000 mbar; 419.53 to 2400 °C. The bath surface soon runs short of zinc, so this
/// bound does not last.
///
/// # Errors
/// An input outside its range.
pub fn langmuir_flux(
    element: Element,
    pressure: Millibars,
    far: Millibars,
    at: Celsius,
) -> Result<f64, PhysicsError> {
    let t = kelvin(at)?;
    let p = within("vapour pressure", "mbar", pressure.get(), 0.0, 1e5)?;
    let p_far = within("pressure far away", "mbar", far.get(), 0.0, 1e5)?;
    let molar = element.properties().molar_mass / 1000.0;
    let per_m2 =
        ((p - p_far).max(0.0) * 100.0) * (molar / (2.0 * std::f64::consts::PI * GAS_CONSTANT * t)).sqrt();
    // kg/(m² s) to g/(cm² s)
    Ok(per_m2 / 10.0)
}

/// How fast zinc leaves through a resting gas layer, in g/(cm²·s); `None` when it boils.
///
/// Stefan flow, `J = D P/(R T delta) ln(P/(P - p)) M`, with the diffusivity of zinc in argon 2.19e-4 m²/s at 1273 K
/// and one atmosphere (Chapman and Enskog with Svehla's parameters). Order of magnitude: the layer is 5 to 20 mm in a
/// crucible. `chamber`: 0.01 to 100 000 mbar, `layer`: 0.1 to 1000 mm.
///
/// # Errors
/// An input outside its range.
pub fn stefan_flux(
    which: Volatile,
    pressure: Millibars,
    chamber: Millibars,
    at: Celsius,
    layer: Millimetres,
) -> Result<Option<f64>, PhysicsError> {
    let t = kelvin(at)?;
    let p = within("vapour pressure", "mbar", pressure.get(), 0.0, 1e5)?;
    let total = within("chamber pressure", "mbar", chamber.get(), 0.01, 1e5)?;
    within("gas layer", "mm", layer.get(), 0.1, 1000.0)?;
    let delta = metres("gas layer", layer)?;
    if p >= total {
        return Ok(None);
    }
    // The product D P does not depend on the pressure.
    let d_p = 2.19e-4 * (t / 1273.15).powf(1.75) * ATMOSPHERE_PA;
    let molar = which.element().properties().molar_mass / 1000.0;
    let flux = d_p / (GAS_CONSTANT * t * delta) * -(-p / total).ln_1p() * molar / 10.0;
    // Close to boiling the logarithm runs away: no surface gives more than the vacuum bound.
    Ok(Some(flux.min(langmuir_flux(which.element(), pressure, Millibars::new(0.0), at)?)))
}

/// Metal lost to the chamber while molten.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VapourLoss {
    /// How much goes, never more than there is.
    pub mass: Estimate<Grams>,
    /// The same as a share of what the charge holds (0 to 1).
    pub share: Estimate,
    /// Whether it boils, with no depth of bath counted.
    pub boils: Boiling,
}

/// Zinc or cadmium lost from a charge held molten. An order of magnitude: the range takes a gas layer of 5 to 20 mm
/// and stirring that doubles the surface.
///
/// `charge` 0.1 to 100 000 g, `melt_diameter` (inside of the crucible) 1 to 1000 mm, `held` 0 to 86 400 s,
/// `chamber` 0.01 to 100 000 mbar, 419.53 to 2400 °C. Once it boils the vacuum bound is taken.
///
/// # Errors
/// An input outside its range.
pub fn vapour_loss(
    which: Volatile,
    alloy: &Composition,
    charge: Grams,
    at: Celsius,
    chamber: Millibars,
    melt_diameter: Millimetres,
    held: Seconds,
) -> Result<VapourLoss, PhysicsError> {
    let grams = within("charge", "g", charge.get(), 0.1, 1e5)?;
    let diameter = within("melt diameter", "mm", melt_diameter.get(), 1.0, 1000.0)?;
    let seconds = within("time held", "s", held.get(), 0.0, 86_400.0)?;
    let area = std::f64::consts::PI * (diameter / 10.0).powi(2) / 4.0;
    let there = grams * alloy.share(which.element());
    let p = partial_pressure(which, alloy, at)?;
    let lost = |pressure: Millibars, layer: f64, stirring: f64| -> Result<f64, PhysicsError> {
        // Beyond the limit of the flux functions everything is gone at once anyway.
        let pressure = Millibars::new(pressure.get().min(1e5));
        let flux = match stefan_flux(which, pressure, chamber, at, Millimetres::new(layer))? {
            Some(flux) => flux,
            None => langmuir_flux(which.element(), pressure, Millibars::new(0.0), at)?,
        };
        Ok((flux * area * seconds * stirring).min(there))
    };
    let (value, low, high) = (lost(p.value, 10.0, 1.0)?, lost(p.low, 20.0, 1.0)?, lost(p.high, 5.0, 2.0)?);
    let mass = Estimate::new(
        Grams::new(value),
        Grams::new(low),
        Grams::new(high),
        "Stefan flow through a gas layer",
    )
    .with_weak("order of magnitude: depends on the gas flow over the melt");
    let share = if there > 0.0 { mass.map(|m| m / there) } else { mass.map(|_| 0.0) };
    let boils = boiling(p, chamber, Millimetres::new(0.0), GramsPerCm3::new(10.0))?;
    Ok(VapourLoss { mass, share, boils })
}

/// How much the melt may be heated before it boils under the chamber's pressure: boiling temperature less melt
/// temperature, negative when it boils already. `None` when it does not boil below 2400 °C.
///
/// # Errors
/// As for [`boiling_temperature`]; a melt temperature outside -273 to 3000 °C.
pub fn boiling_margin(
    which: Volatile,
    alloy: &Composition,
    at: Celsius,
    chamber: Millibars,
) -> Result<Option<Estimate<Kelvins>>, PhysicsError> {
    let t = within("melt temperature", "C", at.get(), -273.0, 3000.0)?;
    Ok(boiling_temperature(which, alloy, chamber)?.map(|boils| boils.map(|b| b - t)))
}
