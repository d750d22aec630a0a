//! Many cases in short, as a few runs of bytes: rows, marks, and for every word the cases that hold it.
//!
//! In this form they lie on disk and are worked with: a list decodes the rows, a comparison the marks, a search only the
//! words that it is asked for.

use super::entry::{marks_bytes, row_bytes};
use crate::advice::findings;
use crate::casebook::Case;
use crate::rules::RuleBase;
use crate::rules::names::{plain, stem};
use std::collections::HashMap;

/// How much a word counts by where it stands: in the story and what was seen, in what it was, in the title.
const WEIGHTS: [u8; 3] = [1, 2, 4];
const IN_STORY: u8 = 0;
const IN_ANSWER: u8 = 1;
const IN_TITLE: u8 = 2;

/// Records of bytes, one behind the other.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Records {
    bytes: Vec<u8>,
    /// Where each record ends.
    ends: Vec<usize>,
}

impl Records {
    fn push(&mut self, record: &[u8]) {
        self.bytes.extend_from_slice(record);
        self.ends.push(self.bytes.len());
    }

    pub(super) fn len(&self) -> usize {
        self.ends.len()
    }

    /// A record; empty when there is none of this number.
    pub(super) fn get(&self, at: usize) -> &[u8] {
        let start = at.checked_sub(1).map_or(Some(0), |before| self.ends.get(before).copied());
        let range = start.zip(self.ends.get(at).copied());
        range.and_then(|(start, end)| self.bytes.get(start..end)).unwrap_or_default()
    }

    fn to_bytes(&self) -> Vec<u8> {
        let mut before = 0;
        let lengths = self.ends.iter().map(|end| {
            let length = end - before;
            before = *end;
            length as u64
        });
        with_head(&postcard::to_stdvec(&lengths.collect::<Vec<_>>()).unwrap_or_default(), &self.bytes)
    }

    fn from_bytes(bytes: Vec<u8>) -> Option<Self> {
        let (head, bytes) = split_head(bytes)?;
        let mut ends: Vec<usize> = Vec::new();
        let mut end = 0_usize;
        for length in postcard::from_bytes::<Vec<u64>>(&head).ok()? {
            end = end.checked_add(usize::try_from(length).ok()?)?;
            ends.push(end);
        }
        (end == bytes.len()).then_some(Self { bytes, ends })
    }
}

/// A small part before a large one.
fn with_head(head: &[u8], body: &[u8]) -> Vec<u8> {
    let mut all = Vec::with_capacity(8 + head.len() + body.len());
    all.extend_from_slice(&(head.len() as u64).to_le_bytes());
    all.extend_from_slice(head);
    all.extend_from_slice(body);
    all
}

fn split_head(mut bytes: Vec<u8>) -> Option<(Vec<u8>, Vec<u8>)> {
    let length: [u8; 8] = bytes.get(..8)?.try_into().ok()?;
    let end = usize::try_from(u64::from_le_bytes(length)).ok()?.checked_add(8)?;
    let head = bytes.get(8..end)?.to_vec();
    bytes.drain(..end);
    Some((head, bytes))
}

/// The cases that hold a word, in order, each with its weight: the step to the next case, times four, and the weight.
#[derive(Debug, Clone, Default, PartialEq)]
struct Holders {
    bytes: Vec<u8>,
    count: u32,
    /// The case after the last one.
    next: u32,
}

impl Holders {
    fn push(&mut self, case: u32, weight: u8) {
        let mut number = u64::from(case - self.next) << 2 | u64::from(weight);
        while number >= 0x80 {
            self.bytes.push((number & 0x7f) as u8 | 0x80);
            number >>= 7;
        }
        self.bytes.push(number as u8);
        self.count += 1;
        self.next = case + 1;
    }
}

/// Reads what [`Holders`] wrote: cases and the places of their weights.
fn holders(bytes: &[u8]) -> impl Iterator<Item = (u32, u8)> + '_ {
    let mut bytes = bytes.iter();
    let mut next = 0_u32;
    std::iter::from_fn(move || {
        let (mut number, mut shift) = (0_u64, 0_u32);
        loop {
            let byte = *bytes.next()?;
            number |= u64::from(byte & 0x7f).checked_shl(shift).unwrap_or(0);
            shift += 7;
            if byte < 0x80 {
                break;
            }
        }
        let case = next.saturating_add(u32::try_from(number >> 2).unwrap_or(u32::MAX));
        next = case.saturating_add(1);
        Some((case, (number & 3) as u8))
    })
}

/// Words with the cases that hold them.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Words {
    /// Word, number of cases that hold it.
    known: Vec<(String, u32)>,
    holders: Records,
}

impl Words {
    /// The words with the number of cases that hold each.
    pub(super) fn known(&self) -> &[(String, u32)] {
        &self.known
    }

    /// The cases that hold a word, by its number, with the word's weight in each.
    pub(super) fn holders(&self, word: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let weight = |place: u8| f64::from(WEIGHTS.get(usize::from(place)).copied().unwrap_or(1));
        holders(self.holders.get(word)).map(move |(case, place)| (case as usize, weight(place)))
    }

    fn to_bytes(&self) -> Vec<u8> {
        with_head(&postcard::to_stdvec(&self.known).unwrap_or_default(), &self.holders.to_bytes())
    }

    fn from_bytes(bytes: Vec<u8>) -> Option<Self> {
        let (head, bytes) = split_head(bytes)?;
        let words = Self { known: postcard::from_bytes(&head).ok()?, holders: Records::from_bytes(bytes)? };
        (words.known.len() == words.holders.len()).then_some(words)
    }
}

/// Cases in short.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Packed {
    pub(super) rows: Records,
    pub(super) marks: Records,
    pub(super) words: Words,
}

/// A part of the kept file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// For lists.
    Rows,
    /// For comparing.
    Marks,
    /// For searching.
    Words,
}

impl Packed {
    /// One part as bytes.
    pub fn to_bytes(&self, part: Part) -> Vec<u8> {
        match part {
            Part::Rows => self.rows.to_bytes(),
            Part::Marks => self.marks.to_bytes(),
            Part::Words => self.words.to_bytes(),
        }
    }

    /// Takes a part in from its bytes; `None` when they are none.
    #[must_use]
    pub fn with(mut self, part: Part, bytes: Vec<u8>) -> Option<Self> {
        match part {
            Part::Rows => self.rows = Records::from_bytes(bytes)?,
            Part::Marks => self.marks = Records::from_bytes(bytes)?,
            Part::Words => self.words = Words::from_bytes(bytes)?,
        }
        Some(self)
    }

    /// How many cases.
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// True without any.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Several as one, whole ones only. `places` says for each case of each where it stands in the whole; `None`
    /// leaves it out. The places go up within each, and are 0, 1, 2 ... over all.
    pub fn merged(parts: &[(&Self, &[Option<u32>])]) -> Self {
        let mut order: Vec<(u32, usize, usize)> = Vec::new();
        for (part, (_, places)) in parts.iter().enumerate() {
            order.extend(places.iter().enumerate().filter_map(|(at, place)| Some(((*place)?, part, at))));
        }
        order.sort_unstable();
        let mut whole = Self::default();
        for (_, part, at) in order {
            whole.rows.push(parts[part].0.rows.get(at));
            whole.marks.push(parts[part].0.marks.get(at));
        }
        let mut of_word: HashMap<&str, Vec<(usize, usize)>> = HashMap::new();
        for (part, (packed, _)) in parts.iter().enumerate() {
            for (number, (word, _)) in packed.words.known.iter().enumerate() {
                of_word.entry(word).or_default().push((part, number));
            }
        }
        let mut known: Vec<(&str, Vec<(usize, usize)>)> = of_word.into_iter().collect();
        known.sort_unstable();
        let mut all: Vec<(u32, u8)> = Vec::new();
        for (word, found) in known {
            all.clear();
            for (part, number) in found {
                let (packed, places) = parts[part];
                let cases = holders(packed.words.holders.get(number));
                all.extend(cases.filter_map(|(case, w)| Some(((*places.get(case as usize)?)?, w))));
            }
            // Runs that are in order already: cheap to bring in order.
            all.sort();
            let mut merged = Holders::default();
            all.iter().for_each(|(case, weight)| merged.push(*case, *weight));
            whole.words.take(word, &merged);
        }
        whole
    }
}

impl Words {
    /// A word that nobody holds any more is forgotten.
    fn take(&mut self, word: &str, holders: &Holders) {
        if holders.count > 0 {
            self.known.push((word.to_owned(), holders.count));
            self.holders.push(&holders.bytes);
        }
    }
}

/// Takes cases in, one after the other.
pub struct Packer<'a> {
    rules: &'a RuleBase,
    rows: Records,
    marks: Records,
    /// The number of a word's stem, by the word as written: cutting words to stems is what takes the time.
    written: HashMap<String, u32>,
    stems: HashMap<String, u32>,
    words: Vec<(String, Holders)>,
}

impl<'a> Packer<'a> {
    /// With no cases yet.
    pub fn new(rules: &'a RuleBase) -> Self {
        Self {
            rules,
            rows: Records::default(),
            marks: Records::default(),
            written: HashMap::new(),
            stems: HashMap::new(),
            words: Vec::new(),
        }
    }

    /// Takes a case in.
    pub fn add(&mut self, case: &Case) {
        let mut found: Vec<(u32, u8)> = self.words_of(case);
        // Each word once, with its highest weight.
        found.sort_unstable_by(|a, b| a.0.cmp(&b.0).then(b.1.cmp(&a.1)));
        found.dedup_by_key(|(word, _)| *word);
        let at = u32::try_from(self.rows.len()).unwrap_or(u32::MAX);
        for (word, weight) in found {
            self.words[word as usize].1.push(at, weight);
        }
        self.rows.push(&row_bytes(self.rules, case));
        self.marks.push(&marks_bytes(self.rules, case));
    }

    fn words_of(&mut self, case: &Case) -> Vec<(u32, u8)> {
        let rules = self.rules;
        let mut found = Vec::new();
        self.take(&case.title, IN_TITLE, &mut found);
        self.take(&case.id, IN_TITLE, &mut found);
        self.take(&case.story, IN_STORY, &mut found);
        for observation in case.observations.iter().filter(|o| o.is_present()) {
            self.take(findings::title(rules, observation.finding), IN_STORY, &mut found);
            self.take(findings::id(rules, observation.finding), IN_STORY, &mut found);
        }
        for cause in &case.causes {
            self.take(&rules.cause(*cause).title, IN_ANSWER, &mut found);
            self.take(&rules.cause(*cause).id, IN_ANSWER, &mut found);
        }
        for defect in &case.what {
            let defect = rules.defect(*defect);
            self.take(&defect.title, IN_ANSWER, &mut found);
            defect.synonyms.iter().for_each(|s| self.take(s, IN_STORY, &mut found));
        }
        for text in [&case.lesson, &case.proof, &case.result].into_iter().flatten() {
            self.take(text, IN_STORY, &mut found);
        }
        if let Some(alloy) = case.sheet.alloy_words(rules) {
            self.take(&alloy, IN_ANSWER, &mut found);
        }
        found
    }

    fn take(&mut self, text: &str, weight: u8, found: &mut Vec<(u32, u8)>) {
        for word in plain(text).split_whitespace() {
            let number = match self.written.get(word) {
                Some(number) => *number,
                None => {
                    let stem = stem(word);
                    let next = u32::try_from(self.words.len()).unwrap_or(u32::MAX);
                    let number = *self.stems.entry(stem.clone()).or_insert(next);
                    if number == next {
                        self.words.push((stem, Holders::default()));
                    }
                    self.written.insert(word.to_owned(), number);
                    number
                }
            };
            found.push((number, weight));
        }
    }

    /// All of them.
    pub fn finish(mut self) -> Packed {
        self.words.sort_unstable_by(|a, b| a.0.cmp(&b.0));
        let mut words = Words::default();
        self.words.iter().for_each(|(word, holders)| words.take(word, holders));
        Packed { rows: self.rows, marks: self.marks, words }
    }
}
