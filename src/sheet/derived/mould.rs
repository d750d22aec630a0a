//! The mould: how hot its wall gets, what gas it gives, how long its core lags behind the oven.

use super::super::field::Field;
use super::{Computed, Job, melt};
use crate::physics::mould::{MouldState, WallExposure, breakdown_pressure, wall_exposure};
use crate::physics::{Estimate, heat, soak};
use crate::rules::Section;
use crate::units::{Celsius, Dimension, Kelvins, Millibars, Millimetres};

/// Modulus of a ring shank of medium section, when the sheet says nothing of thickness.
const USUAL_MODULUS: f64 = 1.0;
/// The burnout's peak from which on carbon burns off in the usual hours: common practice.
const CLEAN_PEAK: f64 = 690.0;
/// The hold at the peak that a small flask wants to burn clean: common practice.
const CLEAN_HOLD: f64 = 5400.0;
/// Pressure beyond which the equilibrium with carbon is cut off, in mbar.
const MOST_GAS: f64 = 10_000.0;

/// Volume over surface of the heaviest part in mm: a plate of its thickness, else what the word for the section means.
fn modulus(job: Job<'_>) -> f64 {
    match (job.get(Field::Heaviest), job.heavy_section()) {
        (Some(thickness), _) => thickness / 2.0,
        (None, Some(Section::Thin)) => USUAL_MODULUS / 2.0,
        (None, Some(Section::Heavy)) => USUAL_MODULUS * 2.0,
        (None, Some(Section::Medium) | None) => USUAL_MODULUS,
    }
}

pub(super) fn wall_temperature(job: Job<'_>) -> Option<Computed> {
    let pour = melt::pour(job)?;
    let flask = job.celsius(Field::FlaskTemperature)?;
    let wall = heat::wall_temperature(&job.metal()?, pour, flask, &job.mould()).ok()?;
    let says =
        format!("the mould wall comes to {} as the metal goes in", wall.show_as(Dimension::Temperature));
    Some(Computed::of(wall, says))
}

fn exposure(job: Job<'_>, state: MouldState) -> Option<WallExposure> {
    let pour = melt::pour(job)?;
    let flask = job.celsius(Field::FlaskTemperature)?;
    wall_exposure(&job.metal()?, Millimetres::new(modulus(job)), pour, flask, &job.mould(), state).ok()
}

/// Gas of a clean gypsum mould: at the wall's peak when that lasts a second or more, else at the liquidus.
pub(super) fn gas(job: Job<'_>) -> Option<Computed> {
    if job.binder() != Some("gypsum") {
        return None;
    }
    let (pressure, wall) = wall_gas(job, MouldState::Clean)?;
    let says = format!(
        "a clean gypsum wall at {wall} gives {} of sulphur gas",
        pressure.show_as(Dimension::Pressure)
    );
    Some(Computed::of(pressure, says))
}

fn wall_gas(job: Job<'_>, state: MouldState) -> Option<(Estimate<Millibars>, Celsius)> {
    if job.get(Field::FlaskTemperature).is_none() {
        // Whatever the flask: the wall stands at the liquidus until the metal is solid.
        let wall = melt::pour(job).and(job.alloy()).map(|a| a.liquidus)?;
        return Some((breakdown_pressure(state, wall).ok()?, wall));
    }
    Some(match exposure(job, state) {
        Some(e) if e.peak_for.value.get() >= 1.0 => (e.peak_pressure, e.peak.value),
        Some(e) => (e.plateau_pressure, job.alloy()?.liquidus),
        // Too hot a metal for the freezing formula: the wall is as hot as the metal.
        None => {
            let pour = melt::pour(job)?;
            (breakdown_pressure(state, pour).ok()?, pour)
        }
    })
}

/// Gas of a gypsum mould that the burnout on the sheet cannot have burnt clean: nothing when it may be clean.
pub(super) fn gas_with_carbon(job: Job<'_>) -> Option<Computed> {
    if job.binder() != Some("gypsum") {
        return None;
    }
    let cold = job.celsius(Field::BurnoutPeak).filter(|p| p.get() < CLEAN_PEAK);
    let short = job.seconds(Field::BurnoutHold).filter(|h| h.get() < CLEAN_HOLD);
    let why = match (cold, short) {
        (Some(peak), _) => format!("a burnout peak of {peak}"),
        (None, Some(hold)) => format!("only {hold} at the burnout peak"),
        (None, None) => return None,
    };
    let (pressure, wall) = wall_gas(job, MouldState::CarbonLeft)?;
    // Beyond a few atmospheres the equilibrium says no more than "all of it".
    let pressure: Estimate<Millibars> = pressure.map(|p| p.min(MOST_GAS));
    let much = if pressure.value.get() >= MOST_GAS {
        format!("more than {}", Millibars::new(MOST_GAS))
    } else {
        pressure.show_as(Dimension::Pressure)
    };
    let says =
        format!("{why} may leave carbon in the mould; a wall at {wall} then gives {much} of sulphur gas");
    let mut computed = Computed::of(pressure, says);
    computed.weak = Some("whether carbon is left is a guess from the burnout; break a flask and look");
    Some(computed)
}

/// How much hotter the core still is than the skin, after the drop from the burnout's peak and the soak.
pub(super) fn core_lag(job: Job<'_>) -> Option<Computed> {
    let peak = job.celsius(Field::BurnoutPeak)?;
    let flask = job.celsius(Field::FlaskTemperature)?;
    let held = job.seconds(Field::FlaskSoak)?;
    let diameter = job.millimetres(Field::FlaskDiameter)?;
    let core = soak::core_temperature(peak, flask, diameter, held).ok()?;
    let lag: Estimate<Kelvins> = core.map(|c| c - flask.get());
    let says = format!(
        "after {held} the core of the {diameter} flask stands {} off its skin",
        lag.show_as(Dimension::Span)
    );
    Some(Computed::of(lag, says))
}

pub(super) fn soak_share(job: Job<'_>) -> Option<Computed> {
    let held = job.seconds(Field::FlaskSoak)?;
    let diameter = job.millimetres(Field::FlaskDiameter)?;
    let wanted = soak::soak_time(diameter, 0.05).ok()?;
    let share: Estimate = wanted.map(|w| held.get() / w.max(1.0));
    let says = format!(
        "soaked {held}; the core of a {diameter} flask wants {}",
        wanted.show_as(Dimension::Duration)
    );
    Some(Computed::range(share, says))
}
