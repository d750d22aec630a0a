//! What is known of the job in words: the alloy family, the kind of mould, the cover ...

use super::keys::{FactKey, FamilyKey};
use super::model::{Base, Condition, GivenRule, RuleBase};

/// For each fact the values that are still possible. Nothing known: all of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Context {
    possible: Vec<Option<Vec<usize>>>,
    expected: Vec<Option<Vec<usize>>>,
}

impl Context {
    /// Nothing known.
    pub fn unknown(rules: &RuleBase) -> Self {
        Self { possible: vec![None; rules.facts.len()], expected: vec![None; rules.facts.len()] }
    }

    /// Says what a fact most likely is though nobody said it, such as the kind of mould that the alloy's own record names.
    /// It only shares out the chances: the fact stays unknown, so that nothing is held for or against a cause by it.
    pub fn expect(&mut self, fact: FactKey, values: Vec<usize>) {
        if let Some(slot) = self.expected.get_mut(fact.index()) {
            *slot = (!values.is_empty()).then_some(values);
        }
    }

    /// Narrows a fact to some values.
    pub fn narrow(&mut self, fact: FactKey, values: Vec<usize>) {
        if let Some(slot) = self.possible.get_mut(fact.index()) {
            *slot = (!values.is_empty()).then_some(values);
        }
    }

    /// The one value, when only one is possible.
    pub fn value(&self, fact: FactKey) -> Option<usize> {
        match self.possible.get(fact.index())?.as_deref()? {
            [one] => Some(*one),
            _ => None,
        }
    }

    /// True when something is known of a fact.
    pub fn knows(&self, fact: FactKey) -> bool {
        self.possible.get(fact.index()).is_some_and(Option::is_some)
    }

    /// Share of each value among those still possible; sums to 1.
    fn shares<'a>(&'a self, rules: &'a RuleBase, fact: FactKey) -> impl Iterator<Item = (usize, f64)> + 'a {
        let listed = |of: &'a [Option<Vec<usize>>]| of.get(fact.index()).and_then(Option::as_ref);
        let possible = listed(&self.possible).or_else(|| listed(&self.expected));
        let open = move |v: &usize| possible.is_none_or(|p| p.contains(v));
        let values = &rules.fact(fact).values;
        // The family's own shares cannot hang on the family.
        let weight = move |v: usize| match &values[v].share {
            share if fact == FactKey::FAMILY => share.default.value,
            share => self.base(rules, share),
        };
        let total: f64 = (0..values.len()).filter(open).map(weight).sum();
        let count = (0..values.len()).filter(open).count();
        (0..values.len()).filter(open).map(move |v| {
            // Values that the shares give no weight are equally likely.
            #[expect(clippy::cast_precision_loss, reason = "a handful of values")]
            let share = if total > 0.0 { weight(v) / total } else { 1.0 / count as f64 };
            (v, share)
        })
    }

    /// How surely a fact has one of some values.
    pub fn chance(&self, rules: &RuleBase, fact: FactKey, values: &[usize]) -> f64 {
        self.shares(rules, fact)
            .filter(|(v, _)| values.contains(v))
            .map(|(_, s)| s)
            .sum::<f64>()
            .clamp(0.0, 1.0)
    }

    /// How surely a condition holds: 1 or 0 when all it asks is known, the share of the values otherwise.
    pub fn holds(&self, rules: &RuleBase, condition: &Condition) -> f64 {
        let only: f64 = condition.only.iter().map(|(f, vs)| self.chance(rules, *f, vs)).product();
        let unless: f64 = condition.unless.iter().map(|(f, vs)| 1.0 - self.chance(rules, *f, vs)).product();
        only * unless
    }

    /// A chance by family: that of the family, or the mean over the families that are possible.
    pub fn base(&self, rules: &RuleBase, base: &Base) -> f64 {
        if rules.families.is_empty() || base.by_family.is_empty() {
            return base.default.value;
        }
        self.shares(rules, FactKey::FAMILY)
            .map(|(v, share)| share * base.by_family.get(&FamilyKey::new(v)).unwrap_or(&base.default).value)
            .sum()
    }

    /// The factor of a fact on a cause's odds; `None` when nothing is known of the fact.
    pub fn factor(&self, rules: &RuleBase, rule: &GivenRule) -> Option<f64> {
        self.knows(rule.fact).then(|| {
            self.shares(rules, rule.fact).map(|(v, s)| s * rule.factors.get(&v).copied().unwrap_or(1.0)).sum()
        })
    }
}
