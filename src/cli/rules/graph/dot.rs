//! The picture in the language of graph layout programs.

use super::picture::Picture;
use super::{kind, title};
use crate::rules::RuleBase;
use crate::rules::graph::Rule;
use std::fmt::Write as _;

pub(super) fn draw(rules: &RuleBase, picture: &Picture) -> String {
    let mut text = String::from("digraph rules {\n  rankdir=LR;\n  node [shape=box, style=rounded];\n");
    let name = |rule: Rule| quoted(&format!("{}/{}", kind(rule), rule.id(rules)));
    for layer in &picture.layers {
        text.push_str("  { rank=same;\n");
        for rule in layer {
            // Writing to a String cannot fail.
            let _ = writeln!(
                text,
                "    {} [label={}, tooltip={}];",
                name(*rule),
                quoted(rule.id(rules)),
                quoted(title(rules, *rule))
            );
        }
        text.push_str("  }\n");
    }
    for arrow in &picture.arrows {
        let strength = arrow.strength.map_or_else(String::new, |s| format!("label=\"{s}\", "));
        let style = if arrow.harms { "dashed" } else { "solid" };
        let _ = writeln!(text, "  {} -> {} [{strength}style={style}];", name(arrow.from), name(arrow.to));
    }
    text.push('}');
    text
}

fn quoted(text: &str) -> String {
    let safe: String = crate::document::visible(text).replace('\\', "\\\\").replace('"', "\\\"");
    format!("\"{safe}\"")
}
