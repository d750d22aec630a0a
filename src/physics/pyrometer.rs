//! What a pyrometer with the wrong emissivity shows.
//!
//! Planck's law, which has a closed answer for one narrow band; Wien's form beside it for the usual short wavelengths.

use crate::units::Celsius;

use super::error::within;
use super::{Element, Estimate, PhysicsError};

/// Second radiation constant in µm·K (CODATA 2018).
pub const C2: f64 = 14_387.769;

/// The temperature shown for a true temperature, when the set emissivity is not the true one (Planck).
///
/// True temperature 100 to 3500 °C, wavelength 0.4 to 20 µm, emissivities 0.01 to 1. The same function turns a reading
/// into the true temperature: see [`true_temperature`].
///
/// # Errors
/// An input outside its range.
pub fn reading(
    true_temperature: Celsius,
    wavelength: f64,
    set: f64,
    actual: f64,
) -> Result<Celsius, PhysicsError> {
    let (x, set, actual) = checked(true_temperature, wavelength, set, actual)?;
    // actual/(e^x - 1) = set/(e^y - 1)
    let y = (set / actual * x.exp_m1()).ln_1p();
    Ok(Celsius::from_kelvin(C2 / wavelength / y))
}

/// The true temperature for a reading: the other way round. Ranges as in [`reading`].
///
/// # Errors
/// An input outside its range.
pub fn true_temperature(
    shown: Celsius,
    wavelength: f64,
    set: f64,
    actual: f64,
) -> Result<Celsius, PhysicsError> {
    reading(shown, wavelength, actual, set)
}

/// The temperature shown, by Wien's form: `1/T_read = 1/T + (lambda/c2) ln(set/actual)`.
///
/// Good to 1 % while wavelength times temperature stays below 3000 µm·K. Ranges as in [`reading`].
///
/// # Errors
/// An input outside its range, or one that would show no finite temperature.
pub fn reading_by_wien(
    true_temperature: Celsius,
    wavelength: f64,
    set: f64,
    actual: f64,
) -> Result<Celsius, PhysicsError> {
    let (_, set, actual) = checked(true_temperature, wavelength, set, actual)?;
    let inverse = 1.0 / true_temperature.kelvin() + wavelength / C2 * (set / actual).ln();
    if inverse < 1e-5 {
        return Err(PhysicsError::Contradiction("Wien's form breaks down here: use Planck's"));
    }
    Ok(Celsius::from_kelvin(1.0 / inverse))
}

/// `c2/(lambda T)` and the emissivities, all in range.
fn checked(t: Celsius, wavelength: f64, set: f64, actual: f64) -> Result<(f64, f64, f64), PhysicsError> {
    within("temperature", "C", t.get(), 100.0, 3500.0)?;
    let lambda = within("wavelength", "um", wavelength, 0.4, 20.0)?;
    let set = within("emissivity that is set", "", set, 0.01, 1.0)?;
    let actual = within("true emissivity", "", actual, 0.01, 1.0)?;
    Ok((C2 / (lambda * t.kelvin()), set, actual))
}

/// Emissivity of the bright liquid metal at 0.65 µm; `None` where no figure was found.
///
/// G. K. Burgess, R. G. Waltenberg, Bull. Bureau of Standards 11 (1915) 591 (from memory), within a third. At 1 µm
/// silver is nearer to 0.04: practically unreadable.
pub fn bright_emissivity(metal: Element) -> Option<Estimate> {
    let value = match metal {
        Element::Au => 0.22,
        Element::Ag => 0.07,
        Element::Cu => 0.15,
        Element::Ni | Element::Pd | Element::Fe => 0.37,
        Element::Pt => 0.38,
        _ => return None,
    };
    Some(
        Estimate::relative(value, 0.33, "Burgess and Waltenberg 1915 (from memory)")
            .with_weak("changes with wavelength and alloy"),
    )
}

/// Emissivity of a melt under oxide or flux, 0.3 to 0.8 at any short wavelength (thermography tables: oxidised copper 0.6
/// to 0.8).
pub fn skinned_emissivity() -> Estimate {
    Estimate::new(0.5, 0.3, 0.8, "thermography tables").with_weak("depends on the skin")
}
