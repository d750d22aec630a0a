//! The short form of a shop's cases, kept beside them so that a hundred thousand are not read again at every call.
//!
//! The kept file is only a shortcut: it is made from the cases, checked against name, time and size of every file, and
//! thrown away when it does not fit the rules or cannot be read. A file that is broken is never kept, so it is
//! reported each time.

use super::index::{Entry, Index, Short};
use super::read::{CasebookError, ReadCases, case_files, from_texts};
use super::store::replace_bytes;
use crate::document::{Diagnostics, Sources};
use crate::rules::RuleBase;
use serde::{Deserialize, Serialize};
use std::collections::HashMap;
use std::path::Path;
use std::time::UNIX_EPOCH;

/// The kept file's name: hidden, and no case.
const NAME: &str = ".index";
/// Raised when the form of the kept file changes.
const VERSION: u32 = 1;
/// How many files are read at once.
const BATCH: usize = 1000;

/// A folder's cases in short.
#[derive(Debug, Default)]
pub struct Own {
    /// The cases.
    pub index: Index,
    /// What is wrong with files, with their texts for showing places.
    pub broken: Vec<(Sources, Diagnostics)>,
}

#[derive(Debug, Serialize, Deserialize)]
struct Kept {
    version: u32,
    rules: u64,
    vocabulary: Vec<String>,
    files: Vec<(Stamp, Short)>,
}

/// By what a file is known to be the same.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
struct Stamp {
    name: String,
    nanos: u64,
    size: u64,
}

/// The cases of a folder in short.
///
/// # Errors
/// [`CasebookError`] when the folder or a file in it cannot be read.
pub fn own(rules: &RuleBase, root: &Path) -> Result<Own, CasebookError> {
    let print = fingerprint(rules);
    let kept = std::fs::read(root.join(NAME))
        .ok()
        .and_then(|bytes| postcard::from_bytes::<Kept>(&bytes).ok())
        .filter(|k| k.version == VERSION && k.rules == print);
    let mut own = Own::default();
    let mut known: HashMap<String, (Stamp, Short)> = HashMap::new();
    if let Some(kept) = kept {
        own.index = Index::with_words(kept.vocabulary);
        known = kept.files.into_iter().map(|f| (f.0.name.clone(), f)).collect();
    }
    let before = known.len();
    let mut stamps: Vec<Stamp> = Vec::new();
    let mut fresh: Vec<Stamp> = Vec::new();
    for path in case_files(root)? {
        let unreadable = |source| CasebookError { path: path.clone(), source };
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let metadata = std::fs::metadata(&path).map_err(unreadable)?;
        let since = metadata.modified().ok().and_then(|t| t.duration_since(UNIX_EPOCH).ok());
        let stamp = Stamp {
            nanos: since.map_or(0, |d| u64::try_from(d.as_nanos()).unwrap_or(0)),
            size: metadata.len(),
            name,
        };
        match known.remove(&stamp.name) {
            Some((old, short)) if old == stamp && stamp.nanos != 0 => match Entry::from_short(rules, short) {
                Some(entry) => {
                    own.index.put(entry);
                    stamps.push(stamp);
                }
                None => fresh.push(stamp),
            },
            _ => fresh.push(stamp),
        }
    }
    let changed = !fresh.is_empty() || before != stamps.len();
    let prefix = format!("{}/", root.display().to_string().trim_end_matches('/'));
    // In batches, so that a hundred thousand texts are never in memory at once.
    for batch in fresh.chunks(BATCH) {
        let mut texts: Vec<(String, Vec<u8>)> = Vec::with_capacity(batch.len());
        for stamp in batch {
            let path = root.join(&stamp.name);
            let bytes = std::fs::read(&path).map_err(|source| CasebookError { path, source })?;
            texts.push((stamp.name.clone(), bytes));
        }
        let read = from_texts(rules, &prefix, texts);
        for case in &read.cases {
            own.index.add(rules, case, true);
            let name = format!("{}.yaml", case.id);
            stamps.push(batch.iter().find(|s| s.name == name).cloned().unwrap_or(Stamp {
                name,
                nanos: 0,
                size: 0,
            }));
        }
        if !read.problems.is_empty() {
            own.broken.push((read.sources, read.problems));
        }
    }
    if changed {
        let files = stamps.into_iter().zip(own.index.entries.iter().map(Entry::short)).collect();
        let kept = Kept { version: VERSION, rules: print, vocabulary: own.index.words().to_vec(), files };
        // A folder that cannot be written to is read again next time: slower, and not wrong.
        if let Ok(bytes) = postcard::to_stdvec(&kept) {
            let _ = replace_bytes(&root.join(NAME), &bytes);
        }
    }
    Ok(own)
}

/// One case of a folder, read afresh.
///
/// # Errors
/// [`CasebookError`] when its file cannot be read.
pub fn one(rules: &RuleBase, root: &Path, id: &str) -> Result<ReadCases, CasebookError> {
    let name = format!("{id}.yaml");
    let path = root.join(&name);
    let bytes = std::fs::read(&path).map_err(|source| CasebookError { path, source })?;
    let prefix = format!("{}/", root.display().to_string().trim_end_matches('/'));
    Ok(from_texts(rules, &prefix, vec![(name, bytes)]))
}

/// A number that changes with anything in the rules that the short form rests on (FNV-1a).
fn fingerprint(rules: &RuleBase) -> u64 {
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    let mut take = |text: &str| {
        for byte in text.bytes().chain([0]) {
            hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
        }
    };
    take(env!("CARGO_PKG_VERSION"));
    for defect in &rules.defects {
        take(&defect.id);
        take(&defect.title);
        defect.synonyms.iter().for_each(|s| take(s));
    }
    for sign in &rules.signs {
        take(&sign.id);
        take(&sign.title);
    }
    for cause in &rules.causes {
        take(&cause.id);
        take(&cause.title);
    }
    for family in &rules.families {
        take(&family.id);
    }
    for alloy in &rules.alloys {
        take(&alloy.id);
        take(&alloy.title);
    }
    hash
}

/// True when two short forms say the same; for tests.
#[cfg(test)]
fn same(a: &Index, b: &Index) -> bool {
    let words = |index: &Index, e: &Entry| format!("{e:?}").len() + index.words().len();
    a.entries.len() == b.entries.len()
        && a.entries.iter().zip(&b.entries).all(|(x, y)| x.id == y.id && words(a, x) == words(b, y))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::casebook::{Case, shipped, to_yaml};

    #[test]
    fn what_is_kept_says_what_the_files_say() {
        let rules = crate::rules::shipped(&crate::sheet::catalogue()).rules;
        let dir = tempfile::tempdir().unwrap();
        let cases: Vec<Case> = shipped(&rules).cases;
        for case in &cases[..20] {
            std::fs::write(dir.path().join(format!("{}.yaml", case.id)), to_yaml(&rules, case)).unwrap();
        }
        let first = own(&rules, dir.path()).unwrap();
        let second = own(&rules, dir.path()).unwrap();
        assert!(same(&first.index, &second.index));
        assert_eq!(first.index.search("white powder"), second.index.search("white powder"));
        // A changed file is read again, a removed one is gone, a broken one is reported each time.
        let path = dir.path().join(format!("{}.yaml", cases[0].id));
        let changed = Case { title: "Something about xylophones".to_owned(), ..cases[0].clone() };
        std::fs::write(&path, to_yaml(&rules, &changed)).unwrap();
        std::fs::remove_file(dir.path().join(format!("{}.yaml", cases[1].id))).unwrap();
        std::fs::write(dir.path().join("broken.yaml"), "[").unwrap();
        for _ in 0..2 {
            let again = own(&rules, dir.path()).unwrap();
            assert_eq!(again.index.entries.len(), 19);
            assert_eq!(again.index.search("xylophone").len(), 1);
            assert_eq!(again.broken.len(), 1);
        }
        // Rubbish in the kept file is no harm.
        std::fs::write(dir.path().join(NAME), b"rubbish").unwrap();
        assert_eq!(own(&rules, dir.path()).unwrap().index.entries.len(), 19);
    }
}
