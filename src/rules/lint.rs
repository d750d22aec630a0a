//! What a rule author wants to know of a rule base that reads well: rules that can never matter, causes that cannot
//! be told apart, hazards without a caution.

use super::graph::{Edge, Rule, RuleGraph};
use super::keys::{CauseKey, DefectKey, FactKey, FamilyKey, QuestionKey, RemedyKey, SignKey};
use super::model::{Base, Change, Finding, Kind, Reveals, RuleBase};
use super::names::normal;
use crate::document::{Code, Diagnostic, Diagnostics, Span};
use std::collections::{BTreeSet, HashMap, HashSet};

/// Where each record stands, in the order of the rule base's lists.
#[derive(Debug, Clone, Default)]
pub struct Places {
    /// Causes.
    pub causes: Vec<Span>,
    /// Defects.
    pub defects: Vec<Span>,
    /// Signs.
    pub signs: Vec<Span>,
    /// Questions.
    pub questions: Vec<Span>,
    /// Remedies.
    pub remedies: Vec<Span>,
    /// Facts without the family.
    pub facts: Vec<Span>,
    /// Families.
    pub families: Vec<Span>,
    /// Alloys.
    pub alloys: Vec<Span>,
    /// Trade-offs.
    pub trade_offs: Vec<Span>,
    /// Sources.
    pub sources: Vec<Span>,
}

/// All lints over a base that was read without an error.
pub fn lint(rules: &RuleBase, places: &Places) -> Diagnostics {
    let graph = RuleGraph::new(rules);
    let mut linter = Linter { rules, places, graph: &graph, problems: Diagnostics::default() };
    linter.causes();
    linter.twins();
    linter.settings();
    linter.defects();
    linter.signs();
    linter.questions();
    linter.remedies();
    linter.spoken_names();
    linter.shares();
    linter.unused_sources();
    linter.doubled_shifts();
    linter.one_sided_look_alikes();
    linter.near_ids();
    let mut problems = linter.problems;
    problems.sort();
    problems
}

struct Linter<'a> {
    rules: &'a RuleBase,
    places: &'a Places,
    graph: &'a RuleGraph,
    problems: Diagnostics,
}

impl Linter<'_> {
    fn say(&mut self, code: Code, span: Option<&Span>, message: String, help: &str) {
        let Some(span) = span.cloned() else { return };
        self.problems.push(Diagnostic::warning(code, span, message).help(help));
    }

    fn causes(&mut self) {
        for key in self.rules.cause_keys() {
            let cause = self.rules.cause(key);
            let place = self.places.causes.get(key.index());
            let id = &cause.id;
            if cause.produces.is_empty() && cause.shows.is_empty() {
                let help = "say what it produces; without that no finding can speak for it";
                self.say(Code::Useless, place, format!("`{id}` produces nothing"), help);
            }
            if cause.sheet.is_empty() && cause.given.is_empty() && cause.shows.is_empty() {
                self.say(
                    Code::Useless,
                    place,
                    format!("no sign and no figure of the sheet tells `{id}` apart"),
                    "add `shows`, `sheet` or `given`: something that this cause alone changes",
                );
            }
            let cured = self
                .graph
                .into(Rule::Cause(key))
                .iter()
                .any(|(_, e)| matches!(e, Edge::Cures(s) if *s > 0.0));
            if !cured {
                self.say(
                    Code::Useless,
                    place,
                    format!("no remedy cures `{id}`"),
                    "add a remedy with it under `cures`",
                );
            }
        }
    }

    /// Causes with the same base, links and shifts: no evidence can ever tell them apart.
    fn twins(&mut self) {
        let mut seen: HashMap<String, CauseKey> = HashMap::new();
        for key in self.rules.cause_keys() {
            let c = self.rules.cause(key);
            let shape = format!("{:?} {:?} {:?} {:?} {:?}", c.produces, c.shows, c.sheet, c.given, c.setting);
            if let Some(first) = seen.insert(shape, key) {
                let message = format!("nothing tells `{}` from `{}`", c.id, self.rules.cause(first).id);
                let help = "give one of them a sign or a figure of its own, or make them one cause";
                self.say(Code::Useless, self.places.causes.get(key.index()), message, help);
            }
        }
    }

    fn settings(&mut self) {
        let mut by_setting: HashMap<&str, Vec<CauseKey>> = HashMap::new();
        for key in self.rules.cause_keys() {
            if let Some(setting) = &self.rules.cause(key).setting {
                by_setting.entry(setting).or_default().push(key);
            }
        }
        let mut lonely: Vec<(&str, CauseKey)> = by_setting
            .into_iter()
            .filter(|(_, keys)| keys.len() == 1)
            .map(|(s, keys)| (s, keys[0]))
            .collect();
        lonely.sort_unstable();
        for (setting, key) in lonely {
            self.say(
                Code::Useless,
                self.places.causes.get(key.index()),
                format!("the setting `{setting}` has one cause only"),
                "a setting joins causes that exclude each other; give it to both or to none",
            );
        }
    }

    fn defects(&mut self) {
        for key in self.rules.defect_keys() {
            let defect = self.rules.defect(key);
            let place = self.places.defects.get(key.index());
            if defect.shows.is_empty() {
                self.say(Code::Useless, place, format!("`{}` shows no sign", defect.id), "add `shows`");
            }
            let made = self.graph.into(Rule::Defect(key)).iter().any(|(_, e)| matches!(e, Edge::Produces(_)));
            if !made {
                let help = "add it under `produces` of a cause";
                self.say(Code::Useless, place, format!("no cause produces `{}`", defect.id), help);
            }
            if defect.look_alikes.iter().any(|a| a.defect == key) {
                let message = format!("`{}` is its own look-alike", defect.id);
                self.say(Code::Cycle, place, message, "list other defects only");
            }
        }
    }

    fn signs(&mut self) {
        for key in self.rules.sign_keys() {
            let id = &self.rules.sign(key).id;
            let place = self.places.signs.get(key.index());
            let into = self.graph.into(Rule::Sign(key));
            if !into.iter().any(|(_, e)| matches!(e, Edge::Shows(_))) {
                let help = "add it under `shows` of a defect or cause";
                self.say(Code::Useless, place, format!("nothing shows the sign `{id}`"), help);
            }
            if !into.iter().any(|(_, e)| matches!(e, Edge::Reveals)) {
                let help = "add it to an answer of a question";
                self.say(Code::Useless, place, format!("no question reveals the sign `{id}`"), help);
            }
        }
    }

    fn questions(&mut self) {
        let mut waiting: HashSet<QuestionKey> = HashSet::new();
        for circle in self.graph.question_circles() {
            let ids: Vec<&str> = circle.iter().map(|k| self.rules.question(*k).id.as_str()).collect();
            let chain = format!("{} -> {}", ids.join(" -> "), ids[0]);
            let Some(span) = self.places.questions.get(circle[0].index()).cloned() else { continue };
            let mut problem =
                Diagnostic::error(Code::Cycle, span, format!("these questions wait for each other: {chain}"))
                    .label("waits")
                    .help("take one `after` out");
            if let Some(other) = circle.get(1).and_then(|k| self.places.questions.get(k.index())) {
                problem = problem.also(other.clone(), "waits too");
            }
            self.problems.push(problem);
            waiting.extend(circle);
        }
        let reachable = self.reachable_questions();
        for key in self.rules.question_keys() {
            let question = self.rules.question(key);
            let place = self.places.questions.get(key.index());
            if !reachable.contains(&key) && !waiting.contains(&key) {
                self.say(
                    Code::Useless,
                    place,
                    format!("the question `{}` can never be asked", question.id),
                    "nothing that it needs can come into play, or a question before it cannot be asked",
                );
            }
            if let Reveals::Signs { answers, .. } = &question.reveals {
                if answers.len() < 2 {
                    let message = format!("the question `{}` has fewer than two answers", question.id);
                    self.say(Code::Useless, place, message, "add answers");
                }
                if answers.iter().any(|a| a.present.iter().any(|s| a.absent.contains(s))) {
                    let message = format!("an answer of `{}` both sets and rules out a sign", question.id);
                    self.say(Code::Contradiction, place, message, "keep it in one of the two lists");
                }
            }
        }
    }

    fn reachable_questions(&self) -> HashSet<QuestionKey> {
        let shown: HashSet<SignKey> = self
            .rules
            .sign_keys()
            .filter(|k| self.graph.into(Rule::Sign(*k)).iter().any(|(_, e)| matches!(e, Edge::Shows(_))))
            .collect();
        let mut reached: HashSet<QuestionKey> = HashSet::new();
        loop {
            let before = reached.len();
            for key in self.rules.question_keys() {
                let question = self.rules.question(key);
                let in_play = question.needs.is_empty()
                    || question.needs.iter().any(|n| match n {
                        Finding::Defect(_) => true,
                        Finding::Sign(s) => shown.contains(s),
                    });
                if in_play && question.after.iter().all(|q| reached.contains(q)) {
                    reached.insert(key);
                }
            }
            if reached.len() == before {
                return reached;
            }
        }
    }

    fn remedies(&mut self) {
        for key in self.rules.remedy_keys() {
            let remedy = self.rules.remedy(key);
            let place = self.places.remedies.get(key.index());
            if remedy.cures.is_empty() {
                self.say(Code::Useless, place, format!("`{}` cures nothing", remedy.id), "add `cures`");
            }
            if self.is_hazardous(key) && remedy.cautions.is_empty() {
                self.say(
                    Code::NoCaution,
                    place,
                    format!("`{}` touches heat, pressure, dust or metal and names no caution", remedy.id),
                    "add the ids of cautions.yaml under `cautions`",
                );
            }
            if let Some(step) = &remedy.moves {
                if matches!(step.change, Change::By(by) if by == 0.0) {
                    self.say(
                        Code::Useless,
                        place,
                        format!("`{}` moves by nothing", remedy.id),
                        "give the step a size",
                    );
                }
                self.step_in_range(key);
                if let (Some(least), Some(most)) = (step.least, step.most)
                    && least > most
                {
                    let message = format!("`{}` has its `least` above its `most`", remedy.id);
                    self.say(Code::Contradiction, place, message, "swap the two");
                }
            }
        }
    }

    /// A step longer than all that is usual, or to a figure that cannot be, is a slip of a digit or a unit.
    fn step_in_range(&mut self, key: RemedyKey) {
        let remedy = self.rules.remedy(key);
        let Some(step) = &remedy.moves else { return };
        let quantity = self.rules.quantity(step.quantity);
        let Some((low, high)) = quantity.possible else { return };
        let show = |v: f64| quantity.dimension.show(v);
        let ends = [step.least, step.most, if let Change::To(to) = step.change { Some(to) } else { None }];
        let outside: Vec<f64> = ends.into_iter().flatten().filter(|v| *v < low || *v > high).collect();
        for value in outside {
            let message = format!(
                "`{}` moves `{}` to {}, which cannot be: possible is {} to {}",
                remedy.id,
                quantity.id,
                show(value),
                show(low),
                show(high)
            );
            self.say(
                Code::OutOfRange,
                self.places.remedies.get(key.index()),
                message,
                "check the digits and the unit",
            );
        }
        if let Change::By(by) = step.change
            && by.abs() > high - low
        {
            let message = format!("`{}` steps further than `{}` can go", remedy.id, quantity.id);
            self.say(
                Code::OutOfRange,
                self.places.remedies.get(key.index()),
                message,
                "check the digits and the unit",
            );
        }
    }

    fn is_hazardous(&self, key: RemedyKey) -> bool {
        let remedy = self.rules.remedy(key);
        let field = remedy.moves.as_ref().map(|m| self.rules.quantity(m.quantity).id);
        let hot = |f: &str| {
            ["melt.", "flask.", "pour.", "cooling.", "mould.burnout", "mould.heating"]
                .iter()
                .any(|p| f.starts_with(p))
        };
        field.is_some_and(hot) || matches!(remedy.kind, Kind::Investment | Kind::Metal)
    }

    /// One phrase must mean one thing.
    fn spoken_names(&mut self) {
        let mut seen: HashMap<String, String> = HashMap::new();
        let defects = self.rules.defect_keys().map(|k: DefectKey| {
            let d = self.rules.defect(k);
            (d.id.clone(), d.title.clone(), d.synonyms.clone(), self.places.defects.get(k.index()).cloned())
        });
        let signs = self.rules.sign_keys().map(|k| {
            let s = self.rules.sign(k);
            (s.id.clone(), s.title.clone(), s.synonyms.clone(), self.places.signs.get(k.index()).cloned())
        });
        let all: Vec<_> = defects.chain(signs).collect();
        for (id, title, synonyms, place) in all {
            for phrase in std::iter::once(&title).chain(&synonyms) {
                let owner = seen.entry(normal(phrase)).or_insert_with(|| id.clone());
                if *owner != id {
                    let message = format!("`{phrase}` is a name of both `{owner}` and `{id}`");
                    self.say(Code::DuplicateId, place.as_ref(), message, "leave it to one of the two");
                }
            }
        }
    }

    fn shares(&mut self) {
        for key in self.rules.fact_keys() {
            let fact = self.rules.fact(key);
            let place = if key == FactKey::FAMILY {
                self.places.families.first()
            } else {
                self.places.facts.get(key.index() - 1)
            };
            let of = |family: Option<FamilyKey>| -> f64 {
                let share =
                    |base: &Base| family.and_then(|f| base.by_family.get(&f)).unwrap_or(&base.default).value;
                fact.values.iter().map(|v| share(&v.share)).sum()
            };
            // The shares of every family must be whole, and not only those of all casts together.
            let named: BTreeSet<FamilyKey> =
                fact.values.iter().flat_map(|v| v.share.by_family.keys().copied()).collect();
            let wrong = std::iter::once(None)
                .chain(named.into_iter().map(Some))
                .map(|family| (family, of(family)))
                .find(|(_, sum)| (sum - 1.0).abs() > 0.011);
            if let Some((family, sum)) = wrong.filter(|_| !fact.values.is_empty()) {
                let which =
                    family.map_or_else(String::new, |f| format!(" for `{}`", self.rules.family(f).id));
                let message = format!("the shares of `{}`{which} add up to {sum:.3}", fact.id);
                self.say(Code::OutOfRange, place, message, "make them add up to 1");
            }
        }
    }

    fn unused_sources(&mut self) {
        let used = super::basis::uses(self.rules);
        for key in self.rules.source_keys() {
            if !used.contains_key(&key) && !self.rules.source(key).physics {
                let message = format!("nothing rests on the source `{}`", self.rules.source(key).id);
                let place = self.places.sources.get(key.index());
                self.say(Code::Useless, place, message, "cite it where it speaks, or take it out");
            }
        }
    }

    /// Two lists of knots for one quantity multiply: one of them is a slip.
    fn doubled_shifts(&mut self) {
        for key in self.rules.cause_keys() {
            let cause = self.rules.cause(key);
            // Shifts that never hold together, such as one for each kind of mould, are no slip.
            let doubled: Vec<&str> = cause
                .sheet
                .iter()
                .enumerate()
                .filter(|(at, rule)| {
                    let before = cause.sheet.iter().take(*at);
                    before
                        .filter(|b| b.quantity == rule.quantity)
                        .any(|b| !b.condition.excludes(&rule.condition))
                })
                .map(|(_, r)| self.rules.quantity(r.quantity).id)
                .collect();
            for id in doubled {
                let message = format!("`{}` has two shifts by `{id}`, and their factors multiply", cause.id);
                let help = "make them one list of knots";
                self.say(Code::Contradiction, self.places.causes.get(key.index()), message, help);
            }
        }
    }

    /// Who is often taken for another must say so of the other as well, or the words on how to tell them apart reach
    /// only half of those who need them.
    fn one_sided_look_alikes(&mut self) {
        /// Rarer slips of the tongue need no second record.
        const OFTEN: f64 = 0.2;
        for key in self.rules.defect_keys() {
            let defect = self.rules.defect(key);
            for alike in &defect.look_alikes {
                let other = self.rules.defect(alike.defect);
                let back = other.look_alikes.iter().any(|a| a.defect == key);
                let shared = defect.shows.iter().filter(|l| other.shows.iter().any(|o| o.to == l.to)).count();
                if !back && shared == 0 && alike.defect != key && alike.called_so.value >= OFTEN {
                    let message = format!(
                        "`{}` is called `{}`, but the two share no sign and the other way round is not listed",
                        other.id, defect.id
                    );
                    let help = "add a sign that both show, list it the other way too, or take it out";
                    self.say(Code::Useless, self.places.defects.get(key.index()), message, help);
                }
            }
        }
    }

    /// Ids that differ by a letter are the same thing written twice.
    fn near_ids(&mut self) {
        let groups: [(Vec<&str>, &[Span]); 4] = [
            (self.rules.causes.iter().map(|r| r.id.as_str()).collect(), &self.places.causes),
            (self.rules.defects.iter().map(|r| r.id.as_str()).collect(), &self.places.defects),
            (self.rules.signs.iter().map(|r| r.id.as_str()).collect(), &self.places.signs),
            (self.rules.remedies.iter().map(|r| r.id.as_str()).collect(), &self.places.remedies),
        ];
        let mut found = Vec::new();
        for (ids, places) in groups {
            for (at, id) in ids.iter().enumerate() {
                let twin = ids[..at].iter().find(|o| are_twins(o, id));
                if let (Some(twin), Some(place)) = (twin, places.get(at)) {
                    found.push((place.clone(), format!("`{id}` and `{twin}` differ by hardly a letter")));
                }
            }
        }
        for (place, message) in found {
            self.say(Code::DuplicateId, Some(&place), message, "make them one, or name them further apart");
        }
    }
}

/// The same words in another order, or one letter more, less or other in a word that is long enough.
fn are_twins(a: &str, b: &str) -> bool {
    let sorted = |id: &str| {
        let mut words: Vec<String> = id.split('-').map(str::to_owned).collect();
        words.sort_unstable();
        words
    };
    let (wa, wb) = (sorted(a), sorted(b));
    if wa == wb {
        return true;
    }
    let one_off = strsim::damerau_levenshtein(a, b) == 1;
    // `-8` against `-9`, `hot` against `hop`: short words carry the meaning in every letter.
    let differing = wa.iter().zip(&wb).filter(|(x, y)| x != y).collect::<Vec<_>>();
    one_off && differing.iter().all(|(x, y)| x.len() > 4 && y.len() > 4)
}

#[cfg(test)]
mod tests {
    use super::are_twins;

    #[test]
    fn twins_are_slips_and_not_opposites() {
        assert!(are_twins("flask-too-hot", "too-hot-flask"));
        assert!(are_twins("revert-too-much", "reverts-too-much"));
        assert!(!are_twins("flask-too-hot", "flask-too-cold"));
        assert!(!are_twins("melt-too-hot", "melt-too-cold"));
        assert!(!are_twins("gold-8k-yellow", "gold-9k-yellow"));
    }
}
