//! Short replies in normal speech: nobody knows, not surely, which of them, yes and no.

use crate::rules::names::plain;
use crate::units::small_number;

/// Words before a reply that say how it is meant to be taken, but not what it says.
const FILLERS: [&str; 14] =
    ["i", "we", "im", "am", "are", "sorry", "honestly", "really", "well", "oh", "just", "he", "she", "they"];
/// And behind it.
const TAILS: [&str; 14] = [
    "it", "that", "this", "them", "now", "sorry", "anymore", "really", "exactly", "either", "yet", "here",
    "though", "mate",
];
const UNKNOWN: [&str; 41] = [
    "dont know",
    "do not know",
    "didnt know",
    "dont remember",
    "do not remember",
    "dont recall",
    "cant say",
    "cannot say",
    "can not say",
    "couldnt say",
    "cant tell",
    "cannot tell",
    "can not tell",
    "couldnt tell",
    "cant remember",
    "cannot remember",
    "can not remember",
    "cant recall",
    "not sure",
    "unsure",
    "unknown",
    "not known",
    "no idea",
    "no clue",
    "not a clue",
    "dunno",
    "idk",
    "hard to say",
    "hard to tell",
    "nobody knows",
    "no one knows",
    "who knows",
    "forgot",
    "have forgotten",
    "didnt look",
    "didnt check",
    "didnt measure",
    "never looked",
    "never checked",
    "never measured",
    "didnt write down",
];
/// Longer ones first.
const NOT_SURELY: [&str; 11] = [
    "most likely",
    "i would say",
    "i think",
    "i guess",
    "id say",
    "probably",
    "possibly",
    "perhaps",
    "likely",
    "maybe",
    "might be",
];
const ORDINALS: [&str; 10] =
    ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"];

/// Small letters, no marks, single spaces.
fn words(text: &str) -> String {
    plain(text).split_whitespace().collect::<Vec<_>>().join(" ")
}

/// True where a reply says that nobody knows.
pub fn is_unknown(text: &str) -> bool {
    let text = words(text);
    let mut said: Vec<&str> = text.split(' ').collect();
    while said.first().is_some_and(|w| FILLERS.contains(w)) {
        said.remove(0);
    }
    while said.last().is_some_and(|w| TAILS.contains(w)) {
        said.pop();
    }
    UNKNOWN.contains(&said.join(" ").as_str())
}

/// What a reply says without its `probably`, and whether it came without one. `probably not` is a no, and `probably` alone
/// or `I think so` a yes.
pub(super) fn without_probably(text: &str) -> (&str, bool) {
    let text = text.trim();
    let Some(rest) = NOT_SURELY.iter().find_map(|p| behind(text, p)) else { return (text, true) };
    match rest.trim_matches(|c: char| c.is_whitespace() || matches!(c, '.' | ',' | ':')) {
        "" | "so" | "yes" => ("yes", false),
        "not" => ("no", false),
        rest => (rest, false),
    }
}

/// `text` behind some words at its start, if it has them.
fn behind<'a>(text: &'a str, start: &str) -> Option<&'a str> {
    let (head, rest) = text.split_at_checked(start.len())?;
    let ends = rest.chars().next().is_none_or(|c| !c.is_alphanumeric());
    (ends && head.eq_ignore_ascii_case(start)).then_some(rest)
}

/// The number of an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Which {
    /// In digits.
    Digits(usize),
    /// In words, which may be words of an answer as well: `one`, `the first one`.
    Words(usize),
    /// The last one.
    Last,
}

/// The number that a reply is: `2`, `2)`, `number 2`, `two`, `the second one`.
pub(super) fn which(text: &str) -> Option<Which> {
    let text = words(text);
    let all: Vec<&str> = text.split(' ').collect();
    // `no 2` is number two, and `no` alone is a no.
    let named = |w: &&str| !matches!(*w, "the" | "answer" | "number" | "option" | "choice" | "nr" | "its");
    let mut said: Vec<&str> = all.iter().copied().filter(named).collect();
    if said.len() == 2 && said[0] == "no" {
        said.remove(0);
    }
    let place = |w: &str| ORDINALS.iter().position(|o| *o == w).map(|at| Which::Words(at + 1));
    match said[..] {
        [word] => {
            let digits = word.parse().ok().map(Which::Digits);
            digits.or_else(|| small_number(word).map(Which::Words)).or_else(|| place(word)).or(last(word))
        }
        [word, "one"] => place(word).or(last(word)),
        _ => None,
    }
}

fn last(word: &str) -> Option<Which> {
    (word == "last").then_some(Which::Last)
}

/// The parts of a reply that gives several answers: `1, 3`, `1 and 3`, `2 & 4`, `1 4`. One part: it gives one.
pub(super) fn parts(text: &str) -> Vec<&str> {
    let by_marks = text.split([',', ';', '&', '+']);
    let parts: Vec<&str> =
        by_marks.flat_map(|part| part.split(" and ")).map(str::trim).filter(|p| !p.is_empty()).collect();
    if let [numbers] = parts[..]
        && numbers.split_whitespace().all(|w| w.parse::<usize>().is_ok())
    {
        return numbers.split_whitespace().collect();
    }
    parts
}

/// `yes` and `no` in their other forms.
pub(super) fn yes_or_no(word: &str) -> &str {
    match word {
        "y" | "ye" | "yeah" | "yep" | "yup" | "aye" | "sure" | "definit" | "it do" | "it is" | "it was" => {
            "yes"
        }
        "n" | "nope" | "nah" | "none" | "not at all" | "it isnt" | "it wasnt" => "no",
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nobody_knows_in_normal_speech() {
        for text in [
            "cant say",
            "can't remember",
            "i dont know",
            "I don't know.",
            "i don't remember",
            "not sure",
            "I'm not sure",
            "we cant tell",
            "no idea, sorry",
            "never measured it",
            "Can’t say",
        ] {
            assert!(is_unknown(text), "{text}");
        }
        for text in ["", "no", "I can't see any", "not there", "sure", "i", "cannot be filed", "?"] {
            assert!(!is_unknown(text), "{text}");
        }
    }

    #[test]
    fn an_answer_is_called_by_its_number_in_words() {
        for text in ["2", "2)", "#2", "no. 2", "number 2", "option 2"] {
            assert_eq!(which(text), Some(Which::Digits(2)), "{text}");
        }
        for text in ["two", "the second one", "Second", "number two"] {
            assert_eq!(which(text), Some(Which::Words(2)), "{text}");
        }
        assert_eq!((which("one"), which("the first one")), (Some(Which::Words(1)), Some(Which::Words(1))));
        assert_eq!(which("the last one"), Some(Which::Last));
        for text in ["", "no", "none", "one large void", "the first cast", "2 mm"] {
            assert_eq!(which(text), None, "{text}");
        }
        for text in ["1 and 3", "1, 3", "1 & 3", "1 3", "1+3", "1, and 3", "1 ; 3"] {
            assert_eq!(parts(text).iter().filter_map(|p| which(p)).count(), 2, "{text}");
        }
    }

    #[test]
    fn what_is_not_sure_is_told_apart() {
        assert_eq!(without_probably("probably not"), ("no", false));
        assert_eq!(without_probably("Probably"), ("yes", false));
        assert_eq!(without_probably("I think so"), ("yes", false));
        assert_eq!(without_probably("maybe 2"), ("2", false));
        assert_eq!(without_probably("likeness"), ("likeness", true));
    }
}
