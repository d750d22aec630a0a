//! Quantities computed from a sheet. To add one: a function from [`Job`] to [`Computed`], and its line in [`TABLE`].

use super::field::Field;
use super::model::Sheet;
use crate::rules::{Alloy, Quantity, RuleBase, Section, Window};
use crate::units::Dimension;

/// What a computation may look at.
#[derive(Debug, Clone, Copy)]
pub struct Job<'a> {
    /// The sheet.
    pub sheet: &'a Sheet,
    /// The rules, for facts and families.
    pub rules: &'a RuleBase,
}

impl<'a> Job<'a> {
    /// The alloy with its figures.
    pub fn alloy(&self) -> Option<&'a Alloy> {
        self.sheet.alloy()
    }
}

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
    derived("superheat", Dimension::Span, "superheat over the liquidus", superheat),
    derived("melt-above-window", Dimension::Span, "melt heat above the alloy's window", melt_above),
    derived("melt-below-window", Dimension::Span, "melt heat below the alloy's window", melt_below),
    derived(
        "flask-above-window",
        Dimension::Span,
        "flask heat above the window for the section",
        flask_above,
    ),
    derived(
        "flask-below-window",
        Dimension::Span,
        "flask heat below the window for the section",
        flask_below,
    ),
    derived("quench-before-window", Dimension::Duration, "time by which the quench was early", quench_before),
    derived("quench-after-window", Dimension::Duration, "time by which the quench was late", quench_after),
    derived("revert-over-limit", Dimension::Share, "reused metal over the alloy's limit", revert_over),
    derived("gate-section", Dimension::Ratio, "gate diameter to the heaviest section", gate_section),
    derived("feed-mass", Dimension::Ratio, "button and tree to pieces, by weight", feed_mass),
];

/// The catalogue of quantities that rules may speak of: recorded ones first, then computed ones.
pub fn catalogue() -> Vec<Quantity> {
    let recorded = Field::ALL.iter().map(|f| Quantity {
        id: f.id(),
        dimension: f.dimension(),
        title: f.title(),
        recorded: true,
    });
    let computed =
        TABLE.iter().map(|d| Quantity { id: d.id, dimension: d.dimension, title: d.title, recorded: false });
    recorded.chain(computed).collect()
}

fn temperature(value: f64) -> String {
    Dimension::Temperature.show(value)
}

fn span(value: f64) -> String {
    format!("{} K", crate::units::round(value, 0))
}

fn superheat(job: Job<'_>) -> Option<Computed> {
    let melt = job.sheet.celsius(Field::MeltTemperature)?;
    let liquidus = job.alloy()?.liquidus;
    let over = (melt - liquidus).get();
    let side = if over >= 0.0 { "over" } else { "under" };
    let says = format!("melt at {melt}, {} {side} the liquidus of {liquidus}", span(over.abs()));
    Some(Computed::exact(over, says))
}

fn melt_above(job: Job<'_>) -> Option<Computed> {
    let melt = job.sheet.get(Field::MeltTemperature)?;
    let (section, window) = window(&job.alloy()?.melt, job.sheet.heavy_section(job.rules))?;
    Some(against("melt", melt, section, window, melt - window.high.get()))
}

fn melt_below(job: Job<'_>) -> Option<Computed> {
    let melt = job.sheet.get(Field::MeltTemperature)?;
    let (section, window) = window(&job.alloy()?.melt, job.sheet.thin_section(job.rules))?;
    Some(against("melt", melt, section, window, window.low.get() - melt))
}

fn flask_above(job: Job<'_>) -> Option<Computed> {
    let flask = job.sheet.get(Field::FlaskTemperature)?;
    let (section, window) = window(&job.alloy()?.flask, job.sheet.heavy_section(job.rules))?;
    Some(against("flask", flask, section, window, flask - window.high.get()))
}

fn flask_below(job: Job<'_>) -> Option<Computed> {
    let flask = job.sheet.get(Field::FlaskTemperature)?;
    let (section, window) = window(&job.alloy()?.flask, job.sheet.thin_section(job.rules))?;
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

fn quench_before(job: Job<'_>) -> Option<Computed> {
    let (earliest, _) = job.alloy()?.quench_after?;
    let after = job.sheet.seconds(Field::QuenchAfter)?;
    let says = format!("quenched after {after}; advised is not before {earliest}");
    Some(Computed::exact(earliest.get() - after.get(), says))
}

fn quench_after(job: Job<'_>) -> Option<Computed> {
    let (_, latest) = job.alloy()?.quench_after?;
    let after = job.sheet.seconds(Field::QuenchAfter)?;
    let says = format!("quenched after {after}; advised is not after {latest}");
    Some(Computed::exact(after.get() - latest.get(), says))
}

fn revert_over(job: Job<'_>) -> Option<Computed> {
    let revert = job.sheet.get(Field::Revert)?;
    let limit = job.alloy()?.revert_limit?;
    let show = |v| Dimension::Share.show(v);
    let says = format!("{} reused metal; up to {} is usual for this alloy", show(revert), show(limit));
    Some(Computed::exact(revert - limit, says))
}

fn gate_section(job: Job<'_>) -> Option<Computed> {
    let gate = job.sheet.millimetres(Field::Gate)?;
    let heaviest = job.sheet.millimetres(Field::Heaviest)?;
    let ratio = gate.get() / heaviest.get();
    let says = format!(
        "gate of {gate} on a section of {heaviest}, {} of it",
        Dimension::Share.show((ratio * 100.0).round() / 100.0)
    );
    Some(Computed::exact(ratio, says))
}

fn feed_mass(job: Job<'_>) -> Option<Computed> {
    let pieces = job.sheet.get(Field::Pieces).filter(|p| *p > 0.0)?;
    let tree = job.sheet.get(Field::TreeWax)?;
    let density = super::metal::density(job.alloy()?)?;
    let wax = job.sheet.get(Field::WaxDensity).unwrap_or(super::metal::WAX_DENSITY);
    let button = job.sheet.get(Field::Button).unwrap_or(0.0);
    let times = density / wax;
    let feed = (tree - pieces) * times + button;
    let ratio = feed / (pieces * times);
    let says = format!(
        "button and tree hold {} to {} of pieces",
        Dimension::Mass.show(feed),
        Dimension::Mass.show(pieces * times)
    );
    Some(Computed::exact(ratio, says))
}
