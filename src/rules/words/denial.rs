//! Whether what is named is there or not: how far a "no" reaches.

use super::matching::{Line, Match};
use super::speech::{Token, is_denial, is_doubt, is_empty_word, is_knowing, is_noticing, unmakes_denial};

/// What a clause says of a name in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Polarity {
    /// It is there.
    There,
    /// It is not there.
    Denied,
    /// A "no" stands about that may or may not reach it.
    Unclear,
}

/// A "no" reaches over this many words.
const REACH: usize = 3;

#[derive(Clone, Copy, PartialEq, Eq)]
enum Scope {
    Open,
    /// Behind a "no".
    Denying,
    /// Behind a name that was denied: an "or" carries on.
    Listed,
    /// Too far behind a "no" to tell.
    Fading,
}

/// The polarity of every match of one clause. `taken` marks words of names that themselves say "not". Also returns
/// whether the clause ends with a denied name, so that a list may run on behind the comma.
pub(super) fn polarities(
    line: &Line,
    range: std::ops::Range<usize>,
    matches: &[Match],
    taken: &[bool],
) -> (Vec<Polarity>, bool) {
    let mut found = vec![Polarity::There; matches.len()];
    let mut scope = Scope::Open;
    let mut left = 0;
    // The word behind the names met so far, and what was said of them.
    let mut until = range.start;
    let mut said = Polarity::There;
    let mut next = 0;
    for at in range.clone() {
        let token = &line.tokens[at];
        if at >= until && said == Polarity::Denied {
            (scope, left, said) = (Scope::Listed, REACH, Polarity::There);
        }
        if at >= until && !taken[at] {
            scope = step(line, at, range.end, scope, &mut left);
        }
        while matches.get(next).is_some_and(|m| m.first() == at) {
            if at >= until {
                said = match scope {
                    Scope::Open => Polarity::There,
                    Scope::Denying => Polarity::Denied,
                    Scope::Listed | Scope::Fading => Polarity::Unclear,
                };
            }
            found[next] = said;
            until = until.max(matches[next].last() + 1);
            next += 1;
        }
        if at >= until && !is_empty_word(&token.word) && scope != Scope::Open && !is_denial(&token.word) {
            scope = match (left, scope) {
                (0, Scope::Denying) => Scope::Fading,
                (0, _) => Scope::Open,
                _ => scope,
            };
            left = if left == 0 { REACH } else { left - 1 };
        }
    }
    let runs_on = said == Polarity::Denied && until == range.end;
    denied_behind(line, range, matches, taken, &mut found);
    (found, runs_on)
}

/// What one word outside names does to the scope.
fn step(line: &Line, at: usize, end: usize, scope: Scope, left: &mut usize) -> Scope {
    let token = &line.tokens[at];
    let following = line.tokens[at + 1..end].iter().find(|t| !is_empty_word(&t.word));
    let next_word = line.tokens.get(at + 1).map_or("", |t| t.word.as_str());
    let freed = token.word == "free" && matches!(next_word, "of" | "from");
    if freed || is_denial(&token.word) {
        if following.is_some_and(|t| unmakes_denial(&t.word)) {
            return Scope::Open;
        }
        *left = REACH;
        return Scope::Denying;
    }
    match (scope, token.word.as_str()) {
        (Scope::Listed, "or" | "nor") => {
            *left = REACH;
            Scope::Denying
        }
        (Scope::Listed, "and" | "plus" | "with") => Scope::Fading,
        (_, "just" | "only" | "instead") => Scope::Open,
        (Scope::Denying | Scope::Listed | Scope::Fading, "there" | "they" | "i" | "we" | "it") => {
            let thinking = at > 0 && is_thinking(&line.tokens[at - 1]);
            if thinking { scope } else { Scope::Open }
        }
        _ => scope,
    }
}

fn is_thinking(token: &Token) -> bool {
    matches!(token.word.as_str(), "think" | "see" | "believe" | "say" | "reckon" | "feel" | "that" | "if")
}

/// `cracks were not seen`: a "not" behind the names, with nothing named after it.
fn denied_behind(
    line: &Line,
    range: std::ops::Range<usize>,
    matches: &[Match],
    taken: &[bool],
    found: &mut [Polarity],
) {
    let Some(cue) = range.clone().find(|at| is_denial(&line.tokens[*at].word) && !taken[*at]) else { return };
    let behind = &line.tokens[cue + 1..range.end];
    let alone = line.tokens[cue].word == "absent" && behind.iter().all(|t| is_empty_word(&t.word));
    let noticed = behind.first().is_some_and(|t| is_noticing(&t.word)) && behind.len() <= 3;
    let before = behind.iter().any(|t| matches!(t.word.as_str(), "before" | "like" | "until"));
    if (alone || noticed) && !before && matches.iter().all(|m| m.last() < cue) {
        found.iter_mut().for_each(|p| *p = Polarity::Denied);
    }
}

/// True when the caster says in a clause, not far before a word in it, that he is not sure.
pub(super) fn is_doubtful(line: &Line, range: std::ops::Range<usize>, first: usize) -> bool {
    const BEFORE: usize = 12;
    let first = first.max(range.start);
    let words = &line.tokens[range.start.max(first.saturating_sub(BEFORE))..first];
    let asks = line.tokens.get(range.start).is_some_and(|t| {
        t.asked
            && matches!(
                t.word.as_str(),
                "is" | "are" | "was" | "were" | "could" | "can" | "does" | "do" | "or"
            )
    });
    let unknowing = words.windows(2).any(|w| is_denial(&w[0].word) && is_knowing(&w[1].word));
    asks || unknowing || words.iter().any(|t| is_doubt(&t.word))
}
