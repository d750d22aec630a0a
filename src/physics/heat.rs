//! Heat data of moulds, the temperature of the wall that metal touches, and how deep the heat goes.

use crate::units::{Celsius, Millimetres, Seconds};

use super::error::within;
use super::{CastingMetal, Estimate, PhysicsError};

/// How a mould takes heat. The effusivity `sqrt(k rho c)` decides nearly everything and is the weakest figure of
/// this whole layer: freezing times go with its inverse square.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MouldHeat {
    effusivity: Estimate,
    diffusivity: f64,
}

const FLEMINGS: &str = "M. C. Flemings, Solidification Processing, 1974, table 1-1 (from memory)";
const RECALLED: &str = "figure from memory";

impl Default for MouldHeat {
    fn default() -> Self {
        Self::gypsum()
    }
}

impl MouldHeat {
    /// Fired gypsum-bonded silica investment, 500 to 900 °C: 725 +- 150 J/(m²·K·s^½), 3.8e-7 m²/s.
    pub fn gypsum() -> Self {
        let effusivity = Estimate::plus_minus(725.0, 150.0, "estimate from density and handbook ranges")
            .with_weak("no measured heat data of fired investment were found: times are good to 40 %");
        Self { effusivity, diffusivity: 3.8e-7 }
    }

    /// Phosphate-bonded investment; mullite investment stands in for it, 677 within 25 %, 3.2e-7 m²/s.
    pub fn phosphate() -> Self {
        let effusivity = Estimate::relative(677.0, 0.25, FLEMINGS)
            .with_weak("mullite investment stands in for phosphate-bonded: times are good to 50 %");
        Self { effusivity, diffusivity: 3.2e-7 }
    }

    /// Plaster mould: 565 within 15 %, 3.8e-7 m²/s.
    pub fn plaster() -> Self {
        let effusivity = Estimate::relative(565.0, 0.15, FLEMINGS).with_weak(RECALLED);
        Self { effusivity, diffusivity: 3.8e-7 }
    }

    /// Silica sand: 1014 within 15 %, 3.6e-7 m²/s.
    pub fn silica_sand() -> Self {
        let effusivity = Estimate::relative(1014.0, 0.15, FLEMINGS).with_weak(RECALLED);
        Self { effusivity, diffusivity: 3.6e-7 }
    }

    /// A measured mould: effusivity 100 to 5000 J/(m²·K·s^½) with the share it may be off (0 to 0.9), diffusivity
    /// 1e-8 to 1e-5 m²/s.
    ///
    /// # Errors
    /// A figure outside its range.
    pub fn measured(effusivity: f64, off: f64, diffusivity: f64) -> Result<Self, PhysicsError> {
        let b = within("effusivity of the mould", "J/m2Ks^0.5", effusivity, 100.0, 5000.0)?;
        let off = within("uncertainty of the effusivity", "", off, 0.0, 0.9)?;
        let diffusivity = within("diffusivity of the mould", "m2/s", diffusivity, 1e-8, 1e-5)?;
        Ok(Self { effusivity: Estimate::relative(b, off, "as given"), diffusivity })
    }

    /// J/(m²·K·s^½), always between 10 and 10 000.
    pub fn effusivity(&self) -> Estimate {
        self.effusivity
    }

    /// m²/s.
    pub fn diffusivity(&self) -> f64 {
        self.diffusivity
    }

    /// Thermal conductivity in W/(m·K), from the other two.
    pub fn conductivity(&self) -> f64 {
        self.effusivity.value * self.diffusivity.sqrt()
    }

    /// How deep heat has gone after a time, `sqrt(pi a t)`. Time 0 to 1e15 s.
    ///
    /// # Errors
    /// A time outside the range.
    pub fn heated_depth(&self, after: Seconds) -> Result<Millimetres, PhysicsError> {
        let t = within("time", "s", after.get(), 0.0, 1e15)?;
        Ok(Millimetres::new(1000.0 * (std::f64::consts::PI * self.diffusivity * t).sqrt()))
    }
}

/// Temperature at the face of two bodies in perfect contact:
/// `(b_m T_m + b_f T_f)/(b_m + b_f)` (H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids).
///
/// Holds while both are deep compared with the heat's reach, that is until the superheat is gone. Temperatures -273.15
/// to 3500 °C, effusivities 1 to 100 000 J/(m²·K·s^½).
///
/// # Errors
/// An input outside its range.
pub fn contact_temperature(
    one: Celsius,
    one_effusivity: f64,
    other: Celsius,
    other_effusivity: f64,
) -> Result<Celsius, PhysicsError> {
    let t1 = within("temperature", "C", one.get(), -273.15, 3500.0)?;
    let t2 = within("temperature", "C", other.get(), -273.15, 3500.0)?;
    let b1 = within("effusivity", "J/m2Ks^0.5", one_effusivity, 1.0, 1e5)?;
    let b2 = within("effusivity", "J/m2Ks^0.5", other_effusivity, 1.0, 1e5)?;
    Ok(Celsius::new((b1 * t1 + b2 * t2) / (b1 + b2)))
}

/// Temperature of the mould's skin while the melt still has superheat: nearly that of the melt, whatever the flask.
///
/// Flask -50 to 1500 °C. The range covers the effusivities of mould and metal; it is a few kelvin.
///
/// # Errors
/// A melt below its liquidus or above 3000 °C, or a flask outside the range.
pub fn wall_temperature(
    metal: &CastingMetal,
    pour: Celsius,
    flask: Celsius,
    mould: &MouldHeat,
) -> Result<Estimate<Celsius>, PhysicsError> {
    metal.pour(pour)?;
    within("flask temperature", "C", flask.get(), -50.0, 1500.0)?;
    let b = mould.effusivity();
    let at = |metal_share: f64, b_mould: f64| {
        contact_temperature(pour, metal.effusivity() * metal_share, flask, b_mould)
    };
    let mut wall = Estimate::new(
        at(1.0, b.value)?,
        at(0.75, b.high)?,
        at(1.25, b.low)?,
        "Carslaw and Jaeger, two bodies in contact",
    );
    wall.weak = b.weak;
    Ok(wall)
}
