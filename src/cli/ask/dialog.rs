//! The dialogue: shows a question, reads a line, does what it says, keeps it in the journal.

use super::prompt::{Expected, Input, Prompt};
use super::screen;
use super::session::Journal;
use crate::cli::diagnose::next;
use crate::cli::failure::Failure;
use crate::cli::output::Out;
use crate::document::visible;
use crate::interview::{Interview, Next, Record, Said, Step, read_reply};
use crate::rules::{QuestionKey, Reveals, RuleBase};
use crate::sheet::write_sheet;
use std::collections::BTreeMap;
use std::io::Write as _;
use std::path::Path;

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
    Ask(&'a str),
    Questions,
    More,
    Finish,
    Quit,
    Help,
}

/// Every command as it is typed, for completion.
const COMMANDS: [&str; 15] = [
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
    "finish",
    "quit",
    "help",
];

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
        "ask" => Command::Ask(rest),
        "questions" if alone => Command::Questions,
        "more" if alone => Command::More,
        "finish" if alone => Command::Finish,
        "quit" if alone => Command::Quit,
        "help" if alone => Command::Help,
        _ => return None,
    })
}

/// What comes after a line.
#[derive(PartialEq)]
enum Then {
    /// The next question, or the result.
    GoOn,
    /// The same question, not shown again.
    Stay,
    Leave,
}

pub(super) struct Dialog<'a> {
    rules: &'a RuleBase,
    interview: Interview<'a>,
    journal: Journal,
    prompt: Prompt,
    /// The journal lies where `--resume` alone finds it.
    usual: bool,
    /// The question that the caster wants to be asked.
    wanted: Option<QuestionKey>,
    interrupted: bool,
}

impl<'a> Dialog<'a> {
    pub(super) fn new(
        rules: &'a RuleBase,
        interview: Interview<'a>,
        journal: Journal,
        prompt: Prompt,
        usual: bool,
    ) -> Self {
        Self { rules, interview, journal, prompt, usual, wanted: None, interrupted: false }
    }

    /// Asks until the caster leaves.
    pub(super) fn run(mut self) -> Result<(), Failure> {
        loop {
            let question = self.question()?;
            let mut page = Out::new();
            match question {
                Some(question) => screen::question(&self.interview, question, &mut page),
                None => page = self.result()?,
            }
            page.finish()?;
            loop {
                match self.line(question)? {
                    Then::GoOn => break,
                    Then::Stay => {}
                    Then::Leave => {
                        let mut page = Out::new();
                        screen::left(self.journal.path(), self.usual, &mut page);
                        return page.finish();
                    }
                }
            }
        }
    }

    /// The question to ask now; `None`: the result is due.
    fn question(&mut self) -> Result<Option<QuestionKey>, Failure> {
        if let Some(wanted) = self.wanted.take() {
            return Ok(Some(wanted));
        }
        if self.interview.finished() {
            return Ok(None);
        }
        match self.interview.next() {
            Next::Ask(chosen) => Ok(Some(chosen.worth.question)),
            Next::Stop(stop) => {
                let mut page = Out::new();
                screen::stop(&self.interview, &stop, &mut page);
                page.finish()?;
                self.keep(&Record::Finish)?;
                Ok(None)
            }
        }
    }

    fn result(&self) -> Result<Out, Failure> {
        let mut page = Out::new();
        screen::result(&self.interview, &mut page);
        Ok(page)
    }

    /// Reads one line and does it.
    fn line(&mut self, question: Option<QuestionKey>) -> Result<Then, Failure> {
        let lead = if question.is_some() { "> " } else { "done> " };
        let text = match self.prompt.read(lead, self.expected(question))? {
            Input::Line(text) => text,
            Input::Interrupt if !self.interrupted => {
                self.interrupted = true;
                return self
                    .say("Leave? Press Ctrl-C once more; every answer is kept. Any other line goes on.");
            }
            Input::Interrupt | Input::End => return Ok(Then::Leave),
        };
        self.interrupted = false;
        if text.trim().is_empty() {
            return match question {
                Some(_) => self.say("Nothing was said. A number or words answer; `skip` leaves it out; `help` lists the rest."),
                None => self.say("`next FILE`, `save FILE`, `so far`, `back N`, `more`, `note TEXT` or `quit`."),
            };
        }
        match command(&text) {
            Some(command) => self.obey(&command, question),
            None => match question {
                Some(question) => match read_reply(self.rules, question, &text) {
                    Ok(said) => self.answer(question, said),
                    Err(confusion) => self.refuse(&confusion.message, &confusion.help),
                },
                None => self.refuse(
                    &format!("`{}` is no command", visible(&text)),
                    "after the result: `next FILE`, `save FILE`, `so far`, `back N`, `more`, `note TEXT` or `quit`",
                ),
            },
        }
    }

    fn obey(&mut self, command: &Command<'_>, question: Option<QuestionKey>) -> Result<Then, Failure> {
        let mut page = Out::new();
        match command {
            Command::Why => match question {
                Some(question) => screen::why(&self.interview, question, &mut page),
                None => {
                    return self
                        .refuse("no question is being asked", "`so far` shows what led to the result");
                }
            },
            Command::SoFar => screen::so_far(&self.interview, &mut page),
            Command::Help => screen::help(&mut page),
            Command::Questions => screen::questions(&self.interview, &mut page),
            Command::Show(id) => {
                if let Err(help) = screen::show(&self.interview, question, id, &mut page) {
                    return self.refuse(&format!("nothing here is called `{}`", visible(id)), &help);
                }
            }
            Command::Back(number) => return self.back(number),
            Command::Skip => {
                return match question {
                    Some(question) => self.answer(question, Said::Skipped),
                    None => self.refuse("no question is being asked", "`more` asks another one"),
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
            Command::Ask(id) => return self.ask(id),
            Command::More => return self.more(question),
            Command::Finish => {
                if !self.interview.finished() {
                    self.keep(&Record::Finish)?;
                }
                return Ok(Then::GoOn);
            }
            Command::Quit => return Ok(Then::Leave),
        }
        page.finish()?;
        Ok(Then::Stay)
    }

    fn answer(&mut self, question: QuestionKey, said: Said) -> Result<Then, Failure> {
        let record = Record::answer(self.rules, &Step { question, said });
        match self.interview.apply(&record) {
            Ok(kept) => {
                self.journal.append(&record)?;
                let mut page = Out::new();
                screen::noted(&self.interview, question, &kept, &mut page);
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

    fn back(&mut self, number: &str) -> Result<Then, Failure> {
        let steps = self.interview.steps();
        if steps.is_empty() {
            return self.refuse("this is the first question", "answer it, or `quit`");
        }
        let place = match number {
            "" => Some(steps.len() - 1),
            number => number.trim_start_matches('#').parse::<usize>().ok().and_then(|n| n.checked_sub(1)),
        };
        let Some(step) = place.and_then(|at| steps.get(at)) else {
            let help =
                format!("say `back` and a number from 1 to {}; `so far` lists the questions", steps.len());
            return self.refuse(&format!("there is no question `{}` to go back to", visible(number)), &help);
        };
        let key = step.question;
        self.keep(&Record::Back { question: self.rules.question(key).id.clone() })?;
        self.wanted = Some(key);
        self.say("Answer it anew; the answers after it stand as far as they still make sense.")?;
        Ok(Then::GoOn)
    }

    fn ask(&mut self, id: &str) -> Result<Then, Failure> {
        let open = self.interview.standing().open();
        match self.rules.find_question(id).filter(|key| open.contains(key)) {
            Some(key) => {
                self.wanted = Some(key);
                Ok(Then::GoOn)
            }
            None => self.refuse(
                &format!("no question `{}` makes sense now", visible(id)),
                "`questions` lists those that do",
            ),
        }
    }

    fn more(&mut self, question: Option<QuestionKey>) -> Result<Then, Failure> {
        if question.is_some() {
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

    /// Why a sheet cannot get this name, and the way out.
    fn no_place(word: &str, name: &str) -> Option<(String, String)> {
        let path = Path::new(name);
        if name.is_empty() {
            Some(("no file is named".to_owned(), format!("write `{word} ring.yaml`")))
        } else if path.extension().is_none_or(|e| e != "yaml" && e != "yml") {
            let help = format!("write `{word} {}.yaml`", visible(name));
            Some(("a process sheet is a YAML file".to_owned(), help))
        } else if path.exists() {
            Some((format!("there is a file {} already", visible(name)), "give another name".to_owned()))
        } else {
            None
        }
    }

    /// Writes the sheet of the next cast, with the first change of the plan; never over a file.
    fn next_sheet(&mut self, name: &str) -> Result<Then, Failure> {
        if let Some((message, help)) = Self::no_place("next", name) {
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
            Err(Failure::Usage { message, help }) => self.refuse(&message, &help.join("; ")),
            Err(Failure::File { path, doing, source }) => {
                self.refuse(&format!("cannot {doing} {}: {source}", visible(&path)), "give another name")
            }
            Err(other) => Err(other),
        }
    }

    /// Writes the sheet as far as it is known, with the notes; never over a file.
    fn save(&mut self, name: &str) -> Result<Then, Failure> {
        if let Some((message, help)) = Self::no_place("save", name) {
            return self.refuse(&message, &help);
        }
        let path = Path::new(name);
        let mut sheet = self.interview.standing().sheet().clone();
        let notes = sheet.note.iter().cloned().chain(self.interview.notes().iter().cloned());
        let notes: Vec<String> = notes.collect();
        sheet.note = (!notes.is_empty()).then(|| notes.join("; "));
        let head = ["Process sheet, from an interview.".to_owned()];
        let text = write_sheet(self.rules, &sheet, &head, &BTreeMap::new());
        let written = atomic_write_file::AtomicWriteFile::open(path)
            .and_then(|mut file| file.write_all(text.as_bytes()).and_then(|()| file.commit()));
        match written {
            Ok(()) => {
                let count = sheet.figures.len() + sheet.facts.len() + usize::from(sheet.alloy.is_some());
                let s = if count == 1 { "" } else { "s" };
                self.say(&format!("Saved {}: {count} thing{s} known of this cast.", visible(name)))
            }
            Err(error) => {
                self.refuse(&format!("cannot write {}: {error}", visible(name)), "give another name")
            }
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

    fn expected(&self, question: Option<QuestionKey>) -> Expected {
        let rules = self.rules;
        let mut expected = Expected { kind: "result", ..Expected::default() };
        expected.lines.extend(COMMANDS.iter().map(|c| (*c).to_owned()));
        if let Some(question) = question {
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
