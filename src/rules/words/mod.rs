//! Free words: from a caster's own line to findings.
//!
//! The method can be followed by hand. A text is cut into clauses at its marks and at words such as "but". In each
//! clause the names of the rules (titles, synonyms, ids) are looked for, word stem by word stem, words without meaning
//! left out; adjectives may stand inside a name, and at prepositions up to three other words ("holes *in my rings*
//! after polishing"). In names of several words some words may stand for others ("kiln" for "oven", see `kin`); such a
//! name counts softly, and only where none is met word for word. A name inside a longer one is not counted. A word that the rules never use is taken for a slip of
//! the nearest one. "No", "not", "without" and their kind deny what is named within three words behind them, and what
//! an "or" adds, and "nope" behind "cracks?" denies them; where the reach of a "no" is unclear the finding is asked back and not counted. A fault that is said of
//! a tool, a mould or a wax ("melter broke", "cracks in the flask") is none of the piece. What is left over is compared
//! with all names by the words in common, rare words weighing more: such likeness is only asked back. Where a name has
//! several meanings of one kind, or nothing but likenesses of one kind are found, the kind itself is counted softly.

pub mod alarm;
mod denial;
mod figures;
mod kin;
mod kinds;
mod lexicon;
mod likeness;
mod matching;
mod speech;
mod subject;

use super::keys::{CauseKey, FactKey, SignKey};
use super::model::{Finding, RuleBase};
use super::names::AlloyName;
pub use figures::Reading;

use denial::{Polarity, is_doubtful, polarities};
use kinds::Kinds;
use lexicon::{Fault, Lexicon, Target};
use matching::{Line, Match, matches};
use speech::{is_denial, is_doubt, is_empty_word, is_passing, is_talk};
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
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Doubt {
    /// Words in common with a name, but not the name.
    Alike,
    /// One word that means other things too.
    CommonWord,
    /// A name that several things have.
    SharedName,
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
            Self::SharedName => "a name of more than one thing",
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

impl Understood {
    /// States softly what kind of fault words are about.
    fn state_kind(&mut self, kind: Finding, words: &str) {
        if !self.stated.iter().any(|s| s.finding == kind) {
            self.state_softly(kind, words.to_owned());
        }
    }

    fn state_softly(&mut self, finding: Finding, words: String) {
        self.stated.push(Stated { finding, denied: false, certainty: Certainty::Likely, words });
    }

    fn says_that_something_is_there(&self) -> bool {
        self.stated.iter().any(|s| !s.denied)
    }
}

/// Understands free words. Build it once for many lines.
#[derive(Debug)]
pub struct Words<'r> {
    rules: &'r RuleBase,
    lexicon: Lexicon,
    kinds: Kinds,
    /// Already there when the mould came off.
    as_cast: Option<Finding>,
}

impl<'r> Words<'r> {
    /// Gathers the names from the rules.
    pub fn new(rules: &'r RuleBase) -> Self {
        let kinds = Kinds::new(rules);
        let as_cast = rules.find_sign("open-at-devesting").map(Finding::Sign);
        Self { rules, lexicon: Lexicon::new(rules, &kinds), kinds, as_cast }
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
            not_the_piece: Vec::new(),
            praised: Vec::new(),
            heard: Vec::new(),
            spoken: Fault::ALL.into_iter().filter(|f| line.tokens.iter().any(|t| f.is_in(&t.stem))).collect(),
        };
        let met: Vec<Vec<Match>> =
            line.clauses.iter().map(|clause| matches(&self.lexicon, &line, clause)).collect();
        hearing.state(&met);
        hearing.state_everywhere();
        figures::take(&mut hearing);
        hearing.compare_alloys();
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
        let excluded = |finding: Finding| self.excluding(finding).any(there);
        let doubts: BTreeMap<Finding, Doubt> = by_finding
            .iter()
            .filter_map(|(finding, said)| match said {
                (true, true) => Some((*finding, Doubt::BothWays)),
                (true, false) if excluded(*finding) => Some((*finding, Doubt::Excluded)),
                _ => None,
            })
            .collect();
        let excluded: Vec<&Stated> =
            understood.stated.iter().filter(|s| doubts.get(&s.finding) == Some(&Doubt::Excluded)).collect();
        let kind = self.kinds.common(excluded.iter().map(|s| s.finding));
        let words = excluded.first().map(|s| s.words.clone());
        if let (Some(kind), Some(words)) = (kind.filter(|k| !doubts.contains_key(k)), words) {
            understood.state_kind(kind, &words);
        }
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

    /// Signs that cannot be there together with a finding.
    fn excluding(&self, finding: Finding) -> impl Iterator<Item = SignKey> + '_ {
        let key = match finding {
            Finding::Sign(key) => Some(key),
            Finding::Defect(_) => None,
        };
        self.rules.sign_keys().filter(move |other| {
            key.is_some_and(|key| {
                self.rules.sign(key).excludes.contains(other)
                    || self.rules.sign(*other).excludes.contains(&key)
            })
        })
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
    /// Stems of faults that were said of a tool, a mould or a wax.
    not_the_piece: Vec<String>,
    /// Alloys that are said to come out well.
    praised: Vec<(AlloyName, String)>,
    /// What was stated to be there, with the place of its last word.
    heard: Vec<(usize, Finding)>,
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
            if self.is_answered_no(at) {
                said.iter_mut().filter(|p| **p == Polarity::There).for_each(|p| *p = Polarity::Denied);
            }
            for (index, one) in matches.iter().enumerate() {
                if self.is_elsewhere(one, &range) {
                    continue;
                }
                one.on.iter().for_each(|w| self.covered[*w] = true);
                self.one(one, said[index], matches, range.clone());
            }
            self.as_the_last(at);
        }
    }

    /// The words of a clause.
    fn clause(&self, at: usize) -> Option<std::ops::Range<usize>> {
        let first = self.line.clause_starts.get(at).copied()?;
        let end = self.line.clause_starts.get(at + 1).copied().unwrap_or(self.line.tokens.len());
        Some(first..end)
    }

    /// `porosity? nope`: the clause behind is nothing but a "no".
    fn is_answered_no(&self, at: usize) -> bool {
        const LONGEST: usize = 4;
        let Some(answer) = self.clause(at + 1) else { return false };
        let words = || self.line.tokens[answer.clone()].iter().map(|t| t.word.as_str());
        let listed = self.line.tokens.get(answer.start).is_some_and(|t| t.listed);
        let asked = self.clause(at).is_some_and(|c| self.line.tokens[c].iter().any(|t| t.asked));
        let alone = answer.len() == 1;
        let few = self.line.clauses.get(at).is_some_and(|c| c.len() <= LONGEST);
        words().all(|w| is_denial(w) || is_empty_word(w) || matches!(w, "all" | "see" | "can"))
            && words().any(is_denial)
            && few
            && if listed { alone && !words().any(|w| w == "not") } else { asked || alone }
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

    /// True when a fault is said of a tool, a mould or a wax, or is a hole that was meant. Once "bubbles in the wax" were
    /// spoken of, "the bubbles" are those.
    fn is_elsewhere(&mut self, one: &Match, range: &std::ops::Range<usize>) -> bool {
        let phrase = &self.words.lexicon.phrases[one.phrase];
        let Target::Finding(finding) = phrase.target else { return false };
        let stems = one.on.iter().map(|w| self.line.tokens[*w].stem.clone());
        if phrase.stems.iter().any(|s| subject::is_tool(s)) {
            self.not_the_piece.extend(stems);
            let kinds = &self.words.kinds;
            return kinds.may_be_a_hole(finding) && subject::is_a_meant_hole(self.line, range, one);
        }
        if !self.words.kinds.is_of_the_piece(finding) {
            // "Old customer gold casts fine" is no complaint of the gold.
            return subject::is_praised(self.line, range, one.last());
        }
        // "Fine as cast", and then something happened.
        if Some(finding) == self.words.as_cast
            && subject::is_praised_before(self.line, range.start, one.first())
        {
            return true;
        }
        if subject::is_bending(self.line, range, one) || subject::is_of_mould(self.line, range, one) {
            return true;
        }
        let again = one.on.len() == 1
            && one.first() > range.start
            && matches!(self.line.tokens[one.first() - 1].word.as_str(), "the" | "these" | "those")
            && self.not_the_piece.contains(&self.line.tokens[one.first()].stem);
        let elsewhere = again
            || self.words.kinds.may_be_of_anything(finding)
                && subject::is_of_another_thing(self.line, range, one);
        if elsewhere {
            self.not_the_piece.extend(stems);
        }
        elsewhere
            || self.words.kinds.may_be_a_hole(finding) && subject::is_a_meant_hole(self.line, range, one)
    }

    /// `castings are spongy, button too`: what was said of the one is said of the other.
    fn as_the_last(&mut self, at: usize) {
        let (Some(range), Some(before)) = (self.clause(at), at.checked_sub(1).and_then(|b| self.clause(b)))
        else {
            return;
        };
        let words = &self.line.tokens[range.clone()];
        let denied = self.line.tokens[before.start..range.end].iter().any(|t| is_denial(&t.word));
        let said_too = words.iter().any(|t| matches!(t.word.as_str(), "too" | "also" | "likewise" | "same"));
        let things: Vec<usize> = range.clone().filter(|w| !is_passing(&self.line.tokens[*w].word)).collect();
        if denied || !said_too || things.is_empty() || things.len() > 2 {
            return;
        }
        for thing in things {
            for other in before.clone() {
                let pair = [self.line.tokens[thing].stem.as_str(), self.line.tokens[other].stem.as_str()];
                let lexicon = &self.words.lexicon;
                let named = lexicon
                    .by_sorted
                    .get(&lexicon.kin.key(pair.into_iter()))
                    .into_iter()
                    .flatten()
                    .map(|n| &lexicon.phrases[*n])
                    .find(|p| p.stems.iter().all(|stem| pair.contains(&stem.as_str())));
                let Some(Target::Finding(finding)) = named.map(|p| p.target) else { continue };
                self.covered[thing] = true;
                let words = self.slice(other, thing);
                self.understood.stated.push(Stated {
                    finding,
                    denied: false,
                    certainty: Certainty::Likely,
                    words,
                });
            }
        }
    }

    fn one(&mut self, one: &Match, said: Polarity, all: &[Match], range: std::ops::Range<usize>) {
        let phrase = &self.words.lexicon.phrases[one.phrase];
        let words = self.slice(one.first(), one.last());
        match phrase.target {
            Target::Finding(finding) => match self.doubt(one, said, all, finding) {
                Some(doubt) => {
                    // Several things have the name, and all are holes: then a hole it is.
                    let kind = self.words.kinds.common(self.sharing(one, all));
                    if let (Doubt::SharedName, Polarity::There, Some(kind)) = (doubt, said, kind) {
                        self.understood.state_kind(kind, &words);
                    }
                    self.understood.perhaps.push(Perhaps { finding, words, doubt });
                }
                None => {
                    let soft = one.gapped
                        || one.akin
                        || one.on.iter().any(|w| self.line.slips[*w])
                        || is_doubtful(self.line, range, one.first());
                    if said == Polarity::There {
                        self.heard.push((one.last(), finding));
                    }
                    self.understood.stated.push(Stated {
                        finding,
                        denied: said == Polarity::Denied,
                        certainty: if soft { Certainty::Likely } else { Certainty::Sure },
                        words,
                    });
                }
            },
            _ if said != Polarity::There => {}
            Target::Cause(cause)
                if !phrase.common && !one.gapped && !subject::is_praised(self.line, &range, one.last()) =>
            {
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
                if overlaps || one.gapped {
                } else if subject::is_praised(self.line, &range, one.last()) {
                    self.praised.push((name, words));
                } else {
                    self.understood.alloys.push((name, words));
                }
            }
            Target::Fact(fact, value) => {
                if !one.gapped && !subject::is_praised(self.line, &range, one.last()) {
                    self.understood.facts.push((fact, value, words));
                }
            }
        }
    }

    /// `pits, and they are everywhere`: what is everywhere is what was spoken of last.
    fn state_everywhere(&mut self) {
        let all_over = self.words.rules.find_sign("pores-many-small-all-over").map(Finding::Sign);
        let Some(all_over) = all_over else { return };
        let stated = |finding: Finding| self.understood.stated.iter().any(|s| s.finding == finding);
        let excluded = self.words.excluding(all_over).any(|s| stated(Finding::Sign(s)));
        let tokens = &self.line.tokens;
        let at = (0..tokens.len()).find(|at| {
            let word = tokens[*at].word.as_str();
            let ends = tokens.get(at + 2).is_none_or(|t| t.clause != tokens[*at].clause);
            let everywhere = word == "everywhere"
                || word == "every"
                    && tokens.get(at + 1).is_some_and(|t| t.word == "where" && t.start == tokens[*at].start);
            let over = word == "all" && ends && tokens.get(at + 1).is_some_and(|t| t.word == "over");
            !self.covered[*at]
                && (everywhere || over)
                && !at.checked_sub(1).is_some_and(|b| is_denial(&tokens[b].word))
        });
        let Some(at) = at.filter(|_| !excluded && !stated(all_over)) else { return };
        let of = self.heard.iter().filter(|(place, _)| *place < at).max_by_key(|(place, _)| *place);
        let Some((place, _)) = of.filter(|(_, finding)| self.words.kinds.is_a_hole(*finding)) else { return };
        let words = self.slice(*place, at);
        self.covered[at] = true;
        self.understood.state_softly(all_over, words);
    }

    /// `18k red is brittle, white and yellow are fine`: only one alloy has the fault.
    fn compare_alloys(&mut self) {
        let bad = &self.understood.alloys;
        let called = |words: &str| words.to_lowercase().replace("gold", "").trim().to_owned();
        let good = self.praised.iter().find(|(_, words)| bad.iter().all(|b| called(&b.1) != called(words)));
        let Some(only_one) = self.words.rules.find_sign("only-one-alloy").map(Finding::Sign) else { return };
        let said = self.understood.stated.iter().any(|s| s.finding == only_one);
        match good {
            Some((_, words)) if !bad.is_empty() && !said => self.understood.stated.push(Stated {
                finding: only_one,
                denied: false,
                certainty: Certainty::Likely,
                words: words.clone(),
            }),
            // Nothing else is named: the praise may be for a part of the work.
            _ if bad.is_empty() => self.understood.alloys.append(&mut self.praised),
            _ => {}
        }
    }

    /// Why a name met is not taken at its word.
    fn doubt(&self, one: &Match, said: Polarity, all: &[Match], finding: Finding) -> Option<Doubt> {
        const SHORT: usize = 6;
        let lexicon = &self.words.lexicon;
        let phrase = &lexicon.phrases[one.phrase];
        let shared = self.sharing(one, all).any(|f| f != finding);
        let slip = phrase.stems.len() == 1
            && one.on.iter().any(|w| self.line.slips[*w] && self.written_letters(*w) < SHORT);
        if said == Polarity::Unclear {
            Some(Doubt::UnclearNo)
        } else if phrase.common {
            Some(Doubt::CommonWord)
        } else if shared {
            Some(Doubt::SharedName)
        } else if slip {
            Some(Doubt::Slip)
        } else if phrase.needs.is_some_and(|fault| !self.spoken.contains(&fault)) {
            Some(Doubt::NoSuchFault)
        } else {
            None
        }
    }

    /// The findings that have the same words for their name.
    fn sharing<'a>(&'a self, one: &'a Match, all: &'a [Match]) -> impl Iterator<Item = Finding> + 'a {
        matching::beginning_at(all, one.first()).iter().filter(|other| other.on == one.on).filter_map(
            |other| match self.words.lexicon.phrases[other.phrase].target {
                Target::Finding(finding) => Some(finding),
                _ => None,
            },
        )
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
        self.kind_of_the_alike(&alike);
        for one in alike {
            let reverse = self.words.excluding(one.finding).any(|other| {
                self.understood.stated.iter().any(|s| s.finding == Finding::Sign(other) && !s.denied)
            });
            if reverse {
                continue;
            }
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

    /// Where nothing is stated, the kind that all likenesses share is, unless a "no" stands about.
    fn kind_of_the_alike(&mut self, alike: &[likeness::Alike]) {
        let denied = self.line.tokens.iter().any(|t| is_denial(&t.word));
        let asked = self.understood.perhaps.iter().any(|p| p.doubt != Doubt::SharedName);
        let (Some(first), false) =
            (alike.first(), denied || asked || self.understood.says_that_something_is_there())
        else {
            return;
        };
        if let Some(kind) = self.words.kinds.common(alike.iter().map(|a| a.finding)) {
            let words = self.slice(first.first, first.last);
            self.understood.state_kind(kind, &words);
        }
    }

    fn left_over(&mut self, run: Option<(usize, usize)>) {
        if let Some((first, last)) = run {
            let words = self.slice(first, last);
            self.understood.not_understood.push(words);
        }
    }
}
