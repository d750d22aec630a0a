//! `aftercast ask`: the interview.

mod dialog;
mod prompt;
mod screen;
pub(super) mod session;
mod speech;

use super::casebook::shelf::Place;
use super::diagnose::{
    job,
    words::{gather, nothing_understood},
};
use super::failure::{Failure, Outcome};
use super::output::Out;
use super::page::PageFile;
use super::{files, rule_base};
use crate::advice::Sureness;
use crate::interview::{Interview, Record, Refused, Start};
use crate::rules::names::FindingNames;
use crate::rules::words::Words;
use dialog::{AtTheEnd, Dialog};
use prompt::Prompt;
use session::Journal;
use std::path::{Path, PathBuf};

/// Be asked what matters, one question at a time, and be told what to change first
///
/// Begin with nothing, or with what is known already. Answers are numbers or words;
/// `help` lists the commands. Every answer is kept at once: `aftercast ask --resume`
/// goes on where it stopped.
#[derive(Debug, clap::Args)]
#[command(after_help = "Examples:\n  aftercast ask --alloy sterling --defects pinholes\n  \
    aftercast ask \"small round holes after polishing, only on the thick rings\"")]
pub(super) struct Arguments {
    /// What you see, in your own words; what is not clear is asked back
    #[arg(value_name = "WORDS")]
    words: Vec<String>,

    /// The alloy, its family or its metal
    #[arg(long, value_name = "NAME")]
    alloy: Option<String>,

    /// The process sheet of this cast
    #[arg(long, value_name = "FILE")]
    sheet: Option<PathBuf>,

    /// Defects as you would call them, such as pinholes,misrun
    #[arg(long, value_name = "ID[,ID...]", value_delimiter = ',')]
    defects: Vec<String>,

    /// Signs that you saw
    #[arg(long, value_name = "ID[,ID...]", value_delimiter = ',')]
    signs: Vec<String>,

    /// Leave the shop's closed cases out of how often each cause happens
    #[arg(long)]
    untuned: bool,

    /// Ask for no figures: nothing was written down
    #[arg(long)]
    no_figures: bool,

    /// Take the answers from a file, one a line; - is the standard input
    #[arg(long, value_name = "FILE")]
    answers: Option<PathBuf>,

    /// Go on with a session: the last one, or the one in FILE
    #[arg(long, value_name = "FILE", num_args = 0..=1, conflicts_with_all = ["words", "alloy", "sheet", "defects", "signs", "no_figures", "seed", "session"])]
    #[expect(clippy::option_option, reason = "the flag alone, and the flag with a file")]
    resume: Option<Option<PathBuf>>,

    /// Keep this session in FILE and not in the usual folder
    #[arg(long, value_name = "FILE")]
    session: Option<PathBuf>,

    /// When the interview is finished, write the process sheet of the next cast here
    #[arg(long, value_name = "FILE")]
    next: Option<PathBuf>,

    #[command(flatten)]
    page: PageFile,

    /// Decides the draws with which questions are weighed
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
}

pub(super) fn run(
    arguments: &Arguments,
    folder: Option<&Path>,
    casebook: Option<&Path>,
) -> Result<Outcome, Failure> {
    let mut rules = rule_base::sound(folder)?;
    let tuned = if arguments.untuned { None } else { super::casebook::tune(&mut rules, casebook)? };
    arguments.page.refuse_existing()?;
    arguments.next.as_deref().map_or(Ok(()), files::refuse_existing)?;
    let mut opening = Out::new();
    if let Some(counts) = tuned {
        opening.hang("", &counts.words());
        opening.gap();
    }
    let words = arguments.words.join(" ");
    let mut understood = None;
    let (interview, journal) = match &arguments.resume {
        Some(path) => {
            let path = path.clone().map_or_else(session::latest, Ok)?;
            let reopened = Journal::reopen(&path)?;
            let (interview, lost) = Interview::replay(&rules, &reopened.records).map_err(refused)?;
            screen::resumed(&path, &interview, reopened.torn, &lost, &mut opening);
            (interview, reopened.journal)
        }
        None => {
            if !words.trim().is_empty() {
                let heard = Words::new(&rules).understand(&words);
                if speech::nothing(&heard) {
                    return Err(nothing_understood(&rules, &heard));
                }
                understood = Some(heard);
            }
            let said = [(&arguments.defects[..], Sureness::Seen), (&arguments.signs[..], Sureness::Seen)];
            let findings = gather(&rules, &said)?;
            let (sheet, warnings) = job(&rules, arguments.sheet.as_deref(), arguments.alloy.as_deref())?;
            if !warnings.is_empty() {
                opening.line(warnings.trim_end());
                opening.gap();
            }
            let start = Start { sheet, findings, seed: arguments.seed, figures: !arguments.no_figures };
            let first = Record::start(&rules, &start);
            let interview = Interview::new(&rules, start).map_err(refused)?;
            let journal = match arguments.session.clone() {
                Some(path) => Journal::create(path, &first)?,
                None => session::fresh(&first)?,
            };
            let names = FindingNames::new(&rules);
            let called = arguments.defects.iter().filter_map(|own| Some((own.clone(), names.find(own)?)));
            screen::opening(&interview, &called.collect::<Vec<_>>(), &mut opening);
            (interview, journal)
        }
    };
    let prompt = Prompt::open(arguments.answers.as_deref(), session::state_folder())?;
    opening.finish()?;
    let usual = arguments.session.is_none() && !matches!(&arguments.resume, Some(Some(_)));
    let at_the_end =
        AtTheEnd { next: arguments.next.as_deref(), page: &arguments.page, casebook: Place::of(casebook) };
    let mut dialog = Dialog::new(&rules, interview, journal, prompt, usual, at_the_end);
    if let Some(understood) = understood {
        dialog.begin_with(&words, understood)?;
    }
    dialog.run()?;
    Ok(Outcome::Done)
}

pub(super) fn refused(refused: Refused) -> Failure {
    Failure::usage(refused.message).with_help(refused.help)
}
