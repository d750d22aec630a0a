//! The values that a figure which is not on the sheet may have, and what each would say.
//!
//! What raises the odds of a cause f-fold is at least f times rarer where that cause does not hold: so an extreme value is
//! rare among jobs in order, and the commoner the likelier its cause. Only causes that matter to the job count: a burnout
//! that is too hot for stones is the usual one where there are none. The list of missing figures and the worth of a
//! question weigh by the same values, so that they cannot disagree.

use super::model::Model;
use crate::rules::{CauseKey, Window};
use crate::sheet::{Field, Sheet};

/// Values tried of each figure.
const TRIES: u8 = 7;
/// A change of the odds below this is rounding.
const ROUNDING: f64 = 1e-9;

/// One value that a figure may have.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// As stored.
    pub value: f64,
    /// How often it is met among jobs in order; over all values 1.
    pub usual: f64,
    /// How often it is met among all bad casts; over all values 1.
    pub share: f64,
    factors: Vec<f64>,
}

impl Tried {
    /// The factor on the odds of a cause.
    pub fn factor(&self, cause: CauseKey) -> f64 {
        self.factors[cause.index()]
    }
}

/// The values of a figure, with what they say through everything that is computed with it; empty when none says anything of
/// the causes that matter.
pub fn tries(model: &Model<'_>, sheet: &Sheet, field: Field, matter: &[CauseKey]) -> Vec<Tried> {
    let (low, high) = by_knots(model, field, matter).unwrap_or_else(|| plausible(sheet, field));
    let mut with = sheet.clone();
    let mut all: Vec<Tried> = (0..TRIES)
        .map(|i| {
            let value = between(low, high, f64::from(i) / f64::from(TRIES - 1));
            with.set(field, value);
            let odds = model.odds_with(&with);
            let factor = |(now, was): (&f64, &f64)| if *was > 0.0 { now / was } else { 1.0 };
            let factors: Vec<f64> = odds.iter().zip(model.odds()).map(factor).collect();
            let usual = 1.0 / matter.iter().map(|c| factors[c.index()]).fold(1.0, f64::max);
            let share = usual * model.likelier(&factors);
            Tried { value, usual, share, factors }
        })
        .collect();
    let says = |t: &Tried| matter.iter().any(|c| (t.factor(*c) - 1.0).abs() > ROUNDING);
    if !all.iter().any(says) {
        return Vec::new();
    }
    let (usual, share) = all.iter().fold((0.0, 0.0), |(u, s), t| (u + t.usual, s + t.share));
    all.iter_mut().for_each(|t| (t.usual, t.share) = (t.usual / usual, t.share / share));
    all
}

/// The ends of what the rules that read the figure itself speak of.
fn by_knots(model: &Model<'_>, field: Field, matter: &[CauseKey]) -> Option<(f64, f64)> {
    let rules = model.rules;
    let read = matter.iter().flat_map(|c| &rules.cause(*c).sheet);
    let speaks = read.filter(|r| rules.quantity(r.quantity).id == field.id());
    speaks
        .filter(|r| model.context.holds(rules, &r.condition) > 0.0)
        .filter_map(|r| Some((r.knots.first()?.0, r.knots.last()?.0)))
        .reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
}

/// A value between two ends: by ratio where they lie far apart and above zero.
fn between(low: f64, high: f64, part: f64) -> f64 {
    if low > 0.0 && high / low > 20.0 { low * (high / low).powf(part) } else { low + (high - low) * part }
}

/// Ends between which a figure is likely: near the alloy's window or the sheet's other figures where these say
/// something, else the field's usual limits.
fn plausible(sheet: &Sheet, field: Field) -> (f64, f64) {
    let window = |all: Vec<&Window>, slack: f64| {
        let low = all.iter().map(|w| w.low.get()).fold(f64::INFINITY, f64::min);
        let high = all.iter().map(|w| w.high.get()).fold(f64::NEG_INFINITY, f64::max);
        (low.is_finite() && high.is_finite()).then(|| ((low - slack).max(20.0), high + slack))
    };
    let near = |other: Field, from: f64, to: f64| sheet.get(other).map(|v| (v * from, v * to));
    let special = match field {
        Field::MeltTemperature => sheet.alloy().and_then(|a| window(a.melt.values().collect(), 60.0)),
        Field::FlaskTemperature => sheet.alloy().and_then(|a| window(a.flask.values().collect(), 80.0)),
        Field::Gate => near(Field::Heaviest, 0.4, 2.2),
        Field::Heaviest => near(Field::Gate, 0.5, 2.5),
        Field::Thinnest => near(Field::Heaviest, 0.1, 1.0),
        // Metal of 9 to 20 times the wax covers the shop's alloys.
        Field::Charge => near(Field::TreeWax, 9.0, 20.0),
        Field::TreeWax => near(Field::Charge, 1.0 / 20.0, 1.0 / 9.0),
        Field::Pieces => near(Field::TreeWax, 0.3, 0.9),
        _ => None,
    };
    special.unwrap_or(field.limits().usual)
}
