//! The interview as a pure state machine: answers in, next question out. No terminal, no clock, no files.
//!
//! The state is what was given at the start and the answers in their order; all else is derived. `standing` derives what
//! is known after the answers, `play` says which questions make sense then, `worth` chooses among them, `reply` reads
//! what the caster typed (`spoken` its short forms), `unlikely` doubts a figure, `record` is what a journal keeps of it.

mod play;
mod record;
mod reply;
mod spoken;
mod standing;
mod state;
mod unlikely;
mod worth;

pub use record::{How, Lost, Record, SCHEMA, SaidOf};
pub use reply::{Confusion, read_reply, remark};
pub use spoken::is_unknown;
pub use standing::Standing;
pub use state::{Interview, Kept, Refused, Said, Start, Step, Told, Turn};
pub use unlikely::{Unlikely, unlikely};
pub use worth::{Chosen, Effect, Next, Stop, Worth};
