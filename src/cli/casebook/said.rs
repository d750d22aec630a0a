//! What was seen and what is known of the job, in flags.

use crate::advice::{Observation, Sureness};
use crate::cli::diagnose::{job, words};
use crate::cli::failure::Failure;
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
    /// The findings, which may be none, and the sheet with what they imply; the sheet's warnings as text.
    pub(super) fn understood(&self, rules: &RuleBase) -> Result<(Vec<Observation>, Sheet, String), Failure> {
        let observations = words::gather(
            rules,
            &[
                (&self.certain, Sureness::Certain),
                (&self.defects, Sureness::Seen),
                (&self.signs, Sureness::Seen),
                (&self.probably, Sureness::Probably),
                (&self.absent, Sureness::Absent),
            ],
        )?;
        let (mut sheet, warnings) = job(rules, self.sheet.as_deref(), self.alloy.as_deref())?;
        sheet.take_implied(rules, observations.iter().filter(|o| o.is_present()).map(|o| o.finding));
        Ok((observations, sheet, warnings))
    }
}
