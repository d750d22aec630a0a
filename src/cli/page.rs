//! `--report FILE.html`, the same for every command that has a page.

use super::failure::Failure;
use super::files;
use super::output::Out;
use std::path::PathBuf;

#[derive(Debug, clap::Args)]
pub(super) struct PageFile {
    /// Write the answer as one page for browser and printer
    #[arg(long, value_name = "FILE.html")]
    report: Option<PathBuf>,

    /// Let --report overwrite its file
    #[arg(long, requires = "report")]
    force: bool,
}

impl PageFile {
    /// True when a page is to be written.
    pub(super) fn is_wanted(&self) -> bool {
        self.report.is_some()
    }

    /// Refuses a file that is there and may not be overwritten, before any work is done.
    pub(super) fn refuse_existing(&self) -> Result<(), Failure> {
        match &self.report {
            Some(path) if !self.force => files::refuse_existing(path),
            _ => Ok(()),
        }
    }

    /// Makes and writes the page, if one is wanted.
    pub(super) fn write(
        &self,
        page: impl FnOnce() -> Result<String, minijinja::Error>,
    ) -> Result<(), Failure> {
        let Some(path) = &self.report else { return Ok(()) };
        let page = page().map_err(|e| Failure::usage(format!("the page could not be made: {e}")))?;
        files::write(path, page.as_bytes(), self.force)
    }

    /// Says on the screen where the page is.
    pub(super) fn print(&self, out: &mut Out) {
        if let Some(path) = &self.report {
            out.gap();
            out.hang("", &format!("The page is in {}.", path.display()));
        }
    }
}
