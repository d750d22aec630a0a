//! The step of a remedy that moves a figure of the sheet, chosen by search and not by a fixed text.
//!
//! For each value that the figure may take, the causes get the chances that the sheet with that value gives them, and
//! what holds now is carried over with as little movement as possible ([`Effect::shift`]): a cause stays unless the
//! new figure makes it less likely. The value is chosen that most probably leaves the next cast free of the trouble
//! *and* of what the step may bring; among values within half a point of the best, the smallest step.

use super::effect::{Effect, Harm};
use super::model::Model;
use super::remedy::{Outlook, SMALLEST_GAIN, graded};
use crate::inference::CauseId;
use crate::rules::{Change, Move, RemedyKey, Way};
use crate::sheet::{Field, Job, Sheet, derived};
use crate::units::{Dimension, significant};

/// A figure of the sheet before and after a change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// Which figure.
    pub field: Field,
    /// As recorded.
    pub from: Option<f64>,
    /// As it would be; `None` when the sheet does not say from where.
    pub to: Option<f64>,
    /// The change that the rules name.
    pub change: Change,
    /// Most that suits the thick parts and least that suits the thin ones, where the first is below the second: then
    /// no value suits both, and this one is a bargain between them.
    pub apart: Option<(f64, f64)>,
}

impl Step {
    /// How many steps of the rules' size it goes at once; 1 for a change to a named value.
    pub fn steps(&self) -> f64 {
        match (self.change, self.from, self.to) {
            (Change::By(by), Some(from), Some(to)) if by != 0.0 => (to - from) / by,
            _ => 1.0,
        }
    }
}

/// A remedy with the step chosen for this sheet.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Chosen {
    pub(super) step: Option<Step>,
    pub(super) effect: Effect,
}

/// Most steps of the rules' size that a search goes at once; temperatures go in half steps.
const MOST_STEPS: usize = 5;
/// Parts of the way to a named value that are tried.
const PARTS: usize = 4;
/// A step may be this much worse than the best and still be preferred as smaller.
const HALF_A_POINT: f64 = 0.005;
/// The sheet speaks of a cause when some value in reach changes the cause's chance by this factor; below, the
/// remedy's own grading is the better judge of the causes it names.
const SPEAKS: f64 = 1.2;
/// Changes of a chance below this are rounding.
const ROUNDING: f64 = 1e-12;

/// The remedy with its step; `whole` is what the trouble takes to come, and what the step may bring. `None`: the sheet already stands at the
/// bound, or no value in reach could gain anything.
pub(super) fn choose(
    model: &Model<'_>,
    outlook: &Outlook<'_>,
    sheet: &Sheet,
    remedy: RemedyKey,
    whole: &Harm,
) -> Option<Chosen> {
    let rules = model.rules;
    let as_graded = |step| Chosen { step, effect: graded(model, remedy, |_| true) };
    let Some(moves) = &rules.remedy(remedy).moves else { return Some(as_graded(None)) };
    let Some(field) = Field::find(rules.quantity(moves.quantity).id) else { return Some(as_graded(None)) };
    let change = moves.change;
    let Some(from) = sheet.get(field) else {
        let to = if let Change::To(to) = change { Some(to) } else { None };
        return Some(as_graded(Some(Step { field, from: None, to, change, apart: None })));
    };
    let fits = model.context.holds(rules, &rules.remedy(remedy).condition);
    let tried: Vec<(f64, Vec<f64>)> =
        into_window(model, sheet, field, from, values(sheet, field, moves, from))
            .into_iter()
            .map(|value| (value, partly(model, fits, model.priors_with(&with(sheet, field, value)))))
            .collect();
    if tried.is_empty() {
        return None;
    }
    let governed = Governed::of(model, tried.iter().map(|(_, p)| p), |c| {
        let named = |links: &[crate::rules::Link<crate::rules::CauseKey>]| {
            links.iter().any(|l| model.network.siblings(c).any(|s| s == model.cause(l.to)))
        };
        named(&rules.remedy(remedy).cures) || named(&rules.remedy(remedy).spoils)
    });
    let rest = graded(model, remedy, |c| !governed.has(model, c));
    let effects: Vec<Effect> =
        tried.iter().map(|(_, priors)| rest.then(&governed.effect(model, priors))).collect();
    let most = |e: &Effect| outlook.most_change(whole, &Effect::none(), e).0;
    if effects.iter().all(|e| most(e) < SMALLEST_GAIN) {
        return None;
    }
    let unchanged = outlook.clean_after(&Effect::none(), whole);
    let mut best: Option<(f64, f64, Effect)> = None;
    for ((value, _), effect) in tried.into_iter().zip(effects) {
        let most = unchanged + most(&effect);
        if best.as_ref().is_some_and(|(so_far, ..)| most < so_far + HALF_A_POINT) {
            continue;
        }
        let clean = outlook.clean_after(&effect, whole);
        if best.as_ref().is_none_or(|(so_far, ..)| clean > so_far + HALF_A_POINT) {
            best = Some((clean, value, effect));
        }
    }
    let ends = ends(model, sheet, field, from);
    best.map(|(_, to, effect)| {
        let apart = ends.filter(|(most, least)| most < least && (*most..=*least).contains(&to));
        Chosen { step: Some(Step { field, from: Some(from), to: Some(to), change, apart }), effect }
    })
}

/// A remedy that fits the job only with this chance moves the causes only so far.
fn partly(model: &Model<'_>, fits: f64, mut priors: Vec<f64>) -> Vec<f64> {
    for cause in model.network.cause_ids() {
        let old = model.network.prior(cause);
        let new = &mut priors[cause.index()];
        *new = old + fits * (*new - old);
    }
    priors
}

/// What moving one figure does by way of the sheet alone.
pub fn move_effect(model: &Model<'_>, changed: &Sheet) -> Effect {
    let priors = model.priors_with(changed);
    Governed::of(model, std::iter::once(&priors), |_| false).effect(model, &priors)
}

pub(super) fn with(sheet: &Sheet, field: Field, value: f64) -> Sheet {
    let mut changed = sheet.clone();
    changed.set(field, value);
    changed
}

/// Values in reach of a remedy, the nearest first, none outside its bounds, the possible or what the metal allows.
fn values(sheet: &Sheet, field: Field, moves: &Move, from: f64) -> Vec<f64> {
    let limits = field.limits();
    let low = moves.least.unwrap_or(f64::MIN).max(limits.possible.0);
    let high = moves.most.unwrap_or(f64::MAX).min(limits.possible.1);
    let whole = field.dimension() == Dimension::Count;
    let halves = field.dimension() == Dimension::Temperature;
    #[expect(clippy::cast_precision_loss, reason = "a handful of steps")]
    let wanted: Vec<f64> = match moves.change {
        Change::By(by) if halves => (1..=2 * MOST_STEPS).map(|k| from + by * k as f64 / 2.0).collect(),
        Change::By(by) => (1..=MOST_STEPS).map(|k| from + by * k as f64).collect(),
        Change::To(to) => {
            // As a caster would set it: two figures.
            let part = |k: usize| significant(from + (to - from) * k as f64 / PARTS as f64, 2);
            (1..PARTS).map(part).chain([to]).collect()
        }
    };
    let mut values: Vec<f64> = Vec::new();
    for value in wanted {
        let towards = match moves.change {
            Change::By(by) => by,
            Change::To(to) => to - from,
        };
        let value = if whole { value.round() } else { value }.clamp(low.min(high), high);
        let past = matches!(moves.change, Change::To(to) if (value - to) * towards > 1e-9);
        let ahead = (value - from) * towards > 1e-9 && !past;
        let helps = match moves.way {
            Way::Either => true,
            Way::Up => value > from,
            Way::Down => value < from,
        };
        let new = values.last().is_none_or(|last| (value - last).abs() > 1e-9);
        if ahead && helps && new && metal_allows(sheet, field, value) {
            values.push(value);
        }
    }
    values
}

/// Quantities that say by how much a temperature is out of what is usual for the job: too high, too low.
const WINDOWS: [(Field, &str, &str); 2] = [
    (Field::FlaskTemperature, "flask-above-window", "flask-below-window"),
    (Field::MeltTemperature, "melt-above-window", "melt-below-window"),
];

/// Most that is usual for the heavy parts of the job and least for its thin ones, where the sheet says both.
fn ends(model: &Model<'_>, sheet: &Sheet, field: Field, from: f64) -> Option<(f64, f64)> {
    let (_, above, below) = WINDOWS.iter().find(|(f, ..)| *f == field)?;
    let out = |id: &str| {
        let quantity = derived::TABLE.iter().find(|d| d.id == id)?;
        Some((quantity.compute)(Job::new(sheet, model.rules))?.value)
    };
    Some((from - out(above)?, from + out(below)?))
}

/// Of the values in reach those inside the window, and its near edge with them, where the figure now stands outside:
/// a caster goes into the window and feels his way there, and nobody stops short of it. Where thick and thin parts
/// want windows that do not meet, or no value reaches it, all stay.
fn into_window(model: &Model<'_>, sheet: &Sheet, field: Field, from: f64, values: Vec<f64>) -> Vec<f64> {
    let Some((most, least)) = ends(model, sheet, field, from).filter(|(most, least)| most >= least) else {
        return values;
    };
    let edge = from.clamp(least, most);
    let way = edge - from;
    if way == 0.0 || !values.iter().any(|v| (v - from) / way >= 1.0 - 1e-9) {
        return values;
    }
    let inside = |v: f64| (least - 1e-9..=most + 1e-9).contains(&v);
    let further = values.into_iter().filter(|v| inside(*v) && (v - edge).abs() > 1e-9);
    std::iter::once(edge).chain(further).collect()
}

/// A flask must stay below the solidus and a melt above the liquidus, with a margin each.
fn metal_allows(sheet: &Sheet, field: Field, value: f64) -> bool {
    let Some(alloy) = sheet.alloy() else { return true };
    match field {
        Field::FlaskTemperature => value <= (alloy.solidus - Sheet::FREEZING_MARGIN).get(),
        Field::MeltTemperature => value >= (alloy.liquidus + Sheet::FREEZING_MARGIN).get(),
        _ => true,
    }
}

/// The roots of which the sheet's figure speaks, by their first cause.
struct Governed(Vec<CauseId>);

impl Governed {
    /// `named`: the remedy has a grading of its own for this root.
    fn of<'p>(
        model: &Model<'_>,
        priors: impl Iterator<Item = &'p Vec<f64>>,
        named: impl Fn(CauseId) -> bool,
    ) -> Self {
        let network = &model.network;
        let mut roots: Vec<CauseId> = Vec::new();
        for new in priors {
            for cause in network.cause_ids() {
                let (old, new) = (network.prior(cause), new[cause.index()]);
                let Some(first) = network.siblings(cause).next() else { continue };
                let changed = (new - old).abs() > ROUNDING;
                let speaks = old.max(new) > SPEAKS * old.min(new) || !named(cause);
                if changed && speaks && !roots.contains(&first) {
                    roots.push(first);
                }
            }
        }
        Self(roots)
    }

    fn has(&self, model: &Model<'_>, cause: CauseId) -> bool {
        model.network.siblings(cause).next().is_some_and(|first| self.0.contains(&first))
    }

    fn effect(&self, model: &Model<'_>, priors: &[f64]) -> Effect {
        let mut effect = Effect::none();
        for first in &self.0 {
            let chances: Vec<f64> = model.network.siblings(*first).map(|c| priors[c.index()]).collect();
            effect.shift(&model.network, *first, &chances);
        }
        effect
    }
}
