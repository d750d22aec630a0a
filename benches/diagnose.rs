//! Speed of a diagnosis on the shipped rules. `cargo bench --bench diagnose`
//!
//! Bounds that the project holds itself to: all marginals of causes and defects in play with six findings under
//! 0.3 ms; the whole `diagnose` process under 30 times an empty clap program of the same build (compare
//! `cargo build --release --examples && target/release/examples/empty`).
#![allow(clippy::unwrap_used, reason = "a bench without rules must fail where it stands")]

use aftercast::advice::{Model, Observation, Sureness, diagnose};
use aftercast::inference::Evidence;
use aftercast::rules::names::FindingNames;
use aftercast::rules::{RuleBase, shipped};
use aftercast::sheet::{Sheet, catalogue, read_sheet};
use divan::{Bencher, black_box};
use std::process::{Command, Stdio};

fn main() {
    divan::main();
}

const SIX: [&str; 6] = [
    "pinholes",
    "pores-round-smooth",
    "pores-just-under-skin",
    "pores-in-heavy-section",
    "found-on-polishing",
    "yellow-mould-round-piece",
];

struct Job {
    rules: RuleBase,
    sheet: Sheet,
    observations: Vec<Observation>,
}

fn job() -> Job {
    let rules = shipped(&catalogue()).rules;
    let text = include_bytes!("../sheets/heavy-ring.yaml");
    let sheet = read_sheet(&rules, "sheets/heavy-ring.yaml", text).sheet;
    let names = FindingNames::new(&rules);
    let observations = SIX
        .iter()
        .filter_map(|word| Some(Observation { finding: names.find(word)?, how: Sureness::Seen }))
        .collect::<Vec<_>>();
    assert_eq!(observations.len(), SIX.len(), "the words of the bench are in the rules");
    Job { rules, sheet, observations }
}

fn evidence(model: &Model<'_>, job: &Job) -> Evidence {
    model.evidence(&job.observations)
}

/// Reduction, order, forward and backward sweep: every cause and every defect in play.
#[divan::bench]
fn query_with_six_findings(bencher: Bencher<'_, '_>) {
    let job = job();
    let Ok(model) = Model::focused(&job.rules, &job.sheet, &job.observations) else { return };
    let evidence = evidence(&model, &job);
    let Some(first) = job.rules.cause_keys().next().map(|c| model.cause(c)) else { return };
    bencher.bench(|| {
        model.network.prepare(black_box(&evidence)).map(|p| p.posterior_active().cause(first)).ok()
    });
}

/// Causes with reasons, defects, remedies with what they may spoil.
#[divan::bench]
fn whole_diagnosis(bencher: Bencher<'_, '_>) {
    let job = job();
    let Ok(model) = Model::focused(&job.rules, &job.sheet, &job.observations) else { return };
    bencher.bench(|| {
        diagnose(black_box(&model), &job.sheet, &job.observations).map(|d| d.causes.len()).unwrap_or(0)
    });
}

#[divan::bench]
fn load_shipped_rules(bencher: Bencher<'_, '_>) {
    let quantities = catalogue();
    bencher.bench(|| shipped(black_box(&quantities)).rules.causes.len());
}

#[divan::bench]
fn build_model(bencher: Bencher<'_, '_>) {
    let job = job();
    bencher.bench(|| {
        Model::focused(black_box(&job.rules), &job.sheet, &job.observations)
            .map(|m| m.network.causes())
            .unwrap_or(0)
    });
}

#[divan::bench(sample_count = 30)]
fn process_diagnose() -> bool {
    let defects = SIX.join(",");
    run(&[
        "diagnose",
        "--defects",
        &defects,
        "--sheet",
        concat!(env!("CARGO_MANIFEST_DIR"), "/sheets/heavy-ring.yaml"),
    ])
}

/// The same binary with nothing to load.
#[divan::bench(sample_count = 30)]
fn process_version() -> bool {
    run(&["--version"])
}

fn run(arguments: &[&str]) -> bool {
    let status = Command::new(env!("CARGO_BIN_EXE_aftercast"))
        .args(arguments)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    status.is_ok_and(|s| s.success())
}
