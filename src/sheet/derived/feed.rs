//! Feeding and weight: gates against sections, metal against wax.

use super::super::field::Field;
use super::{Computed, Job};
use crate::physics::Estimate;
use crate::physics::feed::{GateVerdict, gate};
use crate::physics::freeze::Shape;
use crate::physics::weigh;
use crate::units::{Dimension, Grams, GramsPerCm3};

/// Density of the alloy: the published one, else from the composition.
fn density(job: Job<'_>) -> Option<Estimate<GramsPerCm3>> {
    let alloy = job.alloy()?;
    Some(match alloy.density {
        Some(density) => Estimate::relative(density, 0.005, "alloy table"),
        None => weigh::density(&alloy.composition),
    })
}

fn wax_density(job: Job<'_>) -> Estimate<GramsPerCm3> {
    match job.sheet.get(Field::WaxDensity) {
        Some(d) => Estimate::exact(GramsPerCm3::new(d), "process sheet"),
        None => weigh::wax_density(),
    }
}

pub(super) fn gate_section(job: Job<'_>) -> Option<Computed> {
    let gate = job.sheet.millimetres(Field::Gate)?;
    let heaviest = job.sheet.millimetres(Field::Heaviest)?;
    let ratio = gate.get() / heaviest.get();
    let says = format!(
        "gate of {gate} on a section of {heaviest}, {} of it",
        Dimension::Share.show((ratio * 100.0).round() / 100.0)
    );
    Some(Computed::exact(ratio, says))
}

pub(super) fn gate_modulus(job: Job<'_>) -> Option<Computed> {
    let width = job.sheet.millimetres(Field::Gate)?;
    let heaviest = job.sheet.millimetres(Field::Heaviest)?;
    let answer = gate(Shape::Rod(width), Shape::Plate(heaviest)).ok()?;
    let verdict = match answer.verdict {
        GateVerdict::Feeds => "feeds",
        GateVerdict::Marginal => "feeds only just",
        GateVerdict::FreezesFirst => "freezes first on a wide plate",
    };
    let says = format!(
        "gate of {width} on a section of {heaviest} {verdict}: it cools as {} of that section, 1.1 is wanted",
        crate::units::figures(answer.ratio, 2)
    );
    Some(Computed::exact(answer.ratio, says))
}

pub(super) fn metal_margin(job: Job<'_>) -> Option<Computed> {
    let charge = job.sheet.get(Field::Charge)?;
    let wax = job.sheet.grams(Field::TreeWax)?;
    let needed = weigh::metal_from_wax(wax, density(job)?, wax_density(job), None).ok()?;
    let total = match job.sheet.get(Field::Button) {
        Some(button) => needed.casting.map(|m| m + button),
        None => needed.total,
    };
    let ratio = total.map(|needed: f64| charge / needed);
    let says = format!(
        "charge of {}; the wax weight asks for {}",
        Grams::new(charge),
        total.show_as(Dimension::Mass)
    );
    Some(Computed::range(ratio, says))
}

pub(super) fn feed_mass(job: Job<'_>) -> Option<Computed> {
    let pieces = job.sheet.get(Field::Pieces).filter(|p| *p > 0.0)?;
    let tree = job.sheet.get(Field::TreeWax)?;
    let times = density(job)?.value.get() / wax_density(job).value.get();
    let button = job.sheet.get(Field::Button).unwrap_or(0.0);
    let feed = (tree - pieces) * times + button;
    let says = format!(
        "button and tree hold {} to {} of pieces",
        Dimension::Mass.show(feed),
        Dimension::Mass.show(pieces * times)
    );
    Some(Computed::exact(feed / (pieces * times), says))
}
