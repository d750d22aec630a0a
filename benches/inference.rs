//! Times of the inference engine on networks of the size of a full rule base.

use aftercast::inference::{
    Evidence, Likelihood, Network, NetworkBuilder, NodeId, Var, Weights, information, weights_of_evidence,
};
use divan::{Bencher, black_box};

#[allow(dead_code, clippy::unwrap_used)]
#[path = "../tests/inference/random.rs"]
mod random;

use random::{Random, layered};

fn main() {
    divan::main();
}

/// Findings of one sampled world: `present` nodes that are there and `absent` ones that are not.
fn world(
    random: &mut Random,
    network: &Network,
    nodes: &[NodeId],
    present: usize,
    absent: usize,
) -> Evidence {
    loop {
        let mut on = vec![false; network.causes()];
        for c in network.cause_ids() {
            on[c.index()] = random.chance(network.prior(c));
        }
        let mut node_on = vec![false; network.nodes()];
        for n in network.node_ids() {
            let holds = |var: &Var| match var {
                Var::Cause(c) => on[c.index()],
                Var::Node(u) => node_on[u.index()],
            };
            let off: f64 =
                network.parents(n).iter().filter(|(v, _)| holds(v)).map(|(_, s)| 1.0 - s).product();
            node_on[n.index()] = !random.chance((1.0 - network.leak(n)) * off);
        }
        let (yes, no): (Vec<NodeId>, Vec<NodeId>) = nodes.iter().partition(|n| node_on[n.index()]);
        if yes.len() < present || no.len() < absent {
            continue;
        }
        let mut evidence = Evidence::new();
        random.pick(&yes, present).into_iter().for_each(|n| evidence.set(n, Likelihood::YES));
        random.pick(&no, absent).into_iter().for_each(|n| evidence.set(n, Likelihood::NO));
        return evidence;
    }
}

fn shop(seed: u64) -> (Network, Evidence) {
    let mut random = Random(seed);
    let (network, nodes) = layered(&mut random, 75, 40, 110);
    let evidence = world(&mut random, &network, &nodes[40..], 4, 2);
    (network, evidence)
}

fn hard(seed: u64) -> (Network, Evidence) {
    let mut random = Random(seed);
    let (network, nodes) = layered(&mut random, 60, 30, 120);
    // Signs only: a defect that is seen cuts its signs off from the causes and makes it easier.
    let evidence = world(&mut random, &network, &nodes[30..], 12, 10);
    (network, evidence)
}

/// 75 roots, 40 defects, 110 signs, 6 findings: everything, nodes without evidence included. Target 0.3 ms.
#[divan::bench(args = [1, 2, 3, 4, 5])]
fn rule_base_six_findings_all_marginals(bencher: Bencher, seed: u64) {
    let (network, evidence) = shop(seed);
    bencher.bench_local(|| network.prepare(black_box(&evidence)).map(|p| p.posterior()));
}

/// The same, causes and nodes with evidence only.
#[divan::bench(args = [1, 2, 3, 4, 5])]
fn rule_base_six_findings_active(bencher: Bencher, seed: u64) {
    let (network, evidence) = shop(seed);
    bencher.bench_local(|| network.prepare(black_box(&evidence)).map(|p| p.posterior_active()));
}

/// One more weight vector on evidence that is prepared.
#[divan::bench(args = [1, 2, 3, 4, 5])]
fn rule_base_one_ratio(bencher: Bencher, seed: u64) {
    let (network, evidence) = shop(seed);
    let prepared = network.prepare(&evidence).ok();
    let mut weights = Weights::ones(&network);
    network.cause_ids().step_by(7).for_each(|c| weights.set(c, 0.3));
    bencher.bench_local(|| prepared.as_ref().map(|p| p.ratio(black_box(&weights))));
}

/// Expected information of all signs.
#[divan::bench(args = [1, 2])]
fn rule_base_information_of_all_signs(bencher: Bencher, seed: u64) {
    let (network, evidence) = shop(seed);
    let nodes: Vec<NodeId> = network.node_ids().skip(40).collect();
    bencher.bench_local(|| information(&network, black_box(&evidence), &nodes));
}

/// Weight of each finding for each cause.
#[divan::bench(args = [1, 2])]
fn rule_base_weights_of_evidence(bencher: Bencher, seed: u64) {
    let (network, evidence) = shop(seed);
    bencher.bench_local(|| weights_of_evidence(&network, black_box(&evidence)));
}

/// Five best joint states of the twelve likeliest causes.
#[divan::bench(args = [1, 2, 3])]
fn rule_base_explanations(bencher: Bencher, seed: u64) {
    let (network, evidence) = shop(seed);
    let prepared = network.prepare(&evidence).ok();
    let mut list: Vec<_> = network.cause_ids().collect();
    if let Some(p) = &prepared {
        let posterior = p.posterior_active();
        list.sort_by(|a, b| posterior.cause(*b).total_cmp(&posterior.cause(*a)));
    }
    list.truncate(12);
    bencher.bench_local(|| prepared.as_ref().map(|p| p.explanations(Some(black_box(&list)), 5)));
}

/// 60 roots, 30 defects, 120 signs, 12 present and 10 absent findings: causes and active nodes. Target 15 ms.
#[divan::bench(args = 1..=20, sample_count = 20)]
fn twelve_present_ten_absent_active(bencher: Bencher, seed: u64) {
    let (network, evidence) = hard(seed);
    bencher.bench_local(|| network.prepare(black_box(&evidence)).map(|p| p.posterior_active()));
}

/// The same with the nodes that have no evidence at or below them: a partial pass each.
#[divan::bench(args = 1..=5, sample_count = 5)]
fn twelve_present_ten_absent_all_marginals(bencher: Bencher, seed: u64) {
    let (network, evidence) = hard(seed);
    bencher.bench_local(|| network.prepare(black_box(&evidence)).map(|p| p.posterior()));
}

/// Width of the sweep alone: reduction and order.
#[divan::bench(args = 1..=20, sample_count = 20)]
fn twelve_present_ten_absent_order(bencher: Bencher, seed: u64) {
    let (network, evidence) = hard(seed);
    bencher.bench_local(|| network.width(black_box(&evidence)));
}

/// Findings over random thirds of forty causes, which nothing takes apart: the width is the number of findings.
fn grid(findings: usize) -> (Network, Evidence) {
    let mut random = Random(7);
    let mut builder = NetworkBuilder::default();
    let causes: Vec<Var> =
        (0..40).filter_map(|_| builder.root(&[random::p(0.1)]).ok()).map(|ids| ids[0].into()).collect();
    let mut evidence = Evidence::new();
    for _ in 0..findings {
        let parents: Vec<_> = random.pick(&causes, 13).into_iter().map(|v| (v, random::p(0.3))).collect();
        if let Ok(node) = builder.node(random::p(0.05), &parents) {
            evidence.set(node, Likelihood::YES);
        }
    }
    (builder.build(), evidence)
}

/// Kept tables up to width 18, tables computed again above, roots fixed above 22, intervals above 26.
#[divan::bench(args = [14, 18, 20, 22, 24, 28, 40], sample_count = 1)]
fn adversarial_grid_of_findings(bencher: Bencher, findings: usize) {
    let (network, evidence) = grid(findings);
    bencher.bench_local(|| network.prepare(black_box(&evidence)).map(|p| p.posterior_active()));
}
