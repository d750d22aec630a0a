//! A bad cast written down while its cause is not known yet.

use super::case::{Case, Origin, Scope, Status};
use super::read::{ReadCases, from_texts};
use super::store::{Store, StoreError, id_of};
use super::{is_shipped, to_yaml};
use crate::advice::{Observation, findings};
use crate::rules::{Finding, RuleBase};
use crate::sheet::Sheet;
use jiff::civil::Date;
use std::path::PathBuf;

/// Findings in a title that nobody wrote.
const IN_TITLE: usize = 2;

/// What is known of the cast.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Noted {
    /// What to call it; made from what was seen when left out.
    pub title: Option<String>,
    /// What was cast and what happened; the title when left out.
    pub story: Option<String>,
    /// When it was cast.
    pub date: Option<Date>,
    /// The process sheet, which may be empty.
    pub sheet: Sheet,
    /// What was seen, each finding once.
    pub observations: Vec<Observation>,
    /// What was asked, and the answers.
    pub asked: Vec<String>,
}

/// Why a case was not written.
#[derive(Debug)]
pub enum NotWritten {
    /// Nothing was seen, so there is nothing to find again later.
    NothingSeen,
    /// What was said could not be read again from a file, such as an empty text.
    Unreadable(Box<ReadCases>),
    /// Its id, or the disk's word.
    Store(StoreError),
}

impl Noted {
    /// An open case of the shop, without an id yet.
    pub fn case(self, rules: &RuleBase) -> Case {
        let title = self.title.unwrap_or_else(|| title(rules, &self.observations));
        Case {
            id: String::new(),
            story: self.story.unwrap_or_else(|| title.clone()),
            title,
            status: Status::Open,
            origin: Origin::Shop,
            source: None,
            level: None,
            date: self.date,
            sheet: self.sheet,
            observations: self.observations,
            asked: self.asked,
            causes: Vec::new(),
            accepted: Vec::new(),
            what: Vec::new(),
            confidence: None,
            proof: None,
            change: Vec::new(),
            result: None,
            lesson: None,
            grade: None,
            scope: Scope::Inside,
        }
    }

    /// Writes it to the shop's casebook as an open case. Without an id the title makes one, with a number behind it
    /// when that is taken. When this returns, the case is on the disk.
    ///
    /// # Errors
    /// [`NotWritten`]; then nothing was written.
    pub fn keep(
        self,
        rules: &RuleBase,
        store: &Store,
        id: Option<&str>,
    ) -> Result<(String, PathBuf), NotWritten> {
        if self.observations.is_empty() {
            return Err(NotWritten::NothingSeen);
        }
        let mut case = self.case(rules);
        "new".clone_into(&mut case.id);
        readable(rules, &case).map_err(NotWritten::Unreadable)?;
        let written = match id {
            Some(id) if is_shipped(id) => Err(StoreError::Taken(id.to_owned())),
            Some(id) => {
                id.clone_into(&mut case.id);
                store.add(id, &to_yaml(rules, &case)).map(|path| (id.to_owned(), path))
            }
            None => store.add_numbered(&id_of(&case.title), is_shipped, |id| {
                to_yaml(rules, &Case { id: id.to_owned(), ..case.clone() })
            }),
        };
        written.map_err(NotWritten::Store)
    }
}

/// Makes sure that a case can be read again from its file.
///
/// # Errors
/// What is wrong, with the text that would have been written.
pub fn readable(rules: &RuleBase, case: &Case) -> Result<(), Box<ReadCases>> {
    let text = to_yaml(rules, case).into_bytes();
    let read = from_texts(rules, "", vec![(format!("{}.yaml", case.id), text)]);
    if read.problems.errors() == 0 { Ok(()) } else { Err(Box::new(read)) }
}

/// What was seen, the most telling first: a name for the fault, then the signs that fewest defects show.
fn title(rules: &RuleBase, observations: &[Observation]) -> String {
    let shown_by = |o: &Observation| match o.finding {
        Finding::Defect(_) => 0,
        Finding::Sign(sign) => rules.defects.iter().filter(|d| d.shows.iter().any(|l| l.to == sign)).count(),
    };
    let mut seen: Vec<&Observation> = observations.iter().filter(|o| o.is_present()).collect();
    seen.sort_by_key(|o| shown_by(o));
    let words: Vec<String> = seen
        .iter()
        .take(IN_TITLE)
        .enumerate()
        .map(|(at, o)| {
            let title = findings::title(rules, o.finding);
            if at == 0 { title.to_owned() } else { findings::lower_first(title) }
        })
        .collect();
    if words.is_empty() { "A bad cast".to_owned() } else { words.join("; ") }
}
