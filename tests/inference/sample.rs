//! Joint states drawn given the evidence, against exact posteriors of single variables and of pairs.

use aftercast::inference::{Evidence, InferenceError, Likelihood, Limits, Network, Prepared, Var, World};

use crate::random::{Random, evidence, layered, small};

const DRAWS: usize = 3000;

/// Five standard errors and a little: seeded draws, so a pass stays a pass.
fn close(seen: usize, draws: usize, p: f64, what: &str) {
    // A posterior may round to just above 1.
    let (n, seen, p) = (draws as f64, seen as f64, p.min(1.0));
    let allowed = 5.0 * (n * p * (1.0 - p)).sqrt() + 3.0;
    assert!((seen - n * p).abs() <= allowed, "{what}: {seen} of {n}, exact {p}");
}

fn vars(network: &Network) -> Vec<Var> {
    network.cause_ids().map(Var::Cause).chain(network.node_ids().map(Var::Node)).collect()
}

fn agrees(network: &Network, seen: &Evidence, prepared: &Prepared<'_>, random: &mut Random) {
    let worlds = prepared.sample(DRAWS, random.next());
    assert_eq!(worlds.len(), DRAWS);
    let exact = prepared.posterior();
    let count = |f: &dyn Fn(&World) -> bool| worlds.iter().filter(|w| f(w)).count();
    for (var, likelihood) in seen.iter() {
        if likelihood == Likelihood::YES || likelihood == Likelihood::NO {
            let wanted = likelihood == Likelihood::YES;
            assert!(worlds.iter().all(|w| w.holds(var) == wanted), "{var:?} was seen {wanted}");
        }
    }
    for cause in network.cause_ids() {
        let at_once = |w: &World| network.siblings(cause).filter(|c| w.holds(*c)).count();
        assert!(worlds.iter().all(|w| at_once(w) <= 1));
        assert!(worlds.iter().all(|w| w.holds(cause) == w.causes().contains(&cause)));
    }
    let all = vars(network);
    for &var in &all {
        close(count(&|w| w.holds(var)), DRAWS, exact.of(var), &format!("{var:?}"));
    }
    for _ in 0..6 {
        let (a, b) = (all[random.below(all.len())], all[random.below(all.len())]);
        let p_a = exact.of(a);
        let p_both = match network.prepare(&seen.with(a, Likelihood::YES)) {
            Ok(given_a) => p_a * given_a.posterior().of(b),
            Err(InferenceError::Impossible { .. }) => 0.0,
            Err(other) => panic!("{other}"),
        };
        close(count(&|w| w.holds(a) && w.holds(b)), DRAWS, p_both, &format!("{a:?} and {b:?}"));
    }
}

#[test]
fn draws_agree_with_exact_posteriors_of_variables_and_pairs() {
    let mut possible = 0;
    for seed in 0..120 {
        let mut random = Random(seed);
        let (roots, nodes) = (1 + random.below(10), 1 + random.below(14));
        let network = small(&mut random, roots, nodes);
        let findings = random.below(8);
        let seen = evidence(&mut random, &network, findings);
        // Whole tables, tables computed again, and roots fixed state by state give the same distribution.
        let default = Limits::default();
        for limits in [
            default,
            Limits { kept_numbers: 0, scratch_numbers: 8, ..default },
            Limits { swept: 2, split: 26, split_runs: 4096, ..default },
        ] {
            let Ok(prepared) = network.prepare_within(&seen, &limits.exact()) else { continue };
            possible += 1;
            agrees(&network, &seen, &prepared, &mut random);
        }
    }
    assert!(possible > 150, "only {possible} cases had possible evidence");
}

#[test]
fn the_chance_of_a_node_in_a_state_averages_to_its_posterior() {
    let mut random = Random(5);
    let (network, nodes) = layered(&mut random, 30, 15, 40);
    let mut seen = Evidence::new();
    for n in random.pick(&nodes[15..], 4) {
        seen.set(n, Likelihood::YES);
    }
    let prepared = network.prepare(&seen).unwrap();
    let exact = prepared.posterior();
    // What nothing hangs on need not be drawn for that.
    let worlds = prepared.sample_without_leaves(DRAWS, 1);
    for node in nodes[15..].iter().copied().filter(|n| seen.get(*n).is_none()) {
        let mean = worlds.iter().map(|w| w.chance(&network, node)).sum::<f64>() / DRAWS as f64;
        // A chance spreads less than a yes or no of the same mean.
        let p = exact.node(node);
        assert!((mean - p).abs() < 5.0 * (p * (1.0 - p) / DRAWS as f64).sqrt() + 1e-3, "{mean} against {p}");
    }
}

#[test]
fn without_leaves_all_else_is_drawn_as_before() {
    let mut random = Random(11);
    let (network, nodes) = layered(&mut random, 30, 15, 40);
    let mut seen = Evidence::new();
    seen.set(nodes[20], Likelihood::YES);
    seen.set(nodes[21], Likelihood::soft(0.3, 0.7).unwrap());
    let prepared = network.prepare(&seen).unwrap();
    let exact = prepared.posterior();
    let worlds = prepared.sample_without_leaves(DRAWS, 2);
    for var in vars(&network) {
        let said = seen.get(var).is_some();
        let leaf = matches!(var, Var::Node(n) if nodes[15..].contains(&n));
        let count = worlds.iter().filter(|w| w.holds(var)).count();
        if leaf && !said {
            assert_eq!(count, 0, "{var:?}");
        } else {
            close(count, DRAWS, exact.of(var), &format!("{var:?}"));
        }
    }
}

#[test]
fn the_same_seed_draws_the_same() {
    let mut random = Random(9);
    let network = small(&mut random, 8, 12);
    let prepared = network.prepare(&Evidence::new()).unwrap();
    assert_eq!(prepared.sample(50, 3), prepared.sample(50, 3));
    assert_ne!(prepared.sample(50, 3), prepared.sample(50, 4));
}
