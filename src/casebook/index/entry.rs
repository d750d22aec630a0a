//! One case in short: the row that lists print, and the marks by which cases are compared.

use crate::advice::{Observation, Sureness};
use crate::casebook::case::{Case, Status};
use crate::casebook::quiz::askable;
use crate::rules::{CauseKey, DefectKey, Finding, RuleBase, SignKey};
use crate::sheet::{Field, JobAlloy, Sheet};
use serde::{Deserialize, Serialize};

/// What a list shows of a case, and what it is filtered by.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry<'a> {
    /// Its id.
    pub id: &'a str,
    /// Its title.
    pub title: &'a str,
    /// Whether the cause is known.
    pub status: Status,
    /// Easy to hard, from 1.
    pub level: Option<u8>,
    /// True for a case of the shop's own folder.
    pub shop: bool,
    /// True when the quiz can ask it.
    pub askable: bool,
    /// The alloy's title, when it is known.
    pub alloy: Option<&'a str>,
    /// Numbers of its families, when the alloy is known in part.
    pub families: Vec<u16>,
    /// The defects it was.
    pub what: Vec<DefectKey>,
    /// The defects that it was called.
    pub called: Vec<DefectKey>,
    /// The proved causes.
    pub causes: Vec<CauseKey>,
}

impl Entry<'_> {
    /// The defects that it was or was called.
    pub fn defects(&self) -> impl Iterator<Item = DefectKey> + '_ {
        self.what.iter().chain(&self.called).copied()
    }
}

/// How a finding stands in a case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Seen {
    /// Which.
    pub finding: Finding,
    /// Looked for and not there.
    pub absent: bool,
}

/// By what cases are compared.
#[derive(Debug, Clone, PartialEq)]
pub struct Marks {
    /// Numbers of the alloy's families.
    pub families: Vec<u16>,
    /// What was seen, and looked for in vain.
    pub seen: Vec<Seen>,
    /// Figures of the sheet.
    pub figures: Vec<(Field, f32)>,
}

impl Marks {
    /// Of a job: findings and a sheet.
    pub fn of(rules: &RuleBase, observations: &[Observation], sheet: &Sheet) -> Self {
        #[expect(clippy::cast_possible_truncation, reason = "figures of a sheet need no more digits here")]
        let figures = sheet.figures.iter().map(|(f, r)| (*f, r.value as f32)).collect();
        // What a sign rules out was not looked for, and follows from the sign.
        let looked_for = observations.iter().filter(|o| o.how != Sureness::RuledOut);
        let seen = looked_for.map(|o| Seen { finding: o.finding, absent: !o.is_present() }).collect();
        Self { families: families(rules, sheet), seen, figures }
    }
}

/// The numbers of the families that the alloy may belong to.
fn families(rules: &RuleBase, sheet: &Sheet) -> Vec<u16> {
    match &sheet.alloy {
        Some(JobAlloy::Known(alloy)) => vec![number(alloy.family.index())],
        Some(JobAlloy::Family(key)) => vec![number(key.index())],
        Some(JobAlloy::Metal(metal)) => {
            let of_metal = rules.family_keys().filter(|k| rules.family(*k).metal == *metal);
            of_metal.map(|k| number(k.index())).collect()
        }
        None => Vec::new(),
    }
}

fn number(at: usize) -> u16 {
    u16::try_from(at).unwrap_or(u16::MAX)
}

/// How many records of each kind the rules have: numbers beyond are no keys.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Reach {
    defects: usize,
    signs: usize,
    causes: usize,
}

impl Reach {
    pub(super) fn of(rules: &RuleBase) -> Self {
        Self { defects: rules.defects.len(), signs: rules.signs.len(), causes: rules.causes.len() }
    }

    fn defect(self, number: u16) -> Option<DefectKey> {
        Some(usize::from(number)).filter(|n| *n < self.defects).map(DefectKey::new)
    }

    fn sign(self, number: u16) -> Option<SignKey> {
        Some(usize::from(number)).filter(|n| *n < self.signs).map(SignKey::new)
    }

    fn cause(self, number: u16) -> Option<CauseKey> {
        Some(usize::from(number)).filter(|n| *n < self.causes).map(CauseKey::new)
    }
}

/// An entry as numbers, good only for the rules that it was made with.
#[derive(Debug, Default, Serialize, Deserialize)]
struct Row<'a> {
    id: &'a str,
    title: &'a str,
    closed: bool,
    askable: bool,
    level: Option<u8>,
    #[serde(borrow)]
    alloy: Option<&'a str>,
    families: Vec<u16>,
    what: Vec<u16>,
    called: Vec<u16>,
    causes: Vec<u16>,
}

/// Marks as numbers.
#[derive(Debug, Default, Serialize, Deserialize)]
struct Figures {
    families: Vec<u16>,
    /// Number, whether it is a defect, whether it is absent.
    seen: Vec<(u16, bool, bool)>,
    figures: Vec<(u8, f32)>,
}

/// The row of a case as bytes; empty when it has no form as bytes, which does not happen.
pub(super) fn row_bytes(rules: &RuleBase, case: &Case) -> Vec<u8> {
    let called = case.observations.iter().filter(|o| o.is_present()).filter_map(|o| match o.finding {
        Finding::Defect(k) => Some(number(k.index())),
        Finding::Sign(_) => None,
    });
    let alloy = case.sheet.alloy_words(rules);
    let row = Row {
        id: &case.id,
        title: &case.title,
        closed: case.status == Status::Closed,
        askable: askable(case),
        level: case.level,
        alloy: alloy.as_deref(),
        families: families(rules, &case.sheet),
        what: case.what.iter().map(|d| number(d.index())).collect(),
        called: called.collect(),
        causes: case.causes.iter().map(|c| number(c.index())).collect(),
    };
    postcard::to_stdvec(&row).unwrap_or_default()
}

/// An entry from its bytes. Bytes that are no row, which only a forged file holds, make an empty one.
pub(super) fn entry(reach: Reach, bytes: &[u8], shop: bool) -> Entry<'_> {
    let row: Row<'_> = postcard::from_bytes(bytes).unwrap_or_default();
    let defects = |list: &[u16]| list.iter().filter_map(|d| reach.defect(*d)).collect();
    Entry {
        id: row.id,
        title: row.title,
        status: if row.closed { Status::Closed } else { Status::Open },
        level: row.level,
        shop,
        askable: row.askable,
        alloy: row.alloy,
        what: defects(&row.what),
        called: defects(&row.called),
        causes: row.causes.iter().filter_map(|c| reach.cause(*c)).collect(),
        families: row.families,
    }
}

/// The marks of a case as bytes.
pub(super) fn marks_bytes(rules: &RuleBase, case: &Case) -> Vec<u8> {
    let marks = Marks::of(rules, &case.observations, &case.sheet);
    let seen = marks.seen.iter().map(|s| match s.finding {
        Finding::Defect(k) => (number(k.index()), true, s.absent),
        Finding::Sign(k) => (number(k.index()), false, s.absent),
    });
    let place = |field: &Field| u8::try_from(Field::ALL.iter().position(|f| f == field)?).ok();
    let figures = marks.figures.iter().filter_map(|(f, v)| Some((place(f)?, *v)));
    let figures = Figures { families: marks.families, seen: seen.collect(), figures: figures.collect() };
    postcard::to_stdvec(&figures).unwrap_or_default()
}

/// Marks from their bytes.
pub(super) fn marks(reach: Reach, bytes: &[u8]) -> Marks {
    let read: Figures = postcard::from_bytes(bytes).unwrap_or_default();
    let seen = read.seen.iter().filter_map(|(n, defect, absent)| {
        let finding =
            if *defect { reach.defect(*n).map(Finding::Defect) } else { reach.sign(*n).map(Finding::Sign) };
        finding.map(|finding| Seen { finding, absent: *absent })
    });
    let figures = read.figures.iter().filter_map(|(f, v)| Some((*Field::ALL.get(usize::from(*f))?, *v)));
    Marks { seen: seen.collect(), figures: figures.collect(), families: read.families }
}
