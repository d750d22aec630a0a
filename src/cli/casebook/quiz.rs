//! `casebook quiz`: the terminal's side of the quiz, and the learner's record on disk.

use super::list::find_defect;
use super::shelf::{Shelf, data_folder};
use super::show;
use crate::advice::findings::{lower_first, title};
use crate::advice::{Model, diagnose};
use crate::casebook::Case;
use crate::casebook::index::Entry;
use crate::casebook::quiz::{CAUSE_POINTS, CHANGE_POINTS, DEFECT_POINTS, Marked, Record, Round, choose};
use crate::casebook::score::job;
use crate::casebook::store::replace;
use crate::casebook::words::sheet_words;
use crate::cli::failure::{Failure, Outcome};
use crate::cli::output::{Out, factor_words, percent};
use crate::cli::sketch::draw;
use crate::cli::style::{HEADING, paint};
use crate::inference::Random;
use crate::rules::{CauseKey, Finding, RuleBase};
use serde::{Deserialize, Serialize};
use std::io::BufRead;
use std::path::{Path, PathBuf};

/// Play through cases: look, name the defect, the cause and the first change
///
/// Type l for a closer look (half a point each), s for the process sheet
/// (half a point), the number of an answer, or q to stop.
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast casebook quiz --level 1 --rounds 3")]
pub(in crate::cli) struct Arguments {
    /// Only cases that were this defect
    #[arg(long, value_name = "NAME")]
    defect: Option<String>,

    /// Only cases of this level: 1 plain, 2 needs a closer look, 3 has a tempting wrong answer
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(1..=3))]
    level: Option<u8>,

    /// The same seed and record give the same quiz
    #[arg(long, value_name = "N")]
    seed: Option<u64>,

    /// How many cases to play
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u16).range(1..=1000))]
    rounds: u16,

    /// Where the learner's record is kept; without it, with the user's data
    #[arg(long, value_name = "FILE", conflicts_with = "no_record")]
    record: Option<PathBuf>,

    /// Keep no record
    #[arg(long)]
    no_record: bool,
}

/// The record as it stands on disk.
#[derive(Debug, Default, Serialize, Deserialize)]
struct Kept {
    schema: u32,
    cases: Vec<KeptCase>,
    mixed: Vec<KeptMix>,
}

#[derive(Debug, Serialize, Deserialize)]
struct KeptCase {
    id: String,
    asked: u32,
    points: f64,
}

#[derive(Debug, Serialize, Deserialize)]
struct KeptMix {
    right: String,
    said: String,
    times: u32,
}

/// What a line of the learner asks for.
enum Said {
    Look,
    Sheet,
    Stop,
    Words(String),
}

/// Reads the learner's lines; the end of the input is a stop.
fn next_line(input: &mut impl BufRead) -> Result<Said, Failure> {
    let mut line = Vec::new();
    let failed = |source| Failure::File { path: "the standard input".to_owned(), doing: "read", source };
    // No answer is longer; a flood is cut off and answered as a wrong word.
    let mut limited = std::io::Read::take(&mut *input, 4096);
    let count = limited.read_until(b'\n', &mut line).map_err(failed)?;
    if count == 0 {
        return Ok(Said::Stop);
    }
    let text = String::from_utf8_lossy(&line);
    Ok(match text.trim() {
        "l" | "look" => Said::Look,
        "s" | "sheet" => Said::Sheet,
        "q" | "quit" | "stop" => Said::Stop,
        other => Said::Words(other.to_owned()),
    })
}

pub(super) fn run(arguments: &Arguments, shelf: &Shelf<'_>) -> Result<Outcome, Failure> {
    let rules = shelf.rules;
    let defect = arguments.defect.as_deref().map(|w| find_defect(rules, w)).transpose()?;
    let cases: Vec<Entry<'_>> = shelf
        .index
        .entries()
        .filter(|c| c.askable)
        .filter(|c| arguments.level.is_none_or(|l| c.level == Some(l)))
        .filter(|c| defect.is_none_or(|d| c.what.contains(&d)))
        .collect();
    if cases.is_empty() {
        return Err(Failure::usage("no closed case fits").with_help("leave out --level or --defect"));
    }
    let path = record_path(arguments);
    let mut record = path.as_deref().map(read_record).transpose()?.unwrap_or_default();
    let mut chance = Random::new(arguments.seed.unwrap_or_else(from_clock));
    let mut input = std::io::stdin().lock();
    let (mut total, mut played) = (0.0, 0_u16);
    for number in 1..=arguments.rounds {
        let chosen = choose(rules, &cases, &record, &mut chance);
        let Some(entry) = chosen.and_then(|at| cases.get(at)) else { break };
        let case = &*shelf.case(entry)?;
        let mut out = Out::new();
        out.line(paint(HEADING, &format!("Case {number} of {}", arguments.rounds)));
        out.finish()?;
        let mut round = Round::new(rules, case, &mut chance);
        let Some(marked) = play(rules, case, &mut round, &mut input)? else { break };
        record.note(rules, case, &marked);
        // A record that cannot be written is no reason to keep the answer back.
        let written = path.as_deref().map_or(Ok(()), |path| write_record(path, &record));
        total += marked.points;
        played += 1;
        let mut out = Out::new();
        reveal(rules, case, &marked, &mut out);
        out.finish()?;
        written?;
    }
    let mut out = Out::new();
    out.gap();
    let s = if played == 1 { "" } else { "s" };
    out.line(format!("{played} case{s}, {total:.1} of {} points", u32::from(played) * 10));
    for (right, said, times) in record.worst().into_iter().take(3) {
        let name = |id: &str| {
            let defect = rules.find_defect(id).map(|k| lower_first(&rules.defect(k).title));
            let cause = rules.find_cause(id).map(|k| lower_first(&rules.cause(k).title));
            defect.or(cause).unwrap_or_else(|| id.to_owned())
        };
        let times = if times == 1 { "once".to_owned() } else { format!("{times} times") };
        out.hang("  mixed up: ", &format!("{} was called {} ({times})", name(right), name(said)));
    }
    out.finish()?;
    Ok(Outcome::Done)
}

/// One case up to its three answers; `None` when the learner stops.
fn play(
    rules: &RuleBase,
    case: &Case,
    round: &mut Round<'_>,
    input: &mut impl BufRead,
) -> Result<Option<Marked>, Failure> {
    let mut out = Out::new();
    let alloy = case.sheet.alloy_words(rules).unwrap_or_else(|| "an alloy that nobody wrote down".to_owned());
    out.hang("", &format!("Cast in {}. What you see:", lower_first(&alloy)));
    for observation in round.seen() {
        out.hang("  ", &observation.words(rules));
    }
    out.hang("", "l: look closer, s: see the process sheet (half a point each), q: stop");
    out.finish()?;
    let offer = round.offer().clone();
    let defects: Vec<&str> = offer.defects.iter().map(|d| rules.defect(*d).title.as_str()).collect();
    let Some(defect) = ask("Which defect is it?", &defects, rules, round, input)? else { return Ok(None) };
    let causes: Vec<&str> = offer.causes.iter().map(|c| rules.cause(*c).title.as_str()).collect();
    let Some(cause) = ask("What caused it?", &causes, rules, round, input)? else { return Ok(None) };
    let changes: Vec<&str> = offer.changes.iter().map(|r| rules.remedy(*r).title.as_str()).collect();
    let Some(change) = ask("What do you change first?", &changes, rules, round, input)? else {
        return Ok(None);
    };
    let chosen = (offer.defects.get(defect), offer.causes.get(cause), offer.changes.get(change));
    Ok(match chosen {
        (Some(d), Some(c), Some(r)) => Some(round.mark(*d, *c, *r)),
        _ => None,
    })
}

/// One question; looks and the sheet can be asked for in between.
fn ask(
    question: &str,
    choices: &[&str],
    rules: &RuleBase,
    round: &mut Round<'_>,
    input: &mut impl BufRead,
) -> Result<Option<usize>, Failure> {
    let mut out = Out::new();
    out.gap();
    out.line(question);
    for (number, choice) in choices.iter().enumerate() {
        out.hang(&format!("  {}. ", number + 1), choice);
    }
    out.finish()?;
    loop {
        let mut out = Out::new();
        match next_line(input)? {
            Said::Stop => return Ok(None),
            Said::Look => match round.look() {
                Some(observation) => {
                    out.hang("  ", &observation.words(rules));
                    if let (Finding::Sign(key), true) = (observation.finding, observation.is_present()) {
                        draw(rules, &rules.sign(key).id, "    ", &mut out);
                    }
                }
                None => out.line("  There is nothing more to see."),
            },
            Said::Sheet => match round.sheet() {
                Some(sheet) => out.hang("  ", &sheet_words(rules, sheet).join("; ")),
                None => out.line("  Nothing was written down."),
            },
            Said::Words(words) => {
                let number = words.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
                let wanted = crate::rules::names::normal(&words);
                let by_name = || choices.iter().position(|c| crate::rules::names::normal(c) == wanted);
                let found = number.filter(|n| *n < choices.len()).or_else(by_name);
                if found.is_some() {
                    return Ok(found);
                }
                out.line(format!("  A number from 1 to {}, l, s or q.", choices.len()));
            }
        }
        out.finish()?;
    }
}

/// The proved answer, the points, and what the program makes of the case.
fn reveal(rules: &RuleBase, case: &Case, marked: &Marked, out: &mut Out) {
    out.gap();
    out.line(paint(HEADING, "The answer"));
    show::print(rules, case, out);
    out.gap();
    let line = |what: &str, points: f64, most: f64| {
        let word = if points >= most {
            "right"
        } else if points > 0.0 {
            "near"
        } else {
            "missed"
        };
        format!("{what:<9}{word:<8}{points:.1} of {most:.0}")
    };
    out.line(paint(HEADING, "Your points"));
    out.line(line("defect", marked.defect_points, DEFECT_POINTS));
    out.line(line("cause", marked.cause_points, CAUSE_POINTS));
    out.line(line("change", marked.change_points, CHANGE_POINTS));
    out.line(format!("looks    -{:.1}", marked.looks));
    out.line(format!("in all   {:.1} of 10", marked.points));
    if marked.defect_points == 0.0
        && let Some(right) = case.what.first()
    {
        let apart = rules.defect(marked.defect).look_alikes.iter().find(|a| a.defect == *right);
        let other = rules.defect(*right).look_alikes.iter().find(|a| a.defect == marked.defect);
        if let Some(alike) = apart.or(other) {
            out.hang("To tell them apart: ", &alike.apart);
            for key in [*right, marked.defect] {
                draw(rules, &rules.defect(key).id, "  ", out);
            }
        }
    }
    out.gap();
    engine(rules, case, marked.cause, out);
}

/// The program's reasoning on the right cause and on the one that was named.
fn engine(rules: &RuleBase, case: &Case, named: CauseKey, out: &mut Out) {
    let sheet = job(rules, case);
    let Ok(model) = Model::focused(rules, &sheet, &case.observations) else { return };
    let Ok(diagnosis) = diagnose(&model, &sheet, &case.observations) else { return };
    out.line(paint(HEADING, "What the program makes of it"));
    let mut wanted: Vec<CauseKey> = case.causes.clone();
    if !case.names(named) {
        wanted.push(named);
    }
    for key in wanted {
        let Some(place) = diagnosis.causes.iter().position(|c| c.cause == key) else { continue };
        let ranked = &diagnosis.causes[place];
        out.hang(
            "  ",
            &format!("{}: {}, place {}", rules.cause(key).title, percent(ranked.probability), place + 1),
        );
        for (side, reasons) in [("for", &ranked.supports), ("against", &ranked.opposes)] {
            for reason in reasons.iter().take(3) {
                out.hang(
                    &format!("     {side:<8}"),
                    &format!("{}: {}", reason.words, factor_words(reason.ln)),
                );
            }
        }
    }
    let surprise = case.observations.iter().filter(|o| !o.is_present()).map(|o| title(rules, o.finding));
    let absent: Vec<String> = surprise.map(lower_first).collect();
    if !absent.is_empty() {
        out.hang("  ", &format!("What was looked for in vain counts as well: {}.", absent.join("; ")));
    }
}

fn record_path(arguments: &Arguments) -> Option<PathBuf> {
    if arguments.no_record {
        return None;
    }
    arguments.record.clone().or_else(|| data_folder().map(|d| d.join("quiz.json")))
}

fn read_record(path: &Path) -> Result<Record, Failure> {
    let text = match std::fs::read_to_string(path) {
        Ok(text) => text,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(Record::default()),
        Err(source) => {
            return Err(Failure::File { path: path.display().to_string(), doing: "read", source });
        }
    };
    let kept: Kept = serde_json::from_str(&text).map_err(|e| {
        Failure::usage(format!("{} is no record of a quiz: {e}", path.display()))
            .with_help("move the file away to begin a new one, or name another with --record")
    })?;
    if kept.schema != 1 {
        return Err(Failure::usage(format!("{} was written by another version", path.display()))
            .with_help("name another file with --record"));
    }
    Ok(Record {
        cases: kept.cases.into_iter().map(|c| (c.id, (c.asked, c.points))).collect(),
        mixed: kept.mixed.into_iter().map(|m| ((m.right, m.said), m.times)).collect(),
    })
}

fn write_record(path: &Path, record: &Record) -> Result<(), Failure> {
    let kept = Kept {
        schema: 1,
        cases: record
            .cases
            .iter()
            .map(|(id, (asked, points))| KeptCase { id: id.clone(), asked: *asked, points: *points })
            .collect(),
        mixed: record
            .mixed
            .iter()
            .map(|((right, said), times)| KeptMix { right: right.clone(), said: said.clone(), times: *times })
            .collect(),
    };
    let failed = |source| Failure::File { path: path.display().to_string(), doing: "write", source };
    if let Some(folder) = path.parent().filter(|p| !p.as_os_str().is_empty()) {
        std::fs::create_dir_all(folder).map_err(failed)?;
    }
    let text = serde_json::to_string_pretty(&kept).map_err(|e| failed(e.into()))?;
    replace(path, &text).map_err(|e| Failure::usage(e.to_string()))
}

/// A seed that differs from run to run.
fn from_clock() -> u64 {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap_or_default();
    since.as_secs() ^ u64::from(since.subsec_nanos()) << 20
}
