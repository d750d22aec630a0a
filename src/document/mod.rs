//! Reading what people write by hand: YAML with places, problems that point at them, nearest names.
//!
//! Used by the rule base, the process sheet and the casebook alike. A file is read into a tree of [`Node`]s that
//! remember their byte range; [`Record`] takes the tree apart field by field and *collects* every problem, so that
//! one run shows all of them. Knows nothing of casting.

mod diagnostic;
mod nearest;
mod record;
mod render;
mod source;
mod wrap;
mod yaml;

pub use diagnostic::{Code, Diagnostic, Diagnostics, Severity};
pub use nearest::{nearest, nearest_help};
pub use record::{Entry, Record, entries, items, text_of};
pub use render::{Excerpt, render, tidy, visible};
pub use source::{SourceId, Sources, Span};
pub use wrap::{behind, glued, hang, wrap};
pub use yaml::{Node, Value, read};
