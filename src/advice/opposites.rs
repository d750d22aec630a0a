//! Two defects that want one figure moved in opposite directions: the window between, or two trees.

use super::effect::{Effect, Harm};
use super::model::Model;
use super::remedy::{Outlook, harm};
use super::step::{move_effect, with};
use crate::rules::{Change, DefectKey};
use crate::sheet::{Field, Sheet};

/// Two defects of the trouble that ask for opposite changes of one figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Opposites {
    /// The figure.
    pub field: Field,
    /// As recorded.
    pub from: f64,
    /// The defect that a lower figure eases, its chance now and at the lowest value tried.
    pub lower: (DefectKey, f64, f64),
    /// The defect that a higher figure eases, its chance now and at the highest value tried.
    pub higher: (DefectKey, f64, f64),
    /// Values between which neither is more than a point above the least that both can have together.
    pub window: (f64, f64),
    /// Chance that at least one of the two comes, at the best value.
    pub at_best: f64,
    /// Even there one of the two comes too often: thick and thin pieces need a tree each.
    pub split: bool,
}

/// Values tried across the range.
const VALUES: usize = 13;
/// Steps of the rules' size to each side.
const REACH: f64 = 4.0;
/// A figure matters to a defect when its chance falls by this much.
const MATTERS: f64 = 0.03;
/// Above this chance of either defect at the best value no common setting is good.
const TOO_OFTEN: f64 = 0.3;
/// The window holds all values within a point of the best.
const A_POINT: f64 = 0.01;

/// Every figure that a remedy may raise and another may lower, and that two defects pull at from both sides.
pub(super) fn opposites(
    model: &Model<'_>,
    sheet: &Sheet,
    outlook: &Outlook<'_>,
    trouble: &[DefectKey],
) -> Vec<Opposites> {
    if trouble.len() < 2 {
        return Vec::new();
    }
    ranges(model, sheet)
        .into_iter()
        .filter_map(|(field, from, low, high)| one(model, sheet, outlook, trouble, field, from, (low, high)))
        .collect()
}

/// Recorded figures with a remedy each way, and how far they may go.
fn ranges(model: &Model<'_>, sheet: &Sheet) -> Vec<(Field, f64, f64, f64)> {
    let rules = model.rules;
    let mut found: Vec<(Field, f64, f64, f64)> = Vec::new();
    for key in rules.remedy_keys() {
        let record = rules.remedy(key);
        let Some(moves) = &record.moves else { continue };
        let Change::By(by) = moves.change else { continue };
        let Some(field) = Field::find(rules.quantity(moves.quantity).id) else { continue };
        let Some(from) = sheet.get(field) else { continue };
        if model.context.holds(rules, &record.condition) <= 0.0 {
            continue;
        }
        let (low, high) = field.limits().possible;
        let metal = sheet.alloy().map(|a| match field {
            Field::FlaskTemperature => (low, (a.solidus - Sheet::FREEZING_MARGIN).get()),
            Field::MeltTemperature => ((a.liquidus + Sheet::FREEZING_MARGIN).get(), high),
            _ => (low, high),
        });
        let (low, high) = metal.unwrap_or((low, high));
        let to = (from + REACH * by)
            .max(moves.least.unwrap_or(f64::MIN).max(low).min(from))
            .min(moves.most.unwrap_or(f64::MAX).min(high).max(from));
        match found.iter_mut().find(|(f, ..)| *f == field) {
            Some((_, _, low, high)) => (*low, *high) = (low.min(to), high.max(to)),
            None => found.push((field, from, from.min(to), from.max(to))),
        }
    }
    found.retain(|(_, from, low, high)| low < from && from < high);
    found
}

fn one(
    model: &Model<'_>,
    sheet: &Sheet,
    outlook: &Outlook<'_>,
    trouble: &[DefectKey],
    field: Field,
    from: f64,
    (low, high): (f64, f64),
) -> Option<Opposites> {
    #[expect(clippy::cast_precision_loss, reason = "a dozen values")]
    let share = |k: usize| k as f64 / (VALUES - 1) as f64;
    let effect_of = |value: f64| move_effect(model, &with(sheet, field, value));
    let comes = |harm: &Harm, effect: &Effect| 1.0 - outlook.clean_after(effect, harm);
    let (lowest, highest) = (effect_of(low), effect_of(high));
    let ends: Vec<(DefectKey, f64, f64, f64)> = trouble
        .iter()
        .map(|d| {
            let harm = harm(model, &[*d]);
            (*d, outlook.unchanged(*d), comes(&harm, &lowest), comes(&harm, &highest))
        })
        .collect();
    let (lower, ..) = *most(&ends, |(_, now, low, high)| if high > low { now - low } else { 0.0 })?;
    let (higher, ..) = *most(&ends, |(_, now, low, high)| if low > high { now - high } else { 0.0 })?;
    let of = |d: DefectKey| ends.iter().find(|e| e.0 == d);
    let (l, h) = (of(lower)?, of(higher)?);
    let both = harm(model, &[lower, higher]);
    let tried = (0..VALUES).map(|k| low + share(k) * (high - low));
    let joint: Vec<(f64, f64)> = tried.map(|v| (v, comes(&both, &effect_of(v)))).collect();
    let at_best = joint.iter().map(|j| j.1).fold(f64::INFINITY, f64::min);
    let inside = joint.iter().filter(|j| j.1 <= at_best + A_POINT).map(|j| j.0);
    let window = inside.fold((f64::INFINITY, f64::NEG_INFINITY), |w, v| (w.0.min(v), w.1.max(v)));
    Some(Opposites {
        field,
        from,
        lower: (lower, l.1, l.2),
        higher: (higher, h.1, h.3),
        window,
        at_best,
        split: at_best > TOO_OFTEN,
    })
}

/// The entry that gains most, if that is enough to matter.
fn most(
    ends: &[(DefectKey, f64, f64, f64)],
    gain: impl Fn(&(DefectKey, f64, f64, f64)) -> f64,
) -> Option<&(DefectKey, f64, f64, f64)> {
    ends.iter().max_by(|a, b| gain(a).total_cmp(&gain(b))).filter(|e| gain(e) >= MATTERS)
}
