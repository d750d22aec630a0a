//! The physics behind the verdicts: pure functions, numbers in, numbers out.
//!
//! Imports nothing of the project but [`crate::units`]. Nothing here reads a file, a clock or the environment, and
//! nothing here knows a rule or a defect. What every function promises:
//!
//! * temperatures, pressures, lengths, masses, times, densities and powers come and go in the newtypes of
//!   [`crate::units`]; what has no newtype is a bare number whose unit the document of the function states;
//! * a finite input gives a finite answer, a range, or a [`PhysicsError`] that says what is allowed;
//! * where an input is only roughly known the answer is an [`Estimate`] that carries its range, its source and
//!   what is weak about it, so that the range reaches the person who acts on it.
//!
//! | module | question it answers |
//! |---|---|
//! | [`elements`] | properties of the metals, and what an alloy is made of |
//! | [`alloy`] | heat capacity, latent heat, density, surface tension of an alloy |
//! | [`volatile`] | does zinc or cadmium boil off, how much is lost |
//! | [`purge`] | oxygen left after vacuum and argon cycles, leaks |
//! | [`oxygen`] | gas held by the melt and thrown out on freezing |
//! | [`heat`] | heat data of the mould, temperature of its wall, depth heated |
//! | [`mould`] | breakdown of gypsum-bonded investment at that wall |
//! | [`fill`] | least section that fills, flow speed, how far it runs |
//! | [`freeze`] | freezing time of a section |
//! | [`feed`] | gates, feeders, shrinkage |
//! | [`weigh`] | metal from wax weight, density, porosity from weighing |
//! | [`phase`] | solidus and liquidus |
//! | [`pyrometer`], [`thermocouple`] | how wrong the temperature reading may be |
//! | [`overshoot`], [`melt`] | heating a small charge, energy and time to melt |
//! | [`soak`] | how far the core of a flask lags behind the kiln |

pub mod alloy;
pub mod elements;
pub mod error;
pub mod estimate;
pub mod feed;
pub mod fill;
pub mod freeze;
pub mod heat;
pub mod melt;
pub mod mould;
pub mod overshoot;
pub mod oxygen;
pub mod phase;
pub mod purge;
pub mod pyrometer;
pub mod soak;
pub mod thermocouple;
pub mod volatile;
pub mod weigh;

pub use alloy::CastingMetal;
pub use elements::{Composition, CompositionError, Element};
pub use error::PhysicsError;
pub use estimate::{Estimate, Quantity};

/// Molar gas constant in J/(mol·K), CODATA 2018, exact by definition of the SI.
pub const GAS_CONSTANT: f64 = 8.314_462_618;
/// Standard acceleration of gravity in m/s², exact by convention.
pub const GRAVITY: f64 = 9.806_65;
/// Volume of one mole of ideal gas at 0 °C and 1013.25 mbar, in cm³.
pub const MOLAR_VOLUME_STP: f64 = 22_414.0;
/// One standard atmosphere in Pa.
pub(crate) const ATMOSPHERE_PA: f64 = 101_325.0;
/// Molar mass of oxygen atoms in g/mol.
pub(crate) const OXYGEN_ATOM: f64 = 15.999;
