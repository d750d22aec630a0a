//! Figures of the sheet against the alloy's windows.

use super::super::field::Field;
use super::{Computed, Job};
use crate::physics::Element;
use crate::rules::{Alloy, Section, Window};
use crate::units::{Celsius, Dimension};
use std::collections::BTreeMap;

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
    let mut usual = Usual::of(job, |a| &a.melt, job.heavy_section())?;
    let silver = job.alloys().any(|a| a.composition.base() == Element::Ag);
    if job.fact("method") == Some("vacuum-pressure") && silver {
        usual.window.high = Celsius::new(CLOSED_CASTER_SILVER.get().max(usual.window.high.get()));
    }
    Some(usual.against("melt", melt, melt - usual.window.high.get()))
}

pub(super) fn melt_below(job: Job<'_>) -> Option<Computed> {
    let melt = job.get(Field::MeltTemperature)?;
    let usual = Usual::of(job, |a| &a.melt, job.thin_section())?;
    Some(usual.against("melt", melt, usual.window.low.get() - melt))
}

pub(super) fn flask_above(job: Job<'_>) -> Option<Computed> {
    let flask = job.get(Field::FlaskTemperature)?;
    let usual = Usual::of(job, |a| &a.flask, job.heavy_section())?;
    Some(usual.against("flask", flask, flask - usual.window.high.get()))
}

pub(super) fn flask_below(job: Job<'_>) -> Option<Computed> {
    let flask = job.get(Field::FlaskTemperature)?;
    let usual = Usual::of(job, |a| &a.flask, job.thin_section())?;
    Some(usual.against("flask", flask, usual.window.low.get() - flask))
}

/// What is usual for a job.
struct Usual {
    window: Window,
    /// The section that it is usual for; any section if it is not known.
    section: Option<Section>,
    /// The alloy is named, and not only its family or metal.
    named: bool,
}

impl Usual {
    /// The window of the alloy for the section. Where the section or the alloy is not known, the whole span of all that
    /// it may be, so that only what is wrong for every one of them counts as wrong.
    fn of(
        job: Job<'_>,
        windows: impl Fn(&Alloy) -> &BTreeMap<Section, Window>,
        section: Option<Section>,
    ) -> Option<Self> {
        let spans = |section: Option<Section>| {
            let of_alloys = job.alloys().flat_map(|alloy| windows(alloy).iter());
            of_alloys.filter(|(s, _)| section.is_none_or(|wanted| wanted == **s)).map(|(_, w)| *w).reduce(
                |a, b| Window {
                    low: if a.low.get() <= b.low.get() { a.low } else { b.low },
                    high: if a.high.get() >= b.high.get() { a.high } else { b.high },
                },
            )
        };
        let named = job.alloy().is_some();
        match section.and_then(|_| spans(section)) {
            Some(window) => Some(Self { window, section, named }),
            None => spans(None).map(|window| Self { window, section: None, named }),
        }
    }

    /// A figure beside what is usual, with how far it is out on the side that counts.
    fn against(&self, what: &str, value: f64, out: f64) -> Computed {
        let (low, high) = (self.window.low.get(), self.window.high.get());
        let pieces = self.section.map_or_else(|| "any piece".to_owned(), |s| format!("{} pieces", s.word()));
        let alloys = if self.named { "" } else { ", alloy not named" };
        let usual = crate::units::round(low, 0);
        let usual = format!("usual for {pieces} is {usual} to {}{alloys}", temperature(high));
        let place = if value > high {
            format!("{} above the window", span(value - high))
        } else if value < low {
            format!("{} below the window", span(low - value))
        } else {
            "inside the window".to_owned()
        };
        Computed::exact(out, format!("{what} at {}, {place} ({usual})", temperature(value)))
    }
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
