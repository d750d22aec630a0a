//! One case: what was cast, what was seen, what it was, what came of it.

use crate::advice::Observation;
use crate::rules::{CauseKey, DefectKey, RemedyKey, SourceKey};
use crate::sheet::Sheet;
use jiff::civil::Date;

macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$variant_doc:meta])* $variant:ident => $word:literal,)* }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum $name { $($(#[$variant_doc])* $variant,)* }
        impl $name {
            /// All, with the word each is written as.
            pub const WORDS: &'static [(&'static str, Self)] = &[$(($word, Self::$variant),)*];
            /// Its word.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)* }
            }
        }
    };
}

words! {
    /// Whether the cause is known.
    Status {
        /// Still looked into.
        Open => "open",
        /// Settled.
        Closed => "closed",
    }
}

words! {
    /// Where a case comes from.
    Origin {
        /// Made up for teaching.
        Invented => "invented",
        /// Retold from a publication.
        Published => "published",
        /// Retold from practitioners' accounts.
        Practice => "practice",
        /// A shop's own.
        Shop => "shop",
    }
}

words! {
    /// How well the cause is known; the best known first.
    Confidence {
        /// A change cured it or brought it on, or analysis showed it.
        Confirmed => "confirmed",
        /// Two or more experienced people say the same.
        Agreed => "agreed",
        /// One does.
        Suggested => "suggested",
    }
}

words! {
    /// How much a test case tells; the fullest first.
    Grade {
        /// Facts enough to name the cause.
        A => "A",
        /// Usable.
        B => "B",
        /// Thin.
        C => "C",
    }
}

words! {
    /// Whether the case is one that the program is for.
    Scope {
        /// A casting fault of the metals and moulds that the rules know.
        Inside => "inside",
        /// A look-alike, or another mould, or a fault that came after the cast.
        Edge => "edge",
    }
}

/// Where a published case stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CaseSource {
    /// A source of the rule base, and the place in it.
    Listed {
        /// Which.
        source: SourceKey,
        /// Where in it.
        at: String,
    },
    /// A publication that no rule rests on: authors, title, year.
    Text(String),
}

/// One case.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// Its id, which is also its file's name.
    pub id: String,
    /// In words.
    pub title: String,
    /// Whether the cause is known.
    pub status: Status,
    /// Where it comes from.
    pub origin: Origin,
    /// The publication it is retold from.
    pub source: Option<CaseSource>,
    /// How hard it is to see through: 1 plain, 2 needs a closer look, 3 a tempting wrong answer.
    pub level: Option<u8>,
    /// When it was cast.
    pub date: Option<Date>,
    /// What was cast and what happened.
    pub story: String,
    /// What was recorded of the cast.
    pub sheet: Sheet,
    /// What was seen, each finding once.
    pub observations: Vec<Observation>,
    /// What was asked, and the answers.
    pub asked: Vec<String>,
    /// What it was; empty while it is not known, and where it is a cause that the rules do not know.
    pub causes: Vec<CauseKey>,
    /// Other causes that a judge would accept as the same finding.
    pub accepted: Vec<CauseKey>,
    /// The defects it really was.
    pub what: Vec<DefectKey>,
    /// How well the cause is known.
    pub confidence: Option<Confidence>,
    /// How it was proved.
    pub proof: Option<String>,
    /// Remedies that were made.
    pub change: Vec<RemedyKey>,
    /// What came of it.
    pub result: Option<String>,
    /// What to keep in mind.
    pub lesson: Option<String>,
    /// How much it tells; test cases only.
    pub grade: Option<Grade>,
    /// Whether the program is for it.
    pub scope: Scope,
}

impl Case {
    /// True when naming this cause would be right.
    pub fn names(&self, cause: CauseKey) -> bool {
        self.causes.contains(&cause) || self.accepted.contains(&cause)
    }
}
