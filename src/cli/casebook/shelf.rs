//! The shipped cases and the shop's own, together.

use crate::casebook::index::{Entry, Index};
use crate::casebook::kept::{one, own};
use crate::casebook::store::Store;
use crate::casebook::{Case, CasebookError, is_shipped, shipped};
use crate::cli::failure::Failure;
use crate::document::{Code, Diagnostic, Diagnostics, Severity, nearest};
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

    /// The shop's own cases in short, silently: of broken files `casebook list` speaks, and a diagnosis does not wait
    /// for a shop's first case.
    pub(super) fn own_entries(&self, rules: &RuleBase) -> Result<Vec<Entry>, Failure> {
        match &self.folder {
            Some(root) if root.exists() => Ok(own(rules, root).map_err(unreadable)?.index.entries),
            _ => Ok(Vec::new()),
        }
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
    rules: &'a RuleBase,
    root: Option<&'a Path>,
    shipped: Vec<Case>,
    /// In short, the shop's own first.
    pub(super) index: Index,
}

impl<'a> Shelf<'a> {
    /// Opens it. What is wrong with the shop's files is said on the error stream, and the rest still works.
    pub(super) fn open(rules: &'a RuleBase, place: &'a Place) -> Result<Self, Failure> {
        let read = shipped(rules);
        if read.problems.errors() > 0 {
            return Err(Failure::Problems(Box::new(read.sources), Box::new(read.problems)));
        }
        let root = place.root()?;
        let mut kept = root.map(|r| own(rules, r)).transpose().map_err(unreadable)?.unwrap_or_default();
        let mut problems = Diagnostics::default();
        let index = &mut kept.index;
        index.retain(|entry| {
            let taken = is_shipped(&entry.id);
            if taken {
                let message = format!("a shipped case is called `{}` too; this one is left out", entry.id);
                problems.push(Diagnostic {
                    code: Code::DuplicateId,
                    severity: Severity::Error,
                    message,
                    span: None,
                    label: String::new(),
                    also: None,
                    help: Some("give the file and its id another name".to_owned()),
                });
            }
            !taken
        });
        for (sources, problems) in kept.broken {
            Failure::Problems(Box::new(sources), Box::new(problems)).print();
        }
        if !problems.is_empty() {
            Failure::Problems(Box::default(), Box::new(problems)).print();
        }
        let mut index = kept.index;
        for case in &read.cases {
            index.add(rules, case, false);
        }
        Ok(Self { rules, root, shipped: read.cases, index })
    }

    /// The whole case of an entry.
    pub(super) fn case(&self, entry: &Entry) -> Result<Cow<'_, Case>, Failure> {
        if !entry.shop {
            return self.of_shipped(&entry.id);
        }
        let Some(root) = self.root else { return self.of_shipped(&entry.id) };
        let mut read = one(self.rules, root, &entry.id).map_err(unreadable)?;
        match read.cases.pop() {
            Some(case) => Ok(Cow::Owned(case)),
            None => Err(Failure::Problems(Box::new(read.sources), Box::new(read.problems))),
        }
    }

    fn of_shipped(&self, id: &str) -> Result<Cow<'_, Case>, Failure> {
        let found = self.shipped.iter().find(|c| c.id == id);
        found.map(Cow::Borrowed).ok_or_else(|| Failure::usage(format!("there is no case `{id}`")))
    }

    /// All cases, whole.
    pub(super) fn cases(&self) -> Result<Vec<Cow<'_, Case>>, Failure> {
        self.index.entries.iter().map(|e| self.case(e)).collect()
    }

    /// The entry of an id.
    pub(super) fn find(&self, id: &str) -> Result<&Entry, Failure> {
        self.index.entries.iter().find(|e| e.id == id).ok_or_else(|| {
            let failure = Failure::usage(format!("there is no case `{id}`"));
            match nearest(id, self.index.entries.iter().map(|e| e.id.as_str())) {
                Some(near) => failure.with_help(format!("did you mean `{near}`?")),
                None => failure.with_help("`aftercast casebook list` names them all"),
            }
        })
    }
}
