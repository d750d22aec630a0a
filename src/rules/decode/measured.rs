//! Quantities, ranges and windows as rule files and sheets write them alike.

use crate::document::{Code, Diagnostic, Diagnostics, Node, SourceId, Span, Value, entries, text_of};
use crate::rules::model::{Section, Window};
use crate::units::{Celsius, Dimension};
use std::collections::BTreeMap;

/// A number with its unit, in the dimension's stored unit; a problem when it is none.
pub fn quantity(
    source: SourceId,
    node: &Node,
    dimension: Dimension,
    problems: &mut Diagnostics,
) -> Option<f64> {
    let text = text_of(source, node, problems)?;
    match dimension.parse(text) {
        Ok(value) => Some(value),
        Err(error) => {
            problems.push(
                Diagnostic::error(Code::BadQuantity, span(source, node), error.to_string())
                    .label(format!("{} is wanted here", dimension.name())),
            );
            None
        }
    }
}

/// Two quantities, `[from, to]`; a problem when they are not, or not in this order.
pub fn range(
    source: SourceId,
    node: &Node,
    dimension: Dimension,
    problems: &mut Diagnostics,
) -> Option<(f64, f64)> {
    let ends = if let Value::List(ends) = &node.value { ends.as_slice() } else { &[] };
    let [low, high] = ends else {
        problems.push(
            Diagnostic::error(Code::WrongShape, span(source, node), "a window is written `[from, to]`")
                .label("not two values in brackets")
                .help("write two values in brackets, the lower first"),
        );
        return None;
    };
    let low = quantity(source, low, dimension, problems)?;
    let high = quantity(source, high, dimension, problems)?;
    if low > high {
        problems.push(
            Diagnostic::error(
                Code::KnotOrder,
                span(source, node),
                "a window runs from the lower to the higher value",
            )
            .label("the first is above the second")
            .help("swap the two"),
        );
        return None;
    }
    Some((low, high))
}

/// Windows of temperature by section: `{thin: [from, to], heavy: [from, to]}`.
pub fn windows(source: SourceId, node: &Node, problems: &mut Diagnostics) -> BTreeMap<Section, Window> {
    let mut found = BTreeMap::new();
    for entry in entries(source, node, "set of windows", problems).unwrap_or_default() {
        let Some((_, section)) = Section::WORDS.iter().find(|(w, _)| *w == entry.key) else {
            problems.push(
                Diagnostic::error(
                    Code::BadChoice,
                    span(source, entry.key_node),
                    format!("`{}` is no section", entry.key),
                )
                .help("allowed here: thin, medium, heavy"),
            );
            continue;
        };
        if let Some((low, high)) = range(source, entry.value, Dimension::Temperature, problems) {
            found.insert(*section, Window { low: Celsius::new(low), high: Celsius::new(high) });
        }
    }
    found
}

fn span(source: SourceId, node: &Node) -> Span {
    Span { source, range: node.range.clone() }
}
