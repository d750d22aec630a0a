//! Figures of the sheet against the alloy's windows.

use super::super::field::Field;
use super::{Computed, Job};
use crate::physics::Element;
use crate::rules::{Section, Window};
use crate::units::{Celsius, Dimension};

fn temperature(value: f64) -> String {
    Dimension::Temperature.show(value)
}

fn span(value: f64) -> String {
    format!("{} K", crate::units::round(value, 0))
}

pub(super) fn superheat(job: Job<'_>) -> Option<Computed> {
    let melt = job.celsius(Field::MeltTemperature)?;
    let liquidus = job.alloy()?.liquidus;
    let over = (melt - liquidus).get();
    let side = if over >= 0.0 { "over" } else { "under" };
    let says = format!("melt at {melt}, {} {side} the liquidus of {liquidus}", span(over.abs()));
    Some(Computed::exact(over, says))
}

/// Silver is usually set to this in a closed tilting caster that melts under vacuum and casts under pressure, whatever
/// the section: common practice.
const CLOSED_CASTER_SILVER: Celsius = Celsius::new(1060.0);

/// How far the flask stays below the solidus.
pub(super) fn flask_under_solidus(job: Job<'_>) -> Option<Computed> {
    let flask = job.celsius(Field::FlaskTemperature)?;
    let solidus = job.alloy()?.solidus;
    let under = (solidus - flask).get();
    let says = format!("flask at {flask}, {} under the solidus of {solidus}", span(under));
    Some(Computed::exact(under, says))
}

pub(super) fn melt_above(job: Job<'_>) -> Option<Computed> {
    let melt = job.get(Field::MeltTemperature)?;
    let alloy = job.alloy()?;
    let (section, mut window) = window(&alloy.melt, job.heavy_section())?;
    if job.fact("method") == Some("vacuum-pressure") && alloy.composition.base() == Element::Ag {
        let usual = CLOSED_CASTER_SILVER.get().max(window.high.get());
        window.high = Celsius::new(usual);
    }
    Some(against("melt", melt, section, window, melt - window.high.get()))
}

pub(super) fn melt_below(job: Job<'_>) -> Option<Computed> {
    let melt = job.get(Field::MeltTemperature)?;
    let (section, window) = window(&job.alloy()?.melt, job.thin_section())?;
    Some(against("melt", melt, section, window, window.low.get() - melt))
}

pub(super) fn flask_above(job: Job<'_>) -> Option<Computed> {
    let flask = job.get(Field::FlaskTemperature)?;
    let (section, window) = window(&job.alloy()?.flask, job.heavy_section())?;
    Some(against("flask", flask, section, window, flask - window.high.get()))
}

pub(super) fn flask_below(job: Job<'_>) -> Option<Computed> {
    let flask = job.get(Field::FlaskTemperature)?;
    let (section, window) = window(&job.alloy()?.flask, job.thin_section())?;
    Some(against("flask", flask, section, window, window.low.get() - flask))
}

/// The window of a section. With the section not known, the whole span of all sections, so that only what is wrong
/// for every piece counts as wrong.
fn window(
    windows: &std::collections::BTreeMap<Section, Window>,
    section: Option<Section>,
) -> Option<(Option<Section>, Window)> {
    if let Some(section) = section
        && let Some(window) = windows.get(&section)
    {
        return Some((Some(section), *window));
    }
    let low = windows.values().map(|w| w.low).min_by(|a, b| a.get().total_cmp(&b.get()))?;
    let high = windows.values().map(|w| w.high).max_by(|a, b| a.get().total_cmp(&b.get()))?;
    Some((None, Window { low, high }))
}

fn against(what: &str, value: f64, section: Option<Section>, window: Window, signed: f64) -> Computed {
    let pieces = section.map_or_else(|| "any piece".to_owned(), |s| format!("{} pieces", s.word()));
    let low = crate::units::round(window.low.get(), 0);
    let usual = format!("usual for {pieces} is {low} to {}", temperature(window.high.get()));
    let place = if value > window.high.get() {
        format!("{} above the window", span(value - window.high.get()))
    } else if value < window.low.get() {
        format!("{} below the window", span(window.low.get() - value))
    } else {
        "inside the window".to_owned()
    };
    Computed::exact(signed, format!("{what} at {}, {place} ({usual})", temperature(value)))
}

pub(super) fn quench_before(job: Job<'_>) -> Option<Computed> {
    let (earliest, _) = job.alloy()?.quench_after?;
    let after = job.seconds(Field::QuenchAfter)?;
    let says = format!("quenched after {after}; advised is not before {earliest}");
    Some(Computed::exact(earliest.get() - after.get(), says))
}

pub(super) fn quench_after(job: Job<'_>) -> Option<Computed> {
    let (_, latest) = job.alloy()?.quench_after?;
    let after = job.seconds(Field::QuenchAfter)?;
    let says = format!("quenched after {after}; advised is not after {latest}");
    Some(Computed::exact(after.get() - latest.get(), says))
}

pub(super) fn revert_over(job: Job<'_>) -> Option<Computed> {
    let revert = job.get(Field::Revert)?;
    let limit = job.alloy()?.revert_limit?;
    let show = |v| Dimension::Share.show(v);
    let says = format!("{} reused metal; up to {} is usual for this alloy", show(revert), show(limit));
    Some(Computed::exact(revert - limit, says))
}
