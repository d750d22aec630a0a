//! Properties that hold for every network and every evidence.

use aftercast::inference::{
    BuildError, Evidence, InferenceError, Likelihood, Network, NetworkBuilder, NodeId, Probability, Var,
    Weights, conflict, explanations, information, weights_of_evidence,
};
use proptest::prelude::*;

use crate::random::{Random, evidence, p, small};

fn make(seed: u64) -> (Network, Evidence, Random) {
    let mut random = Random(seed);
    let (roots, nodes) = (1 + random.below(12), 1 + random.below(16));
    let network = small(&mut random, roots, nodes);
    let count = random.below(10);
    let seen = evidence(&mut random, &network, count);
    (network, seen, random)
}

/// The network with its roots and nodes added in another order, parents still first, and more nodes at the end that
/// nobody asks about; with the new name of every variable.
fn shuffled(network: &Network, random: &mut Random) -> (Network, impl Fn(Var) -> Var + use<>) {
    let mut builder = NetworkBuilder::default();
    let mut causes = vec![None; network.causes()];
    let mut nodes: Vec<Option<NodeId>> = vec![None; network.nodes()];
    let firsts: Vec<_> = network.cause_ids().filter(|&c| network.siblings(c).next() == Some(c)).collect();
    for first in random.pick(&firsts, firsts.len()) {
        let siblings: Vec<_> = network.siblings(first).collect();
        let priors: Vec<_> = siblings.iter().map(|&c| p(network.prior(c))).collect();
        for (old, new) in siblings.into_iter().zip(builder.root(&priors).unwrap()) {
            causes[old.index()] = Some(new);
        }
    }
    while nodes.contains(&None) {
        let ready: Vec<NodeId> = network
            .node_ids()
            .filter(|n| nodes[n.index()].is_none())
            .filter(|&n| {
                network
                    .parents(n)
                    .iter()
                    .all(|&(v, _)| if let Var::Node(u) = v { nodes[u.index()].is_some() } else { true })
            })
            .collect();
        let node = ready[random.below(ready.len())];
        let parents: Vec<(Var, Probability)> = network
            .parents(node)
            .iter()
            .map(|&(v, s)| match v {
                Var::Cause(c) => (Var::Cause(causes[c.index()].unwrap()), p(s)),
                Var::Node(u) => (Var::Node(nodes[u.index()].unwrap()), p(s)),
            })
            .collect();
        let parents = random.pick(&parents, parents.len());
        nodes[node.index()] = Some(builder.node(p(network.leak(node)), &parents).unwrap());
    }
    let stranger = builder.root(&[p(0.3)]).unwrap()[0];
    let all: Vec<(Var, Probability)> = nodes.iter().flatten().map(|&n| (n.into(), p(0.5))).take(3).collect();
    builder.node(p(0.1), &all).unwrap();
    builder.node(p(0.2), &[(stranger.into(), p(0.5))]).unwrap();
    (builder.build(), move |var| match var {
        Var::Cause(c) => Var::Cause(causes[c.index()].unwrap()),
        Var::Node(n) => Var::Node(nodes[n.index()].unwrap()),
    })
}

fn near(a: f64, b: f64) -> bool {
    a == b || (a - b).abs() <= 1e-10
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, ..ProptestConfig::default() })]

    #[test]
    fn probabilities_are_probabilities_and_nothing_panics(seed in any::<u64>()) {
        let (network, seen, mut random) = make(seed);
        let prepared = match network.prepare(&seen) {
            Ok(prepared) => prepared,
            Err(InferenceError::Impossible { finding }) => {
                prop_assert!(seen.get(finding).is_some());
                prop_assert!(weights_of_evidence(&network, &seen).is_err());
                return Ok(());
            }
            Err(other) => return Err(TestCaseError::fail(other.to_string())),
        };
        let posterior = prepared.posterior();
        for c in network.cause_ids() {
            prop_assert!((0.0..=1.0).contains(&posterior.cause(c)));
            prop_assert!(near(posterior.cause(c) + posterior.absent(c), 1.0));
        }
        for n in network.node_ids() {
            prop_assert!((0.0..=1.0).contains(&posterior.node(n)), "{:?} {}", n, posterior.node(n));
            // P(e, node) + P(e, not node) = P(e)
            let part = |likelihood| match network.prepare(&seen.with(n, likelihood)) {
                Ok(with) => (with.ln_evidence() - posterior.ln_evidence()).exp(),
                Err(_) => 0.0,
            };
            if seen.get(n).is_none() {
                prop_assert!(near(part(Likelihood::YES), posterior.node(n)));
                prop_assert!(near(part(Likelihood::YES) + part(Likelihood::NO), 1.0));
            }
        }
        prop_assert!((0.0..=1.0 + 1e-12).contains(&prepared.none_known()));
        prop_assert!(near(prepared.ratio(&Weights::ones(&network)), 1.0));
        prop_assert!(conflict(&network, &seen).unwrap().is_finite());
        let list: Vec<_> = network.cause_ids().collect();
        let list = random.pick(&list, 4);
        let best = explanations(&network, &seen, Some(&list), 200).unwrap();
        prop_assert!(near(best.iter().map(|e| e.probability).sum::<f64>(), 1.0));
        prop_assert!(best.windows(2).all(|w| w[0].probability >= w[1].probability));
        let nodes: Vec<_> = network.node_ids().collect();
        for told in information(&network, &seen, &nodes).unwrap() {
            prop_assert!(told.bits >= 0.0 && told.bits.is_finite());
            prop_assert!(near(told.p_present, posterior.node(told.node)));
        }
        let weights = weights_of_evidence(&network, &seen).unwrap();
        for (i, _) in seen.iter().enumerate() {
            prop_assert!(network.cause_ids().all(|c| !weights.weight(i, c).is_nan()));
        }
    }

    #[test]
    fn neither_the_order_of_evidence_and_nodes_nor_strangers_matter(seed in any::<u64>()) {
        let (network, seen, mut random) = make(seed);
        let (other, rename) = shuffled(&network, &mut random);
        let items: Vec<_> = seen.iter().map(|(var, l)| (rename(var), l)).collect();
        let items: Evidence = random.pick(&items, items.len()).into_iter().collect();
        match (network.prepare(&seen), other.prepare(&items)) {
            (Ok(a), Ok(b)) => {
                let (a, b) = (a.posterior(), b.posterior());
                prop_assert!(near(a.ln_evidence(), b.ln_evidence()));
                let vars = network.cause_ids().map(Var::Cause).chain(network.node_ids().map(Var::Node));
                for var in vars {
                    prop_assert!(near(a.of(var), b.of(rename(var))), "{:?}", var);
                }
            }
            (a, b) => prop_assert!(a.is_err() && b.is_err()),
        }
    }

    #[test]
    fn soft_evidence_that_says_nothing_changes_nothing(seed in any::<u64>(), value in 0.01f64..10.0) {
        let (network, seen, mut random) = make(seed);
        let node = network.node_ids().nth(random.below(network.nodes())).unwrap();
        let more = seen.with(node, Likelihood::soft(value, value).unwrap());
        if let (Ok(a), Ok(b)) = (network.prepare(&seen), network.prepare(&more)) {
            prop_assert!(near(a.ln_evidence() + value.ln(), b.ln_evidence()));
            let (a, b) = (a.posterior(), b.posterior());
            prop_assert!(network.cause_ids().all(|c| near(a.cause(c), b.cause(c))));
        }
    }

    #[test]
    fn new_priors_are_a_new_network(seed in any::<u64>()) {
        let (network, seen, mut random) = make(seed);
        let priors: Vec<_> = network.cause_ids().map(|_| p(random.between(0.0, 0.33))).collect();
        let changed = network.with_priors(&priors).unwrap();
        // The same by weights on the old one, where no prior was 0.
        let mut weights = Weights::ones(&network);
        for c in network.cause_ids() {
            if network.prior(c) == 0.0 {
                return Ok(());
            }
            weights.set(c, changed.prior(c) / network.prior(c));
            let rest = |n: &Network| 1.0 - n.siblings(c).map(|s| n.prior(s)).sum::<f64>();
            weights.set_in_order(c, rest(&changed) / rest(&network));
        }
        if let (Ok(old), Ok(new)) = (network.prepare(&seen), changed.prepare(&seen)) {
            prop_assert!(near(old.ln_evidence() + old.ratio(&weights).ln(), new.ln_evidence()));
        }
    }
}

#[test]
fn what_cannot_be_built_is_refused() {
    for value in [-0.1, 1.1, f64::NAN, f64::INFINITY] {
        assert!(Probability::new(value).is_err());
    }
    let mut builder = NetworkBuilder::default();
    assert_eq!(builder.root(&[]), Err(BuildError::NoState));
    assert!(matches!(builder.root(&[p(0.6), p(0.5)]), Err(BuildError::SumAboveOne(_))));
    let cause = builder.root(&[p(0.6), p(0.4)]).unwrap()[0];
    let twice = [(cause.into(), p(0.5)), (cause.into(), p(0.5))];
    assert_eq!(builder.node(p(0.1), &twice), Err(BuildError::DuplicateParent(cause.into())));
    let node = builder.node(p(0.1), &[]).unwrap();
    let mut other = NetworkBuilder::default();
    assert_eq!(other.node(p(0.1), &[(node.into(), p(0.5))]), Err(BuildError::UnknownParent(node.into())));
    let network = builder.build();
    assert!(matches!(
        network.with_priors(&[p(0.1)]),
        Err(BuildError::WrongNumberOfPriors { given: 1, causes: 2 })
    ));
    assert!(matches!(network.with_priors(&[p(0.9), p(0.2)]), Err(BuildError::SumAboveOne(_))));
    assert!(Likelihood::soft(0.0, 0.0).is_err() && Likelihood::soft(-1.0, 1.0).is_err());
    assert!(Likelihood::soft(f64::INFINITY, 1.0).is_err());
}
