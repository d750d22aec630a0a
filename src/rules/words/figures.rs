//! Figures in a line of free words: which number with a unit is which figure of the process sheet.
//!
//! A figure counts only where the word for it stands near in the same clause, no other figure between ("flask 480 C,
//! metal at 1020 C"), its unit goes with it and its value can be meant. Ranges, advice and questions ("should I go to
//! 600 C?") are no record of what was done, and are left.

use super::speech::{Token, is_empty_word, is_talk};
use super::{Certainty, Hearing, Stated};
use crate::rules::keys::QuantityKey;
use crate::rules::model::{Finding, RuleBase};
use crate::rules::names::stemmer;

/// A figure of the process sheet, said in free words.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Which.
    pub quantity: QuantityKey,
    /// Its value, in the stored unit of its dimension.
    pub value: f64,
    /// The words, as written.
    pub words: String,
}

/// Spoken units and how they are written. Degrees without C or F say too little, and stay as they are.
const UNITS: &[(&str, &str)] = &[
    ("c", "C"),
    ("celsius", "C"),
    ("centigrade", "C"),
    ("f", "F"),
    ("fahrenheit", "F"),
    ("deg", ""),
    ("degree", ""),
    ("degrees", ""),
    ("g", "g"),
    ("gram", "g"),
    ("grams", "g"),
    ("gr", "gr"),
    ("kg", "kg"),
    ("dwt", "dwt"),
    ("oz", "oz"),
    ("ozt", "ozt"),
    ("mm", "mm"),
    ("cm", "cm"),
    ("inch", "in"),
    ("inches", "in"),
    ("s", "s"),
    ("sec", "s"),
    ("secs", "s"),
    ("second", "s"),
    ("seconds", "s"),
    ("min", "min"),
    ("mins", "min"),
    ("minute", "min"),
    ("minutes", "min"),
    ("h", "h"),
    ("hr", "h"),
    ("hrs", "h"),
    ("hour", "h"),
    ("hours", "h"),
    ("mbar", "mbar"),
    ("bar", "bar"),
    ("psi", "psi"),
    ("torr", "torr"),
    ("inhg", "inHg"),
    ("kpa", "kPa"),
    ("percent", "%"),
    ("rpm", "rpm"),
    ("kw", "kW"),
];

/// Words of advice, of habit and of what might be: no record of this cast.
const NO_RECORD: &[&str] = &[
    "should",
    "recommend",
    "recommends",
    "recommended",
    "usually",
    "normally",
    "would",
    "could",
    "try",
    "instead",
    "supposed",
    "never",
    "not",
    "maximum",
    "minimum",
];

/// How many words may stand between a figure and the word that says of what.
const BEFORE: usize = 5;
const BEHIND: usize = 3;

/// A number with its unit.
struct Amount {
    first: usize,
    last: usize,
    /// As a sheet would have it: `480 C`.
    text: String,
    /// One end of a range.
    range: bool,
}

/// The word that a figure stands by.
struct Named {
    at: usize,
    distance: usize,
    quantity: QuantityKey,
    value: f64,
}

/// Takes the figures of a line: what they are, or that there is one.
pub(super) fn take(hearing: &mut Hearing<'_, '_>) {
    let amounts = amounts(hearing.text, &hearing.line.tokens, &hearing.covered);
    let mut read: Vec<Reading> = Vec::new();
    for (index, amount) in amounts.iter().enumerate() {
        let named = named(hearing, &amounts, index);
        let first = named.as_ref().map_or_else(|| noun(hearing, amount), |n| n.at.min(amount.first));
        let last = named.as_ref().map_or(amount.last, |n| n.at.max(amount.last));
        hearing.covered[first..=last].iter_mut().for_each(|c| *c = true);
        let words = hearing.slice(first, last);
        match named {
            Some(n) => read.push(Reading { quantity: n.quantity, value: n.value, words }),
            None => hearing.understood.figures.push(words),
        }
    }
    state_big_hole(hearing, &amounts);
    // What is said in two ways is not known.
    let twice = |r: &Reading| read.iter().any(|o| o.quantity == r.quantity && o.value != r.value);
    let (unclear, clear): (Vec<&Reading>, Vec<&Reading>) = read.iter().partition(|r| twice(r));
    hearing.understood.figures.extend(unclear.into_iter().map(|r| r.words.clone()));
    for reading in clear {
        if !hearing.understood.readings.iter().any(|r| r.quantity == reading.quantity) {
            hearing.understood.readings.push(reading.clone());
        }
    }
}

/// `a deep 2 mm hole` is one big void; tiny ones are not told by their size, and many not one by one.
fn state_big_hole(hearing: &mut Hearing<'_, '_>, amounts: &[Amount]) {
    const BIG: f64 = 1.0;
    let rules = hearing.words.rules;
    let Some(void) = rules.find_sign("single-big-void").map(Finding::Sign) else { return };
    for amount in amounts {
        let Some(size) = amount.text.strip_suffix(" mm").and_then(|n| n.parse::<f64>().ok()) else {
            continue;
        };
        let tokens = &hearing.line.tokens;
        let hole = (amount.last + 1..tokens.len()).take(2).find(|at| {
            tokens[*at].clause == tokens[amount.last].clause
                && matches!(tokens[*at].word.as_str(), "hole" | "pit" | "void" | "cavity" | "crater")
        });
        let Some(at) = hole.filter(|_| size >= BIG) else { continue };
        let words = hearing.slice(amount.first, at);
        if !hearing.understood.stated.iter().any(|s| s.finding == void) {
            let stated = Stated { finding: void, denied: false, certainty: Certainty::Likely, words };
            hearing.understood.stated.push(stated);
        }
    }
}

fn amounts(text: &str, tokens: &[Token], covered: &[bool]) -> Vec<Amount> {
    let mut found = Vec::new();
    for (at, token) in tokens.iter().enumerate() {
        let head = token.word.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | ','));
        if head.len() == token.word.len() || covered[at] {
            continue;
        }
        let number = &token.word[..token.word.len() - head.len()];
        let Some((unit, last)) = unit(text, tokens, at, head) else { continue };
        let range = at.checked_sub(1).and_then(|before| tokens.get(before)).is_some_and(|before| {
            let number_before = |t: &Token| t.word.starts_with(|c: char| c.is_ascii_digit());
            let between = text.get(before.end..token.start).unwrap_or_default();
            number_before(before) && between.contains(['-', '\u{2013}', '/'])
                || matches!(before.word.as_str(), "to" | "or" | "and")
                    && at >= 2
                    && number_before(&tokens[at - 2])
        });
        found.push(Amount { first: at, last, text: format!("{} {unit}", plain(number)), range });
    }
    found
}

/// The unit of a number and the last word that belongs to it. Degrees alone give an empty unit.
fn unit(text: &str, tokens: &[Token], at: usize, head: &str) -> Option<(&'static str, usize)> {
    let known = |word: &str| UNITS.iter().find(|(spoken, _)| *spoken == word).map(|(_, unit)| *unit);
    let behind = |at: usize| {
        let next = tokens.get(at + 1)?;
        (next.clause == tokens[at].clause).then(|| known(&next.word)).flatten()
    };
    let rest = text.get(tokens.get(at)?.end..).unwrap_or_default().trim_start();
    if head.is_empty() && rest.starts_with('%') {
        return Some(("%", at));
    }
    let (unit, last) = if head.is_empty() { (behind(at)?, at + 1) } else { (known(head)?, at) };
    match behind(last) {
        Some(of_degrees @ ("C" | "F")) if unit.is_empty() => Some((of_degrees, last + 1)),
        _ => Some((unit, last)),
    }
}

/// `1,350` is a thousand and more; any other comma is left for the reader of units to refuse.
fn plain(number: &str) -> String {
    let number = number.trim_end_matches(['.', ',']);
    match number.split_once(',') {
        Some((thousands, rest)) if rest.len() == 3 && !thousands.is_empty() => format!("{thousands}{rest}"),
        _ => number.to_owned(),
    }
}

/// Which figure of the sheet an amount is.
fn named(hearing: &Hearing<'_, '_>, amounts: &[Amount], index: usize) -> Option<Named> {
    let (tokens, rules) = (&hearing.line.tokens, hearing.words.rules);
    let amount = &amounts[index];
    let clause = tokens[amount.first].clause;
    let here = |at: &usize| tokens[*at].clause == clause;
    let spoiled = |t: &Token| t.asked || NO_RECORD.contains(&t.word.as_str());
    // "into a 700 C furnace" is the oven's heat, whatever went in.
    let of_an_oven =
        tokens.get(amount.last + 1).is_some_and(|t| matches!(t.stem.as_str(), "furnac" | "oven" | "kiln"));
    if amount.range || of_an_oven || tokens.iter().filter(|t| t.clause == clause).any(spoiled) {
        return None;
    }
    if let Some(rest) = rest_of_new(rules, tokens, amount) {
        return Some(rest);
    }
    if let Some(molten) = poured_into(rules, tokens, amount) {
        return Some(molten);
    }
    let from = index.checked_sub(1).map_or(0, |i| amounts[i].last + 1);
    let to = amounts.get(index + 1).map_or(tokens.len(), |next| next.first);
    let before = (from..amount.first).rev().take(BEFORE).filter(here).map(|at| (at, 2 * (amount.first - at)));
    // At the same distance the word before it is meant: "flask at 480 C metal ..."
    let behind = (amount.last + 1..to).take(BEHIND).filter(here).map(|at| (at, 2 * (at - amount.last) + 1));
    let mut all: Vec<Named> = before
        .chain(behind)
        .flat_map(|(at, distance)| {
            fitting(rules, &tokens[at], &amount.text).map(move |(quantity, value)| Named {
                at,
                distance,
                quantity,
                value,
            })
        })
        .collect();
    all.sort_by_key(|n| n.distance);
    let unclear = all.get(1).is_some_and(|second| second.distance == all[0].distance);
    if unclear { None } else { all.into_iter().next() }
}

/// `20 % new`: the rest was used before.
fn rest_of_new(rules: &RuleBase, tokens: &[Token], amount: &Amount) -> Option<Named> {
    let at = amount.last + 1;
    let new = tokens.get(at).filter(|t| t.clause == tokens[amount.last].clause);
    new.filter(|t| matches!(t.word.as_str(), "new" | "fresh" | "virgin"))?;
    let quantity = rules.find_quantity("revert")?;
    let share =
        rules.quantity(quantity).dimension.parse(&amount.text).ok().filter(|s| (0.0..=1.0).contains(s))?;
    Some(Named { at, distance: 0, quantity, value: 1.0 - share })
}

/// `1020 C into a 540 C flask`: what goes into the flask is the metal.
fn poured_into(rules: &RuleBase, tokens: &[Token], amount: &Amount) -> Option<Named> {
    let behind = tokens.get(amount.last + 1..)?;
    let clause = tokens[amount.last].clause;
    let flask = |t: &Token| matches!(t.stem.as_str(), "flask" | "mould" | "cylind");
    let into = behind.first().is_some_and(|t| t.word == "into" && t.clause == clause)
        && behind.iter().take(5).take_while(|t| t.clause == clause).any(flask);
    let quantity = rules.find_quantity("melt.temperature").filter(|_| into)?;
    let value = rules.quantity(quantity).dimension.parse(&amount.text).ok()?;
    let (low, high) = rules.quantity(quantity).possible?;
    (low..=high).contains(&value).then_some(Named { at: amount.first, distance: 0, quantity, value })
}

/// The figures of the sheet that a word can stand for, with the amount as their value.
fn fitting<'r>(
    rules: &'r RuleBase,
    word: &'r Token,
    amount: &'r str,
) -> impl Iterator<Item = (QuantityKey, f64)> + 'r {
    let stemmer = stemmer();
    rules.quantity_keys().filter_map(move |key| {
        let quantity = rules.quantity(key);
        if !quantity.spoken.iter().any(|name| stemmer.stem(name) == word.stem) {
            return None;
        }
        let value = quantity.dimension.parse(amount).ok()?;
        let (low, high) = quantity.possible?;
        (low..=high).contains(&value).then_some((key, value))
    })
}

/// The word before an amount that tells of what it is, where the sheet has no place for it.
fn noun(hearing: &Hearing<'_, '_>, amount: &Amount) -> usize {
    let tokens = &hearing.line.tokens;
    let at = amount.first;
    (0..at)
        .rev()
        .take_while(|b| tokens[*b].clause == tokens[at].clause && at - b <= 2)
        .find(|b| !is_empty_word(&tokens[*b].word) && !hearing.covered[*b] && !is_talk(&tokens[*b].word))
        .unwrap_or(at)
}
