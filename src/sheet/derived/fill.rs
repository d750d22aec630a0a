//! Filling against freezing.

use super::super::field::Field;
use super::{Computed, Job, melt};
use crate::physics::Estimate;
use crate::physics::fill::{
    Detail, FillAnswer, FillCase, FillVerdict, centrifugal_pressure, drive_of, fill, head_pressure,
    vacuum_assist,
};
use crate::physics::freeze::{Shape, freezing_time, freezing_time_of};
use crate::units::{ATMOSPHERE_MBAR, Dimension, Millibars, Millimetres, Seconds};

/// Head of metal over the middle of a small tree, when the sheet does not say.
const USUAL_HEAD: f64 = 60.0;
/// How far metal runs in a thin detail, when nothing is known: a prong or half a thin shank.
const USUAL_PATH: f64 = 15.0;
/// How much nearer to the axis the metal's surface is than the piece.
const SPUN_DEPTH: f64 = 60.0;

/// Everything that pushes the metal in; `None` when the sheet does not say how hard.
fn drive(job: Job<'_>) -> Option<Estimate<Millibars>> {
    let density = job.metal()?.density_liquid();
    let over = job.millibars(Field::CastingPressure);
    let under = job.millibars(Field::PourVacuum);
    let spun = job.get(Field::SpinSpeed).zip(job.get(Field::ArmRadius));
    let head = job.get(Field::Head);
    // The force that the method lives by must be on the sheet: without it the head alone would look like a misrun.
    let enough = match job.fact("method") {
        Some("vacuum-pressure") => over.is_some(),
        Some("vacuum-assist") => under.is_some(),
        Some("spun") => spun.is_some(),
        Some("gravity") => true,
        _ => over.is_some() || under.is_some() || spun.is_some() || head.is_some(),
    };
    if !enough {
        return None;
    }
    let mut parts = Vec::new();
    if let Some(over) = over {
        parts.push(Estimate::exact(over, "process sheet"));
    }
    if let Some(flask) = under {
        parts.push(vacuum_assist(Millibars::new(ATMOSPHERE_MBAR.max(flask.get())), flask).ok()?);
    }
    if let Some((speed, radius)) = spun {
        let inner = Millimetres::new((radius - SPUN_DEPTH).max(1.0));
        let spun = centrifugal_pressure(density, inner, Millimetres::new(radius), speed).ok()?;
        parts.push(Estimate::relative(spun, 0.3, "rotation of a liquid column"));
    }
    let head = head_pressure(density, Millimetres::new(head.unwrap_or(USUAL_HEAD))).ok()?;
    parts.push(Estimate::exact(head, "head of metal"));
    drive_of(&parts).ok()
}

fn answer(job: Job<'_>) -> Option<(Millimetres, FillAnswer)> {
    let size = job.millimetres(Field::Thinnest)?;
    let metal = job.metal()?;
    let mould = job.mould();
    let case = FillCase {
        metal: &metal,
        mould: &mould,
        pour: melt::pour(job)?,
        flask: job.celsius(Field::FlaskTemperature)?,
        detail: Detail::Wire,
        size,
        path: Millimetres::new(USUAL_PATH),
        drive: drive(job)?,
    };
    Some((size, fill(&case).ok()?))
}

pub(super) fn margin(job: Job<'_>) -> Option<Computed> {
    let size = job.millimetres(Field::Thinnest)?;
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
    let says = format!(
        "a section of {size} {verdict} (fill over freezing time {})",
        answer.ratio.show_as(Dimension::Ratio)
    );
    let mut computed = Computed::range(answer.ratio, says);
    computed.weak = Some("the mould's heat uptake is known to 20 %, so freezing times to 40 %");
    Some(computed)
}

pub(super) fn freeze_heaviest(job: Job<'_>) -> Option<Computed> {
    let heaviest = job.millimetres(Field::Heaviest)?;
    let pour = melt::pour(job)?;
    let flask = job.celsius(Field::FlaskTemperature)?;
    let time = freezing_time_of(Shape::Plate(heaviest), &job.metal()?, pour, flask, &job.mould()).ok()?;
    let says = format!("a section of {heaviest} takes {} to freeze", time.show_as(Dimension::Duration));
    Some(Computed::of(time, says))
}

/// Half the mould between two pieces over the depth that the heat reaches until the heaviest section is solid.
pub(super) fn room(job: Job<'_>) -> Option<Computed> {
    let heaviest = job.millimetres(Field::Heaviest)?;
    let spacing = job.millimetres(Field::Spacing)?;
    let flask = job.celsius(Field::FlaskTemperature)?;
    let modulus = Shape::Plate(heaviest).modulus().ok()?;
    let mould = job.mould();
    let frozen = freezing_time(&job.metal()?, modulus, melt::pour(job)?, flask, &mould, None).ok()?;
    let depth = |t: Seconds| mould.heated_depth(t).ok();
    let (value, low, high) = (depth(frozen.time.value)?, depth(frozen.time.low)?, depth(frozen.time.high)?);
    let heated = Estimate::new(value, low, high, frozen.time.source);
    let ratio: Estimate = heated.map(|d| spacing.get() / 2.0 / d.max(1e-6));
    let says = format!(
        "pieces stand {spacing} apart; the mould heats {} deep before they are solid",
        heated.show_as(Dimension::Length)
    );
    let mut computed = Computed::range(ratio, says);
    computed.weak = frozen.time.weak.or(Some("the mould's heat uptake is known to 20 %"));
    Some(computed)
}
