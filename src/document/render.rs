//! Problems as text for people: the line, a caret, what is allowed. No text of a file reaches the screen with
//! characters that could steer a terminal, and no line is longer than 80 columns as long as paths are short.

use super::diagnostic::{Diagnostic, Diagnostics, Severity};
use super::source::{Sources, Span};
use super::wrap::wrap;
use annotate_snippets::{Annotation, AnnotationKind, Group, Level, Origin, Renderer, Snippet};
use std::ops::Range;

/// How much of the file to show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Excerpt {
    /// The line with a caret, in colour.
    Coloured,
    /// The line with a caret, plain.
    Plain,
}

/// Columns of a screen.
const WIDTH: usize = 80;
/// So many problems are shown; a file with more is not mended by reading all of them.
const MOST: usize = 200;
/// Bytes of a line that are shown on either side of the caret, at most.
const AROUND: usize = 400;
/// Bytes under which the caret stands, at most.
const CARET: usize = 60;
/// Letters of a quoted text in a message, at most.
const QUOTED: usize = 60;

/// All problems, ready to print. Ends with a newline when there is anything to say.
pub fn render(sources: &Sources, problems: &Diagnostics, excerpt: Excerpt) -> String {
    let renderer = match excerpt {
        Excerpt::Coloured => Renderer::styled(),
        Excerpt::Plain => Renderer::plain(),
    }
    .term_width(WIDTH);
    let mut out = String::new();
    for problem in problems.iter().take(MOST) {
        out.push_str(&one(sources, problem, &renderer));
        out.push_str("\n\n");
    }
    let rest = problems.iter().count().saturating_sub(MOST);
    if rest > 0 {
        out.push_str(&format!("and {rest} more; mend these first\n\n"));
    }
    out
}

fn one(sources: &Sources, problem: &Diagnostic, renderer: &Renderer) -> String {
    let level = match problem.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let word = if problem.severity == Severity::Error { "error" } else { "warning" };
    let lead = word.len() + problem.code.text().len() + "[]: ".len();
    let title = level.primary_title(wrapped(&problem.message, lead)).id(problem.code.text());
    let mut group = Group::with_title(title);
    let mut gutter = 1;
    let main = problem.span.as_ref().map(|span| Place::of(sources, span));
    let other = problem.also.as_ref().map(|(span, label)| (Place::of(sources, span), label));
    if let Some(place) = &main {
        gutter = place.line.to_string().len();
        let label = tidy(&problem.label);
        let room = WIDTH.saturating_sub(gutter + " |  ".len() + place.column + place.caret_width());
        let annotation = AnnotationKind::Primary.span(place.caret.clone());
        let fits = textwrap::core::display_width(&label) <= room;
        let annotation = if label.is_empty() || !fits { annotation } else { annotation.label(label.clone()) };
        group = place.show(group, annotation);
        if !fits {
            group = group.element(Level::NOTE.message(wrapped(&label, gutter + " = note: ".len())));
        }
    }
    if let Some((place, label)) = &other {
        let annotation = AnnotationKind::Context.span(place.caret.clone()).label(tidy(label));
        group = place.show(group, annotation);
    }
    if let Some(help) = &problem.help {
        group = group.element(Level::HELP.message(wrapped(help, gutter + " = help: ".len())));
    }
    renderer.render(&[group])
}

/// The part of a file's line that a problem is about.
struct Place {
    name: String,
    line: usize,
    column: usize,
    /// The line begins at its true beginning.
    whole: bool,
    text: String,
    caret: Range<usize>,
}

impl Place {
    /// Cuts the line out of the file: a caret under a whole block helps nobody, and a line of a megabyte even less.
    fn of(sources: &Sources, span: &Span) -> Self {
        let text = sources.text(span.source);
        let start = floor(text, span.range.start);
        let (line, column) = sources.line_column(span.source, start);
        let line_start = text[..start].rfind('\n').map_or(0, |at| at + 1);
        let line_end = text[start..].find(['\n', '\r']).map_or(text.len(), |n| start + n);
        let from = floor(text, line_start.max(start.saturating_sub(AROUND)));
        let to = floor(text, line_end.min(start + AROUND));
        let end = floor(text, span.range.end.min(start + CARET)).clamp(start, to);
        let before = visible(&text[from..start]);
        let under = visible(&text[start..end]);
        let caret = before.len()..before.len() + under.len();
        Self {
            name: visible(sources.name(span.source)),
            line,
            column,
            whole: from == line_start,
            text: before + &under + &visible(&text[end..to]),
            caret,
        }
    }

    fn caret_width(&self) -> usize {
        textwrap::core::display_width(&self.text[self.caret.clone()]).max(1)
    }

    /// The group with this excerpt in it.
    fn show<'a>(&'a self, group: Group<'a>, annotation: Annotation<'a>) -> Group<'a> {
        let snippet = Snippet::source(self.text.as_str()).line_start(self.line).annotation(annotation);
        if self.whole {
            return group.element(snippet.path(self.name.as_str()));
        }
        // The renderer would count the column from where the line was cut.
        let origin = Origin::path(self.name.as_str()).line(self.line).char_column(self.column);
        group.element(origin).element(snippet)
    }
}

/// The nearest character boundary at or before a byte.
fn floor(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// Text in which nothing steers a terminal or turns the direction of writing: such characters become U+FFFD, a tab
/// becomes a space.
pub fn visible(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\t' => ' ',
            c if steers(c) => '\u{fffd}',
            c => c,
        })
        .collect()
}

fn steers(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
}

/// A message without control characters, its texts in backticks cut to a length that can be read.
pub fn tidy(message: &str) -> String {
    let mut out = String::new();
    for (at, piece) in message.split('`').enumerate() {
        if at > 0 {
            out.push('`');
        }
        match piece.char_indices().nth(QUOTED) {
            // Every second piece stands between two marks. A mark in the quoted text itself only cuts elsewhere.
            Some((cut, _)) if at % 2 == 1 => {
                out.push_str(&visible(&piece[..cut]));
                out.push_str("...");
            }
            _ => out.push_str(&visible(piece)),
        }
        if out.len() > 20 * WIDTH {
            out.truncate(floor(&out, 20 * WIDTH));
            out.push_str("...");
            break;
        }
    }
    out
}

/// A tidy message broken into lines that fit behind a lead of so many columns.
fn wrapped(message: &str, lead: usize) -> String {
    wrap(&tidy(message), WIDTH.saturating_sub(lead + 1)).join("\n")
}
