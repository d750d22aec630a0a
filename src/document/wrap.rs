//! Running text broken into lines, with a figure and its unit kept on one line.

use super::render::visible;
use crate::units::is_unit;
use textwrap::{Options, WordSplitter};

/// Stands for a space where no line may end. Text that already has one breaks there no more than a reader expects.
const KEPT: char = '\u{a0}';

/// Text in lines of at most so many columns, where no word is longer than a line. Nothing in it steers a terminal.
/// Words, and so ids, are not broken at their dashes.
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    lines(text, Options::new(width).word_splitter(WordSplitter::NoHyphenation))
}

/// The same after a lead; further lines stand under the text. Words are broken at dashes between two letters if
/// that is wanted.
pub fn hang(lead: &str, text: &str, width: usize, at_dashes: bool) -> Vec<String> {
    let indent = " ".repeat(textwrap::core::display_width(lead));
    let splitter = if at_dashes { WordSplitter::Custom(dashes) } else { WordSplitter::NoHyphenation };
    let options = Options::new(width).initial_indent(lead).subsequent_indent(&indent);
    lines(text, options.word_splitter(splitter))
}

/// The same with the lead before every line, as for comments.
pub fn behind(lead: &str, text: &str, width: usize) -> Vec<String> {
    let options = Options::new(width).initial_indent(lead).subsequent_indent(lead);
    lines(text, options.word_splitter(WordSplitter::NoHyphenation))
}

fn lines(text: &str, options: Options<'_>) -> Vec<String> {
    let whole = |line: std::borrow::Cow<'_, str>| line.trim_end().replace(KEPT, " ");
    textwrap::wrap(&glued(&visible(text)), options).into_iter().map(whole).collect()
}

/// The text with a no-break space between each figure and its unit, for what breaks lines by itself, as a browser.
pub fn glued(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut before = "";
    for (at, word) in text.split(' ').enumerate() {
        if at > 0 {
            out.push(if is_figure(before) && is_unit(bare(word)) { KEPT } else { ' ' });
        }
        out.push_str(word);
        before = word;
    }
    out
}

/// Whether a word ends as a figure does: `640`, `(39`, `2.5`, `18-22`, but not `A4,`.
fn is_figure(word: &str) -> bool {
    let word = word.trim_start_matches(['(', '[', '<', '>', '~', '+', '-', '±']);
    word.starts_with(|c: char| c.is_ascii_digit()) && word.ends_with(|c: char| c.is_ascii_digit())
}

/// A word without the marks of punctuation behind it.
fn bare(word: &str) -> &str {
    word.trim_end_matches([',', '.', ';', ':', ')', ']', '!', '?'])
}

/// Where a word may be broken at its dashes: between two letters, so that `18-22` stays whole.
fn dashes(word: &str) -> Vec<usize> {
    let letter = |c: Option<char>| c.is_some_and(char::is_alphabetic);
    word.match_indices('-')
        .filter(|(at, _)| letter(word[..*at].chars().next_back()) && letter(word[at + 1..].chars().next()))
        .map(|(at, _)| at + 1)
        .collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_figure_keeps_its_unit() {
        assert_eq!(wrap("misrun 39 % now", 9), ["misrun", "39 % now"]);
        assert_eq!(wrap("flask (640 °C), then", 12), ["flask", "(640 °C),", "then"]);
        assert_eq!(wrap("soak for 2 hours", 10), ["soak for", "2 hours"]);
        assert_eq!(hang("- ", "a gate of 18-22 mm", 12, true), ["- a gate of", "  18-22 mm"]);
        assert_eq!(wrap("sheet A4, s and t", 10), ["sheet A4,", "s and t"]);
    }

    #[test]
    fn dashes_break_between_letters_only_when_wanted() {
        assert_eq!(hang("", "gypsum-bonded", 8, true), ["gypsum-", "bonded"]);
        assert_eq!(hang("", "see a gypsum-mould", 14, false), ["see a", "gypsum-mould"]);
    }

    proptest! {
        /// Nothing is lost, nothing is added, and no line is wider than it may be.
        #[test]
        fn lines_hold_the_text_and_the_width(text in "([a-z]{1,9}|[0-9]{1,3} (%|°C|mm)[,.]?)( ([a-z]{1,9}|[0-9]{1,3} (%|°C|mm)[,.]?)){0,30}", width in 12usize..60) {
            let lines = hang("  ", &text, width, true);
            prop_assert_eq!(lines.iter().map(|l| l.trim()).collect::<Vec<_>>().join(" "), text);
            for line in lines {
                prop_assert!(textwrap::core::display_width(&line) <= width);
                prop_assert!(!line.trim_start().starts_with(['%', '°']));
            }
        }
    }
}
