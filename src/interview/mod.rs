//! The interview as a pure state machine: answers in, next question out. No terminal, no clock, no files.
//!
//! The state is what was given at the start and the answers in their order; all else is derived. `standing` derives what
//! is known after the answers, `play` says which questions make sense then, `worth` chooses among them by what may be said
//! to each (`outcome`), `effect` says what an answer would do, `reply` reads what the caster typed, `record` is what a
//! journal keeps of it.

mod blame;
mod effect;
mod outcome;
mod outlooks;
mod play;
mod record;
mod reply;
mod standing;
mod state;
mod worth;

pub use effect::{Effect, Moved};
pub use play::Closed;
pub use record::{How, Lost, PerhapsOf, Record, SCHEMA, SaidOf};
pub use reply::{Confusion, read_reply};
pub use standing::Standing;
pub use state::{Interview, Kept, Refused, Said, Start, Step, Told, Turn};
pub use worth::{Because, Chosen, Next, Stop, Worth};
