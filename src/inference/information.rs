//! What an answer would tell: expected information of nodes about the causes.

use super::evidence::{Evidence, Likelihood};
use super::limits::{InferenceError, Limits};
use super::network::{Network, NodeId};
use super::prepare::Prepared;

/// What asking about one node would tell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Information {
    /// The node asked about.
    pub node: NodeId,
    /// Probability that it turns out present.
    pub p_present: f64,
    /// Mutual information between the node and each cause given the evidence, in bits, added up over the causes.
    pub bits: f64,
}

/// Expected information of each of the nodes given the evidence; one query a node, with the node absent. What
/// presence would say follows by subtraction.
pub fn information(
    network: &Network,
    evidence: &Evidence,
    nodes: &[NodeId],
) -> Result<Vec<Information>, InferenceError> {
    network.prepare_within(evidence, &Limits::default().exact())?.information(nodes)
}

impl Prepared<'_> {
    /// See [`information`].
    pub fn information(&self, nodes: &[NodeId]) -> Result<Vec<Information>, InferenceError> {
        self.insist_exact()?;
        let network = self.network;
        let before = self.posterior_active();
        let mut result = Vec::with_capacity(nodes.len());
        for &node in nodes {
            let absent = match network
                .prepare_within(&self.evidence.with(node, Likelihood::NO), &self.limits.exact())
            {
                Ok(prepared) => prepared,
                Err(InferenceError::Impossible { .. }) => {
                    result.push(Information { node, p_present: 1.0, bits: 0.0 });
                    continue;
                }
                Err(other) => return Err(other),
            };
            // The evidence about this node itself may be soft: then asserting absence takes in its factor as well,
            // and the sum is still P(evidence, absent).
            let p_absent = (absent.ln_evidence() - self.ln_evidence).exp().min(1.0);
            let p_present = 1.0 - p_absent;
            let after = absent.posterior_active();
            let mut bits = 0.0;
            for cause in network.cause_ids() {
                let (p, given_absent) = (before.cause(cause), after.cause(cause));
                if p == given_absent || p_present <= 0.0 {
                    continue;
                }
                let given_present = ((p - p_absent * given_absent) / p_present).clamp(0.0, 1.0);
                bits += entropy(p) - p_absent * entropy(given_absent) - p_present * entropy(given_present);
            }
            result.push(Information { node, p_present, bits: bits.max(0.0) });
        }
        Ok(result)
    }
}

/// Entropy of a yes or no, in bits.
fn entropy(p: f64) -> f64 {
    let part = |p: f64| if p > 0.0 { -p * p.log2() } else { 0.0 };
    part(p) + part(1.0 - p)
}
