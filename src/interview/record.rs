//! What a journal keeps of an interview: one record for each thing the caster did, in ids and words and not in places of
//! lists, so that rules may change between two sittings.

use super::state::{Interview, Kept, Refused, Said, Start, Step, Told, Turn};
use crate::advice::findings::id;
use crate::advice::{Observation, Sureness};
use crate::rules::names::{AlloyName, find_alloy};
use crate::rules::words::{Doubt, Perhaps};
use crate::rules::{FactKey, Finding, Question, Reveals, RuleBase};
use crate::sheet::{Field, read_sheet, write_sheet};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Number of the journal's form.
pub const SCHEMA: u32 = 1;

/// One thing the caster did.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "did", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Record {
    /// Began; always the first.
    Start {
        /// Form of the journal.
        schema: u32,
        /// The process sheet, as YAML.
        sheet: String,
        /// What was seen or named: id and how surely.
        findings: Vec<(String, How)>,
        /// Decides the draws.
        seed: u64,
        /// Whether figures are asked for.
        figures: bool,
    },
    /// Answered a question.
    Answer {
        /// Its id.
        question: String,
        /// What was said.
        said: SaidOf,
    },
    /// Said something in own words.
    Told {
        /// The words.
        words: String,
        /// What they were taken to say: id and how surely.
        findings: Vec<(String, How)>,
        /// The id of an alloy or a family, or the word of a metal.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        alloy: Option<String>,
        /// Facts of the job: id and the id of the value.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        facts: Vec<(String, String)>,
        /// Figures of the sheet: the field's id and the figure in its stored unit.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        figures: Vec<(String, f64)>,
        /// What they may mean besides, to be asked back.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        perhaps: Vec<PerhapsOf>,
    },
    /// Said, asked back, that this was meant by the words that may mean it.
    Meant {
        /// Id of the finding.
        finding: String,
        /// How surely.
        how: How,
    },
    /// Said, asked back, that this was not meant, or left it out.
    NotMeant {
        /// Id of the finding.
        finding: String,
    },
    /// Took back what was told.
    Unsaid {
        /// The words.
        words: String,
    },
    /// Went back to a question.
    Back {
        /// Its id.
        question: String,
    },
    /// Wrote a remark.
    Note {
        /// The remark.
        text: String,
    },
    /// Ended it.
    Finish,
}

/// What words may mean, as a journal writes it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PerhapsOf {
    /// Id of the finding.
    finding: String,
    /// The words.
    words: String,
    /// Why it is not clear.
    doubt: Doubt,
}

/// How surely a finding was given, as a journal writes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum How {
    /// Seen or named.
    Seen,
    /// Probably.
    Probably,
    /// Looked for and not there.
    Absent,
    /// Proved.
    Certain,
}

/// An answer as a journal writes it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum SaidOf {
    /// Answers of the question, in its words.
    Picked {
        /// The words.
        answers: Vec<String>,
        /// False for "probably".
        sure: bool,
    },
    /// A figure in the stored unit of its field.
    Figure(f64),
    /// The id of a fact's value.
    Value(String),
    /// The id of an alloy, a family or the word of a metal.
    Alloy(String),
    /// Nobody knows.
    Unknown,
    /// Not answered.
    Skipped,
}

/// A record that says nothing under the rules of today.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lost {
    /// Place among the records, from 0.
    pub at: usize,
    /// Why.
    pub why: String,
}

const HOW: [(How, Sureness); 4] = [
    (How::Seen, Sureness::Seen),
    (How::Probably, Sureness::Probably),
    (How::Absent, Sureness::Absent),
    (How::Certain, Sureness::Certain),
];

impl Record {
    /// The first record of a journal.
    pub fn start(rules: &RuleBase, start: &Start) -> Self {
        Self::Start {
            schema: SCHEMA,
            sheet: write_sheet(rules, &start.sheet, &[], &BTreeMap::new()),
            findings: start.findings.iter().map(|o| finding_of(rules, o)).collect(),
            seed: start.seed,
            figures: start.figures,
        }
    }

    /// An answer.
    pub fn answer(rules: &RuleBase, step: &Step) -> Self {
        let question = rules.question(step.question);
        Self::Answer { question: question.id.clone(), said: said_of(rules, question, &step.said) }
    }

    /// What was said in own words.
    pub fn told(rules: &RuleBase, told: &Told) -> Self {
        let value = |(fact, value): &(FactKey, usize)| {
            let fact = rules.fact(*fact);
            Some((fact.id.clone(), fact.values.get(*value)?.id.clone()))
        };
        Self::Told {
            words: told.words.clone(),
            findings: told.findings.iter().map(|o| finding_of(rules, o)).collect(),
            alloy: told.alloy.map(|name| alloy_of(rules, name)),
            facts: told.facts.iter().filter_map(value).collect(),
            figures: told.figures.iter().map(|(field, value)| (field.id().to_owned(), *value)).collect(),
            perhaps: told.perhaps.iter().map(|p| perhaps_of(rules, p)).collect(),
        }
    }

    /// What was not meant.
    pub fn not_meant(rules: &RuleBase, finding: Finding) -> Self {
        Self::NotMeant { finding: id(rules, finding).to_owned() }
    }

    /// What was meant.
    pub fn meant(rules: &RuleBase, observation: &Observation) -> Self {
        let (finding, how) = finding_of(rules, observation);
        Self::Meant { finding, how }
    }
}

fn finding_of(rules: &RuleBase, observation: &Observation) -> (String, How) {
    let how = HOW.iter().find(|(_, other)| *other == observation.how).map_or(How::Seen, |(how, _)| *how);
    (id(rules, observation.finding).to_owned(), how)
}

fn perhaps_of(rules: &RuleBase, perhaps: &Perhaps) -> PerhapsOf {
    let finding = id(rules, perhaps.finding).to_owned();
    PerhapsOf { finding, words: perhaps.words.clone(), doubt: perhaps.doubt }
}

fn perhaps(rules: &RuleBase, of: &PerhapsOf) -> Option<Perhaps> {
    Some(Perhaps { finding: finding(rules, &of.finding)?, words: of.words.clone(), doubt: of.doubt })
}

fn finding(rules: &RuleBase, id: &str) -> Option<Finding> {
    rules.find_defect(id).map(Finding::Defect).or(rules.find_sign(id).map(Finding::Sign))
}

fn observation(rules: &RuleBase, (id, how): (&str, How)) -> Option<Observation> {
    let finding = finding(rules, id)?;
    let how = HOW.iter().find(|(h, _)| *h == how).map_or(Sureness::Seen, |(_, s)| *s);
    Some(Observation { finding, how })
}

fn alloy_of(rules: &RuleBase, name: AlloyName) -> String {
    match name {
        AlloyName::Alloy(key) => rules.alloy(key).id.clone(),
        AlloyName::Family(key) => rules.family(key).id.clone(),
        AlloyName::Metal(metal) => metal.word().to_owned(),
    }
}

fn said_of(rules: &RuleBase, question: &Question, said: &Said) -> SaidOf {
    match (said, &question.reveals) {
        (Said::Picked { answers: picked, sure }, Reveals::Signs { answers, .. }) => {
            let words = picked.iter().filter_map(|at| answers.get(*at)).map(|a| a.say.clone());
            SaidOf::Picked { answers: words.collect(), sure: *sure }
        }
        (Said::Figure(value), _) => SaidOf::Figure(*value),
        (Said::Value(value), Reveals::Fact(fact)) => {
            let values = &rules.fact(*fact).values;
            SaidOf::Value(values.get(*value).map_or_else(String::new, |v| v.id.clone()))
        }
        (Said::Alloy(name), _) => SaidOf::Alloy(alloy_of(rules, *name)),
        (Said::Skipped, _) => SaidOf::Skipped,
        _ => SaidOf::Unknown,
    }
}

fn said(rules: &RuleBase, question: &Question, said: &SaidOf) -> Option<Said> {
    Some(match (said, &question.reveals) {
        (SaidOf::Picked { answers: words, sure }, Reveals::Signs { answers, .. }) => {
            let place = |w: &String| answers.iter().position(|a| a.say == *w);
            Said::Picked { answers: words.iter().map(place).collect::<Option<_>>()?, sure: *sure }
        }
        (SaidOf::Figure(value), Reveals::Quantity(_)) if value.is_finite() => Said::Figure(*value),
        (SaidOf::Value(value), Reveals::Fact(fact)) => {
            Said::Value(rules.fact(*fact).values.iter().position(|v| v.id == *value)?)
        }
        (SaidOf::Alloy(name), Reveals::Alloy) => Said::Alloy(find_alloy(rules, name)?),
        (SaidOf::Unknown, _) => Said::Unknown,
        (SaidOf::Skipped, _) => Said::Skipped,
        _ => return None,
    })
}

impl<'a> Interview<'a> {
    /// Plays a journal again. What has no meaning under the rules of today is left out and reported.
    ///
    /// # Errors
    /// [`Refused`] when the first record is no start, or a start that cannot be.
    pub fn replay(rules: &'a RuleBase, records: &[Record]) -> Result<(Self, Vec<Lost>), Refused> {
        let bad = |message: &str| Refused {
            message: message.to_owned(),
            help: "begin a new interview with `aftercast ask`".to_owned(),
        };
        let Some((Record::Start { schema, sheet, findings, seed, figures }, rest)) = records.split_first()
        else {
            return Err(bad("this is no session: it does not begin with a start"));
        };
        if *schema != SCHEMA {
            return Err(bad(&format!("this session has form {schema}; this program reads form {SCHEMA}")));
        }
        let mut lost = Vec::new();
        let read = read_sheet(rules, "session", sheet.as_bytes());
        if read.problems.errors() > 0 {
            lost.push(Lost { at: 0, why: "its process sheet cannot be read with these rules".to_owned() });
        }
        let mut seen = Vec::new();
        for (id, how) in findings {
            match observation(rules, (id, *how)) {
                Some(observation) => seen.push(observation),
                None => lost.push(Lost { at: 0, why: format!("the rules have no `{id}` any more") }),
            }
        }
        let start = Start { sheet: read.sheet, findings: seen, seed: *seed, figures: *figures };
        let mut interview = Self::new(rules, start)?;
        for (at, record) in rest.iter().enumerate() {
            if let Err(refused) = interview.apply(record) {
                lost.push(Lost { at: at + 1, why: refused.message });
            }
        }
        Ok((interview, lost))
    }

    /// Does what a record says.
    ///
    /// # Errors
    /// [`Refused`] when it does not fit; the interview stands as before.
    pub fn apply(&mut self, record: &Record) -> Result<Kept, Refused> {
        let rules = self.rules();
        let find = |id: &str| {
            rules.find_question(id).ok_or_else(|| Refused {
                message: format!("there is no question `{id}`"),
                help: "`questions` lists those that make sense now".to_owned(),
            })
        };
        match record {
            Record::Start { .. } => Err(Refused {
                message: "an interview begins only once".to_owned(),
                help: "begin a new interview with `aftercast ask`".to_owned(),
            }),
            Record::Answer { question, said: words } => {
                let key = find(question)?;
                let said = said(rules, rules.question(key), words).ok_or_else(|| Refused {
                    message: format!("the answer to `{question}` means nothing under these rules"),
                    help: "answer the question again".to_owned(),
                })?;
                self.answer(key, said)
            }
            Record::Told { words, findings, alloy, facts, figures, perhaps: open } => {
                let gone = |id: &str| Refused {
                    message: format!("the rules have no `{id}` any more"),
                    help: "say it again".to_owned(),
                };
                let findings =
                    findings.iter().map(|(id, how)| observation(rules, (id, *how)).ok_or(gone(id)));
                let alloy = alloy.as_ref().map(|id| find_alloy(rules, id).ok_or(gone(id)));
                let facts = facts.iter().map(|(id, value)| {
                    let key = rules.find_fact(id)?;
                    Some((key, rules.fact(key).values.iter().position(|v| v.id == *value)?))
                });
                let figures = figures.iter().filter(|(_, value)| value.is_finite());
                let told = Told {
                    words: words.clone(),
                    findings: findings.collect::<Result<_, _>>()?,
                    alloy: alloy.transpose()?,
                    facts: facts.collect::<Option<_>>().ok_or(gone(words))?,
                    figures: figures.filter_map(|(id, value)| Some((Field::find(id)?, *value))).collect(),
                    perhaps: open
                        .iter()
                        .map(|p| perhaps(rules, p).ok_or(gone(&p.finding)))
                        .collect::<Result<_, _>>()?,
                };
                self.tell(told)
            }
            Record::Meant { finding, how } => {
                let meant = observation(rules, (finding, *how)).ok_or_else(|| Refused {
                    message: format!("the rules have no `{finding}` any more"),
                    help: "say it again".to_owned(),
                })?;
                self.mean(meant).map(|()| Kept::default())
            }
            Record::NotMeant { finding: id } => match finding(rules, id) {
                Some(found) if self.leave_out(found) => Ok(Kept::default()),
                _ => Err(Refused {
                    message: format!("`{id}` was not asked back"),
                    help: "`so far` lists what was said".to_owned(),
                }),
            },
            Record::Unsaid { words } => {
                let turns = self.turns();
                let told: Vec<&Told> = turns.iter().filter_map(Turn::told).collect();
                let place = told.iter().rposition(|told| told.words == *words);
                place.and_then(|at| self.untell(at)).ok_or_else(|| Refused {
                    message: "these words were not said".to_owned(),
                    help: "`so far` lists what was".to_owned(),
                })
            }
            Record::Back { question } => {
                let key = find(question)?;
                let place = self.steps().iter().position(|s| s.question == key);
                match place.map(|at| self.back(at)) {
                    Some(true) => Ok(Kept::default()),
                    _ => Err(Refused {
                        message: format!("`{question}` was not asked"),
                        help: "`so far` lists what was".to_owned(),
                    }),
                }
            }
            Record::Note { text } => {
                self.note(text.clone());
                Ok(Kept::default())
            }
            Record::Finish => {
                self.finish();
                Ok(Kept::default())
            }
        }
    }
}
