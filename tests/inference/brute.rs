//! Slow and obvious: the list of all joint states with their probabilities.

use aftercast::inference::{CauseId, Evidence, Network, NodeId, Var, Weights};

pub(crate) struct State {
    pub(crate) cause: Vec<bool>,
    pub(crate) node: Vec<bool>,
    pub(crate) probability: f64,
}

impl State {
    pub(crate) fn holds(&self, var: Var) -> bool {
        match var {
            Var::Cause(c) => self.cause[c.index()],
            Var::Node(n) => self.node[n.index()],
        }
    }
}

pub(crate) fn states(network: &Network) -> Vec<State> {
    let mut all = vec![State { cause: Vec::new(), node: Vec::new(), probability: 1.0 }];
    let mut seen = 0;
    for cause in network.cause_ids() {
        if cause.index() < seen {
            continue;
        }
        let siblings: Vec<CauseId> = network.siblings(cause).collect();
        seen += siblings.len();
        let in_order = 1.0 - siblings.iter().map(|&c| network.prior(c)).sum::<f64>();
        let mut next = Vec::new();
        for state in all {
            for holds in siblings.iter().map(|&c| Some(c)).chain([None]) {
                let mut cause = state.cause.clone();
                cause.extend(siblings.iter().map(|&c| Some(c) == holds));
                let p = holds.map_or(in_order, |c| network.prior(c));
                next.push(State { cause, node: Vec::new(), probability: state.probability * p });
            }
        }
        all = next;
    }
    for node in network.node_ids() {
        let mut next = Vec::new();
        for state in all {
            let mut off = 1.0 - network.leak(node);
            for &(var, strength) in network.parents(node) {
                if state.holds(var) {
                    off *= 1.0 - strength;
                }
            }
            for (present, p) in [(false, off), (true, 1.0 - off)] {
                let mut node = state.node.clone();
                node.push(present);
                next.push(State { cause: state.cause.clone(), node, probability: state.probability * p });
            }
        }
        all = next;
    }
    all
}

/// Probability of the state together with the evidence.
pub(crate) fn with_evidence(state: &State, evidence: &Evidence) -> f64 {
    let factor = |(var, l): (Var, aftercast::inference::Likelihood)| {
        if state.holds(var) { l.present() } else { l.absent() }
    };
    state.probability * evidence.iter().map(factor).product::<f64>()
}

pub(crate) fn z(states: &[State], evidence: &Evidence) -> f64 {
    states.iter().map(|s| with_evidence(s, evidence)).sum()
}

pub(crate) fn weighted(network: &Network, states: &[State], evidence: &Evidence, weights: &Weights) -> f64 {
    let weight = |s: &State| -> f64 {
        network
            .cause_ids()
            .map(|c| {
                let any = network.siblings(c).any(|other| s.cause[other.index()]);
                let first = network.siblings(c).next() == Some(c);
                if s.cause[c.index()] {
                    weights.get(c)
                } else if first && !any {
                    weights.get_in_order(c)
                } else {
                    1.0
                }
            })
            .product()
    };
    states.iter().map(|s| with_evidence(s, evidence) * weight(s)).sum()
}

pub(crate) fn posterior(states: &[State], evidence: &Evidence, var: Var) -> f64 {
    let on: f64 = states.iter().filter(|s| s.holds(var)).map(|s| with_evidence(s, evidence)).sum();
    on / z(states, evidence)
}

pub(crate) fn ancestors_of_present(network: &Network, evidence: &Evidence) -> Vec<CauseId> {
    let mut todo: Vec<NodeId> = evidence
        .iter()
        .filter(|(_, l)| l.present() > l.absent())
        .filter_map(|(var, _)| if let Var::Node(n) = var { Some(n) } else { None })
        .collect();
    let mut causes = Vec::new();
    while let Some(node) = todo.pop() {
        for &(var, strength) in network.parents(node) {
            match var {
                _ if strength == 0.0 => {}
                Var::Cause(c) => causes.push(c),
                Var::Node(n) => todo.push(n),
            }
        }
    }
    causes
}
