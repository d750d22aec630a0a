//! The process sheet: what was recorded of a cast, and what can be computed from it.

pub mod derived;
mod field;
mod model;
mod read;
mod unusual;
mod write;

pub use derived::{Computed, Job, catalogue};
pub use field::{FACTS, Field, Limits, SECTIONS};
pub use model::{JobAlloy, Recorded, Sheet};
pub use read::{ReadSheet, apply_setting, read_setting, read_sheet, sheet_of};
pub use unusual::Unusual;
pub use write::{write_sheet, written_figure};
