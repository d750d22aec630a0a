//! `aftercast rules`: look after the rule base.

mod cases;
mod check;
mod graph;
mod score;
mod show;
mod sources;
mod strength;

use super::failure::{Failure, Outcome};
use super::output::Out;
use std::path::Path;

/// What to do with the rules.
#[derive(Debug, clap::Subcommand)]
pub(super) enum Command {
    /// Read all rules and report everything that is wrong or useless in them
    Check,
    Show(show::Arguments),
    Graph(graph::Arguments),
    Sources(sources::Arguments),
    Score(score::Arguments),
    Strength(strength::Arguments),
}

pub(super) fn run(
    command: &Command,
    folder: Option<&Path>,
    casebook: Option<&Path>,
    out: &mut Out,
) -> Result<Outcome, Failure> {
    match command {
        Command::Check => check::run(folder, out),
        Command::Show(arguments) => show::run(arguments, folder, casebook, out),
        Command::Graph(arguments) => graph::run(arguments, folder, out),
        Command::Sources(arguments) => sources::run(arguments, folder, out),
        Command::Strength(arguments) => strength::run(arguments, folder, out),
        Command::Score(arguments) => score::run(arguments, folder, out),
    }
}
