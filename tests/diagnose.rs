//! `aftercast diagnose` as a caster meets it: a real process, words in, a screen or JSON out.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test ends by panicking"
)]

use std::io::Write as _;
use std::process::{Command, Output, Stdio};

const SHEET: &str = "sheets/heavy-ring.yaml";

fn command(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_aftercast"));
    command
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env_remove("AFTERCAST_RULES")
        .env_remove("CLICOLOR_FORCE")
        .env_remove("NO_COLOR")
        .arg("diagnose")
        .args(arguments);
    command
}

fn run(arguments: &[&str]) -> Output {
    command(arguments).output().unwrap()
}

/// The answer of a run that must succeed.
fn answer(arguments: &[&str]) -> String {
    let output = run(arguments);
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{arguments:?}: {said}");
    assert!(said.is_empty(), "{said}");
    String::from_utf8(output.stdout).unwrap()
}

/// The message of a run that must be refused as wrong use.
fn refusal(arguments: &[&str]) -> String {
    let output = run(arguments);
    assert_eq!(output.status.code(), Some(2), "{arguments:?}");
    assert!(output.stdout.is_empty(), "a refused run answers nothing");
    let said = String::from_utf8(output.stderr).unwrap();
    fits(&said);
    said
}

/// No line wider than a screen, nothing that steers a terminal.
fn fits(text: &str) {
    for line in text.lines() {
        assert!(textwrap::core::display_width(line) <= 80, "too wide: {line}");
        assert!(!line.contains(|c: char| c.is_control()), "a control character in {line:?}");
    }
}

#[test]
fn four_typical_diagnoses() {
    for (name, arguments) in [
        ("pores_in_a_heavy_ring", &["--defects", "pinholes", "--signs", "round holes", "--sheet", SHEET][..]),
        ("did_not_fill", &["--defects", "didn't fill", "--alloy", "18k yellow", "--top", "3"]),
        (
            "cracked_rose_gold",
            &["--signs", "snaps-without-bending,soft-after-heat-and-quench", "--alloy", "gold-18k-rose"],
        ),
        (
            "beads_and_no_fins",
            &["--defects", "nodules", "--absent", "fins", "--probably", "water-marks", "--top", "2"],
        ),
    ] {
        let text = answer(arguments);
        fits(&text);
        insta::assert_snapshot!(name, text);
    }
}

#[test]
fn unknown_words_get_their_neighbours() {
    let said = refusal(&["--defects", "pinhoules,misrunn", "--signs", "round hols,qqqqqq"]);
    for word in ["pinhoules", "misrunn", "round hols", "qqqqqq"] {
        assert!(said.contains(&format!("`{word}`")), "every unknown word is named: {said}");
    }
    assert!(said.contains("pinholes") && said.contains("misrun") && said.contains("round holes"), "{said}");
    assert!(said.contains("nothing like it is known"), "{said}");
    let said = refusal(&["--defects", "pinholes", "--alloy", "sterlin"]);
    assert!(said.contains("no alloy `sterlin`") && said.contains("sterling"), "{said}");
}

#[test]
fn nothing_said_and_too_much_said() {
    assert!(refusal(&[]).contains("nothing was said"));
    assert!(refusal(&["--defects", " , "]).contains("nothing was said"));
    assert!(refusal(&["--defects", "misrun", "--top", "0"]).contains("--top"));
    assert!(refusal(&["--defects", "misrun", "--format", "xml"]).contains("json"));
    assert!(refusal(&["--certain", "pores-round-smooth"]).contains("--certain takes defects"));
    assert!(
        refusal(&["--defects", "misrun", "--sheet", "there-is-none.yaml"]).contains("there-is-none.yaml")
    );
}

#[test]
fn the_same_thing_there_and_not_there_is_refused() {
    let said = refusal(&["--defects", "pinholes", "--absent", "gas holes"]);
    assert!(said.contains("both to be there and not to be"), "{said}");
}

#[test]
fn findings_that_exclude_each_other_are_refused_by_name() {
    // A rule base in which the sign cannot be there without the defect.
    let folder = tempfile::tempdir().unwrap();
    let rules = [
        ("signs.yaml", "- {id: hole-seen, title: Holes, look: Look., leak: 0, basis: memory}\n"),
        (
            "defects.yaml",
            "- {id: gas-porosity, title: Gas porosity, class: cavity, leak: 0, what: Holes., shows: {hole-seen: 1}, \
             basis: memory}\n",
        ),
        (
            "causes.yaml",
            "- {id: wet, title: Wet, base: 0.1, produces: {gas-porosity: 0.5}, because: Water., basis: memory}\n",
        ),
    ];
    for (name, text) in rules {
        std::fs::write(folder.path().join(name), text).unwrap();
    }
    let rules = folder.path().to_str().unwrap();
    let said = refusal(&["--rules", rules, "--certain", "gas-porosity", "--absent", "hole-seen"]);
    assert!(
        said.contains("cannot go together") && said.contains("`looked for and did not find holes`"),
        "{said}"
    );
    assert!(said.contains("help: "), "{said}");
}

#[test]
fn json_is_one_object_with_its_schema() {
    let text =
        answer(&["--defects", "pinholes", "--signs", "round holes", "--sheet", SHEET, "--format", "json"]);
    let value: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(value["schema"], 1);
    let chance = |v: &serde_json::Value| {
        let p = v.as_f64().unwrap();
        assert!((0.0..=1.0).contains(&p), "{p}");
        p
    };
    let mut last = 1.0;
    for cause in value["causes"].as_array().unwrap() {
        let p = chance(&cause["had_a_hand"]);
        assert!(p <= last, "causes are ranked by whether they had a hand in it");
        assert!(p <= chance(&cause["probability"]), "to have a hand in it a cause must be there");
        last = p;
        chance(&cause["prior"]);
    }
    for defect in value["defects"].as_array().unwrap() {
        chance(&defect["probability"]);
    }
    for remedy in value["remedies"].as_array().unwrap() {
        chance(&remedy["success"]["before"]);
        chance(&remedy["success"]["after"]);
    }
    chance(&value["none_known"]);
    let said = value["findings"].as_array().unwrap().iter().filter(|f| f["how"] != "ruled-out");
    assert_eq!(said.count(), 2);
}

#[test]
fn colour_only_where_a_terminal_shows_it() {
    let arguments = ["--defects", "misrun"];
    assert!(!answer(&arguments).contains('\u{1b}'), "a pipe gets no colour");
    let forced = command(&arguments).env("CLICOLOR_FORCE", "1").output().unwrap();
    let forced = String::from_utf8(forced.stdout).unwrap();
    assert!(forced.contains('\u{1b}'), "there is colour to leave out");
    let none = command(&arguments).env("NO_COLOR", "1").output().unwrap();
    assert_eq!(String::from_utf8(none.stdout).unwrap(), answer(&arguments));
    let plain = anstream::adapter::strip_str(&forced).to_string();
    assert_eq!(plain, answer(&arguments), "colour carries nothing that the text does not say");
}

#[test]
fn every_screen_fits() {
    for defects in ["pinholes", "misrun", "shrinkage", "firestain,rough-surface", "zinc-loss", "stone-damage"]
    {
        for alloy in ["sterling", "platinum-950-ruthenium", "brass", "gold"] {
            fits(&answer(&["--defects", defects, "--alloy", alloy, "--top", "30"]));
        }
    }
}

#[cfg(unix)]
#[test]
fn a_closed_pipe_is_a_quiet_success() {
    let mut child = command(&["--defects", "misrun", "--top", "200"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
}

const HOSTILE: &str = "\u{1b}[31mred\u{1b}]0;title\u{7}\u{9b}2J\u{202e}";

#[test]
fn control_characters_of_arguments_never_arrive() {
    for arguments in [
        &["--defects", HOSTILE][..],
        &["--defects", "misrun", "--alloy", HOSTILE],
        &["--defects", "misrun", "--sheet", HOSTILE],
        &["--defects", "misrun", "--rules", HOSTILE],
        &["--defects", "misrun", "--format", HOSTILE],
        &[HOSTILE],
    ] {
        let said = refusal(arguments);
        assert!(!said.contains('\u{202e}') && !said.contains('\u{9b}'), "{said:?}");
    }
}

/// A sheet on the standard input.
fn with_sheet(sheet: &[u8], arguments: &[&str]) -> Output {
    let mut child = command(&["--defects", "pinholes", "--sheet", "-"])
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(sheet).unwrap();
    child.wait_with_output().unwrap()
}

#[test]
fn control_characters_of_files_never_arrive() {
    let own = "alloy: {title: \"x\\e[31m\\u009b2J\", family: ag, composition: {Ag: 100 %}, solidus: 960 C, \
               liquidus: 962 C}\n";
    for format in ["text", "json"] {
        let output = with_sheet(own.as_bytes(), &["--format", format]);
        let text = String::from_utf8(output.stdout).unwrap();
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
        assert!(!text.contains(|c: char| c.is_control() && c != '\n'), "{text:?}");
    }
    let output = with_sheet("\"a\\e[31m\": 1\nmethod: \"\\u009b2J\\u202e\"\n".as_bytes(), &[]);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2));
    fits(&said);
    assert!(!said.contains('\u{202e}'));
}

#[test]
fn the_standard_input_is_a_sheet_like_any_other() {
    let file = std::fs::read(format!("{}/{SHEET}", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let output = with_sheet(&file, &[]);
    assert_eq!(
        String::from_utf8(output.stdout).unwrap(),
        answer(&["--defects", "pinholes", "--sheet", SHEET])
    );
}

/// Written elsewhere, the same sheet means the same: other line ends, a byte order mark, nothing but remarks.
#[test]
fn line_ends_marks_and_remarks_change_nothing() {
    let text = std::fs::read_to_string(format!("{}/{SHEET}", env!("CARGO_MANIFEST_DIR"))).unwrap();
    let plain = with_sheet(text.as_bytes(), &[]).stdout;
    for (what, other) in [
        ("CRLF", text.replace('\n', "\r\n")),
        ("byte order mark", format!("\u{feff}{text}")),
        ("no newline at the end", text.trim_end().to_owned()),
        ("a note in another script", format!("{text}note: отливка № 3 — 鋳造 ✓\n")),
        ("a very long remark", format!("{text}# {}\n", "x".repeat(100_000))),
        ("a very long note", format!("{text}note: {}\n", "word ".repeat(20_000))),
    ] {
        let output = with_sheet(other.as_bytes(), &[]);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(0), "{what}: {said}");
        assert_eq!(String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&plain), "{what}");
    }
    let nothing = with_sheet(b"", &[]).stdout;
    for empty in ["# only a remark\n", "\n\n", "---\n", "\u{feff}", "{}", "alloy:\nmelt:\n"] {
        let output = with_sheet(empty.as_bytes(), &[]);
        assert_eq!(output.status.code(), Some(0), "{empty:?}: {}", String::from_utf8_lossy(&output.stderr));
        assert_eq!(output.stdout, nothing, "{empty:?}");
    }
}

/// A slip after a byte order mark and Windows line ends still points at its line and column.
#[test]
fn places_hold_after_marks_and_other_line_ends() {
    let output =
        with_sheet("\u{feff}alloy: sterling-925\r\nché: 3\r\nflask: {temperature: 640}\r\n".as_bytes(), &[]);
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains("-:2:1") && said.contains("-:3:22"), "{said}");
}
