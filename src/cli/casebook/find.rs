//! `casebook search` and `casebook like`: cases by words, and cases that are near to a job.

use super::job::Job;
use super::list;
use super::shelf::{Place, Shelf};
use crate::advice::findings::{lower_first, title};
use crate::casebook::index::{Marks, Part};
use crate::casebook::like::{Near, Why, nearest};
use crate::casebook::noted::Noted;
use crate::cli::Format;
use crate::cli::failure::{Failure, Outcome};
use crate::cli::output::{Out, bar};
use crate::cli::rule_base::{self, Warning};
use crate::rules::RuleBase;
use serde::Serialize;
use std::path::PathBuf;

/// How many reasons a near case gets.
const REASONS: usize = 4;

/// Find cases by words; slips of the pen are forgiven
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast casebook search white powder hole")]
pub(in crate::cli) struct SearchArguments {
    /// What to look for
    #[arg(value_name = "WORDS", required = true)]
    words: Vec<String>,

    /// How many cases to show
    #[arg(long, value_name = "N", default_value_t = 8, value_parser = clap::value_parser!(u16).range(1..=1000))]
    top: u16,

    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

/// Find the cases nearest to a job, and say why they are near
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast casebook like --signs \"round holes\" --alloy sterling")]
pub(in crate::cli) struct LikeArguments {
    /// A process sheet, a saved interview, or the id of a case
    #[arg(value_name = "SHEET|SESSION|ID", conflicts_with_all = ["sheet", "session"])]
    near_to: Option<PathBuf>,

    #[command(flatten)]
    job: Job,

    /// How many cases to show
    #[arg(long, value_name = "N", default_value_t = 5, value_parser = clap::value_parser!(u16).range(1..=1000))]
    top: u16,

    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Debug, Serialize)]
struct Hit<'a> {
    #[serde(flatten)]
    row: list::Row<'a>,
    score: f64,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    why: Vec<String>,
}

#[derive(Debug, Serialize)]
struct Answer<'a> {
    schema: u32,
    cases: Vec<Hit<'a>>,
    /// Figures of the job to look at again.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    warnings: Vec<Warning>,
}

pub(super) fn search(
    arguments: &SearchArguments,
    rules: &RuleBase,
    place: &Place,
    out: &mut Out,
) -> Result<Outcome, Failure> {
    let words = arguments.words.join(" ");
    let shelf = Shelf::open(rules, place, Part::Words)?;
    let mut found = shelf.index.search(&words);
    let all = found.len();
    found.truncate(usize::from(arguments.top));
    let entry = |at: usize| shelf.index.entry(at);
    if arguments.format == Format::Json {
        let cases = found
            .iter()
            .map(|(at, score)| Hit { row: list::row(rules, &entry(*at)), score: *score, why: Vec::new() })
            .collect();
        out.json(&Answer { schema: 1, cases, warnings: Vec::new() })?;
        return Ok(Outcome::Done);
    }
    if found.is_empty() {
        out.hang("", &format!("No case holds anything like `{words}`."));
        return Ok(Outcome::Done);
    }
    for (at, _) in &found {
        list::lines(&entry(*at), out);
    }
    if all > found.len() {
        out.gap();
        out.line(format!("and {} more; --top shows them", all - found.len()));
    }
    Ok(Outcome::Done)
}

pub(super) fn like(
    arguments: &LikeArguments,
    rules: &RuleBase,
    place: &Place,
    out: &mut Out,
) -> Result<Outcome, Failure> {
    let shelf = Shelf::open(rules, place, Part::Marks)?;
    let job = &arguments.job;
    let mut itself = None;
    let (known, warnings) = match &arguments.near_to {
        None => job.known(rules)?,
        Some(file) => {
            let word = file.to_string_lossy();
            let is_file = file.exists() || word == "-" || word.contains(['.', '/', '\\']);
            match shelf.index.find(&word).filter(|_| !file.exists()) {
                Some(at) => {
                    let case = shelf.case(&shelf.index.entry(at))?;
                    itself = Some(at);
                    let (sheet, observations) = (case.sheet.clone(), case.observations.clone());
                    job.above(rules, Noted { sheet, observations, ..Noted::default() })?
                }
                None if is_file => job.known_with(rules, file)?,
                None => return Err(shelf.unknown(&word)),
            }
        }
    };
    let question = Marks::of(rules, &known.observations, &known.sheet);
    if question.seen.is_empty() && question.figures.is_empty() && question.families.is_empty() {
        return Err(Failure::usage("nothing was said of the job")
            .with_help("name a sheet or a case, or say what you see: --signs \"round holes\""));
    }
    let found = nearest(&shelf.index, &question, itself, usize::from(arguments.top));
    let entry = |near: &Near| shelf.index.entry(near.at);
    let cases = shelf.index.len();
    if arguments.format == Format::Json {
        let hits = found
            .iter()
            .map(|near| Hit {
                row: list::row(rules, &entry(near)),
                score: near.nearness,
                why: near.why.iter().map(|w| words_of(rules, w, cases)).collect(),
            })
            .collect();
        out.json(&Answer { schema: 1, cases: hits, warnings: rule_base::warnings(&known.sheet) })?;
        return Ok(Outcome::Done);
    }
    if !warnings.is_empty() {
        out.line(warnings.trim_end());
    }
    if found.is_empty() {
        out.line("No case is near to this.");
    }
    for near in &found {
        let entry = entry(near);
        out.hang(&format!("[{}] ", bar(near.nearness, 10)), &format!("{}: {}", entry.id, entry.title));
        for why in near.why.iter().take(REASONS) {
            out.hang("             ", &words_of(rules, why, cases));
        }
        let causes: Vec<String> = entry.causes.iter().map(|c| lower_first(&rules.cause(*c).title)).collect();
        let was = if causes.is_empty() { "not known yet".to_owned() } else { causes.join(", ") };
        out.hang("             ", &format!("its cause: {was}"));
    }
    if !found.is_empty() {
        out.gap();
        out.hang(
            "",
            "The bar says how much of what is known is shared, rare signs weighing most. Near is not the same: \
             `aftercast diagnose` weighs the causes.",
        );
    }
    Ok(Outcome::Done)
}

/// A reason in words.
fn words_of(rules: &RuleBase, why: &Why, cases: usize) -> String {
    match why {
        Why::BothSaw(finding, shown) => {
            format!("both: {} (in {shown} of {cases} cases)", lower_first(title(rules, *finding)))
        }
        Why::NeitherSaw(finding) => format!("neither: {}", lower_first(title(rules, *finding))),
        Why::Against(finding) => format!("not both: {}", lower_first(title(rules, *finding))),
        Why::SameAlloy => "the same kind of alloy".to_owned(),
        Why::OtherAlloy => "another kind of alloy".to_owned(),
        Why::Figure(field, mine, theirs) => {
            let show = |v: f64| field.dimension().show(v);
            format!("{}: {} here, {} there", field.title(), show(*mine), show(*theirs))
        }
    }
}
