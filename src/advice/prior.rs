//! The odds of a cause before anything was seen: its base rate, shifted by what the process sheet says.

use crate::rules::{Cause, Context, QuantityKey, RuleBase, SheetRule};
use crate::sheet::derived::{Fields, TABLE};
use crate::sheet::{Computed, Field, Job, Sheet};
use std::cell::Cell;
use std::collections::BTreeMap;

/// Every quantity of the catalogue that this sheet records or lets compute.
#[derive(Debug, Clone, Default)]
pub struct Quantities {
    known: BTreeMap<QuantityKey, Computed>,
    /// The figures that each quantity was worked out from, or found missing for.
    read: Vec<Fields>,
}

impl Quantities {
    /// Gathers them.
    pub fn of(rules: &RuleBase, sheet: &Sheet) -> Self {
        let mut all = Self { known: BTreeMap::new(), read: vec![Fields::default(); rules.quantities.len()] };
        for key in rules.quantity_keys() {
            let read = Cell::default();
            all.known.extend(work_out(rules, key, Job::noting(sheet, rules, &read)).map(|c| (key, c)));
            all.read[key.index()] = read.get();
        }
        all
    }

    /// The quantities that other figures in place of `moved` may change, on a sheet that is otherwise the same.
    pub(super) fn again(&self, rules: &RuleBase, sheet: &Sheet, moved: Fields) -> Moved {
        let touched = rules.quantity_keys().filter(|k| self.read[k.index()].meet(moved));
        Moved(touched.map(|k| (k, work_out(rules, k, Job::new(sheet, rules)))).collect())
    }

    /// A quantity, when it is known.
    pub fn get(&self, key: QuantityKey) -> Option<&Computed> {
        self.known.get(&key)
    }

    /// All known quantities.
    pub fn iter(&self) -> impl Iterator<Item = (QuantityKey, &Computed)> {
        self.known.iter().map(|(k, c)| (*k, c))
    }
}

/// What a sheet records or lets compute of one quantity.
fn work_out(rules: &RuleBase, key: QuantityKey, job: Job<'_>) -> Option<Computed> {
    let quantity = rules.quantity(key);
    if quantity.recorded {
        let value = job.get(Field::find(quantity.id)?)?;
        let says = format!("{} {}", quantity.title, quantity.dimension.show(value));
        return Some(Computed { value, low: value, high: value, says, weak: None });
    }
    (TABLE.iter().find(|d| d.id == quantity.id)?.compute)(job)
}

/// Quantities that were worked out again, known now or not, in the order of the catalogue.
pub(super) struct Moved(Vec<(QuantityKey, Option<Computed>)>);

impl Moved {
    /// Whether it speaks of the quantity, and what it is now.
    fn get(&self, key: QuantityKey) -> Option<Option<&Computed>> {
        self.0.iter().find(|(k, _)| *k == key).map(|(_, c)| c.as_ref())
    }

    /// Whether the sheet rules of a cause look at any of them.
    pub(super) fn touches(&self, cause: &Cause) -> bool {
        cause.sheet.iter().any(|r| self.get(r.quantity).is_some())
    }
}

/// The factor of a figure on a cause's odds. A weak figure speaks with the mean of its range, the middle weighing most;
/// a rule that holds for some jobs only speaks as loud as it is sure that this is one of them.
fn mean_factor(rules: &RuleBase, context: &Context, rule: &SheetRule, computed: &Computed) -> f64 {
    let mean = (rule.ln_factor(computed.low).exp()
        + 4.0 * rule.ln_factor(computed.value).exp()
        + rule.ln_factor(computed.high).exp())
        / 6.0;
    mean.powf(context.holds(rules, &rule.condition))
}

/// One shift of a cause's odds by the sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Shift {
    /// What the sheet says, in words.
    pub says: String,
    /// ln of the factor on the odds; minus infinity where the sheet rules the cause out.
    pub ln: f64,
    /// Why the figure behind it is weak, when it is.
    pub weak: Option<&'static str>,
}

/// The odds of a cause before anything was seen.
#[derive(Debug, Clone, PartialEq)]
pub struct Prior {
    /// Chance in any bad cast of this family.
    pub base: f64,
    /// Shifts by the sheet.
    pub shifts: Vec<Shift>,
}

/// Base rates at or beyond these ends would leave the sheet nothing to say.
const SMALLEST_BASE: f64 = 1e-6;

impl Prior {
    /// From the rules of a cause and what is known of the job.
    pub fn of(rules: &RuleBase, cause: &Cause, context: &Context, quantities: &Quantities) -> Self {
        Self::with(rules, cause, context, |key| quantities.get(key))
    }

    /// The same where some quantities have moved.
    pub(super) fn moved(
        rules: &RuleBase,
        cause: &Cause,
        context: &Context,
        quantities: &Quantities,
        moved: &Moved,
    ) -> Self {
        Self::with(rules, cause, context, |key| moved.get(key).unwrap_or_else(|| quantities.get(key)))
    }

    fn with<'q>(
        rules: &RuleBase,
        cause: &Cause,
        context: &Context,
        quantity: impl Fn(QuantityKey) -> Option<&'q Computed>,
    ) -> Self {
        let base = context.base(rules, &cause.base);
        let mut shifts = Vec::new();
        for rule in &cause.sheet {
            let speaks = context.holds(rules, &rule.condition) > 0.0;
            if let Some(computed) = quantity(rule.quantity).filter(|_| speaks) {
                let ln = mean_factor(rules, context, rule, computed).ln();
                shifts.push(Shift { says: computed.says.clone(), ln, weak: computed.weak });
            }
        }
        for rule in &cause.given {
            if let Some(factor) = context.factor(rules, rule) {
                let fact = rules.fact(rule.fact);
                let value = context.value(rule.fact).and_then(|v| fact.values.get(v));
                let words = value.map_or("known in part", |v| v.title.as_str());
                shifts.push(Shift { says: format!("{}: {words}", fact.title), ln: factor.ln(), weak: None });
            }
        }
        Self { base, shifts }
    }

    /// The odds.
    pub fn odds(&self) -> f64 {
        if self.base <= 0.0 {
            return 0.0;
        }
        let base = self.base.clamp(SMALLEST_BASE, 1.0 - SMALLEST_BASE);
        let ln: f64 = (base / (1.0 - base)).ln() + self.shifts.iter().map(|s| s.ln).sum::<f64>();
        ln.clamp(-700.0, 700.0).exp() * f64::from(u8::from(ln > f64::NEG_INFINITY))
    }
}
