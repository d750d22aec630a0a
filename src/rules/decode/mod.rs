//! Trees of nodes to records of the rule base: every id resolved, every number in range, every problem collected.

mod alloys;
mod causes;
mod common;
mod defects;
mod measured;
mod questions;
mod remedies;
mod small;

pub use alloys::composition;
pub use measured::{quantity, range, windows};

use super::lint::Places;
use super::model::{Fact, FactValue, Quantity, RuleBase};
use crate::document::{Code, Diagnostic, Diagnostics, Node, SourceId, Span, Value};
use common::{Ids, Reader};

/// What a file holds, from its path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Topic {
    Strengths,
    Sources,
    Facts,
    Families,
    Alloys,
    Causes,
    Defects,
    Signs,
    Questions,
    Remedies,
    Cautions,
    TradeOffs,
}

impl Topic {
    const PATHS: [(&'static str, Self); 12] = [
        ("strengths", Self::Strengths),
        ("sources", Self::Sources),
        ("facts", Self::Facts),
        ("families", Self::Families),
        ("alloys", Self::Alloys),
        ("causes", Self::Causes),
        ("defects", Self::Defects),
        ("signs", Self::Signs),
        ("questions", Self::Questions),
        ("remedies", Self::Remedies),
        ("cautions", Self::Cautions),
        ("trade-offs", Self::TradeOffs),
    ];

    /// `causes/flask-heat.yaml` and `causes.yaml` hold causes; `alloys/families.yaml` holds families.
    pub(super) fn of(path: &str) -> Option<Self> {
        let stem = path.strip_suffix(".yaml").or_else(|| path.strip_suffix(".yml"))?;
        if stem == "alloys/families" {
            return Some(Self::Families);
        }
        let first = stem.split('/').next().unwrap_or(stem);
        Self::PATHS.iter().find(|(word, _)| *word == first).map(|(_, topic)| *topic)
    }

    /// Where records of this kind stand in a rule folder.
    pub(super) fn path(self) -> &'static str {
        Self::PATHS.iter().find(|(_, topic)| *topic == self).map_or("", |(word, _)| word)
    }

    pub(super) fn names() -> String {
        Self::PATHS.iter().map(|(w, _)| *w).collect::<Vec<_>>().join(", ")
    }
}

/// One file, read.
#[derive(Debug)]
pub(super) struct File {
    pub(super) path: String,
    pub(super) topic: Topic,
    pub(super) source: SourceId,
    pub(super) tree: Node,
}

/// All files to one rule base. The base is whole only when no error was found. `lost` are the topics of files that
/// could not be read: ids of theirs that others name are not reported as unknown, for they may well be there.
pub(super) fn decode(
    files: &[File],
    lost: &[Topic],
    quantities: &[Quantity],
) -> (RuleBase, Diagnostics, Places) {
    let mut problems = Diagnostics::default();
    let mut base = RuleBase { quantities: quantities.to_vec(), ..RuleBase::default() };
    let mut ids = Ids::default();
    for topic in lost {
        ids.lose(*topic);
    }
    for file in files {
        ids.collect(file, &mut problems);
    }
    // Words and facts first: everything else speaks in them.
    for topic in [Topic::Strengths, Topic::Sources, Topic::Families, Topic::Facts] {
        each(
            files,
            topic,
            &mut problems,
            |reader, node| match topic {
                Topic::Strengths => small::strengths(reader, node, &mut base),
                Topic::Sources => base.sources.extend(small::source(reader, node)),
                Topic::Families => base.families.extend(small::family(reader, node)),
                _ => base.facts.extend(small::fact(reader, node)),
            },
            &ids,
            quantities,
            &[],
        );
    }
    base.facts.insert(0, family_fact(&base));
    ids.take_facts(&base);
    let words = base.strengths.clone();
    for topic in [
        Topic::Alloys,
        Topic::Cautions,
        Topic::Signs,
        Topic::Defects,
        Topic::Causes,
        Topic::Questions,
        Topic::Remedies,
        Topic::TradeOffs,
    ] {
        each(
            files,
            topic,
            &mut problems,
            |reader, node| match topic {
                Topic::Alloys => base.alloys.extend(alloys::alloy(reader, node)),
                Topic::Cautions => base.cautions.extend(small::caution(reader, node)),
                Topic::Signs => base.signs.extend(defects::sign(reader, node)),
                Topic::Defects => base.defects.extend(defects::defect(reader, node)),
                Topic::Causes => base.causes.extend(causes::cause(reader, node)),
                Topic::Questions => base.questions.extend(questions::question(reader, node)),
                Topic::Remedies => base.remedies.extend(remedies::remedy(reader, node)),
                _ => base.trade_offs.extend(remedies::trade_off(reader, node)),
            },
            &ids,
            quantities,
            &words,
        );
    }
    (base, problems, ids.places())
}

fn each(
    files: &[File],
    topic: Topic,
    problems: &mut Diagnostics,
    mut take: impl FnMut(&mut Reader<'_>, &Node),
    ids: &Ids,
    quantities: &[Quantity],
    words: &[(String, f64)],
) {
    for file in files.iter().filter(|f| f.topic == topic) {
        let group = file.path.trim_end_matches(".yaml").rsplit('/').next().unwrap_or("").to_owned();
        let mut reader = Reader { source: file.source, group, ids, quantities, words, problems };
        match (&file.tree.value, topic) {
            (Value::List(records), t) if t != Topic::Strengths => {
                for record in records {
                    take(&mut reader, record);
                }
            }
            (Value::Map(_), Topic::Strengths) => take(&mut reader, &file.tree),
            (Value::Empty, _) => {}
            (_, t) => {
                let (message, help) = if t == Topic::Strengths {
                    ("this file is a set of words with a number each", "write `often: 0.5`, one a line")
                } else {
                    ("a rule file is a list of records", "begin each record with `- id: ...`")
                };
                let span = Span { source: file.source, range: file.tree.range.clone() };
                reader.problems.push(Diagnostic::error(Code::WrongShape, span, message).help(help));
            }
        }
    }
}

fn family_fact(base: &RuleBase) -> Fact {
    Fact {
        id: "family".to_owned(),
        title: "alloy family".to_owned(),
        values: base
            .families
            .iter()
            .map(|f| FactValue {
                id: f.id.clone(),
                title: f.title.clone(),
                share: f.share,
                synonyms: f.synonyms.clone(),
            })
            .collect(),
    }
}
