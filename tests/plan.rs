//! Remedies and plans against slow, obvious enumeration and against worked repair problems.

#![allow(clippy::unwrap_used)]

use aftercast::advice::{Action, Costs, Effect, Harm, Planner};
use aftercast::inference::{CauseId, Evidence, Likelihood, Network, NetworkBuilder, Probability, Var};

#[allow(dead_code)]
#[path = "inference/random.rs"]
mod random;

use random::{Random, p};

/// What a change does to one root, kept as it was asked for and not as a table.
#[derive(Debug, Clone)]
enum Asked {
    Graded { cures: Vec<(usize, f64)>, brings: Option<(usize, f64)> },
    Shift(Vec<f64>),
}

/// One root: its causes, and priors in order first.
struct Root {
    causes: Vec<CauseId>,
    prior: Vec<f64>,
}

fn roots(network: &Network) -> Vec<Root> {
    let first = network.cause_ids().filter(|c| network.siblings(*c).next() == Some(*c));
    first
        .map(|c| {
            let causes: Vec<CauseId> = network.siblings(c).collect();
            let mut prior = vec![0.0];
            prior.extend(causes.iter().map(|c| network.prior(*c)));
            prior[0] = 1.0 - prior.iter().sum::<f64>();
            Root { causes, prior }
        })
        .collect()
}

/// Chance that a root in state `from` is in state `to` at the next cast, straight from the definitions.
fn moves(root: &Root, asked: Option<&Asked>, from: usize, to: usize) -> f64 {
    let same = f64::from(u8::from(from == to));
    match asked {
        None => same,
        Some(Asked::Graded { cures, brings }) => {
            if from == 0 {
                match brings {
                    Some((state, b)) if to == *state => *b,
                    Some((_, b)) if to == 0 => 1.0 - b,
                    _ => same,
                }
            } else {
                let e = cures.iter().find(|(s, _)| *s == from).map_or(0.0, |(_, e)| *e);
                if to == 0 { e } else { same * (1.0 - e) }
            }
        }
        Some(Asked::Shift(new)) => {
            let old = &root.prior;
            if new[from] >= old[from] {
                return same;
            }
            let gained: f64 = (0..new.len()).map(|s| (new[s] - old[s]).max(0.0)).sum();
            let leaves = 1.0 - new[from] / old[from];
            if to == from { 1.0 - leaves } else { leaves * (new[to] - old[to]).max(0.0) / gained }
        }
    }
}

struct World {
    network: Network,
    evidence: Evidence,
    roots: Vec<Root>,
    /// Chance that a state of a root brings none of the watched defects.
    quiet: Vec<Vec<f64>>,
    no_leak: f64,
    asked: Vec<Vec<Option<Asked>>>,
}

fn world(seed: u64, root_count: usize, nodes: usize, changes: usize) -> World {
    let mut random = Random(seed);
    let mut builder = NetworkBuilder::default();
    let mut causes: Vec<CauseId> = Vec::new();
    let mut left = root_count;
    while left > 0 {
        let states = (1 + random.below(3)).min(left);
        let all: Vec<_> = (0..states).map(|_| p(random.between(0.02, 0.6 / states as f64))).collect();
        causes.extend(builder.root(&all).unwrap());
        left -= states;
    }
    let mut evidence = Evidence::new();
    let mut vars: Vec<Var> = causes.iter().copied().map(Var::Cause).collect();
    for at in 0..nodes {
        let parents: Vec<_> =
            random.pick(&vars, 4).into_iter().map(|v| (v, p(random.between(0.1, 0.95)))).collect();
        let node = builder.node(p(random.log_between(0.001, 0.1)), &parents).unwrap();
        vars.push(Var::Node(node));
        match at % 4 {
            0 | 1 => evidence.set(node, Likelihood::YES),
            2 => evidence.set(node, Likelihood::NO),
            _ => evidence.set(node, Likelihood::soft(0.2, 0.8).unwrap()),
        }
    }
    let network = builder.build();
    let roots = roots(&network);
    let quiet = roots
        .iter()
        .map(|r| {
            let mut q = vec![1.0];
            q.extend(
                r.causes.iter().map(|_| if random.chance(0.6) { random.between(0.0, 0.9) } else { 1.0 }),
            );
            q
        })
        .collect();
    let mut one = |root: &Root| -> Option<Asked> {
        let states = root.prior.len();
        match random.below(4) {
            0 => None,
            1 => {
                let mut new: Vec<f64> = (0..states).map(|_| random.between(0.01, 1.0)).collect();
                let sum: f64 = new.iter().sum();
                new.iter_mut().for_each(|n| *n /= sum);
                Some(Asked::Shift(new))
            }
            _ => Some(Asked::Graded {
                cures: (1..states).map(|s| (s, random.between(0.0, 1.0))).collect(),
                brings: random.chance(0.5).then(|| (1 + random.below(states - 1), random.between(0.0, 0.5))),
            }),
        }
    };
    let asked = (0..changes).map(|_| roots.iter().map(&mut one).collect()).collect();
    World { network, evidence, roots, quiet, no_leak: 0.97, asked }
}

impl World {
    fn effect(&self, change: usize) -> Effect {
        let mut effect = Effect::none();
        for (root, asked) in self.roots.iter().zip(&self.asked[change]) {
            match asked {
                None => {}
                Some(Asked::Shift(new)) => effect.shift(&self.network, root.causes[0], &new[1..]),
                Some(Asked::Graded { cures, brings }) => {
                    cures.iter().for_each(|(s, e)| effect.cure(&self.network, root.causes[s - 1], *e));
                    brings.iter().for_each(|(s, b)| effect.bring(&self.network, root.causes[s - 1], *b));
                }
            }
        }
        effect
    }

    fn harm(&self) -> Harm {
        let quiet = |cause: CauseId| {
            let all = self.roots.iter().zip(&self.quiet);
            let mut states = all.flat_map(|(r, q)| r.causes.iter().zip(&q[1..]));
            states.find(|(c, _)| **c == cause).map(|(_, q)| *q).unwrap()
        };
        Harm::new(&self.network, quiet, self.no_leak)
    }

    fn costs() -> Costs {
        Costs { recast: 180.0, unsolved: 2400.0 }
    }

    /// All joint states of the roots with P(state, evidence).
    fn states(&self) -> Vec<(Vec<usize>, f64)> {
        let mut all: Vec<(Vec<usize>, f64)> = vec![(Vec::new(), 1.0)];
        for root in &self.roots {
            all = all
                .into_iter()
                .flat_map(|(s, p)| {
                    root.prior.iter().enumerate().map(move |(state, prior)| {
                        let mut s = s.clone();
                        s.push(state);
                        (s, p * prior)
                    })
                })
                .collect();
        }
        all.into_iter()
            .map(|(s, p)| {
                let e = self.likelihood(&s);
                (s, p * e)
            })
            .collect()
    }

    /// P(evidence | states), every state of the nodes summed.
    fn likelihood(&self, states: &[usize]) -> f64 {
        let nodes: Vec<_> = self.network.node_ids().collect();
        let holds = |c: CauseId| {
            let mut all = self.roots.iter().zip(states);
            all.any(|(r, s)| *s > 0 && r.causes[*s - 1] == c)
        };
        let mut sum = 0.0;
        for on in 0..1_u32 << nodes.len() {
            let mut p = 1.0;
            for (at, node) in nodes.iter().enumerate() {
                let mut off = 1.0 - self.network.leak(*node);
                for (var, strength) in self.network.parents(*node) {
                    let present = match var {
                        Var::Cause(c) => holds(*c),
                        Var::Node(n) => on >> n.index() & 1 == 1,
                    };
                    if present {
                        off *= 1.0 - strength;
                    }
                }
                let present = on >> at & 1 == 1;
                let seen = self.evidence.get(*node);
                p *= match (present, seen) {
                    (true, s) => (1.0 - off) * s.map_or(1.0, |s| s.present()),
                    (false, s) => off * s.map_or(1.0, |s| s.absent()),
                };
            }
            sum += p;
        }
        sum
    }

    fn clean(&self, states: &[usize]) -> f64 {
        self.no_leak * states.iter().zip(&self.quiet).map(|(s, q)| q[*s]).product::<f64>()
    }

    fn next(&self, change: usize, states: &[usize]) -> Vec<(Vec<usize>, f64)> {
        let mut all: Vec<(Vec<usize>, f64)> = vec![(Vec::new(), 1.0)];
        for ((root, asked), from) in self.roots.iter().zip(&self.asked[change]).zip(states) {
            all = all
                .into_iter()
                .flat_map(|(s, p)| {
                    (0..root.prior.len())
                        .map(|to| (to, moves(root, asked.as_ref(), *from, to)))
                        .filter(|(_, m)| *m > 0.0)
                        .map(|(to, m)| {
                            let mut s = s.clone();
                            s.push(to);
                            (s, p * m)
                        })
                        .collect::<Vec<_>>()
                })
                .collect();
        }
        all
    }

    /// Chance that all of `order` fail from here, every path walked.
    fn fail(&self, order: &[usize], states: &[usize]) -> f64 {
        let Some((change, rest)) = order.split_first() else { return 1.0 };
        self.next(*change, states).iter().map(|(s, p)| p * (1.0 - self.clean(s)) * self.fail(rest, s)).sum()
    }
}

/// Every state, every next state, every path: failures of single changes, of pairs, of three in a row, and what a
/// failure says of each cause.
#[test]
fn chances_equal_the_walk_over_all_paths() {
    for seed in 0..25 {
        let world = world(seed, 2 + seed as usize % 4, 3 + seed as usize % 3, 3);
        let actions: Vec<Action> = (0..3).map(|c| Action { effort: 10.0, effect: world.effect(c) }).collect();
        let harm = world.harm();
        let prepared = world.network.prepare(&world.evidence).unwrap();
        let planner = Planner::new(&world.network, &prepared, &harm, &actions, World::costs());
        let states = world.states();
        let z: f64 = states.iter().map(|(_, p)| p).sum();
        for order in [vec![0], vec![1], vec![0, 1], vec![1, 0], vec![2, 0, 1]] {
            let failed = planner.weigh(&order).failed;
            for steps in 0..=order.len() {
                let walked: f64 =
                    states.iter().map(|(s, p)| p * world.fail(&order[..steps], s)).sum::<f64>() / z;
                assert!((walked - failed[steps]).abs() < 1e-9, "{seed} {order:?}: {walked} {failed:?}");
            }
            for (at, root) in world.roots.iter().enumerate() {
                for (state, cause) in root.causes.iter().enumerate() {
                    let with = states.iter().filter(|(s, _)| s[at] == state + 1);
                    let joint: f64 = with.map(|(s, p)| p * world.fail(&order, s)).sum();
                    let all: f64 = states.iter().map(|(s, p)| p * world.fail(&order, s)).sum();
                    let (_, _, told) = planner.teaches(&order, *cause);
                    assert!((joint / all - told).abs() < 1e-8, "{seed} {order:?}: {} {told}", joint / all);
                }
            }
        }
        // Both changes before one cast.
        let both: f64 = states
            .iter()
            .flat_map(|(s, p)| world.next(0, s).into_iter().map(move |(n, m)| (n, p * m)))
            .flat_map(|(s, p)| world.next(1, &s).into_iter().map(move |(n, m)| (n, p * m)))
            .map(|(s, p)| p * world.clean(&s))
            .sum::<f64>()
            / z;
        assert!((both - planner.at_once(&[0, 1]).solved()).abs() < 1e-9, "{seed}");
    }
}

/// A change that brings in what was not there is sound only if that brings nothing else either: every path walked, with
/// the state in which each root was at first.
#[test]
fn what_a_change_brings_in_is_harm() {
    for seed in 40..60 {
        let world = world(seed, 2 + seed as usize % 4, 3, 2);
        let mut random = Random(seed + 500);
        let loud: Vec<Vec<f64>> = world
            .roots
            .iter()
            .map(|r| std::iter::once(1.0).chain(r.causes.iter().map(|_| random.between(0.0, 1.0))).collect())
            .collect();
        let of = |table: &[Vec<f64>], cause: CauseId| {
            let mut states = world.roots.iter().zip(table).flat_map(|(r, q)| r.causes.iter().zip(&q[1..]));
            states.find(|(c, _)| **c == cause).map(|(_, q)| *q).unwrap()
        };
        let harm = Harm::with_what_is_brought(
            &world.network,
            |c| of(&world.quiet, c),
            |c| of(&loud, c),
            world.no_leak,
        );
        let sound = |first: &[usize], now: &[usize]| -> f64 {
            let brought = first.iter().zip(now).zip(&loud).filter(|((f, n), _)| f != n);
            world.clean(now) * brought.map(|((_, n), q)| q[*n]).product::<f64>()
        };
        fn fail(
            world: &World,
            order: &[usize],
            first: &[usize],
            now: &[usize],
            sound: &dyn Fn(&[usize], &[usize]) -> f64,
        ) -> f64 {
            let Some((change, rest)) = order.split_first() else { return 1.0 };
            let next = world.next(*change, now);
            next.iter().map(|(s, p)| p * (1.0 - sound(first, s)) * fail(world, rest, first, s, sound)).sum()
        }
        let actions: Vec<Action> = (0..2).map(|c| Action { effort: 10.0, effect: world.effect(c) }).collect();
        let prepared = world.network.prepare(&world.evidence).unwrap();
        let planner = Planner::new(&world.network, &prepared, &harm, &actions, World::costs());
        let states = world.states();
        let z: f64 = states.iter().map(|(_, p)| p).sum();
        for order in [vec![0], vec![1], vec![0, 1], vec![1, 0]] {
            let walked = states.iter().map(|(s, p)| p * fail(&world, &order, s, s, &sound)).sum::<f64>() / z;
            let failed = *planner.weigh(&order).failed.last().unwrap();
            assert!((walked - failed).abs() < 1e-9, "{seed} {order:?}: {walked} {failed}");
        }
        let now = prepared.posterior_active();
        for change in 0..2 {
            let (rise, fall) =
                harm.most_change(&world.network, &Effect::none(), &world.effect(change), |c| now.cause(c));
            let unchanged = planner.at_once(&[]).solved();
            let gain = planner.at_once(&[change]).solved() - unchanged;
            assert!((-fall - 1e-12..=rise + 1e-12).contains(&gain), "{seed}: {gain} in -{fall}..{rise}");
        }
    }
}

/// Up to fourteen causes: success of each change and of the pair, and what they spoil, that is the same for a set of
/// defects that hangs on two or three roots only; the move of each root is summed root by root. No change of a chance
/// is larger than the bound that the search passes changes over by.
#[test]
fn chances_equal_enumeration_with_fourteen_causes() {
    let all = [(100, 10), (101, 12), (102, 14), (103, 14), (104, 14), (105, 14)];
    for ((seed, causes), spoils) in all.into_iter().flat_map(|one| [(one, false), (one, true)]) {
        let mut world = world(seed, causes, 5, 2);
        if spoils {
            let mut random = Random(seed + 1000);
            for quiet in &mut world.quiet {
                let keep = random.chance(0.25);
                quiet
                    .iter_mut()
                    .skip(1)
                    .for_each(|q| *q = if keep { *q * random.between(0.0, 1.0) } else { 1.0 });
            }
            world.no_leak = 0.999;
        }
        let actions: Vec<Action> = (0..2).map(|c| Action { effort: 10.0, effect: world.effect(c) }).collect();
        let harm = world.harm();
        let prepared = world.network.prepare(&world.evidence).unwrap();
        let planner = Planner::new(&world.network, &prepared, &harm, &actions, World::costs());
        let states = world.states();
        let z: f64 = states.iter().map(|(_, p)| p).sum();
        let after = |changes: &[usize], states: &[usize]| -> f64 {
            let one = |at: usize, from: usize| {
                let root = &world.roots[at];
                let mut row: Vec<f64> =
                    (0..root.prior.len()).map(|s| f64::from(u8::from(s == from))).collect();
                for change in changes {
                    let asked = world.asked[*change][at].as_ref();
                    let to =
                        |t: usize| row.iter().enumerate().map(|(s, p)| p * moves(root, asked, s, t)).sum();
                    row = (0..row.len()).map(to).collect();
                }
                row.iter().zip(&world.quiet[at]).map(|(p, q)| p * q).sum::<f64>()
            };
            world.no_leak * states.iter().enumerate().map(|(at, s)| one(at, *s)).product::<f64>()
        };
        for changes in [vec![0], vec![1], vec![0, 1]] {
            let slow = states.iter().map(|(s, p)| p * after(&changes, s)).sum::<f64>() / z;
            let fast = planner.at_once(&changes).solved();
            assert!((slow - fast).abs() < 1e-9, "{seed} {changes:?}: {slow} {fast}");
        }
        let now = prepared.posterior_active();
        let chance = |changes: &[usize]| planner.at_once(changes).solved();
        let effect =
            |changes: &[usize]| changes.iter().fold(Effect::none(), |all, c| all.then(&actions[*c].effect));
        for (from, to) in [(vec![], vec![0]), (vec![], vec![1]), (vec![0], vec![0, 1]), (vec![1], vec![0])] {
            let (rise, fall) =
                harm.most_change(&world.network, &effect(&from), &effect(&to), |c| now.cause(c));
            let change = chance(&to) - chance(&from);
            assert!((-fall - 1e-12..=rise + 1e-12).contains(&change), "{seed}: {change} in -{fall}..{rise}");
        }
    }
}

/// The coupling gives the new distribution exactly and moves no more than the distributions differ.
#[test]
fn a_shift_moves_as_little_as_possible() {
    let mut random = Random(5);
    for _ in 0..200 {
        let mut builder = NetworkBuilder::default();
        let states = 1 + random.below(4);
        let old: Vec<f64> = (0..states).map(|_| random.between(0.0, 1.0 / states as f64)).collect();
        let new: Vec<f64> = (0..states).map(|_| random.between(0.0, 1.0 / states as f64)).collect();
        let all: Vec<Probability> = old.iter().map(|v| p(*v)).collect();
        let cause = builder.root(&all).unwrap()[0];
        let network = builder.build();
        let mut effect = Effect::none();
        effect.shift(&network, cause, &new);
        let whole = |v: &[f64]| -> Vec<f64> {
            std::iter::once(1.0 - v.iter().sum::<f64>()).chain(v.iter().copied()).collect()
        };
        let (old, new) = (whole(&old), whole(&new));
        let got = effect.push(&network, cause, &old);
        let mut stayed = 0.0;
        for (at, (g, n)) in got.iter().zip(&new).enumerate() {
            assert!((g - n).abs() < 1e-12);
            let mut only = vec![0.0; old.len()];
            only[at] = old[at];
            stayed += effect.push(&network, cause, &only)[at];
        }
        let apart: f64 = old.iter().zip(&new).map(|(o, n)| (o - n).max(0.0)).sum();
        assert!((1.0 - stayed - apart).abs() < 1e-12, "moved {} of {apart}", 1.0 - stayed);
    }
}

/// The worked repair problems: exactly one fault, each action cures one fault for certain.
#[test]
fn repair_problems_come_out_in_the_proved_order_at_the_proved_cost() {
    let text = include_str!("reference/noisy_or_golden.json");
    let golden: serde_json::Value = serde_json::from_str(text).unwrap();
    let problems = golden["repair"].as_array().unwrap();
    assert!(problems.len() >= 6);
    for problem in problems {
        let numbers = |key: &str| -> Vec<f64> {
            problem[key].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
        };
        let (chances, cost) = (numbers("p"), numbers("cost"));
        let order: Vec<usize> = numbers("order").into_iter().map(|v| v as usize).collect();
        let mut builder = NetworkBuilder::default();
        let all: Vec<Probability> = chances.iter().map(|v| p(*v)).collect();
        let faults = builder.root(&all).unwrap();
        let parents: Vec<_> = faults.iter().map(|c| (Var::Cause(*c), p(1.0))).collect();
        let broken = builder.node(p(0.0), &parents).unwrap();
        let network = builder.build();
        let mut evidence = Evidence::new();
        evidence.set(broken, Likelihood::YES);
        let prepared = network.prepare(&evidence).unwrap();
        let actions: Vec<Action> = faults
            .iter()
            .zip(&cost)
            .map(|(fault, cost)| {
                let mut effect = Effect::none();
                effect.cure(&network, *fault, 1.0);
                Action { effort: *cost, effect }
            })
            .collect();
        let harm = Harm::new(&network, |_| 0.0, 1.0);
        let costs = |unsolved| Costs { recast: 0.0, unsolved };
        let planner = Planner::new(&network, &prepared, &harm, &actions, costs(0.0));
        let expected = problem["expected_cost"].as_f64().unwrap();
        assert_eq!(planner.greedy(actions.len()), order);
        assert!((planner.weigh(&order).minutes - expected).abs() < 1e-9 * expected);
        // With a price on giving up, the search finds the same order.
        let planner = Planner::new(&network, &prepared, &harm, &actions, costs(5000.0));
        let best = planner.best(actions.len());
        assert_eq!(best.order, order);
        assert!((best.minutes - expected).abs() < 1e-6 * expected);
    }
}

/// Every sequence of up to four of seven changes: the plan costs at most 5 % more than the best.
#[test]
fn the_plan_is_near_the_best_of_all_sequences() {
    let mut worst: f64 = 1.0;
    for seed in 200..225 {
        let world = world(seed, 6, 5, 7);
        let mut random = Random(seed);
        let actions: Vec<Action> = (0..7)
            .map(|c| Action { effort: random.log_between(5.0, 600.0), effect: world.effect(c) })
            .collect();
        let harm = world.harm();
        let prepared = world.network.prepare(&world.evidence).unwrap();
        let planner = Planner::new(&world.network, &prepared, &harm, &actions, World::costs());
        let plan = planner.best(4);
        let mut best = planner.weigh(&[]).minutes;
        let mut todo: Vec<Vec<usize>> = vec![Vec::new()];
        while let Some(order) = todo.pop() {
            best = best.min(planner.weigh(&order).minutes);
            if order.len() < 4 {
                let open = (0..7).filter(|a| !order.contains(a));
                todo.extend(open.map(|a| order.iter().copied().chain([a]).collect::<Vec<_>>()));
            }
        }
        worst = worst.max(plan.minutes / best);
        assert!(plan.minutes <= 1.05 * best, "{seed}: {} and {best}", plan.minutes);
        assert!(plan.minutes >= best - 1e-6);
    }
    println!("largest gap {:.3} %", 100.0 * (worst - 1.0));
}
