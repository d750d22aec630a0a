//! The command line: one file a command, text and JSON.

mod ask;
mod casebook;
mod check;
mod compare;
mod compute;
mod diagnose;
mod failure;
mod files;
mod output;
mod page;
mod rule_base;
mod rules;
mod said;
mod sketch;
mod start;
mod style;
mod svg;

use clap::{Parser, Subcommand};
use failure::{Failure, Outcome};
use output::Out;
use std::path::PathBuf;
use std::process::ExitCode;

/// Find why a small precious-metal casting went wrong, and what to change first
#[derive(Debug, Parser)]
#[command(name = "aftercast", version, max_term_width = 80, disable_help_subcommand = true)]
#[command(after_help = "Exit codes: 0 done, 1 the check found faults, 2 wrong use or unreadable input.\n\
    Knowledge of the trade, not a safety instruction: the equipment maker, local\n\
    codes and licensed practice come first.")]
struct Arguments {
    /// Use the rules of this folder in place of the shipped ones
    #[arg(long, global = true, value_name = "DIR", env = "AFTERCAST_RULES", hide_env_values = true)]
    rules: Option<PathBuf>,

    /// The shop's own casebook, beside the shipped one
    #[arg(long, global = true, value_name = "DIR", env = "AFTERCAST_CASEBOOK", hide_env_values = true)]
    casebook: Option<PathBuf>,

    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    Ask(ask::Arguments),
    Start(start::Arguments),
    Check(check::Arguments),
    Diagnose(diagnose::Arguments),
    /// Look things up in the casebook, learn from it, add to it
    #[command(subcommand)]
    Casebook(casebook::Command),
    Compare(compare::Arguments),
    /// Compute one thing alone: metal from wax, purge, zinc, porosity, units ...
    #[command(subcommand)]
    Compute(compute::Kind),
    /// Look after the rule base
    #[command(subcommand)]
    Rules(rules::Command),
}

/// How an answer is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    /// For people
    Text,
    /// For programs; README.md has the schema
    Json,
}

/// Runs the command and says how it ended.
pub fn run() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            // Clap prints help to the one stream and mistakes to the other; a closed pipe is no mistake.
            if !error.use_stderr() {
                let _ = error.print();
                return ExitCode::SUCCESS;
            }
            failure::wrong_use(&error);
            return ExitCode::from(2);
        }
    };
    let mut out = Out::new();
    let result = match arguments.command {
        Command::Casebook(c) => {
            casebook::run(&c, arguments.rules.as_deref(), arguments.casebook.as_deref(), &mut out)
        }
        Command::Ask(a) => ask::run(&a, arguments.rules.as_deref(), arguments.casebook.as_deref()),
        Command::Start(a) => start::run(&a, arguments.rules.as_deref(), &mut out),
        Command::Check(a) => check::run(&a, arguments.rules.as_deref(), &mut out),
        Command::Compute(k) => compute::run(&k, arguments.rules.as_deref(), &mut out),
        Command::Diagnose(a) => {
            diagnose::run(&a, arguments.rules.as_deref(), arguments.casebook.as_deref(), &mut out)
        }
        Command::Compare(a) => compare::run(&a, arguments.rules.as_deref(), &mut out),
        Command::Rules(c) => {
            rules::run(&c, arguments.rules.as_deref(), arguments.casebook.as_deref(), &mut out)
        }
    };
    match result.and_then(|outcome| out.finish().map(|()| outcome)) {
        Ok(Outcome::Done) => ExitCode::SUCCESS,
        Ok(Outcome::Faults) => ExitCode::from(1),
        Err(Failure::ClosedPipe) => ExitCode::SUCCESS,
        Err(failure) => {
            failure.print();
            ExitCode::from(2)
        }
    }
}
