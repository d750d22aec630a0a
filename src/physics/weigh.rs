//! Weighing: metal from wax, density of an alloy, porosity from weighing in water.
//!
//! Water: G. S. Kell, J. Chem. Eng. Data 20 (1975) 97, within 0.003 kg/m³ of IAPWS-95. Air: the simplified formula of
//! OIML R 111, within 0.001 kg/m³ of CoolProp's humid air.

use crate::units::{Celsius, Grams, GramsPerCm3, Millibars};

use super::error::within;
use super::{Composition, Element, Estimate, PhysicsError};

/// Density of casting wax in g/cm³: injection wax 0.93 to 0.98.
pub fn wax_density() -> Estimate<GramsPerCm3> {
    Estimate::plus_minus(GramsPerCm3::new(0.95), 0.03, "common practice")
        .with_weak("carving wax to 1.0, filled wax and resin to 1.15: weigh a block of yours")
}

/// Density of the solid alloy at 20 °C: ideal mixing of specific volumes.
///
/// Within 0.5 % for alloys of silver, copper, gold, platinum and palladium, 1.5 % for others. Copper with zinc or
/// silicon is denser than the mix: 2.4 % at 30 % zinc (C26000), 4.7 % at 4.2 % silicon (C87300), taken in proportion.
pub fn density(alloy: &Composition) -> Estimate<GramsPerCm3> {
    let ideal = 1.0 / alloy.mix_by_mass(|p| 1.0 / p.density_solid.get());
    let (cu, zn, si) = (alloy.share(Element::Cu), alloy.share(Element::Zn), alloy.share(Element::Si));
    let noble: f64 = [Element::Au, Element::Ag, Element::Cu, Element::Pt, Element::Pd]
        .map(|e| alloy.share(e))
        .iter()
        .sum();
    let (factor, off, weak) = if cu + zn > 0.95 && (0.01..=0.45).contains(&zn) {
        (0.08f64.mul_add(zn, 1.0), 0.01, Some("corrected for brass by one published density"))
    } else if cu > 0.85 && (0.005..=0.06).contains(&si) {
        let factor = (0.047 / 0.042f64).mul_add(si, 1.0);
        (factor, 0.01, Some("corrected for silicon bronze by one published density"))
    } else if noble > 0.94 {
        (1.0, 0.005, None)
    } else {
        (1.0, 0.015, Some("ideal mixing is known to 1.5 % in this alloy"))
    };
    let mut out =
        Estimate::relative(GramsPerCm3::new(ideal * factor), off, "ideal mixing of handbook densities");
    out.weak = weak;
    out
}

/// What to melt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MetalNeeded {
    /// In the place of the wax.
    pub casting: Estimate<Grams>,
    /// For the button that feeds it.
    pub button: Estimate<Grams>,
    /// Both together.
    pub total: Estimate<Grams>,
}

/// Metal for a wax tree: `wax * density/wax density`, and a button of 10 to 25 % of the total (15 % taken).
///
/// `wax` is all that turns to metal, sprues included: 0.001 to 100 000 g. Densities 0.1 to 30 g/cm³. The button's share may
/// be given: 0 to 0.8.
///
/// # Errors
/// An input outside its range.
pub fn metal_from_wax(
    wax: Grams,
    alloy_density: Estimate<GramsPerCm3>,
    wax_density: Estimate<GramsPerCm3>,
    button_share: Option<f64>,
) -> Result<MetalNeeded, PhysicsError> {
    let wax = within("wax", "g", wax.get(), 0.001, 1e5)?;
    for d in [alloy_density, wax_density] {
        for end in [d.value, d.low, d.high] {
            within("density", "g/cm3", end.get(), 0.1, 30.0)?;
        }
    }
    let (s, s_low, s_high) = match button_share {
        Some(share) => {
            let share = within("share of the button", "", share, 0.0, 0.8)?;
            (share, share, share)
        }
        None => (0.15, 0.10, 0.25),
    };
    let cast = |metal: GramsPerCm3, wax_d: GramsPerCm3| wax * metal.get() / wax_d.get();
    let (value, low, high) = (
        cast(alloy_density.value, wax_density.value),
        cast(alloy_density.low, wax_density.high),
        cast(alloy_density.high, wax_density.low),
    );
    let total = |cast: f64, share: f64| cast / (1.0 - share);
    let with = |v: f64, l: f64, h: f64, source| {
        let mut e = Estimate::new(Grams::new(v), Grams::new(l), Grams::new(h), source);
        e.weak = wax_density.weak;
        e
    };
    let (t, t_low, t_high) = (total(value, s), total(low, s_low), total(high, s_high));
    Ok(MetalNeeded {
        casting: with(value, low, high, "volume of the wax"),
        button: with(t - value, t_low - low, t_high - high, "common practice"),
        total: with(t, t_low, t_high, "volume of the wax, button by common practice"),
    })
}

/// Density of air-free water in kg/m³, 0 to 100 °C, within 0.005 to 40 °C (Kell 1975).
///
/// # Errors
/// A temperature outside the range.
pub fn water_density(at: Celsius) -> Result<f64, PhysicsError> {
    let t = within("water temperature", "C", at.get(), 0.0, 100.0)?;
    let above = [999.839_52, 16.945_176, -7.987_040_1e-3, -46.170_461e-6, 105.563_02e-9, -280.542_53e-12];
    let sum = above.iter().rev().fold(0.0, |sum: f64, c| sum.mul_add(t, *c));
    Ok(sum / 16.879_850e-3f64.mul_add(t, 1.0))
}

/// Density of moist air in kg/m³: 0 to 40 °C, 600 to 1100 mbar, humidity as a share 0 to 1 (OIML, simplified).
///
/// # Errors
/// An input outside its range.
pub fn air_density(at: Celsius, pressure: Millibars, humidity: f64) -> Result<f64, PhysicsError> {
    let t = within("air temperature", "C", at.get(), 0.0, 40.0)?;
    let p = within("air pressure", "mbar", pressure.get(), 600.0, 1100.0)?;
    let h = within("humidity", "", humidity, 0.0, 1.0)? * 100.0;
    Ok((0.348_48 * p - 0.009 * h * (0.061 * t).exp()) / (273.15 + t))
}

/// A weighing in air and in water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Immersion {
    /// Weight in air.
    pub in_air: Grams,
    /// Weight hung in water.
    pub in_water: Grams,
    /// Temperature of the water.
    pub water: Celsius,
    /// Standard uncertainty of each weighing; 0.001 g for a milligram balance.
    pub balance: Grams,
    /// Density of the air, kg/m³; 1.2 will do.
    pub air: f64,
}

impl Immersion {
    /// A weighing on a milligram balance in common air.
    pub fn new(in_air: Grams, in_water: Grams, water: Celsius) -> Self {
        Self { in_air, in_water, water, balance: Grams::new(0.001), air: 1.2 }
    }

    /// Density by Archimedes with the buoyancy of air: `m_a/(m_a - m_w) (rho_w - rho_a) + rho_a`.
    ///
    /// The range is two standard uncertainties (95 %): both weighings and 1 K of the water. Weight in air 0.01 to
    /// 100 000 g, water 0 to 100 °C, balance 0 to 10 g, air 0 to 2 kg/m³; the density must come out between 1.1 and 30.
    /// Pores open to the water are not seen.
    ///
    /// # Errors
    /// An input outside its range, or a weight in water that no metal can have.
    pub fn density(&self) -> Result<Estimate<GramsPerCm3>, PhysicsError> {
        let m_a = within("weight in air", "g", self.in_air.get(), 0.01, 1e5)?;
        let m_w = within("weight in water", "g", self.in_water.get(), 0.0, 1e5)?;
        let u_m = within("uncertainty of the balance", "g", self.balance.get(), 0.0, 10.0)?;
        let air = within("air density", "kg/m3", self.air, 0.0, 2.0)? / 1000.0;
        let water = water_density(self.water)? / 1000.0;
        let lifted = m_a - m_w;
        if lifted <= m_a / 40.0 {
            return Err(PhysicsError::Contradiction("the weight in water is too near the weight in air"));
        }
        let net = water - air;
        let rho = within("density from weighing", "g/cm3", m_a / lifted * net + air, 1.1, 30.0)?;
        let by_air = net * m_w / (lifted * lifted) * u_m;
        let by_water = net * m_a / (lifted * lifted) * u_m;
        let slope = {
            let t = self.water.get();
            let at = |t: f64| water_density(Celsius::new(t.clamp(0.0, 100.0)));
            (at(t + 0.5)? - at(t - 0.5)?) / 1000.0
        };
        let by_heat = m_a / lifted * slope;
        let u = (by_air * by_air + by_water * by_water + by_heat * by_heat).sqrt();
        // A hopeless weighing keeps a range of physical densities.
        Ok(Estimate::new(
            GramsPerCm3::new(rho),
            GramsPerCm3::new((rho - 2.0 * u).max(0.1)),
            GramsPerCm3::new((rho + 2.0 * u).min(60.0)),
            "Archimedes, water after Kell 1975",
        ))
    }
}

/// Closed porosity as a share, `1 - rho/rho_ref`; below zero when the reference is too low.
///
/// Both densities 0.1 to 60 g/cm³. The reference must be known to 0.1 % for this to mean anything: with the uncertainty
/// of [`density`] nothing below 0.5 % can be told.
///
/// # Errors
/// A density outside the range.
pub fn porosity(
    measured: Estimate<GramsPerCm3>,
    reference: Estimate<GramsPerCm3>,
) -> Result<Estimate, PhysicsError> {
    for d in [measured, reference] {
        for end in [d.value, d.low, d.high] {
            within("density", "g/cm3", end.get(), 0.1, 60.0)?;
        }
    }
    let at = |rho: GramsPerCm3, reference: GramsPerCm3| 1.0 - rho.get() / reference.get();
    let mut out = Estimate::new(
        at(measured.value, reference.value),
        at(measured.high, reference.low),
        at(measured.low, reference.high),
        measured.source,
    );
    out.weak = reference.weak.or(Some("sees closed pores only"));
    Ok(out)
}
