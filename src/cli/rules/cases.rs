//! Which cases a measurement is made on.

use crate::casebook::{self, Case, CasebookError, ReadCases};
use crate::cli::failure::Failure;
use crate::document::nearest_help;
use crate::rules::RuleBase;
use std::path::PathBuf;

/// Where cases come from.
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Chosen {
    /// A folder of cases, in place of the shipped casebook; may be given again
    #[arg(long, value_name = "DIR")]
    cases: Vec<PathBuf>,

    /// The shipped casebook as well as the folders of --cases
    #[arg(long, requires = "cases")]
    shipped: bool,

    /// Only this case; may be given again
    #[arg(long, value_name = "ID")]
    case: Vec<String>,
}

impl Chosen {
    /// True when single cases were asked for.
    pub(super) fn is_chosen(&self) -> bool {
        !self.case.is_empty()
    }
}

/// Reads them; a case with errors is the end.
pub(super) fn read(arguments: &Chosen, rules: &RuleBase) -> Result<Vec<Case>, Failure> {
    let mut cases = Vec::new();
    let mut take = |read: ReadCases| -> Result<(), Failure> {
        if read.problems.errors() > 0 {
            return Err(Failure::Problems(Box::new(read.sources), Box::new(read.problems)));
        }
        cases.extend(read.cases);
        Ok(())
    };
    if arguments.cases.is_empty() || arguments.shipped {
        take(casebook::shipped(rules))?;
    }
    for folder in &arguments.cases {
        take(casebook::folder(rules, folder)?)?;
    }
    let known: Vec<String> = cases.iter().map(|c| c.id.clone()).collect();
    for id in &arguments.case {
        if !known.contains(id) {
            let failure = Failure::usage(format!("there is no case `{id}`"));
            let near = nearest_help(id, known.iter().map(String::as_str));
            return Err(near.into_iter().fold(failure, Failure::with_help));
        }
    }
    if arguments.is_chosen() {
        cases.retain(|c| arguments.case.contains(&c.id));
    }
    if cases.is_empty() {
        return Err(Failure::usage("there is no case to measure on")
            .with_help("name a folder of cases with --cases; casebook/README.md says how one is written"));
    }
    Ok(cases)
}

impl From<CasebookError> for Failure {
    fn from(error: CasebookError) -> Self {
        Self::File { path: error.path.display().to_string(), doing: "read", source: error.source }
    }
}
