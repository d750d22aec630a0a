//! Free words: from a caster's own line to findings.
//!
//! The method can be followed by hand. A text is cut into clauses at its marks and at words such as "but". In each
//! clause the names of the rules (titles, synonyms, ids) are looked for, word stem by word stem, words without meaning
//! left out; adjectives may stand inside a name, and at prepositions up to three other words ("holes *in my rings*
//! after polishing"). A name inside a longer one is not counted. A word that the rules never use is taken for a slip of
//! the nearest one. "No", "not", "without" and their kind deny what is named within three words behind them, and what
//! an "or" adds; where the reach of a "no" is unclear the finding is asked back and not counted. What is left over is
//! compared with all names by the words in common, rare words weighing more: such likeness is only asked back.

mod denial;
mod figures;
mod lexicon;
mod likeness;
mod matching;
mod speech;

use super::keys::{CauseKey, FactKey};
use super::model::{Finding, RuleBase};
use super::names::AlloyName;
pub use figures::Reading;

use denial::{Polarity, is_doubtful, polarities};
use lexicon::{Fault, Lexicon, Target};
use matching::{Line, Match, matches};
use speech::{is_denial, is_doubt, is_empty_word, is_talk};
use std::collections::BTreeMap;

/// How well the words support a finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Certainty {
    /// A name with other words inside, with a slip, or said with a doubt: to be counted softly.
    Likely,
    /// A name as the rules have it.
    Sure,
}

/// A finding that the words state.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stated {
    /// What.
    pub finding: Finding,
    /// The words say that it is not there.
    pub denied: bool,
    /// How well they support it.
    pub certainty: Certainty,
    /// The words, as written.
    pub words: String,
}

/// Why a finding is only asked back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doubt {
    /// Words in common with a name, but not the name.
    Alike,
    /// One word that means other things too.
    CommonWord,
    /// A short word that may be misspelt.
    Slip,
    /// A "no" stands near, and it is not clear whether it reaches so far.
    UnclearNo,
    /// The text says both that it is there and that it is not.
    BothWays,
    /// The text also states what cannot be there together with it.
    Excluded,
    /// It is about holes or cracks, and the text speaks of none.
    NoSuchFault,
}

impl Doubt {
    /// In words that follow a comma.
    pub fn words(self) -> &'static str {
        match self {
            Self::Alike => "only like it",
            Self::CommonWord => "a word with other meanings",
            Self::Slip => "perhaps misspelt",
            Self::UnclearNo => "the no may reach it or not",
            Self::BothWays => "said to be there and not to be",
            Self::Excluded => "cannot be with another one named",
            Self::NoSuchFault => "that is about a fault not named here",
        }
    }
}

/// A finding that may be meant. It is not to be counted before the caster has said so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Perhaps {
    /// What.
    pub finding: Finding,
    /// The words, as written.
    pub words: String,
    /// Why it is not counted.
    pub doubt: Doubt,
}

/// What was made of a line of free words.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Understood {
    /// What the words state, in their order, each finding once.
    pub stated: Vec<Stated>,
    /// What they may mean, best first.
    pub perhaps: Vec<Perhaps>,
    /// Alloys named, the general one left out beside the special; with the words.
    pub alloys: Vec<(AlloyName, String)>,
    /// Facts of the job: fact, place of the value, words. A fact said in two ways stands twice.
    pub facts: Vec<(FactKey, usize, String)>,
    /// Causes that the caster suspects. No evidence, since the causes are what is asked for.
    pub suspected: Vec<(CauseKey, String)>,
    /// Figures of the process sheet, each once.
    pub readings: Vec<Reading>,
    /// Other figures with a unit: of what they are is not clear.
    pub figures: Vec<String>,
    /// What meant nothing to the rules.
    pub not_understood: Vec<String>,
}

/// Understands free words. Build it once for many lines.
#[derive(Debug)]
pub struct Words<'r> {
    rules: &'r RuleBase,
    lexicon: Lexicon,
}

impl<'r> Words<'r> {
    /// Gathers the names from the rules.
    pub fn new(rules: &'r RuleBase) -> Self {
        Self { rules, lexicon: Lexicon::new(rules) }
    }

    /// What a line says. Any text will do; the same text always gives the same answer.
    pub fn understand(&self, text: &str) -> Understood {
        let line = Line::new(&self.lexicon, text);
        let mut hearing = Hearing {
            words: self,
            text,
            line: &line,
            covered: vec![false; line.tokens.len()],
            understood: Understood::default(),
            spoken: [Fault::Hole, Fault::Crack]
                .into_iter()
                .filter(|f| line.tokens.iter().any(|t| f.is_in(&t.stem)))
                .collect(),
        };
        let met: Vec<Vec<Match>> =
            line.clauses.iter().map(|clause| matches(&self.lexicon, &line, clause)).collect();
        hearing.state(&met);
        figures::take(&mut hearing);
        let mut understood = hearing.finish();
        self.settle(&mut understood);
        understood
    }

    /// Takes out what contradicts itself, and says everything once.
    fn settle(&self, understood: &mut Understood) {
        let mut by_finding: BTreeMap<Finding, (bool, bool)> = BTreeMap::new();
        for stated in &understood.stated {
            let said = by_finding.entry(stated.finding).or_default();
            if stated.denied { said.1 = true } else { said.0 = true }
        }
        let there = |sign| by_finding.get(&Finding::Sign(sign)).is_some_and(|said| said.0);
        let excluded = |finding: Finding| {
            let Finding::Sign(key) = finding else { return false };
            self.rules.sign(key).excludes.iter().any(|other| there(*other))
                || self
                    .rules
                    .sign_keys()
                    .any(|other| there(other) && self.rules.sign(other).excludes.contains(&key))
        };
        let doubts: BTreeMap<Finding, Doubt> = by_finding
            .iter()
            .filter_map(|(finding, said)| match said {
                (true, true) => Some((*finding, Doubt::BothWays)),
                (true, false) if excluded(*finding) => Some((*finding, Doubt::Excluded)),
                _ => None,
            })
            .collect();
        let mut kept: Vec<Stated> = Vec::new();
        for stated in std::mem::take(&mut understood.stated) {
            let doubt = doubts.get(&stated.finding).copied();
            if let Some(doubt) = doubt {
                understood.perhaps.push(Perhaps { finding: stated.finding, words: stated.words, doubt });
            } else if let Some(same) = kept.iter_mut().find(|s| s.finding == stated.finding) {
                if stated.certainty > same.certainty {
                    *same = stated;
                }
            } else {
                kept.push(stated);
            }
        }
        understood.stated = kept;
        let mut perhaps: Vec<Perhaps> = Vec::new();
        for one in std::mem::take(&mut understood.perhaps) {
            let known = understood.stated.iter().any(|s| s.finding == one.finding)
                || perhaps.iter().any(|p| p.finding == one.finding);
            if !known {
                perhaps.push(one);
            }
        }
        understood.perhaps = perhaps;
        understood.alloys = self.special_alloys(std::mem::take(&mut understood.alloys));
        let mut facts: Vec<(FactKey, usize, String)> = Vec::new();
        for fact in std::mem::take(&mut understood.facts) {
            if !facts.iter().any(|f| (f.0, f.1) == (fact.0, fact.1)) {
                facts.push(fact);
            }
        }
        understood.facts = facts;
        let mut suspected: Vec<(CauseKey, String)> = Vec::new();
        for cause in std::mem::take(&mut understood.suspected) {
            if !suspected.iter().any(|s| s.0 == cause.0) {
                suspected.push(cause);
            }
        }
        understood.suspected = suspected;
    }

    /// `silver` said beside `sterling` is the same alloy.
    fn special_alloys(&self, named: Vec<(AlloyName, String)>) -> Vec<(AlloyName, String)> {
        let family = |name: AlloyName| match name {
            AlloyName::Alloy(key) => Some(self.rules.alloy(key).family),
            AlloyName::Family(key) => Some(key),
            AlloyName::Metal(_) => None,
        };
        let metal = |name: AlloyName| match name {
            AlloyName::Metal(metal) => Some(metal),
            other => family(other).map(|f| self.rules.family(f).metal),
        };
        let holds = |general: AlloyName, special: AlloyName| match general {
            AlloyName::Alloy(_) => false,
            AlloyName::Family(_) => {
                matches!(special, AlloyName::Alloy(_)) && family(general) == family(special)
            }
            AlloyName::Metal(_) => {
                !matches!(special, AlloyName::Metal(_)) && metal(general) == metal(special)
            }
        };
        let mut kept: Vec<(AlloyName, String)> = Vec::new();
        for (name, words) in &named {
            let doubled = kept.iter().any(|(k, _)| k == name);
            if !doubled && !named.iter().any(|(other, _)| holds(*name, *other)) {
                kept.push((*name, words.clone()));
            }
        }
        kept
    }
}

/// One text being understood.
struct Hearing<'a, 'r> {
    words: &'a Words<'r>,
    text: &'a str,
    line: &'a Line,
    /// Words that belong to something understood.
    covered: Vec<bool>,
    understood: Understood,
    /// Faults that the text speaks of.
    spoken: Vec<Fault>,
}

impl Hearing<'_, '_> {
    /// From matches to what they state, clause by clause.
    fn state(&mut self, met: &[Vec<Match>]) {
        let mut runs_on = false;
        let mut taken = vec![false; self.line.tokens.len()];
        for (at, matches) in met.iter().enumerate() {
            let Some(range) = self.clause(at) else { continue };
            let phrases = &self.words.lexicon.phrases;
            for one in matches.iter().filter(|m| {
                phrases[m.phrase].denies && matches!(phrases[m.phrase].target, Target::Finding(_))
            }) {
                one.on.iter().for_each(|w| taken[*w] = true);
            }
            let (mut said, ends_denied) = polarities(self.line, range.clone(), matches, &taken);
            let list = runs_on && self.is_list_to_an_or(at, met);
            if list {
                said.iter_mut().for_each(|p| *p = Polarity::Denied);
            }
            runs_on = ends_denied || list;
            for (index, one) in matches.iter().enumerate() {
                one.on.iter().for_each(|w| self.covered[*w] = true);
                self.one(one, said[index], matches, range.clone());
            }
        }
    }

    /// The words of a clause.
    fn clause(&self, at: usize) -> Option<std::ops::Range<usize>> {
        let first = self.line.clause_starts.get(at).copied()?;
        let end = self.line.clause_starts.get(at + 1).copied().unwrap_or(self.line.tokens.len());
        Some(first..end)
    }

    /// True when from this clause on, commas part nothing but names, up to an "or": `no fins, bubbles or cracks`.
    fn is_list_to_an_or(&self, at: usize, met: &[Vec<Match>]) -> bool {
        const LONGEST_LIST: usize = 6;
        for (clause, matches) in met.iter().enumerate().skip(at).take(LONGEST_LIST) {
            let Some(range) = self.clause(clause) else { return false };
            let words = &self.line.tokens[range.clone()];
            let only_names = self.line.clauses[clause]
                .iter()
                .all(|w| is_talk(&self.line.tokens[*w].word) || matches.iter().any(|m| m.on.contains(w)));
            if !words.first().is_some_and(|t| t.listed) || !only_names || matches.is_empty() {
                return false;
            }
            if words.iter().any(|t| matches!(t.word.as_str(), "or" | "nor")) {
                return true;
            }
        }
        false
    }

    fn one(&mut self, one: &Match, said: Polarity, all: &[Match], range: std::ops::Range<usize>) {
        let phrase = &self.words.lexicon.phrases[one.phrase];
        let words = self.slice(one.first(), one.last());
        match phrase.target {
            Target::Finding(finding) => match self.doubt(one, said, all, finding) {
                Some(doubt) => self.understood.perhaps.push(Perhaps { finding, words, doubt }),
                None => {
                    let soft = one.gapped
                        || one.on.iter().any(|w| self.line.slips[*w])
                        || is_doubtful(self.line, range, one.first());
                    self.understood.stated.push(Stated {
                        finding,
                        denied: said == Polarity::Denied,
                        certainty: if soft { Certainty::Likely } else { Certainty::Sure },
                        words,
                    });
                }
            },
            _ if said != Polarity::There => {}
            Target::Cause(cause) if !phrase.common && !one.gapped => {
                self.understood.suspected.push((cause, words));
            }
            Target::Cause(_) => {}
            Target::Alloy(name) => {
                // Of two names that overlap the first, which is the longer one or starts earlier, holds.
                let overlaps = all.iter().any(|other| {
                    matches!(self.words.lexicon.phrases[other.phrase].target, Target::Alloy(_))
                        && (other.first(), other.phrase) < (one.first(), one.phrase)
                        && other.on.iter().any(|w| one.on.contains(w))
                });
                if !overlaps && !one.gapped {
                    self.understood.alloys.push((name, words));
                }
            }
            Target::Fact(fact, value) => {
                if !one.gapped {
                    self.understood.facts.push((fact, value, words));
                }
            }
        }
    }

    /// Why a name met is not taken at its word.
    fn doubt(&self, one: &Match, said: Polarity, all: &[Match], finding: Finding) -> Option<Doubt> {
        const SHORT: usize = 6;
        let lexicon = &self.words.lexicon;
        let phrase = &lexicon.phrases[one.phrase];
        let twin = matching::beginning_at(all, one.first()).iter().any(|other| {
            other.on == one.on
                && matches!(lexicon.phrases[other.phrase].target, Target::Finding(f) if f != finding)
        });
        let slip = phrase.stems.len() == 1
            && one.on.iter().any(|w| self.line.slips[*w] && self.written_letters(*w) < SHORT);
        if said == Polarity::Unclear {
            Some(Doubt::UnclearNo)
        } else if phrase.common || twin {
            Some(Doubt::CommonWord)
        } else if slip {
            Some(Doubt::Slip)
        } else if phrase.needs.is_some_and(|fault| !self.spoken.contains(&fault)) {
            Some(Doubt::NoSuchFault)
        } else {
            None
        }
    }

    /// How many letters a word has as it was written.
    fn written_letters(&self, at: usize) -> usize {
        self.slice(at, at).chars().count()
    }

    /// The text from one word to another, as written, white space made even.
    fn slice(&self, first: usize, last: usize) -> String {
        let (Some(from), Some(to)) = (self.line.tokens.get(first), self.line.tokens.get(last)) else {
            return String::new();
        };
        let words = self.text.get(from.start..to.end).unwrap_or_default();
        words.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// Likenesses, and what is left over.
    fn finish(mut self) -> Understood {
        let alike = likeness::alike(&self.words.lexicon, self.line, &self.covered, &self.understood);
        for one in alike {
            let words = self.slice(one.first, one.last);
            one.on.iter().for_each(|w| self.covered[*w] = true);
            self.understood.perhaps.push(Perhaps { finding: one.finding, words, doubt: Doubt::Alike });
        }
        for clause in 0..self.line.clauses.len() {
            let Some(range) = self.clause(clause) else { continue };
            let mut run: Option<(usize, usize)> = None;
            for at in range {
                let word = self.line.tokens[at].word.as_str();
                let strange = !is_empty_word(word) && !is_talk(word) && !is_denial(word) && !is_doubt(word);
                if self.covered[at] {
                    self.left_over(run.take());
                } else if strange {
                    run = Some((run.map_or(at, |(first, _)| first), at));
                }
            }
            self.left_over(run.take());
        }
        self.understood
    }

    fn left_over(&mut self, run: Option<(usize, usize)>) {
        if let Some((first, last)) = run {
            let words = self.slice(first, last);
            self.understood.not_understood.push(words);
        }
    }
}
