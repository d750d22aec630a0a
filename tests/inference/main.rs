//! The inference engine against independent programs, exact fractions and a slow enumeration.

mod brute;
mod enumeration;
mod golden;
mod limits;
mod properties;
mod random;
