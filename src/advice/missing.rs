//! Which figure that is not on the sheet would tell most.
//!
//! The measure: how far the chances of the leading causes of the trouble would move, expected over the values that the figure may
//! have. A figure moves the odds of the causes whose rules read it by known factors, so the chance of each of those
//! causes afterwards is exact, `p f / (1 + sum p_s (f_s - 1))` over the states of its root, and needs no new sweep; the
//! chance that it had a hand, which is part of it, moves alike. What such a move does in turn to causes that do not read
//! the figure (one explaining the other away) is not counted, so the true movement is of this size or larger. Values are
//! weighed by how often they are met in jobs in order (see `tries`) and how well they fit what was seen.

use super::hand::Standing;
use super::model::Model;
use super::tries::tries;
use crate::rules::{CauseKey, FactKey, FamilyKey, RuleBase};
use crate::sheet::{FACTS, Field, JobAlloy, Sheet};
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
/// Movements below this are not worth a line.
const LEAST: f64 = 0.01;

/// The causes that may have had a hand in what was seen: what is merely common says nothing of this casting.
pub fn matter(ranking: &[Standing]) -> Vec<CauseKey> {
    ranking.iter().filter(|s| s.had_a_hand >= WORTH).map(|s| s.cause).collect()
}

/// Unrecorded figures by what they would tell, most first.
pub fn missing(model: &Model<'_>, sheet: &Sheet, ranking: &[Standing]) -> Vec<Missing> {
    let states = States::of(model, ranking);
    let mut found: Vec<Missing> = Vec::new();
    let open = |f: &Field| sheet.get(*f).is_none() && has(model.rules, sheet, *f);
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

/// One value that a figure may have: how often among jobs in order, and its factor on the odds of each state.
struct Value {
    usual: f64,
    factors: Vec<f64>,
}

/// A cause among the leading ones and the other states of their roots.
struct State {
    cause: CauseKey,
    /// Chance before anything was seen, and now.
    prior: f64,
    now: f64,
    /// Chance that it had a hand in what was seen, which the ranking goes by.
    hand: f64,
    leads: bool,
}

/// The leading causes, with the other states of their roots.
struct States<'a> {
    model: &'a Model<'a>,
    all: Vec<State>,
    /// The causes that may have had a hand.
    matter: Vec<CauseKey>,
    /// Places in `all` that are states of one root.
    roots: Vec<Vec<usize>>,
}

impl<'a> States<'a> {
    fn of(model: &'a Model<'a>, ranking: &[Standing]) -> Self {
        let rules = model.rules;
        let setting = |c: CauseKey| rules.cause(c).setting.as_deref();
        let matter = matter(ranking);
        let leading = &matter[..matter.len().min(LEADING)];
        let all: Vec<State> = ranking
            .iter()
            .filter(|s| {
                leading.contains(&s.cause)
                    || setting(s.cause).is_some_and(|at| leading.iter().any(|l| setting(*l) == Some(at)))
            })
            .map(|s| State {
                cause: s.cause,
                prior: model.network.prior(model.cause(s.cause)),
                now: s.probability,
                hand: s.had_a_hand,
                leads: leading.contains(&s.cause),
            })
            .collect();
        let mut roots: Vec<Vec<usize>> = Vec::new();
        let mut by_setting: BTreeMap<&str, usize> = BTreeMap::new();
        for (at, state) in all.iter().enumerate() {
            let root = setting(state.cause).map(|s| *by_setting.entry(s).or_insert(roots.len()));
            match root.and_then(|r| roots.get_mut(r)) {
                Some(root) => root.push(at),
                None => roots.push(vec![at]),
            }
        }
        Self { model, all, matter, roots }
    }

    /// By how much likelier a value is with the chances of a root's states than with the root in order.
    fn mean(&self, root: &[usize], chance: impl Fn(&State) -> f64, factor: impl Fn(usize) -> f64) -> f64 {
        let shift: f64 = root.iter().map(|at| chance(&self.all[*at]) * (factor(*at) - 1.0)).sum();
        (1.0 + shift).max(1e-12)
    }

    /// The expected movement over these values; nothing when no value moves anything.
    fn expected(&self, what: Unrecorded, values: &[Value]) -> Option<Missing> {
        // How often each value is met where a state holds comes to 1 over the values.
        let met = |at: usize| values.iter().map(|v| v.usual * v.factors[at]).sum::<f64>().max(1e-12);
        let met: Vec<f64> = (0..self.all.len()).map(met).collect();
        let mut often = 0.0;
        let mut moved = vec![0.0; self.all.len()];
        for value in values {
            let mean = |root: &Vec<usize>| self.mean(root, |s| s.now, |at| value.factors[at] / met[at]);
            let here = value.usual * self.roots.iter().map(mean).product::<f64>();
            often += here;
            for root in &self.roots {
                let seen = self.mean(root, |s| s.now, |at| value.factors[at]);
                for at in root.iter().filter(|at| self.all[**at].leads) {
                    moved[*at] += here * self.all[*at].hand * (value.factors[*at] / seen - 1.0).abs();
                }
            }
        }
        if often <= 0.0 || !often.is_finite() {
            return None;
        }
        let most = (0..moved.len()).max_by(|a, b| moved[*a].total_cmp(&moved[*b]))?;
        Some(Missing {
            what,
            change: moved.iter().sum::<f64>() / often,
            cause: self.all[most].cause,
            cause_change: moved[most] / often,
        })
    }

    fn factors(&self, of: impl Fn(CauseKey) -> f64) -> Vec<f64> {
        self.all.iter().map(|s| of(s.cause)).collect()
    }

    /// A figure, over the values that it may have.
    fn figure(&self, sheet: &Sheet, field: Field) -> Vec<Value> {
        let all = tries(self.model, sheet, field, &self.matter);
        all.iter().map(|t| Value { usual: t.usual, factors: self.factors(|c| t.factor(c)) }).collect()
    }

    fn fact(&self, fact: FactKey) -> Vec<Value> {
        let rules = self.model.rules;
        let value = |v: usize| {
            let factor = |cause: CauseKey| {
                let given = rules.cause(cause).given.iter().filter(|g| g.fact == fact);
                given.map(|g| g.factors.get(&v).copied().unwrap_or(1.0)).product::<f64>()
            };
            self.shared(self.model.context.chance(rules, fact, &[v]), self.factors(factor))
        };
        (0..rules.fact(fact).values.len()).map(value).collect()
    }

    /// The family of the alloy, by its base rates.
    fn alloy(&self) -> Vec<Value> {
        let rules = self.model.rules;
        let odds = |p: f64| p.clamp(1e-6, 1.0 - 1e-6) / (1.0 - p.clamp(1e-6, 1.0 - 1e-6));
        let value = |family: FamilyKey| {
            let factor = |cause: CauseKey| {
                let base = &rules.cause(cause).base;
                let here = base.by_family.get(&family).unwrap_or(&base.default).value;
                odds(here) / odds(self.model.context.base(rules, base))
            };
            self.shared(rules.family(family).share, self.factors(factor))
        };
        rules.family_keys().map(value).collect()
    }

    /// A value with its share among all jobs, those with these causes among them.
    fn shared(&self, share: f64, factors: Vec<f64>) -> Value {
        let mean = |root: &Vec<usize>| self.mean(root, |s| s.prior, |at| factors[at]);
        Value { usual: share / self.roots.iter().map(mean).product::<f64>(), factors }
    }
}

/// Whether the casting method has such a figure: who pours by hand reads no casting pressure.
pub fn has(rules: &RuleBase, sheet: &Sheet, field: Field) -> bool {
    let Some(method) = sheet.fact(rules, "method") else { return true };
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
