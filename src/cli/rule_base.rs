//! Rules and sheets for commands.

use super::failure::Failure;
use crate::rules::{self, Loaded, RuleBase};
use crate::sheet::{Sheet, catalogue, read_sheet};
use std::path::Path;

/// Reads the rules, faults and all.
pub(super) fn load(folder: Option<&Path>) -> Result<Loaded, Failure> {
    let quantities = catalogue();
    Ok(match folder {
        Some(folder) => rules::folder(folder, &quantities)?,
        None => rules::shipped(&quantities),
    })
}

/// Reads the rules; errors in them are the end.
pub(super) fn sound(folder: Option<&Path>) -> Result<RuleBase, Failure> {
    let loaded = load(folder)?;
    if loaded.problems.errors() > 0 {
        return Err(Failure::Problems(Box::new(loaded.sources), Box::new(loaded.problems)));
    }
    Ok(loaded.rules)
}

/// A sheet from a file; `-` is the standard input. Its warnings come back as text.
pub(super) fn sheet(rules: &RuleBase, path: &Path) -> Result<(Sheet, String), Failure> {
    let name = path.display().to_string();
    let failed = |source| Failure::File { path: name.clone(), doing: "read", source };
    let bytes = if name == "-" {
        let mut bytes = Vec::new();
        std::io::Read::read_to_end(&mut std::io::stdin().lock(), &mut bytes).map_err(failed)?;
        bytes
    } else {
        std::fs::read(path).map_err(failed)?
    };
    let read = read_sheet(rules, &name, &bytes);
    if read.problems.errors() > 0 {
        return Err(Failure::Problems(Box::new(read.sources), Box::new(read.problems)));
    }
    let warnings = crate::document::render(&read.sources, &read.problems, crate::document::Excerpt::Coloured);
    Ok((read.sheet, warnings))
}
