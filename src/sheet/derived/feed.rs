//! Feeding and weight: gates against sections, metal against wax.

use super::super::field::Field;
use super::{Computed, Job, melt};
use crate::physics::Estimate;
use crate::physics::feed::{FEEDER_YIELD, GateVerdict, feed_need, gate};
use crate::physics::freeze::Shape;
use crate::physics::weigh;
use crate::units::{Dimension, Grams, GramsPerCm3, figures};

/// Share of a hot main sprue that it can give: 0.2 to 0.3, from memory.
const HOT_SPRUE_YIELD: f64 = 0.25;

/// Density of the alloy: the published one, else from the composition.
fn density(job: Job<'_>) -> Option<Estimate<GramsPerCm3>> {
    let alloy = job.alloy()?;
    Some(match alloy.density {
        Some(density) => Estimate::relative(density, 0.005, "alloy table"),
        None => weigh::density(&alloy.composition),
    })
}

fn wax_density(job: Job<'_>) -> Estimate<GramsPerCm3> {
    match job.get(Field::WaxDensity) {
        Some(d) => Estimate::exact(GramsPerCm3::new(d), "process sheet"),
        None => weigh::wax_density(),
    }
}

pub(super) fn gate_section(job: Job<'_>) -> Option<Computed> {
    let gate = job.millimetres(Field::Gate)?;
    let heaviest = job.millimetres(Field::Heaviest)?;
    let ratio = gate.get() / heaviest.get();
    let says = format!(
        "gate of {gate} on a section of {heaviest}, {} of it",
        Dimension::Share.show((ratio * 100.0).round() / 100.0)
    );
    Some(Computed::exact(ratio, says))
}

pub(super) fn gate_modulus(job: Job<'_>) -> Option<Computed> {
    let width = job.millimetres(Field::Gate)?;
    let heaviest = job.millimetres(Field::Heaviest)?;
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
    let charge = job.get(Field::Charge)?;
    let wax = job.grams(Field::TreeWax)?;
    let needed = weigh::metal_from_wax(wax, density(job)?, wax_density(job), None).ok()?.casting;
    let ratio: Estimate = needed.map(|needed| charge / needed);
    let says = format!(
        "charge of {}; the tree alone takes {}, and the button comes on top",
        Grams::new(charge),
        needed.show_as(Dimension::Mass)
    );
    Some(Computed::range(ratio, says))
}

/// Weight of the pieces in metal, and of all that can feed them: sprues of the tree and the button.
fn pieces_and_feed(job: Job<'_>) -> Option<(Estimate<Grams>, Estimate<Grams>)> {
    let pieces = job.get(Field::Pieces).filter(|p| *p > 0.0)?;
    let tree = job.get(Field::TreeWax)?;
    let times = metal_for_wax(job)?;
    let button = job.get(Field::Button).unwrap_or(0.0);
    Some((times.map(|t| t * pieces), times.map(|t| t * (tree - pieces) + button)))
}

/// Grams of metal in the place of a gram of wax.
fn metal_for_wax(job: Job<'_>) -> Option<Estimate> {
    let (metal, wax) = (density(job)?, wax_density(job));
    Some(Estimate::new(
        metal.value.get() / wax.value.get(),
        metal.low.get() / wax.high.get(),
        metal.high.get() / wax.low.get(),
        metal.source,
    ))
}

pub(super) fn feed_mass(job: Job<'_>) -> Option<Computed> {
    let (pieces, feed) = pieces_and_feed(job)?;
    let ratio = over(&feed, &pieces);
    let says = format!(
        "button and tree hold {} to {} of pieces",
        feed.show_as(Dimension::Mass),
        pieces.show_as(Dimension::Mass)
    );
    Some(Computed::range(ratio, says))
}

/// Feed over pieces. Both grow with the same densities, so their ends go together.
fn over(feed: &Estimate<Grams>, pieces: &Estimate<Grams>) -> Estimate {
    Estimate::new(
        feed.value.get() / pieces.value.get(),
        feed.low.get() / pieces.low.get(),
        feed.high.get() / pieces.high.get(),
        feed.source,
    )
}

/// Feed metal against what freezing and superheat ask for, by the yield of a plain feeder (0.14) to that of a hot sprue.
pub(super) fn feed_volume(job: Job<'_>) -> Option<Computed> {
    let (pieces, feed) = pieces_and_feed(job)?;
    let alloy = job.alloy()?;
    let superheat = melt::pour(job)? - alloy.liquidus;
    let rho = density(job)?.value;
    let need = |share| feed_need(&alloy.composition, pieces.value, rho, superheat, share).ok()?.feeder;
    let plain = need(FEEDER_YIELD)?;
    let hot = need(HOT_SPRUE_YIELD)?;
    let wanted = Estimate::new(plain.value, hot.low, plain.high, plain.source);
    let there = feed.value.get() / rho.get();
    let ratio: Estimate = wanted.map(|w: f64| there / w.max(1e-9));
    let says = format!(
        "feed metal of {} cm³; the shrinkage asks for {} cm³ of feeder",
        figures(there, 2),
        wanted.show_as(Dimension::Ratio)
    );
    let mut computed = Computed::range(ratio, says);
    computed.weak =
        Some("freezing shrinkages differ by a point, and what a feeder can give is a rule of thumb");
    Some(computed)
}
