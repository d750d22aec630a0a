//! What was seen and what is known of the job, in flags.

use super::diagnose::{job, words};
use super::failure::Failure;
use super::rule_base;
use crate::advice::{Observation, Sureness};
use crate::rules::RuleBase;
use crate::sheet::Sheet;
use std::path::PathBuf;

/// The flags.
#[derive(Debug, clap::Args)]
pub(super) struct Said {
    /// Defects as you would call them, such as pinholes,misrun
    #[arg(long, value_name = "ID[,ID...]", value_delimiter = ',')]
    defects: Vec<String>,

    /// Signs that you saw
    #[arg(long, value_name = "ID[,ID...]", value_delimiter = ',')]
    signs: Vec<String>,

    /// Defects or signs that you looked for and did not find
    #[arg(long, value_name = "ID[,ID...]", value_delimiter = ',')]
    absent: Vec<String>,

    /// Defects or signs that are there, but not for sure
    #[arg(long, value_name = "ID[,ID...]", value_delimiter = ',')]
    probably: Vec<String>,

    /// Defects that are proved, by section or analysis
    #[arg(long, value_name = "ID[,ID...]", value_delimiter = ',')]
    certain: Vec<String>,

    /// The alloy, its family or its metal, when no sheet names it
    #[arg(long, value_name = "NAME")]
    alloy: Option<String>,

    /// The process sheet of this cast; - reads it from the standard input
    #[arg(long, value_name = "FILE")]
    sheet: Option<PathBuf>,
}

impl Said {
    /// The findings, which may be none, in the order of the flags.
    pub(super) fn findings(&self, rules: &RuleBase) -> Result<Vec<Observation>, Failure> {
        words::gather(
            rules,
            &[
                (&self.certain, Sureness::Certain),
                (&self.defects, Sureness::Seen),
                (&self.signs, Sureness::Seen),
                (&self.probably, Sureness::Probably),
                (&self.absent, Sureness::Absent),
            ],
        )
    }

    /// The sheet with the alloy of its flag, and its warnings as text.
    pub(super) fn job(&self, rules: &RuleBase) -> Result<(Sheet, String), Failure> {
        job(rules, self.sheet.as_deref(), self.alloy.as_deref())
    }

    /// The same over a sheet that is known already: a sheet of the flags takes its place, an alloy the place of its
    /// alloy.
    pub(super) fn job_over(&self, rules: &RuleBase, known: Sheet) -> Result<(Sheet, String), Failure> {
        if self.sheet.is_some() {
            return self.job(rules);
        }
        let mut known = known;
        let mut told = String::new();
        if let Some(alloy) = &self.alloy {
            let read = rule_base::alloy(rules, alloy)?;
            known.name_alloy(rules, read.name);
            told = rule_base::told(read.choice);
        }
        Ok((known, told))
    }
}
