//! The shipped rules: sound, clean, sourced, right on known cases and about contradictory cures.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod clean;
mod measured;
mod moulds;
mod records;
mod screens;
mod trade_offs;
