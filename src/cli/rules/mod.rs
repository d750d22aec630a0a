//! `aftercast rules`: look after the rule base.

mod cases;
mod check;
mod score;

use super::failure::{Failure, Outcome};
use super::output::Out;
use std::path::Path;

/// What to do with the rules.
#[derive(Debug, clap::Subcommand)]
pub(super) enum Command {
    /// Read all rules and report everything that is wrong or useless in them
    Check,
    Score(score::Arguments),
}

pub(super) fn run(command: &Command, folder: Option<&Path>, out: &mut Out) -> Result<Outcome, Failure> {
    match command {
        Command::Check => check::run(folder, out),
        Command::Score(arguments) => score::run(arguments, folder, out),
    }
}
