//! The metal of a sheet: its density.

use crate::rules::Alloy;

/// Density of injection wax in g/cm³, from memory: 0.93 to 0.98 is usual, carving wax and filled wax are heavier.
pub const WAX_DENSITY: f64 = 0.95;

/// Density in g/cm³: the published one, else from the composition.
pub fn density(alloy: &Alloy) -> Option<f64> {
    if let Some(density) = alloy.density {
        return Some(density.get());
    }
    let volume: f64 = alloy.composition.parts().map(|(e, w)| w / e.properties().density_solid.get()).sum();
    (volume > 0.0).then(|| 1.0 / volume)
}
