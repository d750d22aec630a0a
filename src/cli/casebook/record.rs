//! `casebook add` and `casebook close`: the shop's own cases.

use super::job::Job;
use super::list::find_cause;
use super::shelf::Place;
use crate::casebook::noted::{NotWritten, Noted, readable};
use crate::casebook::store::StoreError;
use crate::casebook::{Confidence, Status, from_texts, to_yaml};
use crate::cli::failure::{Failure, Outcome};
use crate::cli::output::Out;
use crate::document::nearest;
use crate::rules::names::normal;
use crate::rules::{RemedyKey, RuleBase};
use jiff::civil::Date;

/// Write down a bad cast: what was cast and what was seen
///
/// The cause can wait: `casebook close` adds it when it is known.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example: aftercast casebook add \"Pits in the new bangle\" --sheet job.yaml \\\n         \
    --signs pores-angular-branched --story \"Four of four, in the thick back.\""
)]
pub(in crate::cli) struct AddArguments {
    /// What to call the case, in a few words; made from what was seen when left out
    #[arg(value_name = "TITLE")]
    title: Option<String>,

    /// What was cast and what happened
    #[arg(long, value_name = "TEXT")]
    story: Option<String>,

    /// Id of the case; made from the title when left out
    #[arg(long, value_name = "ID")]
    id: Option<String>,

    /// Something that was asked, with its answer; may be given again
    #[arg(long, value_name = "TEXT")]
    asked: Vec<String>,

    /// When it was cast
    #[arg(long, value_name = "YYYY-MM-DD")]
    date: Option<Date>,

    #[command(flatten)]
    job: Job,
}

/// Add to an open case what it was, what was changed and what came of it
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example: aftercast casebook close pits-in-the-new-bangle --cause gate-undersized \\\n         \
    --change enlarge-gate --result \"Sound in two saw cuts.\""
)]
pub(in crate::cli) struct CloseArguments {
    /// Id of the case
    #[arg(value_name = "ID")]
    id: String,

    /// What it was; several when several were at work
    #[arg(long, value_name = "IDS", value_delimiter = ',', required = true)]
    cause: Vec<String>,

    /// Remedies that were made
    #[arg(long, value_name = "IDS", value_delimiter = ',')]
    change: Vec<String>,

    /// What came of it
    #[arg(long, value_name = "TEXT")]
    result: String,

    /// The defects it really was
    #[arg(long, value_name = "IDS", value_delimiter = ',')]
    what: Vec<String>,

    /// How it was proved
    #[arg(long, value_name = "TEXT")]
    proof: Option<String>,

    /// What to keep in mind
    #[arg(long, value_name = "TEXT")]
    lesson: Option<String>,

    /// How well the cause is known: confirmed, agreed or suggested
    #[arg(long, value_name = "WORD", value_parser = confidence, default_value = "confirmed")]
    confidence: Confidence,

    /// Replace what a closed case says
    #[arg(long)]
    again: bool,
}

fn confidence(word: &str) -> Result<Confidence, String> {
    let found = Confidence::WORDS.iter().find(|(w, _)| *w == word).map(|(_, c)| *c);
    found.ok_or_else(|| "write confirmed, agreed or suggested".to_owned())
}

fn failed(error: StoreError) -> Failure {
    match error {
        StoreError::Disk { doing, path, source } => {
            let place = path.display();
            Failure::usage(format!("nothing of this was saved: cannot {doing} {place}: {source}")).with_help(
                "what was there before is whole; make room, or name another folder with --casebook",
            )
        }
        StoreError::Taken(_) => Failure::usage(error.to_string()).with_help("choose another --id"),
        StoreError::Missing(_) => Failure::usage(error.to_string())
            .with_help("`aftercast casebook list --open` names the open ones"),
        other => Failure::usage(other.to_string()),
    }
}

pub(super) fn add(
    arguments: &AddArguments,
    rules: &RuleBase,
    place: &Place,
    out: &mut Out,
) -> Result<Outcome, Failure> {
    let (mut noted, warnings) = arguments.job.known(rules)?;
    if let Some(title) = &arguments.title {
        noted.title = Some(title.trim().to_owned());
    }
    if arguments.story.is_some() {
        noted.story.clone_from(&arguments.story);
    }
    noted.date = arguments.date;
    noted.asked.extend(arguments.asked.iter().cloned());
    if !warnings.is_empty() {
        out.line(warnings.trim_end());
    }
    keep(rules, noted, arguments.id.as_deref(), place, out)
}

/// Writes an open case and says where. The end of an interview calls it with `job::of_interview`.
pub(in crate::cli) fn keep(
    rules: &RuleBase,
    noted: Noted,
    id: Option<&str>,
    place: &Place,
    out: &mut Out,
) -> Result<Outcome, Failure> {
    let written = noted.keep(rules, &place.store()?, id);
    let (id, path) = written.map_err(|error| match error {
        NotWritten::NothingSeen => Failure::usage("nothing was said of the casting")
            .with_help("say what you see: --defects pinholes, --signs \"round holes\""),
        NotWritten::Unreadable(read) => Failure::Problems(Box::new(read.sources), Box::new(read.problems)),
        NotWritten::Store(error) => failed(error),
    })?;
    out.line(format!("Wrote {id} to"));
    out.file(&path);
    out.hang_whole(
        "",
        &format!("When its cause is known: aftercast casebook close {id} --cause ... --result ..."),
    );
    Ok(Outcome::Done)
}

pub(super) fn close(
    arguments: &CloseArguments,
    rules: &RuleBase,
    place: &Place,
    out: &mut Out,
) -> Result<Outcome, Failure> {
    let causes = arguments.cause.iter().map(|w| find_cause(rules, w)).collect::<Result<Vec<_>, _>>()?;
    let change = arguments.change.iter().map(|w| find_remedy(rules, w)).collect::<Result<Vec<_>, _>>()?;
    let what =
        arguments.what.iter().map(|w| super::list::find_defect(rules, w)).collect::<Result<Vec<_>, _>>()?;
    if crate::casebook::is_shipped(&arguments.id) {
        return Err(Failure::usage(format!("`{}` is a shipped case and stays as it is", arguments.id)));
    }
    let store = place.store()?;
    let before = store.text(&arguments.id).map_err(failed)?;
    let name = format!("{}.yaml", arguments.id);
    let prefix = format!("{}/", store.root().display());
    let mut read = from_texts(rules, &prefix, vec![(name, before.clone().into_bytes())]);
    let Some(mut case) = read.cases.pop() else {
        return Err(Failure::Problems(Box::new(read.sources), Box::new(read.problems)));
    };
    if case.status == Status::Closed && !arguments.again {
        return Err(Failure::usage(format!("`{}` is closed already; nothing was written", case.id))
            .with_help("--again replaces what it says of cause, change and result"));
    }
    case.status = Status::Closed;
    case.causes = causes;
    case.change = change;
    case.result = Some(arguments.result.clone());
    case.confidence = Some(arguments.confidence);
    if !what.is_empty() {
        case.what = what;
    }
    if arguments.proof.is_some() {
        case.proof.clone_from(&arguments.proof);
    }
    if arguments.lesson.is_some() {
        case.lesson.clone_from(&arguments.lesson);
    }
    readable(rules, &case)
        .map_err(|read| Failure::Problems(Box::new(read.sources), Box::new(read.problems)))?;
    store.change(&arguments.id, &before, &to_yaml(rules, &case)).map_err(failed)?;
    out.hang("", &format!("Closed {}.", case.id));
    Ok(Outcome::Done)
}

/// A remedy by id, title or synonym.
fn find_remedy(rules: &RuleBase, word: &str) -> Result<RemedyKey, Failure> {
    let wanted = normal(word);
    let is = |t: &str| normal(t) == wanted;
    let found = rules.remedy_keys().find(|k| {
        let remedy = rules.remedy(*k);
        is(&remedy.id) || is(&remedy.title) || remedy.synonyms.iter().any(|s| is(s))
    });
    found.ok_or_else(|| {
        let failure = Failure::usage(format!("there is no remedy `{word}`"));
        match nearest(word, rules.remedies.iter().map(|r| r.id.as_str())) {
            Some(near) => failure.with_help(format!("did you mean `{near}`?")),
            None => failure,
        }
    })
}
