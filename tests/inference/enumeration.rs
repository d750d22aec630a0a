//! Every quantity of the engine against the list of all joint states, on small random networks of any shape.

use std::collections::BTreeMap;

use aftercast::inference::{
    CauseId, Evidence, InferenceError, Likelihood, Limits, Network, Var, Weights, conflict, information,
    weights_of_evidence,
};

use crate::brute;
use crate::random::{Random, evidence, small};

pub(crate) fn close(what: &str, got: f64, want: f64, tolerance: f64) {
    assert!(got == want || (got - want).abs() <= tolerance, "{what}: {got} instead of {want}");
}

fn all_vars(network: &Network) -> Vec<Var> {
    network.cause_ids().map(Var::Cause).chain(network.node_ids().map(Var::Node)).collect()
}

/// Limits under which every branch of the engine is taken by networks that are small.
fn branches() -> [Limits; 4] {
    let plain = Limits::default();
    [
        plain,
        Limits { kept: 0, scratch_numbers: 6, ..plain },
        Limits { kept: 1, swept: 2, split: 60, split_runs: 1 << 20, scratch_numbers: 0, ..plain },
        Limits { swept: 1, split: 60, split_runs: 1 << 20, ..plain },
    ]
}

/// Returns how often several sweeps had to be added up.
fn check(seed: u64) -> usize {
    let mut split = 0;
    let mut random = Random(seed);
    let (roots, nodes) = (2 + random.below(4), 3 + random.below(5));
    let network = small(&mut random, roots, nodes);
    let count = random.below(6);
    let seen = evidence(&mut random, &network, count);
    let states = brute::states(&network);
    let z = brute::z(&states, &seen);
    if z < 1e-14 {
        // Rounding of the slow sum; that impossible evidence is refused is tested where it is certain.
        return 0;
    }
    for limits in branches() {
        let prepared = match network.prepare_within(&seen, &limits.exact()) {
            Ok(prepared) => prepared,
            // Hidden nodes that hang together without any root cannot be taken apart by fixing roots.
            Err(InferenceError::TooWide { .. }) if limits.swept < 3 => continue,
            Err(other) => panic!("seed {seed}: {other}"),
        };
        assert!(prepared.left_out().is_empty());
        split += usize::from(prepared.sweeps() > 1);
        close("ln P(E)", prepared.ln_evidence(), z.ln(), 1e-10);
        let posterior = prepared.posterior();
        for var in all_vars(&network) {
            let want = brute::posterior(&states, &seen, var);
            close(&format!("seed {seed} {limits:?} {var:?}"), posterior.of(var), want, 1e-10);
            close("absent", posterior.absent(var), 1.0 - want, 1e-10);
        }
        let active = prepared.posterior_active();
        for n in network.node_ids() {
            if let Some(p) = active.node(n) {
                close("active", p, posterior.node(n), 1e-12);
            }
        }
        for _ in 0..3 {
            let mut weights = Weights::ones(&network);
            for c in network.cause_ids() {
                if random.chance(0.5) {
                    weights.set(c, random.between(0.0, 2.0));
                }
                if random.chance(0.2) {
                    weights.multiply_in_order(c, random.between(0.0, 2.0));
                }
                if random.chance(0.1) {
                    weights.multiply(c, 0.0);
                }
            }
            let want = brute::weighted(&network, &states, &seen, &weights) / z;
            close(&format!("seed {seed} ratio"), prepared.ratio(&weights), want, 1e-10 * want.max(1.0));
        }
        let mut weights = Weights::ones(&network);
        brute::ancestors_of_present(&network, &seen).into_iter().for_each(|c| weights.set(c, 0.0));
        let want = brute::weighted(&network, &states, &seen, &weights) / z;
        close("none known", prepared.none_known(), want, 1e-10);
        check_explanations(seed, &network, &states, &seen, &mut random, |list, n| {
            prepared.explanations(list, n).unwrap()
        });
    }
    check_explain(&network, &states, &seen);
    check_information(&network, &states, &seen);
    split
}

fn check_explain(network: &Network, states: &[brute::State], seen: &Evidence) {
    let ln_odds = |seen: &Evidence, var: Var| {
        let on: f64 = states.iter().filter(|s| s.holds(var)).map(|s| brute::with_evidence(s, seen)).sum();
        let off: f64 = states.iter().filter(|s| !s.holds(var)).map(|s| brute::with_evidence(s, seen)).sum();
        on.ln() - off.ln()
    };
    let weights = weights_of_evidence(network, seen).unwrap();
    for c in network.cause_ids() {
        close("prior", weights.prior_ln_odds(c), ln_odds(&Evidence::new(), c.into()), 1e-9);
        close("posterior", weights.posterior_ln_odds(c), ln_odds(seen, c.into()), 1e-9);
        for (i, (finding, _)) in seen.iter().enumerate() {
            let (with, without) = (ln_odds(seen, c.into()), ln_odds(&seen.without(finding), c.into()));
            let want = if with == without { 0.0 } else { with - without };
            // Odds of the slow sum are noise where one side is zero but for rounding.
            if want.is_finite() && with.abs() < 30.0 && without.abs() < 30.0 {
                close("weight of evidence", weights.weight(i, c), want, 1e-9);
            }
        }
    }
    let alone: f64 =
        seen.iter().map(|item| brute::z(states, &[item].into_iter().collect::<Evidence>()).ln()).sum();
    close("conflict", conflict(network, seen).unwrap(), alone - brute::z(states, seen).ln(), 1e-10);
}

fn check_explanations(
    seed: u64,
    network: &Network,
    states: &[brute::State],
    seen: &Evidence,
    random: &mut Random,
    explain: impl Fn(Option<&[CauseId]>, usize) -> Vec<aftercast::inference::Explanation>,
) {
    let causes: Vec<CauseId> = network.cause_ids().collect();
    let few = random.pick(&causes, 3);
    let unseen: Vec<CauseId> = causes.iter().copied().filter(|&c| seen.get(c).is_none()).collect();
    for (list, named) in [(Some(few.as_slice()), &few), (None, &unseen)] {
        let mut joint: BTreeMap<Vec<CauseId>, f64> = BTreeMap::new();
        for s in states {
            let mut on: Vec<CauseId> = named.iter().copied().filter(|c| s.cause[c.index()]).collect();
            on.sort_unstable();
            *joint.entry(on).or_default() += brute::with_evidence(s, seen);
        }
        let z = brute::z(states, seen);
        let mut want: Vec<(Vec<CauseId>, f64)> = joint.into_iter().filter(|(_, v)| *v / z > 1e-13).collect();
        want.sort_by(|a, b| b.1.total_cmp(&a.1));
        let got = explain(list, 5);
        for (i, (_, mass)) in want.iter().take(5).enumerate() {
            close(&format!("seed {seed} explanation {i}"), got[i].probability, mass / z, 1e-10);
            // Ties may come in either order: look the state up.
            let same = want.iter().find(|(on, _)| *on == got[i].present).unwrap();
            close("state of explanation", got[i].probability, same.1 / z, 1e-10);
        }
    }
    assert!(explain(None, 0).is_empty());
}

fn check_information(network: &Network, states: &[brute::State], seen: &Evidence) {
    let h = |p: f64| {
        if p <= 1e-15 || p >= 1.0 - 1e-15 { 0.0 } else { -p * p.log2() - (1.0 - p) * (1.0 - p).log2() }
    };
    let nodes: Vec<_> = network.node_ids().filter(|&n| seen.get(n).is_none()).collect();
    for told in information(network, seen, &nodes).unwrap() {
        let p = brute::posterior(states, seen, told.node.into());
        close("p present", told.p_present, p, 1e-10);
        let mut want = 0.0;
        if p > 1e-9 && p < 1.0 - 1e-9 {
            let (yes, no) = (seen.with(told.node, Likelihood::YES), seen.with(told.node, Likelihood::NO));
            for c in network.cause_ids() {
                let of = |seen: &Evidence| h(brute::posterior(states, seen, c.into()));
                want += of(seen) - p * of(&yes) - (1.0 - p) * of(&no);
            }
        }
        close("bits", told.bits, want, 1e-8);
    }
}

#[test]
fn all_quantities_agree_with_enumeration_on_two_hundred_and_forty_networks() {
    let split: usize = (0..240).map(check).sum();
    assert!(split > 30, "only {split} times were several sweeps added up");
}

#[test]
fn a_state_seen_excludes_the_other_states_of_its_root() {
    let mut builder = aftercast::inference::NetworkBuilder::default();
    let p = crate::random::p;
    let states = builder.root(&[p(0.2), p(0.1), p(0.05)]).unwrap();
    let network = builder.build();
    let seen: Evidence = [(Var::Cause(states[1]), Likelihood::YES)].into_iter().collect();
    let posterior = network.prepare(&seen).unwrap().posterior();
    assert_eq!(states.iter().map(|&c| posterior.cause(c)).collect::<Vec<_>>(), [0.0, 1.0, 0.0]);
    let both = seen.with(states[0], Likelihood::YES);
    let error = network.prepare(&both).err();
    assert_eq!(error, Some(InferenceError::Impossible { finding: states[0].into() }));
}
