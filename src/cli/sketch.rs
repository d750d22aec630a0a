//! A drawing in letters on the screen, with its words before it.

use super::output::Out;
use crate::casebook::{Sketch, sketch};
use crate::rules::RuleBase;

/// Draws a defect or a sign behind an indent, if there is a drawing of it.
pub(super) fn draw(rules: &RuleBase, id: &str, indent: &str, out: &mut Out) {
    if let Some(sketch) = sketch(rules, id) {
        lay_out(&sketch, indent, out);
    }
}

/// A sketch with its words.
pub(super) fn lay_out(sketch: &Sketch, indent: &str, out: &mut Out) {
    out.hang(&format!("{indent}sketch: "), &sketch.caption);
    sketch.lines.iter().for_each(|line| out.line(format!("{indent}{line}")));
}
