//! Advice that a caster can follow: a step goes the way that its remedy says, and nobody is told to mend what the
//! casting method does not have.

#![allow(clippy::unwrap_used)]

use serde_json::Value;
use std::io::Write as _;
use std::process::{Command, Stdio};

fn run(arguments: &[&str], input: &str) -> String {
    let mut child = Command::new(env!("CARGO_BIN_EXE_aftercast"))
        .args(arguments)
        .env("NO_COLOR", "1")
        .env_remove("AFTERCAST_RULES")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success());
    String::from_utf8(output.stdout).unwrap()
}

fn remedies(defects: &str, sheet: &str) -> Vec<Value> {
    let text =
        run(&["diagnose", "--defects", defects, "--sheet", "-", "--top", "200", "--format", "json"], sheet);
    let answer: Value = serde_json::from_str(&text).unwrap();
    answer["remedies"].as_array().unwrap().clone()
}

/// A deeper vacuum is a lower pressure, a longer vibration is no shorter one, a capped peak is not raised: each pair is
/// a sheet already past the value that the remedy names, and one that is not.
#[test]
fn a_step_never_goes_against_its_remedy() {
    let cases = [
        ("misrun", "deepen-casting-vacuum", "pour: {vacuum: 100 mbar}", "pour: {vacuum: 400 mbar}", -1.0),
        ("misrun", "shorten-transfer", "pour: {transfer-time: 10 s}", "pour: {transfer-time: 90 s}", -1.0),
        (
            "gas-porosity",
            "cast-on-temperature",
            "melt: {time-at-heat: 20 s}",
            "melt: {time-at-heat: 9 min}",
            -1.0,
        ),
        ("gas-porosity", "add-purge-cycles", "melt: {purge-cycles: 5}", "melt: {purge-cycles: 1}", 1.0),
        (
            "mould-gas-porosity",
            "cap-peak",
            "mould: {burnout-peak: 600 C}",
            "mould: {burnout-peak: 830 C}",
            -1.0,
        ),
        ("fins", "slow-ramp", "mould: {heating-rate: 100 K/h}", "mould: {heating-rate: 600 K/h}", -1.0),
        (
            "nodules",
            "restore-investing-vacuum",
            "mould: {investing-vacuum: 10 mbar}",
            "mould: {investing-vacuum: 90 mbar}",
            -1.0,
        ),
    ];
    for (defect, remedy, past, short, sign) in cases {
        let sheet = |line: &str| format!("alloy: sterling-925\nmethod: vacuum-pressure\n{line}\n");
        let has = |line: &str| remedies(defect, &sheet(line)).into_iter().find(|r| r["id"] == remedy);
        assert!(has(past).is_none(), "{remedy} is advised for {past}");
        let step = has(short).unwrap_or_else(|| panic!("{remedy} is not advised for {short}"));
        let (from, to) = (step["step"]["from"].as_f64().unwrap(), step["step"]["to"].as_f64().unwrap());
        assert!((to - from) * sign > 0.0, "{remedy}: {from} -> {to}");
    }
}

/// Poured by hand in the open: no flask gasket, no chamber, no force to hold, and no casting pressure to write down.
#[test]
fn who_pours_by_hand_is_told_nothing_of_machines() {
    let sheet = "alloy: sterling-925\nmethod: gravity\n";
    let ids: Vec<String> = ["misrun", "gas-porosity"]
        .into_iter()
        .flat_map(|d| remedies(d, sheet))
        .map(|r| r["id"].as_str().unwrap().to_owned())
        .collect();
    assert!(ids.iter().any(|id| id == "raise-pour-head"), "{ids:?}");
    for machine in [
        "renew-gasket",
        "add-purge-cycles",
        "find-chamber-leak",
        "hold-force-longer",
        "deepen-casting-vacuum",
        "raise-casting-pressure",
        "raise-spin-force",
    ] {
        assert!(!ids.iter().any(|id| id == machine), "{machine} is advised");
    }
    let screen = run(&["diagnose", "--defects", "misrun", "--sheet", "-"], sheet);
    let asked = screen.split("would tell most").nth(1).unwrap_or("");
    for machine in ["casting pressure", "spinning", "purge", "under the flask"] {
        assert!(!asked.contains(machine), "{asked}");
    }
}

/// Above the atmosphere there is no vacuum to read.
#[test]
fn a_pressure_over_the_atmosphere_is_no_vacuum() {
    assert!(!run(&["compute", "units", "30psi"], "").contains("inHg vacuum"));
    assert!(run(&["compute", "units", "500mbar"], "").contains("inHg vacuum"));
}

/// Said only what is not there, nothing can be called likely.
#[test]
fn nothing_but_absences_is_asked_back() {
    let screen = run(&["diagnose", "no fins, no porosity"], "");
    assert!(screen.contains("You named nothing that is there"), "{screen}");
    assert!(!screen.contains("What you saw fits"), "{screen}");
}

/// A starting sheet does not ask for two hours' wait because a table allows it.
#[test]
fn a_starting_sheet_waits_no_longer_than_half_an_hour() {
    let sheet = run(&["start", "--alloy", "germanium-sterling", "--section", "medium"], "");
    assert!(sheet.contains("quench-after: 30 min"), "{sheet}");
}
