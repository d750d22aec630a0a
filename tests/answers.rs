//! Every command that answers something does so for programs too: an object with `schema: 1`.

#![allow(clippy::unwrap_used, reason = "helpers outside of test functions may fail loudly too")]

use serde_json::Value;
use std::process::Command;

fn aftercast(arguments: &[&str]) -> std::process::Output {
    Command::new(env!("CARGO_BIN_EXE_aftercast"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env_remove("AFTERCAST_RULES")
        .env_remove("AFTERCAST_CASEBOOK")
        .env("XDG_DATA_HOME", std::env::temp_dir().join("aftercast-answers-none"))
        .output()
        .unwrap()
}

fn answer(arguments: &[&str]) -> Value {
    let output = aftercast(&[arguments, &["--format", "json"]].concat());
    let code = output.status.code();
    assert!(matches!(code, Some(0 | 1)), "{arguments:?}: {output:?}");
    assert!(output.stderr.is_empty(), "{arguments:?}: {output:?}");
    serde_json::from_slice(&output.stdout).unwrap()
}

const SHEET: &str = "sheets/heavy-ring.yaml";

/// A command, and a list that its answer holds: an empty object would do for no program.
const ALL: &[(&[&str], &str)] = &[
    (&["diagnose", "--defects", "pinholes", "--sheet", SHEET], "causes"),
    (&["diagnose", "--defects", "pinholes", "--sheet", SHEET, "--if", "flask.temperature=560 C"], "plan"),
    (&["check", SHEET], "limits"),
    (&["compare", SHEET, "tests/sheets/hot-flask.yaml"], "causes"),
    (&["casebook", "list"], "cases"),
    (&["casebook", "show", "called-it-gas"], "seen"),
    (&["casebook", "search", "white", "powder"], "cases"),
    (&["casebook", "like", "--signs", "round holes"], "cases"),
    (&["casebook", "teach"], "cases"),
    (&["compute", "weight", "--alloy", "sterling", "--wax", "14.2g"], "results"),
    (&["compute", "units", "28 inHg vacuum"], "results"),
    (&["rules", "show", "flask-too-hot"], "records"),
    (&["rules", "show", "misrun"], "records"),
    (&["rules", "graph"], "records"),
    (&["rules", "graph", "--focus", "lower-flask-step"], "links"),
    (&["rules", "sources"], "sources"),
    (&["rules", "score", "--cases", "tests/cases", "--case", "c046-trails-on-upright-faces"], "cases"),
];

#[test]
fn every_answer_is_an_object_with_its_schema() {
    for (arguments, field) in ALL {
        let answer = answer(arguments);
        assert_eq!(answer["schema"], 1, "{arguments:?}");
        let held = &answer[*field];
        let full = held.as_array().map_or(held.is_object(), |a| !a.is_empty());
        assert!(full, "{arguments:?} has no {field}: {held}");
    }
}

/// The list above is complete: a command with `--format json` in its help that is not in it fails here.
#[test]
fn no_answer_is_left_out() {
    let help = |words: &[&str]| {
        let output = aftercast(&[words, &["--help"]].concat());
        String::from_utf8(output.stdout).unwrap()
    };
    let commands = |words: &[&str]| -> Vec<String> {
        let text = help(words);
        let listed = text.split_once("Commands:").map_or("", |(_, rest)| rest);
        let rows = listed.lines().skip(1).take_while(|l| l.starts_with("  "));
        let names = rows.filter(|l| !l.starts_with("   ")).filter_map(|l| l.split_whitespace().next());
        names.map(str::to_owned).collect()
    };
    let mut missing = Vec::new();
    for top in commands(&[]) {
        let below = commands(&[&top]);
        let words: Vec<Vec<&str>> = if below.is_empty() {
            vec![vec![top.as_str()]]
        } else {
            below.iter().map(|b| vec![top.as_str(), b.as_str()]).collect()
        };
        for words in words {
            let text = help(&words);
            // Of the calculations two stand for all: they answer through one type.
            let covered = words[0] == "compute" || ALL.iter().any(|(a, _)| a.starts_with(&words));
            // Measured on the casebook in tests/rules, where they take their time.
            let elsewhere = ["strength"].contains(words.last().unwrap());
            let answers = text.contains("json");
            if answers && !covered && !elsewhere {
                missing.push(words.join(" "));
            }
        }
    }
    assert!(missing.is_empty(), "not asked for JSON: {missing:?}");
}

#[test]
fn a_record_in_json_says_what_the_screen_says() {
    let show = ["rules", "show", "flask-too-hot"];
    let screen = String::from_utf8(aftercast(&show).stdout).unwrap();
    let flat = screen.split_whitespace().collect::<Vec<_>>().join(" ");
    let answer = answer(&show);
    let record = &answer["records"][0];
    assert_eq!(record["kind"], "cause");
    assert!(flat.contains(record["title"].as_str().unwrap()));
    let parts = record["parts"].as_array().unwrap();
    assert!(parts.len() > 5);
    for part in parts {
        assert!(flat.contains(&format!("{}:", part["name"].as_str().unwrap())), "{part}");
        for line in part["lines"].as_array().unwrap() {
            let words: Vec<&str> = line.as_str().unwrap().split_whitespace().collect();
            assert!(flat.contains(&words.join(" ")), "{line}");
        }
    }
}

/// Every end of a link is a record of the same answer.
#[test]
fn the_graph_hangs_together() {
    let answer = answer(&["rules", "graph", "--focus", "gas-porosity"]);
    let key = |v: &Value| (v["kind"].as_str().unwrap().to_owned(), v["id"].as_str().unwrap().to_owned());
    let records: Vec<_> = answer["records"].as_array().unwrap().iter().map(key).collect();
    assert!(records.contains(&("defect".to_owned(), "gas-porosity".to_owned())));
    let links = answer["links"].as_array().unwrap();
    assert!(!links.is_empty());
    for link in links {
        assert!(records.contains(&key(&link["from"])) && records.contains(&key(&link["to"])), "{link}");
        assert!(link["strength"].as_f64().is_none_or(|s| s > 0.0 && s <= 1.0), "{link}");
    }
}
