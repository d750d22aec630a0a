//! Advice: from rules, sheet and findings to ranked causes, explanations and remedies.

mod diagnosis;
pub mod findings;
mod focus;
mod hand;
mod model;
mod prior;
mod remedy;

pub use diagnosis::{Diagnosis, RankedCause, RankedDefect, RankedRemedy, Reason, Refusal, Step, diagnose};
pub use findings::{Observation, Sureness};
pub use hand::{Standing, standings};
pub use model::Model;
pub use prior::{Prior, Quantities, Shift};
pub use remedy::{BeforeAfter, Outlook, RECAST_MINUTES};
