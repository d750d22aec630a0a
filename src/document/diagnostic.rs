//! A problem in what somebody wrote, as a value.

use super::source::Span;

/// How bad a problem is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Worth a look; the file is still used.
    Warning,
    /// The file cannot be used as it stands.
    Error,
}

macro_rules! codes {
    ($($(#[$doc:meta])* $variant:ident => $text:literal,)*) => {
        /// What kind of problem it is; printed in brackets, so that it can be searched for.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Code { $($(#[$doc])* $variant,)* }
        impl Code {
            /// The code as printed.
            pub fn text(self) -> &'static str {
                match self { $(Self::$variant => $text,)* }
            }
            /// Every code there is.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)*];
        }
    };
}

codes! {
    /// Not UTF-8, or not YAML, or past a size limit.
    Unreadable => "unreadable",
    /// A field that this record does not have.
    UnknownField => "unknown-field",
    /// A field that this record needs.
    MissingField => "missing-field",
    /// The same field or map key twice.
    DuplicateKey => "duplicate-key",
    /// A list where a text was wanted, and the like.
    WrongShape => "wrong-shape",
    /// An id that no record has.
    UnknownId => "unknown-id",
    /// Two records with one id, or two things with one spoken name.
    DuplicateId => "duplicate-id",
    /// An id that is not kebab-case.
    BadId => "bad-id",
    /// A number outside what is allowed.
    OutOfRange => "out-of-range",
    /// A quantity that could not be read.
    BadQuantity => "bad-quantity",
    /// Knots that do not rise.
    KnotOrder => "knot-order",
    /// A composition that does not add up.
    BadComposition => "bad-composition",
    /// A word that is none of the allowed ones.
    BadChoice => "bad-choice",
    /// Questions that wait for each other, or defects that show as each other.
    Cycle => "cycle",
    /// A rule without a basis.
    NoBasis => "no-basis",
    /// Figures that cannot hold together.
    Contradiction => "contradiction",
    /// A figure that is possible but rare.
    Unusual => "unusual",
    /// A rule that can never matter, or that cannot be told from another.
    Useless => "useless",
    /// A hazard without its caution.
    NoCaution => "no-caution",
}

/// One problem: what is wrong, where, and the way out.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnostic {
    /// Kind of problem.
    pub code: Code,
    /// How bad.
    pub severity: Severity,
    /// What is wrong: lower case, no full stop.
    pub message: String,
    /// Where; `None` only for what has no place, such as a missing file.
    pub span: Option<Span>,
    /// Words under the caret.
    pub label: String,
    /// Another place that has to do with it, and words for it.
    pub also: Option<(Span, String)>,
    /// What is allowed, or what to do.
    pub help: Option<String>,
}

impl Diagnostic {
    /// An error at a place.
    pub fn error(code: Code, span: Span, message: impl Into<String>) -> Self {
        Self {
            code,
            severity: Severity::Error,
            message: message.into(),
            span: Some(span),
            label: String::new(),
            also: None,
            help: None,
        }
    }

    /// A warning at a place.
    pub fn warning(code: Code, span: Span, message: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(code, span, message) }
    }

    /// The same, with words under the caret.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = label.into();
        self
    }

    /// The same, with another place that has to do with it.
    #[must_use]
    pub fn also(mut self, span: Span, label: impl Into<String>) -> Self {
        self.also = Some((span, label.into()));
        self
    }

    /// The same, with a way out.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }
}

/// Problems as they are found.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Diagnostics {
    all: Vec<Diagnostic>,
}

impl Diagnostics {
    /// Adds one.
    pub fn push(&mut self, diagnostic: Diagnostic) {
        self.all.push(diagnostic);
    }

    /// Takes over those of another list.
    pub fn append(&mut self, mut other: Self) {
        self.all.append(&mut other.all);
    }

    /// All of them, in the order found.
    pub fn iter(&self) -> impl Iterator<Item = &Diagnostic> {
        self.all.iter()
    }

    /// How many errors there are.
    pub fn errors(&self) -> usize {
        self.all.iter().filter(|d| d.severity == Severity::Error).count()
    }

    /// How many warnings there are.
    pub fn warnings(&self) -> usize {
        self.all.len() - self.errors()
    }

    /// True when there are so many that guessing what was meant no longer pays.
    pub(crate) fn is_flood(&self) -> bool {
        const FLOOD: usize = 1000;
        self.all.len() >= FLOOD
    }

    /// True when nothing was found.
    pub fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    /// Puts them in the order of the files' lines, errors and warnings mixed.
    pub fn sort(&mut self) {
        self.all.sort_by_key(|d| d.span.as_ref().map(|s| (s.source, s.range.start)));
    }
}

#[cfg(test)]
mod tests {
    use super::Code;

    #[test]
    fn codes_are_unique_and_kebab_case() {
        let mut texts: Vec<&str> = Code::ALL.iter().map(|c| c.text()).collect();
        assert!(texts.iter().all(|t| t.chars().all(|c| c.is_ascii_lowercase() || c == '-')));
        texts.sort_unstable();
        let count = texts.len();
        texts.dedup();
        assert_eq!(count, texts.len());
    }
}
