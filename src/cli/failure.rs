//! How a command ends.

use super::output::Out;
use crate::document::{Diagnostics, Excerpt, Sources, render, tidy, visible};
use crate::rules::LoadError;
use std::io::Write as _;

/// A command that ran.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Outcome {
    /// Exit code 0.
    Done,
    /// Exit code 1: what was checked has faults.
    Faults,
}

/// A command that could not run: exit code 2.
#[derive(Debug)]
pub(super) enum Failure {
    /// Wrong use: the message and what to do about it.
    Usage { message: String, help: Vec<String> },
    /// What was read has errors.
    Problems(Box<Sources>, Box<Diagnostics>),
    /// A file that could not be read or written.
    File { path: String, doing: &'static str, source: std::io::Error },
    /// Whoever read the output stopped reading.
    ClosedPipe,
    /// Output that could not be written.
    Output(std::io::Error),
}

impl Failure {
    pub(super) fn usage(message: impl Into<String>) -> Self {
        Self::Usage { message: message.into(), help: Vec::new() }
    }

    pub(super) fn with_help(self, line: impl Into<String>) -> Self {
        match self {
            Self::Usage { message, mut help } => {
                help.push(line.into());
                Self::Usage { message, help }
            }
            other => other,
        }
    }

    /// Prints it to the error stream.
    pub(super) fn print(&self) {
        let mut err = anstream::stderr().lock();
        let text = match self {
            Self::Usage { message, help } => {
                let mut text = Out::new();
                text.hang("error: ", &tidy(message));
                for line in help {
                    text.hang("  help: ", &tidy(line));
                }
                text.into_text()
            }
            Self::Problems(sources, problems) => {
                let count = problems.errors();
                let s = if count == 1 { "" } else { "s" };
                format!("{}{count} error{s}\n", render(sources, problems, Excerpt::Coloured))
            }
            Self::File { path, doing, source } => {
                let mut text = Out::new();
                text.hang("error: ", &format!("cannot {doing} {path}: {source}"));
                text.into_text()
            }
            Self::ClosedPipe => return,
            Self::Output(error) => format!("error: cannot write the answer: {error}\n"),
        };
        // Nothing sensible is left to do when even this cannot be written.
        let _ = err.write_all(text.as_bytes());
    }
}

/// Prints what clap has against the arguments. It repeats them as they came, so its own styles are given up where an
/// argument holds a character that could steer the terminal.
pub(super) fn wrong_use(error: &clap::Error) {
    let steers = |a: std::ffi::OsString| visible(&a.to_string_lossy()) != a.to_string_lossy();
    if !std::env::args_os().skip(1).any(steers) {
        let _ = error.print();
        return;
    }
    let mut err = anstream::stderr().lock();
    for line in error.render().to_string().lines() {
        let _ = writeln!(err, "{}", visible(line));
    }
}

impl From<LoadError> for Failure {
    fn from(error: LoadError) -> Self {
        Self::usage(error.to_string())
    }
}

impl From<std::io::Error> for Failure {
    fn from(error: std::io::Error) -> Self {
        if error.kind() == std::io::ErrorKind::BrokenPipe { Self::ClosedPipe } else { Self::Output(error) }
    }
}
