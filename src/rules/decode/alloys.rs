//! Alloys: composition, melting range, windows by section.

use super::common::Reader;
use super::measured::{range, windows};
use crate::document::{Code, Diagnostic, Diagnostics, Node, Record, SourceId, Span, entries, text_of};
use crate::physics::{Composition, CompositionError, Element};
use crate::rules::keys::FactKey;
use crate::rules::model::{Alloy, Basis};
use crate::units::{Celsius, Dimension, GramsPerCm3, Seconds};
use std::collections::BTreeMap;

pub(super) fn alloy(r: &mut Reader<'_>, node: &Node) -> Option<Alloy> {
    let mut record = r.open(node, "alloy")?;
    let id = r.need(&mut record, "id");
    let title = r.need(&mut record, "title");
    let family = record.need("family", r.problems).and_then(|n| {
        let text = r.scalar(n)?;
        let span = r.span(n);
        r.family_key(text, span)
    });
    let synonyms = r.texts(&mut record, "synonyms");
    let composition =
        record.need("composition", r.problems).and_then(|n| composition(r.source, n, r.problems));
    let solidus = record.need("solidus", r.problems).and_then(|n| r.quantity(n, Dimension::Temperature));
    let liquidus_node = record.need("liquidus", r.problems);
    let liquidus = liquidus_node.and_then(|n| r.quantity(n, Dimension::Temperature));
    if let (Some(s), Some(l), Some(node)) = (solidus, liquidus, liquidus_node)
        && s > l
    {
        r.problems.push(
            Diagnostic::error(Code::Contradiction, r.span(node), "the liquidus is below the solidus")
                .help("melting ends at the liquidus: it is the higher of the two"),
        );
    }
    let density = r.quantity_field(&mut record, "density", Dimension::Density);
    let melt = record.take("melt").map(|n| windows(r.source, n, r.problems)).unwrap_or_default();
    let flask = record.take("flask").map(|n| windows(r.source, n, r.problems)).unwrap_or_default();
    let binder = fact_values(r, &mut record, "binder");
    let cover = fact_values(r, &mut record, "cover");
    let revert_limit = r.quantity_field(&mut record, "revert-limit", Dimension::Share);
    let quench =
        record.take("quench-after").and_then(|n| range(r.source, n, Dimension::Duration, r.problems));
    let notes = r.text(&mut record, "notes");
    let basis = r.record_basis(&mut record);
    let basis_of = bases(r, &mut record);
    record.finish(r.problems);
    Some(Alloy {
        id: id?,
        title: title?,
        family: family?,
        synonyms,
        composition: composition?,
        solidus: Celsius::new(solidus?),
        liquidus: Celsius::new(liquidus?),
        density: density.map(GramsPerCm3::new),
        melt,
        flask,
        binder,
        cover,
        revert_limit,
        quench_after: quench.map(|(a, b)| (Seconds::new(a), Seconds::new(b))),
        notes,
        basis: basis?,
        basis_of,
    })
}

/// A composition: `{Ag: 92.5 %, Cu: 7.5 %}`. Every problem is reported at its entry, a wrong sum at the map.
pub fn composition(source: SourceId, node: &Node, problems: &mut Diagnostics) -> Option<Composition> {
    let span = |n: &Node| Span { source, range: n.range.clone() };
    let mut parts: Vec<(Element, f64)> = Vec::new();
    let mut whole = true;
    for entry in entries(source, node, "composition", problems)? {
        let element = entry.key.parse::<Element>();
        let share = text_of(source, entry.value, problems).map(|t| Dimension::Share.parse(t));
        match &element {
            Ok(_) => {}
            Err(_) => problems.push(
                Diagnostic::error(
                    Code::BadComposition,
                    span(entry.key_node),
                    format!("`{}` is not an element of the table", entry.key),
                )
                .help(format!("known: {}", Element::ALL.map(Element::symbol).join(", "))),
            ),
        }
        match &share {
            Some(Err(error)) => {
                problems.push(
                    Diagnostic::error(Code::BadQuantity, span(entry.value), error.to_string())
                        .label("a share is wanted here")
                        .help("write for instance `92.5 %`"),
                );
            }
            Some(Ok(value)) if !(0.0..=1.0).contains(value) => problems.push(
                Diagnostic::error(
                    Code::OutOfRange,
                    span(entry.value),
                    "a share of an alloy is between 0 % and 100 %",
                )
                .help("all shares together make 100 %"),
            ),
            _ => {}
        }
        match (element, share) {
            (Ok(e), Some(Ok(s))) if (0.0..=1.0).contains(&s) => parts.push((e, s)),
            _ => whole = false,
        }
    }
    if !whole {
        return None;
    }
    match Composition::new(&parts) {
        Ok(composition) => Some(composition),
        Err(CompositionError::Sum { sum, .. }) => {
            let sum = Dimension::Share.show(sum);
            problems.push(
                Diagnostic::error(
                    Code::BadComposition,
                    span(node),
                    format!("the shares add up to {sum}, not to 100 %"),
                )
                .help("give every element its share by weight; 99.5 % to 100.5 % is let through as rounding"),
            );
            None
        }
        Err(error) => {
            problems.push(
                Diagnostic::error(Code::BadComposition, span(node), error.to_string())
                    .help("write for instance `{Ag: 92.5 %, Cu: 7.5 %}`"),
            );
            None
        }
    }
}

/// Values of the fact that carries the field's name.
fn fact_values(r: &mut Reader<'_>, record: &mut Record<'_>, field: &'static str) -> Vec<usize> {
    let Some(node) = record.take(field) else { return Vec::new() };
    let span = r.span(node);
    let Some(fact): Option<FactKey> = r.fact(field, span) else { return Vec::new() };
    r.list(node).iter().filter_map(|n| r.fact_value(fact, n)).collect()
}

fn bases(r: &mut Reader<'_>, record: &mut Record<'_>) -> BTreeMap<String, Basis> {
    let Some(node) = record.take("basis-of") else { return BTreeMap::new() };
    r.map(node, "set of bases")
        .into_iter()
        .filter_map(|entry| Some((entry.key.to_owned(), r.basis(entry.value)?)))
        .collect()
}
