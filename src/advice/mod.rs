//! Advice: from rules, sheet and findings to ranked causes, explanations and remedies.

pub mod cautions;
mod diagnosis;
mod effect;
pub mod findings;
mod focus;
mod forecast;
mod hand;
pub mod limits;
mod missing;
mod model;
mod opposites;
mod plan;
mod prior;
mod rank;
mod remedy;
pub mod start;
mod step;
mod tries;
mod whatif;

pub use diagnosis::{Diagnosis, RankedCause, RankedDefect, RankedRemedy, Reason, Refusal, diagnose};
pub use effect::{Effect, Harm};
pub use findings::{Observation, Sureness};
pub use forecast::{Forecast, Promise, Risk, forecast};
pub use hand::{Standing, standings};
pub use missing::{Missing, Unrecorded, has, matter, missing};
pub use model::Model;
pub use opposites::Opposites;
pub use plan::{Action, Costs, Planner, Sequence, UNSOLVED_MINUTES};
pub use prior::{Prior, Quantities, Shift};
pub use rank::{PLAN_STEPS, Pair, Plan, PlanStep, Policy, Teaching};
pub use remedy::{BeforeAfter, Outlook, RECAST_MINUTES, SMALLEST_GAIN, harm};
pub use step::{Step, move_effect};
pub use tries::{Tried, tries};
pub use whatif::{WhatIf, what_if};
