//! Properties of an alloy by mixing rules, and the bundle of them that freezing and filling need.
//!
//! Heat capacity and latent heat mix by mass (Kopp and Neumann), good to 10 %. Densities mix as specific volumes.
//! The surface tension of an alloy is pulled down towards its component of lowest tension, so the mean by moles is
//! an upper bound: the careful choice when asking whether a section fills.

use crate::units::{Celsius, GramsPerCm3, Millimetres};

use super::error::within;
use super::{Composition, Element, Estimate, PhysicsError};

const MIXING: &str = "mixing by mass after Kopp and Neumann, handbook values of the elements";

/// Mean heat capacity of the solid from 25 °C to its melting range, J/(kg·K), within 10 %.
pub fn heat_capacity_solid(alloy: &Composition) -> Estimate {
    Estimate::relative(alloy.mix_by_mass(|p| p.heat_capacity_solid), 0.10, MIXING)
}

/// Heat capacity of the liquid, J/(kg·K), within 10 %.
pub fn heat_capacity_liquid(alloy: &Composition) -> Estimate {
    Estimate::relative(alloy.mix_by_mass(|p| p.heat_capacity_liquid), 0.10, MIXING)
}

/// Latent heat of freezing, J/kg, within 10 %.
pub fn latent_heat(alloy: &Composition) -> Estimate {
    Estimate::relative(alloy.mix_by_mass(|p| p.latent_heat), 0.10, MIXING)
}

/// Surface tension of the clean melt in N/m, an upper bound.
///
/// The mean by moles of the elements at this temperature; the low end is 25 % lower, since silver, zinc, tin and
/// dissolved oxygen lower it. Oxide skins act the other way and are not modelled. `at`: 0 to 3000 °C; an element
/// extrapolated far from its melting point is held between 0.05 and 3 N/m.
///
/// # Errors
/// A temperature outside the range.
pub fn surface_tension(alloy: &Composition, at: Celsius) -> Result<Estimate, PhysicsError> {
    let t = within("melt temperature", "C", at.get(), 0.0, 3000.0)?;
    let value = alloy.mix_by_moles(|p| {
        p.surface_tension_slope.mul_add(t - p.melting.get(), p.surface_tension).clamp(0.05, 3.0)
    });
    Ok(Estimate::new(value, 0.75 * value, value, "mean by moles of handbook surface tensions")
        .with_weak("an upper bound; 20 % lower is usual, and oxide skins are not modelled"))
}

/// Density of the melt: specific volumes of the liquid elements, mixed by mass, each at this temperature.
///
/// Good to about 2 %; with platinum the low end is 5 % lower, as the handbook's liquid density leaves too little
/// shrinkage. `at`: 0 to 3000 °C.
///
/// # Errors
/// A temperature outside the range.
pub fn density_liquid(alloy: &Composition, at: Celsius) -> Result<Estimate<GramsPerCm3>, PhysicsError> {
    let t = within("melt temperature", "C", at.get(), 0.0, 3000.0)?;
    let volume = alloy
        .mix_by_mass(|p| 1.0 / p.density_slope.mul_add(p.melting.get() - t, p.density_liquid.get()).max(1.0));
    let value = 1.0 / volume;
    let low = value * 0.03f64.mul_add(-alloy.share(Element::Pt), 0.98);
    Ok(Estimate::new(
        GramsPerCm3::new(value),
        GramsPerCm3::new(low),
        GramsPerCm3::new(value * 1.02),
        "CRC liquid densities, ideal mixing",
    ))
}

/// Effusivity of the melt, `sqrt(k rho c)`, in J/(m²·K·s^½): how strongly it imposes its temperature on a wall.
///
/// Handbook order for the base metals, mixed by mass; the answers depend on it only weakly. Within 25 %.
pub fn effusivity(alloy: &Composition) -> Estimate {
    // From conductivity of the liquid (memory), density and heat capacity of the table.
    let value = alloy
        .parts()
        .map(|(e, w)| {
            w * match e {
                Element::Ag => 22_500.0,
                Element::Au => 17_400.0,
                Element::Cu => 25_500.0,
                Element::Pt => 14_000.0,
                _ => 12_000.0,
            }
        })
        .sum();
    Estimate::relative(value, 0.25, "conductivity, density and heat capacity of the liquid base metals")
        .with_weak("conductivity of liquid alloys is known roughly")
}

/// What freezing, filling, melting and mould heat need to know of a metal.
///
/// Holds `solidus <= liquidus` and positive, bounded figures: every constructor checks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CastingMetal {
    solidus: Celsius,
    liquidus: Celsius,
    heat_capacity_solid: f64,
    heat_capacity_liquid: f64,
    latent_heat: f64,
    density_liquid: GramsPerCm3,
    surface_tension: f64,
    effusivity: f64,
}

impl CastingMetal {
    /// From a composition by the mixing rules, with its solidus and liquidus (from a table or from
    /// [`super::phase`]).
    ///
    /// # Errors
    /// Solidus above liquidus, or a temperature outside 100 to 2900 °C.
    pub fn of(alloy: &Composition, solidus: Celsius, liquidus: Celsius) -> Result<Self, PhysicsError> {
        // Bounds first, so that the density and tension are asked for at a sensible temperature.
        within("liquidus", "C", liquidus.get(), 100.0, 2900.0)?;
        Ok(Self::measured(
            solidus,
            liquidus,
            heat_capacity_solid(alloy).value,
            heat_capacity_liquid(alloy).value,
            latent_heat(alloy).value,
            density_liquid(alloy, liquidus)?.value,
            surface_tension(alloy, liquidus)?.value,
        )?
        .with_effusivity(effusivity(alloy).value))
    }

    /// From figures that the user knows better than the mixing rules: temperatures; heat capacities in J/(kg·K),
    /// 50 to 3000; latent heat in J/kg, 1000 to 2 000 000; liquid density 1 to 25 g/cm³; surface tension in N/m,
    /// 0.05 to 3.
    ///
    /// # Errors
    /// A figure outside its range, or a solidus above the liquidus.
    pub fn measured(
        solidus: Celsius,
        liquidus: Celsius,
        heat_capacity_solid: f64,
        heat_capacity_liquid: f64,
        latent_heat: f64,
        density_liquid: GramsPerCm3,
        surface_tension: f64,
    ) -> Result<Self, PhysicsError> {
        within("solidus", "C", solidus.get(), 20.0, 2900.0)?;
        within("liquidus", "C", liquidus.get(), 100.0, 2900.0)?;
        if solidus > liquidus {
            return Err(PhysicsError::Contradiction("the solidus is above the liquidus"));
        }
        within("heat capacity of the solid", "J/kgK", heat_capacity_solid, 50.0, 3000.0)?;
        within("heat capacity of the liquid", "J/kgK", heat_capacity_liquid, 50.0, 3000.0)?;
        within("latent heat", "J/kg", latent_heat, 1000.0, 2e6)?;
        within("liquid density", "g/cm3", density_liquid.get(), 1.0, 25.0)?;
        within("surface tension", "N/m", surface_tension, 0.05, 3.0)?;
        Ok(Self {
            solidus,
            liquidus,
            heat_capacity_solid,
            heat_capacity_liquid,
            latent_heat,
            density_liquid,
            surface_tension,
            effusivity: 20_000.0,
        })
    }

    /// The same with another effusivity in J/(m²·K·s^½), held between 5000 and 50 000.
    #[must_use]
    pub fn with_effusivity(mut self, effusivity: f64) -> Self {
        if effusivity.is_finite() {
            self.effusivity = effusivity.clamp(5000.0, 50_000.0);
        }
        self
    }

    /// Where it is wholly solid.
    pub fn solidus(&self) -> Celsius {
        self.solidus
    }
    /// Where it begins to freeze.
    pub fn liquidus(&self) -> Celsius {
        self.liquidus
    }
    /// J/(kg·K).
    pub fn heat_capacity_solid(&self) -> f64 {
        self.heat_capacity_solid
    }
    /// J/(kg·K).
    pub fn heat_capacity_liquid(&self) -> f64 {
        self.heat_capacity_liquid
    }
    /// J/kg.
    pub fn latent_heat(&self) -> f64 {
        self.latent_heat
    }
    /// At the liquidus.
    pub fn density_liquid(&self) -> GramsPerCm3 {
        self.density_liquid
    }
    /// N/m, an upper bound where it comes from a mixing rule.
    pub fn surface_tension(&self) -> f64 {
        self.surface_tension
    }
    /// J/(m²·K·s^½).
    pub fn effusivity(&self) -> f64 {
        self.effusivity
    }

    /// A temperature of pouring, checked: from the liquidus to 3000 °C. Colder metal is not a melt.
    pub(crate) fn pour(&self, pour: Celsius) -> Result<f64, PhysicsError> {
        within("pouring temperature", "C", pour.get(), self.liquidus.get(), 3000.0)
    }

    /// Heat per volume that the superheat holds, J/m³.
    pub(crate) fn superheat_per_volume(&self, pour: f64) -> f64 {
        self.density_si() * self.heat_capacity_liquid * (pour - self.liquidus.get())
    }

    /// Heat per volume set free from liquidus to solidus, latent heat included, J/m³.
    pub(crate) fn freezing_heat_per_volume(&self) -> f64 {
        let sensible = self.heat_capacity_solid * (self.liquidus - self.solidus).get();
        self.density_si() * (self.latent_heat + sensible)
    }

    /// kg/m³.
    pub(crate) fn density_si(&self) -> f64 {
        self.density_liquid.get() * 1000.0
    }
}

/// A length in m, checked: 0.001 mm to 10 m.
pub(crate) fn metres(what: &'static str, length: Millimetres) -> Result<f64, PhysicsError> {
    Ok(within(what, "mm", length.get(), 0.001, 10_000.0)? / 1000.0)
}
