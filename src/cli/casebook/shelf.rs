//! The shipped cases and the shop's own, together.

use crate::casebook::index::Index;
use crate::casebook::store::Store;
use crate::casebook::{Case, ReadCases, folder, shipped};
use crate::cli::failure::Failure;
use crate::document::{Code, Diagnostic, nearest};
use crate::rules::RuleBase;
use std::path::{Path, PathBuf};

/// Where the shop keeps its own cases.
#[derive(Debug)]
pub(super) struct Place {
    folder: Option<PathBuf>,
    /// Named on the command line or in the environment: then it has to be there.
    named: bool,
}

impl Place {
    /// The folder that was named, else the usual one under the user's data.
    pub(super) fn of(named: Option<&Path>) -> Self {
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

    /// The shop's own cases that could be read; of the others `casebook list` speaks.
    pub(super) fn own_cases(&self, rules: &RuleBase) -> Result<Vec<Case>, Failure> {
        // A diagnosis does not wait for a shop's first case.
        match &self.folder {
            Some(root) if root.exists() => Ok(self.own(rules)?.cases),
            _ => Ok(Vec::new()),
        }
    }

    /// The shop's cases; none when the folder is not there yet.
    fn own(&self, rules: &RuleBase) -> Result<ReadCases, Failure> {
        let Some(root) = &self.folder else { return Ok(ReadCases::default()) };
        if !root.exists() {
            if self.named {
                return Err(Failure::usage(format!("there is no casebook folder {}", root.display()))
                    .with_help("`aftercast casebook add` makes it with the first case"));
            }
            return Ok(ReadCases::default());
        }
        folder(rules, root).map_err(|e| Failure::File {
            path: e.path.display().to_string(),
            doing: "read",
            source: e.source,
        })
    }
}

/// The folder for what belongs to the user and not to a project.
pub(super) fn data_folder() -> Option<PathBuf> {
    let set = |name: &str| std::env::var_os(name).filter(|v| !v.is_empty()).map(PathBuf::from);
    let root = set("XDG_DATA_HOME")
        .filter(|p| p.is_absolute())
        .or_else(|| set("HOME").map(|home| home.join(".local").join("share")));
    root.map(|r| r.join("aftercast"))
}

/// All cases that could be read.
pub(super) struct Shelf {
    /// The shipped ones first.
    pub(super) cases: Vec<Case>,
    /// In short.
    pub(super) index: Index,
}

impl Shelf {
    /// Reads everything. What is wrong with the shop's files is said on the error stream, and the rest still works.
    pub(super) fn open(rules: &RuleBase, place: &Place) -> Result<Self, Failure> {
        let read = shipped(rules);
        if read.problems.errors() > 0 {
            return Err(Failure::Problems(Box::new(read.sources), Box::new(read.problems)));
        }
        let mut cases = read.cases;
        let count = cases.len();
        let mut own = place.own(rules)?;
        own.cases.retain(|case| {
            let taken = cases.iter().any(|c| c.id == case.id);
            if taken {
                let message = format!("a shipped case is called `{}` too; this one is left out", case.id);
                own.problems.push(Diagnostic {
                    code: Code::DuplicateId,
                    severity: crate::document::Severity::Error,
                    message,
                    span: None,
                    also: None,
                    label: String::new(),
                    help: Some("give the file and its id another name".to_owned()),
                });
            }
            !taken
        });
        cases.append(&mut own.cases);
        if !own.problems.is_empty() {
            Failure::Problems(Box::new(own.sources), Box::new(own.problems)).print();
        }
        let mut index = Index::default();
        for (at, case) in cases.iter().enumerate() {
            index.add(rules, case, at >= count);
        }
        Ok(Self { cases, index })
    }

    /// The case of an id.
    pub(super) fn find(&self, id: &str) -> Result<&Case, Failure> {
        self.cases.iter().find(|c| c.id == id).ok_or_else(|| {
            let failure = Failure::usage(format!("there is no case `{id}`"));
            match nearest(id, self.cases.iter().map(|c| c.id.as_str())) {
                Some(near) => failure.with_help(format!("did you mean `{near}`?")),
                None => failure.with_help("`aftercast casebook list` names them all"),
            }
        })
    }
}
