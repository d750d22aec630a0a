//! A path through the cases from easy to hard, so that each step adds something new.

use super::index::{Entry, Index};
use crate::rules::{CauseKey, DefectKey};
use std::collections::HashSet;

/// One step of the path.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// The case's place in the index.
    pub at: usize,
    /// Defects that no step before had.
    pub new_defects: Vec<DefectKey>,
    /// Causes that no step before had.
    pub new_causes: Vec<CauseKey>,
}

/// The closed cases in an order to learn them: by level, within a level the one that adds most comes next, and what
/// adds nothing new comes last as repetition.
pub fn path(index: &Index) -> Vec<Step> {
    let mut left: Vec<usize> = (0..index.entries.len())
        .filter(|at| {
            let entry = &index.entries[*at];
            entry.status == super::Status::Closed && !entry.causes.is_empty()
        })
        .collect();
    left.sort_by(|a, b| {
        let key = |at: &usize| (level(&index.entries[*at]), index.entries[*at].id.clone());
        key(a).cmp(&key(b))
    });
    let mut defects: HashSet<DefectKey> = HashSet::new();
    let mut causes: HashSet<CauseKey> = HashSet::new();
    let mut steps = Vec::with_capacity(left.len());
    let mut start = 0;
    while start < left.len() {
        let of_level = level(&index.entries[left[start]]);
        let end =
            start + left[start..].iter().take_while(|at| level(&index.entries[**at]) == of_level).count();
        // The list is short within a level of a teaching casebook; a shop's thousands only repeat.
        let mut group: Vec<usize> = left[start..end].to_vec();
        let mut repeats: Vec<usize> = Vec::new();
        while !group.is_empty() {
            let gain = |at: usize| {
                let entry = &index.entries[at];
                let news = entry.what.iter().filter(|d| !defects.contains(d)).count();
                2 * news + entry.causes.iter().filter(|c| !causes.contains(c)).count()
            };
            repeats.extend(group.iter().copied().filter(|at| gain(*at) == 0));
            group.retain(|at| gain(*at) > 0);
            let mut best: Option<(usize, usize)> = None;
            for (place, at) in group.iter().enumerate() {
                let gain = gain(*at);
                if best.is_none_or(|(_, most)| gain > most) {
                    best = Some((place, gain));
                }
            }
            let Some((place, _)) = best else { break };
            let at = group.remove(place);
            let entry = &index.entries[at];
            let new = Step {
                at,
                new_defects: entry.what.iter().copied().filter(|d| defects.insert(*d)).collect(),
                new_causes: entry.causes.iter().copied().filter(|c| causes.insert(*c)).collect(),
            };
            steps.push(new);
        }
        steps.extend(repeats.into_iter().map(|at| Step {
            at,
            new_defects: Vec::new(),
            new_causes: Vec::new(),
        }));
        start = end;
    }
    steps
}

fn level(entry: &Entry) -> u8 {
    entry.level.unwrap_or(2)
}
