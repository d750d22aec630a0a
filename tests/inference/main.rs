//! The inference engine against independent programs, exact fractions and a slow enumeration.

// Helpers outside of test functions fail like tests.
#![allow(clippy::unwrap_used, clippy::panic)]

mod brute;
mod enumeration;
mod golden;
mod limits;
mod properties;
mod random;
mod sample;
