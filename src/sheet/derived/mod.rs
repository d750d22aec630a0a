//! Quantities computed from a sheet. To add one: a function from [`Job`] to [`Computed`], and its line in [`TABLE`].

mod feed;
mod fill;
mod job;
mod melt;
mod mould;
mod windows;

pub use job::{Fields, Job};
pub use melt::{GRAPHITE_HEAT, usual_power};

use super::field::Field;
use crate::physics::Estimate;
use crate::rules::Quantity;
use crate::units::Dimension;

/// A computed quantity: a value, how far it may be off, and a sentence for the caster.
#[derive(Debug, Clone, PartialEq)]
pub struct Computed {
    /// Best value, in the quantity's stored unit.
    pub value: f64,
    /// Low end of what it may be.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// What it means here, in words that can stand after "the sheet says".
    pub says: String,
    /// Why it is weak, when it is.
    pub weak: Option<&'static str>,
}

impl Computed {
    fn exact(value: f64, says: String) -> Self {
        Self { value, low: value, high: value, says, weak: None }
    }

    fn range(estimate: Estimate, says: String) -> Self {
        Self::of(estimate, says)
    }

    /// From an estimate in the stored unit of the quantity.
    fn of<T: crate::physics::Quantity>(estimate: Estimate<T>, says: String) -> Self {
        let number = |x: T| x.number();
        Self {
            value: number(estimate.value),
            low: number(estimate.low),
            high: number(estimate.high),
            says,
            weak: estimate.weak,
        }
    }
}

/// A computed quantity of the catalogue.
pub struct Derived {
    /// Its id in the rules.
    pub id: &'static str,
    /// Its kind of number.
    pub dimension: Dimension,
    /// What it is, in words that can follow "the".
    pub title: &'static str,
    /// `None` when the sheet does not say enough.
    pub compute: fn(Job<'_>) -> Option<Computed>,
}

const fn derived(
    id: &'static str,
    dimension: Dimension,
    title: &'static str,
    compute: fn(Job<'_>) -> Option<Computed>,
) -> Derived {
    Derived { id, dimension, title, compute }
}

/// Every computed quantity.
pub const TABLE: &[Derived] = &[
    derived(
        "flask-under-solidus",
        Dimension::Span,
        "distance of the flask below the solidus",
        windows::flask_under_solidus,
    ),
    derived("superheat", Dimension::Span, "superheat over the liquidus", windows::superheat),
    derived("melt-above-window", Dimension::Span, "melt heat above the alloy's window", windows::melt_above),
    derived("melt-below-window", Dimension::Span, "melt heat below the alloy's window", windows::melt_below),
    derived(
        "flask-above-window",
        Dimension::Span,
        "flask heat above the window for the section",
        windows::flask_above,
    ),
    derived(
        "flask-below-window",
        Dimension::Span,
        "flask heat below the window for the section",
        windows::flask_below,
    ),
    derived(
        "quench-before-window",
        Dimension::Duration,
        "time by which the quench was early",
        windows::quench_before,
    ),
    derived(
        "quench-after-window",
        Dimension::Duration,
        "time by which the quench was late",
        windows::quench_after,
    ),
    derived(
        "revert-over-limit",
        Dimension::Share,
        "reused metal over the alloy's limit",
        windows::revert_over,
    ),
    derived(
        "zinc-boiling",
        Dimension::Ratio,
        "zinc or cadmium pressure over the chamber's",
        melt::zinc_boiling,
    ),
    derived("zinc-loss", Dimension::Share, "share of zinc or cadmium lost while molten", melt::zinc_loss),
    derived("melt-time", Dimension::Duration, "time to melt the charge", melt::melt_time),
    derived(
        "power-share",
        Dimension::Ratio,
        "melting power over what is usual for the metal",
        melt::power_share,
    ),
    derived(
        "oxygen-left",
        Dimension::Ratio,
        "oxygen left by the purge over what the alloy stands",
        melt::oxygen_left,
    ),
    derived(
        "gas-on-freezing",
        Dimension::Ratio,
        "volumes of gas that freezing throws out",
        melt::gas_on_freezing,
    ),
    derived("reading-error", Dimension::Span, "error of the temperature reading", melt::reading_error),
    derived("overshoot", Dimension::Span, "overshoot of the charge", melt::overshoot),
    derived("wall-temperature", Dimension::Temperature, "heat of the mould wall", mould::wall_temperature),
    derived("mould-gas", Dimension::Pressure, "gas pressure of the gypsum at the wall", mould::gas),
    derived(
        "mould-gas-carbon",
        Dimension::Pressure,
        "gas pressure of the gypsum with carbon left in it",
        mould::gas_with_carbon,
    ),
    derived("core-lag", Dimension::Span, "heat of the flask's core over its skin", mould::core_lag),
    derived("mould-room", Dimension::Ratio, "mould between pieces over the depth that heats up", fill::room),
    derived("soak-share", Dimension::Ratio, "soak over what the flask's core needs", mould::soak_share),
    derived("fill-margin", Dimension::Ratio, "thinnest section over the least that fills", fill::margin),
    derived(
        "fill-over-freeze",
        Dimension::Ratio,
        "fill time over freezing time of the thinnest",
        fill::over_freeze,
    ),
    derived(
        "freeze-heaviest",
        Dimension::Duration,
        "freezing time of the heaviest section",
        fill::freeze_heaviest,
    ),
    derived("gate-section", Dimension::Ratio, "gate diameter to the heaviest section", feed::gate_section),
    derived("gate-modulus", Dimension::Ratio, "gate modulus to the heaviest section's", feed::gate_modulus),
    derived(
        "metal-margin",
        Dimension::Ratio,
        "charge over the metal that takes the wax's place",
        feed::metal_margin,
    ),
    derived("feed-mass", Dimension::Ratio, "button and tree to pieces, by weight", feed::feed_mass),
    derived(
        "feed-volume",
        Dimension::Ratio,
        "feed metal over what the shrinkage asks for",
        feed::feed_volume,
    ),
];

/// The catalogue of quantities that rules may speak of: recorded ones first, then computed ones.
pub fn catalogue() -> Vec<Quantity> {
    let recorded = Field::ALL.iter().map(|f| Quantity {
        id: f.id(),
        dimension: f.dimension(),
        title: f.title(),
        recorded: true,
        possible: Some(f.limits().possible),
        spoken: f.spoken(),
    });
    let computed = TABLE.iter().map(|d| Quantity {
        id: d.id,
        dimension: d.dimension,
        title: d.title,
        recorded: false,
        possible: None,
        spoken: &[],
    });
    recorded.chain(computed).collect()
}
