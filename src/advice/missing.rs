//! Which figure that is not on the sheet would tell most.
//!
//! The measure: how far the chances of the leading causes of the trouble would move, expected over the values that the figure may
//! have. A figure moves the odds of the causes whose rules read it by known factors, so the chance of each of those
//! causes afterwards is exact, `p f / (1 + sum p_s (f_s - 1))` over the states of its root, and needs no new sweep. What
//! such a move does in turn to causes that do not read the figure (one explaining the other away) is not counted, so
//! the true movement is of this size or larger. Values are weighed by how well they fit what was seen.

use super::diagnosis::Diagnosis;
use super::model::Model;
use super::prior::mean_factor;
use crate::rules::{CauseKey, FactKey, FamilyKey, RuleBase, Window};
use crate::sheet::{Computed, FACTS, Field, Job, JobAlloy, Sheet, derived};
use std::collections::BTreeMap;

/// Something that a sheet could say and does not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unrecorded {
    /// A figure.
    Figure(Field),
    /// A fact.
    Fact(FactKey),
    /// The alloy.
    Alloy,
}

impl Unrecorded {
    /// What it is, in words.
    pub fn title(self, rules: &RuleBase) -> &str {
        match self {
            Self::Figure(field) => field.title(),
            Self::Fact(fact) => &rules.fact(fact).title,
            Self::Alloy => "the alloy",
        }
    }

    /// Its path on the sheet.
    pub fn id(self, rules: &RuleBase) -> String {
        match self {
            Self::Figure(field) => field.id().to_owned(),
            Self::Fact(fact) => {
                let id = rules.fact(fact).id.as_str();
                let place = FACTS.iter().find(|(.., f)| *f == id);
                match place {
                    Some((Some(section), name, _)) => format!("{section}.{name}"),
                    _ => id.to_owned(),
                }
            }
            Self::Alloy => "alloy".to_owned(),
        }
    }
}

/// A missing figure and what it would tell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Missing {
    /// Which.
    pub what: Unrecorded,
    /// Expected movement of the leading causes' chances, summed; 0 to the number of causes.
    pub change: f64,
    /// The cause whose chance would move most.
    pub cause: CauseKey,
    /// By how much, expected.
    pub cause_change: f64,
}

/// How many causes count as leading.
const LEADING: usize = 6;
/// A cause below this chance does not lead anything.
const WORTH: f64 = 0.02;
/// Values tried of each figure.
const TRIES: u8 = 7;
/// Movements below this are not worth a line.
const LEAST: f64 = 0.01;

/// Unrecorded figures by what they would tell, most first.
pub fn missing(model: &Model<'_>, sheet: &Sheet, diagnosis: &Diagnosis) -> Vec<Missing> {
    let states = States::of(model, diagnosis);
    let mut found: Vec<Missing> = Vec::new();
    let method = sheet.fact(model.rules, "method");
    let open = |f: &Field| sheet.get(*f).is_none() && method.is_none_or(|m| has(m, *f));
    for field in Field::ALL.iter().copied().filter(open) {
        let values = states.figure(sheet, field);
        found.extend(states.expected(Unrecorded::Figure(field), &values));
    }
    for (_, _, id) in FACTS {
        let Some(fact) = model.rules.find_fact(id).filter(|f| !model.context.knows(*f)) else { continue };
        found.extend(states.expected(Unrecorded::Fact(fact), &states.fact(fact)));
    }
    if !matches!(sheet.alloy, Some(JobAlloy::Known(_) | JobAlloy::Family(_))) {
        found.extend(states.expected(Unrecorded::Alloy, &states.alloy()));
    }
    found.retain(|m| m.change >= LEAST);
    found.sort_by(|a, b| b.change.total_cmp(&a.change));
    found
}

/// One value that a figure may have: how often, and its factor on the odds of each state (1 where none is named).
struct Value {
    share: f64,
    factors: Vec<f64>,
}

/// The leading causes, with the other states of their roots.
struct States<'a> {
    model: &'a Model<'a>,
    /// Cause, chance before and after the findings, and whether it leads.
    all: Vec<(CauseKey, f64, f64, bool)>,
    /// Places in `all` that are states of one root.
    roots: Vec<Vec<usize>>,
}

impl<'a> States<'a> {
    fn of(model: &'a Model<'a>, diagnosis: &Diagnosis) -> Self {
        let rules = model.rules;
        let setting = |c: CauseKey| rules.cause(c).setting.as_deref();
        // Only causes of the trouble count: what is merely common says nothing of this casting.
        let brings = |c: CauseKey| diagnosis.trouble.iter().any(|d| model.strength(c, *d) > 0.0);
        let leading: Vec<CauseKey> = diagnosis
            .causes
            .iter()
            .filter(|c| c.had_a_hand >= WORTH && brings(c.cause))
            .take(LEADING)
            .map(|c| c.cause)
            .collect();
        let all: Vec<(CauseKey, f64, f64, bool)> = diagnosis
            .causes
            .iter()
            .filter(|c| {
                leading.contains(&c.cause)
                    || setting(c.cause).is_some_and(|s| leading.iter().any(|l| setting(*l) == Some(s)))
            })
            .map(|c| (c.cause, c.prior, c.probability, leading.contains(&c.cause)))
            .collect();
        let mut roots: Vec<Vec<usize>> = Vec::new();
        let mut by_setting: BTreeMap<&str, usize> = BTreeMap::new();
        for (at, (cause, ..)) in all.iter().enumerate() {
            let root = setting(*cause).map(|s| *by_setting.entry(s).or_insert(roots.len()));
            match root.and_then(|r| roots.get_mut(r)) {
                Some(root) => root.push(at),
                None => roots.push(vec![at]),
            }
        }
        Self { model, all, roots }
    }

    /// The expected movement over these values; nothing when no value moves anything.
    fn expected(&self, what: Unrecorded, values: &[Value]) -> Option<Missing> {
        let mut weights = 0.0;
        let mut moved = vec![0.0; self.all.len()];
        for value in values {
            let mut fit = value.share;
            let mut after = vec![0.0; self.all.len()];
            for root in &self.roots {
                let whole = |p: &dyn Fn(usize) -> f64| {
                    1.0 + root.iter().map(|s| p(*s) * (value.factors[*s] - 1.0)).sum::<f64>()
                };
                let (seen, unseen) = (whole(&|s| self.all[s].2), whole(&|s| self.all[s].1));
                fit *= seen / unseen.max(1e-12);
                for s in root {
                    after[*s] = self.all[*s].2 * value.factors[*s] / seen.max(1e-12);
                }
            }
            weights += fit;
            for (at, (.., now, leads)) in self.all.iter().enumerate() {
                if *leads {
                    moved[at] += fit * (after[at] - now).abs();
                }
            }
        }
        if weights <= 0.0 || !weights.is_finite() {
            return None;
        }
        let most = (0..moved.len()).max_by(|a, b| moved[*a].total_cmp(&moved[*b]))?;
        Some(Missing {
            what,
            change: moved.iter().sum::<f64>() / weights,
            cause: self.all[most].0,
            cause_change: moved[most] / weights,
        })
    }

    /// What the rules of these states would make of a figure, over its plausible values.
    fn figure(&self, sheet: &Sheet, field: Field) -> Vec<Value> {
        let rules = self.model.rules;
        let mut tried = sheet.clone();
        let read: Vec<(usize, &crate::rules::SheetRule)> = self
            .all
            .iter()
            .enumerate()
            .flat_map(|(at, (cause, ..))| rules.cause(*cause).sheet.iter().map(move |r| (at, r)))
            .collect();
        let direct = |r: &crate::rules::SheetRule| rules.quantity(r.quantity).id == field.id();
        let ends = read
            .iter()
            .filter(|(_, r)| direct(r))
            .filter_map(|(_, r)| Some((r.knots.first()?.0, r.knots.last()?.0)));
        let by_knots = ends.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
        let (low, high) = by_knots.unwrap_or_else(|| plausible(sheet, field));

        // Only computed figures that this field alone makes known, or changes, need computing again.
        tried.set(field, between(low, high, 0.5));
        let quantity = |r: &crate::rules::SheetRule| {
            let id = rules.quantity(r.quantity).id;
            derived::TABLE.iter().find(|d| d.id == id)
        };
        let touched: Vec<(usize, &crate::rules::SheetRule, &derived::Derived)> = read
            .iter()
            .filter_map(|(at, r)| Some((*at, *r, quantity(r)?)))
            .filter(|(_, r, d)| {
                let now = (d.compute)(Job::new(&tried, rules));
                now.as_ref() != self.model.quantities.get(r.quantity)
            })
            .collect();
        if by_knots.is_none() && touched.is_empty() {
            return Vec::new();
        }
        (0..TRIES)
            .map(|i| {
                let value = between(low, high, f64::from(i) / f64::from(TRIES - 1));
                let mut factors = vec![1.0; self.all.len()];
                for (at, rule) in read.iter().filter(|(_, r)| direct(r)) {
                    factors[*at] *= rule.ln_factor(value).exp();
                }
                tried.set(field, value);
                for (at, rule, derived) in &touched {
                    let now: Option<Computed> = (derived.compute)(Job::new(&tried, rules));
                    let was = self.model.quantities.get(rule.quantity);
                    let factor = |c: Option<&Computed>| c.map_or(1.0, |c| mean_factor(rule, c));
                    factors[*at] *= factor(now.as_ref()) / factor(was).max(1e-12);
                }
                Value { share: 1.0, factors }
            })
            .collect()
    }

    fn fact(&self, fact: FactKey) -> Vec<Value> {
        let rules = self.model.rules;
        let values = &rules.fact(fact).values;
        (0..values.len())
            .map(|v| {
                let factor = |cause: CauseKey| {
                    let given = rules.cause(cause).given.iter().filter(|g| g.fact == fact);
                    given.map(|g| g.factors.get(&v).copied().unwrap_or(1.0)).product::<f64>()
                };
                let factors = self.all.iter().map(|(cause, ..)| factor(*cause)).collect();
                Value { share: values[v].share, factors }
            })
            .collect()
    }

    /// The family of the alloy, by its base rates.
    fn alloy(&self) -> Vec<Value> {
        let rules = self.model.rules;
        let odds = |p: f64| p.clamp(1e-6, 1.0 - 1e-6) / (1.0 - p.clamp(1e-6, 1.0 - 1e-6));
        rules
            .family_keys()
            .map(|family: FamilyKey| {
                let factor = |cause: CauseKey| {
                    let base = &rules.cause(cause).base;
                    let here = base.by_family.get(&family).unwrap_or(&base.default).value;
                    odds(here) / odds(self.model.context.base(rules, base))
                };
                let factors = self.all.iter().map(|(cause, ..)| factor(*cause)).collect();
                Value { share: rules.family(family).share, factors }
            })
            .collect()
    }
}

/// A value between two ends: by ratio where they lie far apart and above zero.
fn between(low: f64, high: f64, part: f64) -> f64 {
    if low > 0.0 && high / low > 20.0 { low * (high / low).powf(part) } else { low + (high - low) * part }
}

/// Whether a casting method has such a figure: who pours by hand reads no casting pressure.
fn has(method: &str, field: Field) -> bool {
    match field {
        Field::CastingPressure => method == "vacuum-pressure",
        Field::SpinSpeed | Field::ArmRadius => method == "spun",
        Field::PourVacuum => matches!(method, "vacuum-assist" | "vacuum-pressure"),
        Field::HoldForce => method != "gravity",
        Field::PurgeCycles
        | Field::PurgeVacuum
        | Field::ChamberPressure
        | Field::LeakRate
        | Field::ChamberVolume => {
            matches!(method, "vacuum-pressure" | "spun")
        }
        _ => true,
    }
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
