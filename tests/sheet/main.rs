//! The process sheet: what is computed from it, what is wrong with it, `check`, `start`, `compute`, the missing figures.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]
// Helpers outside of test functions may fail loudly too.

mod alloy;
mod bad;
mod check;
mod compute;
mod derived;
mod facts;
mod missing;
mod start;

use aftercast::rules::RuleBase;
use aftercast::sheet::{Computed, Job, Sheet, catalogue, derived as quantities, read_sheet};
use std::io::Write as _;
use std::process::{Command, Output, Stdio};
use std::sync::OnceLock;

/// The shipped rules, read once.
fn rules() -> &'static RuleBase {
    static RULES: OnceLock<RuleBase> = OnceLock::new();
    RULES.get_or_init(|| {
        let loaded = aftercast::rules::shipped(&catalogue());
        assert_eq!(loaded.problems.errors(), 0, "the shipped rules are sound");
        loaded.rules
    })
}

/// A sheet that must be without errors.
fn sheet(text: &str) -> Sheet {
    let read = read_sheet(rules(), "sheet.yaml", text.as_bytes());
    let problems =
        aftercast::document::render(&read.sources, &read.problems, aftercast::document::Excerpt::Plain);
    assert_eq!(read.problems.errors(), 0, "{problems}");
    read.sheet
}

/// A computed quantity of a sheet.
fn computed(sheet: &Sheet, id: &str) -> Option<Computed> {
    let one = quantities::TABLE.iter().find(|d| d.id == id).unwrap_or_else(|| panic!("no quantity {id}"));
    (one.compute)(Job::new(sheet, rules()))
}

/// Runs the program in the repository's root.
fn run(arguments: &[&str], input: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_aftercast"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env_remove("AFTERCAST_RULES")
        .env_remove("CLICOLOR_FORCE")
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A program that does not read its input closes the pipe: no concern of these tests.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    child.wait_with_output().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().unwrap()
}

/// No line longer than a terminal of 80 columns.
fn assert_fits(text: &str) {
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "too wide: {line}");
    }
}
