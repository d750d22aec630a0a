//! What a calculation says, for people and for programs.

use crate::cli::output::Out;
use crate::physics::{Estimate, Quantity};
use crate::units::Dimension;
use serde::Serialize;

/// Number of the schema.
const SCHEMA: u32 = 1;

/// The whole answer. README.md documents the schema; fields are only ever added within a schema number.
#[derive(Debug, Serialize)]
pub(super) struct Answer {
    schema: u32,
    kind: &'static str,
    results: Vec<Figure>,
    notes: Vec<String>,
}

/// One computed figure.
#[derive(Debug, Serialize)]
struct Figure {
    id: &'static str,
    title: String,
    value: f64,
    low: f64,
    high: f64,
    unit: &'static str,
    source: &'static str,
    weak: Option<&'static str>,
    #[serde(skip)]
    shown: String,
}

impl Answer {
    pub(super) fn new() -> Self {
        Self { schema: SCHEMA, kind: "", results: Vec::new(), notes: Vec::new() }
    }

    pub(super) fn of(mut self, kind: &'static str) -> Self {
        self.kind = kind;
        self
    }

    /// A figure in the stored unit of its dimension.
    pub(super) fn figure<T: Quantity>(
        self,
        id: &'static str,
        title: impl Into<String>,
        dimension: Dimension,
        estimate: Estimate<T>,
    ) -> Self {
        let shown = estimate.show_as(dimension);
        self.push(id, title.into(), dimension.stored_unit(), &estimate, shown)
    }

    /// A figure whose unit is none of the sheet's.
    pub(super) fn other(
        self,
        id: &'static str,
        title: impl Into<String>,
        unit: &'static str,
        estimate: Estimate,
    ) -> Self {
        let bare = estimate.show_as(Dimension::Ratio);
        let shown = match bare.split_once(" (") {
            Some((value, range)) => format!("{value} {unit} ({range}"),
            None => format!("{bare} {unit}"),
        };
        self.push(id, title.into(), unit, &estimate, shown)
    }

    /// A figure shown as the caller writes it.
    pub(super) fn plain(
        self,
        id: &'static str,
        title: impl Into<String>,
        unit: &'static str,
        value: f64,
        shown: String,
        source: &'static str,
    ) -> Self {
        self.push(id, title.into(), unit, &Estimate::<f64>::exact(value, source), shown)
    }

    fn push<T: Quantity>(
        mut self,
        id: &'static str,
        title: String,
        unit: &'static str,
        estimate: &Estimate<T>,
        shown: String,
    ) -> Self {
        self.results.push(Figure {
            id,
            title,
            value: estimate.value.number(),
            low: estimate.low.number(),
            high: estimate.high.number(),
            unit,
            source: estimate.source,
            weak: estimate.weak,
            shown,
        });
        self
    }

    /// A remark: what the figure means or where it ends.
    pub(super) fn note(mut self, words: impl Into<String>) -> Self {
        self.notes.push(words.into());
        self
    }

    pub(super) fn print(&self, out: &mut Out) {
        for (at, figure) in self.results.iter().enumerate() {
            out.hang("", &format!("{}: {}", figure.title, figure.shown));
            // One doubt behind several figures is said once, under the last of them.
            let next = self.results.get(at + 1).and_then(|f| f.weak);
            if let Some(weak) = figure.weak.filter(|_| figure.weak != next) {
                out.hang("  rough: ", weak);
            }
        }
        for note in &self.notes {
            out.hang("  ", note);
        }
        let mut sources: Vec<&str> =
            self.results.iter().map(|f| f.source).filter(|s| !s.is_empty()).collect();
        sources.sort_unstable();
        sources.dedup();
        if !sources.is_empty() {
            out.hang("  from: ", &sources.join("; "));
        }
    }
}
