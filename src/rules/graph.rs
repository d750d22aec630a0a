//! The rule graph: records as nodes, typed edges between them.

use super::keys::{CauseKey, DefectKey, QuestionKey, RemedyKey, SignKey};
use super::model::{Finding, Reveals, RuleBase};
use petgraph::Direction;
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::visit::EdgeRef;
use std::collections::HashMap;

/// A node of the rule graph.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Rule {
    /// A cause.
    Cause(CauseKey),
    /// A defect.
    Defect(DefectKey),
    /// A sign.
    Sign(SignKey),
    /// A question.
    Question(QuestionKey),
    /// A remedy.
    Remedy(RemedyKey),
}

impl Rule {
    /// Its id in a rule base.
    pub fn id(self, rules: &RuleBase) -> &str {
        match self {
            Self::Cause(k) => &rules.cause(k).id,
            Self::Defect(k) => &rules.defect(k).id,
            Self::Sign(k) => &rules.sign(k).id,
            Self::Question(k) => &rules.question(k).id,
            Self::Remedy(k) => &rules.remedy(k).id,
        }
    }
}

/// How one record leads to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Edge {
    /// A cause brings a defect, with this strength.
    Produces(f64),
    /// A cause or defect shows a sign.
    Shows(f64),
    /// A defect is called by another one's name.
    CalledSo(f64),
    /// A question reveals a sign.
    Reveals,
    /// A question waits for a finding.
    Needs,
    /// A question comes after another.
    After,
    /// A remedy cures a cause.
    Cures(f64),
    /// A remedy may bring a cause in.
    Spoils(f64),
}

/// The rule graph.
#[derive(Debug)]
pub struct RuleGraph {
    graph: DiGraph<Rule, Edge>,
    index: HashMap<Rule, NodeIndex>,
}

impl RuleGraph {
    /// Builds it from the rules.
    pub fn new(rules: &RuleBase) -> Self {
        let mut graph = DiGraph::new();
        let all = rules
            .cause_keys()
            .map(Rule::Cause)
            .chain(rules.defect_keys().map(Rule::Defect))
            .chain(rules.sign_keys().map(Rule::Sign))
            .chain(rules.question_keys().map(Rule::Question))
            .chain(rules.remedy_keys().map(Rule::Remedy));
        let index: HashMap<Rule, NodeIndex> = all.map(|rule| (rule, graph.add_node(rule))).collect();
        let mut found = Self { graph, index };
        found.link_causes_and_defects(rules);
        found.link_questions_and_remedies(rules);
        found
    }

    fn link(&mut self, from: Rule, to: Rule, edge: Edge) {
        if let (Some(a), Some(b)) = (self.index.get(&from), self.index.get(&to)) {
            self.graph.add_edge(*a, *b, edge);
        }
    }

    fn link_causes_and_defects(&mut self, rules: &RuleBase) {
        for key in rules.cause_keys() {
            let cause = rules.cause(key);
            for link in &cause.produces {
                self.link(Rule::Cause(key), Rule::Defect(link.to), Edge::Produces(link.strength.value));
            }
            for link in &cause.shows {
                self.link(Rule::Cause(key), Rule::Sign(link.to), Edge::Shows(link.strength.value));
            }
        }
        for key in rules.defect_keys() {
            let defect = rules.defect(key);
            for link in &defect.shows {
                self.link(Rule::Defect(key), Rule::Sign(link.to), Edge::Shows(link.strength.value));
            }
            for alike in &defect.look_alikes {
                self.link(
                    Rule::Defect(alike.defect),
                    Rule::Defect(key),
                    Edge::CalledSo(alike.called_so.value),
                );
            }
        }
    }

    fn link_questions_and_remedies(&mut self, rules: &RuleBase) {
        for key in rules.question_keys() {
            let question = rules.question(key);
            if let Reveals::Signs { answers, .. } = &question.reveals {
                let mut signs: Vec<SignKey> =
                    answers.iter().flat_map(|a| a.present.iter().chain(&a.absent)).copied().collect();
                signs.sort_unstable();
                signs.dedup();
                for sign in signs {
                    self.link(Rule::Question(key), Rule::Sign(sign), Edge::Reveals);
                }
            }
            for need in &question.needs {
                let to = match need {
                    Finding::Defect(d) => Rule::Defect(*d),
                    Finding::Sign(s) => Rule::Sign(*s),
                };
                self.link(Rule::Question(key), to, Edge::Needs);
            }
            for before in &question.after {
                self.link(Rule::Question(*before), Rule::Question(key), Edge::After);
            }
        }
        for key in rules.remedy_keys() {
            let remedy = rules.remedy(key);
            for link in &remedy.cures {
                self.link(Rule::Remedy(key), Rule::Cause(link.to), Edge::Cures(link.strength.value));
            }
            for link in &remedy.spoils {
                self.link(Rule::Remedy(key), Rule::Cause(link.to), Edge::Spoils(link.strength.value));
            }
        }
    }

    /// Where a record leads.
    pub fn out_of(&self, rule: Rule) -> Vec<(Rule, Edge)> {
        self.neighbours(rule, Direction::Outgoing)
    }

    /// What leads to a record.
    pub fn into(&self, rule: Rule) -> Vec<(Rule, Edge)> {
        self.neighbours(rule, Direction::Incoming)
    }

    fn neighbours(&self, rule: Rule, direction: Direction) -> Vec<(Rule, Edge)> {
        let Some(at) = self.index.get(&rule) else { return Vec::new() };
        let mut found: Vec<(Rule, Edge)> = self
            .graph
            .edges_directed(*at, direction)
            .map(|e| {
                let other = if direction == Direction::Outgoing { e.target() } else { e.source() };
                (self.graph[other], *e.weight())
            })
            .collect();
        // The graph hands edges out newest first; people expect the order of the file.
        found.reverse();
        found
    }

    /// Questions that wait for each other in a circle, one list a circle.
    pub fn question_circles(&self) -> Vec<Vec<QuestionKey>> {
        let only_after = self.graph.filter_map(
            |_, rule| match rule {
                Rule::Question(k) => Some(*k),
                _ => None,
            },
            |_, edge| matches!(edge, Edge::After).then_some(()),
        );
        petgraph::algo::tarjan_scc(&only_after)
            .into_iter()
            .filter(|c| c.len() > 1 || c.first().is_some_and(|n| only_after.contains_edge(*n, *n)))
            .map(|c| {
                let mut keys: Vec<QuestionKey> = c.into_iter().map(|n| only_after[n]).collect();
                keys.sort_unstable();
                keys
            })
            .collect()
    }
}
