//! What search, likeness and lists need of a case, small enough that a hundred thousand fit in memory.

use super::case::{Case, Status};
use crate::advice::Sureness;
use crate::rules::names::normal;
use crate::rules::{CauseKey, DefectKey, Finding, RuleBase, SignKey};
use crate::sheet::{Field, JobAlloy, Sheet};
use serde::{Deserialize, Serialize};
use std::collections::HashMap;

/// Words of the title weigh this much against words of the story.
const IN_TITLE: u8 = 4;
/// Words of what it was, and of its lesson.
const IN_ANSWER: u8 = 2;
/// Words of the story and of what was seen.
const IN_STORY: u8 = 1;

/// How a finding stands in a case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Seen {
    /// Which.
    pub finding: Finding,
    /// Looked for and not there.
    pub absent: bool,
}

/// One case, in short.
#[derive(Debug, Clone)]
pub struct Entry {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Whether the cause is known.
    pub status: Status,
    /// Easy to hard, from 1.
    pub level: Option<u8>,
    /// True for a case of the shop's own folder.
    pub shop: bool,
    /// The alloy's title, when it is known.
    pub alloy: Option<String>,
    /// Its families, when the alloy is known in part.
    pub families: Vec<u16>,
    /// What was seen.
    pub seen: Vec<Seen>,
    /// The defects it was.
    pub what: Vec<DefectKey>,
    /// The proved causes.
    pub causes: Vec<CauseKey>,
    /// Figures of the sheet.
    pub figures: Vec<(Field, f32)>,
    words: Vec<(u32, u8)>,
}

/// An entry as numbers, for keeping on disk; only good for the rules it was made with.
#[derive(Debug, Serialize, Deserialize)]
pub struct Short {
    id: String,
    title: String,
    closed: bool,
    level: Option<u8>,
    alloy: Option<String>,
    families: Vec<u16>,
    seen: Vec<u32>,
    what: Vec<u32>,
    causes: Vec<u32>,
    figures: Vec<(u8, f32)>,
    words: Vec<(u32, u8)>,
}

/// All cases in short, with the words that they use.
#[derive(Debug, Default)]
pub struct Index {
    /// The cases, in the order they were added.
    pub entries: Vec<Entry>,
    vocabulary: Vec<String>,
    numbers: HashMap<String, u32>,
    spread: Vec<u32>,
}

/// A family's number as entries hold it.
fn families_of(rules: &RuleBase, sheet: &Sheet) -> Vec<u16> {
    let number = |k: crate::rules::FamilyKey| u16::try_from(k.index()).unwrap_or(u16::MAX);
    match &sheet.alloy {
        Some(JobAlloy::Known(alloy)) => vec![number(alloy.family)],
        Some(JobAlloy::Family(key)) => vec![number(*key)],
        Some(JobAlloy::Metal(metal)) => {
            rules.family_keys().filter(|k| rules.family(*k).metal == *metal).map(number).collect()
        }
        None => Vec::new(),
    }
}

impl Entry {
    /// A question put as a case: findings and a sheet, no words.
    pub fn question(rules: &RuleBase, observations: &[crate::advice::Observation], sheet: &Sheet) -> Self {
        #[expect(clippy::cast_possible_truncation, reason = "figures of a sheet need no more digits here")]
        let figures = sheet.figures.iter().map(|(f, r)| (*f, r.value as f32)).collect();
        Self {
            id: String::new(),
            title: String::new(),
            status: Status::Open,
            level: None,
            shop: false,
            alloy: sheet.alloy_words(rules),
            families: families_of(rules, sheet),
            // What a sign rules out was not looked for, and follows from the sign.
            seen: observations
                .iter()
                .filter(|o| o.how != Sureness::RuledOut)
                .map(|o| Seen { finding: o.finding, absent: o.how == Sureness::Absent })
                .collect(),
            what: Vec::new(),
            causes: Vec::new(),
            figures,
            words: Vec::new(),
        }
    }

    /// As numbers.
    pub fn short(&self) -> Short {
        let number = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        Short {
            id: self.id.clone(),
            title: self.title.clone(),
            closed: self.status == Status::Closed,
            level: self.level,
            alloy: self.alloy.clone(),
            families: self.families.clone(),
            seen: self
                .seen
                .iter()
                .map(|s| {
                    let (at, defect) = match s.finding {
                        Finding::Defect(k) => (k.index(), 2),
                        Finding::Sign(k) => (k.index(), 0),
                    };
                    number(at) << 2 | defect | u32::from(s.absent)
                })
                .collect(),
            what: self.what.iter().map(|d| number(d.index())).collect(),
            causes: self.causes.iter().map(|c| number(c.index())).collect(),
            figures: self
                .figures
                .iter()
                .filter_map(|(f, v)| Some((u8::try_from(Field::ALL.iter().position(|x| x == f)?).ok()?, *v)))
                .collect(),
            words: self.words.clone(),
        }
    }

    /// From numbers; `None` when they do not fit these rules.
    pub fn from_short(rules: &RuleBase, short: Short) -> Option<Self> {
        let within = |n: u32, count: usize| Some(n as usize).filter(|n| *n < count);
        let seen = short
            .seen
            .iter()
            .map(|s| {
                let finding = if s & 2 != 0 {
                    Finding::Defect(DefectKey::new(within(s >> 2, rules.defects.len())?))
                } else {
                    Finding::Sign(SignKey::new(within(s >> 2, rules.signs.len())?))
                };
                Some(Seen { finding, absent: s & 1 != 0 })
            })
            .collect::<Option<Vec<_>>>()?;
        let what = short.what.iter().map(|d| Some(DefectKey::new(within(*d, rules.defects.len())?)));
        let causes = short.causes.iter().map(|c| Some(CauseKey::new(within(*c, rules.causes.len())?)));
        let figures = short.figures.iter().map(|(f, v)| Some((*Field::ALL.get(usize::from(*f))?, *v)));
        Some(Self {
            status: if short.closed { Status::Closed } else { Status::Open },
            level: short.level,
            shop: true,
            seen,
            what: what.collect::<Option<_>>()?,
            causes: causes.collect::<Option<_>>()?,
            figures: figures.collect::<Option<_>>()?,
            id: short.id,
            title: short.title,
            alloy: short.alloy,
            families: short.families,
            words: short.words,
        })
    }

    /// The defects that it was or was called.
    pub fn defects(&self) -> impl Iterator<Item = DefectKey> + '_ {
        let called = self.seen.iter().filter(|s| !s.absent).filter_map(|s| match s.finding {
            Finding::Defect(k) => Some(k),
            Finding::Sign(_) => None,
        });
        self.what.iter().copied().chain(called)
    }
}

impl Index {
    /// Empty, with words that entries may refer to by their place.
    pub fn with_words(vocabulary: Vec<String>) -> Self {
        let mut index = Self::default();
        for word in &vocabulary {
            index.number(word);
        }
        index
    }

    /// The words, by their numbers.
    pub fn words(&self) -> &[String] {
        &self.vocabulary
    }

    /// Takes in an entry that was made with these words.
    pub fn put(&mut self, mut entry: Entry) {
        let known = self.vocabulary.len();
        entry.words.retain(|(number, _)| (*number as usize) < known);
        for (number, _) in &entry.words {
            self.spread[*number as usize] += 1;
        }
        self.entries.push(entry);
    }

    /// Takes a case in.
    pub fn add(&mut self, rules: &RuleBase, case: &Case, shop: bool) {
        let mut words: HashMap<u32, u8> = HashMap::new();
        let mut take = |text: &str, weight: u8, index: &mut Self| {
            for word in normal(text).split(' ').filter(|w| !w.is_empty()) {
                let number = index.number(word);
                let slot = words.entry(number).or_insert(0);
                *slot = (*slot).max(weight);
            }
        };
        take(&case.title, IN_TITLE, self);
        take(&case.id, IN_TITLE, self);
        take(&case.story, IN_STORY, self);
        for observation in case.observations.iter().filter(|o| o.is_present()) {
            take(crate::advice::findings::title(rules, observation.finding), IN_STORY, self);
            take(crate::advice::findings::id(rules, observation.finding), IN_STORY, self);
        }
        for cause in &case.causes {
            take(&rules.cause(*cause).title, IN_ANSWER, self);
            take(&rules.cause(*cause).id, IN_ANSWER, self);
        }
        for defect in &case.what {
            let defect = rules.defect(*defect);
            take(&defect.title, IN_ANSWER, self);
            defect.synonyms.iter().for_each(|s| take(s, IN_STORY, self));
        }
        for text in [&case.lesson, &case.proof, &case.result].into_iter().flatten() {
            take(text, IN_STORY, self);
        }
        if let Some(alloy) = case.sheet.alloy_words(rules) {
            take(&alloy, IN_ANSWER, self);
        }
        let mut entry = Entry::question(rules, &case.observations, &case.sheet);
        entry.id.clone_from(&case.id);
        entry.title.clone_from(&case.title);
        entry.status = case.status;
        entry.level = case.level;
        entry.shop = shop;
        entry.what.clone_from(&case.what);
        entry.causes.clone_from(&case.causes);
        entry.words = words.into_iter().collect();
        entry.words.sort_unstable();
        self.put(entry);
    }

    /// Leaves out the entries that a test does not pass.
    pub fn retain(&mut self, keep: impl FnMut(&Entry) -> bool) {
        self.entries.retain(keep);
        self.spread.fill(0);
        for (number, _) in self.entries.iter().flat_map(|e| &e.words) {
            self.spread[*number as usize] += 1;
        }
    }

    fn number(&mut self, word: &str) -> u32 {
        if let Some(number) = self.numbers.get(word) {
            return *number;
        }
        let number = u32::try_from(self.vocabulary.len()).unwrap_or(u32::MAX);
        self.vocabulary.push(word.to_owned());
        self.spread.push(0);
        self.numbers.insert(word.to_owned(), number);
        number
    }

    /// The cases that hold these words, best first, with how well: each word counts by how rare it is, by where it
    /// stands and by how near a word of the case comes to it.
    pub fn search(&self, words: &str) -> Vec<(usize, f64)> {
        #[expect(clippy::cast_precision_loss, reason = "counts of cases")]
        let rarity = |number: usize| {
            let spread = f64::from(self.spread.get(number).copied().unwrap_or(0));
            ((self.entries.len() as f64 + 1.0) / (spread + 0.5)).ln().max(0.05)
        };
        let wanted = normal(words);
        // For each wanted word, the words of the vocabulary that may be meant.
        let meant: Vec<Vec<f64>> = wanted
            .split(' ')
            .filter(|w| !w.is_empty())
            .map(|word| {
                let known = self.vocabulary.iter().enumerate();
                known.map(|(n, known)| nearness(word, known).map_or(0.0, |near| near * rarity(n))).collect()
            })
            .collect();
        let mut found: Vec<(usize, f64)> = self
            .entries
            .iter()
            .enumerate()
            .filter_map(|(at, entry)| {
                let mut total = 0.0;
                let mut hits = 0_usize;
                for one in &meant {
                    let best = entry
                        .words
                        .iter()
                        .map(|(n, weight)| (one[*n as usize], *weight))
                        .filter(|(worth, _)| *worth > 0.0)
                        .map(|(worth, weight)| worth * f64::from(weight).sqrt())
                        .fold(0.0, f64::max);
                    hits += usize::from(best > 0.0);
                    total += best;
                }
                // A case with all the words goes before one with a single rare word.
                #[expect(clippy::cast_precision_loss, reason = "a handful of words")]
                let share = hits as f64 / meant.len().max(1) as f64;
                (hits > 0).then_some((at, total * share))
            })
            .collect();
        found.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| self.by_id(a.0, b.0)));
        found
    }

    fn by_id(&self, a: usize, b: usize) -> std::cmp::Ordering {
        let id = |at: usize| self.entries.get(at).map(|e| e.id.as_str());
        id(a).cmp(&id(b))
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
