//! What lists, comparisons and searches need of the cases, small and quick enough for a hundred thousand of them.

mod entry;
mod packed;

pub use entry::{Entry, Marks, Seen};
pub use packed::{Packed, Packer, Part};

use super::case::Case;
use crate::rules::RuleBase;
use crate::rules::names::normal;
use entry::Reach;
use std::collections::HashMap;

/// A word that every case holds still counts this much.
const SMALLEST_WORTH: f64 = 0.05;

/// Cases in short. Each has a place, from 0.
#[derive(Debug, Default)]
pub struct Index {
    reach: Reach,
    volumes: Vec<Volume>,
}

/// Cases of one origin.
#[derive(Debug)]
struct Volume {
    packed: Packed,
    shop: bool,
    /// The place of its first case.
    first: usize,
}

impl Index {
    /// With no cases yet.
    pub fn new(rules: &RuleBase) -> Self {
        Self { reach: Reach::of(rules), volumes: Vec::new() }
    }

    /// Adds cases behind those that are there.
    pub fn add<'c>(&mut self, rules: &RuleBase, cases: impl IntoIterator<Item = &'c Case>, shop: bool) {
        let mut packer = Packer::new(rules);
        cases.into_iter().for_each(|case| packer.add(case));
        self.put(packer.finish(), shop);
    }

    /// The same for cases in short, made with the same rules.
    pub fn put(&mut self, packed: Packed, shop: bool) {
        let first = self.len();
        self.volumes.push(Volume { packed, shop, first });
    }

    /// How many cases.
    pub fn len(&self) -> usize {
        self.volumes.last().map_or(0, |v| v.first + v.packed.len())
    }

    /// True without any.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The case at a place, which is below [`Index::len`].
    pub fn entry(&self, at: usize) -> Entry<'_> {
        let (volume, at) = self.find_volume(at);
        let bytes = volume.map_or(&[][..], |v| v.packed.rows.get(at));
        entry::entry(self.reach, bytes, volume.is_some_and(|v| v.shop))
    }

    /// All cases, in the order of their places.
    pub fn entries(&self) -> impl Iterator<Item = Entry<'_>> {
        (0..self.len()).map(|at| self.entry(at))
    }

    /// The place of a case.
    pub fn find(&self, id: &str) -> Option<usize> {
        self.entries().position(|e| e.id == id)
    }

    /// The marks of all cases, in the order of their places; [`Part::Marks`] must be there.
    pub fn marks(&self) -> impl Iterator<Item = Marks> + '_ {
        self.volumes.iter().flat_map(|v| {
            debug_assert_eq!(v.packed.marks.len(), v.packed.len(), "the marks were not read");
            (0..v.packed.len()).map(|at| entry::marks(self.reach, v.packed.marks.get(at)))
        })
    }

    fn find_volume(&self, at: usize) -> (Option<&Volume>, usize) {
        let volume = self.volumes.iter().rev().find(|v| v.first <= at);
        (volume, volume.map_or(0, |v| at - v.first))
    }

    /// The cases that hold these words, best first, with how well: each word counts by how rare it is, by where it
    /// stands and by how near a word of the case comes to it. [`Part::Words`] must be there.
    pub fn search(&self, words: &str) -> Vec<(usize, f64)> {
        let wanted = normal(words);
        let wanted: Vec<&str> = wanted.split(' ').filter(|w| !w.is_empty()).collect();
        let mut total = vec![0.0_f64; self.len()];
        let mut hits = vec![0_u32; self.len()];
        let mut best = vec![0.0_f64; self.len()];
        for word in &wanted {
            best.fill(0.0);
            for (volume, number, worth) in self.meant(word) {
                for (at, weight) in volume.packed.words.holders(number) {
                    if let Some(best) = best.get_mut(volume.first + at) {
                        *best = best.max(worth * weight.sqrt());
                    }
                }
            }
            for (at, best) in best.iter().enumerate().filter(|(_, best)| **best > 0.0) {
                total[at] += best;
                hits[at] += 1;
            }
        }
        // A case with all the words goes before one with a single rare word.
        #[expect(clippy::cast_precision_loss, reason = "a handful of words")]
        let of_all = wanted.len().max(1) as f64;
        let found = hits.iter().enumerate().filter(|(_, hits)| **hits > 0);
        let mut found: Vec<(usize, f64)> =
            found.map(|(at, hits)| (at, total[at] * f64::from(*hits) / of_all)).collect();
        found.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        found
    }

    /// The known words that may be meant by a wanted one, each with its worth: how near it comes, and how rare it is.
    fn meant(&self, wanted: &str) -> Vec<(&Volume, usize, f64)> {
        let mut found: Vec<(&Volume, usize, f64)> = Vec::new();
        let mut spread: HashMap<&str, u32> = HashMap::new();
        for volume in &self.volumes {
            debug_assert!(volume.packed.is_empty() || !volume.packed.words.known().is_empty());
            for (number, (known, cases)) in volume.packed.words.known().iter().enumerate() {
                if let Some(near) = nearness(wanted, known) {
                    *spread.entry(known).or_insert(0) += cases;
                    found.push((volume, number, near));
                }
            }
        }
        #[expect(clippy::cast_precision_loss, reason = "counts of cases")]
        let all = self.len() as f64;
        for (volume, number, worth) in &mut found {
            let cases = volume.packed.words.known().get(*number).and_then(|(w, _)| spread.get(w.as_str()));
            let rarity = ((all + 1.0) / (f64::from(cases.copied().unwrap_or(0)) + 0.5)).ln();
            *worth *= rarity.max(SMALLEST_WORTH);
        }
        found
    }
}

/// How near a known word comes to a wanted one: 1 for the same, less for a beginning or a slip, `None` for another.
fn nearness(wanted: &str, known: &str) -> Option<f64> {
    if wanted == known {
        return Some(1.0);
    }
    let length = wanted.chars().count();
    if length >= 4 && known.starts_with(wanted) {
        return Some(0.7);
    }
    let slips = match length {
        0..=3 => return None,
        4..=7 => 1,
        _ => 2,
    };
    // Words whose lengths differ by more cannot be that near; comparing them is the costly part.
    if known.chars().count().abs_diff(length) > slips {
        return None;
    }
    let apart = strsim::osa_distance(wanted, known);
    match apart {
        1 if slips >= 1 => Some(0.6),
        2 if slips >= 2 => Some(0.4),
        _ => None,
    }
}
