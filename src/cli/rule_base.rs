//! Rules and sheets for commands.

use super::failure::Failure;
use crate::rules::names::{AlloyName, find_alloy, near_alloys};
use crate::rules::{self, AlloyKey, Loaded, RuleBase};
use crate::sheet::{Sheet, Unusual, catalogue, read_sheet};
use serde::Serialize;
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

/// A figure of a sheet to look at again, for programs.
#[derive(Debug, Serialize)]
pub(super) struct Warning {
    field: &'static str,
    message: String,
    help: String,
}

/// What the text of the warnings says, for programs.
pub(super) fn warnings(sheet: &Sheet) -> Vec<Warning> {
    let one = |u: Unusual| Warning { field: u.field.id(), message: u.message, help: u.help };
    sheet.unusual().into_iter().map(one).collect()
}

/// What an alloy's name means.
pub(super) fn alloy(rules: &RuleBase, name: &str) -> Result<AlloyName, Failure> {
    find_alloy(rules, name).ok_or_else(|| {
        let name: String = name.chars().map(|c| if c.is_control() { '?' } else { c }).take(60).collect();
        let near = near_alloys(rules, &name, 5);
        let failure = Failure::usage(format!("there is no alloy `{name}`"));
        if near.is_empty() {
            failure.with_help("name an alloy, a family such as au-14y, or a metal such as silver")
        } else {
            failure.with_help(format!("nearest: {}", near.join(", ")))
        }
    })
}

/// One alloy of the table, and not only a family or a metal.
pub(super) fn one_alloy(rules: &RuleBase, name: &str) -> Result<AlloyKey, Failure> {
    let of = |belongs: &dyn Fn(&crate::rules::Alloy) -> bool| -> Vec<&str> {
        rules.alloys.iter().filter(|a| belongs(a)).map(|a| a.id.as_str()).collect()
    };
    let several = match alloy(rules, name)? {
        AlloyName::Alloy(key) => return Ok(key),
        // A synonym may name one alloy where the id of a family or a metal's word came first.
        AlloyName::Family(family) => of(&|a| a.family == family),
        AlloyName::Metal(metal) => of(&|a| rules.family(a.family).metal == metal),
    };
    if let [only] = several.as_slice()
        && let Some(key) = rules.find_alloy(only)
    {
        return Ok(key);
    }
    Err(Failure::usage(format!("`{name}` is more than one alloy"))
        .with_help(format!("name one: {}", several.join(", "))))
}
