//! The next sheet, other figures, two sheets side by side and the page, through the program itself.

#![allow(clippy::unwrap_used)]

mod common;

use aftercast::advice::{Model, what_if};
use aftercast::sheet::{apply_setting, catalogue, read_sheet};
use common::percent;
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

const SHEET: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/sheets/hot-flask.yaml");

fn aftercast(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_aftercast"))
        .args(arguments)
        .env("NO_COLOR", "1")
        .env_remove("AFTERCAST_RULES")
        .output()
        .unwrap()
}

fn text(arguments: &[&str]) -> String {
    let output = aftercast(arguments);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

fn json(arguments: &[&str]) -> Value {
    let with: Vec<&str> = arguments.iter().copied().chain(["--format", "json"]).collect();
    serde_json::from_str(&text(&with)).unwrap()
}

fn inside(folder: &tempfile::TempDir, name: &str) -> (PathBuf, String) {
    let path = folder.path().join(name);
    let shown = path.display().to_string();
    (path, shown)
}

fn diagnose(more: &[&str]) -> Vec<String> {
    let start = ["diagnose", "--defects", "pinholes,misrun", "--sheet", SHEET];
    start.iter().chain(more).map(|s| (*s).to_owned()).collect()
}

fn refs(all: &[String]) -> Vec<&str> {
    all.iter().map(String::as_str).collect()
}

/// The sheet that is written reads back as the old one with the plan's first figure, by the comparison command and
/// not by the code that wrote it; a second run leaves it alone.
#[test]
fn the_next_sheet_holds_the_first_step_and_is_not_overwritten() {
    let folder = tempfile::tempdir().unwrap();
    let (path, shown) = inside(&folder, "next.yaml");
    let given = ["diagnose", "--certain", "mould-gas-porosity", "--sheet", SHEET, "--next", &shown];
    let answer = json(&given);
    let first = &answer["plan"]["steps"][0]["remedy"];
    let remedy = answer["remedies"].as_array().unwrap().iter().find(|r| r["id"] == *first).unwrap();
    assert_eq!(remedy["step"]["field"], "flask.temperature");
    let written = std::fs::read_to_string(&path).unwrap();
    assert!(written.contains("# was 680 °C. Cast into a cooler flask"), "{written}");
    assert!(written.lines().all(|l| l.chars().count() <= 80), "{written}");
    let compared = json(&["compare", SHEET, &shown]);
    let differing = compared["differing"].as_array().unwrap();
    assert_eq!(differing.len(), 1, "{differing:?}");
    let to = remedy["step"]["to"].as_f64().unwrap();
    assert_eq!(differing[0]["b"], format!("{to} °C"));

    let again = aftercast(&given);
    assert_eq!(again.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&again.stderr).contains("is there already"));
    assert!(again.stdout.is_empty());
    assert_eq!(std::fs::read_to_string(&path).unwrap(), written);
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1, "no draft is left behind");
}

/// Everything that a sheet can say survives being written: the shop's own alloy, a note full of traps, facts, units.
#[test]
fn a_written_sheet_reads_back_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let (start, start_shown) = inside(&folder, "start.yaml");
    let sheet = "alloy:\n  title: \"house: alloy # 7\"\n  family: ag\n  composition: {Ag: 93 %, Cu: 6.5 %, Zn: 0.5 %}\n  \
                 solidus: 800 C\n  liquidus: 900 C\n  density: 10.3 g/cm3\n  revert-limit: 45 %\n  \
                 quench-after: [4 min, 12 min]\n  melt: {heavy: [960 C, 990 C]}\n  flask: {thin: [560 C, 650 C], heavy: [400 C, 480 C]}\n\
                 note: \"it's: {odd} # - 'yes' \\u202e *a &b\"\nmethod: vacuum-pressure\nrevert: 33.3 %\n\
                 melt: {temperature: 1850 F, purge-vacuum: 28 inHg vacuum}\nflask: {temperature: 640.5 C}\n\
                 mould: {binder: gypsum, water: 39.5 per 100, burnout-hold: 2.75 h}\ntree: {heaviest: 0.157 in, wax: 7.123 dwt}\n";
    std::fs::write(&start, sheet).unwrap();
    let (_, one) = inside(&folder, "one.yaml");
    let (_, two) = inside(&folder, "two.yaml");
    let to = |from: &str, to: &str, hold: &str| {
        text(&["diagnose", "--defects", "pinholes", "--sheet", from, "--if", hold, "--next", to]);
    };
    to(&start_shown, &one, "pour.vibration=37 s");
    to(&one, &two, "pour.vibration=41 s");
    let compared = json(&["compare", &start_shown, &two]);
    let differing = compared["differing"].as_array().unwrap();
    assert_eq!(differing.len(), 1, "{differing:?}");
    assert_eq!(differing[0]["field"], "pour.vibration");
    let (a, b) = (&compared["causes"], &compared["defects"]);
    let known = ["vibration-too-short", "moved-while-freezing"];
    for risk in a.as_array().unwrap().iter().filter(|r| !known.contains(&r["id"].as_str().unwrap())) {
        assert_eq!(risk["a"], risk["b"], "{risk}");
    }
    assert!(!b.as_array().unwrap().is_empty());
    assert!(std::fs::read_to_string(Path::new(&two)).unwrap().contains("house: alloy # 7"));
}

/// A cooler flask: the hot flask goes, the cold one comes, and misrun follows it.
#[test]
fn what_if_moves_causes_and_defects_the_right_way() {
    let answer = json(&refs(&diagnose(&["--if", "flask.temperature=420 C"])));
    let of = |list: &str, id: &str| {
        let all = answer["what_if"][list].as_array().unwrap();
        let one = all.iter().find(|c| c["id"] == id).unwrap();
        (one["before"].as_f64().unwrap(), one["after"].as_f64().unwrap())
    };
    let falls = |(before, after): (f64, f64)| after < before - 0.02;
    let rises = |(before, after): (f64, f64)| after > before + 0.005;
    assert!(falls(of("causes", "flask-too-hot")));
    assert!(rises(of("causes", "flask-too-cold")));
    assert!(falls(of("defects", "mould-gas-porosity")));
    assert!(rises(of("defects", "cold-shut")));
    let same = json(&refs(&diagnose(&["--if", "flask.temperature=680 C"])));
    for one in same["what_if"]["causes"].as_array().unwrap() {
        let (before, after) = (one["before"].as_f64().unwrap(), one["after"].as_f64().unwrap());
        assert!((before - after).abs() < 1e-12, "{one}");
    }
}

#[test]
fn wrong_figures_are_refused_in_words() {
    for (setting, words) in [
        ("flask.temperature=580", "580"),
        ("flask.temprature=580 C", "flask.temperature"),
        ("flask.temperature", "flask.temperature=580 C"),
        ("flask.temperature=9000 C", "cannot be"),
    ] {
        let output = aftercast(&refs(&diagnose(&["--if", setting])));
        assert_eq!(output.status.code(), Some(2), "{setting}");
        assert!(output.stdout.is_empty());
        assert!(String::from_utf8_lossy(&output.stderr).contains(words), "{setting}: {output:?}");
    }
    let both = aftercast(&["compare", "-", "-"]);
    assert_eq!(both.status.code(), Some(2));
    let none = aftercast(&["compare", SHEET, "no-such-sheet.yaml"]);
    assert_eq!(none.status.code(), Some(2));
}

/// What the screens say where no figure of the rules shows; the figures themselves are checked against the JSON.
#[test]
fn screens() {
    insta::with_settings!({filters => vec![(r"[AB]: (.|\n)*?\.yaml", "SHEET.yaml")]}, {
        insta::assert_snapshot!("compare_a_sheet_with_itself", text(&["compare", SHEET, SHEET]));
    });
    let folder = tempfile::tempdir().unwrap();
    let (_, shown) = inside(&folder, "next.yaml");
    let all = diagnose(&["--if", "flask.temperature=560 C", "--next", &shown]);
    let (screen, answer) = (text(&refs(&all)), json(&refs(&diagnose(&["--if", "flask.temperature=560 C"]))));
    assert!(screen.lines().all(|l| l.chars().count() <= 80 || l.contains("next.yaml")), "{screen}");
    let flat = screen.split_whitespace().collect::<Vec<_>>().join(" ");
    for step in answer["plan"]["steps"].as_array().unwrap().iter().skip(1) {
        let line = format!("Needed {}, then works {}.", percent(&step["needed"]), percent(&step["works"]));
        assert!(flat.contains(&line), "{line}");
    }
    let hot = answer["what_if"]["causes"].as_array().unwrap().iter().find(|c| c["id"] == "flask-too-hot");
    let hot = hot.unwrap();
    let line = format!(
        "flask too hot when the metal went in: {} -> {}",
        percent(&hot["before"]),
        percent(&hot["after"])
    );
    assert!(flat.contains(&line), "{line}");
    assert!(flat.contains("it teaches nothing"));
}

/// Two defects that want the flask moved both ways.
#[test]
fn opposite_wishes_are_named_with_a_window() {
    let folder = tempfile::tempdir().unwrap();
    let (path, shown) = inside(&folder, "mixed.yaml");
    let sheet = "alloy: 14k-yellow\nmethod: vacuum-pressure\nmelt: {temperature: 1000 C, cover: argon}\n\
                 flask: {temperature: 540 C}\nmould: {binder: gypsum}\ntree: {thinnest: 0.6 mm, heaviest: 4 mm}\n";
    std::fs::write(path, sheet).unwrap();
    let answer = json(&["diagnose", "--certain", "misrun,mould-gas-porosity", "--sheet", &shown]);
    let all = answer["opposites"].as_array().unwrap();
    let flask = all.iter().find(|o| o["field"] == "flask.temperature").unwrap();
    assert_eq!(flask["lower_for"], "mould-gas-porosity");
    assert_eq!(flask["higher_for"], "misrun");
    let number = |v: &Value| v.as_f64().unwrap();
    let (low, high) = (number(&flask["window"][0]), number(&flask["window"][1]));
    assert!(low <= high && low >= 300.0 && high <= 700.0);
    assert!(number(&flask["lower"]["after"]) < number(&flask["lower"]["before"]));
    assert!(number(&flask["higher"]["after"]) < number(&flask["higher"]["before"]));
    assert_eq!(flask["split_the_tree"], number(&flask["either_at_best"]) > 0.3);
}

fn page(more: &[&str]) -> (String, Value, tempfile::TempDir) {
    let folder = tempfile::tempdir().unwrap();
    let (path, shown) = inside(&folder, "report.html");
    let mut all = more.to_vec();
    all.extend(["--report", &shown]);
    let answer = json(&all);
    (std::fs::read_to_string(path).unwrap(), answer, folder)
}

/// Nothing a file or a caster says reaches the page as markup, and the page asks nothing of the network.
#[test]
fn hostile_text_stays_text() {
    let folder = tempfile::tempdir().unwrap();
    let (path, shown) = inside(&folder, "evil.yaml");
    let evil = "alloy:\n  title: \"<script>alert(1)</script>\"\n  family: ag\n  composition: {Ag: 92.5 %, Cu: 7.5 %}\n  \
                solidus: 802 C\n  liquidus: 893 C\nnote: \"</style><img src=x onerror=alert(2)>\\u0007\\u202e{{ 7*7 }}\"\n\
                flask: {temperature: 680 C}\n";
    std::fs::write(path, evil).unwrap();
    let (html, _, _) = page(&["diagnose", "--defects", "pinholes", "--sheet", &shown]);
    assert!(!html.contains("<script") && !html.contains("<img"), "markup came through");
    assert!(html.contains("&lt;script&gt;"));
    assert!(html.contains("{{ 7*7 }}"));
    assert!(!html.contains('\u{7}') && !html.contains('\u{202e}'));
    assert_eq!(html.matches("</style>").count(), 1);
    for trace in ["http://", "https://", "url(", "<link rel=\"stylesheet", "@import"] {
        assert!(!html.contains(trace), "{trace}");
    }
}

#[test]
fn a_page_is_overwritten_only_when_told() {
    let folder = tempfile::tempdir().unwrap();
    let (path, shown) = inside(&folder, "report.html");
    std::fs::write(&path, "mine").unwrap();
    let refused = aftercast(&refs(&diagnose(&["--report", &shown])));
    assert_eq!(refused.status.code(), Some(2));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "mine");
    let forced = aftercast(&refs(&diagnose(&["--report", &shown, "--force"])));
    assert!(forced.status.success());
    assert!(std::fs::read_to_string(&path).unwrap().starts_with("<!doctype html>"));
}

/// With nothing found, what-if says of every cause and every defect what the other sheet says by itself: figures,
/// facts, the alloy, and links that hold for some moulds, metals or sections only.
#[test]
fn what_if_with_nothing_found_is_the_risk_of_the_other_sheet() {
    let rules = aftercast::rules::shipped(&catalogue()).rules;
    let sheet = read_sheet(&rules, "heavy-ring", include_bytes!("../sheets/heavy-ring.yaml")).sheet;
    let model = Model::new(&rules, &sheet).unwrap();
    let settings: &[&[&str]] = &[
        &["flask.temperature=420 C"],
        &["tree.heaviest=0.8 mm", "tree.thinnest=0.5 mm"],
        &["melt.temperature=960 C", "melt.purge-cycles=0", "pour.casting-pressure=300 mbar"],
        &["mould.binder=phosphate-bonded"],
        &["method=spun", "melt.cover=open-air"],
        &["alloy=14k-red", "flask.temperature=560 C"],
        &["alloy=platinum", "mould.binder=phosphate", "melt.temperature=1850 C"],
        &["mould.burnout-hold=20 min", "flask.soak=5 min"],
    ];
    for all in settings {
        let mut changed = sheet.clone();
        for setting in *all {
            apply_setting(&rules, &mut changed, setting).unwrap();
        }
        let forward = what_if(&model, &changed, &[]).unwrap();
        let other = Model::new(&rules, &changed).unwrap();
        let prepared = other.network.prepare(&other.evidence(&[])).unwrap();
        let posterior = prepared.posterior();
        let mut moved = 0;
        for (key, chance) in &forward.causes {
            let alone = posterior.cause(other.cause(*key));
            assert!(
                (chance.after - alone).abs() < 1e-9,
                "{all:?} {}: {chance:?} {alone}",
                rules.cause(*key).id
            );
            moved += usize::from((chance.after - chance.before).abs() > 1e-3);
        }
        for (key, chance) in &forward.defects {
            let alone = posterior.node(other.defect(*key));
            assert!(
                (chance.after - alone).abs() < 1e-9,
                "{all:?} {}: {chance:?} {alone}",
                rules.defect(*key).id
            );
            moved += usize::from((chance.after - chance.before).abs() > 1e-3);
        }
        assert!(moved > 0, "{all:?} changes nothing");
    }
}

/// Facts and the alloy can be asked about too, and slips in them are refused with what is allowed.
#[test]
fn what_if_takes_facts_and_the_alloy() {
    let screen = text(&refs(&diagnose(&["--if", "mould.binder=phosphate", "--if", "alloy=14k-yellow"])));
    assert!(screen.contains("mould.binder: gypsum -> phosphate"), "{screen}");
    assert!(screen.contains("alloy: Sterling silver 925 -> 14 karat yellow gold"), "{screen}");
    for (setting, words) in [("mould.binder=sand", "gypsum, phosphate"), ("alloy=14k-yelow", "14k yellow")] {
        let output = aftercast(&refs(&diagnose(&["--if", setting])));
        assert_eq!(output.status.code(), Some(2), "{setting}");
        assert!(String::from_utf8_lossy(&output.stderr).contains(words), "{setting}: {output:?}");
    }
    let folder = tempfile::tempdir().unwrap();
    let (path, shown) = inside(&folder, "next.yaml");
    text(&refs(&diagnose(&["--if", "mould.binder=phosphate", "--next", &shown])));
    let written = std::fs::read_to_string(path).unwrap();
    assert!(written.contains("binder: phosphate"), "{written}");
    assert!(written.contains("mould.binder: gypsum -> phosphate"), "{written}");
}
