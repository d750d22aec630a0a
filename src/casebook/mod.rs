//! The casebook: bad casts whose cause is known, as lessons, as tests of the rules, and as a shop's own record.
//!
//! `casebook/README.md` documents the format. One case a file; a file with errors is left out and its problems are
//! handed back with their places, so that one bad file does not hide the others.

mod case;
mod read;
pub mod score;

pub use case::{Case, CaseSource, Confidence, Grade, Origin, Scope, Status};
pub use read::{CasebookError, ReadCases, folder, from_texts, shipped};
