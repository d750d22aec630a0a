//! Drawings in letters: what a defect or a sign looks like, for a terminal.

use super::book::drawing;
use crate::rules::RuleBase;
use serde::Serialize;

static SKETCHES: &str = include_str!("sketches.txt");

/// A drawing in letters, at most 40 columns wide.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Sketch {
    /// What it shows, in words, for who cannot see it.
    pub caption: String,
    /// Its lines.
    pub lines: Vec<&'static str>,
}

/// The drawing of a defect or a sign; `None` where the shape tells nothing, and for what only a shop's rules know.
pub fn sketch(rules: &RuleBase, id: &str) -> Option<Sketch> {
    let caption = if rules.find_defect(id).is_some() {
        let (_, rest) = drawing(id)?.split_once("<title>")?;
        rest.split_once("</title>")?.0.to_owned()
    } else {
        rules.sign(rules.find_sign(id)?).title.clone()
    };
    Some(Sketch { caption, lines: lines(id)? })
}

fn lines(id: &str) -> Option<Vec<&'static str>> {
    let mut all = SKETCHES.lines();
    all.find(|l| l.strip_prefix("= ").is_some_and(|ids| ids.split(' ').any(|i| i == id)))?;
    Some(all.take_while(|l| !l.is_empty()).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_sketch_belongs_to_one_rule_and_fits() {
        let rules = crate::rules::shipped(&crate::sheet::catalogue()).rules;
        let ids: Vec<&str> =
            SKETCHES.lines().filter_map(|l| l.strip_prefix("= ")).flat_map(|l| l.split(' ')).collect();
        assert_eq!(ids.len(), ids.iter().collect::<BTreeSet<_>>().len(), "an id has two sketches");
        assert!(ids.len() > 40);
        for id in ids {
            let sketch = sketch(&rules, id).unwrap_or_else(|| panic!("no defect or sign is called {id}"));
            assert!(!sketch.caption.contains(['&', '<']), "{id}: {}", sketch.caption);
            assert!((3..=7).contains(&sketch.lines.len()), "{id} has {} lines", sketch.lines.len());
            for line in sketch.lines {
                assert!(line.is_ascii() && line.len() <= 40 && line.trim_end() == line, "{id}: {line}");
            }
        }
        assert_eq!(sketch(&rules, "zinc-loss"), None);
    }
}
