//! Printing: one stream, 80 columns, colour only where a terminal shows it.

use super::failure::Failure;
use crate::document::{hang, visible};
pub(super) use crate::report::words::{factor_words, from_to, percent};
use std::io::Write as _;
use std::path::Path;

/// Columns that every screen keeps to.
pub(super) const WIDTH: usize = 80;

/// The answer, gathered and written at once.
pub(super) struct Out {
    text: String,
}

impl Out {
    pub(super) fn new() -> Self {
        Self { text: String::new() }
    }

    /// A line as it is.
    pub(super) fn line(&mut self, text: impl AsRef<str>) {
        self.text.push_str(text.as_ref());
        self.text.push('\n');
    }

    /// An empty line.
    pub(super) fn gap(&mut self) {
        self.text.push('\n');
    }

    /// Running text after a lead, wrapped; further lines stand under the text.
    pub(super) fn hang(&mut self, lead: &str, text: &str) {
        self.lines(hang(lead, text, WIDTH, true));
    }

    /// The same for text full of ids, which are not broken at their hyphens.
    pub(super) fn hang_whole(&mut self, lead: &str, text: &str) {
        self.lines(hang(lead, text, WIDTH, false));
    }

    /// A file on a line of its own, never broken, so that it can be copied.
    pub(super) fn file(&mut self, path: &Path) {
        self.line(format!("  {}", visible(&path.display().to_string())));
    }

    fn lines(&mut self, lines: Vec<String>) {
        lines.iter().for_each(|l| self.line(l));
    }

    /// A value as indented JSON. Of the characters that could steer a terminal JSON itself escapes only the first 32.
    pub(super) fn json(&mut self, value: &impl serde::Serialize) -> Result<(), Failure> {
        let text = serde_json::to_string_pretty(value).map_err(|e| Failure::Output(e.into()))?;
        for c in text.chars() {
            if c != '\n' && c.is_control() {
                self.text.push_str(&format!("\\u{:04x}", u32::from(c)));
            } else {
                self.text.push(c);
            }
        }
        self.gap();
        Ok(())
    }

    /// What was gathered.
    pub(super) fn into_text(self) -> String {
        self.text
    }

    /// Writes everything.
    pub(super) fn finish(self) -> Result<(), Failure> {
        let mut stream = anstream::stdout().lock();
        stream.write_all(self.text.as_bytes())?;
        stream.flush()?;
        Ok(())
    }
}

/// A bar for a chance: as many marks of `width` as its share.
pub(super) fn bar(chance: f64, width: usize) -> String {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "a few columns"
    )]
    let full = (chance.clamp(0.0, 1.0) * width as f64).round() as usize;
    format!("{}{}", "#".repeat(full), ".".repeat(width - full))
}
