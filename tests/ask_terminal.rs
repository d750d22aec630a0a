//! `aftercast ask` on a real terminal: completion, commands, Ctrl-C, and a kill at any moment.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "helpers outside of test functions may fail loudly too"
)]
#![cfg(unix)]

use expectrl::process::Healthcheck as _;
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

/// Waits until a killed process is gone: the signal is sent before its files are closed.
fn gone(session: &mut OsSession) {
    while session.is_alive().unwrap_or(false) {
        std::thread::sleep(Duration::from_millis(5));
    }
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

/// Five answers in one piece, each way in which a terminal may send them, are five answers.
#[test]
fn what_is_pasted_or_typed_ahead_is_not_lost() {
    const FIVE: [&str; 5] = ["1", "don't know", "skip", "don't know", "skip"];
    let (keys, lines) = (FIVE.join("\r") + "\r", FIVE.join("\n"));
    for (at_the_prompt, sent) in [
        // Keys, while the program waits and while it thinks.
        (true, keys.clone()),
        (false, keys),
        // A paste that the terminal marks as one waits for the return key; the last line may end or not.
        (true, format!("\u{1b}[200~{lines}\u{1b}[201~\r")),
        (true, format!("\u{1b}[200~{lines}\n\u{1b}[201~\r")),
    ] {
        let folder = tempfile::tempdir().unwrap();
        let mut session = terminal(folder.path(), &[]);
        session.expect(if at_the_prompt { "Question 1." } else { "A few questions" }).unwrap();
        if at_the_prompt {
            session.expect("> ").unwrap();
        }
        session.send(&sent).unwrap();
        session.expect("Question 6.").unwrap_or_else(|e| panic!("{sent:?}: {e}"));
        session.expect("> ").unwrap();
        session.send(ControlCode::EndOfTransmission).unwrap();
        session.expect("Every answer is kept").unwrap();
        assert!(count(folder.path()).contains("5 answers so far"), "{sent:?}");
    }
}

/// Ctrl-C stops what was pasted; what is left of it stands in the next prompt, to be sent or not.
#[test]
fn ctrl_c_holds_back_the_rest_of_a_paste() {
    let folder = tempfile::tempdir().unwrap();
    let mut session = terminal(folder.path(), &[]);
    session.expect("Question 1.").unwrap();
    session.expect("> ").unwrap();
    session.send("\u{1b}[200~1\ndon't know\nnote the end\u{1b}[201~\r").unwrap();
    session.expect("Noted: ").unwrap();
    let pid = session.get_process().pid().to_string();
    assert!(Command::new("kill").args(["-INT", &pid]).status().unwrap().success());
    session.expect("Leave?").unwrap();
    let shown = session.expect("note the end").unwrap();
    let shown = String::from_utf8_lossy(shown.before()).into_owned();
    assert!(shown.contains("don't know") && !shown.contains("Noted"), "{shown}");
    session.send("\r").unwrap();
    session.expect("Question 3.").unwrap();
    session.expect("Noted.").unwrap();
    // A Ctrl-D that comes before the prompt would be lost.
    session.expect("> ").unwrap();
    session.send(ControlCode::EndOfTransmission).unwrap();
    session.expect("Every answer is kept").unwrap();
    assert!(count(folder.path()).contains("2 answers so far"));
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

/// The terminal sends a signal and no character while no line is being read.
#[test]
fn ctrl_c_between_two_prompts_asks_before_it_leaves() {
    let folder = tempfile::tempdir().unwrap();
    let mut session = terminal(folder.path(), &[]);
    let pid = session.get_process().pid().to_string();
    let interrupt = || assert!(Command::new("kill").args(["-INT", &pid]).status().unwrap().success());
    // The first question is being chosen.
    session.expect("A few questions").unwrap();
    interrupt();
    session.expect("Leave?").unwrap();
    session.expect("> ").unwrap();
    // Any other line goes on; then it asks anew.
    session.send("1\r").unwrap();
    session.expect("Noted: ").unwrap();
    interrupt();
    session.expect("Leave?").unwrap();
    session.expect("> ").unwrap();
    session.send(ControlCode::EndOfText).unwrap();
    session.expect("Every answer is kept").unwrap();
    assert!(count(folder.path()).contains("1 answer so far"));
}

#[test]
fn own_words_are_heard_and_taken_back_at_a_prompt() {
    let folder = tempfile::tempdir().unwrap();
    let mut session = terminal(folder.path(), &[]);
    session.expect("Question 1.").unwrap();
    session.expect("> ").unwrap();
    session.send("small round holes after polishing\r").unwrap();
    session.expect("saw round pores with smooth walls").unwrap();
    session.expect("In front: ").unwrap();
    session.expect("Question 1.").unwrap();
    session.expect("> ").unwrap();
    session.send("back\r").unwrap();
    session.expect("Taken back: ").unwrap();
    session.expect("What is wrong with the casting?").unwrap();
    session.expect("> ").unwrap();
    session.send(ControlCode::EndOfTransmission).unwrap();
    session.expect("Every answer is kept").unwrap();
}

/// Killed at any moment while answers are typed ahead: what the screen had noted is in the session.
#[test]
fn a_kill_at_random_moments_loses_nothing_that_was_noted() {
    // More with AFTERCAST_KILLS=500.
    let kills: u32 = std::env::var("AFTERCAST_KILLS").map_or(6, |n| n.parse().unwrap());
    let (mut least, mut most) = (usize::MAX, 0);
    for run in 0..kills {
        let folder = tempfile::tempdir().unwrap();
        let mut session = terminal(folder.path(), &[]);
        session.expect("Question 1.").unwrap();
        session.expect("> ").unwrap();
        let pid = session.get_process().pid().to_string();
        // Golden-ratio steps: any number of runs is spread evenly over the time.
        let part = (f64::from(run) * 0.618_033_988_749_895).fract();
        let killer = std::thread::spawn(move || {
            std::thread::sleep(Duration::from_secs_f64(part * 2.0));
            assert!(Command::new("kill").args(["-9", &pid]).status().unwrap().success());
        });
        let mut noted = 0;
        for answer in ["1", "don't know", "skip", "don't know", "skip", "don't know", "skip", "skip"] {
            // Once it is killed neither can be done.
            if session.send(format!("{answer}\r")).is_err() || session.expect("Noted: ").is_err() {
                break;
            }
            noted += 1;
            if session.expect("> ").is_err() {
                break;
            }
        }
        killer.join().unwrap();
        gone(&mut session);
        let kept = count(folder.path());
        let kept: usize = kept
            .split(" answer")
            .next()
            .and_then(|t| t.rsplit(' ').next())
            .and_then(|n| n.parse().ok())
            .unwrap_or_else(|| panic!("{kept}"));
        assert!(kept >= noted, "{noted} noted, {kept} kept");
        // At most the one whose line had not reached the screen yet.
        assert!(kept <= noted + 1, "{noted} noted, {kept} kept");
        (least, most) = (least.min(noted), most.max(noted));
    }
    println!("{kills} kills, after {least} to {most} answers");
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
