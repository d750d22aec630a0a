//! A path through the cases from easy to hard, so that each step adds something new.

use super::Status;
use super::index::{Entry, Index};
use crate::rules::{CauseKey, DefectKey};
use std::collections::HashSet;

/// Without one a case is neither easy nor hard.
const USUAL_LEVEL: u8 = 2;

/// One step of the path.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// The case's place in the index.
    pub at: usize,
    /// How hard the case is, from 1.
    pub level: u8,
    /// Defects that no step before had.
    pub new_defects: Vec<DefectKey>,
    /// Causes that no step before had.
    pub new_causes: Vec<CauseKey>,
}

/// What was learnt so far.
#[derive(Default)]
struct Known {
    defects: HashSet<DefectKey>,
    causes: HashSet<CauseKey>,
}

impl Known {
    fn gain(&self, entry: &Entry<'_>) -> usize {
        let news = entry.what.iter().filter(|d| !self.defects.contains(d)).count();
        2 * news + entry.causes.iter().filter(|c| !self.causes.contains(c)).count()
    }

    fn learn(&mut self, at: usize, entry: &Entry<'_>) -> Step {
        Step {
            at,
            level: level(entry),
            new_defects: entry.what.iter().copied().filter(|d| self.defects.insert(*d)).collect(),
            new_causes: entry.causes.iter().copied().filter(|c| self.causes.insert(*c)).collect(),
        }
    }
}

/// The closed cases in an order to learn them: by level, within a level the one that adds most comes next, and what
/// adds nothing new comes last as repetition.
pub fn path(index: &Index) -> Vec<Step> {
    let teaches = |e: &Entry<'_>| e.status == Status::Closed && !e.causes.is_empty();
    let mut left: Vec<(usize, Entry<'_>)> = index.entries().enumerate().filter(|(_, e)| teaches(e)).collect();
    left.sort_by(|(_, a), (_, b)| level(a).cmp(&level(b)).then(a.id.cmp(b.id)));
    let mut known = Known::default();
    let mut steps = Vec::with_capacity(left.len());
    for group in left.chunk_by(|(_, a), (_, b)| level(a) == level(b)) {
        let mut group: Vec<&(usize, Entry<'_>)> = group.iter().collect();
        let mut repeats = Vec::new();
        loop {
            // Once a case adds nothing it never will again, so that of a shop's thousands few are looked at twice.
            let (add, more): (Vec<_>, Vec<_>) = group.into_iter().partition(|(_, e)| known.gain(e) > 0);
            repeats.extend(more);
            group = add;
            // Of those that add as much the first.
            let best = group.iter().rev().max_by_key(|(_, e)| known.gain(e)).map(|(at, _)| *at);
            let Some(place) = best.and_then(|at| group.iter().position(|(a, _)| *a == at)) else { break };
            let (at, entry) = group.remove(place);
            steps.push(known.learn(*at, entry));
        }
        steps.extend(repeats.into_iter().map(|(at, entry)| known.learn(*at, entry)));
    }
    steps
}

fn level(entry: &Entry<'_>) -> u8 {
    entry.level.unwrap_or(USUAL_LEVEL)
}
