//! `aftercast ask` on a real terminal: completion, commands, Ctrl-C, and a kill at any moment.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "helpers outside of test functions may fail loudly too"
)]
#![cfg(unix)]

use expectrl::session::OsSession;
use expectrl::{ControlCode, Expect as _, Session};
use std::path::Path;
use std::process::Command;
use std::time::Duration;

fn terminal(folder: &Path, arguments: &[&str]) -> OsSession {
    let mut command = Command::new(env!("CARGO_BIN_EXE_aftercast"));
    command
        .arg("ask")
        .args(arguments)
        .current_dir(folder)
        .env("XDG_STATE_HOME", folder)
        .env("TERM", "xterm")
        .env_remove("NO_COLOR")
        .env_remove("AFTERCAST_RULES");
    let mut session = Session::spawn(command).unwrap();
    session.set_expect_timeout(Some(Duration::from_secs(30)));
    session
}

fn count(folder: &Path) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_aftercast"))
        .args(["ask", "--resume"])
        .current_dir(folder)
        .env("XDG_STATE_HOME", folder)
        .stdin(std::process::Stdio::null())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap().split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_session_with_completion_why_back_save_and_leaving() {
    let folder = tempfile::tempdir().unwrap();
    let mut session = terminal(folder.path(), &[]);
    session.expect("Question 1.").unwrap();
    session.expect("> ").unwrap();
    // One letter short of nothing: the tab key writes the rest of the answer.
    session.send("a ho\t").unwrap();
    session.expect("a hole or pores").unwrap();
    session.send("\r").unwrap();
    session.expect("Noted: ").unwrap();
    session.expect("Question 2.").unwrap();
    session.send("why\r").unwrap();
    session.expect("Why: ").unwrap();
    session.send("so far\r").unwrap();
    session.expect("Likely causes").unwrap();
    session.send("back\r").unwrap();
    session.expect("Question 1.").unwrap();
    session.send("probably 2\r").unwrap();
    session.expect("Noted: ").unwrap();
    session.expect("Question 2.").unwrap();
    session.send("save ring.yaml\r").unwrap();
    session.expect("Saved ").unwrap();
    session.expect("> ").unwrap();
    assert!(folder.path().join("ring.yaml").exists());
    session.send(ControlCode::EndOfText).unwrap();
    session.expect("Leave?").unwrap();
    session.send("skip\r").unwrap();
    session.expect("Question 3.").unwrap();
    // Before the prompt the line editor has not taken the key over yet.
    session.expect("> ").unwrap();
    session.send(ControlCode::EndOfText).unwrap();
    session.expect("Leave?").unwrap();
    session.expect("> ").unwrap();
    session.send(ControlCode::EndOfText).unwrap();
    session.expect("Every answer is kept").unwrap();
    assert!(count(folder.path()).contains("2 answers so far"));
    // Ctrl-D leaves at once; the session goes on where it was.
    let mut session = terminal(folder.path(), &["--resume"]);
    session.expect("Question 3.").unwrap();
    session.expect("> ").unwrap();
    session.send(ControlCode::EndOfTransmission).unwrap();
    session.expect("Every answer is kept").unwrap();
}

#[test]
fn a_kill_at_any_moment_loses_no_answer_that_was_noted() {
    for delay in [0, 3, 11, 40, 130] {
        let folder = tempfile::tempdir().unwrap();
        let mut session = terminal(folder.path(), &[]);
        session.expect("Question 1.").unwrap();
        session.expect("> ").unwrap();
        session.send("1\r").unwrap();
        session.expect("Question 2.").unwrap();
        session.expect("> ").unwrap();
        session.send("don't know\r").unwrap();
        session.expect("Question 3.").unwrap();
        session.expect("> ").unwrap();
        // A third answer is on its way when the power goes.
        session.send("don't know\r").unwrap();
        std::thread::sleep(Duration::from_millis(delay));
        let pid = session.get_process().pid().to_string();
        assert!(Command::new("kill").args(["-9", &pid]).status().unwrap().success());
        drop(session);
        let seen = count(folder.path());
        assert!(seen.contains("2 answers so far") || seen.contains("3 answers so far"), "{seen}");
    }
}

#[test]
fn a_session_is_not_opened_twice() {
    let folder = tempfile::tempdir().unwrap();
    let mut session = terminal(folder.path(), &[]);
    session.expect("Question 1.").unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_aftercast"))
        .args(["ask", "--resume"])
        .env("XDG_STATE_HOME", folder.path())
        .stdin(std::process::Stdio::null())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("open in another window"));
}
