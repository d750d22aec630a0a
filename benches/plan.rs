//! Plans: time at the shipped rules, and how far a plan is from the best of all sequences. `cargo bench --bench plan`
//!
//! Bounds that the project holds itself to: all remedies, pairs and the plan of one diagnosis within 150 ms; a plan
//! within 5 % of the cost of the best sequence of up to four steps.

use aftercast::advice::{Action, Costs, Effect, Harm, Model, Observation, Planner, Sureness, diagnose};
use aftercast::casebook;
use aftercast::inference::{CauseId, Evidence, Likelihood};
use aftercast::rules::names::FindingNames;
use aftercast::rules::shipped;
use aftercast::sheet::{catalogue, read_sheet};
use divan::{Bencher, black_box};
use std::time::Instant;

#[allow(dead_code, clippy::unwrap_used)]
#[path = "../tests/inference/random.rs"]
mod random;

use random::{Random, layered};

#[expect(clippy::print_stdout, reason = "the bench reports the gap and the slowest case")]
fn main() {
    let mut times = shipped_cases();
    times.sort_by(|a, b| a.1.total_cmp(&b.1));
    if let (Some(middle), Some(slowest)) = (times.get(times.len() / 2), times.last()) {
        println!(
            "a diagnosis with all remedies, pairs and the plan, over {} shipped cases: median {:.1} ms, worst {:.1} ms \
             ({})",
            times.len(),
            middle.1,
            slowest.1,
            slowest.0
        );
    }
    let gaps: Vec<f64> = (0..20).map(gap).collect();
    let mean = gaps.iter().sum::<f64>() / gaps.len() as f64;
    let worst = gaps.iter().copied().fold(0.0, f64::max);
    println!("plan over the best of all sequences to depth 4: mean {mean:.3} %, worst {worst:.3} %");
    divan::main();
}

/// Each shipped case with the time of its diagnosis in milliseconds, the least of five.
fn shipped_cases() -> Vec<(String, f64)> {
    let rules = shipped(&catalogue()).rules;
    let cases = casebook::shipped(&rules).cases.into_iter();
    cases
        .filter_map(|case| {
            let sheet = casebook::score::job(&rules, &case);
            let model = Model::focused(&rules, &sheet, &case.observations).ok()?;
            let one = || {
                let start = Instant::now();
                let done = diagnose(black_box(&model), &sheet, &case.observations);
                black_box(done.is_ok());
                start.elapsed().as_secs_f64() * 1000.0
            };
            Some((case.id.clone(), (0..5).map(|_| one()).fold(f64::INFINITY, f64::min)))
        })
        .collect()
}

/// A diagnosis with everything: causes, reasons, steps, pairs, plan.
#[divan::bench]
fn diagnosis_with_all_plans(bencher: Bencher<'_, '_>) {
    let rules = shipped(&catalogue()).rules;
    let sheet = read_sheet(&rules, "heavy-ring", include_bytes!("../sheets/heavy-ring.yaml")).sheet;
    let names = FindingNames::new(&rules);
    let seen: Vec<Observation> = ["pinholes", "misrun", "found-on-polishing", "pores-round-smooth"]
        .iter()
        .filter_map(|w| Some(Observation { finding: names.find(w)?, how: Sureness::Seen }))
        .collect();
    let Ok(model) = Model::focused(&rules, &sheet, &seen) else { return };
    bencher.bench_local(|| diagnose(black_box(&model), &sheet, &seen).is_ok());
}

/// How much more the plan costs than the best sequence, in percent.
fn gap(seed: u64) -> f64 {
    let mut random = Random(seed);
    let (network, nodes) = layered(&mut random, 12, 5, 6);
    let mut evidence = Evidence::new();
    random.pick(&nodes, 4).into_iter().for_each(|n| evidence.set(n, Likelihood::YES));
    let Ok(prepared) = network.prepare(&evidence) else { return 0.0 };
    let causes: Vec<CauseId> = network.cause_ids().collect();
    let quiet: Vec<f64> = causes.iter().map(|_| random.between(0.05, 1.0)).collect();
    let harm = Harm::new(&network, |c| quiet[c.index()], 0.97);
    let actions: Vec<Action> = (0..8)
        .map(|_| {
            let mut effect = Effect::none();
            for cause in random.pick(&causes, 3) {
                effect.cure(&network, cause, random.between(0.2, 0.95));
            }
            for cause in random.pick(&causes, 1) {
                effect.bring(&network, cause, random.between(0.0, 0.3));
            }
            Action { effort: random.log_between(5.0, 600.0), effect }
        })
        .collect();
    let costs = Costs { recast: 180.0, unsolved: 2400.0 };
    let planner = Planner::new(&network, &prepared, &harm, &actions, costs);
    let mut best = f64::INFINITY;
    let mut todo: Vec<Vec<usize>> = vec![Vec::new()];
    while let Some(order) = todo.pop() {
        best = best.min(planner.weigh(&order).minutes);
        if order.len() < 4 {
            let open = (0..actions.len()).filter(|a| !order.contains(a));
            todo.extend(open.map(|a| order.iter().copied().chain([a]).collect::<Vec<_>>()));
        }
    }
    100.0 * (planner.best(4).minutes / best - 1.0)
}
