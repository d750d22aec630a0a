//! Causes: base rates, shifts by the sheet, what they bring.

use super::common::Reader;
use crate::document::{Code, Diagnostic, Node, Record, Value};
use crate::rules::model::{Base, Basis, Cause, GivenRule, SheetRule};
use std::collections::BTreeMap;

pub(super) fn cause(r: &mut Reader<'_>, node: &Node) -> Option<Cause> {
    let mut record = r.open(node, "cause")?;
    let id = r.need(&mut record, "id");
    let title = r.need(&mut record, "title");
    let synonyms = r.texts(&mut record, "synonyms");
    let basis = r.record_basis(&mut record);
    let of_links = r.links_basis(&mut record, basis.as_ref());
    let base = record.need("base", r.problems).and_then(|n| base(r, n));
    let setting = r.text(&mut record, "setting");
    let sheet = shifts(r, &mut record, "sheet", of_links.as_ref(), sheet_rule);
    let given = shifts(r, &mut record, "given", of_links.as_ref(), given_rule);
    let produces = r.links(&mut record, "produces", of_links.as_ref(), Reader::defect);
    let shows = r.links(&mut record, "shows", of_links.as_ref(), Reader::sign);
    let because = r.need(&mut record, "because");
    let check = r.text(&mut record, "check");
    record.finish(r.problems);
    Some(Cause {
        id: id?,
        title: title?,
        group: r.group.clone(),
        synonyms,
        base: base?,
        setting,
        sheet,
        given,
        produces,
        shows,
        because: because?,
        check,
        basis: basis?,
    })
}

pub(super) fn base(r: &mut Reader<'_>, node: &Node) -> Option<Base> {
    if !matches!(node.value, Value::Map(_)) {
        return Some(Base { default: r.strength(node)?, by_family: BTreeMap::new() });
    }
    let mut default = None;
    let mut by_family = BTreeMap::new();
    for entry in r.map(node, "base by family") {
        let Some(strength) = r.strength(entry.value) else { continue };
        if entry.key == "default" {
            default = Some(strength);
        } else {
            let span = r.span(entry.key_node);
            if let Some(family) = r.family_key(entry.key, span) {
                by_family.insert(family, strength);
            }
        }
    }
    if default.is_none() {
        r.problems.push(
            Diagnostic::error(Code::MissingField, r.span(node), "a base by family has no `default`")
                .help("add `default: ...` for the families not named"),
        );
    }
    Some(Base { default: default?, by_family })
}

fn shifts<T>(
    r: &mut Reader<'_>,
    record: &mut Record<'_>,
    field: &'static str,
    basis: Option<&Basis>,
    read: impl Fn(&mut Reader<'_>, &Node, Option<&Basis>) -> Option<T>,
) -> Vec<T> {
    let Some(node) = record.take(field) else { return Vec::new() };
    r.list(node).iter().filter_map(|n| read(r, n, basis)).collect()
}

fn sheet_rule(r: &mut Reader<'_>, node: &Node, basis: Option<&Basis>) -> Option<SheetRule> {
    let mut record = r.open(node, "sheet rule")?;
    let quantity = record.need("quantity", r.problems).and_then(|n| r.quantity_key(n));
    let factor = record.need("factor", r.problems);
    let condition = r.condition(&mut record);
    let own = record.take("basis").and_then(|n| r.basis(n));
    record.finish(r.problems);
    let (quantity, factor) = (quantity?, factor?);
    let dimension = r.dimension(quantity);
    let mut knots: Vec<(f64, f64)> = Vec::new();
    for knot in r.list(factor) {
        let pair = r.list(knot);
        let [value, factor] = pair else {
            if matches!(knot.value, Value::List(_)) {
                r.problems.push(
                    Diagnostic::error(Code::WrongShape, r.span(knot), "a knot is `[value, factor]`")
                        .label("not two items")
                        .help("write a value of the quantity and the factor on the odds there, such as `[640 C, 2]`"),
                );
            }
            continue;
        };
        let (Some(v), Some(f)) = (r.quantity(value, dimension), r.factor(factor)) else { continue };
        if let Some((before, _)) = knots.last()
            && v <= *before
        {
            r.problems.push(
                Diagnostic::error(Code::KnotOrder, r.span(value), "knots must rise")
                    .label(format!("not above {}", dimension.show(*before)))
                    .help("write the knots from the smallest value to the largest"),
            );
            continue;
        }
        knots.push((v, f));
    }
    if knots.is_empty() && !matches!(&factor.value, Value::List(all) if !all.is_empty()) {
        // Knots that are there but wrong have been reported one by one.
        r.problems.push(
            Diagnostic::error(Code::WrongShape, r.span(factor), "a sheet rule needs at least one knot")
                .help("write `factor: [[value, factor], ...]`"),
        );
    }
    if knots.is_empty() {
        return None;
    }
    Some(SheetRule { quantity, knots, condition, basis: own.or_else(|| basis.cloned())? })
}

fn given_rule(r: &mut Reader<'_>, node: &Node, basis: Option<&Basis>) -> Option<GivenRule> {
    let mut record = r.open(node, "given rule")?;
    let fact = record.need("fact", r.problems).and_then(|n| {
        let text = r.scalar(n)?;
        let span = r.span(n);
        r.fact(text, span)
    });
    let factor = record.need("factor", r.problems);
    let own = record.take("basis").and_then(|n| r.basis(n));
    record.finish(r.problems);
    let (fact, factor) = (fact?, factor?);
    let mut factors = BTreeMap::new();
    for entry in r.map(factor, "set of factors") {
        let span = r.span(entry.key_node);
        let value = r.fact_value_named(fact, entry.key, span);
        if let (Some(value), Some(f)) = (value, r.factor(entry.value)) {
            factors.insert(value, f);
        }
    }
    Some(GivenRule { fact, factors, basis: own.or_else(|| basis.cloned())? })
}
