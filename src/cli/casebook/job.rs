//! The job that a command speaks of: from a saved interview or a sheet, and from flags.

use crate::casebook::noted::Noted;
use crate::cli::ask::{refused, session};
use crate::cli::failure::Failure;
use crate::cli::rule_base;
use crate::cli::said::Said;
use crate::interview::{Interview, Said as Answer, Turn};
use crate::rules::RuleBase;
use std::io::Read as _;
use std::path::{Path, PathBuf};

/// The word that stands for the interview that was begun last.
const LAST: &str = "last";

/// The flags.
#[derive(Debug, clap::Args)]
pub(super) struct Job {
    #[command(flatten)]
    said: Said,

    /// A saved interview with `aftercast ask`; `last` is the one begun last
    #[arg(long, value_name = "FILE", conflicts_with = "sheet")]
    session: Option<PathBuf>,
}

impl Job {
    /// What is known of the job, and warnings as text.
    pub(super) fn known(&self, rules: &RuleBase) -> Result<(Noted, String), Failure> {
        match &self.session {
            Some(path) => self.known_with(rules, path),
            None => self.above(rules, Noted::default()),
        }
    }

    /// The same with a file beside the flags: a sheet, or a session.
    pub(super) fn known_with(&self, rules: &RuleBase, file: &Path) -> Result<(Noted, String), Failure> {
        let (read, warnings) = if file == Path::new(LAST) || self.session.is_some() || is_session(file) {
            of_session(rules, file)?
        } else {
            let (sheet, warnings) = rule_base::sheet(rules, file)?;
            (Noted { sheet, ..Noted::default() }, warnings)
        };
        let (known, more) = self.above(rules, read)?;
        Ok((known, warnings + &more))
    }

    /// What the flags say, and below it what is known already: of the same thing the flags count.
    pub(super) fn above(&self, rules: &RuleBase, mut known: Noted) -> Result<(Noted, String), Failure> {
        let mut observations = self.said.findings(rules)?;
        known.observations.retain(|o| !observations.iter().any(|mine| mine.finding == o.finding));
        observations.append(&mut known.observations);
        let (mut sheet, warnings) = self.said.job_over(rules, known.sheet)?;
        sheet.take_implied(rules, observations.iter().filter(|o| o.is_present()).map(|o| o.finding));
        Ok((Noted { observations, sheet, ..known }, warnings))
    }
}

/// What an interview brought to light. Questions that were skipped or that nobody could answer are left out.
pub(in crate::cli) fn of_interview(interview: &Interview<'_>) -> Noted {
    let rules = interview.rules();
    let standing = interview.standing();
    let answered = interview.steps().iter().filter(|s| !matches!(s.said, Answer::Skipped | Answer::Unknown));
    let asked = answered.map(|s| format!("{} {}", rules.question(s.question).ask, s.said_words(rules)));
    // The caster's own words tell it best.
    let turns = interview.turns();
    let told = turns.iter().filter_map(Turn::told).map(|t| t.words.as_str());
    let words: Vec<&str> = told.chain(interview.notes().iter().map(String::as_str)).collect();
    Noted {
        story: (!words.is_empty()).then(|| words.join(". ")),
        sheet: standing.sheet().clone(),
        observations: standing.findings().to_vec(),
        asked: asked.collect(),
        ..Noted::default()
    }
}

/// The same from its file; what the rules of today do not understand is left out, and the text says so.
fn of_session(rules: &RuleBase, path: &Path) -> Result<(Noted, String), Failure> {
    let path = if path == Path::new(LAST) { session::latest()? } else { path.to_path_buf() };
    let (interview, lost) = Interview::replay(rules, &session::records(&path)?).map_err(refused)?;
    let lost = lost.iter().map(|l| {
        format!("{}:{}: says nothing under the rules of today: {}\n", path.display(), l.at + 1, l.why)
    });
    Ok((of_interview(&interview), lost.collect()))
}

/// True for a file that begins as a session does.
pub(super) fn is_session(path: &Path) -> bool {
    const BEGINNING: &[u8] = b"{\"did\":";
    let mut head = Vec::new();
    let read = std::fs::File::open(path).and_then(|f| f.take(BEGINNING.len() as u64).read_to_end(&mut head));
    read.is_ok() && head == BEGINNING
}
