//! What a rule author reads after a mistake: one small rule folder a mistake, the message as a real process prints it.
//!
//! Each folder of `tests/bad-rules/` is named after its mistake; the folder `sound-base` has none, and the others differ
//! from it in one file or two. The snapshots pin how a message reads; the assertions say what must hold of every one.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test ends by panicking"
)]

use aftercast::document::Code;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn fixtures() -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad-rules");
    let mut found: Vec<PathBuf> =
        std::fs::read_dir(root).unwrap().map(|e| e.unwrap().path()).filter(|p| p.is_dir()).collect();
    found.sort();
    assert!(found.len() > 50, "the fixtures are gone");
    found
}

fn name(folder: &Path) -> String {
    folder.file_name().unwrap().to_string_lossy().into_owned()
}

/// Runs the program in the repository's root, so that messages hold no path of this machine.
fn aftercast(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_aftercast"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env_remove("AFTERCAST_RULES")
        .env_remove("CLICOLOR_FORCE")
        .args(arguments)
        .output()
        .unwrap()
}

fn check(folder: &str) -> (String, Option<i32>) {
    let output = aftercast(&["rules", "check", "--rules", &format!("tests/bad-rules/{folder}")]);
    assert!(output.stderr.is_empty(), "{folder}: {}", String::from_utf8_lossy(&output.stderr));
    (String::from_utf8(output.stdout).unwrap(), output.status.code())
}

/// The codes of a report, in its order: `error[bad-id]: ...`.
fn codes(report: &str) -> Vec<&str> {
    let is_title = |l: &&str| l.starts_with("error[") || l.starts_with("warning[");
    report
        .lines()
        .filter(is_title)
        .filter_map(|l| l.split_once('[')?.1.split_once(']'))
        .map(|c| c.0)
        .collect()
}

#[test]
fn every_mistake_reads_well() {
    for folder in fixtures() {
        let name = name(&folder);
        let (report, code) = check(&name);
        insta::assert_snapshot!(name.clone(), report);
        if name == "sound-base" {
            assert_eq!((code, report.contains("no fault found")), (Some(0), true));
            continue;
        }
        assert_eq!(code, Some(1), "{name}");
        let problems = codes(&report).len();
        assert!(problems > 0, "{name} reports nothing");
        let places = report.lines().filter(|l| l.trim_start().starts_with("--> tests/bad-rules/")).count();
        assert_eq!(places, problems, "{name}: a problem without a place");
        let carets = report.lines().filter(|l| l.contains("| ") && l.contains('^')).count();
        assert_eq!(carets, problems, "{name}: a problem without a caret");
        for line in report.lines() {
            assert!(textwrap::core::display_width(line) <= 80, "{name}: too wide: {line}");
            assert!(!line.contains(|c: char| c.is_control()), "{name}: a control character in {line:?}");
        }
    }
}

#[test]
fn a_way_out_stands_under_every_problem() {
    for folder in fixtures() {
        let name = name(&folder);
        let (report, _) = check(&name);
        for problem in report.split("\n\n").filter(|p| p.starts_with("error[") || p.starts_with("warning[")) {
            // A unit that is missing or wrong lists those that are allowed in the message itself.
            let way_out = problem.contains("= help: ") || problem.contains("allowed units: ");
            let label = problem.contains("nothing stands behind it");
            assert!(way_out || label, "{name}:\n{problem}");
        }
    }
}

/// Codes that only a process sheet can earn.
const OF_SHEETS: &[Code] = &[Code::Unusual];

#[test]
fn every_code_has_a_fixture() {
    let reports: Vec<String> = fixtures().iter().map(|f| check(&name(f)).0).collect();
    let mut seen: BTreeSet<&str> = reports.iter().flat_map(|r| codes(r)).collect();
    let sheet = aftercast(&["diagnose", "--defects", "pinholes", "--sheet", "tests/sheets/unusual.yaml"]);
    let sheet = String::from_utf8(sheet.stdout).unwrap();
    let of_sheets: BTreeSet<&str> = codes(&sheet).into_iter().collect();
    assert_eq!(of_sheets, OF_SHEETS.iter().map(|c| c.text()).collect());
    seen.extend(of_sheets);
    let missing: Vec<&str> = Code::ALL.iter().map(|c| c.text()).filter(|c| !seen.contains(c)).collect();
    assert!(missing.is_empty(), "no fixture in tests/bad-rules earns {missing:?}");
}

/// All in one run: mistakes of every kind over many files, each with the place where it was made.
#[test]
fn a_messy_folder_is_reported_whole() {
    let (report, code) = check("messy-folder");
    assert_eq!(code, Some(1));
    for (file, line, code) in [
        ("strengths.yaml", 5, "out-of-range"),
        ("signs/holes.yaml", 8, "unreadable"),
        ("signs/pores.yaml", 1, "bad-id"),
        ("signs/pores.yaml", 4, "bad-choice"),
        ("signs/pores.yaml", 5, "wrong-shape"),
        ("signs/pores.yaml", 6, "no-basis"),
        ("defects/cavities.yaml", 3, "bad-choice"),
        ("causes/flask-heat.yaml", 1, "missing-field"),
        ("causes/flask-heat.yaml", 5, "knot-order"),
        ("causes/flask-heat.yaml", 5, "bad-quantity"),
        ("causes/flask-heat.yaml", 6, "out-of-range"),
        ("causes/flask-heat.yaml", 7, "unknown-field"),
        ("causes/flask-heat.yaml", 9, "duplicate-id"),
        ("causes/flask-heat.yaml", 14, "unknown-id"),
        ("alloys/silver.yaml", 4, "bad-composition"),
        ("alloys/silver.yaml", 6, "contradiction"),
        ("remedies.yaml", 5, "bad-quantity"),
        ("remedies.yaml", 7, "unknown-id"),
        ("remedies.yaml", 9, "duplicate-key"),
        ("notes/todo.yaml", 1, "bad-choice"),
    ] {
        let place = format!("messy-folder/{file}:{line}:");
        let there = report.split("\n\n").any(|p| p.contains(&format!("[{code}]")) && p.contains(&place));
        assert!(there, "no {code} at {place}\n{report}");
    }
    assert!(report.contains("did you mean `flask-too-hot`?"));
}

#[test]
fn a_folder_that_cannot_be_read_is_wrong_use() {
    let empty = tempfile::tempdir().unwrap();
    for (folder, words) in [
        ("tests/bad-rules/there-is-none", "cannot read tests/bad-rules/there-is-none"),
        ("Cargo.toml", "cannot read Cargo.toml"),
        (empty.path().to_str().unwrap(), "holds no rule file"),
    ] {
        let output = aftercast(&["rules", "check", "--rules", folder]);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{folder}: {said}");
        assert!(said.contains(words), "{said}");
        assert!(output.stdout.is_empty());
    }
}

/// A rule base with errors answers nothing, and says so on the error stream.
#[test]
fn diagnose_refuses_rules_with_errors() {
    let output = aftercast(&["diagnose", "--defects", "pinholes", "--rules", "tests/bad-rules/messy-folder"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    assert!(String::from_utf8(output.stderr).unwrap().contains("error[knot-order]"));
}

/// The shipped rules read without an error, from the binary and from the folder alike. Lints are their authors' list.
#[test]
fn shipped_rules_have_no_error() {
    let output = aftercast(&["rules", "check"]);
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(!said.contains("error["), "{said}");
    let own = aftercast(&["rules", "check", "--rules", "rules"]);
    assert_eq!(String::from_utf8(own.stdout).unwrap(), said, "the folder and the binary hold the same rules");
}
