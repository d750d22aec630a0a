//! The commands that look after the rules, as real processes: what they print, how wide, and how they refuse.

use std::process::{Command, Output};

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_aftercast"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env_remove("AFTERCAST_RULES")
        .output()
        .expect("the program starts")
}

/// What a command that must succeed prints, no line wider than 80 columns.
fn screen(arguments: &[&str]) -> String {
    let output = run(arguments);
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{arguments:?}: {line}");
        assert!(!line.contains('\u{1b}'), "{arguments:?}: colour in a pipe");
    }
    text
}

fn json(arguments: &[&str]) -> serde_json::Value {
    let output = run(arguments);
    assert_eq!(output.status.code(), Some(0));
    let value: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(value["schema"], 1);
    value
}

const SMALL: &[&str] = &["--rules", "tests/rules/small", "rules"];

fn small(arguments: &[&str]) -> String {
    screen(&[SMALL, arguments].concat())
}

#[test]
fn a_small_rule_base_is_shown() {
    assert_eq!(small(&["check"]).lines().last(), Some("no fault found"));
    insta::assert_snapshot!("show_cause", small(&["show", "flask-hot"]));
    insta::assert_snapshot!("show_defect", small(&["show", "gas"]));
    insta::assert_snapshot!("show_sign_and_question", small(&["show", "round-pores"]));
    insta::assert_snapshot!("show_remedy", small(&["show", "cool-the-flask"]));
    insta::assert_snapshot!("show_alloy", small(&["show", "plain-silver"]));
    insta::assert_snapshot!("show_caution", small(&["show", "hot-metal"]));
}

#[test]
fn a_small_rule_base_is_drawn_and_sourced() {
    insta::assert_snapshot!("graph_whole", small(&["graph"]));
    insta::assert_snapshot!("graph_focus", small(&["graph", "--focus", "gas"]));
    insta::assert_snapshot!("graph_dot", small(&["graph", "--focus", "cool-the-flask", "--format", "dot"]));
    let svg = Command::new(env!("CARGO_BIN_EXE_aftercast"))
        .args([SMALL, &["graph", "--format", "svg"]].concat())
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program starts");
    insta::assert_snapshot!("graph_svg", String::from_utf8_lossy(&svg.stdout));
    insta::assert_snapshot!("sources", small(&["sources"]));
    assert_eq!(json(&[SMALL, &["sources", "--format", "json"]].concat())["published"], 1);
}

#[test]
fn a_small_rule_base_is_measured() {
    let with = |command: &'static str| [command, "--cases", "tests/rules/small-cases"];
    insta::assert_snapshot!("score", small(&with("score")));
    insta::assert_snapshot!("strength", small(&with("strength")));
    let score = json(&[SMALL, &with("score"), &["--format", "json"]].concat());
    assert_eq!(score["inside"]["cases"], 3);
    assert_eq!(score["cases"].as_array().map(Vec::len), Some(3));
    let strength = json(&[SMALL, &with("strength"), &["--format", "json", "--limit", "3"]].concat());
    assert_eq!(strength["numbers"].as_array().map(Vec::len), Some(3));
}

/// Every kind of record of the shipped rules, some of each.
#[test]
fn shipped_records_fit_the_screen() {
    for id in [
        "melt-open-to-air",
        "gas-porosity",
        "pores-round-smooth",
        "kind-of-fault",
        "button-shape",
        "lower-flask-step",
        "sterling-925",
        "platinum-950-ruthenium",
        "molten-metal",
        "misrun",
        "sulphur-smell",
    ] {
        let text = screen(&["rules", "show", id]);
        assert!(text.contains("basis: "), "{text}");
    }
    for id in ["misrun", "flask-too-hot", "hole-seen", "raise-flask-step", "kind-of-fault"] {
        let text = screen(&["rules", "graph", "--focus", id]);
        assert!(text.lines().count() <= 40 && text.contains(id), "{text}");
    }
    assert!(screen(&["rules", "graph"]).lines().count() <= 40);
    screen(&["rules", "sources"]);
    screen(&["rules", "score", "--cases", "tests/cases"]);
    screen(&["rules", "score", "--cases", "tests/cases", "--case", "c010-pits-under-the-skin"]);
}

/// A drawing in letters stands behind its words, the same in JSON; a fault without a shape has none.
#[test]
fn a_shape_is_drawn_with_its_words() {
    for id in ["misrun", "pores-round-smooth"] {
        let (text, answer) =
            (screen(&["rules", "show", id]), json(&["rules", "show", id, "--format", "json"]));
        let sketch = &answer["records"][0]["sketch"];
        let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let caption = sketch["caption"].as_str().expect("words");
        let at = flat.find(&format!("sketch: {caption}")).expect(caption);
        let lines: Vec<&str> =
            sketch["lines"].as_array().expect("lines").iter().filter_map(|l| l.as_str()).collect();
        assert!(text.contains(&lines.iter().map(|l| format!("  {l}\n")).collect::<String>()), "{text}");
        let first = lines[0].split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.find(&first).is_some_and(|drawn| drawn > at), "the words come first");
    }
    assert!(json(&["rules", "show", "zinc-loss", "--format", "json"])["records"][0]["sketch"].is_null());
}

#[test]
fn what_is_not_there_is_refused_with_a_way_out() {
    for (arguments, wanted) in [
        (&["rules", "show", "flask-to-hot"][..], "did you mean `flask-too-hot`?"),
        (&["rules", "graph", "--focus", "\u{1b}[31m"], "no rule has the id"),
        (
            &["rules", "score", "--cases", "tests/cases", "--case", "c010-pits-under-skin"],
            "did you mean `c010",
        ),
        (&["rules", "score", "--cases", "no/such/folder"], "cannot read no/such/folder"),
        (&["rules", "score", "--cases", "sheets"], "a case has no field"),
    ] {
        let output = run(arguments);
        let shown = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(shown.contains(wanted), "{arguments:?}: {shown}");
        assert!(!shown.contains('\u{1b}'), "{arguments:?}: {shown:?}");
    }
}
