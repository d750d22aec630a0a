//! Of what a fault is said: "melter broke", "cracks in the flask" and "drill hole" are no faults of the piece.

use super::matching::{Line, Match};
use super::speech::{Token, is_adjective, is_denial, is_empty_word};
use std::ops::Range;

/// What is not the piece, by stem.
const TOOLS: &[&str] = &[
    "mould",
    "flask",
    "invest",
    "plaster",
    "oven",
    "kiln",
    "furnac",
    "pump",
    "gaug",
    "crucibl",
    "torch",
    "melter",
    "machin",
    "centrifug",
    "gasket",
    "hose",
    "thermocoupl",
    "control",
    "wax",
    "rubber",
    "injector",
    "element",
    "coil",
    "tong",
    "cradl",
    "motor",
    "spring",
    "bell",
    "scale",
];
/// Names of the piece and its parts, by stem.
const PIECES: &[&str] = &[
    "cast",
    "ring",
    "piec",
    "band",
    "shank",
    "pendant",
    "metal",
    "part",
    "head",
    "prong",
    "bezel",
    "crown",
    "item",
    "jewelleri",
    "bracelet",
    "silver",
    "gold",
    "brass",
    "bronz",
    "platinum",
    "palladium",
    "sprue",
    "tree",
    "button",
];
/// Before `hole` these say that it was meant to be there.
const MEANT_HOLES: &[&str] = &[
    "drill", "screw", "bail", "jump", "peg", "rivet", "finger", "vent", "bore", "pierc", "galleri", "azur",
    "bolt", "nail", "design",
];
/// They may stand between a thing and what is said of it.
const BETWEEN: &[&str] = &[
    "all", "get", "got", "badly", "just", "now", "also", "then", "only", "both", "went", "go", "start",
    "started",
];
/// Good things said.
const PRAISE: &[&str] =
    &["fine", "ok", "okay", "good", "perfect", "perfectly", "great", "clean", "well", "beautifully"];
/// Between a thing and its praise.
const BEFORE_PRAISE: &[&str] = &[
    "is",
    "are",
    "was",
    "were",
    "be",
    "been",
    "cast",
    "casts",
    "come",
    "comes",
    "out",
    "turned",
    "looks",
    "look",
    "just",
    "all",
    "always",
    "works",
    "work",
    "perfectly",
    "still",
    "both",
    "very",
];

/// True for a stem that names a tool, a mould or a wax.
pub(super) fn is_tool(stem: &str) -> bool {
    TOOLS.contains(&stem)
}

/// True for a stem that names the piece or a part of it.
pub(super) fn is_piece(stem: &str) -> bool {
    PIECES.contains(&stem)
}

/// `came out of the flask cracked`: what cracked is what came out.
pub(super) fn is_out_of_a_tool(line: &Line, at: usize) -> bool {
    let mut before =
        (0..at).rev().map(|b| &line.tokens[b]).filter(|t| !matches!(t.word.as_str(), "the" | "a" | "my"));
    is_tool(&line.tokens[at].stem)
        && before.next().is_some_and(|t| t.word == "of")
        && before.next().is_some_and(|t| t.word == "out")
}

/// True when a name of a fault is said of something that is not the piece.
pub(super) fn is_of_another_thing(line: &Line, range: &Range<usize>, one: &Match) -> bool {
    is_said_after_a_tool(line, range, one)
        || is_in_a_tool(line, range, one)
        || is_done_to_a_tool(line, range, one)
}

/// `when I break the mould open`.
fn is_done_to_a_tool(line: &Line, range: &Range<usize>, one: &Match) -> bool {
    let behind = &line.tokens[one.last() + 1..range.end];
    let object =
        behind.iter().find(|t| !matches!(t.word.as_str(), "the" | "my" | "our" | "open" | "up" | "a"));
    let direct = behind.first().is_some_and(|t| matches!(t.word.as_str(), "the" | "my" | "our" | "open"));
    // "When I broke it open": what is opened so is the mould.
    let opened = behind.first().is_some_and(|t| matches!(t.word.as_str(), "it" | "them"))
        && behind.get(1).is_some_and(|t| matches!(t.word.as_str(), "open" | "out"));
    let deed = is_a_deed(&line.tokens[one.last()]);
    deed && (opened || direct && object.is_some_and(|t| is_tool(&t.stem)))
}

/// A verb of breaking in a form that can have a subject of its own.
fn is_a_deed(token: &Token) -> bool {
    matches!(
        token.word.as_str(),
        "break" | "cracked" | "split" | "snapped" | "shattered" | "crumbled" | "burst" | "leaked" | "fall"
    )
}

/// `a lump of plaster`: no lump of metal.
pub(super) fn is_of_mould(line: &Line, range: &Range<usize>, one: &Match) -> bool {
    let behind = &line.tokens[one.last() + 1..range.end];
    one.on.len() == 1
        && behind.first().is_some_and(|t| t.word == "of")
        && behind.iter().skip(1).find(|t| !is_empty_word(&t.word)).is_some_and(|t| {
            matches!(t.stem.as_str(), "mould" | "invest" | "plaster" | "wax" | "glass" | "borax" | "flux")
        })
}

/// `once bent round the mandrel`: what was done to the piece, and not how it came out.
pub(super) fn is_bending(line: &Line, range: &Range<usize>, one: &Match) -> bool {
    let next = line.tokens.get(one.last() + 1).filter(|_| one.last() + 1 < range.end);
    let onto = |t: &Token| {
        matches!(t.word.as_str(), "it" | "them" | "round" | "around" | "over" | "on" | "the" | "back" | "up")
    };
    one.on.len() == 1 && line.tokens[one.first()].word == "bent" && next.is_some_and(onto)
}

/// `drill hole`, `little through holes`: made on purpose.
pub(super) fn is_a_meant_hole(line: &Line, range: &Range<usize>, one: &Match) -> bool {
    let first = one.first();
    if line.tokens[first].stem != "hole" || first == range.start {
        return false;
    }
    let before = &line.tokens[first - 1];
    MEANT_HOLES.contains(&before.stem.as_str())
        || before.word == "through"
            && (first - 1 == range.start
                || is_adjective(&line.tokens[first - 2].word)
                || is_empty_word(&line.tokens[first - 2].word))
}

/// `melter broke`, `the crucible has cracks`, `the mould went in and broke`.
fn is_said_after_a_tool(line: &Line, range: &Range<usize>, one: &Match) -> bool {
    let first = one.first();
    let before = |token: &Token| {
        !is_preposition(&token.word)
            && !matches!(token.word.as_str(), "and" | "or" | "i" | "we" | "they")
            && (is_empty_word(&token.word)
                || BETWEEN.contains(&token.word.as_str())
                || is_adjective(&token.word))
    };
    let near = (range.start..first).rev().find(|at| !before(&line.tokens[*at]));
    match near {
        Some(at) if is_tool(&line.tokens[at].stem) => !is_governed(line, range, at),
        // A second thing said of the first subject of the clause.
        Some(at) if line.tokens[at].word == "and" && at + 1 == first && is_a_deed(&line.tokens[first]) => {
            (range.start..at)
                .find(|at| {
                    let stem = line.tokens[*at].stem.as_str();
                    (is_tool(stem) || is_piece(stem) || matches!(line.tokens[*at].word.as_str(), "i" | "we"))
                        && !is_governed(line, range, *at)
                })
                .is_some_and(|at| is_tool(&line.tokens[at].stem))
        }
        _ => false,
    }
}

/// `cracks in the flask`, `tiny holes and slots in the injected wax`.
fn is_in_a_tool(line: &Line, range: &Range<usize>, one: &Match) -> bool {
    const LISTED: usize = 3;
    const OF_IT: usize = 3;
    let behind = one.last() + 1..range.end;
    let Some(place) = behind.clone().take(LISTED + 2).find(|at| is_place(&line.tokens[*at].word)) else {
        return false;
    };
    let listed = &line.tokens[one.last() + 1..place];
    if !listed.is_empty() && !matches!(listed[0].word.as_str(), "and" | "or") {
        return false;
    }
    let words = place + 1..range.end;
    let mut passed = 0;
    for at in words {
        let token = &line.tokens[at];
        if is_tool(&token.stem) {
            let next = line.tokens.get(at + 1).filter(|_| at + 1 < range.end);
            return !next.is_some_and(|t| is_piece(&t.stem) || matches!(t.word.as_str(), "line" | "seam"));
        }
        if is_piece(&token.stem) || is_preposition(&token.word) || is_denial(&token.word) {
            return false;
        }
        if !is_empty_word(&token.word) {
            passed += 1;
        }
        if passed >= OF_IT || matches!(token.word.as_str(), "and" | "or") {
            return false;
        }
    }
    false
}

/// A preposition stands before the thing, so that it is not what the clause speaks of: `out of the flask`.
fn is_governed(line: &Line, range: &Range<usize>, at: usize) -> bool {
    // "A chunk of investment broke off": the chunk is of the same stuff.
    let part = |at: usize| {
        matches!(line.tokens[at].stem.as_str(), "chunk" | "piec" | "bit" | "lump" | "flake" | "crumb")
    };
    if at >= range.start + 2 && line.tokens[at - 1].word == "of" && part(at - 2) {
        return false;
    }
    (range.start..at)
        .rev()
        .map(|before| &line.tokens[before])
        .find(|t| {
            is_preposition(&t.word)
                || !(is_empty_word(&t.word)
                    || t.word.ends_with("ed")
                    || is_adjective(&t.word)
                    || is_tool(&t.stem)
                    || t.stem == "vacuum")
                || matches!(
                    t.word.as_str(),
                    "and" | "or" | "is" | "was" | "were" | "are" | "has" | "had" | "i" | "we"
                )
        })
        .is_some_and(|t| is_preposition(&t.word))
}

fn is_place(word: &str) -> bool {
    matches!(word, "in" | "on" | "of" | "inside" | "through")
}

fn is_preposition(word: &str) -> bool {
    is_place(word)
        || matches!(
            word,
            "at" | "by"
                | "for"
                | "with"
                | "from"
                | "into"
                | "onto"
                | "to"
                | "near"
                | "under"
                | "over"
                | "after"
                | "before"
                | "between"
                | "around"
                | "off"
                | "out"
                | "when"
                | "where"
                | "without"
                | "against"
        )
}

/// `the ring was fine as cast`: whether praise of something stands before a place.
pub(super) fn is_praised_before(line: &Line, start: usize, at: usize) -> bool {
    let words = &line.tokens[start..at];
    words
        .windows(2)
        .any(|w| PRAISE.contains(&w[1].word.as_str()) && BEFORE_PRAISE.contains(&w[0].word.as_str()))
        && !words.iter().any(|t| is_denial(&t.word))
}

/// `14k white are fine`: where a clause ends in praise of what stands at a place in it, and no "not" stands in it.
pub(super) fn is_praised(line: &Line, range: &Range<usize>, at: usize) -> bool {
    let words = &line.tokens[range.clone()];
    let praise = range.clone().skip(1).find(|p| {
        *p > at
            && PRAISE.contains(&line.tokens[*p].word.as_str())
            && BEFORE_PRAISE.contains(&line.tokens[*p - 1].word.as_str())
    });
    // "The waxes in the same flask perfect."
    let at_the_end =
        words.len() > 1 && words.last().is_some_and(|t| matches!(t.word.as_str(), "perfect" | "fine" | "ok"));
    (praise.is_some() || at_the_end) && !words.iter().any(|t| is_denial(&t.word))
}
