//! The one module that knows the YAML crate: text to a tree with places, or one problem with its place.
//!
//! The crate's budget keeps hostile input (alias bombs, deep nesting, endless scalars) to an error. Scalars stay as
//! written: `no`, `010` and `925` are texts here, and whoever wants a number reads it with its unit and range.

use super::diagnostic::{Code, Diagnostic};
use super::source::{SourceId, Span};
use serde::de::{Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_yaml::Spanned;
use std::borrow::Cow;
use std::fmt;
use std::ops::Range;

/// Deepest nesting of lists and maps; the deepest shipped file needs seven.
const DEEPEST: usize = 32;
/// Most nodes in one file; the largest shipped file has some ten thousand.
const MOST_NODES: usize = 400_000;
/// Most bytes of text in one file.
const MOST_BYTES: usize = 8 * 1024 * 1024;

/// A value and where it stands.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(bound(deserialize = "'de: 'static"))]
pub struct Node {
    /// Bytes of the file that it takes.
    pub range: Range<usize>,
    /// What it is.
    pub value: Value,
}

/// What a node holds.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum Value {
    /// Nothing written.
    Empty,
    /// A text, number or word, as written; borrowed where the file was read when the program was built.
    Scalar(#[serde(borrow)] Cow<'static, str>),
    /// A list.
    List(Vec<Node>),
    /// A map, in the order written, doubles kept.
    Map(Vec<(Node, Node)>),
}

/// Reads one YAML document.
///
/// # Errors
/// One problem (bytes that are not UTF-8 or not YAML, or more than the limits) with its place.
pub fn read(source: SourceId, text: &str) -> Result<Node, Box<Diagnostic>> {
    let problem = |range: Range<usize>, message: String| {
        Box::new(Diagnostic::error(Code::Unreadable, Span { source, range }, message))
    };
    if text.len() > MOST_BYTES {
        return Err(problem(0..0, format!("larger than {} MB", MOST_BYTES / 1024 / 1024)));
    }
    match serde_yaml::from_str_with_options::<Spanned<Tree>>(text, options()) {
        Ok(tree) => {
            let mut node = place(tree);
            settle(&mut node, text);
            Ok(node)
        }
        Err(error) => {
            let error = error.without_snippet();
            let at = error.location().map_or(0..0, |l| range_in(text, &l));
            let end = text.len();
            let (message, help) = plain_words(&error.to_string());
            let found = problem(at.start.min(end)..at.end.min(end), message);
            Err(Box::new(found.help(help)))
        }
    }
}

fn options() -> serde_yaml::Options {
    let budget = serde_yaml::budget! {
        max_depth: DEEPEST,
        flow_nesting_limit: DEEPEST,
        max_nodes: MOST_NODES,
        max_total_scalar_bytes: MOST_BYTES,
        max_aliases: 1_000,
        max_anchors: 1_000,
        max_documents: 1,
        max_merge_keys: 0,
    };
    serde_yaml::options! {
        budget: budget,
        duplicate_keys: serde_yaml::DuplicateKeyPolicy::PassThrough,
        merge_keys: serde_yaml::MergeKeyPolicy::AsOrdinary,
        // Nobody writes a sheet or a rule with aliases; a few replays are let through, a bomb is not.
        alias_limits: serde_yaml::alias_limits! { max_total_replayed_events: 10_000 },
        strict_booleans: true,
        non_finite_float_policy: serde_yaml::NonFiniteFloatPolicy::PassThrough,
    }
}

/// The crate's messages, kept to their first line and in the program's voice, with a way out.
fn plain_words(message: &str) -> (String, &'static str) {
    let first = message.lines().next().unwrap_or("not YAML").trim();
    let mut words = first.trim_end_matches('.').to_owned();
    if let Some(cut) = words.find(" at line ") {
        words.truncate(cut);
    }
    let has = |needle: &str| words.to_lowercase().contains(needle);
    if has("budget") || has("recursion") || has("alias") || has("anchor") {
        let message = format!("too large or too deeply nested to be a sheet or a rule file ({words})");
        return (message, "a shipped file nests no deeper than seven and refers to nothing by `*name`");
    }
    let help = if has("tab") {
        "YAML indents with spaces; replace the tab by two of them"
    } else if has("quote") {
        "close the quote on the line where the text ends"
    } else if has("mapping values are not allowed") {
        "a text with a colon and a space inside goes in quotes; lines of one record stand at one indent"
    } else if has("multiple documents") || has("document") {
        "one file is one document; take out the `---` line between them"
    } else {
        "look at this line and the one above: indent, quotes, brackets, a missing colon"
    };
    (format!("not YAML: {words}"), help)
}

/// Where a syntax error stands. The crate knows these by line and column only.
fn range_in(text: &str, location: &serde_yaml::Location) -> Range<usize> {
    if location.span().byte_offset().is_some() {
        return range_of(location);
    }
    let index = |n: u64| usize::try_from(n).unwrap_or(usize::MAX).saturating_sub(1);
    let line_start: usize = text.split_inclusive('\n').take(index(location.line())).map(str::len).sum();
    let line = text[line_start..].lines().next().unwrap_or("");
    let column = line.char_indices().nth(index(location.column())).map_or(line.len(), |(at, _)| at);
    let at = line_start + column;
    let width = text[at..].chars().next().map_or(0, char::len_utf8);
    at..at + width
}

fn range_of(location: &serde_yaml::Location) -> Range<usize> {
    let index = |n: Option<u64>| usize::try_from(n.unwrap_or(0)).unwrap_or(0);
    let start = index(location.span().byte_offset());
    start..start.saturating_add(index(location.span().byte_len()))
}

/// The tree as serde hands it over: every child with its place.
enum Tree {
    Empty,
    /// A text whose spelling the crate may have changed (quotes, folding).
    Text(String),
    /// A number or boolean: the spelling is in the file.
    AsWritten,
    List(Vec<Spanned<Tree>>),
    Map(Vec<(Spanned<Tree>, Spanned<Tree>)>),
}

fn place(spanned: Spanned<Tree>) -> Node {
    let range = range_of(&spanned.referenced);
    let value = match spanned.value {
        Tree::Empty => Value::Empty,
        Tree::Text(text) => Value::Scalar(text.into()),
        Tree::AsWritten => Value::Scalar(Cow::Borrowed("")),
        Tree::List(items) => Value::List(items.into_iter().map(place).collect()),
        Tree::Map(pairs) => Value::Map(pairs.into_iter().map(|(k, v)| (place(k), place(v))).collect()),
    };
    Node { range, value }
}

/// Fills in the scalars kept as written, and trims ranges that reach into the following white space.
fn settle(node: &mut Node, text: &str) {
    let written = text.get(node.range.clone()).unwrap_or("");
    node.range.end = node.range.start + written.trim_end().len();
    match &mut node.value {
        Value::Scalar(scalar) if scalar.is_empty() => {
            let written = written.trim_end();
            if !matches!(written, "\"\"" | "''") {
                *scalar = written.to_owned().into();
            }
        }
        Value::List(items) => {
            items.iter_mut().for_each(|n| settle(n, text));
            node.range.end = closing(text, &node.range, items.last());
        }
        Value::Map(pairs) => {
            for (key, value) in pairs.iter_mut() {
                settle(key, text);
                settle(value, text);
            }
            node.range.end = closing(text, &node.range, pairs.last().map(|(_, v)| v));
        }
        Value::Empty | Value::Scalar(_) => {}
    }
}

/// Where a list or map in brackets ends: the crate knows only where it begins.
fn closing(text: &str, range: &Range<usize>, last: Option<&Node>) -> usize {
    let close = match text.get(range.start..).and_then(|t| t.chars().next()) {
        Some('[') => ']',
        Some('{') => '}',
        _ => return range.end,
    };
    let from = last.map_or(range.start + 1, |n| n.range.end).max(range.start + 1);
    match text.get(from..).and_then(|rest| rest.find(close)) {
        Some(at) => from + at + 1,
        None => range.end,
    }
}

impl<'de> Deserialize<'de> for Tree {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct AnyShape;
        impl<'de> Visitor<'de> for AnyShape {
            type Value = Tree;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a text, a list or a map")
            }
            fn visit_unit<E>(self) -> Result<Tree, E> {
                Ok(Tree::Empty)
            }
            fn visit_none<E>(self) -> Result<Tree, E> {
                Ok(Tree::Empty)
            }
            fn visit_some<D: Deserializer<'de>>(self, d: D) -> Result<Tree, D::Error> {
                Tree::deserialize(d)
            }
            fn visit_str<E>(self, v: &str) -> Result<Tree, E> {
                Ok(Tree::Text(v.to_owned()))
            }
            fn visit_string<E>(self, v: String) -> Result<Tree, E> {
                Ok(Tree::Text(v))
            }
            fn visit_bool<E>(self, _: bool) -> Result<Tree, E> {
                Ok(Tree::AsWritten)
            }
            fn visit_i64<E>(self, _: i64) -> Result<Tree, E> {
                Ok(Tree::AsWritten)
            }
            fn visit_u64<E>(self, _: u64) -> Result<Tree, E> {
                Ok(Tree::AsWritten)
            }
            fn visit_i128<E>(self, _: i128) -> Result<Tree, E> {
                Ok(Tree::AsWritten)
            }
            fn visit_u128<E>(self, _: u128) -> Result<Tree, E> {
                Ok(Tree::AsWritten)
            }
            fn visit_f64<E>(self, _: f64) -> Result<Tree, E> {
                Ok(Tree::AsWritten)
            }
            fn visit_bytes<E>(self, _: &[u8]) -> Result<Tree, E> {
                Ok(Tree::AsWritten)
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Tree, A::Error> {
                let mut items = Vec::new();
                while let Some(item) = seq.next_element()? {
                    items.push(item);
                }
                Ok(Tree::List(items))
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Tree, A::Error> {
                let mut pairs = Vec::new();
                while let Some(pair) = map.next_entry()? {
                    pairs.push(pair);
                }
                Ok(Tree::Map(pairs))
            }
        }
        deserializer.deserialize_any(AnyShape)
    }
}

#[cfg(test)]
mod tests {
    use super::super::source::Sources;
    use super::*;

    fn tree(text: &str) -> Result<Node, Box<Diagnostic>> {
        read(Sources::default().add("t", text.to_owned()), text)
    }

    #[test]
    fn scalars_stay_as_written_and_know_their_bytes() {
        let text = "é: no\nb: 010\nc: \"a: b\"\nd: [1.50, ~]\n";
        let Value::Map(pairs) = tree(text).unwrap().value else { panic!("a map") };
        let scalar = |n: &Node| match &n.value {
            Value::Scalar(s) => s.to_string(),
            other => format!("{other:?}"),
        };
        assert_eq!(scalar(&pairs[0].1), "no");
        assert_eq!(scalar(&pairs[1].1), "010");
        assert_eq!(scalar(&pairs[2].1), "a: b");
        assert_eq!(&text[pairs[1].0.range.clone()], "b");
        let Value::List(items) = &pairs[3].1.value else { panic!("a list") };
        assert_eq!(scalar(&items[0]), "1.50");
        assert_eq!(items[1].value, Value::Empty);
    }

    #[test]
    fn doubles_are_kept_for_the_reader_to_report() {
        let Value::Map(pairs) = tree("a: 1\na: 2\n").unwrap().value else { panic!("a map") };
        assert_eq!(pairs.len(), 2);
    }

    #[test]
    fn hostile_input_is_an_error_and_quick() {
        let deep = "[".repeat(100_000);
        let maps = "{a: ".repeat(100_000);
        let dashes = "- ".repeat(100_000);
        let mut bomb = "a0: &a0 [x,x,x,x,x,x,x,x,x]\n".to_owned();
        for n in 1..12 {
            let refs = vec![format!("*a{}", n - 1); 9].join(",");
            bomb.push_str(&format!("a{n}: &a{n} [{refs}]\n"));
        }
        for text in [&deep, &maps, &dashes, &bomb] {
            let started = std::time::Instant::now();
            assert!(tree(text).is_err());
            assert!(started.elapsed().as_secs() < 5);
        }
    }
}
