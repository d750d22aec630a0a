//! What was made of free words, on the screen and for programs.

use super::words::{perhaps_words, shown};
use crate::advice::findings::{id, lower_first, title};
use crate::advice::{Observation, Sureness};
use crate::cli::output::Out;
use crate::cli::style::{HEADING, paint};
use crate::rules::names::AlloyName;
use crate::rules::words::{Reading, Understood};
use crate::rules::{FactKey, Finding, RuleBase};
use crate::sheet::{Field, Sheet};
use serde::Serialize;

/// How many leftovers are listed.
const LEFTOVERS: usize = 8;

/// Where the words were said, which decides what can be done about those that were not taken.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(in crate::cli) enum Said {
    /// On the command line.
    Flags,
    /// In the interview, which asks back.
    Interview,
}

/// What was understood, and what of it was taken over.
pub(in crate::cli) struct Taken {
    understood: Understood,
    /// For every finding stated, in order, how it is counted.
    counted: Vec<Observation>,
    /// The alloy named was put on the sheet.
    alloy_used: bool,
    /// For every fact, in order, whether it was put on the sheet.
    facts_used: Vec<bool>,
    /// For every figure, in order, whether it was put on the sheet.
    readings_used: Vec<bool>,
}

impl Taken {
    /// Takes the alloy, the facts and the figures over where the sheet is silent and the words name just one.
    pub(in crate::cli) fn new(
        rules: &RuleBase,
        understood: Understood,
        observations: &[Observation],
        sheet: &mut Sheet,
    ) -> Self {
        let counted = understood
            .stated
            .iter()
            .filter_map(|s| observations.iter().find(|o| o.finding == s.finding).copied())
            .collect();
        let alloy_used = sheet.alloy.is_none() && understood.alloys.len() == 1;
        if let (true, Some((name, _))) = (alloy_used, understood.alloys.first()) {
            sheet.name_alloy(rules, *name);
        }
        let facts_used: Vec<bool> = understood
            .facts
            .iter()
            .map(|(fact, _, _)| {
                !sheet.facts.contains_key(fact)
                    && understood.facts.iter().filter(|f| f.0 == *fact).count() == 1
            })
            .collect();
        for ((fact, value, _), used) in understood.facts.iter().zip(&facts_used) {
            if *used {
                sheet.facts.insert(*fact, *value);
            }
        }
        let readings_used = understood
            .readings
            .iter()
            .map(|reading| match field(rules, reading).filter(|f| sheet.get(*f).is_none()) {
                Some(field) => {
                    sheet.set(field, reading.value);
                    true
                }
                None => false,
            })
            .collect();
        Self { understood, counted, alloy_used, facts_used, readings_used }
    }

    /// The alloy, if the words name it and it was not known.
    pub(in crate::cli) fn alloy(&self) -> Option<AlloyName> {
        self.understood.alloys.first().filter(|_| self.alloy_used).map(|(name, _)| *name)
    }

    /// The facts that the words give and that were not known.
    pub(in crate::cli) fn facts(&self) -> Vec<(FactKey, usize)> {
        let all = self.understood.facts.iter().zip(&self.facts_used);
        all.filter(|(_, used)| **used).map(|((fact, value, _), _)| (*fact, *value)).collect()
    }

    /// The figures that the words give and that were not known, as stored.
    pub(in crate::cli) fn figures(&self, rules: &RuleBase) -> Vec<(Field, f64)> {
        let used = self.understood.readings.iter().zip(&self.readings_used).filter(|(_, used)| **used);
        used.filter_map(|(reading, _)| Some((field(rules, reading)?, reading.value))).collect()
    }

    /// The block above the result.
    pub(in crate::cli) fn print(&self, rules: &RuleBase, said: Said, out: &mut Out) {
        let mut lines = Out::new();
        self.lines(rules, said, &mut lines);
        let lines = lines.into_text();
        // Words that are only asked back have nothing to list yet.
        if !lines.is_empty() {
            if said == Said::Interview {
                out.gap();
            }
            out.line(paint(HEADING, "Understood"));
            out.line(lines.trim_end_matches('\n'));
        }
    }

    fn lines(&self, rules: &RuleBase, said: Said, out: &mut Out) {
        const LEAD: &str = "     ";
        for (stated, observation) in self.understood.stated.iter().zip(&self.counted) {
            out.hang(LEAD, &format!("`{}`: {}", shown(&stated.words), read_as(rules, observation)));
        }
        for (name, words) in &self.understood.alloys {
            let called = alloy_title(rules, *name);
            let how = match (self.alloy_used, self.understood.alloys.len()) {
                (true, _) => "taken as the alloy",
                (false, 1) => "not taken: the alloy is named already",
                (false, _) if said == Said::Flags => {
                    "not taken: several alloys are named; say which with --alloy"
                }
                (false, _) => "not taken: several alloys are named; say which in a line of its own",
            };
            out.hang(LEAD, &format!("`{}`: {}, {how}", shown(words), lower_first(&called)));
        }
        for ((fact, value, words), used) in self.understood.facts.iter().zip(&self.facts_used) {
            let fact = rules.fact(*fact);
            let called = fact.values.get(*value).map_or("", |v| v.title.as_str());
            let how = if *used {
                "taken for this job"
            } else {
                "not taken: another value was given, in a sheet or in words"
            };
            out.hang(LEAD, &format!("`{}`: {} {called}, {how}", shown(words), about(&fact.title)));
        }
        for (reading, used) in self.understood.readings.iter().zip(&self.readings_used) {
            let quantity = rules.quantity(reading.quantity);
            let how = if *used { "taken for this job" } else { "not taken: the sheet gives it" };
            let value = quantity.dimension.show(reading.value);
            out.hang(LEAD, &format!("`{}`: {} {value}, {how}", shown(&reading.words), quantity.title));
        }
        for (cause, words) in &self.understood.suspected {
            let title = lower_first(&rules.cause(*cause).title);
            out.hang(
                LEAD,
                &format!("`{}`: a cause ({title}); weighed with the rest, not counted as seen", shown(words)),
            );
        }
        if said == Said::Flags {
            self.understood.perhaps.iter().for_each(|p| out.hang(LEAD, &perhaps_words(rules, p)));
        }
        if !self.understood.figures.is_empty() {
            let figures = quoted(&self.understood.figures);
            let way = match said {
                Said::Flags => "a process sheet (--sheet) takes it",
                Said::Interview => "`questions` lists what can be asked",
            };
            out.hang(LEAD, &format!("not clear of what, and not counted; {way}: {figures}"));
        }
        if !self.understood.not_understood.is_empty() {
            out.hang(LEAD, &format!("not understood: {}", quoted(&self.understood.not_understood)));
        }
    }

    /// The same for programs.
    pub(super) fn answer(&self, rules: &RuleBase) -> Answer {
        let u = &self.understood;
        Answer {
            stated: u
                .stated
                .iter()
                .zip(&self.counted)
                .map(|(s, o)| Stated {
                    id: id(rules, s.finding).to_owned(),
                    how: super::json::how(o.how),
                    words: s.words.clone(),
                })
                .collect(),
            perhaps: u
                .perhaps
                .iter()
                .map(|p| Maybe {
                    id: id(rules, p.finding).to_owned(),
                    kind: super::json::kind(p.finding),
                    words: p.words.clone(),
                    because: p.doubt.words(),
                })
                .collect(),
            alloys: u
                .alloys
                .iter()
                .map(|(name, words)| Named {
                    id: alloy_id(rules, *name),
                    words: words.clone(),
                    used: self.alloy_used,
                })
                .collect(),
            facts: u
                .facts
                .iter()
                .zip(&self.facts_used)
                .map(|((fact, value, words), used)| Known {
                    fact: rules.fact(*fact).id.clone(),
                    value: rules.fact(*fact).values.get(*value).map_or_else(String::new, |v| v.id.clone()),
                    words: words.clone(),
                    used: *used,
                })
                .collect(),
            suspected: u
                .suspected
                .iter()
                .map(|(cause, words)| Suspected { id: rules.cause(*cause).id.clone(), words: words.clone() })
                .collect(),
            readings: u
                .readings
                .iter()
                .zip(&self.readings_used)
                .map(|(reading, used)| Figure {
                    quantity: rules.quantity(reading.quantity).id,
                    value: reading.value,
                    unit: rules.quantity(reading.quantity).dimension.stored_unit(),
                    words: reading.words.clone(),
                    used: *used,
                })
                .collect(),
            figures: u.figures.clone(),
            not_understood: u.not_understood.clone(),
        }
    }
}

/// What words were taken for. The trade's name for a fault is the program's reading: the caster called it otherwise.
fn read_as(rules: &RuleBase, observation: &Observation) -> String {
    let name = lower_first(title(rules, observation.finding));
    match (observation.finding, observation.how) {
        (Finding::Defect(_), Sureness::Seen) => format!("read as {name}"),
        (Finding::Defect(_), Sureness::Probably) => format!("read as {name}, probably"),
        _ => observation.words(rules),
    }
}

/// The place on the sheet of a figure that was read.
fn field(rules: &RuleBase, reading: &Reading) -> Option<Field> {
    Field::find(rules.quantity(reading.quantity).id)
}

fn quoted(all: &[String]) -> String {
    let mut words: Vec<String> = all.iter().take(LEFTOVERS).map(|w| format!("`{}`", shown(w))).collect();
    if all.len() > LEFTOVERS {
        words.push(format!("and {} more", all.len() - LEFTOVERS));
    }
    words.join(", ")
}

/// A fact's title as a lead: `What melts the metal` becomes `what melts the metal:`.
fn about(title: &str) -> String {
    format!("{}:", lower_first(title))
}

fn alloy_title(rules: &RuleBase, name: AlloyName) -> String {
    match name {
        AlloyName::Alloy(key) => rules.alloy(key).title.clone(),
        AlloyName::Family(key) => rules.family(key).title.clone(),
        AlloyName::Metal(metal) => format!("{}, alloy not named", metal.word()),
    }
}

fn alloy_id(rules: &RuleBase, name: AlloyName) -> String {
    match name {
        AlloyName::Alloy(key) => rules.alloy(key).id.clone(),
        AlloyName::Family(key) => rules.family(key).id.clone(),
        AlloyName::Metal(metal) => metal.word().to_owned(),
    }
}

/// What was understood, for programs.
#[derive(Debug, Serialize)]
pub(super) struct Answer {
    stated: Vec<Stated>,
    perhaps: Vec<Maybe>,
    alloys: Vec<Named>,
    facts: Vec<Known>,
    suspected: Vec<Suspected>,
    readings: Vec<Figure>,
    figures: Vec<String>,
    not_understood: Vec<String>,
}

#[derive(Debug, Serialize)]
struct Stated {
    id: String,
    how: &'static str,
    words: String,
}

#[derive(Debug, Serialize)]
struct Maybe {
    id: String,
    kind: &'static str,
    words: String,
    because: &'static str,
}

#[derive(Debug, Serialize)]
struct Named {
    id: String,
    words: String,
    used: bool,
}

#[derive(Debug, Serialize)]
struct Known {
    fact: String,
    value: String,
    words: String,
    used: bool,
}

#[derive(Debug, Serialize)]
struct Suspected {
    id: String,
    words: String,
}

#[derive(Debug, Serialize)]
struct Figure {
    quantity: &'static str,
    value: f64,
    unit: &'static str,
    words: String,
    used: bool,
}
