//! Problems as text for people: the line, a caret, what is allowed.

use super::diagnostic::{Diagnostic, Diagnostics, Severity};
use super::source::Sources;
use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};

/// How much of the file to show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Excerpt {
    /// The line with a caret, in colour.
    Coloured,
    /// The line with a caret, plain.
    Plain,
}

/// All problems, ready to print. Ends with a newline when there is anything to say.
pub fn render(sources: &Sources, problems: &Diagnostics, excerpt: Excerpt) -> String {
    let renderer = match excerpt {
        Excerpt::Coloured => Renderer::styled(),
        Excerpt::Plain => Renderer::plain(),
    }
    .term_width(80);
    let mut out = String::new();
    for problem in problems.iter() {
        out.push_str(&one(sources, problem, &renderer));
        out.push_str("\n\n");
    }
    out
}

fn one(sources: &Sources, problem: &Diagnostic, renderer: &Renderer) -> String {
    let level = match problem.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let title = level.primary_title(&problem.message).id(problem.code.text());
    let group = match &problem.span {
        Some(span) => {
            let text = sources.text(span.source);
            let annotation = AnnotationKind::Primary.span(visible(text, span.range.clone()));
            let annotation =
                if problem.label.is_empty() { annotation } else { annotation.label(&problem.label) };
            title.element(Snippet::source(text).path(sources.name(span.source)).annotation(annotation))
        }
        None => annotate_snippets::Group::with_title(title),
    };
    let group = match &problem.help {
        Some(help) => group.element(Level::HELP.message(help)),
        None => group,
    };
    renderer.render(&[group])
}

/// The part of a range on its first line: a caret under a whole block helps nobody.
fn visible(text: &str, range: std::ops::Range<usize>) -> std::ops::Range<usize> {
    let floor = |mut at: usize| {
        at = at.min(text.len());
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        at
    };
    let start = floor(range.start);
    let end = floor(range.end).max(start);
    let line_end = text[start..].find('\n').map_or(text.len(), |n| start + n);
    start..end.min(line_end).max(start)
}
