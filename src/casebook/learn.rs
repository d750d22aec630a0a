//! What a shop's closed cases say about how often each cause happens there.
//!
//! The base rate of a cause in a family of alloys is taken as the mean of a Beta distribution that is worth
//! [`WEIGHT`] closed cases; the shop's own closed cases are counted on top, those of other families with
//! [`BORROWED`] of their weight. With no closed cases nothing changes.

use super::case::Status;
use super::index::Entry;
use crate::rules::{CauseKey, FamilyKey, RuleBase, Strength};
use crate::units::round;
use std::collections::BTreeMap;

/// How many closed cases the rules' own rates are worth: graded by hand, so that a dozen cases move a rate by a
/// quarter of the way.
pub const WEIGHT: f64 = 40.0;
/// However many cases there are, a cause is made no less than two thirds and no more than twice as likely by
/// them: what a shop writes down is a choice, and its silence must not rule out what the rules know.
pub const BOUNDS: (f64, f64) = (2.0 / 3.0, 2.0);
/// What a case of another family counts.
pub const BORROWED: f64 = 0.25;

/// Closed cases, counted.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Counts {
    /// All closed cases with a cause that the rules know.
    pub closed: u32,
    /// Of these, by family; a case whose family is not known counts in none.
    families: BTreeMap<FamilyKey, u32>,
    /// Cases with a cause, by family.
    causes: BTreeMap<CauseKey, (u32, BTreeMap<FamilyKey, u32>)>,
}

impl Counts {
    /// Counts the closed ones among some cases. A metal of several families could be any of them and counts in none.
    pub fn of<'e>(entries: impl IntoIterator<Item = Entry<'e>>) -> Self {
        let mut counts = Self::default();
        for entry in entries {
            if entry.status == Status::Closed && !entry.causes.is_empty() {
                let family = match entry.families.as_slice() {
                    [one] => Some(FamilyKey::new(usize::from(*one))),
                    _ => None,
                };
                counts.add(family, &entry.causes);
            }
        }
        counts
    }

    /// Counts one closed case.
    pub fn add(&mut self, family: Option<FamilyKey>, causes: &[CauseKey]) {
        self.closed += 1;
        if let Some(family) = family {
            *self.families.entry(family).or_insert(0) += 1;
        }
        let mut each: Vec<CauseKey> = causes.to_vec();
        each.sort_unstable();
        each.dedup();
        for cause in each {
            let entry = self.causes.entry(cause).or_default();
            entry.0 += 1;
            if let Some(family) = family {
                *entry.1.entry(family).or_insert(0) += 1;
            }
        }
    }

    /// How many closed cases had this cause.
    pub fn with(&self, cause: CauseKey) -> u32 {
        self.causes.get(&cause).map_or(0, |c| c.0)
    }

    /// The rate of a cause in a family, the rules' own being `rate`. A rate of 0 means "cannot be" and stays.
    pub fn rate(&self, cause: CauseKey, family: FamilyKey, rate: f64) -> f64 {
        if self.closed == 0 || rate <= 0.0 {
            return rate;
        }
        let own = f64::from(self.families.get(&family).copied().unwrap_or(0));
        let others = f64::from(self.closed) - own;
        let all = f64::from(self.with(cause));
        let hits = self.causes.get(&cause).and_then(|c| c.1.get(&family)).copied().unwrap_or(0);
        let hits = f64::from(hits);
        let counted = hits + BORROWED * (all - hits);
        let mean = (WEIGHT * rate + counted) / (WEIGHT + own + BORROWED * others);
        mean.clamp(rate * BOUNDS.0, (rate * BOUNDS.1).min(0.9).max(rate))
    }

    /// Writes the tuned rates into the rules.
    pub fn tune(&self, rules: &mut RuleBase) {
        if self.closed == 0 {
            return;
        }
        let families: Vec<FamilyKey> = rules.family_keys().collect();
        for at in 0..rules.causes.len() {
            let key = CauseKey::new(at);
            let base = &mut rules.causes[at].base;
            for family in &families {
                let shipped = base.by_family.get(family).unwrap_or(&base.default).value;
                let tuned = self.rate(key, *family, shipped);
                base.by_family.insert(*family, Strength { value: tuned, word: None });
            }
        }
    }

    /// What the closed cases say of a cause, in words; `None` with no closed case.
    pub fn words_of(&self, rules: &RuleBase, cause: CauseKey) -> Option<String> {
        if self.closed == 0 {
            return None;
        }
        let s = if self.closed == 1 { "" } else { "s" };
        let base = &rules.cause(cause).base;
        let of_family = |f: FamilyKey| {
            let own = base.by_family.get(&f).unwrap_or(&base.default).value;
            (own > 0.0).then(|| self.rate(cause, f, own))
        };
        let rates: Vec<f64> = rules.family_keys().filter_map(of_family).collect();
        let show = |v: f64| round(v, 3).to_string();
        let (low, high) = rates.iter().fold((1.0_f64, 0.0_f64), |(l, h), r| (l.min(*r), h.max(*r)));
        let chance = match (show(low), show(high)) {
            _ if rates.is_empty() => String::new(),
            (low, high) if low == high => format!("; with them the chance is {low}"),
            (low, high) => format!("; with them the chance is {low} to {high}, by family"),
        };
        Some(format!("{} of your {} closed case{s}{chance}", self.with(cause), self.closed))
    }

    /// In words, for a screen that uses the tuned rates.
    pub fn words(&self) -> String {
        let s = if self.closed == 1 { "" } else { "s" };
        format!(
            "How often each cause happens is tuned by {} closed case{s} of the shop; the rules' own rates count as \
             {WEIGHT:.0} cases. --untuned leaves them out.",
            self.closed
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_closed_case_changes_nothing() {
        let rules = crate::rules::shipped(&crate::sheet::catalogue()).rules;
        let mut tuned = rules.clone();
        Counts::default().tune(&mut tuned);
        assert!(rules.causes == tuned.causes);
    }

    #[test]
    fn the_rate_is_the_mean_of_the_beta() {
        let mut counts = Counts::default();
        let (family, cause) = (FamilyKey::new(0), CauseKey::new(3));
        for at in 0..10 {
            counts.add(Some(family), &[if at < 4 { cause } else { CauseKey::new(5) }]);
        }
        // 40 cases at 0.1 and 10 more with 4: (4 + 4) / 50.
        assert!((counts.rate(cause, family, 0.1) - 0.16).abs() < 1e-12);
        // Many more change it by no more than twice.
        for _ in 0..1000 {
            counts.add(Some(FamilyKey::new(2)), &[cause]);
        }
        assert!((counts.rate(cause, FamilyKey::new(2), 0.1) - 0.2).abs() < 1e-12);
        counts = Counts::default();
        for at in 0..10 {
            counts.add(Some(family), &[if at < 4 { cause } else { CauseKey::new(5) }]);
        }
        // Another family borrows a quarter: (4 + 1) / 42.5.
        assert!((counts.rate(cause, FamilyKey::new(1), 0.1) - 5.0 / 42.5).abs() < 1e-12);
        assert_eq!(counts.rate(cause, family, 0.0), 0.0);
        assert_eq!(counts.with(cause), 4);
    }
}
