//! `casebook show`: one case, whole.

use super::list;
use super::shelf::Shelf;
use crate::casebook::Case;
use crate::casebook::words::{origin, sheet_words, source};
use crate::cli::failure::{Failure, Outcome};
use crate::cli::output::Out;
use crate::cli::style::{HEADING, paint};
use crate::cli::{Format, diagnose};
use crate::rules::RuleBase;
use serde::Serialize;

/// Show a case, and with --engine what the program says of it and why
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast casebook show called-it-gas --engine")]
pub(in crate::cli) struct Arguments {
    /// Id of the case
    #[arg(value_name = "ID")]
    id: String,

    /// Add what the program says of it and why
    #[arg(long)]
    engine: bool,

    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Debug, Serialize)]
struct Answer<'a> {
    schema: u32,
    #[serde(flatten)]
    row: list::Row<'a>,
    origin: &'static str,
    source: Option<String>,
    story: &'a str,
    seen: Vec<String>,
    asked: &'a [String],
    confidence: Option<&'static str>,
    proof: Option<&'a str>,
    change: Vec<&'a str>,
    result: Option<&'a str>,
    lesson: Option<&'a str>,
}

pub(super) fn run(arguments: &Arguments, shelf: &Shelf<'_>, out: &mut Out) -> Result<Outcome, Failure> {
    let rules = shelf.rules;
    let entry = shelf.find(&arguments.id)?;
    let case = &*shelf.case(&entry)?;
    if arguments.engine && arguments.format == Format::Json {
        return diagnose::of_case(rules, case, 5, Format::Json, out).map(|()| Outcome::Done);
    }
    if arguments.format == Format::Json {
        out.json(&Answer {
            schema: 1,
            row: list::row(rules, &entry),
            origin: case.origin.word(),
            source: source(rules, case),
            story: &case.story,
            seen: case.observations.iter().map(|o| o.words(rules)).collect(),
            asked: &case.asked,
            confidence: case.confidence.map(crate::casebook::Confidence::word),
            proof: case.proof.as_deref(),
            change: case.change.iter().map(|r| rules.remedy(*r).id.as_str()).collect(),
            result: case.result.as_deref(),
            lesson: case.lesson.as_deref(),
        })?;
        return Ok(Outcome::Done);
    }
    print(rules, case, out);
    if arguments.engine {
        out.gap();
        out.line(paint(HEADING, "What the program says of it"));
        out.gap();
        diagnose::of_case(rules, case, 3, Format::Text, out)?;
    }
    Ok(Outcome::Done)
}

/// The case in words.
pub(super) fn print(rules: &RuleBase, case: &Case, out: &mut Out) {
    out.line(paint(HEADING, &crate::document::visible(&case.title)));
    out.hang("", &origin(rules, case));
    out.gap();
    out.hang("", &case.story);
    let sheet = sheet_words(rules, &case.sheet);
    if !sheet.is_empty() {
        out.gap();
        out.hang("sheet    ", &sheet.join("; "));
    }
    let mut lead = "seen     ";
    for observation in &case.observations {
        out.hang(lead, &observation.words(rules));
        lead = "         ";
    }
    let mut lead = "asked    ";
    for asked in &case.asked {
        out.hang(lead, asked);
        lead = "         ";
    }
    out.gap();
    if case.causes.is_empty() {
        out.hang("cause    ", "not known yet");
    }
    let mut lead = "it was   ";
    for defect in &case.what {
        out.hang(lead, &rules.defect(*defect).title);
        lead = "         ";
    }
    let mut lead = "cause    ";
    for cause in &case.causes {
        let sure = case.confidence.map_or_else(String::new, |c| format!(" ({})", c.word()));
        out.hang(lead, &format!("{}{sure}", rules.cause(*cause).title));
        lead = "         ";
    }
    if let Some(proof) = &case.proof {
        out.hang("proof    ", proof);
    }
    let mut lead = "change   ";
    for remedy in &case.change {
        out.hang(lead, &rules.remedy(*remedy).title);
        lead = "         ";
    }
    if let Some(result) = &case.result {
        out.hang("result   ", result);
    }
    if let Some(lesson) = &case.lesson {
        out.gap();
        out.hang("lesson   ", lesson);
    }
    for key in cautions(rules, case) {
        let caution = rules.caution(key);
        out.hang("caution  ", &format!("{}: {}", caution.hazard.trim_end_matches('.'), caution.advice));
    }
}

/// The cautions of all changes, each once.
fn cautions(rules: &RuleBase, case: &Case) -> Vec<crate::rules::CautionKey> {
    let mut all: Vec<_> = case.change.iter().flat_map(|r| rules.remedy(*r).cautions.clone()).collect();
    all.sort_unstable();
    all.dedup();
    all
}
