//! The drawings of the page as SVG text. Nothing in them is told by colour alone.

use crate::document::{visible, wrap};
use std::fmt::Write as _;

/// Text made safe for HTML and SVG. Control characters, and those that turn the reading direction, become U+FFFD.
pub(super) fn escape(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in visible(text).chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            c => safe.push(c),
        }
    }
    safe
}

/// A chance as a bar: a frame, and the part that is filled.
pub(super) fn bar(chance: f64, label: &str) -> String {
    let filled = (chance.clamp(0.0, 1.0) * 98.0).max(0.5);
    format!(
        "<svg class=\"bar\" viewBox=\"0 0 100 8\" preserveAspectRatio=\"none\" role=\"img\" aria-label=\"{}\">\
         <rect class=\"frame\" vector-effect=\"non-scaling-stroke\" x=\"0.5\" y=\"0.5\" width=\"99\" height=\"7\"/>\
         <rect class=\"ink\" x=\"1\" y=\"1\" width=\"{filled:.2}\" height=\"6\"/></svg>",
        escape(label)
    )
}

/// A value on a scale: the stretch that is no cause for worry as a framed box, the value as a pointer, what it may
/// be off by as a line.
pub(super) struct Gauge {
    pub(super) low: f64,
    pub(super) high: f64,
    /// Ends of the good stretches.
    pub(super) good: Vec<(f64, f64)>,
    pub(super) value: (f64, f64, f64),
    pub(super) ends: (String, String),
    pub(super) label: String,
}

const GAUGE: f64 = 280.0;

impl Gauge {
    pub(super) fn svg(&self) -> String {
        let width = (self.high - self.low).max(f64::MIN_POSITIVE);
        let x = |v: f64| 10.0 + ((v - self.low) / width).clamp(0.0, 1.0) * GAUGE;
        let mut svg = format!(
            "<svg class=\"gauge\" viewBox=\"0 0 300 42\" role=\"img\" aria-label=\"{}\">",
            escape(&self.label)
        );
        for (from, to) in &self.good {
            let (a, b) = (x(*from), x(*to));
            let _ = write!(
                svg,
                "<rect class=\"good\" x=\"{a:.1}\" y=\"14\" width=\"{:.1}\" height=\"10\"/>",
                (b - a).max(1.0)
            );
        }
        let (low, value, high) = self.value;
        let (a, v, b) = (x(low), x(value), x(high));
        let _ = write!(
            svg,
            "<line class=\"axis\" x1=\"10\" y1=\"24\" x2=\"290\" y2=\"24\"/>\
             <line class=\"off\" x1=\"{a:.1}\" y1=\"19\" x2=\"{b:.1}\" y2=\"19\"/>\
             <path class=\"ink\" d=\"M{v:.1} 23 l-5 -11 h10 z\"/>\
             <text x=\"10\" y=\"38\">{}</text><text x=\"290\" y=\"38\" text-anchor=\"end\">{}</text></svg>",
            escape(&self.ends.0),
            escape(&self.ends.1)
        );
        svg
    }
}

/// A box of the chain.
pub(super) struct Knot {
    pub(super) title: String,
    pub(super) chance: Option<String>,
}

/// A line of the chain: column and place at both ends, and the strength.
pub(super) type Link = ((usize, usize), (usize, usize), f64);

/// Causes, defects and findings in three columns, with lines as thick as the links are strong.
pub(super) struct Chain {
    pub(super) columns: [Vec<Knot>; 3],
    pub(super) links: Vec<Link>,
}

const BOX: f64 = 196.0;
const STEP: f64 = 252.0;
const LINE: f64 = 16.0;
const LETTERS: usize = 25;

impl Chain {
    pub(super) fn svg(&self, label: &str) -> String {
        let mut places: Vec<Vec<(f64, f64)>> = Vec::new();
        let mut lowest: f64 = 0.0;
        let lines = |k: &Knot| wrap(&k.title, LETTERS).len() + usize::from(k.chance.is_some());
        #[expect(clippy::cast_precision_loss, reason = "a few lines")]
        let height = |k: &Knot| lines(k) as f64 * LINE + 12.0;
        for column in &self.columns {
            let mut y = 26.0;
            let mut ends = Vec::new();
            for knot in column {
                ends.push((y, height(knot)));
                y += height(knot) + 12.0;
            }
            lowest = lowest.max(y);
            places.push(ends);
        }
        let mut svg = format!(
            "<svg class=\"chain\" viewBox=\"0 0 {:.0} {lowest:.0}\" role=\"img\" aria-label=\"{}\">",
            2.0 * STEP + BOX + 2.0,
            escape(label)
        );
        #[expect(clippy::cast_precision_loss, reason = "three columns")]
        let left = |column: usize| column as f64 * STEP + 1.0;
        for (at, name) in ["cause", "defect", "what was seen"].iter().enumerate() {
            let _ = write!(svg, "<text class=\"head\" x=\"{:.0}\" y=\"14\">{name}</text>", left(at));
        }
        for ((ca, ra), (cb, rb), strength) in &self.links {
            let (Some((ya, ha)), Some((yb, hb))) =
                (places.get(*ca).and_then(|c| c.get(*ra)), places.get(*cb).and_then(|c| c.get(*rb)))
            else {
                continue;
            };
            let (x0, x1) = (left(*ca) + BOX, left(*cb));
            let (y0, y1) = (ya + ha / 2.0, yb + hb / 2.0);
            let bend = (x1 - x0) / 2.0;
            let _ = write!(
                svg,
                "<path class=\"link\" stroke-width=\"{:.1}\" d=\"M{x0:.0} {y0:.0} C{:.0} {y0:.0} {:.0} {y1:.0} {x1:.0} {y1:.0}\"/>",
                0.8 + 4.2 * strength,
                x0 + bend,
                x1 - bend
            );
        }
        for (column, (knots, ends)) in self.columns.iter().zip(&places).enumerate() {
            for (knot, (y, h)) in knots.iter().zip(ends) {
                let x = left(column);
                let _ = write!(
                    svg,
                    "<rect class=\"knot\" x=\"{x:.0}\" y=\"{y:.0}\" width=\"{BOX:.0}\" height=\"{h:.0}\" rx=\"3\"/>"
                );
                let mut down = y + LINE + 2.0;
                for line in wrap(&knot.title, LETTERS) {
                    let _ =
                        write!(svg, "<text x=\"{:.0}\" y=\"{down:.0}\">{}</text>", x + 8.0, escape(&line));
                    down += LINE;
                }
                if let Some(chance) = &knot.chance {
                    let _ = write!(
                        svg,
                        "<text class=\"strong\" x=\"{:.0}\" y=\"{down:.0}\">{}</text>",
                        x + 8.0,
                        escape(chance)
                    );
                }
            }
        }
        svg.push_str("</svg>");
        svg
    }
}
