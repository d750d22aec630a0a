//! The shipped rules: sound, clean, sourced, right on known cases and about contradictory cures.

mod clean;
mod measured;
mod trade_offs;
