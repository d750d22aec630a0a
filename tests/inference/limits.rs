//! Evidence that hangs together widely: the branches agree, intervals hold, and refusals say why.

use aftercast::inference::{
    Evidence, InferenceError, Likelihood, Limits, Network, NetworkBuilder, NodeId, Var, Weights, conflict,
};

use crate::enumeration::close;
use crate::random::{Random, layered, p};

/// Half of the findings present by coin, whatever the network thinks of it: wide.
fn contradictory(seed: u64, findings: usize) -> (Network, Evidence) {
    let mut random = Random(seed);
    let (network, nodes) = layered(&mut random, 30, 16, 40);
    let signs = &nodes[16..];
    let evidence = random
        .pick(signs, findings)
        .into_iter()
        .map(|n| (Var::Node(n), if random.chance(0.6) { Likelihood::YES } else { Likelihood::NO }));
    let evidence = evidence.collect();
    (network, evidence)
}

fn same(network: &Network, evidence: &Evidence, limits: &Limits, what: &str) {
    let plain = network.prepare(evidence).unwrap();
    let other = network.prepare_within(evidence, &limits.exact()).unwrap();
    close(what, other.ln_evidence(), plain.ln_evidence(), 1e-10);
    let (a, b) = (plain.posterior(), other.posterior());
    for c in network.cause_ids() {
        close(what, b.cause(c), a.cause(c), 1e-11);
    }
    for n in network.node_ids() {
        close(what, b.node(n), a.node(n), 1e-11);
    }
    let mut weights = Weights::ones(network);
    network.cause_ids().step_by(3).for_each(|c| weights.set(c, 0.2));
    close(what, other.ratio(&weights), plain.ratio(&weights), 1e-11);
    close(what, other.none_known(), plain.none_known(), 1e-11);
    let list: Vec<_> = network.cause_ids().take(5).collect();
    let (a, b) = (plain.explanations(Some(&list), 3).unwrap(), other.explanations(Some(&list), 3).unwrap());
    for (a, b) in a.iter().zip(&b) {
        close(what, b.probability, a.probability, 1e-11);
    }
}

#[test]
fn tables_computed_again_and_fixed_roots_agree_with_one_kept_sweep() {
    for seed in 0..6 {
        let (network, evidence) = contradictory(seed, 14);
        let width = network.width(&evidence).unwrap();
        let plain = Limits::default();
        same(&network, &evidence, &Limits { kept: 0, ..plain }, "not kept");
        same(&network, &evidence, &Limits { kept: 0, scratch_numbers: 64, ..plain }, "computed again");
        same(&network, &evidence, &Limits { kept_numbers: 1 << 10, ..plain }, "too many numbers to keep");
        if width > 3 {
            let limits = Limits { swept: width - 2, split_runs: 1 << 14, ..plain };
            same(&network, &evidence, &limits, "fixed roots");
            assert!(network.prepare_within(&evidence, &limits).unwrap().sweeps() > 1);
        }
    }
}

#[test]
fn intervals_hold_and_say_what_was_left_out() {
    let mut bounded = 0;
    for seed in 0..20 {
        let (network, evidence) = contradictory(100 + seed, 16);
        let exact = network.prepare(&evidence).unwrap();
        let width = exact.width();
        if width < 5 {
            continue;
        }
        let truth = exact.posterior();
        for less in [1, 3] {
            let limits = Limits { swept: width - less, split: 0, ..Limits::default() };
            let prepared = network.prepare_within(&evidence, &limits).unwrap();
            assert!(prepared.width() <= width - less);
            let posterior = prepared.posterior();
            let bound = posterior.approximation.as_ref().unwrap();
            assert!(!bound.dropped().is_empty());
            assert_eq!(bound.dropped(), prepared.left_out());
            bounded += 1;
            let inside = |what: &str, (low, high): (f64, f64), value: f64| {
                assert!(
                    low <= value + 1e-12 && value <= high + 1e-12,
                    "{what}: {value} not in {low}..{high}"
                );
            };
            for c in network.cause_ids() {
                inside("cause", bound.cause(c), truth.cause(c));
                inside("estimate", bound.cause(c), posterior.cause(c));
            }
            for n in network.node_ids() {
                inside("node", bound.node(n), truth.node(n));
            }
            inside("ln P(E)", bound.ln_evidence(), truth.ln_evidence());
            let mut weights = Weights::ones(&network);
            network.cause_ids().step_by(2).for_each(|c| weights.set(c, 0.5));
            inside("ratio", prepared.ratio_interval(&weights), exact.ratio(&weights));
            let refused = network.prepare_within(&evidence, &limits.exact()).err();
            assert_eq!(refused, Some(InferenceError::TooWide { width, limit: width - less }));
            let refused = prepared.explanations(None, 3).err();
            assert_eq!(refused, Some(InferenceError::TooWide { width, limit: width - less }));
        }
    }
    assert!(bounded >= 10, "{bounded}");
}

#[test]
fn observed_nodes_above_others_can_be_left_out_as_well() {
    for seed in 0..30 {
        let mut random = Random(900 + seed);
        let (network, nodes) = layered(&mut random, 12, 7, 10);
        let evidence: Evidence = random
            .pick(&nodes, 9)
            .into_iter()
            .map(|n| {
                let likelihood = match random.below(4) {
                    0 => Likelihood::NO,
                    1 => Likelihood::soft(random.between(0.05, 0.4), random.between(0.4, 1.0)).unwrap(),
                    _ => Likelihood::YES,
                };
                (Var::Node(n), likelihood)
            })
            .collect();
        let truth = network.prepare(&evidence).unwrap().posterior();
        for swept in 1..truth.width() {
            let limits = Limits { swept, split: 0, ..Limits::default() };
            let posterior = network.prepare_within(&evidence, &limits).unwrap().posterior();
            let bound = posterior.approximation.as_ref().unwrap();
            for c in network.cause_ids() {
                let (low, high) = bound.cause(c);
                assert!(low <= truth.cause(c) + 1e-12 && truth.cause(c) <= high + 1e-12, "seed {seed}");
            }
            let (low, high) = bound.ln_evidence();
            assert!(low <= truth.ln_evidence() + 1e-12 && truth.ln_evidence() <= high + 1e-12, "seed {seed}");
        }
    }
}

#[test]
fn an_adversarial_grid_is_answered_with_intervals() {
    // Forty findings over forty causes, each over a random third of them: nothing can be taken apart.
    let mut random = Random(7);
    let mut builder = NetworkBuilder::default();
    let causes: Vec<Var> = (0..40).map(|_| builder.root(&[p(0.1)]).unwrap()[0].into()).collect();
    let mut evidence = Evidence::new();
    for _ in 0..40 {
        let parents: Vec<_> = random.pick(&causes, 13).into_iter().map(|v| (v, p(0.3))).collect();
        evidence.set(builder.node(p(0.05), &parents).unwrap(), Likelihood::YES);
    }
    let network = builder.build();
    let limits = Limits { swept: 12, split: 14, ..Limits::default() };
    let posterior = network.prepare_within(&evidence, &limits).unwrap().posterior();
    let bound = posterior.approximation.unwrap();
    assert!(bound.dropped().len() >= 20);
    assert!(bound.ln_factor() > 0.0);
    for c in network.cause_ids() {
        let (low, high) = bound.cause(c);
        assert!((0.0..=1.0).contains(&low) && low <= high && high <= 1.0);
    }
    assert!(matches!(
        network.prepare_within(&evidence, &limits.exact()),
        Err(InferenceError::TooWide { .. })
    ));
}

#[test]
fn the_finding_that_makes_the_evidence_impossible_is_named() {
    let mut builder = NetworkBuilder::default();
    let a = builder.root(&[p(0.2)]).unwrap()[0];
    let b = builder.root(&[p(0.3), p(0.1)]).unwrap();
    let one = builder.node(p(0.0), &[(b[0].into(), p(0.5)), (a.into(), p(0.5))]).unwrap();
    let two = builder.node(p(0.0), &[(b[1].into(), p(0.5)), (a.into(), p(0.7))]).unwrap();
    let other = builder.node(p(0.1), &[(a.into(), p(0.5))]).unwrap();
    let network = builder.build();
    let impossible = |items: &[(Var, Likelihood)]| {
        network.prepare(&items.iter().copied().collect()).err().map(|error| match error {
            InferenceError::Impossible { finding } => finding,
            other => panic!("{other}"),
        })
    };
    let (yes, no) = (Likelihood::YES, Likelihood::NO);
    // Without `a`, one needs the first and two the second state of the same root.
    let parts: [(Var, Likelihood); 4] =
        [(other.into(), yes), (one.into(), yes), (two.into(), yes), (a.into(), no)];
    assert_eq!(impossible(&parts), Some(a.into()));
    assert_eq!(impossible(&[parts[3], parts[2], parts[1], parts[0]]), Some(one.into()));
    assert_eq!(impossible(&[parts[3], parts[0], parts[1], parts[2]]), Some(two.into()));
    assert_eq!(impossible(&[parts[0], parts[1], parts[2]]), None);
    let twice: Evidence = [(Var::Node(one), yes), (Var::Node(one), no)].into_iter().collect();
    assert_eq!(network.prepare(&twice).err(), Some(InferenceError::Impossible { finding: one.into() }));
    assert!(conflict(&network, &twice).is_err());
}

#[test]
fn strangers_are_refused() {
    let network = NetworkBuilder::default().build();
    let mut builder = NetworkBuilder::default();
    let cause = builder.root(&[p(0.5)]).unwrap()[0];
    let node: NodeId = builder.node(p(0.1), &[]).unwrap();
    for var in [Var::Cause(cause), Var::Node(node)] {
        let evidence: Evidence = [(var, Likelihood::YES)].into_iter().collect();
        assert_eq!(network.prepare(&evidence).err(), Some(InferenceError::Unknown(var)));
    }
    assert_eq!(network.prepare(&Evidence::new()).unwrap().posterior().ln_evidence(), 0.0);
}

#[test]
fn hundreds_of_improbable_findings_do_not_underflow() {
    let mut builder = NetworkBuilder::default();
    let mut evidence = Evidence::new();
    let causes: Vec<Var> = (0..60).map(|_| builder.root(&[p(0.001)]).unwrap()[0].into()).collect();
    for pair in causes.windows(2) {
        let parents = [(pair[0], p(0.5)), (pair[1], p(0.4))];
        evidence.set(builder.node(p(1e-4), &parents).unwrap(), Likelihood::YES);
    }
    let network = builder.build();
    let posterior = network.prepare(&evidence).unwrap().posterior();
    assert!(posterior.ln_evidence() < -150.0 && posterior.ln_evidence() > -575.0);
    assert!(network.cause_ids().all(|c| (0.0..=1.0).contains(&posterior.cause(c))));
    // Seven hundred powers of ten below one: refused rather than answered with noise.
    let mut builder = NetworkBuilder::default();
    let mut evidence = Evidence::new();
    for _ in 0..100 {
        evidence.set(builder.root(&[p(1e-7)]).unwrap()[0], Likelihood::YES);
    }
    let network = builder.build();
    assert!(matches!(network.prepare(&evidence), Err(InferenceError::Impossible { .. })));
}

#[test]
fn deep_ladders_are_no_trouble_with_and_without_evidence() {
    // Each rung hangs on the two before it: 300 layers.
    let mut builder = NetworkBuilder::default();
    let mut vars: Vec<Var> =
        vec![builder.root(&[p(0.3)]).unwrap()[0].into(), builder.root(&[p(0.1)]).unwrap()[0].into()];
    for i in 0..300 {
        let parents = [(vars[i], p(0.5)), (vars[i + 1], p(0.45))];
        vars.push(builder.node(p(0.01), &parents).unwrap().into());
    }
    let network = builder.build();
    let nothing = network.prepare(&Evidence::new()).unwrap().posterior();
    let last = vars[301];
    let yes = network.prepare(&[(last, Likelihood::YES)].into_iter().collect::<Evidence>()).unwrap();
    close("last rung", yes.ln_evidence(), nothing.of(last).ln(), 1e-9);
    assert!(yes.width() <= 3);
    // Passing the evidence on one rung higher gives the middle one too.
    let middle = vars[150];
    let both = [(last, Likelihood::YES), (middle, Likelihood::YES)].into_iter().collect::<Evidence>();
    let both = network.prepare(&both).unwrap().ln_evidence();
    close("middle rung", yes.posterior().of(middle), (both - yes.ln_evidence()).exp(), 1e-10);
}

#[test]
fn prepared_evidence_may_be_shared_between_threads() {
    fn shared<T: Send + Sync>() {}
    shared::<aftercast::inference::Prepared<'_>>();
    shared::<Network>();
}
