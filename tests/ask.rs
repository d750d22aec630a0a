//! `aftercast ask` with its answers from a pipe or a file: whole interviews as a caster reads them, and a journal that
//! keeps every answer.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "helpers outside of test functions may fail loudly too"
)]

use aftercast::interview::{Interview, Next, Start, read_reply};
use aftercast::rules::{Finding, RuleBase};
use aftercast::sheet::{Sheet, catalogue};
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Output, Stdio};

fn ask(folder: &Path, arguments: &[&str], typed: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_aftercast"))
        .arg("ask")
        .args(arguments)
        .current_dir(folder)
        .env("XDG_STATE_HOME", folder)
        .env("XDG_DATA_HOME", folder.join("data"))
        .env_remove("AFTERCAST_RULES")
        .env_remove("AFTERCAST_CASEBOOK")
        .env_remove("CLICOLOR_FORCE")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A command that ends early closes the pipe.
    let _ = child.stdin.take().unwrap().write_all(typed.as_bytes());
    child.wait_with_output().unwrap()
}

fn text(output: &Output) -> String {
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    assert_eq!(output.status.code(), Some(0));
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn shipped() -> RuleBase {
    aftercast::rules::shipped(&catalogue()).rules
}

/// What a caster would type who knows these answers by the questions' ids, and no others.
fn script(rules: &RuleBase, start: Start, knows: &[(&str, &str)]) -> String {
    let mut interview = Interview::new(rules, start).unwrap();
    let mut lines = String::new();
    while let Next::Ask(chosen) = interview.next() {
        let id = rules.question(chosen.worth.question).id.as_str();
        let reply = knows.iter().find(|(known, _)| *known == id).map_or("don't know", |(_, reply)| *reply);
        lines.push_str(reply);
        lines.push('\n');
        interview
            .answer(chosen.worth.question, read_reply(rules, chosen.worth.question, reply).unwrap())
            .unwrap();
    }
    lines
}

/// Runs a whole interview and puts it on record; no line may be wider than the page.
fn transcript(name: &str, arguments: &[&str], start: Start, knows: &[(&str, &str)]) {
    let rules = shipped();
    let folder = tempfile::tempdir().unwrap();
    let lines = script(&rules, start, knows);
    let file = folder.path().join("answers");
    std::fs::write(&file, &lines).unwrap();
    let session = ["--session", "session.jsonl"];
    let piped = text(&ask(folder.path(), &[arguments, &session[..]].concat(), &lines));
    std::fs::remove_file(folder.path().join("session.jsonl")).unwrap();
    let from_file =
        text(&ask(folder.path(), &[arguments, &session[..], &["--answers", "answers"]].concat(), ""));
    assert_eq!(piped, from_file, "a pipe and a file give the same transcript");
    for line in piped.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    let asked = lines.lines().count();
    assert!((1..=16).contains(&asked), "{asked} questions");
    insta::assert_snapshot!(name, piped);
}

#[test]
fn pinholes_in_a_heavy_silver_ring() {
    let sheet_path = concat!(env!("CARGO_MANIFEST_DIR"), "/sheets/heavy-ring.yaml");
    let rules = shipped();
    let sheet = aftercast::sheet::read_sheet(&rules, "sheet", &std::fs::read(sheet_path).unwrap()).sheet;
    transcript(
        "pinholes_in_a_heavy_silver_ring",
        &["--sheet", sheet_path],
        Start { sheet, ..Start::default() },
        &[
            ("kind-of-fault", "a hole or pores"),
            ("first-seen", "2"),
            ("copies-compared", "another place on each copy"),
            ("pore-walls", "round"),
            ("pore-spread", "many small ones"),
            ("pore-depth", "3"),
            ("fault-and-reuse", "worse"),
            ("button-sawn", "sponge"),
            ("cover-asked", "argon"),
            ("returns-state", "2"),
            ("pore-place", "6"),
        ],
    );
}

#[test]
fn thin_gold_that_did_not_fill() {
    transcript(
        "thin_gold_that_did_not_fill",
        &[],
        Start::default(),
        &[
            ("kind-of-fault", "metal is missing"),
            ("gap-edge", "rounded"),
            ("unfilled-place", "farthest, thin"),
            ("alloy-asked", "au-14y"),
            ("flask-heat-asked", "480 C"),
            ("melt-heat-asked", "980 C"),
            ("flask-wait", "it stood out"),
            ("section-asked", "thin"),
            ("button-size", "a proper button"),
            ("gauge-while-pouring", "quick"),
            ("method-asked", "vacuum"),
            ("mould-colour", "white throughout"),
            ("first-seen", "1"),
        ],
    );
}

#[test]
fn white_gold_that_cracked() {
    let rules = shipped();
    let mut sheet = Sheet::default();
    sheet.name_alloy(&rules, aftercast::rules::names::find_alloy(&rules, "white gold").unwrap());
    transcript(
        "white_gold_that_cracked",
        &["--alloy", "white gold"],
        Start { sheet, ..Start::default() },
        &[
            ("kind-of-fault", "cracked"),
            ("line-lips", "jagged where thick"),
            ("crack-colour", "dark"),
            ("bend-test", "snaps"),
            ("quench-glow", "still glowing"),
            ("quench-asked", "2 min"),
            ("first-seen", "1"),
            ("scrap-solder", "3"),
        ],
    );
}

#[test]
fn a_black_skin_with_nothing_but_a_name() {
    let rules = shipped();
    let defect = rules.find_defect("sulphide-blackening").unwrap();
    let seen = aftercast::advice::Observation {
        finding: Finding::Defect(defect),
        how: aftercast::advice::Sureness::Seen,
    };
    transcript(
        "a_black_skin_with_nothing_but_a_name",
        &["--defects", "sulphide-blackening", "--no-figures"],
        Start { findings: vec![seen], figures: false, ..Start::default() },
        &[
            ("pickle-test", "stays black"),
            ("mould-colour", "grey or black"),
            ("sulphur-smell", "probably 1"),
            ("sprue-hole-soot", "grey"),
            ("oven-glow", "3"),
        ],
    );
}

#[test]
fn commands_and_rubbish() {
    let folder = tempfile::tempdir().unwrap();
    let typed = "help\nbogus\n\n99\n1, 8\nshow\nshow gas-porosity\nshow nothing-such\nwhy\nback\n1\nquestions\nask pore-walls\nround\nask pore-walls\nback 7\nback 1\n2\nnote\nnote \u{1b}[31mnew powder\nsave\nsave x.txt\nsave x.yaml\nsave x.yaml\nfinish\nwhy\nskip\nrubbish\nquit\n";
    let seen = text(&ask(folder.path(), &["--session", "session.jsonl"], typed));
    assert!(!seen.contains('\u{1b}'), "nothing typed steers the terminal");
    insta::assert_snapshot!(seen);
    let sheet = std::fs::read(folder.path().join("x.yaml")).unwrap();
    let read = aftercast::sheet::read_sheet(&shipped(), "x", &sheet);
    assert_eq!(read.problems.errors(), 0);
    assert!(read.sheet.note.unwrap().contains("new powder"));
}

#[test]
fn a_saved_sheet_holds_what_was_said() {
    let rules = shipped();
    let folder = tempfile::tempdir().unwrap();
    let typed = "2\nask alloy-asked\nsterling\nask flask-heat-asked\n1000 F\nask method-asked\nspun\nsave next.yaml\nquit\n";
    text(&ask(folder.path(), &[], typed));
    let read = aftercast::sheet::read_sheet(
        &rules,
        "next",
        &std::fs::read(folder.path().join("next.yaml")).unwrap(),
    );
    assert!(read.problems.is_empty());
    let flask = read.sheet.get(aftercast::sheet::Field::FlaskTemperature).unwrap();
    assert!((flask - (1000.0 - 32.0) / 1.8).abs() < 1e-9);
    assert_eq!(read.sheet.fact(&rules, "method"), Some("spun"));
    assert_eq!(read.sheet.alloy().unwrap().id, "sterling-925");
}

#[test]
fn the_sheet_of_the_next_cast_marks_what_changes() {
    let folder = tempfile::tempdir().unwrap();
    let sheet = concat!(env!("CARGO_MANIFEST_DIR"), "/sheets/heavy-ring.yaml");
    let typed = "round\nfinish\nnext\nnext next.yaml\nnext next.yaml\nquit\n";
    let seen = text(&ask(folder.path(), &["--sheet", sheet, "--defects", "gas-porosity"], typed));
    assert!(seen.contains("The next sheet is in next.yaml."), "{seen}");
    assert!(
        seen.contains("no file is named") && seen.contains("there is a file next.yaml already"),
        "{seen}"
    );
    let rules = shipped();
    let read = |bytes: &[u8]| aftercast::sheet::read_sheet(&rules, "sheet", bytes).sheet;
    let before = read(&std::fs::read(sheet).unwrap());
    let written = std::fs::read(folder.path().join("next.yaml")).unwrap();
    let after = read(&written);
    let changed = aftercast::sheet::Field::ALL.iter().filter(|f| before.get(**f) != after.get(**f)).count();
    let marked = String::from_utf8(written).unwrap().matches("# was ").count();
    assert_eq!((changed, marked), (1, 1), "one change at a time");
}

/// What a caster sees and says without being asked is weighed at any prompt; what is not clear is asked back.
#[test]
fn free_words_are_understood_and_asked_back() {
    let folder = tempfile::tempdir().unwrap();
    let words = "small round holes after polishing, craks, no fins";
    let typed = "show\nhm\nprobably\nso far\nit was sterling, melted with the torch, flask at 640 C\nxyzzy plugh\n\
                 round holes, no round holes\nno\nback a\n1\nthe stones are cloudy\nback\nso far\nquit\n";
    let seen = text(&ask(folder.path(), &["--session", "session.jsonl", words], typed));
    insta::assert_snapshot!(seen);
    // What was said is there again, without asking back a second time.
    let again = text(&ask(folder.path(), &["--resume", "session.jsonl"], "so far\nquit\n"));
    let so_far = |text: &str| {
        let from = text.rfind("> so far").unwrap();
        text[from..].split("\n\n").next().unwrap().to_owned()
    };
    assert_eq!(so_far(&again), so_far(&seen));
    assert!(!again.contains("Asked back"), "{again}");
}

/// The words that no rule knows make no session.
#[test]
fn words_that_mean_nothing_end_before_a_session_begins() {
    let folder = tempfile::tempdir().unwrap();
    let output = ask(folder.path(), &["--session", "session.jsonl", "xyzzy", "plugh"], "1\n");
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("not understood: `xyzzy plugh`"));
    assert!(!folder.path().join("session.jsonl").exists());
}

#[test]
fn an_answer_changed_by_words_is_the_same_as_that_answer() {
    let folder = tempfile::tempdir().unwrap();
    let front = |typed: &str| {
        let seen = text(&ask(folder.path(), &[], typed));
        let front = seen.rsplit("In front: ").next().unwrap().split("\n\n").next().unwrap();
        front.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let asked = front("1\nask pore-walls\n1\nquit\n");
    assert_eq!(front("1\nask pore-walls\n2\nback\n1\nquit\n"), asked);
    assert_eq!(front("1\nask pore-walls\nround holes\nquit\n"), asked);
}

#[test]
fn a_number_may_come_before_its_unit() {
    let folder = tempfile::tempdir().unwrap();
    let typed = "1\nask flask-heat-asked\n640\nC\nask melt-heat-asked\nabout 1900F\nask charge-asked\nhot\n7\nwhy\n7\noz\nquit\n";
    let seen = text(&ask(folder.path(), &["--alloy", "sterling", "--defects", "misrun"], typed));
    assert!(
        seen.contains("> 640\nNot taken: ") && seen.contains("its unit alone will do now, such as `C`"),
        "{seen}"
    );
    assert!(seen.contains("> C\nNoted: 640 °C\n"), "{seen}");
    assert!(seen.contains("> about 1900F\nNoted: 1038 °C\n"), "{seen}");
    assert!(seen.contains("> oz\n"), "{seen}");
}

#[test]
fn a_yes_goes_to_the_answer_that_it_means() {
    let folder = tempfile::tempdir().unwrap();
    let typed = "7\nask shape-gauge\nyes\nask mould-colour\nno\nask stones-asked\nyes\nquit\n";
    let seen = text(&ask(folder.path(), &[], typed));
    assert!(seen.contains("Noted: true to the wax"), "{seen}");
    assert!(seen.contains("Noted: stones set in the wax"), "{seen}");
}

/// One command takes what was found on: to the casebook, to the next cast, to a page; at the end or from the session.
#[test]
fn a_finished_session_becomes_a_case_a_sheet_and_a_page() {
    let folder = tempfile::tempdir().unwrap();
    let sheet = concat!(env!("CARGO_MANIFEST_DIR"), "/sheets/heavy-ring.yaml");
    let at = |name: &str| folder.path().join(name);
    let typed = "case\nask pore-walls\nround\nfinish\nreport ring.txt\nreport ring.html\ncase Pits in the heavy ring\ncase\nquit\n";
    let all =
        ["--sheet", sheet, "--session", "s.jsonl", "--next", "n.yaml", "--report", "r.html", "pinholes"];
    let seen = text(&ask(folder.path(), &all, typed));
    assert!(seen.contains("Wrote pits-in-the-heavy-ring to"), "{seen}");
    assert!(seen.contains("this is in the casebook already"), "{seen}");
    let case = std::fs::read_to_string(at("data/aftercast/casebook/pits-in-the-heavy-ring.yaml")).unwrap();
    assert!(case.contains("pores-round-smooth") && case.contains("story: \"pinholes\""), "{case}");
    assert_eq!(std::fs::read(at("ring.html")).unwrap(), std::fs::read(at("r.html")).unwrap());
    // The same from the session, later.
    let later = text(&ask(folder.path(), &["--resume", "s.jsonl", "--next", "later.yaml"], ""));
    assert!(later.contains("The next sheet is in later.yaml."), "{later}");
    let sheet = |name: &str| std::fs::read_to_string(at(name)).unwrap();
    assert_eq!(sheet("later.yaml").matches("# was ").count(), 1);
    assert_eq!(sheet("later.yaml"), sheet("n.yaml"));
    let output = ask(folder.path(), &["--resume", "s.jsonl", "--next", "later.yaml"], "");
    assert_eq!(output.status.code(), Some(2), "a file that is there is left alone");
}

#[test]
fn an_interview_that_is_not_finished_writes_no_next_sheet() {
    let folder = tempfile::tempdir().unwrap();
    let seen = text(&ask(folder.path(), &["--next", "n.yaml"], "1\n"));
    assert!(seen.contains("the interview is not finished"), "{seen}");
    assert!(!folder.path().join("n.yaml").exists());
}

/// Cut off anywhere: every whole line of the journal is an answer that is still there.
#[test]
fn a_journal_cut_anywhere_goes_on_with_every_whole_answer() {
    let folder = tempfile::tempdir().unwrap();
    text(&ask(folder.path(), &["--session", "whole.jsonl"], "1\nskip\nskip\nnote a remark\n"));
    let whole = std::fs::read(folder.path().join("whole.jsonl")).unwrap();
    let first = whole.iter().position(|b| *b == b'\n').unwrap() + 1;
    for cut in [first, first + 1, first + 30, whole.len() - 40, whole.len() - 2, whole.len() - 1, whole.len()]
    {
        let path = folder.path().join("cut.jsonl");
        std::fs::write(&path, &whole[..cut]).unwrap();
        // A record without its line end is whole as well.
        let complete = whole[..cut]
            .split(|b| *b == b'\n')
            .filter(|l| serde_json::from_slice::<serde_json::Value>(l).is_ok());
        let answers = complete.filter(|l| String::from_utf8_lossy(l).contains("\"answer\"")).count();
        let torn =
            serde_json::from_slice::<serde_json::Value>(whole[..cut].rsplit(|b| *b == b'\n').next().unwrap())
                .is_err()
                && whole[cut - 1] != b'\n';
        let seen = text(&ask(folder.path(), &["--resume", "cut.jsonl"], "skip\nquit\n"));
        let s = if answers == 1 { "" } else { "s" };
        assert!(seen.contains(&format!("{answers} answer{s} so far")), "cut at {cut}: {seen}");
        assert_eq!(seen.contains("was cut off"), torn, "cut at {cut}");
        // What is added after the cut stands on lines of its own.
        let seen = text(&ask(folder.path(), &["--resume", "cut.jsonl"], "quit\n"));
        assert!(seen.contains(&format!("{} answer", answers + 1)), "cut at {cut}: {seen}");
        assert!(!seen.contains("was cut off"));
    }
}

#[test]
fn refusals_say_the_way_out() {
    let folder = tempfile::tempdir().unwrap();
    let fails = |arguments: &[&str]| {
        let output = ask(folder.path(), arguments, "");
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        String::from_utf8(output.stderr).unwrap()
    };
    let mut all = String::new();
    std::fs::write(folder.path().join("taken.jsonl"), "").unwrap();
    std::fs::write(folder.path().join("broken.jsonl"), "{\"did\":\"finish\"}\nrubbish\n").unwrap();
    std::fs::write(
        folder.path().join("later.jsonl"),
        "{\"did\":\"start\",\"schema\":9,\"sheet\":\"\",\"findings\":[],\"seed\":1,\"figures\":true}\n",
    )
    .unwrap();
    std::fs::write(folder.path().join("headless.jsonl"), "{\"did\":\"finish\"}\n").unwrap();
    for arguments in [
        &["--resume"][..],
        &["--resume", "missing.jsonl"],
        &["--resume", "taken.jsonl"],
        &["--resume", "broken.jsonl"],
        &["--resume", "later.jsonl"],
        &["--resume", "headless.jsonl"],
        &["--session", "taken.jsonl"],
        &["--answers", "missing"],
        &["--alloy", "unobtainium"],
        &["--defects", "wobbles"],
    ] {
        all.push_str(&format!("$ aftercast ask {}\n{}\n", arguments.join(" "), fails(arguments)));
    }
    let all = all.replace(&folder.path().display().to_string(), "[state]");
    insta::assert_snapshot!(all);
}

/// What is asked back stands until it is answered: words beside it are taken, commands are obeyed, and it is asked again.
#[test]
fn what_is_asked_back_stands_until_it_is_answered() {
    let folder = tempfile::tempdir().unwrap();
    let typed = "1\ncraks\nwhy\nso far\nthe stones are cloudy\nnote a remark\nxyzzy\nno\nquit\n";
    let seen = text(&ask(folder.path(), &[], typed));
    let from =
        |start: &str| seen.split(start).nth(1).unwrap_or_else(|| panic!("no {start} in {seen}")).to_owned();
    let asked = |text: &str| text.split("\n> ").next().unwrap().contains("Asked back. `craks`");
    for typed in ["> craks", "> why", "> so far", "> the stones are cloudy", "> note a remark", "> xyzzy"] {
        assert!(asked(&from(typed)), "not asked again behind {typed}: {seen}");
    }
    let why = from("> why\n").split("Asked back").next().unwrap().to_owned();
    assert!(why.contains("Why: ") && why.contains("yes: ") && why.contains("no: "), "{why}");
    assert!(from("> the stones are cloudy\n").contains("stone"), "{seen}");
    assert!(from("> xyzzy\n").starts_with("Not taken: "), "{seen}");
    assert!(from("> no\n").starts_with("Left out.\n"), "{seen}");
    assert_eq!(seen.matches("Asked back").count(), 6, "{seen}");
}

/// Leaving does not answer for the caster, and what was told is there again.
#[test]
fn what_was_asked_back_is_asked_again_when_it_is_resumed() {
    let folder = tempfile::tempdir().unwrap();
    let session = ["--session", "session.jsonl"];
    let words = "small round holes after polishing, craks";
    let first = text(&ask(folder.path(), &[&session[..], &[words]].concat(), ""));
    assert!(first.contains("Asked back. `craks`"), "{first}");
    let again = text(&ask(folder.path(), &["--resume", "session.jsonl"], "probably\nquit\n"));
    let before = again.split("Asked back").next().unwrap();
    assert!(before.contains("0 answers so far.") && before.contains(words), "{again}");
    assert!(before.contains("saw round pores with smooth walls"), "{again}");
    assert!(again.contains("Asked back. `craks`") && again.contains("Noted: probably"), "{again}");
    let third = text(&ask(folder.path(), &["--resume", "session.jsonl"], "quit\n"));
    assert!(!third.contains("Asked back") && third.contains("probably saw"), "{third}");
    // A session of before, which did not keep what is open, is read as well.
    let old = std::fs::read_to_string(folder.path().join("session.jsonl")).unwrap();
    let old: Vec<serde_json::Value> = old.lines().map(|l| serde_json::from_str(l).unwrap()).collect();
    let without: Vec<String> = old
        .into_iter()
        .map(|mut record| {
            record.as_object_mut().unwrap().remove("perhaps");
            record.to_string()
        })
        .collect();
    std::fs::write(folder.path().join("old.jsonl"), without.join("\n") + "\n").unwrap();
    let resumed = text(&ask(folder.path(), &["--resume", "old.jsonl"], "quit\n"));
    assert!(resumed.contains("probably saw") && !resumed.contains("left out"), "{resumed}");
}

/// The whole result is shown once, and when it is asked for; an answer after it shows what it changed.
#[test]
fn an_answer_after_the_result_shows_what_changed() {
    let folder = tempfile::tempdir().unwrap();
    let typed = "1\nfinish\nask pore-walls\nround\nfinish\nback\n2\nfinish\nquit\n";
    let seen = text(&ask(folder.path(), &["--alloy", "sterling"], typed));
    let after = |start: &str, at: usize| seen.split(start).nth(at).unwrap().to_owned();
    let until = |text: &str| text.split("\n> ").next().unwrap().split("done> ").next().unwrap().to_owned();
    assert_eq!(seen.matches("What to change first").count(), seen.matches("> finish").count(), "{seen}");
    let small = until(&after("> 2\n", 1));
    assert!(small.lines().count() < 25, "{small}");
    assert!(until(&after("> finish\n", 1)).contains("What to change first"), "{seen}");
}

/// Where it stands in the interview, the result does not send the caster to the interview.
#[test]
fn the_result_of_the_interview_does_not_send_to_the_interview() {
    let folder = tempfile::tempdir().unwrap();
    let unknown = "don't know\n".repeat(40);
    for kind in ["1", "2", "5", "6"] {
        let early = text(&ask(folder.path(), &[], &format!("{kind}\nfinish\nquit\n")));
        let late = text(&ask(folder.path(), &["--no-figures"], &format!("{kind}\n{unknown}quit\n")));
        for seen in [&early, &late] {
            let result = seen.split("Likely causes").nth(1).unwrap_or_else(|| panic!("{seen}"));
            assert!(!result.contains("aftercast ask`)"), "{seen}");
        }
        let plain = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        let (early, late) = (plain(&early), plain(&late));
        assert!(
            !early.contains("likelier to fail than to work") || early.contains("go on answering (`more`)"),
            "{early}"
        );
        assert!(
            !late.contains("likelier to fail than to work")
                || late.contains("no question is left that would tell"),
            "{late}"
        );
    }
}

#[test]
fn a_question_that_waits_says_for_which() {
    let folder = tempfile::tempdir().unwrap();
    let typed = "2\nask melt-heat-asked\nask stones-state\nask alloy-asked\nsterling\nask alloy-asked\nask alloy-askd\nquit\n";
    let seen = text(&ask(folder.path(), &[], typed));
    let seen = seen.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(seen.contains("`melt-heat-asked` waits for \"Which alloy was cast?\" (alloy-asked)"), "{seen}");
    assert!(seen.contains("help: `ask alloy-asked` asks that first"), "{seen}");
    assert!(seen.contains("`stones-state` is about what was not reported"), "{seen}");
    assert!(
        seen.contains("`alloy-asked` was asked already") && seen.contains("`back 2` answers it anew"),
        "{seen}"
    );
    assert!(
        seen.contains("no question is called `alloy-askd`") && seen.contains("did you mean `alloy-asked`"),
        "{seen}"
    );
}

/// A path is copied from the screen: it stands on a line of its own, whole, however long it is.
#[test]
fn paths_are_never_broken() {
    let folder = tempfile::tempdir().unwrap();
    let deep =
        folder.path().join("a-workshop-with-a-rather-long-name").join("and-a-room-for-casting-in-it-too");
    std::fs::create_dir_all(&deep).unwrap();
    let seen = text(&ask(&deep, &[], "1\ncase\nquit\n"));
    let session = std::fs::read_dir(deep.join("aftercast/sessions")).unwrap().next().unwrap().unwrap();
    let name = session.file_name().into_string().unwrap();
    assert!(name.len() <= "20261129-085407b.jsonl".len(), "{name}");
    let line = format!("  {}", session.path().display());
    assert!(seen.lines().any(|l| l == line), "{seen}");
    let case = seen.lines().find(|l| l.ends_with(".yaml")).unwrap();
    assert!(Path::new(case.trim_start()).exists(), "{case}");
    let again = text(&ask(&deep, &["--resume"], "quit\n"));
    assert!(again.lines().any(|l| l == line), "{again}");
    // Several in one second have names of their own, and the last one is gone on with.
    for kind in ["2", "3", "4"] {
        text(&ask(&deep, &[], &format!("{kind}\nquit\n")));
    }
    assert_eq!(std::fs::read_dir(deep.join("aftercast/sessions")).unwrap().count(), 4);
    let last = text(&ask(&deep, &["--resume"], "quit\n"));
    assert!(last.contains("it is cracked or broke"), "{last}");
}

/// The work of a question is one number, on its line, in its `why` and where it is the best one left.
#[test]
fn the_work_of_a_question_is_one_number() {
    let folder = tempfile::tempdir().unwrap();
    let typed = "1\nask pore-walls\nwhy\nask button-sawn\nwhy\nquit\n";
    let seen = text(&ask(folder.path(), &["--alloy", "sterling"], typed));
    let seen = seen.split_whitespace().collect::<Vec<_>>().join(" ");
    let shown = seen.split("with a loupe, about ").nth(1).unwrap().split(')').next().unwrap();
    assert!(seen.contains(&format!("and takes about {shown}.")), "{seen}");
}
