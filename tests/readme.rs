//! Every command and output shown in README.md, run against the real binary.
//!
//! A block marked `console` holds a line `$ aftercast ...` and what it prints; a last line of three dots stands for the
//! rest of it. `UPDATE_README=1 cargo test --test readme` writes the outputs anew: read the difference.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot run its example must fail where it stands"
)]

use std::process::Command;

const README: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/README.md");

fn run(line: &str) -> String {
    let words = split(line.strip_prefix("$ aftercast").expect("a command of this program"));
    let output = Command::new(env!("CARGO_BIN_EXE_aftercast"))
        .args(&words)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env_remove("AFTERCAST_RULES")
        .env_remove("AFTERCAST_CASEBOOK")
        .env("XDG_DATA_HOME", std::env::temp_dir().join("aftercast-readme-none"))
        .output()
        .expect("the binary runs");
    let mut text = String::from_utf8(output.stdout).expect("UTF-8");
    text.push_str(&String::from_utf8(output.stderr).expect("UTF-8"));
    text
}

/// Words of a command line; double quotes keep spaces together.
fn split(line: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quoted = false;
    for c in line.trim().chars() {
        match c {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(String::new()),
            c => words.last_mut().expect("one at least").push(c),
        }
    }
    words.retain(|w| !w.is_empty());
    words
}

/// How much of a long output a block shows when it is written anew.
const SHOWN: usize = 24;

#[test]
fn every_example_prints_what_the_readme_shows() {
    let readme = std::fs::read_to_string(README).expect("README.md");
    let update = std::env::var_os("UPDATE_README").is_some();
    let mut fresh = String::new();
    let mut rest = readme.as_str();
    let mut examples = 0;
    while let Some((before, after)) = rest.split_once("```console\n") {
        let (block, after) = after.split_once("```").expect("an open block ends");
        let (command, shown) = block.split_once('\n').expect("a command line");
        let printed = run(command);
        let elided = shown.lines().last() == Some("...");
        if update {
            let kept: Vec<&str> = printed.lines().collect();
            let text = if elided && kept.len() > SHOWN {
                format!("{}\n...\n", kept[..SHOWN].join("\n"))
            } else {
                printed.clone()
            };
            fresh.push_str(&format!("{before}```console\n{command}\n{text}```"));
        } else if elided {
            let wanted = shown.strip_suffix("...\n").expect("dots at the end");
            assert!(printed.starts_with(wanted), "{command}\n{printed}");
        } else {
            assert_eq!(printed, shown, "{command}");
        }
        assert!(printed.lines().all(|l| l.chars().count() <= 80), "wider than 80 columns: {command}");
        examples += 1;
        rest = after;
    }
    assert!(examples >= 4, "the README lost its examples");
    if update {
        fresh.push_str(rest);
        std::fs::write(README, fresh).expect("README.md can be written");
    }
}

#[test]
fn the_first_command_of_the_readme_runs() {
    let readme = std::fs::read_to_string(README).expect("README.md");
    let first =
        readme.lines().find_map(|l| l.strip_prefix("cargo run --release --")).expect("the first command");
    let printed = run(&format!("$ aftercast {first}"));
    assert!(printed.contains("Likely causes"), "{printed}");
}
