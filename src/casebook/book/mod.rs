//! The handbook: all that the rules and the cases say, as pages that open from a folder.
//!
//! Every text goes through the template engine's escaping; only the drawings, which are part of the program, are put
//! in as they are. Nothing is asked of the network.

mod pages;

use super::case::Case;
use super::store::replace;
use crate::report::environment;
use crate::rules::RuleBase;
use include_dir::{Dir, include_dir};
use std::path::{Path, PathBuf};

static DRAWINGS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/src/casebook/drawings");
static PAGES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/src/casebook/book/pages");

/// The file by which a folder is known to hold a handbook.
const MARK: &str = "search-data.js";

/// Why the book was not written.
#[derive(Debug, thiserror::Error)]
pub enum BookError {
    /// A folder that holds other things.
    #[error("{} is not empty and holds no handbook; nothing was written", .0.display())]
    Occupied(PathBuf),
    /// A page that could not be made: a slip in a template.
    #[error("cannot make a page: {0}")]
    Page(#[from] minijinja::Error),
    /// The search data could not be made.
    #[error("cannot make the search data: {0}")]
    Data(#[from] serde_json::Error),
    /// The disk's own word.
    #[error("cannot write {}: {source}", path.display())]
    Disk {
        /// Where.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// The disk's own word, of one page.
    #[error("{0}")]
    Write(#[from] super::store::StoreError),
}

/// The drawing of a defect, as SVG text; `None` for a defect of a shop's own rules.
pub fn drawing(id: &str) -> Option<&'static str> {
    DRAWINGS.get_file(format!("{id}.svg"))?.contents_utf8()
}

/// All files of the book: name and text.
///
/// # Errors
/// [`BookError::Page`] and [`BookError::Data`], which a test of the shipped rules rules out.
pub fn files(rules: &RuleBase, cases: &[&Case]) -> Result<Vec<(String, String)>, BookError> {
    let mut environment = environment();
    environment.set_undefined_behavior(minijinja::UndefinedBehavior::Strict);
    for file in PAGES.files() {
        let name = file.path().to_string_lossy().into_owned();
        if let (true, Some(text)) = (name.ends_with(".html"), file.contents_utf8()) {
            environment.add_template_owned(name, text.to_owned())?;
        }
    }
    let mut files = pages::all(rules, cases, &environment)?;
    for name in ["book.css", "search.js"] {
        if let Some(text) = PAGES.get_file(name).and_then(|f| f.contents_utf8()) {
            files.push((name.to_owned(), text.to_owned()));
        }
    }
    Ok(files)
}

/// Writes the book into a folder that is new, empty, or holds an earlier book.
///
/// # Errors
/// [`BookError::Occupied`] for a folder with anything else in it; the disk's own word.
pub fn write(folder: &Path, files: &[(String, String)]) -> Result<(), BookError> {
    let disk = |path: &Path| {
        let path = path.to_path_buf();
        move |source| BookError::Disk { path, source }
    };
    std::fs::create_dir_all(folder).map_err(disk(folder))?;
    let used = std::fs::read_dir(folder).map_err(disk(folder))?.next().is_some();
    if used && !folder.join(MARK).exists() {
        return Err(BookError::Occupied(folder.to_path_buf()));
    }
    // The mark goes first: a book that was cut off half way can be written again.
    let (marks, others): (Vec<_>, Vec<_>) = files.iter().partition(|(name, _)| name == MARK);
    for (name, text) in marks.into_iter().chain(others) {
        replace(&folder.join(name), text)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_defect_has_a_drawing_of_its_own() {
        let rules = crate::rules::shipped(&crate::sheet::catalogue()).rules;
        let mut seen = std::collections::HashSet::new();
        for defect in &rules.defects {
            let drawing = drawing(&defect.id).unwrap_or_else(|| panic!("no drawing of {}", defect.id));
            assert!(drawing.contains("<title>") && drawing.starts_with("<svg "), "{}", defect.id);
            assert!(seen.insert(drawing), "{} shares its drawing", defect.id);
        }
        assert_eq!(DRAWINGS.files().count(), rules.defects.len(), "a drawing without a defect");
    }
}
