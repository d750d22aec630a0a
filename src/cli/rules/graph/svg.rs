//! The picture drawn: three columns of boxes, the thicker the line the stronger the link.

use super::picture::Picture;
use super::{kind, title};
use crate::cli::svg::{Anchor, Svg};
use crate::rules::RuleBase;
use crate::rules::graph::Rule;
use std::collections::HashMap;

const STYLE: &str = "\
text{font:13px sans-serif;fill:#1d1d1d}.head{font-weight:bold}.back{fill:#fff}\
rect{stroke:#444;stroke-width:1}.cause{fill:#f7e3c4}.defect{fill:#f3cfcf}.sign{fill:#d5e6f3}\
.question{fill:#e4dcf0}.remedy{fill:#d8ecd3}path{fill:none;stroke:#555;stroke-opacity:.55}\
path.harms{stroke-dasharray:6 4}";

const BOX: f64 = 250.0;
const BOX_HEIGHT: f64 = 22.0;
const ROW: f64 = 30.0;
const GAP: f64 = 150.0;
const MARGIN: f64 = 20.0;
const HEAD: f64 = 50.0;

#[expect(clippy::cast_precision_loss, reason = "a few hundred boxes")]
pub(super) fn draw(rules: &RuleBase, picture: &Picture) -> String {
    let rows = picture.layers.iter().map(Vec::len).max().unwrap_or(0).max(1) as f64;
    let width = 2.0 * MARGIN + 3.0 * BOX + 2.0 * GAP;
    let height = HEAD + rows * ROW + MARGIN;
    let mut svg = Svg::new(width, height, "Rules, from what goes wrong to how it shows", STYLE);
    svg.boxed(0.0, 0.0, width, height, "back", "");
    let mut places: HashMap<Rule, (f64, f64)> = HashMap::new();
    for (column, layer) in picture.layers.iter().enumerate() {
        let x = MARGIN + column as f64 * (BOX + GAP);
        let pitch = rows * ROW / layer.len().max(1) as f64;
        for (row, rule) in layer.iter().enumerate() {
            let y = HEAD + (row as f64 + 0.5) * pitch - BOX_HEIGHT / 2.0;
            places.insert(*rule, (x, y));
        }
        if let Some(first) = layer.first() {
            let s = if layer.len() == 1 { "" } else { "s" };
            svg.text(x + BOX / 2.0, 30.0, Anchor::Middle, "head", &format!("{}{s}", plural(kind(*first), s)));
        }
    }
    for arrow in &picture.arrows {
        let (Some(from), Some(to)) = (places.get(&arrow.from), places.get(&arrow.to)) else { continue };
        let strength = arrow.strength.map_or_else(String::new, |s| format!(": {s}"));
        let tip = format!("{} to {}{strength}", arrow.from.id(rules), arrow.to.id(rules));
        let class = if arrow.harms { "harms" } else { "link" };
        let middle = BOX_HEIGHT / 2.0;
        svg.curve(
            (from.0 + BOX, from.1 + middle),
            (to.0, to.1 + middle),
            0.4 + 3.6 * arrow.strength.unwrap_or(0.3),
            class,
            &tip,
        );
    }
    for rule in picture.layers.iter().flatten() {
        if let Some((x, y)) = places.get(rule) {
            svg.boxed(*x, *y, BOX, BOX_HEIGHT, kind(*rule), title(rules, *rule));
            svg.text(x + 8.0, y + 15.5, Anchor::Start, "id", rule.id(rules));
        }
    }
    svg.finish()
}

/// "remedies", but "causes": the `s` is added by the caller.
fn plural(kind: &str, s: &str) -> String {
    if s.is_empty() { kind.to_owned() } else { kind.replace("remedy", "remedie") }
}
