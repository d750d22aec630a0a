//! The dialogue: shows a question, reads a line, does what it says, keeps it in the journal.

use super::prompt::{Expected, Input, Prompt};
use super::screen;
use super::session::Journal;
use super::speech::Hearing;
use crate::advice::Observation;
use crate::cli::casebook::job::of_interview;
use crate::cli::casebook::record::keep;
use crate::cli::casebook::shelf::Place;
use crate::cli::diagnose::next;
use crate::cli::failure::Failure;
use crate::cli::files;
use crate::cli::output::Out;
use crate::cli::page::PageFile;
use crate::document::visible;
use crate::interview::{Interview, Next, Record, Said, Step, Turn, read_reply};
use crate::rules::words::{Perhaps, Understood};
use crate::rules::{QuestionKey, RemedyKey, Reveals, RuleBase};
use crate::sheet::write_sheet;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// A line that is no answer.
#[derive(Debug, PartialEq, Eq)]
enum Command<'a> {
    Why,
    SoFar,
    Back(&'a str),
    Skip,
    Note(&'a str),
    Show(&'a str),
    Save(&'a str),
    NextSheet(&'a str),
    Report(&'a str),
    Case(&'a str),
    Ask(&'a str),
    Questions,
    More,
    Finish,
    Quit,
    Help,
}

/// Every command as it is typed, for completion.
const COMMANDS: [&str; 17] = [
    "why",
    "so far",
    "back",
    "skip",
    "don't know",
    "note ",
    "show ",
    "ask ",
    "questions",
    "more",
    "save ",
    "next ",
    "report ",
    "case ",
    "finish",
    "quit",
    "help",
];

const AFTER_THE_RESULT: &str = "Now `next FILE.yaml`, `report FILE.html`, `case`, `save FILE.yaml`, `so far`, `back N`, \
    `more`, `note TEXT`, `quit`, or what else you see, in your own words.";
/// How the files are called.
const SHEET: &[&str] = &["yaml", "yml"];
const PAGE: &[&str] = &["html", "htm"];

fn command(line: &str) -> Option<Command<'_>> {
    let line = line.trim();
    let (word, rest) = line.split_once(char::is_whitespace).map_or((line, ""), |(w, r)| (w, r.trim()));
    let alone = rest.is_empty();
    Some(match word.to_lowercase().as_str() {
        "why" if alone => Command::Why,
        "so" if rest.eq_ignore_ascii_case("far") => Command::SoFar,
        "back" => Command::Back(rest),
        "skip" if alone => Command::Skip,
        "note" => Command::Note(rest),
        "show" => Command::Show(rest),
        "save" => Command::Save(rest),
        "next" => Command::NextSheet(rest),
        "report" => Command::Report(rest),
        "case" => Command::Case(rest),
        "ask" => Command::Ask(rest),
        "questions" if alone => Command::Questions,
        "more" if alone => Command::More,
        "finish" if alone => Command::Finish,
        "quit" if alone => Command::Quit,
        "help" if alone => Command::Help,
        _ => return None,
    })
}

/// Where the interview stands.
#[derive(Clone)]
enum At {
    /// A question is asked.
    Question(QuestionKey),
    /// It is asked back what was meant by the caster's own words.
    AskedBack(Perhaps),
    /// The result is there.
    Result,
}

impl At {
    fn question(&self) -> Option<QuestionKey> {
        match self {
            Self::Question(question) => Some(*question),
            _ => None,
        }
    }
}

/// What comes after a line.
#[derive(PartialEq)]
enum Then {
    /// The next question, or the result.
    GoOn,
    /// The same question, not shown again.
    Stay,
    /// The same question, shown again: what was printed since has pushed it away.
    Again,
    Leave,
}

/// What becomes of an interview.
pub(super) struct AtTheEnd<'a> {
    /// The sheet of the next cast is written here when a finished interview is left.
    pub(super) next: Option<&'a Path>,
    /// And the result as a page here.
    pub(super) page: &'a PageFile,
    /// Where the shop's cases are.
    pub(super) casebook: Place,
}

/// A figure typed without its unit, which may follow in the next line.
struct Bare {
    question: QuestionKey,
    number: String,
    /// One that it may have.
    unit: String,
}

pub(super) struct Dialog<'a> {
    rules: &'a RuleBase,
    interview: Interview<'a>,
    journal: Journal,
    prompt: Prompt,
    hearing: Hearing<'a>,
    /// The journal lies where `--resume` alone finds it.
    usual: bool,
    at_the_end: AtTheEnd<'a>,
    /// The question that the caster wants to be asked.
    wanted: Option<QuestionKey>,
    /// The question at hand is asked because the caster wanted it.
    at_wish: bool,
    bare: Option<Bare>,
    /// The causes in front, as they were shown last.
    in_front: String,
    /// The first change, as it was shown last with the whole result.
    result: Option<Option<RemedyKey>>,
    interrupted: bool,
    /// How much was said when it was put into the casebook.
    in_casebook: Option<usize>,
}

impl<'a> Dialog<'a> {
    pub(super) fn new(
        rules: &'a RuleBase,
        interview: Interview<'a>,
        journal: Journal,
        prompt: Prompt,
        usual: bool,
        at_the_end: AtTheEnd<'a>,
    ) -> Self {
        Self {
            rules,
            interview,
            journal,
            prompt,
            hearing: Hearing::new(rules),
            usual,
            at_the_end,
            wanted: None,
            at_wish: false,
            bare: None,
            in_front: String::new(),
            result: None,
            interrupted: false,
            in_casebook: None,
        }
    }

    /// Takes what was said before the first question.
    pub(super) fn begin_with(&mut self, words: &str, understood: Understood) -> Result<(), Failure> {
        self.tell(words, understood).map(|_| ())
    }

    /// Asks until the caster leaves.
    pub(super) fn run(mut self) -> Result<(), Failure> {
        loop {
            let at = self.at()?;
            self.show(&at)?;
            loop {
                match self.line(&at)? {
                    Then::GoOn => break,
                    Then::Again => self.show(&at)?,
                    Then::Stay if matches!(at, At::AskedBack(_)) => self.show(&at)?,
                    Then::Stay => {}
                    Then::Leave => return self.leave(),
                }
            }
        }
    }

    fn show(&mut self, at: &At) -> Result<(), Failure> {
        let mut page = Out::new();
        match at {
            At::Question(question) => screen::question(&self.interview, *question, &mut page),
            At::AskedBack(perhaps) => screen::ask_back(self.rules, perhaps, &mut page),
            At::Result => {
                let first = match self.result {
                    None => screen::result(&self.interview, &mut page),
                    Some(before) => screen::changed(&self.interview, before, &mut page),
                };
                self.result = Some(first);
            }
        }
        page.finish()
    }

    /// Writes what was wanted and says where everything is.
    fn leave(self) -> Result<(), Failure> {
        let mut page = Out::new();
        let AtTheEnd { next, page: report, .. } = &self.at_the_end;
        if next.is_some() || report.is_wanted() {
            let standing = self.interview.standing();
            let seen = standing.findings().iter().any(Observation::is_present);
            if self.interview.finished() && seen {
                let diagnosis =
                    standing.diagnose().map_err(|r| Failure::usage(r.message).with_help(r.help))?;
                report.write(|| {
                    crate::report::page(standing.model(), standing.sheet(), standing.findings(), &diagnosis)
                })?;
                if let Some(path) = next {
                    next::write(standing.model(), standing.sheet(), &diagnosis, None, path)?.print(&mut page);
                }
                report.print(&mut page);
            } else {
                screen::nothing_written(seen, &mut page);
            }
        }
        screen::left(self.journal.path(), self.usual, &mut page);
        page.finish()
    }

    /// What comes now.
    fn at(&mut self) -> Result<At, Failure> {
        let wanted = self.wanted.take().filter(|q| self.interview.standing().open().contains(q));
        self.at_wish = wanted.is_some();
        if let Some(question) = wanted {
            return Ok(At::Question(question));
        }
        if self.interview.finished() {
            return Ok(At::Result);
        }
        if let Some(perhaps) = self.interview.pending() {
            return Ok(At::AskedBack(perhaps.clone()));
        }
        match self.interview.next() {
            Next::Ask(chosen) => Ok(At::Question(chosen.worth.question)),
            Next::Stop(stop) => {
                if self.result.is_none() {
                    let mut page = Out::new();
                    screen::stop(&self.interview, &stop, &mut page);
                    page.finish()?;
                }
                self.keep(&Record::Finish)?;
                Ok(At::Result)
            }
        }
    }

    /// What was typed, or what the caster did instead of typing.
    fn read(&mut self, at: &At) -> Result<Result<String, Then>, Failure> {
        let lead = if matches!(at, At::Result) { "done> " } else { "> " };
        let expected = self.expected(at);
        match self.prompt.read(lead, expected)? {
            Input::Line(text) => {
                self.interrupted = false;
                Ok(Ok(text))
            }
            Input::Interrupt if !self.interrupted => {
                self.interrupted = true;
                self.say("Leave? Press Ctrl-C once more; every answer is kept. Any other line goes on.")?;
                Ok(Err(Then::Stay))
            }
            Input::Interrupt | Input::End => Ok(Err(Then::Leave)),
        }
    }

    /// Reads one line and does it.
    fn line(&mut self, at: &At) -> Result<Then, Failure> {
        let text = match self.read(at)? {
            Ok(text) => text,
            Err(then) => return Ok(then),
        };
        let bare = self.bare.take();
        if text.trim().is_empty() {
            return match at {
                At::Question(_) => self.say("Nothing was said. A number or words answer; `skip` leaves it out; `help` lists the rest."),
                At::AskedBack(_) => Ok(Then::Stay),
                At::Result => self.say(AFTER_THE_RESULT),
            };
        }
        if let At::AskedBack(perhaps) = at
            && let Some(meant) = super::speech::meant(perhaps, &text)
        {
            return self.mean(perhaps, meant);
        }
        if let Some(command) = command(&text) {
            return self.obey(&command, at);
        }
        let At::Question(question) = *at else {
            return match (self.hearing.understand(&text), at) {
                (Some(understood), _) => self.tell(&text, understood),
                (None, At::AskedBack(_)) => self.refuse(
                    &format!("nothing in `{}` is known", visible(&text)),
                    "say `yes`, `probably`, `no` or `don't know`, or what else you see",
                ),
                (None, _) => self.refuse(
                    &format!("`{}` is no command, and nothing in it is known", visible(&text)),
                    AFTER_THE_RESULT,
                ),
            };
        };
        // The unit of the number in the line before.
        let whole = bare.filter(|b| b.question == question).map(|b| format!("{} {text}", b.number));
        if let Some(said) = whole.and_then(|t| read_reply(self.rules, question, &t).ok()) {
            return self.answer(question, said);
        }
        match read_reply(self.rules, question, &text) {
            Ok(said) => self.answer(question, said),
            Err(confusion) => {
                let understood = if confusion.strange { self.hearing.understand(&text) } else { None };
                match understood {
                    Some(understood) => {
                        // A question that was wished for is asked still, if the words did not answer it.
                        self.wanted = self.at_wish.then_some(question);
                        self.tell(&text, understood)
                    }
                    None => {
                        self.bare = self.bare_number(question, &text);
                        let unit = self.bare.as_ref().map(|b| {
                            format!("its unit alone will do now, such as `{}`; or `don't know`", b.unit)
                        });
                        self.refuse(&confusion.message, &unit.unwrap_or(confusion.help))
                    }
                }
            }
        }
    }

    fn bare_number(&self, question: QuestionKey, text: &str) -> Option<Bare> {
        let number = text.trim();
        let Reveals::Quantity(quantity) = self.rules.question(question).reveals else { return None };
        let dimension = self.rules.quantity(quantity).dimension;
        let bare = !dimension.is_bare() && number.parse::<f64>().is_ok();
        let unit = dimension.allowed().split(',').next().unwrap_or_default().to_owned();
        bare.then(|| Bare { question, number: number.to_owned(), unit })
    }

    /// Takes what was said in free words.
    fn tell(&mut self, words: &str, understood: Understood) -> Result<Then, Failure> {
        let (told, taken) = self.hearing.hear(&self.interview, words, understood);
        let record = Record::told(self.rules, &told);
        match self.interview.apply(&record) {
            Ok(kept) => {
                self.journal.append(&record)?;
                let mut page = Out::new();
                taken.print(self.rules, crate::cli::diagnose::understood::Said::Interview, &mut page);
                screen::kept(&self.interview, &kept, &mut page);
                if self.interview.pending().is_none() {
                    self.show_front(&mut page);
                }
                page.finish()?;
                Ok(Then::GoOn)
            }
            Err(refused) => self.refuse(&refused.message, &refused.help),
        }
    }

    /// Takes the answer to what was asked back; `None`: it is left out.
    fn mean(&mut self, perhaps: &Perhaps, meant: Option<Observation>) -> Result<Then, Failure> {
        let left_out = Record::not_meant(self.rules, perhaps.finding);
        let record = meant.map_or(left_out.clone(), |observation| Record::meant(self.rules, &observation));
        let words = meant.map_or_else(
            || "Left out.".to_owned(),
            |observation| format!("Noted: {}", observation.words(self.rules)),
        );
        match self.interview.apply(&record) {
            Ok(_) => {
                self.journal.append(&record)?;
                self.say(&words)?;
            }
            Err(refused) => {
                self.refuse(&refused.message, &refused.help)?;
                self.keep(&left_out)?;
            }
        }
        if self.interview.pending().is_none() {
            let mut page = Out::new();
            self.show_front(&mut page);
            page.finish()?;
        }
        Ok(Then::GoOn)
    }

    /// The causes in front, if they are not as they were.
    fn show_front(&mut self, page: &mut Out) {
        let front = screen::in_front(&self.interview);
        match (front.is_empty(), front == self.in_front) {
            (true, _) => {}
            (false, true) => page.line("In front: as before."),
            (false, false) => page.hang("In front: ", &front),
        }
        self.in_front = front;
    }

    fn obey(&mut self, command: &Command<'_>, at: &At) -> Result<Then, Failure> {
        let mut page = Out::new();
        let mut then = Then::Stay;
        match command {
            Command::Why => match at {
                At::Question(question) => screen::why(&self.interview, *question, &mut page),
                At::AskedBack(perhaps) => screen::why_asked_back(&self.interview, perhaps, &mut page),
                At::Result => {
                    return self
                        .refuse("no question is being asked", "`so far` shows what led to the result");
                }
            },
            Command::SoFar => {
                screen::so_far(&self.interview, &mut page);
                then = self.again(at);
            }
            Command::Help => {
                screen::help(&mut page);
                then = self.again(at);
            }
            Command::Questions => {
                screen::questions(&self.interview, &mut page);
                then = self.again(at);
            }
            Command::Show(id) => match at {
                At::AskedBack(perhaps) if id.is_empty() => {
                    screen::look(self.rules, perhaps.finding, &mut page);
                }
                _ => {
                    if let Err(help) = screen::show(&self.interview, at.question(), id, &mut page) {
                        return self.refuse(&format!("nothing here is called `{}`", visible(id)), &help);
                    }
                }
            },
            Command::Back(number) => return self.back(number),
            Command::Skip => {
                return match at {
                    At::Question(question) => self.answer(*question, Said::Skipped),
                    At::AskedBack(perhaps) => self.mean(perhaps, None),
                    At::Result => self.refuse("no question is being asked", "`more` asks another one"),
                };
            }
            Command::Note("") => {
                return self.refuse("the note is empty", "write it after the word: `note new powder lot`");
            }
            Command::Note(text) => {
                self.keep(&Record::Note { text: (*text).to_owned() })?;
                return self.say("Noted.");
            }
            Command::Save(name) => return self.save(name),
            Command::NextSheet(name) => return self.next_sheet(name),
            Command::Report(name) => return self.report(name),
            Command::Case(title) => return self.case(title),
            Command::Ask(id) => return self.ask(id),
            Command::More => return self.more(at),
            Command::Finish => {
                if !self.interview.finished() {
                    self.keep(&Record::Finish)?;
                }
                self.result = None;
                return Ok(Then::GoOn);
            }
            Command::Quit => return Ok(Then::Leave),
        }
        page.finish()?;
        Ok(then)
    }

    /// A question is shown again behind what pushed it away; a result is not.
    fn again(&self, at: &At) -> Then {
        if matches!(at, At::Result) { Then::Stay } else { Then::Again }
    }

    fn answer(&mut self, question: QuestionKey, said: Said) -> Result<Then, Failure> {
        let record = Record::answer(self.rules, &Step { question, said });
        match self.interview.apply(&record) {
            Ok(kept) => {
                self.journal.append(&record)?;
                let mut page = Out::new();
                screen::noted(&self.interview, question, &mut page);
                screen::kept(&self.interview, &kept, &mut page);
                self.show_front(&mut page);
                page.finish()?;
                Ok(Then::GoOn)
            }
            Err(refused) => self.refuse(&refused.message, &refused.help),
        }
    }

    /// Does a record that cannot be refused, and keeps it.
    fn keep(&mut self, record: &Record) -> Result<(), Failure> {
        if self.interview.apply(record).is_ok() {
            self.journal.append(record)?;
        }
        Ok(())
    }

    fn back(&mut self, to: &str) -> Result<Then, Failure> {
        let turns = self.interview.turns();
        let steps: Vec<&Step> = turns.iter().filter_map(Turn::step).collect();
        let told: Vec<&str> = turns.iter().filter_map(Turn::told).map(|t| t.words.as_str()).collect();
        if turns.is_empty() {
            return self.refuse("this is the first question", "answer it, or `quit`");
        }
        let word = to.trim_start_matches('#');
        let place = word.parse::<usize>().ok().and_then(|n| n.checked_sub(1)).filter(|at| *at < steps.len());
        let letter = (0..told.len()).find(|at| screen::letter(*at).eq_ignore_ascii_case(word));
        match (turns.last().filter(|_| to.is_empty()), place, letter) {
            (Some(Turn::Answered(step)), _, _) => self.back_to(step.question),
            (Some(Turn::Told(last)), _, _) => self.unsay(&last.words),
            (None, Some(at), _) => self.back_to(steps[at].question),
            (None, None, Some(at)) => self.unsay(told[at]),
            (None, None, None) => self.refuse(
                &format!("there is nothing called `{}` to go back to", visible(to)),
                "say `back` and the number or letter that `so far` shows",
            ),
        }
    }

    fn back_to(&mut self, question: QuestionKey) -> Result<Then, Failure> {
        self.keep(&Record::Back { question: self.rules.question(question).id.clone() })?;
        self.wanted = Some(question);
        self.say("Answer it anew; the answers after it stand as far as they still make sense.")?;
        Ok(Then::GoOn)
    }

    /// Takes back what was said in free words.
    fn unsay(&mut self, words: &str) -> Result<Then, Failure> {
        let record = Record::Unsaid { words: words.to_owned() };
        match self.interview.apply(&record) {
            Ok(kept) => {
                self.journal.append(&record)?;
                let mut page = Out::new();
                page.hang("", &format!("Taken back: `{}`", crate::cli::diagnose::words::shown(words)));
                screen::kept(&self.interview, &kept, &mut page);
                self.show_front(&mut page);
                page.finish()?;
                Ok(Then::GoOn)
            }
            Err(refused) => self.refuse(&refused.message, &refused.help),
        }
    }

    fn ask(&mut self, id: &str) -> Result<Then, Failure> {
        let Some(key) = self.rules.find_question(id) else {
            let ids = self.rules.questions.iter().map(|q| q.id.as_str());
            let near = crate::document::nearest_help(id, ids);
            let help = near.unwrap_or_else(|| "`questions` lists those that make sense now".to_owned());
            return self.refuse(&format!("no question is called `{}`", visible(id)), &help);
        };
        match self.interview.closed(key) {
            None => {
                self.wanted = Some(key);
                Ok(Then::GoOn)
            }
            Some(closed) => {
                let (message, help) = screen::closed(&self.interview, key, &closed);
                self.refuse(&message, &help)
            }
        }
    }

    fn more(&mut self, at: &At) -> Result<Then, Failure> {
        if !matches!(at, At::Result) {
            return self.refuse("there is a question to answer", "answer it, or `skip`");
        }
        match self.interview.worths().first() {
            Some(best) => {
                self.wanted = Some(best.question);
                Ok(Then::GoOn)
            }
            None => self.refuse("no question is left", "`back N` asks an earlier one again"),
        }
    }

    /// Why a file cannot get this name, and the way out.
    fn no_place(word: &str, name: &str, endings: &[&str]) -> Option<(String, String)> {
        let path = Path::new(name);
        let ending = endings.first().copied().unwrap_or_default();
        if name.is_empty() {
            Some(("no file is named".to_owned(), format!("write `{word} ring.{ending}`")))
        } else if path.extension().is_none_or(|e| endings.iter().all(|other| e != *other)) {
            let better: PathBuf = path.with_extension(ending);
            let help = format!("write `{word} {}`", visible(&better.display().to_string()));
            Some((format!("the name of this file ends in .{ending}"), help))
        } else if path.symlink_metadata().is_ok() {
            Some((format!("there is a file {} already", visible(name)), "give another name".to_owned()))
        } else {
            None
        }
    }

    /// Says why something was not written; what else went wrong ends the program.
    fn not_written(&self, failure: Failure) -> Result<Then, Failure> {
        match failure {
            Failure::Usage { message, help } => self.refuse(&message, &help.join("; ")),
            Failure::File { path, doing, source } => {
                self.refuse(&format!("cannot {doing} {}: {source}", visible(&path)), "give another name")
            }
            other => Err(other),
        }
    }

    /// Writes the sheet of the next cast, with the first change of the plan; never over a file.
    fn next_sheet(&mut self, name: &str) -> Result<Then, Failure> {
        if let Some((message, help)) = Self::no_place("next", name, SHEET) {
            return self.refuse(&message, &help);
        }
        let standing = self.interview.standing();
        let diagnosis = match standing.diagnose() {
            Ok(diagnosis) => diagnosis,
            Err(refused) => return self.refuse(&refused.message, &refused.help),
        };
        match next::write(standing.model(), standing.sheet(), &diagnosis, None, Path::new(name)) {
            Ok(written) => {
                let mut page = Out::new();
                written.print(&mut page);
                page.finish()?;
                Ok(Then::Stay)
            }
            Err(failure) => self.not_written(failure),
        }
    }

    /// Writes the result as a page for browser and printer; never over a file.
    fn report(&mut self, name: &str) -> Result<Then, Failure> {
        if let Some((message, help)) = Self::no_place("report", name, PAGE) {
            return self.refuse(&message, &help);
        }
        let standing = self.interview.standing();
        let diagnosis = match standing.diagnose() {
            Ok(diagnosis) => diagnosis,
            Err(refused) => return self.refuse(&refused.message, &refused.help),
        };
        let page = crate::report::page(standing.model(), standing.sheet(), standing.findings(), &diagnosis)
            .map_err(|e| Failure::usage(format!("the page could not be made: {e}")))?;
        match files::write(Path::new(name), page.as_bytes(), false) {
            Ok(()) => self.say(&format!("The page is in {}.", visible(name))),
            Err(failure) => self.not_written(failure),
        }
    }

    /// Puts what was found into the shop's casebook, as an open case.
    fn case(&mut self, title: &str) -> Result<Then, Failure> {
        if let Some(turns) = &self.in_casebook
            && *turns == self.interview.turns().len()
        {
            return self
                .refuse("this is in the casebook already", "`aftercast casebook list --open` shows it");
        }
        if self.interview.standing().findings().is_empty() {
            return self.refuse("nothing was seen yet", "answer a question, or say what you see");
        }
        let mut noted = of_interview(&self.interview);
        noted.title = (!title.is_empty()).then(|| title.to_owned());
        let mut page = Out::new();
        match keep(self.rules, noted, None, &self.at_the_end.casebook, &mut page) {
            Ok(_) => {
                self.in_casebook = Some(self.interview.turns().len());
                page.finish()?;
                Ok(Then::Stay)
            }
            Err(Failure::Problems(..)) => {
                self.refuse("a case could not be read again with these words", "give another title")
            }
            Err(failure) => self.not_written(failure),
        }
    }

    /// Writes the sheet as far as it is known, with the notes; never over a file.
    fn save(&mut self, name: &str) -> Result<Then, Failure> {
        if let Some((message, help)) = Self::no_place("save", name, SHEET) {
            return self.refuse(&message, &help);
        }
        let mut sheet = self.interview.standing().sheet().clone();
        let notes = sheet.note.iter().cloned().chain(self.interview.notes().iter().cloned());
        let notes: Vec<String> = notes.collect();
        sheet.note = (!notes.is_empty()).then(|| notes.join("; "));
        let head = ["Process sheet, from an interview.".to_owned()];
        let text = write_sheet(self.rules, &sheet, &head, &BTreeMap::new());
        match files::write(Path::new(name), text.as_bytes(), false) {
            Ok(()) => {
                let count = sheet.figures.len() + sheet.facts.len() + usize::from(sheet.alloy.is_some());
                let s = if count == 1 { "" } else { "s" };
                self.say(&format!("Saved {}: {count} thing{s} known of this cast.", visible(name)))
            }
            Err(failure) => self.not_written(failure),
        }
    }

    fn say(&self, text: &str) -> Result<Then, Failure> {
        let mut page = Out::new();
        page.hang("", text);
        page.finish()?;
        Ok(Then::Stay)
    }

    fn refuse(&self, message: &str, help: &str) -> Result<Then, Failure> {
        let mut page = Out::new();
        page.hang("", &format!("Not taken: {message}."));
        page.hang("  help: ", help);
        page.finish()?;
        Ok(Then::Stay)
    }

    fn expected(&self, at: &At) -> Expected {
        let rules = self.rules;
        let mut expected = Expected { kind: "result", ..Expected::default() };
        expected.lines.extend(COMMANDS.iter().map(|c| (*c).to_owned()));
        if matches!(at, At::AskedBack(_)) {
            expected.kind = "asked-back";
            expected.lines.extend(["yes", "probably", "no"].map(str::to_owned));
        }
        if let Some(question) = at.question() {
            match &rules.question(question).reveals {
                Reveals::Signs { answers, .. } => {
                    expected.kind = "seen";
                    expected.lines.extend(answers.iter().map(|a| a.say.clone()));
                    let signs = answers.iter().flat_map(|a| &a.present);
                    expected.lines.extend(signs.map(|s| rules.sign(*s).id.clone()));
                }
                Reveals::Quantity(_) => expected.kind = "figure",
                Reveals::Fact(fact) => {
                    expected.kind = "fact";
                    expected.lines.extend(rules.fact(*fact).values.iter().map(|v| v.title.clone()));
                    expected.lines.extend(rules.fact(*fact).values.iter().map(|v| v.id.clone()));
                }
                Reveals::Alloy => {
                    expected.kind = "alloy";
                    expected.lines.extend(rules.alloys.iter().map(|a| a.id.clone()));
                    expected.lines.extend(rules.families.iter().map(|f| f.id.clone()));
                }
            }
        }
        let open = self.interview.standing().open().iter().map(|q| rules.question(*q).id.clone());
        expected.ids = rules.defects.iter().map(|d| d.id.clone()).collect();
        expected.ids.extend(rules.signs.iter().map(|s| s.id.clone()));
        expected.ids.extend(rules.causes.iter().map(|c| c.id.clone()));
        expected.ids.extend(rules.remedies.iter().map(|r| r.id.clone()));
        expected.ids.extend(open);
        expected.ids.extend(crate::sheet::Field::ALL.iter().map(|f| f.id().to_owned()));
        expected
    }
}
