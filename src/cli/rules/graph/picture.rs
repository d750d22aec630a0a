//! What a picture shows: three layers of records and the links between them.

use crate::rules::RuleBase;
use crate::rules::graph::{Edge, Rule, RuleGraph};
use std::collections::HashMap;

/// Neighbours of neighbours shown for each record: the strongest ones.
const FEW: usize = 2;

/// A link of the picture, from a layer to one further right.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Arrow {
    pub(super) from: Rule,
    pub(super) to: Rule,
    /// Strength; `None` where a link has none.
    pub(super) strength: Option<f64>,
    /// A remedy that may bring the cause in, and not cure it.
    pub(super) harms: bool,
}

/// Three layers, left to right.
#[derive(Debug, Default)]
pub(super) struct Picture {
    pub(super) layers: [Vec<Rule>; 3],
    pub(super) arrows: Vec<Arrow>,
}

impl Picture {
    /// All causes, defects and signs.
    pub(super) fn whole(rules: &RuleBase, graph: &RuleGraph) -> Self {
        let mut picture = Self::default();
        for cause in rules.cause_keys().map(Rule::Cause) {
            picture.put(0, cause);
            picture.leave(graph, cause, usize::MAX, 1, 2);
        }
        for defect in rules.defect_keys().map(Rule::Defect) {
            picture.put(1, defect);
            picture.leave(graph, defect, usize::MAX, 2, 2);
        }
        rules.sign_keys().map(Rule::Sign).for_each(|s| picture.put(2, s));
        picture.untangle();
        picture
    }

    /// One record and what hangs on it.
    pub(super) fn about(rules: &RuleBase, graph: &RuleGraph, rule: Rule) -> Self {
        let mut picture = Self::default();
        match rule {
            Rule::Cause(_) => {
                picture.put(0, rule);
                picture.leave(graph, rule, usize::MAX, 1, 2);
                for defect in picture.layers[1].clone() {
                    picture.leave(graph, defect, FEW, 2, 2);
                }
            }
            Rule::Defect(_) => {
                picture.put(1, rule);
                picture.arrive(graph, rule, usize::MAX, 0, 0);
                picture.leave(graph, rule, usize::MAX, 2, 2);
            }
            Rule::Sign(_) => {
                picture.put(2, rule);
                picture.arrive(graph, rule, usize::MAX, 0, 1);
                for defect in picture.layers[1].clone() {
                    picture.arrive(graph, defect, FEW, 0, 0);
                }
            }
            Rule::Remedy(key) => {
                picture.put(0, rule);
                let remedy = rules.remedy(key);
                let cures = remedy.cures.iter().map(|l| (l, false));
                for (link, harms) in cures.chain(remedy.spoils.iter().map(|l| (l, true))) {
                    let cause = Rule::Cause(link.to);
                    picture.put(1, cause);
                    picture.arrows.push(Arrow {
                        from: rule,
                        to: cause,
                        strength: Some(link.strength.value),
                        harms,
                    });
                }
                for cause in picture.layers[1].clone() {
                    picture.leave(graph, cause, FEW, 2, 3);
                }
            }
            Rule::Question(_) => {
                picture.put(2, rule);
                let signs = graph.out_of(rule).into_iter().filter(|(_, e)| matches!(e, Edge::Reveals));
                for (sign, _) in signs {
                    picture.put(1, sign);
                    picture.arrows.push(Arrow { from: sign, to: rule, strength: None, harms: false });
                    picture.arrive(graph, sign, FEW, 0, 0);
                }
            }
        }
        picture.untangle();
        picture
    }

    fn put(&mut self, layer: usize, rule: Rule) {
        if !self.layers.iter().any(|l| l.contains(&rule)) {
            self.layers[layer].push(rule);
        }
    }

    /// The strongest links out of a record: to defects in one layer, to signs in another. A layer past the last
    /// leaves that kind out.
    fn leave(&mut self, graph: &RuleGraph, rule: Rule, most: usize, defects: usize, signs: usize) {
        for (to, strength) in strongest(graph.out_of(rule), most, |r| {
            matches!(r, Rule::Defect(_)) || (matches!(r, Rule::Sign(_)) && signs < 3)
        }) {
            self.put(if matches!(to, Rule::Defect(_)) { defects } else { signs }, to);
            self.arrows.push(Arrow { from: rule, to, strength: Some(strength), harms: false });
        }
    }

    /// The strongest links into a record.
    fn arrive(&mut self, graph: &RuleGraph, rule: Rule, most: usize, causes: usize, defects: usize) {
        for (from, strength) in strongest(graph.into(rule), most, |_| true) {
            self.put(if matches!(from, Rule::Defect(_)) { defects } else { causes }, from);
            self.arrows.push(Arrow { from, to: rule, strength: Some(strength), harms: false });
        }
    }

    /// Puts every record near the middle of those it hangs on, so that fewer lines cross.
    fn untangle(&mut self) {
        const ROUNDS: usize = 8;
        for round in 0..ROUNDS {
            let mut order = [1, 2, 0];
            if round % 2 == 1 {
                order = [1, 0, 2];
            }
            for layer in order {
                self.settle(layer);
            }
        }
    }

    #[expect(clippy::cast_precision_loss, reason = "a few hundred records")]
    fn settle(&mut self, layer: usize) {
        let place: HashMap<Rule, f64> = self
            .layers
            .iter()
            .flat_map(|l| l.iter().enumerate().map(|(i, r)| (*r, i as f64 / l.len().max(1) as f64)))
            .collect();
        let middle = |rule: Rule| {
            let (mut sum, mut weight) = (0.0, 0.0);
            for arrow in &self.arrows {
                let other = if arrow.from == rule {
                    arrow.to
                } else if arrow.to == rule {
                    arrow.from
                } else {
                    continue;
                };
                let w = arrow.strength.unwrap_or(0.5).max(0.01);
                sum += w * place.get(&other).copied().unwrap_or(0.5);
                weight += w;
            }
            if weight > 0.0 { sum / weight } else { place.get(&rule).copied().unwrap_or(0.5) }
        };
        let mut sorted: Vec<(f64, Rule)> = self.layers[layer].iter().map(|r| (middle(*r), *r)).collect();
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
        self.layers[layer] = sorted.into_iter().map(|(_, r)| r).collect();
    }
}

fn strongest(edges: Vec<(Rule, Edge)>, most: usize, wanted: impl Fn(Rule) -> bool) -> Vec<(Rule, f64)> {
    let mut found: Vec<(Rule, f64)> = edges
        .into_iter()
        .filter_map(|(rule, edge)| match edge {
            Edge::Produces(s) | Edge::Shows(s) if wanted(rule) => Some((rule, s)),
            _ => None,
        })
        .collect();
    found.sort_by(|a, b| b.1.total_cmp(&a.1));
    found.truncate(most);
    found
}
