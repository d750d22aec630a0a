//! Pieces that every kind of record is made of: ids, strengths, bases, conditions, links.

use super::{File, Topic, measured};
use crate::document::{
    Code, Diagnostic, Diagnostics, Entry, Node, Record, SourceId, Span, Value, entries, items, nearest,
    nearest_help, text_of,
};
use crate::rules::keys::{
    CauseKey, CautionKey, DefectKey, FactKey, FamilyKey, QuantityKey, QuestionKey, RemedyKey, SignKey,
    SourceKey,
};
use crate::rules::lint::Places;
use crate::rules::model::{Basis, Condition, Link, Quantity, RuleBase, Strength};
use crate::units::Dimension;
use std::borrow::Cow;
use std::collections::{HashMap, HashSet};

/// All ids, known before any record is read, so that records may stand in any order and file.
#[derive(Debug, Default)]
pub(super) struct Ids {
    by_kind: HashMap<Kind, Names>,
    /// Kinds of which some file could not be read.
    lost: HashSet<Kind>,
    values: Vec<(String, Vec<String>)>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Kind {
    Source,
    Family,
    Alloy,
    Cause,
    Defect,
    Sign,
    Question,
    Remedy,
    Caution,
    Fact,
    TradeOff,
}

#[derive(Debug, Default)]
struct Names {
    order: Vec<Cow<'static, str>>,
    spans: Vec<Span>,
    index: HashMap<Cow<'static, str>, usize>,
}

impl Kind {
    fn of(topic: Topic) -> Option<Self> {
        Some(match topic {
            Topic::Strengths => return None,
            Topic::Sources => Self::Source,
            Topic::Facts => Self::Fact,
            Topic::Families => Self::Family,
            Topic::Alloys => Self::Alloy,
            Topic::Causes => Self::Cause,
            Topic::Defects => Self::Defect,
            Topic::Signs => Self::Sign,
            Topic::Questions => Self::Question,
            Topic::Remedies => Self::Remedy,
            Topic::Cautions => Self::Caution,
            Topic::TradeOffs => Self::TradeOff,
        })
    }

    /// The word that is a file's or folder's name.
    fn place(self) -> &'static str {
        match self {
            Self::Source => Topic::Sources,
            Self::Fact => Topic::Facts,
            Self::Family => Topic::Families,
            Self::Alloy => Topic::Alloys,
            Self::Cause => Topic::Causes,
            Self::Defect => Topic::Defects,
            Self::Sign => Topic::Signs,
            Self::Question => Topic::Questions,
            Self::Remedy => Topic::Remedies,
            Self::Caution => Topic::Cautions,
            Self::TradeOff => Topic::TradeOffs,
        }
        .path()
    }
}

impl Ids {
    /// Notes that a file of this topic could not be read.
    pub(super) fn lose(&mut self, topic: Topic) {
        self.lost.extend(Kind::of(topic));
    }

    /// Notes the ids of one file and reports doubles and odd spellings.
    pub(super) fn collect(&mut self, file: &File, problems: &mut Diagnostics) {
        let Some(kind) = Kind::of(file.topic) else { return };
        let field = if kind == Kind::Source { "key" } else { "id" };
        if !matches!(file.tree.value, Value::List(_) | Value::Empty) {
            self.lose(file.topic);
        }
        let Value::List(records) = &file.tree.value else { return };
        for record in records {
            let Value::Map(pairs) = &record.value else { continue };
            let id = pairs.iter().find(|(k, _)| matches!(&k.value, Value::Scalar(s) if s == field));
            let Some((_, node)) = id else { continue };
            let Value::Scalar(text) = &node.value else { continue };
            let span = Span { source: file.source, range: node.range.clone() };
            if !kebab(text) {
                problems.push(
                    Diagnostic::error(Code::BadId, span.clone(), format!("`{text}` is not an id"))
                        .help("an id is small letters and digits joined by single dashes: `flask-too-hot`"),
                );
            }
            // What people type on the command line must mean one thing.
            let other = match kind {
                Kind::Defect => Some(Kind::Sign),
                Kind::Sign => Some(Kind::Defect),
                _ => None,
            };
            let first = [Some(kind), other].into_iter().flatten().find_map(|k| self.place_of(k, text));
            if let Some(first) = first {
                let help = if other.is_some() {
                    "ids of defects and signs share one list; rename one of the two"
                } else {
                    "rename one of the two, or take it out"
                };
                problems.push(
                    Diagnostic::error(Code::DuplicateId, span, format!("the id `{text}` is taken"))
                        .label("second record with this id")
                        .also(first, "first record")
                        .help(help),
                );
            }
            let names = self.by_kind.entry(kind).or_default();
            let at = names.order.len();
            names.order.push(text.clone());
            names.spans.push(Span { source: file.source, range: node.range.clone() });
            names.index.entry(text.clone()).or_insert(at);
        }
    }

    /// Takes over facts and their values once they are read.
    pub(super) fn take_facts(&mut self, base: &RuleBase) {
        self.values = base
            .facts
            .iter()
            .map(|f| (f.id.clone(), f.values.iter().map(|v| v.id.clone()).collect()))
            .collect();
    }

    /// Where each record stands.
    pub(super) fn places(&self) -> Places {
        let of = |kind| self.by_kind.get(&kind).map_or_else(Vec::new, |n| n.spans.clone());
        Places {
            causes: of(Kind::Cause),
            defects: of(Kind::Defect),
            signs: of(Kind::Sign),
            questions: of(Kind::Question),
            remedies: of(Kind::Remedy),
            facts: of(Kind::Fact),
            families: of(Kind::Family),
            alloys: of(Kind::Alloy),
            trade_offs: of(Kind::TradeOff),
            sources: of(Kind::Source),
        }
    }

    fn find(&self, kind: Kind, id: &str) -> Option<usize> {
        self.by_kind.get(&kind)?.index.get(id).copied()
    }

    /// What to write in place of an id that no record has.
    fn way_out(&self, kind: Kind, id: &str) -> String {
        let all = self.all(kind);
        if all.is_empty() {
            return format!(
                "this rule folder has no file `{}`; a folder of your own stands in place of all shipped rules",
                kind.place()
            );
        }
        nearest_help(id, all.iter().map(AsRef::as_ref))
            .unwrap_or_else(|| format!("what there is stands in `{}` of the rule folder", kind.place()))
    }

    fn place_of(&self, kind: Kind, id: &str) -> Option<Span> {
        let names = self.by_kind.get(&kind)?;
        names.spans.get(*names.index.get(id)?).cloned()
    }

    fn all(&self, kind: Kind) -> &[Cow<'static, str>] {
        self.by_kind.get(&kind).map_or(&[], |n| &n.order)
    }
}

fn kebab(text: &str) -> bool {
    !text.is_empty()
        && text.split('-').all(|part| {
            !part.is_empty() && part.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit())
        })
}

/// Reads the records of one file.
pub(super) struct Reader<'a> {
    pub(super) source: SourceId,
    pub(super) group: String,
    pub(super) ids: &'a Ids,
    pub(super) quantities: &'a [Quantity],
    pub(super) words: &'a [(String, f64)],
    pub(super) problems: &'a mut Diagnostics,
}

macro_rules! resolvers {
    ($($name:ident, $kind:ident, $key:ident, $what:literal;)*) => {$(
        /// The key of an id; reported with the nearest one when there is none.
        pub(super) fn $name(&mut self, id: &str, span: Span) -> Option<$key> {
            self.resolve(Kind::$kind, $what, id, span).map($key::new)
        }
    )*};
}

impl<'a> Reader<'a> {
    resolvers! {
        cause, Cause, CauseKey, "cause";
        defect, Defect, DefectKey, "defect";
        sign, Sign, SignKey, "sign";
        question_key, Question, QuestionKey, "question";
        remedy_key, Remedy, RemedyKey, "remedy";
        caution_key, Caution, CautionKey, "caution";
        family_key, Family, FamilyKey, "alloy family";
        source_key, Source, SourceKey, "source";
    }

    fn resolve(&mut self, kind: Kind, what: &str, id: &str, span: Span) -> Option<usize> {
        let found = self.ids.find(kind, id);
        if found.is_none() && !self.ids.lost.contains(&kind) {
            let mut problem = Diagnostic::error(Code::UnknownId, span, format!("there is no {what} `{id}`"));
            if !self.problems.is_flood() {
                problem.help = Some(self.ids.way_out(kind, id));
            }
            self.problems.push(problem);
        }
        found
    }

    pub(super) fn span(&self, node: &Node) -> Span {
        Span { source: self.source, range: node.range.clone() }
    }

    pub(super) fn open<'n>(&mut self, node: &'n Node, what: &'static str) -> Option<Record<'n>> {
        Record::open(self.source, node, what, self.problems)
    }

    pub(super) fn scalar<'n>(&mut self, node: &'n Node) -> Option<&'n str> {
        text_of(self.source, node, self.problems)
    }

    pub(super) fn list<'n>(&mut self, node: &'n Node) -> &'n [Node] {
        items(self.source, node, self.problems)
    }

    pub(super) fn map<'n>(&mut self, node: &'n Node, what: &'static str) -> Vec<Entry<'n>> {
        entries(self.source, node, what, self.problems).unwrap_or_default()
    }

    /// A needed text.
    pub(super) fn need(&mut self, record: &mut Record<'_>, field: &'static str) -> Option<String> {
        record.need_text(field, self.problems).map(fold)
    }

    /// A text that may be left out.
    pub(super) fn text(&mut self, record: &mut Record<'_>, field: &'static str) -> Option<String> {
        record.text(field, self.problems).map(fold)
    }

    /// A list of texts.
    pub(super) fn texts(&mut self, record: &mut Record<'_>, field: &'static str) -> Vec<String> {
        record.texts(field, self.problems).into_iter().map(|(t, _)| fold(t)).collect()
    }

    /// One word of a fixed list.
    pub(super) fn choice<T: Copy>(
        &mut self,
        record: &mut Record<'_>,
        field: &'static str,
        words: &[(&'static str, T)],
    ) -> Option<T> {
        let node = record.need(field, self.problems)?;
        let text = self.scalar(node)?;
        let found = words.iter().find(|(w, _)| *w == text).map(|(_, t)| *t);
        if found.is_none() {
            let allowed: Vec<&str> = words.iter().map(|(w, _)| *w).collect();
            self.problems.push(
                Diagnostic::error(
                    Code::BadChoice,
                    self.span(node),
                    format!("`{text}` is no value of `{field}`"),
                )
                .help(format!("allowed here: {}", allowed.join(", "))),
            );
        }
        found
    }

    /// A strength: a word of strengths.yaml or a number from 0 to 1.
    pub(super) fn strength(&mut self, node: &Node) -> Option<Strength> {
        let text = self.scalar(node)?;
        if let Some((word, value)) = self.words.iter().find(|(w, _)| w == text) {
            return Some(Strength { value: *value, word: Some(word.clone()) });
        }
        match text.parse::<f64>() {
            Ok(value) if (0.0..=1.0).contains(&value) => Some(Strength { value, word: None }),
            Ok(_) => {
                self.problems.push(
                    Diagnostic::error(
                        Code::OutOfRange,
                        self.span(node),
                        format!("the strength {text} is outside 0..1"),
                    )
                    .help("a strength is the chance, from 0 to 1, that the one alone brings the other"),
                );
                None
            }
            Err(_) => {
                let words = self.words.iter().map(|(w, _)| w.as_str());
                let mut problem =
                    Diagnostic::error(Code::BadChoice, self.span(node), format!("`{text}` is no strength"));
                problem.help = Some(match nearest(text, words.clone()) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => {
                        format!("a number from 0 to 1, or: {}", words.collect::<Vec<_>>().join(", "))
                    }
                });
                self.problems.push(problem);
                None
            }
        }
    }

    /// A needed strength field, or the default when left out.
    pub(super) fn strength_field(
        &mut self,
        record: &mut Record<'_>,
        field: &'static str,
        default: Option<f64>,
    ) -> Option<Strength> {
        match (record.take(field), default) {
            (Some(node), _) => self.strength(node),
            (None, Some(value)) => Some(Strength { value, word: None }),
            (None, None) => {
                record.need(field, self.problems);
                None
            }
        }
    }

    /// A factor on the odds: finite, not negative.
    pub(super) fn factor(&mut self, node: &Node) -> Option<f64> {
        let text = self.scalar(node)?;
        match text.parse::<f64>() {
            Ok(value) if value.is_finite() && value >= 0.0 => Some(value),
            _ => {
                self.problems.push(
                    Diagnostic::error(Code::OutOfRange, self.span(node), format!("`{text}` is no factor"))
                        .help(
                            "a factor on the odds is 0 (cannot be) or a number above it; 1 changes nothing",
                        ),
                );
                None
            }
        }
    }

    /// A quantity with its unit.
    pub(super) fn quantity(&mut self, node: &Node, dimension: Dimension) -> Option<f64> {
        measured::quantity(self.source, node, dimension, self.problems)
    }

    /// A quantity field that may be left out.
    pub(super) fn quantity_field(
        &mut self,
        record: &mut Record<'_>,
        field: &'static str,
        dimension: Dimension,
    ) -> Option<f64> {
        let node = record.take(field)?;
        self.quantity(node, dimension)
    }

    /// A quantity of the catalogue.
    pub(super) fn quantity_key(&mut self, node: &Node) -> Option<QuantityKey> {
        let text = self.scalar(node)?;
        let found = self.quantities.iter().position(|q| q.id == text);
        if found.is_none() {
            let mut problem =
                Diagnostic::error(Code::UnknownId, self.span(node), format!("there is no quantity `{text}`"));
            problem.help =
                Some(nearest_help(text, self.quantities.iter().map(|q| q.id)).unwrap_or_else(|| {
                    "write a field of the process sheet, such as `flask.temperature`, or a computed figure"
                        .to_owned()
                }));
            self.problems.push(problem);
        }
        found.map(QuantityKey::new)
    }

    /// The dimension of a quantity of the catalogue.
    pub(super) fn dimension(&self, key: QuantityKey) -> Dimension {
        self.quantities[key.index()].dimension
    }

    /// A fact by its id, without a report.
    pub(super) fn find_fact(&self, id: &str) -> Option<FactKey> {
        self.ids.values.iter().position(|(f, _)| f == id).map(FactKey::new)
    }

    /// A fact by its id.
    pub(super) fn fact(&mut self, id: &str, span: Span) -> Option<FactKey> {
        let found = self.find_fact(id);
        if found.is_none() {
            let mut problem = Diagnostic::error(Code::UnknownId, span, format!("there is no fact `{id}`"));
            let known = self.ids.values.iter().map(|(f, _)| f.as_str());
            problem.help = Some(
                nearest_help(id, known)
                    .unwrap_or_else(|| "`facts.yaml` lists the facts; `family` is one too".to_owned()),
            );
            self.problems.push(problem);
        }
        found
    }

    /// A value of a fact.
    pub(super) fn fact_value(&mut self, fact: FactKey, node: &Node) -> Option<usize> {
        let text = self.scalar(node)?;
        let span = self.span(node);
        self.fact_value_named(fact, text, span)
    }

    /// A value of a fact, by its id.
    pub(super) fn fact_value_named(&mut self, fact: FactKey, text: &str, span: Span) -> Option<usize> {
        let (id, values) = &self.ids.values[fact.index()];
        let found = values.iter().position(|v| v == text);
        if found.is_none() {
            let mut problem =
                Diagnostic::error(Code::UnknownId, span, format!("`{text}` is no value of `{id}`"));
            problem.help = nearest_help(text, values.iter().map(String::as_str))
                .or_else(|| Some(format!("allowed here: {}", values.join(", "))));
            self.problems.push(problem);
        }
        found
    }

    /// Facts and values: `{family: [ag, pt], binder: [gypsum]}`.
    fn facts(&mut self, node: &Node) -> Vec<(FactKey, Vec<usize>)> {
        let mut found = Vec::new();
        for entry in self.map(node, "condition") {
            let span = self.span(entry.key_node);
            let Some(fact) = self.fact(entry.key, span) else { continue };
            let values: Vec<usize> = match &entry.value.value {
                Value::Scalar(_) => self.fact_value(fact, entry.value).into_iter().collect(),
                _ => self.list(entry.value).iter().filter_map(|n| self.fact_value(fact, n)).collect(),
            };
            found.push((fact, values));
        }
        found
    }

    /// The facts that follow from a record: `implies: {stones: in-place}`.
    pub(super) fn implies(&mut self, record: &mut Record<'_>) -> Vec<(FactKey, usize)> {
        let facts = record.take("implies").map(|n| self.facts(n)).unwrap_or_default();
        facts.into_iter().filter_map(|(fact, values)| Some((fact, *values.first()?))).collect()
    }

    /// The `only` and `unless` of a record.
    pub(super) fn condition(&mut self, record: &mut Record<'_>) -> Condition {
        let only = record.take("only").map(|n| self.facts(n)).unwrap_or_default();
        let unless = record.take("unless").map(|n| self.facts(n)).unwrap_or_default();
        Condition { only, unless }
    }

    /// A basis, as written in a field.
    pub(super) fn basis(&mut self, node: &Node) -> Option<Basis> {
        if let Value::Scalar(text) = &node.value {
            return match text.trim() {
                "common practice" => Some(Basis::CommonPractice),
                "memory" => Some(Basis::Memory),
                other => {
                    self.problems.push(
                        Diagnostic::error(Code::BadChoice, self.span(node), format!("`{other}` is no basis")).help(
                            "write `common practice`, `memory`, or `{source: KEY, at: \"place in the source\"}`",
                        ),
                    );
                    None
                }
            };
        }
        let mut record = self.open(node, "basis")?;
        let key = record.need("source", self.problems).and_then(|n| {
            let text = self.scalar(n)?;
            let span = self.span(n);
            self.source_key(text, span)
        });
        let at = self.need(&mut record, "at");
        record.finish(self.problems);
        Some(Basis::Published { source: key?, at: at? })
    }

    /// The basis of a record: must be there.
    pub(super) fn record_basis(&mut self, record: &mut Record<'_>) -> Option<Basis> {
        match record.take("basis") {
            Some(node) => self.basis(node),
            None => {
                self.problems.push(
                    Diagnostic::error(Code::NoBasis, record.head(), "this record has no `basis`").help(
                        "add `basis: common practice`, `basis: memory`, or `basis: {source: KEY, at: ...}`",
                    ),
                );
                None
            }
        }
    }

    /// Links, short (`misrun: often`) or long (`misrun: {strength: often, only: ...}`).
    pub(super) fn links<T: Copy>(
        &mut self,
        record: &mut Record<'_>,
        field: &'static str,
        basis: Option<&Basis>,
        mut target: impl FnMut(&mut Self, &str, Span) -> Option<T>,
    ) -> Vec<Link<T>> {
        let Some(node) = record.take(field) else { return Vec::new() };
        let mut links = Vec::new();
        for entry in self.map(node, "set of links") {
            let span = self.span(entry.key_node);
            let Some(to) = target(self, entry.key, span) else { continue };
            // A list holds the same link under different conditions.
            let written = match &entry.value.value {
                Value::List(variants) => variants.as_slice(),
                _ => std::slice::from_ref(entry.value),
            };
            for value in written {
                let link = match &value.value {
                    Value::Map(_) => self.long_link(value, basis),
                    _ => self.strength(value).map(|s| (s, Condition::default(), basis.cloned())),
                };
                if let Some((strength, condition, Some(basis))) = link {
                    links.push(Link { to, strength, condition, basis });
                }
            }
        }
        links
    }

    fn long_link(
        &mut self,
        node: &Node,
        basis: Option<&Basis>,
    ) -> Option<(Strength, Condition, Option<Basis>)> {
        let mut record = self.open(node, "link")?;
        let strength = self.strength_field(&mut record, "strength", None);
        let condition = self.condition(&mut record);
        let own = record.take("basis").and_then(|n| self.basis(n));
        record.finish(self.problems);
        Some((strength?, condition, own.or_else(|| basis.cloned())))
    }
}

/// One line of running text, whatever the file's line breaks.
fn fold(text: &str) -> String {
    let bytes = text.as_bytes();
    let wide =
        bytes.windows(2).any(|two| two == b"  ") || bytes.first() == Some(&b' ') || bytes.ends_with(b" ");
    if !wide && !text.contains(|c: char| c != ' ' && c.is_whitespace()) {
        return text.to_owned();
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

impl Reader<'_> {
    /// True when a defect has this id.
    pub(super) fn is_defect(&self, id: &str) -> bool {
        self.ids.find(Kind::Defect, id).is_some()
    }

    /// True for a quantity that is written on the sheet.
    pub(super) fn is_recorded(&self, key: QuantityKey) -> bool {
        self.quantities[key.index()].recorded
    }
}
