//! aftercast finds why a small precious-metal casting went wrong and what to change first.
//!
//! See DEVELOPERS.md for the map of the code. Imports run one way:
//! `units <- {physics, inference} <- rules <- sheet <- advice <- {interview, casebook} <- cli`.

pub mod inference;
pub mod units;
