//! Advice: from rules, sheet and findings to ranked causes, explanations and remedies.

pub mod cautions;
mod diagnosis;
pub mod findings;
mod focus;
mod forecast;
mod hand;
pub mod limits;
mod missing;
mod model;
mod prior;
mod remedy;
pub mod start;

pub use diagnosis::{Diagnosis, RankedCause, RankedDefect, RankedRemedy, Reason, Refusal, Step, diagnose};
pub use findings::{Observation, Sureness};
pub use forecast::{Forecast, Promise, Risk, forecast};
pub use hand::{Standing, standings};
pub use missing::{Missing, Unrecorded, missing};
pub use model::Model;
pub use prior::{Prior, Quantities, Shift};
pub use remedy::{BeforeAfter, Outlook, RECAST_MINUTES};
