//! Lines that ask the program something: what a question means, what a word means. They state nothing of the cast.

use crate::rules::names::plain;

/// What is asked.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Wonder<'a> {
    /// What the question at hand is about.
    Question,
    /// What a word means; `surely` where the line can be nothing else.
    Word { word: &'a str, surely: bool },
}

/// About the question at hand.
const PUZZLED: [&str; 26] = [
    "help me",
    "help please",
    "please help",
    "i do not understand",
    "i dont understand",
    "dont understand",
    "do not understand",
    "i dont get it",
    "i dont follow",
    "what",
    "huh",
    "pardon",
    "come again",
    "explain",
    "explain please",
    "please explain",
    "what do you mean",
    "what does that mean",
    "what does this mean",
    "what is meant",
    "what is that",
    "what is this",
    "how do i tell",
    "how can i tell",
    "how do i see that",
    "what should i look for",
];
/// A word between two ends.
const SURE: [(&str, &str); 12] = [
    ("what does ", " mean"),
    ("what do ", " mean"),
    ("what do you mean by ", ""),
    ("what do you mean with ", ""),
    ("what is meant by ", ""),
    ("whats meant by ", ""),
    ("what is the meaning of ", ""),
    ("meaning of ", ""),
    ("define ", ""),
    ("explain ", ""),
    ("what does ", " look like"),
    ("what do ", " look like"),
];
const LIKELY: [(&str, &str); 8] = [
    ("what is ", ""),
    ("what's ", ""),
    ("what’s ", ""),
    ("whats ", ""),
    ("what are ", ""),
    ("how do i tell ", ""),
    ("how do i see ", ""),
    ("how do i recognise ", ""),
];
/// Words that point at the piece in hand: `what is this crust`.
const POINTING: [&str; 8] = ["this", "that", "these", "those", "my", "our", "wrong", "on"];
/// A word of the trade is no longer than this.
const LONGEST: usize = 4;

/// What a line asks; `None` if it asks nothing of the kind.
pub(super) fn wonder(line: &str) -> Option<Wonder<'_>> {
    let text = line.trim().trim_end_matches(['.', '!', ' ']);
    let asked = text.ends_with('?');
    let text = text.trim_end_matches(['?', ' ']);
    let said = plain(text).split_whitespace().collect::<Vec<_>>().join(" ");
    if said.is_empty() && asked || PUZZLED.contains(&said.as_str()) {
        return Some(Wonder::Question);
    }
    if let Some(word) = text.strip_prefix('?').map(named).filter(|w| !w.is_empty()) {
        return Some(Wonder::Word { word, surely: true });
    }
    let find = |forms: &[(&str, &str)]| {
        forms
            .iter()
            .find_map(|(before, after)| between(text, before, after))
            .map(named)
            .filter(|w| !w.is_empty())
    };
    if let Some(word) = find(&SURE) {
        return Some(Wonder::Word { word, surely: true });
    }
    if let Some(word) = find(&LIKELY) {
        let said = plain(word);
        let pointing = said.split_whitespace().any(|w| POINTING.contains(&w));
        let surely = !pointing && said.split_whitespace().count() <= LONGEST;
        return Some(Wonder::Word { word, surely });
    }
    // `misrun?`
    asked.then_some(Wonder::Word { word: named(text), surely: false })
}

fn between<'a>(text: &'a str, before: &str, after: &str) -> Option<&'a str> {
    let (head, rest) = text.split_at_checked(before.len())?;
    let (middle, tail) = rest.split_at_checked(rest.len().checked_sub(after.len())?)?;
    (head.eq_ignore_ascii_case(before) && tail.eq_ignore_ascii_case(after)).then_some(middle)
}

/// A word without its article and its marks.
fn named(word: &str) -> &str {
    let mark = |c: char| c.is_whitespace() || matches!(c, '"' | '\'' | '`' | '“' | '”');
    let word = word.trim_matches(mark);
    let article = ["a ", "an ", "the "].iter().find_map(|a| between(word, a, ""));
    article.unwrap_or(word).trim_matches(mark)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_that_asks_is_told_from_one_that_states() {
        let word = |line: &str| match wonder(line) {
            Some(Wonder::Word { word, surely }) => Some((word.to_owned(), surely)),
            _ => None,
        };
        let sure = |w: &str| Some((w.to_owned(), true));
        assert_eq!(word("what does misrun mean"), sure("misrun"));
        assert_eq!(word("What does a “cold shut” mean?"), sure("cold shut"));
        assert_eq!(word("what is a misrun?"), sure("misrun"));
        assert_eq!(word("whats veining"), sure("veining"));
        assert_eq!(word("explain fins"), sure("fins"));
        assert_eq!(word("? fins"), sure("fins"));
        assert_eq!(word("misrun?"), Some(("misrun".to_owned(), false)));
        assert_eq!(word("what is this black crust"), Some(("this black crust".to_owned(), false)));
        for line in
            ["?", " ?? ", "help me", "I do not understand", "I don't understand.", "what do you mean?"]
        {
            assert_eq!(wonder(line), Some(Wonder::Question), "{line}");
        }
        for line in ["misrun", "small pits", "", "what a mess", "the melt was hot", "640 C"] {
            assert_eq!(wonder(line), None, "{line}");
        }
    }
}
