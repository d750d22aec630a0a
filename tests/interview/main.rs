//! The interview without a terminal: how well it asks, and what holds in every state.

// Helpers outside of test functions fail like tests.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

mod caster;
mod promise;
mod simulation;
mod walk;
