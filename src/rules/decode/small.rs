//! Strengths, sources, facts, families, cautions.

use super::causes::base;
use super::common::Reader;
use crate::document::{Code, Diagnostic, Node};
use crate::rules::model::{Alarm, Caution, Fact, FactValue, Family, Metal, RuleBase, Source};

pub(super) fn strengths(r: &mut Reader<'_>, node: &Node, base: &mut RuleBase) {
    for entry in r.map(node, "set of strength words") {
        let Some(text) = r.scalar(entry.value) else { continue };
        match text.parse::<f64>() {
            Ok(value) if (0.0..=1.0).contains(&value) => base.strengths.push((entry.key.to_owned(), value)),
            _ => r.problems.push(
                Diagnostic::error(
                    Code::OutOfRange,
                    r.span(entry.value),
                    format!("`{text}` is no number from 0 to 1"),
                )
                .help("a strength word stands for a chance from 0 to 1"),
            ),
        }
    }
}

pub(super) fn source(r: &mut Reader<'_>, node: &Node) -> Option<Source> {
    let mut record = r.open(node, "source")?;
    let id = r.need(&mut record, "key");
    let title = r.need(&mut record, "title");
    let author = r.text(&mut record, "author");
    let year = r.text(&mut record, "year");
    let place = r.text(&mut record, "where").unwrap_or_default();
    let read = r.need(&mut record, "read");
    let physics = r.text(&mut record, "used-by").is_some_and(|t| t == "physics" || t == "casebook");
    record.finish(r.problems);
    Some(Source { id: id?, title: title?, author, year, place, read: read?, physics })
}

pub(super) fn fact(r: &mut Reader<'_>, node: &Node) -> Option<Fact> {
    let mut record = r.open(node, "fact")?;
    let id = r.need(&mut record, "id");
    let title = r.need(&mut record, "title");
    let values = record.need("values", r.problems);
    record.take("basis");
    record.finish(r.problems);
    let values = r.list(values?).iter().filter_map(|n| value(r, n)).collect();
    Some(Fact { id: id?, title: title?, values })
}

fn value(r: &mut Reader<'_>, node: &Node) -> Option<FactValue> {
    let mut record = r.open(node, "value")?;
    let id = r.need(&mut record, "id");
    let title = r.need(&mut record, "title");
    let share = record.need("share", r.problems).and_then(|n| base(r, n));
    let synonyms = r.texts(&mut record, "synonyms");
    record.finish(r.problems);
    Some(FactValue { id: id?, title: title?, share: share?, synonyms })
}

pub(super) fn family(r: &mut Reader<'_>, node: &Node) -> Option<Family> {
    let mut record = r.open(node, "alloy family")?;
    let id = r.need(&mut record, "id");
    let title = r.need(&mut record, "title");
    let metal = r.choice(&mut record, "metal", &Metal::WORDS);
    let share = r.strength_field(&mut record, "share", None);
    let synonyms = r.texts(&mut record, "synonyms");
    let basis = r.record_basis(&mut record);
    record.finish(r.problems);
    Some(Family { id: id?, title: title?, metal: metal?, share: share?.value, synonyms, basis: basis? })
}

pub(super) fn caution(r: &mut Reader<'_>, node: &Node) -> Option<Caution> {
    let mut record = r.open(node, "caution")?;
    let id = r.need(&mut record, "id");
    let operation = r.need(&mut record, "operation");
    let hazard = r.need(&mut record, "hazard");
    let advice = r.need(&mut record, "advice");
    let alarm = record.take("alarm").and_then(|n| alarm(r, n));
    let basis = r.record_basis(&mut record);
    record.finish(r.problems);
    Some(Caution { id: id?, operation: operation?, hazard: hazard?, advice: advice?, alarm, basis: basis? })
}

fn alarm(r: &mut Reader<'_>, node: &Node) -> Option<Alarm> {
    let mut record = r.open(node, "alarm")?;
    let signs = record.texts("signs", r.problems).into_iter().filter_map(|(t, s)| r.sign(t, s)).collect();
    let words = r.texts(&mut record, "words");
    let act = r.need(&mut record, "act");
    let basis = r.record_basis(&mut record);
    record.finish(r.problems);
    Some(Alarm { signs, words, act: act?, basis: basis? })
}
