//! The quiz as a state machine: no terminal, no clock, no disk.
//!
//! The learner sees what a caster sees first, may pay for a closer look, and then names the defect, the cause and the
//! first change. Nothing of the story, the proof or the answer leaves this module before the three are named.

use super::case::{Case, Status};
use super::index::Entry;
use crate::advice::Observation;
use crate::inference::Random;
use crate::rules::{CauseKey, DefectKey, Finding, RemedyKey, RuleBase};
use std::collections::BTreeMap;

/// Points for the right defect.
pub const DEFECT_POINTS: f64 = 3.0;
/// Points for the right cause.
pub const CAUSE_POINTS: f64 = 4.0;
/// Points for a change that was made and helped.
pub const CHANGE_POINTS: f64 = 3.0;
/// What a closer look costs.
pub const LOOK_COST: f64 = 0.5;
/// From which effect on a proved cause on another change is half right.
const HELPS: f64 = 0.5;
/// How many answers are offered.
const OFFERED: usize = 5;
/// How many signs are seen for nothing.
const FREE: usize = 2;

/// What a learner has done so far.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Record {
    /// For each case: how often it was asked, and the points of the last time.
    pub cases: BTreeMap<String, (u32, f64)>,
    /// What was right, what was said, and how often: ids of defects and causes.
    pub mixed: BTreeMap<(String, String), u32>,
}

impl Record {
    /// How much a case is wanted next: what was missed comes more often, what was just done well less.
    fn weight(&self, rules: &RuleBase, case: &Entry<'_>) -> u64 {
        let missed: u32 = self
            .mixed
            .iter()
            .filter(|((right, _), _)| {
                case.what.iter().any(|d| rules.defect(*d).id == *right)
                    || case.causes.iter().any(|c| rules.cause(*c).id == *right)
            })
            .map(|(_, count)| *count)
            .sum();
        let fresh = match self.cases.get(case.id) {
            None => 4,
            Some((_, points)) if *points >= 8.0 => 1,
            Some(_) => 3,
        };
        u64::from(fresh + 4 * missed.min(5))
    }

    /// Takes down how a case went.
    pub fn note(&mut self, rules: &RuleBase, case: &Case, result: &Marked) {
        let entry = self.cases.entry(case.id.clone()).or_insert((0, 0.0));
        entry.0 += 1;
        entry.1 = result.points;
        let mut mix = |right: Option<String>, said: &str| {
            if let Some(right) = right.filter(|r| r != said) {
                *self.mixed.entry((right, said.to_owned())).or_insert(0) += 1;
            }
        };
        if result.defect_points == 0.0 {
            mix(case.what.first().map(|d| rules.defect(*d).id.clone()), &rules.defect(result.defect).id);
        }
        if result.cause_points == 0.0 {
            mix(case.causes.first().map(|c| rules.cause(*c).id.clone()), &rules.cause(result.cause).id);
        }
    }

    /// Mixed up most often: right, said, times.
    pub fn worst(&self) -> Vec<(&str, &str, u32)> {
        let mut all: Vec<(&str, &str, u32)> =
            self.mixed.iter().map(|((r, s), n)| (r.as_str(), s.as_str(), *n)).collect();
        all.sort_by(|a, b| b.2.cmp(&a.2).then(a.cmp(b)));
        all
    }
}

/// True when a case can be asked: closed, with everything that the three questions need.
pub fn askable(case: &Case) -> bool {
    case.status == Status::Closed
        && !case.what.is_empty()
        && !case.causes.is_empty()
        && !case.change.is_empty()
        && case.observations.iter().any(|o| is_sign(o) && o.is_present())
}

fn is_sign(observation: &Observation) -> bool {
    matches!(observation.finding, Finding::Sign(_))
}

/// Chooses the next case: its place in the list; `None` when there is none.
pub fn choose(rules: &RuleBase, cases: &[Entry<'_>], record: &Record, chance: &mut Random) -> Option<usize> {
    let weights: Vec<u64> = cases.iter().map(|c| record.weight(rules, c)).collect();
    let total: u64 = weights.iter().sum();
    let mut left = chance.number().checked_rem(total)?;
    for (at, weight) in weights.iter().enumerate() {
        if left < *weight {
            return Some(at);
        }
        left -= weight;
    }
    None
}

/// The answers that a learner may choose from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    /// Defects.
    pub defects: Vec<DefectKey>,
    /// Causes.
    pub causes: Vec<CauseKey>,
    /// Remedies.
    pub changes: Vec<RemedyKey>,
}

/// One case being asked.
#[derive(Debug)]
pub struct Round<'a> {
    rules: &'a RuleBase,
    case: &'a Case,
    /// Signs in the order in which they are uncovered.
    order: Vec<Observation>,
    uncovered: usize,
    sheet_shown: bool,
    looks: u32,
    offer: Offer,
}

/// How a round went.
#[derive(Debug, Clone, PartialEq)]
pub struct Marked {
    /// All points, looks taken off; never below 0.
    pub points: f64,
    /// Of the defect.
    pub defect_points: f64,
    /// Of the cause.
    pub cause_points: f64,
    /// Of the change.
    pub change_points: f64,
    /// Taken off for looks.
    pub looks: f64,
    /// What was said.
    pub defect: DefectKey,
    /// What was said.
    pub cause: CauseKey,
    /// What was said.
    pub change: RemedyKey,
}

impl<'a> Round<'a> {
    /// Lays a case out.
    pub fn new(rules: &'a RuleBase, case: &'a Case, chance: &mut Random) -> Self {
        // The name somebody gave the fault is left out: to name it is the first question.
        let mut order: Vec<Observation> =
            case.observations.iter().filter(|o| is_sign(o) && o.is_present()).copied().collect();
        chance.shuffle(&mut order);
        order.extend(case.observations.iter().filter(|o| is_sign(o) && !o.is_present()));
        let uncovered = FREE.min(order.len());
        let offer = offer(rules, case, chance);
        Self { rules, case, order, uncovered, sheet_shown: false, looks: 0, offer }
    }

    /// What is seen without a look.
    pub fn seen(&self) -> &[Observation] {
        self.order.get(..self.uncovered).unwrap_or_default()
    }

    /// A closer look: one more finding, while there is one. It costs.
    pub fn look(&mut self) -> Option<Observation> {
        let next = self.order.get(self.uncovered).copied()?;
        self.uncovered += 1;
        self.looks += 1;
        Some(next)
    }

    /// The process sheet. It costs the first time; `None` when nothing stands on it.
    pub fn sheet(&mut self) -> Option<&'a crate::sheet::Sheet> {
        let sheet = &self.case.sheet;
        if sheet.figures.is_empty() && sheet.facts.is_empty() {
            return None;
        }
        if !self.sheet_shown {
            self.sheet_shown = true;
            self.looks += 1;
        }
        Some(sheet)
    }

    /// What may be chosen.
    pub fn offer(&self) -> &Offer {
        &self.offer
    }

    /// Marks the three answers. The answer is known from here on.
    pub fn mark(&self, defect: DefectKey, cause: CauseKey, change: RemedyKey) -> Marked {
        let case = self.case;
        let defect_points = if case.what.contains(&defect) { DEFECT_POINTS } else { 0.0 };
        let cause_points = if case.causes.contains(&cause) {
            CAUSE_POINTS
        } else if case.names(cause) {
            CAUSE_POINTS - 1.0
        } else {
            0.0
        };
        let helps = self
            .rules
            .remedy(change)
            .cures
            .iter()
            .any(|link| case.causes.contains(&link.to) && link.strength.value >= HELPS);
        let change_points = if case.change.contains(&change) {
            CHANGE_POINTS
        } else if helps {
            CHANGE_POINTS / 2.0
        } else {
            0.0
        };
        let looks = f64::from(self.looks) * LOOK_COST;
        let points = (defect_points + cause_points + change_points - looks).max(0.0);
        Marked { points, defect_points, cause_points, change_points, looks, defect, cause, change }
    }
}

/// The right answers among wrong ones that could be taken for them.
fn offer(rules: &RuleBase, case: &Case, chance: &mut Random) -> Offer {
    let mut defects: Vec<DefectKey> = case.what.first().copied().into_iter().collect();
    let called = case.observations.iter().filter_map(|o| match o.finding {
        Finding::Defect(k) if o.is_present() => Some(k),
        _ => None,
    });
    let alike = case.what.iter().flat_map(|d| rules.defect(*d).look_alikes.iter().map(|a| a.defect));
    fill(&mut defects, called.chain(alike), |d| case.what.contains(d));
    fill_by_chance(&mut defects, rules.defects.len(), DefectKey::new, chance, |d| case.what.contains(d));

    let mut causes: Vec<CauseKey> = case.causes.first().copied().into_iter().collect();
    // Rivals bring one of the defects on offer.
    let mut rivals: Vec<CauseKey> = rules
        .cause_keys()
        .filter(|c| rules.cause(*c).produces.iter().any(|l| defects.contains(&l.to)))
        .collect();
    chance.shuffle(&mut rivals);
    fill(&mut causes, rivals.into_iter(), |c| case.names(*c));
    fill_by_chance(&mut causes, rules.causes.len(), CauseKey::new, chance, |c| case.names(*c));

    let mut changes: Vec<RemedyKey> = case.change.first().copied().into_iter().collect();
    let against = causes.iter().filter(|c| !case.names(**c)).filter_map(|c| {
        let cures =
            |r: &RemedyKey| rules.remedy(*r).cures.iter().any(|l| l.to == *c && l.strength.value >= HELPS);
        rules.remedy_keys().find(cures)
    });
    fill(&mut changes, against, |r| case.change.contains(r));
    fill_by_chance(&mut changes, rules.remedies.len(), RemedyKey::new, chance, |r| case.change.contains(r));

    chance.shuffle(&mut defects);
    chance.shuffle(&mut causes);
    chance.shuffle(&mut changes);
    Offer { defects, causes, changes }
}

fn fill<T: Copy + PartialEq>(list: &mut Vec<T>, more: impl Iterator<Item = T>, right: impl Fn(&T) -> bool) {
    for one in more {
        if list.len() >= OFFERED {
            break;
        }
        if !list.contains(&one) && !right(&one) {
            list.push(one);
        }
    }
}

fn fill_by_chance<T: Copy + PartialEq>(
    list: &mut Vec<T>,
    count: usize,
    key: impl Fn(usize) -> T,
    chance: &mut Random,
    right: impl Fn(&T) -> bool,
) {
    let mut all: Vec<T> = (0..count).map(key).collect();
    chance.shuffle(&mut all);
    fill(list, all.into_iter(), right);
}
