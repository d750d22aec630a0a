//! Words of illness and injury in a caster's line: they are about the caster and not about the piece.
//!
//! Taken widely, since a caution too many does no harm: every form of a word counts, and only a "no" right before it
//! takes it back.

use super::speech::{Token, is_denial, tokens};
use crate::rules::{CautionKey, RuleBase};

/// How many words before a word of illness a "no" reaches it.
const REACH: usize = 2;

/// The cautions that a line raises by its words.
pub fn raised_by(rules: &RuleBase, line: &str) -> Vec<CautionKey> {
    let line = tokens(line);
    rules
        .caution_keys()
        .filter(|key| {
            let alarm = rules.caution(*key).alarm.iter();
            alarm.flat_map(|a| &a.words).any(|words| says(&line, &tokens(words)))
        })
        .collect()
}

/// Whether the words stand in the line one behind the other, and no "no" before them.
fn says(line: &[Token], words: &[Token]) -> bool {
    !words.is_empty()
        && line.windows(words.len()).enumerate().any(|(at, part)| {
            let same = part.iter().zip(words).all(|(a, b)| a.stem == b.stem);
            let before = line[at.saturating_sub(REACH)..at].iter().filter(|t| t.clause == part[0].clause);
            same && !before.clone().any(|t| is_denial(&t.word))
        })
}
