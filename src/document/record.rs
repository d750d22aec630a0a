//! Takes a map apart field by field and collects what is wrong with it.

use super::diagnostic::{Code, Diagnostic, Diagnostics};
use super::nearest::nearest_help;
use super::source::{SourceId, Span};
use super::yaml::{Node, Value};
use std::collections::HashMap;
use std::ops::Range;

/// Fields of an ordinary record, at most.
const FEW: usize = 24;

/// A field's key and value.
#[derive(Debug, Clone, Copy)]
pub struct Entry<'a> {
    /// The key as written.
    pub key: &'a str,
    /// Where the key stands.
    pub key_node: &'a Node,
    /// Its value.
    pub value: &'a Node,
}

/// A map being taken apart. Fields are taken by name; [`Record::finish`] reports those nobody asked for.
#[derive(Debug)]
pub struct Record<'a> {
    source: SourceId,
    /// Where the record stands.
    pub range: Range<usize>,
    what: &'static str,
    entries: Vec<Entry<'a>>,
    taken: Vec<bool>,
    asked: Vec<&'static str>,
}

impl<'a> Record<'a> {
    /// Begins with a node that should be a map; reports and returns `None` when it is not.
    pub fn open(
        source: SourceId,
        node: &'a Node,
        what: &'static str,
        problems: &mut Diagnostics,
    ) -> Option<Self> {
        let entries = entries(source, node, what, problems)?;
        let taken = vec![false; entries.len()];
        Some(Self { source, range: node.range.clone(), what, entries, taken, asked: Vec::new() })
    }

    /// The span of some bytes of this record's file.
    pub fn span(&self, range: &Range<usize>) -> Span {
        Span { source: self.source, range: range.clone() }
    }

    /// Where the record begins: its first key.
    pub fn head(&self) -> Span {
        let range = self.entries.first().map_or(&self.range, |e| &e.key_node.range);
        self.span(range)
    }

    /// The field's value, if it is there and not empty.
    pub fn take(&mut self, name: &'static str) -> Option<&'a Node> {
        self.asked.push(name);
        let at = self.entries.iter().position(|e| e.key == name)?;
        self.taken[at] = true;
        let value = self.entries[at].value;
        (value.value != Value::Empty).then_some(value)
    }

    /// The field's value; a problem when it is missing.
    pub fn need(&mut self, name: &'static str, problems: &mut Diagnostics) -> Option<&'a Node> {
        let found = self.take(name);
        if found.is_none() {
            problems.push(match self.entries.iter().find(|e| e.key == name) {
                Some(empty) => Diagnostic::error(
                    Code::MissingField,
                    self.span(&empty.key_node.range),
                    format!("the `{name}` of this {} is empty", self.what),
                )
                .label("nothing stands behind it"),
                None => Diagnostic::error(
                    Code::MissingField,
                    self.head(),
                    format!("this {} has no `{name}`", self.what),
                )
                .label("begins here")
                .help(format!("add `{name}: ...` to it")),
            });
        }
        found
    }

    /// A text field that may be left out.
    pub fn text(&mut self, name: &'static str, problems: &mut Diagnostics) -> Option<&'a str> {
        let node = self.take(name)?;
        text_of(self.source, node, problems)
    }

    /// A text field that must be there.
    pub fn need_text(&mut self, name: &'static str, problems: &mut Diagnostics) -> Option<&'a str> {
        let node = self.need(name, problems)?;
        text_of(self.source, node, problems)
    }

    /// A list of texts, empty when left out.
    pub fn texts(&mut self, name: &'static str, problems: &mut Diagnostics) -> Vec<(&'a str, Span)> {
        let Some(node) = self.take(name) else { return Vec::new() };
        items(self.source, node, problems)
            .iter()
            .filter_map(|n| Some((text_of(self.source, n, problems)?, self.span(&n.range))))
            .collect()
    }

    /// Reports every field that was not asked for.
    pub fn finish(self, problems: &mut Diagnostics) {
        for (entry, taken) in self.entries.iter().zip(&self.taken) {
            let doubled = self.asked.contains(&entry.key);
            if *taken || doubled {
                continue;
            }
            let mut problem = Diagnostic::error(
                Code::UnknownField,
                self.span(&entry.key_node.range),
                format!("{} has no field `{}`", with_article(self.what), entry.key),
            )
            .label("unknown field");
            if problems.is_flood() {
                problems.push(problem);
                continue;
            }
            problem.help = match nearest_help(entry.key, self.asked.iter().copied()) {
                Some(help) => Some(help),
                None => Some(format!("allowed here: {}", self.asked.join(", "))),
            };
            problems.push(problem);
        }
    }
}

/// The entries of a map, doubles and odd keys reported.
pub fn entries<'a>(
    source: SourceId,
    node: &'a Node,
    what: &'static str,
    problems: &mut Diagnostics,
) -> Option<Vec<Entry<'a>>> {
    let Value::Map(pairs) = &node.value else {
        problems.push(
            Diagnostic::error(
                Code::WrongShape,
                Span { source, range: node.range.clone() },
                format!("{} is written as `name: value` lines", with_article(what)),
            )
            .label(format!("this is {}", shape(node)))
            .help("write `name: value`, one a line, or `{name: value, name: value}`"),
        );
        return None;
    };
    let mut found: Vec<Entry<'a>> = Vec::with_capacity(pairs.len());
    // Comparing a handful of keys is quicker than a table of them; of a hostile thousand it is not.
    let mut seen: Option<HashMap<&str, &Node>> = (pairs.len() > FEW).then(HashMap::new);
    for (key_node, value) in pairs {
        let Value::Scalar(key) = &key_node.value else {
            problems.push(
                Diagnostic::error(
                    Code::WrongShape,
                    Span { source, range: key_node.range.clone() },
                    "what stands before the colon is a plain word",
                )
                .label(format!("this is {}", shape(key_node)))
                .help("write `name: value`"),
            );
            continue;
        };
        let key: &str = key;
        let first = match &seen {
            Some(seen) => seen.get(key).copied(),
            None => found.iter().find(|e| e.key == key).map(|e| e.key_node),
        };
        if let Some(first) = first {
            problems.push(
                Diagnostic::error(
                    Code::DuplicateKey,
                    Span { source, range: key_node.range.clone() },
                    format!("`{key}` stands here twice"),
                )
                .label("second time")
                .also(Span { source, range: first.range.clone() }, "first time")
                .help("keep one of the two"),
            );
            continue;
        }
        if let Some(seen) = &mut seen {
            seen.insert(key, key_node);
        }
        found.push(Entry { key, key_node, value });
    }
    Some(found)
}

/// The items of a list; reported when it is none.
pub fn items<'a>(source: SourceId, node: &'a Node, problems: &mut Diagnostics) -> &'a [Node] {
    match &node.value {
        Value::List(items) => items,
        Value::Empty => &[],
        _ => {
            problems.push(
                Diagnostic::error(
                    Code::WrongShape,
                    Span { source, range: node.range.clone() },
                    "a list is wanted here",
                )
                .label(format!("this is {}", shape(node)))
                .help("write `[one, two]`, or a line beginning with `- ` for each"),
            );
            &[]
        }
    }
}

/// The text of a scalar; reported when it is none.
pub fn text_of<'a>(source: SourceId, node: &'a Node, problems: &mut Diagnostics) -> Option<&'a str> {
    match &node.value {
        Value::Scalar(text) if !text.trim().is_empty() => Some(text),
        _ => {
            problems.push(
                Diagnostic::error(
                    Code::WrongShape,
                    Span { source, range: node.range.clone() },
                    "a text or a number is wanted here",
                )
                .label(format!("this is {}", shape(node)))
                .help("write one value; quote a text that begins with a mark such as `[`, `{` or `&`"),
            );
            None
        }
    }
}

/// `an alloy`, `a cause`.
fn with_article(what: &str) -> String {
    let article = if what.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    format!("{article} {what}")
}

fn shape(node: &Node) -> &'static str {
    match node.value {
        Value::Empty => "left empty",
        Value::Scalar(ref s) if s.trim().is_empty() => "an empty text",
        Value::Scalar(_) => "a single value",
        Value::List(_) => "a list",
        Value::Map(_) => "a block of `name: value`",
    }
}
