//! The answers in their order.

use super::standing::Standing;
use crate::advice::findings::with_ruled_out;
use crate::advice::{Observation, Sureness};
use crate::document::Severity;
use crate::rules::names::AlloyName;
use crate::rules::words::Perhaps;
use crate::rules::{FactKey, Finding, QuestionKey, Reveals, RuleBase};
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

/// What was said in the caster's own words, with what was made of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// The words.
    pub words: String,
    /// What they say was seen, not seen and named.
    pub findings: Vec<Observation>,
    /// The alloy they name.
    pub alloy: Option<AlloyName>,
    /// Facts of the job, each with its value.
    pub facts: Vec<(FactKey, usize)>,
    /// Figures of the sheet, in their stored units.
    pub figures: Vec<(Field, f64)>,
    /// What they may mean besides and must be asked back, in this order.
    pub perhaps: Vec<Perhaps>,
}

/// One thing that can be gone back to.
#[derive(Debug, Clone, PartialEq)]
pub enum Turn {
    /// A question was answered.
    Answered(Step),
    /// Something was said without being asked.
    Told(Told),
}

impl Turn {
    /// The question with its answer, if it is one.
    pub fn step(&self) -> Option<&Step> {
        match self {
            Self::Answered(step) => Some(step),
            Self::Told(_) => None,
        }
    }

    /// What was told, if it is that.
    pub fn told(&self) -> Option<&Told> {
        match self {
            Self::Told(told) => Some(told),
            Self::Answered(_) => None,
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
    /// Words that do not go with the other answers any more.
    pub unsaid: Vec<String>,
}

/// An interview in progress.
#[derive(Debug)]
pub struct Interview<'a> {
    rules: &'a RuleBase,
    start: Start,
    steps: Vec<Step>,
    /// What was told, each with the number of answers before it.
    told: Vec<(usize, Told)>,
    /// What came after the answer that is being given anew.
    later: Vec<Turn>,
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
        let standing = stand(rules, &start, &[], &[])?;
        Ok(Self {
            rules,
            start,
            steps: Vec::new(),
            told: Vec::new(),
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

    /// Answers and what was told, in the order in which they were given.
    pub fn turns(&self) -> Vec<Turn> {
        let told_at = |at: usize| {
            self.told
                .iter()
                .filter(move |(before, _)| *before == at)
                .map(|(_, told)| Turn::Told(told.clone()))
        };
        let mut turns: Vec<Turn> = told_at(0).collect();
        for (at, step) in self.steps.iter().enumerate() {
            turns.push(Turn::Answered(step.clone()));
            turns.extend(told_at(at + 1));
        }
        turns
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

    /// What the caster's own words may mean and has to be asked back now: the first that is open.
    pub fn pending(&self) -> Option<&Perhaps> {
        self.told.iter().find_map(|(_, told)| told.perhaps.first())
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
        self.push(Turn::Answered(Step { question, said }))?;
        self.finished = false;
        Ok(self.again())
    }

    /// Takes what the caster said without being asked. What is said later about a finding stands in place of what was
    /// said before.
    ///
    /// # Errors
    /// [`Refused`] when it does not go with what was said before.
    pub fn tell(&mut self, told: Told) -> Result<Kept, Refused> {
        self.go_together(&told.figures)?;
        self.push(Turn::Told(told))?;
        self.finished = false;
        Ok(self.again())
    }

    /// Adds a finding to the words that may mean it, or else to those told last, once the caster has said that it was meant.
    ///
    /// # Errors
    /// [`Refused`] when nothing was told, or the finding does not go with what was said before.
    pub fn mean(&mut self, meant: Observation) -> Result<(), Refused> {
        let mut told = self.told.clone();
        if !add(&mut told, meant) {
            return Err(Refused {
                message: "nothing was said that this could belong to".to_owned(),
                help: "say what you see in your own words".to_owned(),
            });
        }
        self.standing = stand(self.rules, &self.start, &self.steps, &told)?;
        self.told = told;
        self.finished = false;
        Ok(())
    }

    /// Asks no more whether something was meant. False if that was not to be asked.
    pub fn leave_out(&mut self, finding: Finding) -> bool {
        let asked = self.told.iter_mut().map(|(_, told)| &mut told.perhaps);
        let waiting = asked.into_iter().find(|all| all.iter().any(|p| p.finding == finding));
        waiting.map(|all| all.retain(|p| p.finding != finding)).is_some()
    }

    fn push(&mut self, turn: Turn) -> Result<(), Refused> {
        let (steps, told) = (self.steps.len(), self.told.len());
        match turn {
            Turn::Answered(step) => self.steps.push(step),
            Turn::Told(told) => self.told.push((steps, told)),
        }
        let standing = stand(self.rules, &self.start, &self.steps, &self.told).inspect_err(|_| {
            self.steps.truncate(steps);
            self.told.truncate(told);
        })?;
        self.standing = standing;
        Ok(())
    }

    /// What would be known with one answer more.
    pub(super) fn known_after(&self, step: &Step) -> Known {
        let mut steps = self.steps.clone();
        steps.push(step.clone());
        known(self.rules, &self.start, &steps, &self.told)
    }

    /// What would be known if something was meant.
    pub(super) fn known_with(&self, meant: Observation) -> Known {
        let mut told = self.told.clone();
        add(&mut told, meant);
        known(self.rules, &self.start, &self.steps, &told)
    }

    /// Takes what came after an answer that was given anew, as far as it still makes sense.
    fn again(&mut self) -> Kept {
        let mut outcome = Kept::default();
        for turn in std::mem::take(&mut self.later) {
            match turn {
                Turn::Answered(step) => {
                    let key = step.question;
                    let stands = self.standing.open().contains(&key)
                        && self.fits(key, &step.said).is_ok()
                        && self.push(Turn::Answered(step)).is_ok();
                    if stands { outcome.kept.push(key) } else { outcome.dropped.push(key) }
                }
                Turn::Told(told) => {
                    let words = told.words.clone();
                    let fits = self.go_together(&told.figures).is_ok();
                    if !fits || self.push(Turn::Told(told)).is_err() {
                        outcome.unsaid.push(words);
                    }
                }
            }
        }
        outcome
    }

    /// Leaves only the first `count` turns, and gives those after them.
    fn rewind(&mut self, count: usize) -> Result<Vec<Turn>, Refused> {
        let mut turns = self.turns();
        let after = turns.split_off(count.min(turns.len()));
        let steps = turns.iter().filter_map(Turn::step).count();
        let (mut all, mut told) = (self.steps.clone(), self.told.clone());
        all.truncate(steps);
        told.truncate(turns.len() - steps);
        self.standing = stand(self.rules, &self.start, &all, &told)?;
        (self.steps, self.told) = (all, told);
        Ok(after)
    }

    /// Goes back to the question at `place` in [`Interview::steps`]: it is open again. False if there is none.
    pub fn back(&mut self, place: usize) -> bool {
        let turns = self.turns();
        let mut answers = turns.iter().enumerate().filter(|(_, t)| t.step().is_some());
        let Some((at, _)) = answers.nth(place) else { return false };
        // Fewer answers never contradict each other where more did not.
        let Ok(mut after) = self.rewind(at) else { return false };
        after.remove(0);
        after.append(&mut self.later);
        self.later = after;
        self.finished = false;
        true
    }

    /// Takes back what was told at `place` among the things told. The answers after it stand as far as they still make
    /// sense. `None` if there is none.
    pub fn untell(&mut self, place: usize) -> Option<Kept> {
        let turns = self.turns();
        let (at, _) = turns.iter().enumerate().filter(|(_, t)| t.told().is_some()).nth(place)?;
        let mut after = self.rewind(at).ok()?;
        after.remove(0);
        // What waits for an answer to be given anew goes on waiting.
        let waiting = std::mem::replace(&mut self.later, after);
        let kept = self.again();
        self.later = waiting;
        self.finished = false;
        Some(kept)
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
        self.go_together(&[(field, *value)])
    }

    fn go_together(&self, figures: &[(Field, f64)]) -> Result<(), Refused> {
        if figures.is_empty() {
            return Ok(());
        }
        let mut sheet = self.standing.sheet().clone();
        figures.iter().for_each(|(field, value)| sheet.set(*field, *value));
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

/// What is known of the job and of the fault.
pub(super) struct Known {
    pub(super) sheet: Sheet,
    pub(super) findings: Vec<Observation>,
}

/// What is known after some answers and what was told between them.
fn known(rules: &RuleBase, start: &Start, steps: &[Step], told: &[(usize, Told)]) -> Known {
    let mut sheet = start.sheet.clone();
    let mut findings = start.findings.clone();
    for at in 0..=steps.len() {
        for (_, told) in told.iter().filter(|(before, _)| *before == at) {
            hear(rules, told, &mut sheet, &mut findings);
        }
        if let Some(step) = steps.get(at) {
            take(rules, step, &mut sheet, &mut findings);
        }
    }
    sheet.take_implied(rules, findings.iter().filter(|o| o.is_present()).map(|o| o.finding));
    Known { sheet, findings: with_ruled_out(rules, findings) }
}

fn stand<'a>(
    rules: &'a RuleBase,
    start: &Start,
    steps: &[Step],
    told: &[(usize, Told)],
) -> Result<Standing<'a>, Refused> {
    let Known { sheet, findings } = known(rules, start, steps, told);
    Standing::new(rules, start, steps, sheet, findings)
}

/// Adds a finding to the words that may mean it, or else to those told last. False if nothing was told.
fn add(told: &mut [(usize, Told)], meant: Observation) -> bool {
    let asked = |(_, told): &(usize, Told)| told.perhaps.iter().any(|p| p.finding == meant.finding);
    let at = told.iter().position(asked).or(told.len().checked_sub(1));
    let Some((_, told)) = at.and_then(|at| told.get_mut(at)) else { return false };
    told.perhaps.retain(|p| p.finding != meant.finding);
    told.findings.retain(|o| o.finding != meant.finding);
    told.findings.push(meant);
    true
}

/// What is said later about a finding stands in place of what was said before.
fn note(findings: &mut Vec<Observation>, observation: Observation) {
    match findings.iter_mut().find(|o| o.finding == observation.finding) {
        Some(held) => *held = observation,
        None => findings.push(observation),
    }
}

/// What the caster's own words add.
fn hear(rules: &RuleBase, told: &Told, sheet: &mut Sheet, findings: &mut Vec<Observation>) {
    told.findings.iter().for_each(|o| note(findings, *o));
    if let Some(name) = told.alloy {
        sheet.name_alloy(rules, name);
    }
    sheet.facts.extend(told.facts.iter().copied());
    told.figures.iter().for_each(|(field, value)| sheet.set(*field, *value));
}

/// What an answer adds.
fn take(rules: &RuleBase, step: &Step, sheet: &mut Sheet, findings: &mut Vec<Observation>) {
    match (&rules.question(step.question).reveals, &step.said) {
        (Reveals::Signs { answers, .. }, Said::Picked { answers: picked, sure }) => {
            let mut set = |sign, how| note(findings, Observation { finding: Finding::Sign(sign), how });
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
