//! Words that may stand for one another inside a name of several words, so that the rules need not spell out every
//! pairing: who says "pits by the gate" names what the rules call "holes by the sprue".
//!
//! Alone a word keeps its own meaning ("beads" are nodules, "spheres" a sign), and a name met word for word holds before
//! one met through kin.

use super::super::names::{spelling, stemmer};
use std::collections::HashMap;

/// Words that may stand for each other, and such as may stand for them and not the other way round: whoever speaks of
/// spongy places speaks of holes, but not every hole is spongy.
struct Group {
    same: &'static [&'static str],
    under: &'static [&'static str],
}

const fn same(same: &'static [&'static str]) -> Group {
    Group { same, under: &[] }
}

const GROUPS: &[Group] = &[
    Group {
        same: &["hole", "pit", "pore", "porosity", "porous"],
        under: &["spongy", "sponge", "void", "cavity", "crater", "pockmark"],
    },
    Group { same: &["crack", "split", "fracture"], under: &["hairline"] },
    same(&["break", "snap"]),
    same(&["sprue", "gate", "feeder"]),
    same(&["mould", "investment", "plaster"]),
    same(&["kiln", "oven"]),
    same(&["big", "large", "huge", "giant"]),
    same(&["small", "tiny", "little", "wee"]),
    same(&["prong", "claw"]),
    same(&["ball", "bead", "sphere", "bobble"]),
    same(&["lump", "bump", "blob"]),
    same(&["polish", "buff"]),
    same(&["file", "sand", "emery"]),
    same(&["smell", "stink", "reek"]),
    same(&["jagged", "ragged", "angular"]),
    same(&["cloudy", "milky", "foggy", "misty"]),
    same(&["shiny", "bright"]),
    same(&["smear", "smudge"]),
    same(&["speck", "fleck", "speckle", "dot"]),
    same(&["thick", "heavy", "bulky", "chunky"]),
    same(&["thin", "skinny"]),
    same(&["fast", "quick", "quicker", "faster", "quickly"]),
    same(&["directly", "straight"]),
    same(&["remelt", "recast"]),
    same(&["crumble", "shed"]),
    same(&["purple", "purplish", "violet"]),
    same(&["red", "reddish"]),
    same(&["yellow", "yellowish"]),
    same(&["grey", "greyish"]),
    same(&["pink", "pinkish"]),
    same(&["stone", "gem", "diamond"]),
    same(&["ring", "band"]),
    same(&["piece", "item", "copy"]),
];

/// The table by stems.
#[derive(Debug)]
pub(super) struct Kin {
    /// The stems that a stem may stand for.
    of: HashMap<String, Vec<String>>,
    /// One stem for all that are kin in any way, to look names up by.
    chief: HashMap<String, String>,
}

impl Kin {
    pub(super) fn new() -> Self {
        let stemmer = stemmer();
        let stem = |word: &&str| stemmer.stem(&spelling(word)).into_owned();
        let (mut of, mut chief): (HashMap<String, Vec<String>>, HashMap<String, String>) = Default::default();
        for group in GROUPS {
            let heads: Vec<String> = group.same.iter().map(stem).collect();
            let all: Vec<String> = heads.iter().cloned().chain(group.under.iter().map(stem)).collect();
            for word in &all {
                let known = of.entry(word.clone()).or_default();
                for head in heads.iter().filter(|h| *h != word) {
                    if !known.contains(head) {
                        known.push(head.clone());
                    }
                }
            }
            // Groups that share a word have one chief.
            let old: Vec<String> = all.iter().filter_map(|w| chief.get(w)).cloned().collect();
            let first = old.first().or(heads.first()).cloned().unwrap_or_default();
            chief.values_mut().filter(|c| old.contains(c)).for_each(|c| c.clone_from(&first));
            chief.extend(all.into_iter().map(|w| (w, first.clone())));
        }
        Self { of, chief }
    }

    /// The other stems that a stem may stand for.
    pub(super) fn of(&self, stem: &str) -> &[String] {
        self.of.get(stem).map_or(&[], Vec::as_slice)
    }

    /// The key of some stems in whatever order and whichever of their kin.
    pub(super) fn key<'a>(&'a self, stems: impl Iterator<Item = &'a str>) -> String {
        let mut chiefs: Vec<&str> = stems.map(|s| self.chief.get(s).map_or(s, String::as_str)).collect();
        chiefs.sort_unstable();
        chiefs.join(" ")
    }
}
