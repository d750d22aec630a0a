//! How much work a query may be, and the ways in which it is refused.

use super::network::Var;

/// Widths and sizes at which the engine changes its method. The width is the largest number of findings and hidden
/// nodes that are open at once; a table has two to that power of entries.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Up to this width all tables of a sweep are kept, if `kept_numbers` allows.
    pub kept: usize,
    /// Up to this width one sweep does it, with tables computed again where they were not kept.
    pub swept: usize,
    /// Up to this width some roots are fixed state by state and the sweeps are added up.
    pub split: usize,
    /// Most sweeps that fixing roots may lead to. Each takes up to about a third of a second, so the default of 64
    /// allows some twenty seconds; where many queries are made at once, look at [`super::Network::width`] first.
    pub split_runs: usize,
    /// Beyond that, whether findings may be left out and intervals be given instead of refusing.
    pub bounds: bool,
    /// About how many sums will be asked over the same evidence. The more, the longer an order is looked for that
    /// makes each of them short.
    pub sums: usize,
    /// How many numbers the kept tables of one component may hold in one direction.
    pub kept_numbers: usize,
    /// How many numbers a sweep may hold while it computes tables again.
    pub scratch_numbers: usize,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            kept: 18,
            swept: 22,
            split: 26,
            split_runs: 64,
            bounds: true,
            sums: 1,
            kept_numbers: 1 << 23,
            scratch_numbers: 1 << 25,
        }
    }
}

impl Limits {
    /// The same limits, but evidence that is too wide for an exact answer is refused.
    pub fn exact(self) -> Self {
        Self { bounds: false, ..self }
    }

    /// The same limits for evidence over which so many sums will be asked.
    pub fn for_sums(self, sums: usize) -> Self {
        Self { sums, ..self }
    }
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum InferenceError {
    /// The evidence has probability 0, or less than about 1e-250.
    #[error("the finding about {finding:?} cannot go with those before it")]
    Impossible {
        /// The finding whose addition, in the order given, made the evidence impossible.
        finding: Var,
    },
    /// Too many findings hang together for an exact answer.
    #[error("the findings hang together too closely for an exact answer: width {width}, limit {limit}")]
    TooWide {
        /// Width that would be needed.
        width: usize,
        /// Width that is allowed.
        limit: usize,
    },
    /// Evidence about something that is not in the network.
    #[error("{0:?} is not in the network")]
    Unknown(Var),
}
