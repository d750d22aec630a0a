//! The answers in their order.

use super::standing::Standing;
use crate::advice::findings::with_ruled_out;
use crate::advice::{Observation, Sureness};
use crate::document::Severity;
use crate::rules::names::AlloyName;
use crate::rules::{Finding, QuestionKey, Reveals, RuleBase};
use crate::sheet::{Field, Sheet, read_sheet, write_sheet};
use std::collections::BTreeMap;

/// What is known before the first question.
#[derive(Debug, Clone, PartialEq)]
pub struct Start {
    /// The process sheet, alloy included; may be empty.
    pub sheet: Sheet,
    /// What was seen or named.
    pub findings: Vec<Observation>,
    /// Decides the draws with which questions are weighed.
    pub seed: u64,
    /// Whether to ask for figures that stand in a log or on a sheet.
    pub figures: bool,
}

impl Default for Start {
    fn default() -> Self {
        Self { sheet: Sheet::default(), findings: Vec::new(), seed: 1, figures: true }
    }
}

/// What was said to a question.
#[derive(Debug, Clone, PartialEq)]
pub enum Said {
    /// These of its answers.
    Picked {
        /// Places in the question's list.
        answers: Vec<usize>,
        /// False for "probably".
        sure: bool,
    },
    /// A figure of the sheet, in its stored unit.
    Figure(f64),
    /// A value of a fact.
    Value(usize),
    /// The alloy.
    Alloy(AlloyName),
    /// Nobody knows.
    Unknown,
    /// Not answered.
    Skipped,
}

/// A question with what was said to it.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// The question.
    pub question: QuestionKey,
    /// The answer.
    pub said: Said,
}

impl Step {
    /// What was said, in words.
    pub fn said_words(&self, rules: &RuleBase) -> String {
        match (&self.said, &rules.question(self.question).reveals) {
            (Said::Picked { answers: picked, sure }, Reveals::Signs { answers, .. }) => {
                let words: Vec<&str> =
                    picked.iter().filter_map(|at| answers.get(*at)).map(|a| a.say.as_str()).collect();
                format!("{}{}", if *sure { "" } else { "probably " }, words.join("; "))
            }
            (Said::Figure(value), Reveals::Quantity(quantity)) => {
                rules.quantity(*quantity).dimension.show(*value)
            }
            (Said::Value(value), Reveals::Fact(fact)) => {
                rules.fact(*fact).values.get(*value).map_or_else(String::new, |v| v.title.clone())
            }
            (Said::Alloy(name), _) => {
                let mut sheet = Sheet::default();
                sheet.name_alloy(rules, *name);
                sheet.alloy_words(rules).unwrap_or_default()
            }
            (Said::Skipped, _) => "skipped".to_owned(),
            _ => "don't know".to_owned(),
        }
    }
}

/// Why an answer was not taken. The interview stands as before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// What does not fit, in words.
    pub message: String,
    /// The way out.
    pub help: String,
}

/// What became of the answers that followed one that was given anew.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Kept {
    /// Still make sense, and stand.
    pub kept: Vec<QuestionKey>,
    /// Make no sense any more.
    pub dropped: Vec<QuestionKey>,
}

/// An interview in progress.
#[derive(Debug)]
pub struct Interview<'a> {
    rules: &'a RuleBase,
    start: Start,
    steps: Vec<Step>,
    /// Answers after the one that is being given anew.
    later: Vec<Step>,
    notes: Vec<String>,
    finished: bool,
    standing: Standing<'a>,
}

impl<'a> Interview<'a> {
    /// Begins.
    ///
    /// # Errors
    /// [`Refused`] when what is given at the start contradicts itself.
    pub fn new(rules: &'a RuleBase, start: Start) -> Result<Self, Refused> {
        let standing = stand(rules, &start, &[])?;
        Ok(Self {
            rules,
            start,
            steps: Vec::new(),
            later: Vec::new(),
            notes: Vec::new(),
            finished: false,
            standing,
        })
    }

    /// The rules.
    pub fn rules(&self) -> &'a RuleBase {
        self.rules
    }

    /// What was given at the start.
    pub fn start(&self) -> &Start {
        &self.start
    }

    /// Questions and answers so far.
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// Remarks in the caster's words.
    pub fn notes(&self) -> &[String] {
        &self.notes
    }

    /// Whether the caster has ended it.
    pub fn finished(&self) -> bool {
        self.finished
    }

    /// What is known now.
    pub fn standing(&self) -> &Standing<'a> {
        &self.standing
    }

    /// Takes an answer to an open question. Where an earlier question was answered anew, the answers after it stand
    /// again as far as they still make sense.
    ///
    /// # Errors
    /// [`Refused`] when the question is not open or the answer does not fit what was said before.
    pub fn answer(&mut self, question: QuestionKey, said: Said) -> Result<Kept, Refused> {
        if !self.standing.open().contains(&question) {
            return Err(Refused {
                message: format!("`{}` does not make sense now", self.rules.question(question).id),
                help: "`questions` lists those that do".to_owned(),
            });
        }
        self.fits(question, &said)?;
        self.push(Step { question, said })?;
        self.finished = false;
        let mut outcome = Kept::default();
        for step in std::mem::take(&mut self.later) {
            let key = step.question;
            let stands = self.standing.open().contains(&key)
                && self.fits(key, &step.said).is_ok()
                && self.push(step).is_ok();
            if stands { outcome.kept.push(key) } else { outcome.dropped.push(key) }
        }
        Ok(outcome)
    }

    fn push(&mut self, step: Step) -> Result<(), Refused> {
        self.steps.push(step);
        match stand(self.rules, &self.start, &self.steps) {
            Ok(standing) => {
                self.standing = standing;
                Ok(())
            }
            Err(refused) => {
                self.steps.pop();
                Err(refused)
            }
        }
    }

    /// Goes back to the question at `place` in [`Interview::steps`]: it is open again. False if there is none.
    pub fn back(&mut self, place: usize) -> bool {
        if place >= self.steps.len() {
            return false;
        }
        let mut after = self.steps.split_off(place);
        // Fewer answers never contradict each other where more did not.
        match stand(self.rules, &self.start, &self.steps) {
            Ok(standing) => self.standing = standing,
            Err(_) => {
                self.steps.append(&mut after);
                return false;
            }
        }
        after.remove(0);
        after.append(&mut self.later);
        self.later = after;
        self.finished = false;
        true
    }

    /// Adds a remark.
    pub fn note(&mut self, text: impl Into<String>) {
        self.notes.push(text.into());
    }

    /// Ends it; a further answer opens it again.
    pub fn finish(&mut self) {
        self.finished = true;
    }

    /// A figure must go with the other figures of the sheet.
    fn fits(&self, question: QuestionKey, said: &Said) -> Result<(), Refused> {
        let Reveals::Quantity(quantity) = self.rules.question(question).reveals else { return Ok(()) };
        let (Said::Figure(value), Some(field)) = (said, Field::find(self.rules.quantity(quantity).id)) else {
            return Ok(());
        };
        let mut sheet = self.standing.sheet().clone();
        sheet.set(field, *value);
        let read = read_sheet(
            self.rules,
            "answers",
            write_sheet(self.rules, &sheet, &[], &BTreeMap::new()).as_bytes(),
        );
        let wrong = read.problems.iter().find(|p| p.severity == Severity::Error);
        wrong.map_or(Ok(()), |p| {
            Err(Refused {
                message: p.message.clone(),
                help: p.help.clone().unwrap_or_else(|| "check the digits and the unit".to_owned()),
            })
        })
    }
}

/// What is known after some answers.
fn stand<'a>(rules: &'a RuleBase, start: &Start, steps: &[Step]) -> Result<Standing<'a>, Refused> {
    let mut sheet = start.sheet.clone();
    let mut findings = start.findings.clone();
    for step in steps {
        take(rules, step, &mut sheet, &mut findings);
    }
    sheet.take_implied(rules, findings.iter().filter(|o| o.is_present()).map(|o| o.finding));
    Standing::new(rules, start, steps, sheet, with_ruled_out(rules, findings))
}

/// What an answer adds. What is said later about a finding stands in place of what was said before.
fn take(rules: &RuleBase, step: &Step, sheet: &mut Sheet, findings: &mut Vec<Observation>) {
    match (&rules.question(step.question).reveals, &step.said) {
        (Reveals::Signs { answers, .. }, Said::Picked { answers: picked, sure }) => {
            let mut set = |sign, how| {
                let finding = Finding::Sign(sign);
                let observation = Observation { finding, how };
                match findings.iter_mut().find(|o| o.finding == finding) {
                    Some(held) => *held = observation,
                    None => findings.push(observation),
                }
            };
            for answer in picked.iter().filter_map(|at| answers.get(*at)) {
                let seen = if *sure { Sureness::Seen } else { Sureness::Probably };
                answer.present.iter().for_each(|s| set(*s, seen));
                if *sure {
                    answer.absent.iter().for_each(|s| set(*s, Sureness::Absent));
                }
            }
        }
        (Reveals::Quantity(quantity), Said::Figure(value)) => {
            if let Some(field) = Field::find(rules.quantity(*quantity).id) {
                sheet.set(field, *value);
            }
        }
        (Reveals::Fact(fact), Said::Value(value)) => {
            sheet.facts.insert(*fact, *value);
        }
        (Reveals::Alloy, Said::Alloy(name)) => sheet.name_alloy(rules, *name),
        // An answer of another kind than the question's says nothing.
        _ => {}
    }
}
