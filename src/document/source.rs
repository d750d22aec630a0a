//! The texts that problems point into.

use std::borrow::Cow;
use std::ops::Range;
use std::sync::OnceLock;

/// One loaded text. Only [`Sources`] makes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct SourceId(usize);

/// A place: a byte range of one source.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Span {
    /// Which text.
    pub source: SourceId,
    /// Which bytes of it.
    pub range: Range<usize>,
}

#[derive(Debug, Clone)]
struct Source {
    name: String,
    text: Cow<'static, str>,
    /// Byte at which each line begins, once somebody asks: a file with thousands of problems is not counted
    /// through for each.
    lines: OnceLock<Vec<usize>>,
}

impl Source {
    fn lines(&self) -> &[usize] {
        self.lines.get_or_init(|| {
            std::iter::once(0).chain(self.text.match_indices('\n').map(|(at, _)| at + 1)).collect()
        })
    }
}

/// All texts of one run, so that a problem found late can still show its line.
#[derive(Debug, Clone, Default)]
pub struct Sources {
    all: Vec<Source>,
}

impl Sources {
    /// Keeps a text under the name that messages will show.
    pub fn add(&mut self, name: impl Into<String>, text: impl Into<Cow<'static, str>>) -> SourceId {
        self.all.push(Source { name: name.into(), text: text.into(), lines: OnceLock::new() });
        SourceId(self.all.len() - 1)
    }

    /// The name a source was added under.
    pub fn name(&self, id: SourceId) -> &str {
        self.all.get(id.0).map_or("", |s| &s.name)
    }

    /// The whole text of a source.
    pub fn text(&self, id: SourceId) -> &str {
        self.all.get(id.0).map_or("", |s| &s.text)
    }

    /// Line and column of a byte offset, both from 1; the column counts characters.
    pub fn line_column(&self, id: SourceId, offset: usize) -> (usize, usize) {
        let text = self.text(id);
        let mut offset = offset.min(text.len());
        while !text.is_char_boundary(offset) {
            offset -= 1;
        }
        let lines = self.all.get(id.0).map_or(&[][..], Source::lines);
        let line = lines.partition_point(|start| *start <= offset).max(1);
        let line_start = lines.get(line - 1).copied().unwrap_or(0);
        // A byte order mark takes no column.
        let before = text[line_start..offset].trim_start_matches('\u{feff}');
        (line, before.chars().count() + 1)
    }

    /// `file:line:column` of where a span begins.
    pub fn place(&self, span: &Span) -> String {
        let (line, column) = self.line_column(span.source, span.range.start);
        format!("{}:{line}:{column}", self.name(span.source))
    }
}
