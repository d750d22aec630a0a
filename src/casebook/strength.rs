//! Which numbers the answers hang on: each strength and base rate is moved one word up and one down, and the cases
//! are asked again.

use super::case::Case;
use super::score::{Answer, answer};
use crate::rules::{CauseKey, DefectKey, Finding, RuleBase, SignKey, Strength};
use std::collections::HashSet;
use std::sync::atomic::{AtomicUsize, Ordering};

/// A number of the rules that can be moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Number {
    /// How often a cause is there at all, in every family.
    Base(CauseKey),
    /// A cause's link to a defect, by its place in the list.
    Produces(CauseKey, usize),
    /// A cause's link to a sign.
    CauseShows(CauseKey, usize),
    /// A defect's link to a sign.
    DefectShows(DefectKey, usize),
}

impl Number {
    /// Every number of a rule base.
    pub fn all(rules: &RuleBase) -> Vec<Self> {
        let mut found = Vec::new();
        for key in rules.cause_keys() {
            let cause = rules.cause(key);
            found.push(Self::Base(key));
            found.extend((0..cause.produces.len()).map(|at| Self::Produces(key, at)));
            found.extend((0..cause.shows.len()).map(|at| Self::CauseShows(key, at)));
        }
        for key in rules.defect_keys() {
            found.extend((0..rules.defect(key).shows.len()).map(|at| Self::DefectShows(key, at)));
        }
        found
    }

    /// What it is, in words with ids.
    pub fn words(self, rules: &RuleBase) -> String {
        match self {
            Self::Base(c) => format!("{} at all", rules.cause(c).id),
            Self::Produces(c, at) => {
                let cause = rules.cause(c);
                let to = cause.produces.get(at).map_or("", |l| rules.defect(l.to).id.as_str());
                format!("{} > {to}", cause.id)
            }
            Self::CauseShows(c, at) => {
                let cause = rules.cause(c);
                let to = cause.shows.get(at).map_or("", |l| rules.sign(l.to).id.as_str());
                format!("{} > {to}", cause.id)
            }
            Self::DefectShows(d, at) => {
                let defect = rules.defect(d);
                let to = defect.shows.get(at).map_or("", |l| rules.sign(l.to).id.as_str());
                format!("{} > {to}", defect.id)
            }
        }
    }

    /// Its value now; of a base rate that for families not named.
    pub fn value(self, rules: &RuleBase) -> f64 {
        let link = match self {
            Self::Base(c) => Some(&rules.cause(c).base.default),
            Self::Produces(c, at) => rules.cause(c).produces.get(at).map(|l| &l.strength),
            Self::CauseShows(c, at) => rules.cause(c).shows.get(at).map(|l| &l.strength),
            Self::DefectShows(d, at) => rules.defect(d).shows.get(at).map(|l| &l.strength),
        };
        link.map_or(0.0, |s| s.value)
    }

    fn strengths(self, rules: &mut RuleBase) -> Vec<&mut Strength> {
        match self {
            Self::Base(c) => {
                let base = &mut rules.causes[c.index()].base;
                std::iter::once(&mut base.default).chain(base.by_family.values_mut()).collect()
            }
            Self::Produces(c, at) => {
                rules.causes[c.index()].produces.get_mut(at).map(|l| &mut l.strength).into_iter().collect()
            }
            Self::CauseShows(c, at) => {
                rules.causes[c.index()].shows.get_mut(at).map(|l| &mut l.strength).into_iter().collect()
            }
            Self::DefectShows(d, at) => {
                rules.defects[d.index()].shows.get_mut(at).map(|l| &mut l.strength).into_iter().collect()
            }
        }
    }
}

/// The next word above or below a value.
fn step(words: &[f64], value: f64, up: bool) -> f64 {
    // What cannot be (a base rate of 0) stays so: a word more would make a new rule.
    if value <= 0.0 {
        return value;
    }
    let same = |w: f64| (w - value).abs() < 1e-9;
    let next = if up {
        words.iter().copied().filter(|w| *w > value && !same(*w)).fold(f64::INFINITY, f64::min)
    } else {
        words.iter().copied().filter(|w| *w < value && !same(*w)).fold(f64::NEG_INFINITY, f64::max)
    };
    // Past the last word: half the way to certainty or to never.
    match (next.is_finite(), up) {
        (true, _) => next,
        (false, true) => f64::midpoint(value, 1.0),
        (false, false) => value / 2.0,
    }
}

/// What moving a number does to the measurement.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Change {
    /// Change of the mean log loss over all cases that name a cause; above 0 is worse.
    pub log_loss: f64,
    /// Change of how many cases have a right cause first.
    pub first: i32,
    /// Change of how many have one among the first three.
    pub in_three: i32,
}

/// One number and what moving it does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effect {
    /// Which.
    pub number: Number,
    /// One word up.
    pub up: Change,
    /// One word down.
    pub down: Change,
}

impl Effect {
    /// How much the answers hang on it: the larger change of the log loss.
    pub fn size(&self) -> f64 {
        self.up.log_loss.abs().max(self.down.log_loss.abs())
    }
}

/// What a case's answer can hang on: its findings and the defects behind them.
struct Reach {
    signs: HashSet<SignKey>,
    defects: HashSet<DefectKey>,
    causes: HashSet<CauseKey>,
}

impl Reach {
    fn of(rules: &RuleBase, case: &Case) -> Self {
        let mut signs = HashSet::new();
        let mut named = HashSet::new();
        for observation in &case.observations {
            match observation.finding {
                Finding::Sign(s) => {
                    signs.insert(s);
                }
                Finding::Defect(d) => {
                    named.insert(d);
                    named.extend(rules.defect(d).look_alikes.iter().map(|a| a.defect));
                }
            }
        }
        let shows = |d: &DefectKey| rules.defect(*d).shows.iter().any(|l| signs.contains(&l.to));
        let mut defects: HashSet<DefectKey> = rules.defect_keys().filter(shows).collect();
        defects.extend(named);
        let touched = |c: &CauseKey| {
            let cause = rules.cause(*c);
            case.names(*c)
                || cause.produces.iter().any(|l| defects.contains(&l.to))
                || cause.shows.iter().any(|l| signs.contains(&l.to))
        };
        let causes = rules.cause_keys().filter(touched).collect();
        Self { signs, defects, causes }
    }

    fn holds(&self, rules: &RuleBase, number: Number) -> bool {
        match number {
            Number::Base(c) => self.causes.contains(&c),
            Number::Produces(c, at) => {
                rules.cause(c).produces.get(at).is_some_and(|l| self.defects.contains(&l.to))
            }
            Number::CauseShows(c, at) => {
                rules.cause(c).shows.get(at).is_some_and(|l| self.signs.contains(&l.to))
            }
            Number::DefectShows(d, at) => {
                rules.defect(d).shows.get(at).is_some_and(|l| self.signs.contains(&l.to))
            }
        }
    }
}

/// Moves every number that a case can hang on, the work shared out over the cores; those on which the answers hang
/// most come first. Cases without a cause or an answer are left out.
pub fn strength(rules: &RuleBase, cases: &[Case]) -> Vec<Effect> {
    let counted: Vec<(&Case, Answer, Reach)> = cases
        .iter()
        .filter_map(|c| Some((c, answer(rules, c).ok()?)))
        .filter(|(_, a)| a.rank.is_some())
        .map(|(c, a)| (c, a, Reach::of(rules, c)))
        .collect();
    let numbers: Vec<Number> = Number::all(rules)
        .into_iter()
        .filter(|n| counted.iter().any(|(_, _, reach)| reach.holds(rules, *n)))
        .collect();
    let next = AtomicUsize::new(0);
    let workers = std::thread::available_parallelism().map_or(1, usize::from).clamp(1, 8);
    let mut effects: Vec<Effect> = std::thread::scope(|scope| {
        let handles: Vec<_> = (0..workers)
            .map(|_| {
                scope.spawn(|| {
                    let mut rules = rules.clone();
                    let mut mine = Vec::new();
                    loop {
                        let at = next.fetch_add(1, Ordering::Relaxed);
                        let Some(&number) = numbers.get(at) else { break mine };
                        let up = moved(&mut rules, number, true, &counted);
                        let down = moved(&mut rules, number, false, &counted);
                        mine.push(Effect { number, up, down });
                    }
                })
            })
            .collect();
        handles.into_iter().flat_map(|h| h.join().unwrap_or_default()).collect()
    });
    effects.sort_by(|a, b| b.size().total_cmp(&a.size()).then(a.number.cmp(&b.number)));
    effects
}

fn moved(rules: &mut RuleBase, number: Number, up: bool, counted: &[(&Case, Answer, Reach)]) -> Change {
    let words: Vec<f64> = rules.strengths.iter().map(|(_, v)| *v).collect();
    let before: Vec<f64> = number.strengths(rules).iter().map(|s| s.value).collect();
    for strength in number.strengths(rules) {
        strength.value = step(&words, strength.value, up);
    }
    let mut change = Change::default();
    for (case, old, reach) in counted {
        if !reach.holds(rules, number) {
            continue;
        }
        let Ok(new) = answer(rules, case) else { continue };
        change.log_loss += new.log_loss().unwrap_or(0.0) - old.log_loss().unwrap_or(0.0);
        let within = |a: &Answer, most: usize| i32::from(a.rank.is_some_and(|r| r <= most));
        change.first += within(&new, 1) - within(old, 1);
        change.in_three += within(&new, 3) - within(old, 3);
    }
    for (strength, value) in number.strengths(rules).into_iter().zip(before) {
        strength.value = value;
    }
    #[expect(clippy::cast_precision_loss, reason = "a few hundred cases")]
    let count = counted.len().max(1) as f64;
    change.log_loss /= count;
    change
}

#[cfg(test)]
mod tests {
    use super::step;

    #[test]
    fn a_step_goes_to_the_next_word_and_never_out_of_range() {
        let words = [0.05, 0.2, 0.5, 0.9];
        for (value, up, wanted) in [
            (0.2, true, 0.5),
            (0.2, false, 0.05),
            (0.3, true, 0.5),
            (0.9, true, 0.95),
            (0.05, false, 0.025),
            (0.0, true, 0.0),
        ] {
            assert!((step(&words, value, up) - wanted).abs() < 1e-12, "{value} {up}");
        }
    }
}
