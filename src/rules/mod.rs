//! The rule base: types, reading with places, checking, the graph.
//!
//! Knows units and the composition of alloys; knows nothing of sheets, probabilities of evidence, or terminals. The
//! catalogue of quantities that rules may speak of is handed in by whoever reads sheets.

pub mod basis;
mod context;
mod decode;
pub mod graph;
mod keys;
mod lint;
mod load;
mod model;
pub mod names;
pub mod words;

pub use context::Context;
pub use decode::{composition, quantity, range, windows};
pub use keys::{
    AlloyKey, CauseKey, CautionKey, DefectKey, FactKey, FamilyKey, QuantityKey, QuestionKey, RemedyKey,
    SignKey, SourceKey,
};
pub use lint::{Places, lint};
pub use load::{LoadError, Loaded, folder, from_texts, shipped};
pub use model::*;
