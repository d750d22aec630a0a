//! Names that share words with what was left over, in whatever order.

use super::super::model::Finding;
use super::Understood;
use super::lexicon::{Fault, Lexicon, Target};
use super::matching::Line;
use super::speech::is_denial;
use std::collections::{BTreeMap, HashSet};

/// Words looked at together. A long clause without marks is no single thought.
const WINDOW: usize = 12;
/// The share of a name's weight that must be there.
const ENOUGH: f64 = 0.7;
/// How many a window may bring, and how many all.
const FROM_WINDOW: usize = 2;
const AT_MOST: usize = 6;

/// A likeness found.
pub(super) struct Alike {
    pub(super) finding: Finding,
    pub(super) on: Vec<usize>,
    pub(super) first: usize,
    pub(super) last: usize,
    score: f64,
}

/// Findings with a name of which most of the weight stands in one window, at least one word of it not understood
/// otherwise. A word weighs the more the fewer names have it.
pub(super) fn alike(lexicon: &Lexicon, line: &Line, covered: &[bool], understood: &Understood) -> Vec<Alike> {
    let stated: HashSet<Finding> = understood
        .stated
        .iter()
        .map(|s| s.finding)
        .chain(understood.perhaps.iter().map(|p| p.finding))
        .collect();
    let mut found: Vec<Alike> = Vec::new();
    for window in line.clauses.iter().flat_map(|clause| clause.chunks(WINDOW)) {
        if window.iter().all(|w| covered[*w]) {
            continue;
        }
        let mut here: Vec<Alike> = in_window(lexicon, line, covered, window)
            .into_iter()
            .filter(|a| !stated.contains(&a.finding))
            .collect();
        here.sort_by(|a, b| b.score.total_cmp(&a.score).then_with(|| a.finding.cmp(&b.finding)));
        here.truncate(FROM_WINDOW);
        found.extend(here);
    }
    found.sort_by(|a, b| b.score.total_cmp(&a.score).then_with(|| a.first.cmp(&b.first)));
    let mut seen = HashSet::new();
    found.retain(|a| seen.insert(a.finding));
    found.truncate(AT_MOST);
    found
}

fn in_window(lexicon: &Lexicon, line: &Line, covered: &[bool], window: &[usize]) -> Vec<Alike> {
    let mut words_of: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    let mut counted = HashSet::new();
    for &at in window {
        let stem = &line.tokens[at].stem;
        // What a "no" in a name turns round, likeness cannot tell.
        if is_denial(&line.tokens[at].word) {
            continue;
        }
        if counted.insert(stem) {
            for &phrase in lexicon.by_any.get(stem).into_iter().flatten() {
                words_of.entry(phrase).or_default().push(at);
            }
        }
    }
    let mut best: BTreeMap<Finding, Alike> = BTreeMap::new();
    for (at, on) in words_of {
        let phrase = &lexicon.phrases[at];
        let Target::Finding(finding) = phrase.target else { continue };
        if on.len() < 2 || phrase.denies || on.iter().all(|w| covered[*w]) {
            continue;
        }
        // "All over" is no likeness of "holes all over" where nothing is said of holes.
        let speaks = |fault: &Fault| on.iter().any(|w| fault.is_in(&line.tokens[*w].stem));
        if Fault::ALL.iter().any(|f| phrase.stems.iter().any(|s| f.is_in(s)) && !speaks(f)) {
            continue;
        }
        let unique: HashSet<&String> = phrase.stems.iter().collect();
        let mut weights: Vec<f64> = unique.into_iter().map(|s| weight(lexicon, s)).collect();
        weights.sort_by(f64::total_cmp);
        let whole: f64 = weights.iter().sum();
        let there: f64 = on.iter().map(|w| weight(lexicon, &line.tokens[*w].stem)).sum();
        if there < ENOUGH * whole {
            continue;
        }
        let score = there * there / whole;
        if best.get(&finding).is_none_or(|b| b.score < score) {
            let first = on.iter().copied().min().unwrap_or(0);
            let last = on.iter().copied().max().unwrap_or(0);
            best.insert(finding, Alike { finding, on, first, last, score });
        }
    }
    best.into_values().collect()
}

/// The natural logarithm of names over names with the word.
#[expect(clippy::cast_precision_loss, reason = "a few thousand names")]
fn weight(lexicon: &Lexicon, stem: &str) -> f64 {
    let with = lexicon.by_any.get(stem).map_or(1, Vec::len);
    (lexicon.phrases.len() as f64 / with as f64).ln()
}
