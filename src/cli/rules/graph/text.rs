//! The picture as text, at most a screen of it.

use super::picture::{Arrow, Picture};
use crate::cli::output::Out;
use crate::cli::style::{HEADING, paint};
use crate::rules::graph::{Edge, Rule, RuleGraph};
use crate::rules::{Class, RuleBase};

/// Lines of a screen.
const LINES: usize = 40;

/// Around the middle layer: what leads to each record on the left, where it leads on the right.
pub(super) fn focused(rules: &RuleBase, picture: &Picture, out: &mut Out) {
    let mut blocks: Vec<Vec<String>> = Vec::new();
    let mut middles = picture.layers[1].clone();
    let weight = |rule: Rule| {
        let touching = picture.arrows.iter().filter(|a| a.from == rule || a.to == rule);
        touching.filter_map(|a| a.strength).fold(0.0, f64::max)
    };
    // What touches the record in focus most strongly comes first.
    let focus = picture.layers[0].len() == 1;
    let near = |rule: Rule| {
        let side = picture.arrows.iter().filter(|a| if focus { a.to == rule } else { a.from == rule });
        side.filter_map(|a| a.strength).fold(0.0, f64::max)
    };
    middles.sort_by(|a, b| near(*b).total_cmp(&near(*a)).then(weight(*b).total_cmp(&weight(*a))));
    for middle in middles {
        let mut left: Vec<&Arrow> = picture.arrows.iter().filter(|a| a.to == middle).collect();
        let mut right: Vec<&Arrow> = picture.arrows.iter().filter(|a| a.from == middle).collect();
        sort(&mut left);
        sort(&mut right);
        blocks.push(block(rules, middle, &left, &right));
    }
    // Links that pass the middle layer by, from a cause straight to a sign.
    let mut past: Vec<&Arrow> = picture
        .arrows
        .iter()
        .filter(|a| picture.layers[0].contains(&a.from) && picture.layers[2].contains(&a.to))
        .collect();
    sort(&mut past);
    if !past.is_empty() {
        let mut lines = vec![paint(HEADING, "by itself")];
        lines.extend(
            past.iter()
                .map(|a| format!("{:<31}{:>5} > {}", a.from.id(rules), number(a.strength), a.to.id(rules))),
        );
        blocks.push(lines);
    }
    print(blocks, out);
}

fn sort(arrows: &mut [&Arrow]) {
    arrows.sort_by(|a, b| b.strength.unwrap_or(0.0).total_cmp(&a.strength.unwrap_or(0.0)));
}

fn number(strength: Option<f64>) -> String {
    strength.map_or_else(String::new, |s| s.to_string())
}

fn block(rules: &RuleBase, middle: Rule, left: &[&Arrow], right: &[&Arrow]) -> Vec<String> {
    let id = middle.id(rules);
    let mut lines = vec![paint(HEADING, &format!("{:>width$}", id, width = 39 + id.len() / 2))];
    for row in 0..left.len().max(right.len()) {
        let l = left.get(row).map_or_else(String::new, |a| {
            let mark = if a.harms { "may bring" } else { "" };
            let name = format!("{} {mark}", a.from.id(rules));
            format!("{:<31}{:>5} >", name.trim_end(), number(a.strength))
        });
        let r = right
            .get(row)
            .map_or_else(String::new, |a| format!("> {:<5} {}", number(a.strength), a.to.id(rules)));
        lines.push(format!("{l:<38} | {r}").trim_end().to_owned());
    }
    lines
}

fn print(blocks: Vec<Vec<String>>, out: &mut Out) {
    // A single block is cut inside, several between blocks.
    let all: usize = blocks.iter().map(Vec::len).sum();
    let mut shown = 0;
    for block in blocks {
        for line in block {
            if shown < LINES - 1 {
                out.line(line);
                shown += 1;
            }
        }
    }
    if shown < all {
        out.line(format!("and {} lines more; --format svg draws all of it", all - shown));
    }
}

/// The whole rule base: defects by kind, with how many causes and signs each has.
pub(super) fn whole(rules: &RuleBase, graph: &RuleGraph, out: &mut Out) {
    out.hang(
        "",
        &format!(
            "{} causes lead to {} defects, which show as {} signs. Behind each defect: causes > signs.",
            rules.causes.len(),
            rules.defects.len(),
            rules.signs.len()
        ),
    );
    for (word, class) in Class::WORDS {
        let found: Vec<String> = rules
            .defect_keys()
            .filter(|k| rules.defect(*k).class == class)
            .map(|k| {
                let rule = Rule::Defect(k);
                let causes = graph.into(rule).iter().filter(|(_, e)| matches!(e, Edge::Produces(_))).count();
                let signs = graph.out_of(rule).iter().filter(|(_, e)| matches!(e, Edge::Shows(_))).count();
                format!("{}\u{a0}{causes}>{signs}", rules.defect(k).id)
            })
            .collect();
        if !found.is_empty() {
            out.hang_whole(&format!("{word:<15}"), &found.join(", "));
        }
    }
    out.line("`--focus ID` shows one record with its neighbours, `--format svg` draws all.");
}
