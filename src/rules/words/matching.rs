//! Finding the names of the rules in a line of words.

use super::lexicon::{Lexicon, Phrase};
use super::speech::{
    Token, is_adjective, is_adverb, is_count, is_denial, is_empty_word, is_linking, is_parting, is_passing,
    tokens,
};
use super::subject::{is_out_of_a_tool, is_piece, is_tool};
use std::collections::{HashMap, HashSet};

/// Adjectives that may stand between any two words of a name.
const ADJECTIVES: usize = 2;

/// A text made ready: its words, slips corrected.
pub(super) struct Line {
    pub(super) tokens: Vec<Token>,
    /// For every word its own number in the lexicon, then those of the stems that it may stand for in a name.
    numbers: Vec<Vec<u32>>,
    /// Which names have all their words somewhere in the text.
    possible: Vec<bool>,
    /// Places of a slip.
    pub(super) slips: Vec<bool>,
    /// Places of the words that carry meaning, clause by clause.
    pub(super) clauses: Vec<Vec<usize>>,
    /// Where each clause begins.
    pub(super) clause_starts: Vec<usize>,
}

impl Line {
    pub(super) fn new(lexicon: &Lexicon, text: &str) -> Self {
        let mut corrections: HashMap<String, Option<String>> = HashMap::new();
        let mut words = tokens(text);
        let mut slipped = Vec::with_capacity(words.len());
        let stemmer = super::super::names::stemmer();
        for token in &mut words {
            let meant = corrections
                .entry(token.word.clone())
                .or_insert_with(|| lexicon.correct(&token.word, &token.stem).map(str::to_owned));
            if let Some(meant) = meant {
                token.stem = stemmer.stem(meant).into_owned();
                token.word.clone_from(meant);
            }
            slipped.push((token.start, meant.is_some()));
        }
        let tokens = lexicon.split_compounds(words);
        let slipped: HashMap<usize, bool> = slipped.into_iter().collect();
        let slips = tokens.iter().map(|t| slipped.get(&t.start).copied().unwrap_or(false)).collect();
        let mut clauses: Vec<Vec<usize>> = Vec::new();
        let mut clause_starts = Vec::new();
        let mut last = None;
        for (at, token) in tokens.iter().enumerate() {
            if last != Some(token.clause) {
                clauses.push(Vec::new());
                clause_starts.push(at);
                last = Some(token.clause);
            }
            // "One prong in four is missing": how many is not part of what.
            let counts = at > 0 && tokens[at - 1].word == "in" && is_count(&token.word);
            if !(is_empty_word(&token.word) || counts)
                && let Some(clause) = clauses.last_mut()
            {
                clause.push(at);
            }
        }
        let number = |stem: &String| lexicon.numbers.get(stem).copied();
        let numbers: Vec<Vec<u32>> = tokens
            .iter()
            .map(|t| {
                let kin = lexicon.kin.of(&t.stem).iter().filter_map(number);
                std::iter::once(number(&t.stem).unwrap_or(u32::MAX)).chain(kin).collect()
            })
            .collect();
        let there: HashSet<u32> = numbers.iter().flatten().copied().collect();
        let possible = lexicon.phrases.iter().map(|p| p.numbers.iter().all(|n| there.contains(n))).collect();
        Self { tokens, numbers, possible, slips, clauses, clause_starts }
    }

    /// Whether the word at a place can be a word of a name: the same, or one that may stand for it.
    fn fits(&self, at: usize, number: u32) -> bool {
        self.numbers[at].contains(&number)
    }

    /// Whether it is that very word.
    fn is(&self, at: usize, number: u32) -> bool {
        self.numbers[at].first() == Some(&number)
    }
}

/// A name met in the text.
#[derive(Debug, Clone)]
pub(super) struct Match {
    /// Which.
    pub(super) phrase: usize,
    /// On which words, in order.
    pub(super) on: Vec<usize>,
    /// Other words stand between, or the order is another.
    pub(super) gapped: bool,
    /// Words stand for others: "the kiln" for "the oven".
    pub(super) akin: bool,
}

impl Match {
    pub(super) fn first(&self) -> usize {
        self.on.first().copied().unwrap_or(0)
    }
    pub(super) fn last(&self) -> usize {
        self.on.last().copied().unwrap_or(0)
    }
    fn is_within(&self, other: &Self) -> bool {
        self.on.len() < other.on.len() && self.on.iter().all(|w| other.on.contains(w))
    }
    /// As near to the letter as another, or less.
    fn is_rougher(&self, other: &Self) -> bool {
        (self.gapped, self.akin) > (other.gapped, other.akin)
    }
    /// Read across a name that stands there unbroken and begins alike: "bubble (tracks) on the casting".
    fn passes_over(&self, other: &Self) -> bool {
        self.gapped
            && !other.gapped
            && self.first() == other.first()
            && other.on.get(1) == Some(&(self.first() + 1))
            && other.last() < self.last()
            && other.on.iter().any(|w| !self.on.contains(w))
    }
}

/// All names met in one clause, those hidden inside longer names of the same kind left out.
pub(super) fn matches(lexicon: &Lexicon, line: &Line, clause: &[usize]) -> Vec<Match> {
    let mut found: Vec<Match> = Vec::new();
    for from in 0..clause.len() {
        let at = clause[from];
        let stem = &line.tokens[at].stem;
        let stems = std::iter::once(stem).chain(lexicon.kin.of(stem));
        let starting = stems.filter_map(|stem| lexicon.by_first.get(stem)).flatten();
        for &phrase in starting.filter(|p| line.possible[**p]) {
            if let Some(met) = meet(phrase, &lexicon.phrases[phrase], line, &clause[from..]) {
                found.push(met);
            }
        }
    }
    let turned = turned_round(lexicon, line, clause, &found);
    found.extend(turned);
    found.sort_by_key(|m| (m.first(), m.phrase));
    found.retain(|m| !is_out_of_a_tool(line, m.first()));
    // First what reads across another name, so that it hides nothing itself.
    leave_out(lexicon, &mut found, Match::passes_over);
    leave_out(lexicon, &mut found, |one, other| {
        let (name, longer) = (&lexicon.phrases[one.phrase], &lexicon.phrases[other.phrase]);
        // "Porosity after polishing" is found on polishing, and porosity it is.
        let told_too = name.a_kind && (longer.of_several || other.akin && longer.of_the_piece)
            // "Small round holes" are round holes to the letter.
            || name.target == longer.target && other.akin && !one.akin;
        one.is_within(other) && !told_too || one.on == other.on && one.is_rougher(other)
    });
    found
}

/// Leaves out what another match of the same kind of name hides. Matches stand in the order of their first words: only
/// those near can hide one.
fn leave_out(lexicon: &Lexicon, found: &mut Vec<Match>, hides: impl Fn(&Match, &Match) -> bool) {
    let kind = |m: &Match| lexicon.phrases[m.phrase].target.kind();
    let kept: Vec<bool> = found
        .iter()
        .map(|one| {
            let from = found.partition_point(|other| other.first() + REACH < one.first());
            !found[from..]
                .iter()
                .take_while(|other| other.first() <= one.first())
                .any(|other| kind(one) == kind(other) && hides(one, other))
        })
        .collect();
    let mut kept = kept.into_iter();
    found.retain(|_| kept.next().unwrap_or(true));
}

/// Of matches in the order of their first words, those that begin at one.
pub(super) fn beginning_at(matches: &[Match], first: usize) -> &[Match] {
    let from = matches.partition_point(|m| m.first() < first);
    let to = matches.partition_point(|m| m.first() <= first);
    &matches[from..to]
}

/// How many words apart the first words of two overlapping names can be.
const REACH: usize = 60;

/// Short names with their words in another order, as a sentence has them: `the mould is grey` for `grey mould`. Names with
/// a preposition, or across one in the text, stay as they are: `bubbles in the metal` are no `metal bubbles`.
fn turned_round(lexicon: &Lexicon, line: &Line, clause: &[usize], straight: &[Match]) -> Vec<Match> {
    const LONGEST: usize = 3;
    let mut found = Vec::new();
    for length in 2..=LONGEST {
        for window in clause.windows(length) {
            let (Some(first), Some(last)) = (window.first(), window.last()) else { continue };
            // "Burnout ran" is no run-out: a word written as one is not torn up.
            let torn = |inner: usize, outer: Option<&Token>| {
                outer.is_some_and(|t| t.start == line.tokens[inner].start)
            };
            if torn(*last, line.tokens.get(last + 1))
                || torn(*first, first.checked_sub(1).map(|b| &line.tokens[b]))
            {
                continue;
            }
            let parts = |t: &Token| {
                is_linking(&t.word) || is_denial(&t.word) || matches!(t.word.as_str(), "and" | "or")
            };
            if line.tokens[*first..=*last].iter().any(parts) {
                continue;
            }
            let key = lexicon.kin.key(window.iter().map(|w| line.tokens[*w].stem.as_str()));
            for &phrase in lexicon.by_sorted.get(&key).into_iter().flatten() {
                let numbers = &lexicon.phrases[phrase].numbers;
                let straight_on = window.iter().zip(numbers).all(|(w, n)| line.fits(*w, *n));
                if straight_on || !numbers.iter().all(|n| window.iter().any(|w| line.fits(*w, *n))) {
                    continue;
                }
                let akin = !numbers.iter().all(|n| window.iter().any(|w| line.is(*w, *n)));
                let from = straight.partition_point(|m| m.first() + REACH < *first);
                let said_straight = straight[from..]
                    .iter()
                    .take_while(|m| m.first() <= *first)
                    .any(|m| window.iter().all(|w| m.on.contains(w)));
                if !said_straight {
                    found.push(Match { phrase, on: window.to_vec(), gapped: true, akin });
                }
            }
        }
    }
    found
}

fn meet(at: usize, phrase: &Phrase, line: &Line, clause: &[usize]) -> Option<Match> {
    // Most names fail at their second word: see that before anything is gathered.
    if let Some(second) = phrase.numbers.get(1) {
        let within = phrase.open.get(1).map_or(0, |gap| *gap).max(ADJECTIVES) + 1;
        if !clause.iter().skip(1).take(within).any(|at| line.fits(*at, *second)) {
            return None;
        }
    }
    let first = *clause.first()?;
    // A word alone must be the word itself.
    let mut akin = !line.is(first, *phrase.numbers.first()?);
    if akin && (phrase.stems.len() == 1 || phrase.literal) {
        return None;
    }
    let mut on = vec![first];
    let mut next = 1;
    let mut gapped = false;
    for ((number, open), led) in phrase.numbers.iter().zip(&phrase.open).zip(&phrase.led).skip(1) {
        let mut between = 0;
        let mut passed = false;
        let before = *on.last()?;
        loop {
            let here = *clause.get(next)?;
            let token = &line.tokens[here];
            if line.fits(here, *number) {
                akin |= !line.is(here, *number);
                if phrase.literal && akin {
                    return None;
                }
                let parted = |t: &Token| is_parting(&t.word) && !(*led && t.word == "that");
                if passed && line.tokens[before + 1..here].iter().any(parted) {
                    return None;
                }
                on.push(here);
                next += 1;
                break;
            }
            between += 1;
            let adjective = is_adjective(&token.word) && between <= ADJECTIVES;
            let passing = between <= *open && !is_denial(&token.word);
            if phrase.denies && !is_adverb(&token.word) || !(adjective || passing) {
                return None;
            }
            // "Holes in the casting where the wax was thin" are not in the wax.
            if !adjective && is_piece(&token.stem) && phrase.stems.iter().any(|s| is_tool(s)) {
                return None;
            }
            passed |= !adjective;
            gapped |= passed;
            next += 1;
        }
    }
    // "Rings have many small holes": what is small is not the rings.
    let last = *on.last()?;
    let of_the_next = clause.get(next).is_some_and(|n| *n == last + 1 && !is_passing(&line.tokens[*n].word));
    let quality = is_adjective(&line.tokens[last].word) && !is_adverb(&line.tokens[last].word);
    if of_the_next && (gapped && quality || phrase.joined && phrase.stems.len() == 2) {
        return None;
    }
    // "Holes inside the shank" are on its inner face, not inside the metal.
    let inner_face = clause.get(next).is_some_and(|n| is_piece(&line.tokens[*n].stem));
    if phrase.stems.len() == 2 && line.tokens[last].word == "inside" && inner_face {
        return None;
    }
    // "Pits by the button" are not in it.
    let beside = line.tokens[first..last].iter().any(|t| t.word == "by");
    if beside && phrase.stems.iter().any(|s| s == "button" || is_tool(s)) {
        return None;
    }
    // "Waxes and holes" are no "wax pits".
    if akin
        && !phrase.joined
        && line.tokens[first..last].iter().any(|t| matches!(t.word.as_str(), "and" | "or"))
    {
        return None;
    }
    Some(Match { phrase: at, on, gapped, akin })
}
