//! What may be said to a question: how likely each answer is in each joint state, and how it speaks for the state.

use super::standing::Standing;
use super::state::Said;
use crate::advice::{Prior, has, matter, tries};
use crate::inference::CauseId;
use crate::rules::names::AlloyName;
use crate::rules::{Cause, Context, FactKey, FamilyKey, QuantityKey, QuestionKey, Reveals};
use crate::sheet::Field;

/// An answer that fewer joint states than this speak for says nothing that could be relied on.
const FEWEST_WORLDS: f64 = 12.0;

/// One possible answer.
pub(super) struct Outcome {
    pub(super) said: Said,
    pub(super) words: String,
    /// For each world, the chance that the answer is given.
    pub(super) given: Vec<f64>,
    /// For each world, the weight with which it speaks for the world.
    pub(super) weight: Vec<f64>,
}

impl Outcome {
    fn new(said: Said, words: String, weight: Vec<f64>) -> Self {
        Self { said, words, given: Vec::new(), weight }
    }

    /// How likely the answer is.
    pub(super) fn chance(&self) -> f64 {
        mean(&self.given)
    }

    /// Whether enough worlds speak for the answer: the effective number of equally weighted ones.
    pub(super) fn is_reliable(&self) -> bool {
        let sum: f64 = self.weight.iter().sum();
        sum > 0.0 && sum * sum / self.weight.iter().map(|w| w * w).sum::<f64>() >= FEWEST_WORLDS
    }
}

/// The answers to a question that say something, in their order.
pub(super) fn outcomes(standing: &Standing<'_>, question: QuestionKey) -> Vec<Outcome> {
    match &standing.model().rules.question(question).reveals {
        Reveals::Signs { answers, .. } => {
            let telling =
                answers.iter().enumerate().filter(|(_, a)| !(a.present.is_empty() && a.absent.is_empty()));
            let mut all: Vec<Outcome> = telling
                .map(|(at, a)| {
                    let mut weight = vec![1.0; standing.worlds.len()];
                    for sign in &a.present {
                        weight.iter_mut().zip(standing.reported(*sign)).for_each(|(w, q)| *w *= q);
                    }
                    for sign in &a.absent {
                        weight.iter_mut().zip(standing.reported(*sign)).for_each(|(w, q)| *w *= 1.0 - q);
                    }
                    Outcome::new(Said::Picked { answers: vec![at], sure: true }, a.say.clone(), weight)
                })
                .collect();
            // Where nothing fits, the answer is "cannot tell", which says nothing.
            give(&mut all, |_, _| 1.0, true);
            all
        }
        Reveals::Fact(fact) => of_fact(standing, *fact),
        Reveals::Alloy => of_fact(standing, FactKey::FAMILY),
        Reveals::Quantity(quantity) => of_figure(standing, *quantity),
    }
}

/// What the values of a fact would say through the causes' odds. What they say through links that hold only for some
/// values is left out: it would need a network for each value.
fn of_fact(standing: &Standing<'_>, fact: FactKey) -> Vec<Outcome> {
    let model = standing.model();
    let rules = model.rules;
    let values = &rules.fact(fact).values;
    let mut all: Vec<Outcome> = (0..values.len())
        .map(|value| {
            let mut context: Context = model.context.clone();
            context.narrow(fact, vec![value]);
            let shifted = |c: &Cause| fact == FactKey::FAMILY || c.given.iter().any(|g| g.fact == fact);
            let odds: Vec<f64> = rules
                .cause_keys()
                .map(|key| match rules.cause(key) {
                    c if shifted(c) => Prior::of(rules, c, &context, &model.quantities).odds(),
                    _ => model.prior(key).odds(),
                })
                .collect();
            let (said, words) = if fact == FactKey::FAMILY {
                let family = FamilyKey::new(value);
                (Said::Alloy(AlloyName::Family(family)), rules.family(family).title.clone())
            } else {
                (Said::Value(value), values[value].title.clone())
            };
            Outcome::new(said, words, weigh(standing, &odds))
        })
        .collect();
    give(&mut all, |at, _| model.context.chance(rules, fact, &[at]), false);
    all
}

/// What a figure would say, over the values that it may have, through all that is computed with it.
fn of_figure(standing: &Standing<'_>, quantity: QuantityKey) -> Vec<Outcome> {
    let model = standing.model();
    let rules = model.rules;
    let Some(field) = Field::find(rules.quantity(quantity).id) else { return Vec::new() };
    if !has(rules, standing.sheet(), field) {
        return Vec::new();
    }
    let tried = tries(model, standing.sheet(), field, &matter(standing.causes()));
    let mut all: Vec<Outcome> = tried
        .iter()
        .map(|t| {
            let odds: Vec<f64> = rules.cause_keys().map(|c| model.prior(c).odds() * t.factor(c)).collect();
            let words = format!("{} {}", field.title(), field.dimension().show(t.value));
            Outcome::new(Said::Figure(t.value), words, weigh(standing, &odds))
        })
        .collect();
    give(&mut all, |at, _| tried[at].share, false);
    all
}

/// For each world how much likelier it would be with other odds of the causes.
fn weigh(standing: &Standing<'_>, odds: &[f64]) -> Vec<f64> {
    let model = standing.model();
    let rules = model.rules;
    let network = &model.network;
    let mut in_order = 0.0;
    let mut present = vec![0.0; network.causes()];
    let mut of_id = vec![0.0; network.causes()];
    for key in rules.cause_keys() {
        of_id[model.cause(key).index()] = odds[key.index()];
    }
    let by_id = |id: CauseId| of_id[id.index()];
    for id in network.cause_ids() {
        if network.siblings(id).next() != Some(id) {
            continue;
        }
        let after: f64 = 1.0 + network.siblings(id).map(by_id).sum::<f64>();
        let before: f64 = (1.0 - network.siblings(id).map(|s| network.prior(s)).sum::<f64>()).max(1e-12);
        let order = (1.0 / after / before).max(1e-12);
        in_order += order.ln();
        for s in network.siblings(id) {
            let ratio = (by_id(s) / after).max(1e-12) / network.prior(s).max(1e-12);
            present[s.index()] = ratio.ln() - order.ln();
        }
    }
    let worlds = standing.worlds.iter();
    worlds.map(|w| (in_order + w.causes().iter().map(|c| present[c.index()]).sum::<f64>()).exp()).collect()
}

/// Fills in how likely each answer is in each world: by its weight and a share of its own. With `silent`, what the answers
/// leave of one is a world in which none is given.
fn give(all: &mut [Outcome], share: impl Fn(usize, usize) -> f64, silent: bool) {
    let worlds = all.first().map_or(0, |o| o.weight.len());
    for outcome in all.iter_mut() {
        outcome.given = vec![0.0; worlds];
    }
    for w in 0..worlds {
        let sum: f64 = all.iter().enumerate().map(|(a, o)| share(a, w) * o.weight[w]).sum();
        let whole = if silent { sum.max(1.0) } else { sum };
        if whole > 0.0 {
            for (a, outcome) in all.iter_mut().enumerate() {
                outcome.given[w] = share(a, w) * outcome.weight[w] / whole;
            }
        }
    }
}

pub(super) fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / f64::from(u32::try_from(values.len().max(1)).unwrap_or(u32::MAX))
}
