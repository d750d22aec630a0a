//! The help of every command in one snapshot: what a caster can find out without any manual.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a test ends by panicking"
)]

use std::process::Command;
use std::time::Instant;

fn aftercast(arguments: &[&str]) -> (String, Option<i32>) {
    let output = Command::new(env!("CARGO_BIN_EXE_aftercast"))
        .args(arguments)
        // Help needs no rules: a folder that is not there must not matter.
        .env("AFTERCAST_RULES", "there-is-no-such-folder")
        .env("COLUMNS", "80")
        .env_remove("CLICOLOR_FORCE")
        .output()
        .unwrap();
    assert!(output.stderr.is_empty(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    (String::from_utf8(output.stdout).unwrap(), output.status.code())
}

/// The commands that a help text lists.
fn listed(help: &str) -> Vec<String> {
    let block = help.lines().skip_while(|l| *l != "Commands:").skip(1).take_while(|l| !l.is_empty());
    // A description that runs on is indented further.
    block
        .filter(|l| l.starts_with("  ") && !l.starts_with("   "))
        .filter_map(|l| l.split_whitespace().next().map(str::to_owned))
        .collect()
}

/// The help of a command and, below it, of everything under it.
fn gather(path: &[String], out: &mut String) {
    let mut arguments: Vec<&str> = path.iter().map(String::as_str).collect();
    arguments.push("--help");
    let (help, code) = aftercast(&arguments);
    assert_eq!(code, Some(0), "{path:?}");
    out.push_str(&format!("$ aftercast {}\n{help}\n", arguments.join(" ")));
    for command in listed(&help) {
        let below: Vec<String> = path.iter().cloned().chain([command]).collect();
        gather(&below, out);
    }
}

#[test]
fn every_command_explains_itself() {
    let mut all = String::new();
    gather(&[], &mut all);
    assert!(all.contains("$ aftercast diagnose --help"), "the commands are no longer found");
    for line in all.lines() {
        assert!(textwrap::core::display_width(line) <= 80, "too wide: {line}");
        assert!(!line.contains('\u{1b}'));
    }
    insta::assert_snapshot!("all", all);
}

/// No rules are read for help or version: both work with a rule folder that is not there, and at once.
#[test]
fn help_and_version_load_nothing() {
    for arguments in [&["--help"][..], &["--version"], &["diagnose", "--help"], &["rules", "check", "-h"]] {
        let started = Instant::now();
        let (text, code) = aftercast(arguments);
        assert_eq!(code, Some(0));
        assert!(!text.is_empty());
        // Some milliseconds in truth; the bound is for a busy machine.
        assert!(started.elapsed().as_millis() < 1500, "{arguments:?} took {:?}", started.elapsed());
    }
    let (version, _) = aftercast(&["--version"]);
    assert_eq!(version, format!("aftercast {}\n", env!("CARGO_PKG_VERSION")));
}
