//! The mould: how hot its wall gets, what gas it gives, how long its core lags behind the oven.

use super::super::field::Field;
use super::{Computed, Job, melt};
use crate::physics::mould::{MouldState, WallExposure, breakdown_pressure, wall_exposure};
use crate::physics::{heat, soak};
use crate::units::{Dimension, Millimetres, figures};

/// Modulus of a medium ring shank, when the sheet does not give the heaviest section.
const USUAL_MODULUS: f64 = 1.0;

pub(super) fn wall_temperature(job: Job<'_>) -> Option<Computed> {
    let pour = melt::pour(job)?;
    let flask = job.sheet.celsius(Field::FlaskTemperature)?;
    let wall = heat::wall_temperature(&job.metal()?, pour, flask, &job.mould()).ok()?;
    let says = format!(
        "the mould wall comes to {} as the metal goes in",
        Dimension::Temperature.show(wall.value.get())
    );
    Some(Computed {
        value: wall.value.get(),
        low: wall.low.get(),
        high: wall.high.get(),
        says,
        weak: wall.weak,
    })
}

fn exposure(job: Job<'_>) -> Option<WallExposure> {
    let pour = melt::pour(job)?;
    let flask = job.sheet.celsius(Field::FlaskTemperature)?;
    let modulus = job.sheet.get(Field::Heaviest).map_or(USUAL_MODULUS, |d| d / 2.0);
    wall_exposure(&job.metal()?, Millimetres::new(modulus), pour, flask, &job.mould(), MouldState::Clean).ok()
}

/// Gas of a clean gypsum mould: at the wall's peak when that lasts a second or more, else at the liquidus.
pub(super) fn gas(job: Job<'_>) -> Option<Computed> {
    if job.binder() != Some("gypsum") {
        return None;
    }
    let (pressure, wall) = match exposure(job) {
        Some(e) if e.peak_for.value.get() >= 1.0 => (e.peak_pressure, e.peak.value),
        Some(e) => (e.plateau_pressure, job.alloy()?.liquidus),
        // Too hot a metal for the freezing formula: the wall is as hot as the metal.
        None => {
            let pour = melt::pour(job)?;
            (breakdown_pressure(MouldState::Clean, pour).ok()?, pour)
        }
    };
    let says = format!(
        "a clean gypsum wall at {wall} gives {} of sulphur gas",
        pressure.show_as(Dimension::Pressure)
    );
    Some(Computed {
        value: pressure.value.get(),
        low: pressure.low.get(),
        high: pressure.high.get(),
        says,
        weak: pressure.weak,
    })
}

pub(super) fn soak_share(job: Job<'_>) -> Option<Computed> {
    let held = job.sheet.seconds(Field::FlaskSoak)?;
    let diameter = job.sheet.millimetres(Field::FlaskDiameter)?;
    let wanted = soak::soak_time(diameter, 0.05).ok()?;
    let share = wanted.map(|w| held.get() / w.max(1.0));
    let says = format!(
        "soaked {held}; the core of a {diameter} flask wants {}, {} times",
        wanted.show_as(Dimension::Duration),
        figures(share.value, 2)
    );
    Some(Computed::range(share, says))
}
