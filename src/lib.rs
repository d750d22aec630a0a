//! aftercast finds why a small precious-metal casting went wrong and what to change first.
//!
//! See DEVELOPERS.md for the map of the code. Imports run one way:
//! `{units, document, inference} <- physics <- rules <- sheet <- advice <- {interview, report <- casebook} <- cli`.

pub mod advice;
pub mod casebook;
pub mod cli;
pub mod document;
pub mod inference;
pub mod interview;
pub mod physics;
pub mod report;
pub mod rules;
pub mod sheet;
pub mod units;
