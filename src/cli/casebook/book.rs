//! `casebook book`: the handbook as a folder of pages.

use super::shelf::Shelf;
use crate::casebook::Case;
use crate::casebook::book::{BookError, files, write};
use crate::cli::failure::{Failure, Outcome};
use crate::cli::output::Out;
use std::path::PathBuf;

/// Write the handbook: defects, causes, signs, remedies, cautions and cases as pages
///
/// The pages need no server and ask nothing of the network: open index.html.
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast casebook book handbook")]
pub(in crate::cli) struct Arguments {
    /// A folder that is new, empty, or holds an earlier handbook
    #[arg(value_name = "DIR")]
    folder: PathBuf,
}

pub(super) fn run(arguments: &Arguments, shelf: &Shelf<'_>, out: &mut Out) -> Result<Outcome, Failure> {
    let all = shelf.cases()?;
    let cases: Vec<&Case> = all.iter().map(|c| &**c).collect();
    let failed = |error: BookError| match error {
        BookError::Disk { path, source } => {
            Failure::File { path: path.display().to_string(), doing: "write", source }
        }
        BookError::Occupied(_) => {
            Failure::usage(error.to_string()).with_help("name a new folder, or empty this one yourself")
        }
        other => Failure::usage(other.to_string()),
    };
    let files = files(shelf.rules, &cases).map_err(failed)?;
    write(&arguments.folder, &files).map_err(failed)?;
    let start = arguments.folder.join("index.html");
    out.hang("", &format!("Wrote {} files; open {}.", files.len(), start.display()));
    Ok(Outcome::Done)
}
