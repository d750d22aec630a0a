//! The one error of this layer: an input outside what a formula or a table can carry.

use crate::units::figures;

use super::Element;

/// Why a quantity could not be computed. The text says what is allowed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PhysicsError {
    /// A number below or above what the formula can carry.
    #[error(
        "{what} of {} {unit} is outside what can be computed; allowed is {} to {} {unit}",
        figures(*.value, 4), figures(*.low, 4), figures(*.high, 4)
    )]
    OutOfRange {
        /// Which input.
        what: &'static str,
        /// What it was.
        value: f64,
        /// The unit of the value and of the limits.
        unit: &'static str,
        /// The least that is allowed.
        low: f64,
        /// The most that is allowed.
        high: f64,
    },
    /// An input that is not a number, or infinite.
    #[error("{what} is not a finite number")]
    NotFinite {
        /// Which input.
        what: &'static str,
    },
    /// Inputs that cannot hold together, such as a solidus above the liquidus.
    #[error("{0}")]
    Contradiction(&'static str),
    /// No published figure was found for this element.
    #[error("no published figure for the {what} of {}", .element.name())]
    NoData {
        /// Which property.
        what: &'static str,
        /// Of which element.
        element: Element,
    },
}

/// `value` when it is finite and inside the limits, both included.
pub(crate) fn within(
    what: &'static str,
    unit: &'static str,
    value: f64,
    low: f64,
    high: f64,
) -> Result<f64, PhysicsError> {
    if !value.is_finite() {
        return Err(PhysicsError::NotFinite { what });
    }
    if value < low || value > high {
        return Err(PhysicsError::OutOfRange { what, value, unit, low, high });
    }
    Ok(value)
}
