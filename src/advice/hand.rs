//! Whether a cause that is there had a hand in what was seen.
//!
//! A sheet may show a flask 100 K too hot beside holes that a thin gate made: the hot flask is there, and did nothing
//! this time. In a noisy-OR every link from a present cause fires or not by itself. With all links of a cause to what
//! the findings rest on silent, the findings are as likely as with that root in order, so
//!
//! P(cause there, all its links silent | findings) =
//!     P(root in order | findings) * P(cause) / P(root in order) * prod over its links (1 - strength),
//!
//! exact, without another sweep. What is left of the cause's posterior is the chance that it had a hand in it.

use super::model::Model;
use crate::inference::{ActivePosterior, CauseId, Evidence, Network, NodeId, Var};
use crate::rules::CauseKey;

/// A cause's place in a ranking.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Standing {
    /// Which.
    pub cause: CauseKey,
    /// Probability that it is there.
    pub probability: f64,
    /// Probability that it is there and had a hand in what was seen.
    pub had_a_hand: f64,
}

/// All causes, those first that most likely had a hand in what was seen.
pub fn standings(model: &Model<'_>, evidence: &Evidence, posterior: &ActivePosterior) -> Vec<Standing> {
    let relevant = Relevant::new(model, evidence);
    let mut all: Vec<Standing> = model
        .rules
        .cause_keys()
        .map(|cause| {
            let id = model.cause(cause);
            Standing {
                cause,
                probability: posterior.cause(id),
                had_a_hand: relevant.had_a_hand(model, id, |c| posterior.cause(c)),
            }
        })
        .collect();
    all.sort_by(|a, b| b.had_a_hand.total_cmp(&a.had_a_hand).then(a.cause.cmp(&b.cause)));
    all
}

/// The nodes that findings rest on: those with evidence, and all nodes above them.
struct Relevant {
    /// For each cause the product of (1 - strength) over its links to these nodes.
    silent: Vec<f64>,
}

/// Whether findings rest on each node: it was looked for, or what hangs on it was.
pub(super) fn rested_on(network: &Network, evidence: &Evidence) -> Vec<bool> {
    let node = |var: Var| if let Var::Node(n) = var { Some(n) } else { None };
    let mut todo: Vec<NodeId> = evidence.iter().filter_map(|(var, _)| node(var)).collect();
    let mut rested = vec![false; network.nodes()];
    while let Some(next) = todo.pop() {
        if !std::mem::replace(&mut rested[next.index()], true) {
            todo.extend(network.parents(next).iter().filter_map(|(above, _)| node(*above)));
        }
    }
    rested
}

impl Relevant {
    fn new(model: &Model<'_>, evidence: &Evidence) -> Self {
        let network = &model.network;
        let rested = rested_on(network, evidence);
        let mut silent = vec![1.0; network.causes()];
        for node in network.node_ids().filter(|n| rested[n.index()]) {
            for (parent, strength) in network.parents(node) {
                if let Var::Cause(cause) = parent {
                    silent[cause.index()] *= 1.0 - strength;
                }
            }
        }
        Self { silent }
    }

    /// Chance that the cause is there and had a hand in the findings. `posterior` gives the chance of any cause.
    fn had_a_hand(&self, model: &Model<'_>, cause: CauseId, posterior: impl Fn(CauseId) -> f64) -> f64 {
        let network = &model.network;
        let in_order = |chance: &dyn Fn(CauseId) -> f64| {
            (1.0 - network.siblings(cause).map(chance).sum::<f64>()).clamp(0.0, 1.0)
        };
        let before = in_order(&|c| network.prior(c));
        let there = posterior(cause);
        if before <= 0.0 {
            return there;
        }
        let idle = in_order(&|c| posterior(c)) * network.prior(cause) / before * self.silent[cause.index()];
        (there - idle).clamp(0.0, there)
    }
}
