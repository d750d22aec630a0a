//! `casebook list`: which cases there are.

use super::shelf::Shelf;
use crate::casebook::Status;
use crate::casebook::index::Entry;
use crate::cli::Format;
use crate::cli::failure::{Failure, Outcome};
use crate::cli::output::Out;
use crate::document::nearest;
use crate::rules::names::{AlloyName, FindingNames, find_alloy, near_alloys};
use crate::rules::{CauseKey, DefectKey, Finding, RuleBase};
use serde::Serialize;

/// List the cases, all of them or those that a filter lets through
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast casebook list --defect pinholes --alloy silver")]
pub(in crate::cli) struct Arguments {
    /// Only cases that were this defect or were called so
    #[arg(long, value_name = "NAME")]
    defect: Option<String>,

    /// Only cases with this cause
    #[arg(long, value_name = "NAME")]
    cause: Option<String>,

    /// Only cases of this alloy, family or metal
    #[arg(long, value_name = "NAME")]
    alloy: Option<String>,

    /// Only cases whose cause is not known yet
    #[arg(long, conflicts_with = "closed")]
    open: bool,

    /// Only cases whose cause is known
    #[arg(long)]
    closed: bool,

    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// A case in a list for programs.
#[derive(Debug, Serialize)]
pub(super) struct Row<'a> {
    id: &'a str,
    title: &'a str,
    status: &'static str,
    level: Option<u8>,
    alloy: Option<&'a str>,
    defects: Vec<&'a str>,
    causes: Vec<&'a str>,
    shop: bool,
}

#[derive(Debug, Serialize)]
struct Answer<'a> {
    schema: u32,
    cases: Vec<Row<'a>>,
}

/// A row of a list for programs.
pub(super) fn row<'a>(rules: &'a RuleBase, entry: &Entry<'a>) -> Row<'a> {
    Row {
        id: entry.id,
        title: entry.title,
        status: entry.status.word(),
        level: entry.level,
        alloy: entry.alloy,
        defects: entry.what.iter().map(|d| rules.defect(*d).id.as_str()).collect(),
        causes: entry.causes.iter().map(|c| rules.cause(*c).id.as_str()).collect(),
        shop: entry.shop,
    }
}

/// Two lines of a list for people: the id with its title, and what it was.
pub(super) fn lines(entry: &Entry<'_>, out: &mut Out) {
    let mut facts: Vec<String> = Vec::new();
    facts.extend(entry.alloy.map(str::to_owned));
    if entry.status == Status::Open {
        facts.push("cause not known yet".to_owned());
    }
    if let Some(level) = entry.level {
        facts.push(format!("level {level}"));
    }
    if entry.shop {
        facts.push("own case".to_owned());
    }
    out.hang("", entry.id);
    out.hang("    ", &format!("{} ({})", entry.title.trim_end_matches('.'), facts.join("; ")));
}

pub(super) fn run(arguments: &Arguments, shelf: &Shelf<'_>, out: &mut Out) -> Result<Outcome, Failure> {
    let rules = shelf.rules;
    let defect = arguments.defect.as_deref().map(|w| find_defect(rules, w)).transpose()?;
    let cause = arguments.cause.as_deref().map(|w| find_cause(rules, w)).transpose()?;
    let families = arguments.alloy.as_deref().map(|w| families(rules, w)).transpose()?;
    let wanted: Vec<Entry<'_>> = shelf
        .index
        .entries()
        .filter(|e| !arguments.open || e.status == Status::Open)
        .filter(|e| !arguments.closed || e.status == Status::Closed)
        .filter(|e| defect.is_none_or(|d| e.defects().any(|has| has == d)))
        .filter(|e| cause.is_none_or(|c| e.causes.contains(&c)))
        .filter(|e| {
            families
                .as_ref()
                .is_none_or(|f| !e.families.is_empty() && e.families.iter().all(|x| f.contains(x)))
        })
        .collect();
    match arguments.format {
        Format::Json => {
            out.json(&Answer { schema: 1, cases: wanted.iter().map(|e| row(rules, e)).collect() })?;
        }
        Format::Text => {
            for entry in &wanted {
                lines(entry, out);
            }
            let s = if wanted.len() == 1 { "" } else { "s" };
            out.gap();
            out.line(format!("{} case{s}", wanted.len()));
        }
    }
    Ok(Outcome::Done)
}

/// A defect by any of its names.
pub(super) fn find_defect(rules: &RuleBase, word: &str) -> Result<DefectKey, Failure> {
    let names = FindingNames::new(rules);
    match names.find(word) {
        Some(Finding::Defect(key)) => Ok(key),
        found => {
            let failure = Failure::usage(match found {
                Some(_) => format!("`{word}` is a sign and no defect"),
                None => format!("there is no defect `{word}`"),
            });
            let near = names.near(word, 4);
            Err(if near.is_empty() {
                failure
            } else {
                failure.with_help(format!("nearest: {}", near.join(", ")))
            })
        }
    }
}

/// A cause by id, title or synonym.
pub(super) fn find_cause(rules: &RuleBase, word: &str) -> Result<CauseKey, Failure> {
    use crate::rules::names::normal;
    let wanted = normal(word);
    let is = |t: &str| normal(t) == wanted;
    let found = rules.cause_keys().find(|k| is(&rules.cause(*k).id)).or_else(|| {
        rules.cause_keys().find(|k| {
            let cause = rules.cause(*k);
            is(&cause.title) || cause.synonyms.iter().any(|s| is(s))
        })
    });
    found.ok_or_else(|| {
        let failure = Failure::usage(format!("there is no cause `{word}`"));
        match nearest(word, rules.causes.iter().map(|c| c.id.as_str())) {
            Some(near) => failure.with_help(format!("did you mean `{near}`?")),
            None => failure,
        }
    })
}

/// The families that an alloy's name stands for, as the index numbers them.
fn families(rules: &RuleBase, word: &str) -> Result<Vec<u16>, Failure> {
    let number = |k: crate::rules::FamilyKey| u16::try_from(k.index()).unwrap_or(u16::MAX);
    match find_alloy(rules, word) {
        Some(AlloyName::Alloy(key)) => Ok(vec![number(rules.alloy(key).family)]),
        Some(AlloyName::Family(key)) => Ok(vec![number(key)]),
        Some(AlloyName::Metal(metal)) => {
            Ok(rules.family_keys().filter(|k| rules.family(*k).metal == metal).map(number).collect())
        }
        None => {
            let failure = Failure::usage(format!("there is no alloy `{word}`"));
            let near = near_alloys(rules, word, 4);
            Err(if near.is_empty() {
                failure
            } else {
                failure.with_help(format!("nearest: {}", near.join(", ")))
            })
        }
    }
}
