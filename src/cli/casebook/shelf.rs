//! The shipped cases and the shop's own, together.

use crate::casebook::index::{Entry, Index, Part};
use crate::casebook::kept::{one, own};
use crate::casebook::learn::Counts;
use crate::casebook::store::Store;
use crate::casebook::{Case, CasebookError, shipped};
use crate::cli::failure::Failure;
use crate::document::nearest;
use crate::rules::RuleBase;
use std::borrow::Cow;
use std::path::{Path, PathBuf};

/// Where the shop keeps its own cases.
#[derive(Debug)]
pub(in crate::cli) struct Place {
    folder: Option<PathBuf>,
    /// Named on the command line or in the environment: then it has to be there.
    named: bool,
}

impl Place {
    /// The folder that was named, else the usual one under the user's data.
    pub(in crate::cli) fn of(named: Option<&Path>) -> Self {
        match named {
            Some(folder) => Self { folder: Some(folder.to_path_buf()), named: true },
            None => Self { folder: data_folder().map(|d| d.join("casebook")), named: false },
        }
    }

    /// The folder as a store to write to.
    pub(super) fn store(&self) -> Result<Store, Failure> {
        self.folder.clone().map(Store::new).ok_or_else(|| {
            Failure::usage("there is no place for the shop's cases: neither XDG_DATA_HOME nor HOME is set")
                .with_help("name a folder: --casebook DIR")
        })
    }

    /// The shop's own closed cases counted, silently: of broken files `casebook list` speaks, and a diagnosis does not
    /// wait for a shop's first case.
    pub(in crate::cli) fn counts(&self, rules: &RuleBase) -> Result<Counts, Failure> {
        let mut index = Index::new(rules);
        if let Some(root) = self.folder.as_ref().filter(|root| root.exists()) {
            index.put(own(rules, root, Part::Rows).map_err(unreadable)?.cases, true);
        }
        Ok(Counts::of(index.entries()))
    }

    /// The shop's folder; `None` when it is not there yet.
    fn root(&self) -> Result<Option<&Path>, Failure> {
        let Some(root) = &self.folder else { return Ok(None) };
        if !root.exists() {
            if self.named {
                return Err(Failure::usage(format!("there is no casebook folder {}", root.display()))
                    .with_help("`aftercast casebook add` makes it with the first case"));
            }
            return Ok(None);
        }
        Ok(Some(root))
    }
}

fn unreadable(error: CasebookError) -> Failure {
    Failure::File { path: error.path.display().to_string(), doing: "read", source: error.source }
}

/// The folder for what belongs to the user and not to a project.
pub(super) fn data_folder() -> Option<PathBuf> {
    let set = |name: &str| std::env::var_os(name).filter(|v| !v.is_empty()).map(PathBuf::from);
    let root = set("XDG_DATA_HOME")
        .filter(|p| p.is_absolute())
        .or_else(|| set("HOME").map(|home| home.join(".local").join("share")));
    root.map(|r| r.join("aftercast"))
}

/// All cases in short, with the way to each whole case.
pub(super) struct Shelf<'a> {
    pub(super) rules: &'a RuleBase,
    root: Option<&'a Path>,
    shipped: Vec<Case>,
    /// In short, the shop's own first.
    pub(super) index: Index,
}

impl<'a> Shelf<'a> {
    /// Opens it, with a part of the short forms. What is wrong with the shop's files is said on the error stream, and
    /// the rest still works.
    pub(super) fn open(rules: &'a RuleBase, place: &'a Place, part: Part) -> Result<Self, Failure> {
        let read = shipped(rules);
        if read.problems.errors() > 0 {
            return Err(Failure::Problems(Box::new(read.sources), Box::new(read.problems)));
        }
        let root = place.root()?;
        let kept = root.map(|r| own(rules, r, part)).transpose().map_err(unreadable)?.unwrap_or_default();
        for (sources, problems) in kept.broken {
            Failure::Problems(Box::new(sources), Box::new(problems)).print();
        }
        let mut index = Index::new(rules);
        index.put(kept.cases, true);
        index.add(rules, &read.cases, false);
        Ok(Self { rules, root, shipped: read.cases, index })
    }

    /// The whole case of an entry.
    pub(super) fn case(&self, entry: &Entry<'_>) -> Result<Cow<'_, Case>, Failure> {
        let Some(root) = self.root.filter(|_| entry.shop) else {
            let found = self.shipped.iter().find(|c| c.id == entry.id);
            return found.map(Cow::Borrowed).ok_or_else(|| self.unknown(entry.id));
        };
        let mut read = one(self.rules, root, entry.id).map_err(unreadable)?;
        match read.cases.pop() {
            Some(case) => Ok(Cow::Owned(case)),
            None => Err(Failure::Problems(Box::new(read.sources), Box::new(read.problems))),
        }
    }

    /// All cases, whole.
    pub(super) fn cases(&self) -> Result<Vec<Cow<'_, Case>>, Failure> {
        self.index.entries().map(|e| self.case(&e)).collect()
    }

    /// The entry of an id.
    pub(super) fn find(&self, id: &str) -> Result<Entry<'_>, Failure> {
        self.index.find(id).map(|at| self.index.entry(at)).ok_or_else(|| self.unknown(id))
    }

    /// No case has this id.
    pub(super) fn unknown(&self, id: &str) -> Failure {
        let failure = Failure::usage(format!("there is no case `{id}`"));
        let ids: Vec<&str> = self.index.entries().map(|e| e.id).collect();
        match nearest(id, ids) {
            Some(near) => failure.with_help(format!("did you mean `{near}`?")),
            None => failure.with_help("`aftercast casebook list` names them all"),
        }
    }
}
