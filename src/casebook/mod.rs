//! The casebook: bad casts whose cause is known, as lessons, as tests of the rules, and as a shop's own record.
//!
//! `casebook/README.md` documents the format. One case a file; a file with errors is left out and its problems are
//! handed back with their places, so that one bad file does not hide the others.

pub mod book;
mod case;
pub mod index;
pub mod kept;
pub mod learn;
pub mod like;
pub mod noted;
pub mod quiz;
mod read;
pub mod score;
mod sketch;
pub mod store;
pub mod strength;
pub mod teach;
pub mod words;
mod write;

pub use case::{Case, CaseSource, Confidence, Grade, Origin, Scope, Status};
pub use read::{CasebookError, ReadCases, folder, from_texts, is_shipped, shipped};
pub use sketch::{Sketch, sketch};
pub use write::to_yaml;
