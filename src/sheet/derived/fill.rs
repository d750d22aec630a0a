//! Filling against freezing.

use super::super::field::Field;
use super::{Computed, Job, melt};
use crate::physics::Estimate;
use crate::physics::fill::{
    Detail, FillAnswer, FillCase, FillVerdict, centrifugal_pressure, drive_of, fill, head_pressure,
    vacuum_assist,
};
use crate::physics::freeze::{Shape, freezing_time_of};
use crate::units::{ATMOSPHERE_MBAR, Dimension, Millibars, Millimetres, figures};

/// Head of metal over the middle of a small tree, when the sheet does not say.
const USUAL_HEAD: f64 = 60.0;
/// How far metal runs in a thin detail, when nothing is known: a prong or half a thin shank.
const USUAL_PATH: f64 = 15.0;
/// How much nearer to the axis the metal's surface is than the piece.
const SPUN_DEPTH: f64 = 60.0;

/// Everything that pushes the metal in; `None` when the sheet says nothing of it.
fn drive(job: Job<'_>) -> Option<Estimate<Millibars>> {
    let density = job.metal()?.density_liquid();
    let mut parts = Vec::new();
    if let Some(over) = job.sheet.millibars(Field::CastingPressure) {
        parts.push(Estimate::exact(over, "process sheet"));
    }
    if let Some(flask) = job.sheet.millibars(Field::PourVacuum) {
        parts.push(vacuum_assist(Millibars::new(ATMOSPHERE_MBAR), flask).ok()?);
    }
    if let (Some(speed), Some(radius)) = (job.sheet.get(Field::SpinSpeed), job.sheet.get(Field::ArmRadius)) {
        let inner = Millimetres::new((radius - SPUN_DEPTH).max(1.0));
        let spun = centrifugal_pressure(density, inner, Millimetres::new(radius), speed).ok()?;
        parts.push(Estimate::relative(spun, 0.3, "rotation of a liquid column"));
    }
    let head = job.sheet.get(Field::Head);
    if parts.is_empty() && head.is_none() && job.fact("method") != Some("gravity") {
        return None;
    }
    let head = head_pressure(density, Millimetres::new(head.unwrap_or(USUAL_HEAD))).ok()?;
    parts.push(Estimate::exact(head, "head of metal"));
    drive_of(&parts).ok()
}

fn answer(job: Job<'_>) -> Option<(Millimetres, FillAnswer)> {
    let size = job.sheet.millimetres(Field::Thinnest)?;
    let metal = job.metal()?;
    let mould = job.mould();
    let case = FillCase {
        metal: &metal,
        mould: &mould,
        pour: melt::pour(job)?,
        flask: job.sheet.celsius(Field::FlaskTemperature)?,
        detail: Detail::Wire,
        size,
        path: Millimetres::new(USUAL_PATH),
        drive: drive(job)?,
    };
    Some((size, fill(&case).ok()?))
}

pub(super) fn margin(job: Job<'_>) -> Option<Computed> {
    let size = job.sheet.millimetres(Field::Thinnest)?;
    let least = crate::physics::fill::least_section_range(&job.metal()?, drive(job)?, Detail::Wire).ok()?;
    let ratio: Estimate = least.map(|l| size.get() / l.max(1e-6));
    let says = format!(
        "thinnest section {size}; this drive fills a wire from {} on",
        least.show_as(Dimension::Length)
    );
    Some(Computed::range(ratio, says))
}

pub(super) fn over_freeze(job: Job<'_>) -> Option<Computed> {
    let (size, answer) = answer(job)?;
    let verdict = match answer.verdict {
        FillVerdict::Comfortable => "fills well before it freezes",
        FillVerdict::Marginal => "fills only just before it freezes",
        FillVerdict::Misrun => "freezes before it is full",
        FillVerdict::DoesNotEnter => "is not entered at all under this drive",
    };
    let says =
        format!("a section of {size} {verdict} (fill over freezing time {})", figures(answer.ratio.value, 2));
    let mut computed = Computed::range(answer.ratio, says);
    computed.weak = Some("the mould's heat uptake is known to 20 %, so freezing times to 40 %");
    Some(computed)
}

pub(super) fn freeze_heaviest(job: Job<'_>) -> Option<Computed> {
    let heaviest = job.sheet.millimetres(Field::Heaviest)?;
    let pour = melt::pour(job)?;
    let flask = job.sheet.celsius(Field::FlaskTemperature)?;
    let time = freezing_time_of(Shape::Plate(heaviest), &job.metal()?, pour, flask, &job.mould()).ok()?;
    let says = format!("a section of {heaviest} takes {} to freeze", time.show_as(Dimension::Duration));
    Some(Computed {
        value: time.value.get(),
        low: time.low.get(),
        high: time.high.get(),
        says,
        weak: time.weak,
    })
}
