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

fn json(arguments: &[&str]) -> serde_json::Value {
    serde_json::from_str(&answer(&[arguments, &["--format", "json"]].concat())).unwrap()
}

/// Words after each other, the breaks of the lines left out.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The list of changes and the plan begin with the same one, it gains something with what it may bring counted, and
/// what only trades one fault for another is told apart.
#[test]
fn one_first_step_and_no_step_that_only_trades() {
    let jobs: [&[&str]; 6] = [
        &["--alloy", "platinum", "--defects", "gas-porosity,misrun"],
        &["--alloy", "silver", "--signs", "metal-missing"],
        &["--alloy", "bronze", "--signs", "sink-dent,surface-or-colour-bad"],
        &["--alloy", "sterling", "--defects", "pinholes", "--sheet", SHEET],
        &["--alloy", "14k-yellow", "--defects", "shrinkage-porosity"],
        &["--alloy", "brass", "--defects", "misrun,pinholes"],
    ];
    let (mut traded, mut planned) = (0, 0);
    for job in jobs {
        let answer = json(job);
        let remedies = answer["remedies"].as_array().unwrap();
        let Some(first) = remedies.first() else { continue };
        // Where no sequence pays there is no plan, and the list stands alone.
        if !answer["plan"].is_null() {
            assert_eq!(first["id"], answer["plan"]["steps"][0]["remedy"], "{job:?}");
            planned += 1;
        }
        for remedy in remedies {
            let (sound, now) =
                (remedy["sound"].as_f64().unwrap(), remedy["success"]["before"].as_f64().unwrap());
            // Only against a cause that is as good as found is a change named that gains nothing.
            let cause = &answer["causes"][0];
            let found = remedy["against"] == cause["id"] && cause["had_a_hand"].as_f64().unwrap() >= 0.5;
            assert!(sound >= now + 0.01 || found, "{job:?}: {}", remedy["id"]);
            assert!(
                sound <= remedy["success"]["after"].as_f64().unwrap() + 1e-9,
                "{job:?}: {}",
                remedy["id"]
            );
        }
        for trade in answer["trades"].as_array().unwrap() {
            assert!(!remedies.iter().any(|r| r["id"] == trade["id"]));
            let (sound, now) =
                (trade["sound"].as_f64().unwrap(), trade["success"]["before"].as_f64().unwrap());
            assert!(sound < now + 0.01, "{job:?}: {}", trade["id"]);
            traded += 1;
        }
        let best = remedies.iter().map(|r| r["sound"].as_f64().unwrap()).fold(0.0, f64::max);
        for pair in answer["pairs"].as_array().unwrap() {
            assert!(pair["success"]["after"].as_f64().unwrap() > best, "{job:?}");
        }
    }
    assert!(planned >= 4, "{planned} of the jobs have a plan");
    assert!(traded > 0, "some change of these jobs only trades");
}

/// A cause that a sign of its own proves, beside a fault that it does not make.
#[test]
fn a_cause_that_is_there_and_did_not_do_it_is_said_to_be() {
    let words = ["--alloy", "sterling", "--signs", "slurry-was-thick,pores-round-smooth"];
    let found = json(&words);
    let first = &found["causes"][0];
    assert_eq!(first["id"], "slurry-thick");
    assert!(first["had_a_hand"].as_f64().unwrap() > 0.8);
    assert!(first["in_fault"].as_f64().unwrap() < 0.1);
    assert_eq!(found["left_open"], serde_json::json!(["pores-round-smooth"]));
    let text = flat(&answer(&words));
    assert!(
        text.contains("it is there, by a sign of its own; that it made the fault itself comes to"),
        "{text}"
    );
    assert!(text.contains("does not account for: saw round pores with smooth walls"), "{text}");
    // Where the same cause made what was seen, nothing of the kind is said.
    let made = json(&["--alloy", "sterling", "--signs", "slurry-was-thick", "--defects", "nodules"]);
    let cause = made["causes"].as_array().unwrap().iter().find(|c| c["id"] == "slurry-thick").unwrap();
    assert!(cause["in_fault"].as_f64().unwrap() > 0.3, "{cause}");
}

/// A ring worn in use: its own remedy, and no cast planned for it.
#[test]
fn a_fault_that_came_after_the_cast_changes_no_cast() {
    let words = ["--alloy", "sterling", "--signs", "fault-came-in-wear,oval-or-bent"];
    let text = flat(&answer(&words));
    assert!(text.contains("This came after the cast"), "{text}");
    assert!(text.contains("Make the piece stand wear"), "{text}");
    for cast in ["The plan", "re-cast", "Cool waxes flat"] {
        assert!(!text.contains(cast), "{cast}: {text}");
    }
    let found = json(&words);
    assert_eq!(found["after_the_cast"], "worn-or-bent-in-use");
    assert!(found["plan"].is_null());
}

/// With many causes alike, what to look at comes first, and there is no plan of guesses.
#[test]
fn where_nothing_stands_out_it_says_what_to_look_at() {
    let text = answer(&["--alloy", "silver", "--signs", "metal-missing"]);
    let at = |words: &str| text.find(words).unwrap_or_else(|| panic!("{words} in {text}"));
    assert!(at("Nothing stands out") < at("Look first"));
    assert!(at("Look first") < at("Likely causes"));
    assert!(at("would tell most\n     ") < at("Likely causes"));
    assert!(flat(&text).contains("None yet."), "{text}");
}

/// A flask above its window goes into the window; where thick and thin parts want two windows, that is said.
#[test]
fn a_flask_goes_into_its_window() {
    let sheet = |tree: &str| {
        format!(
            "alloy: sterling-925\nflask: {{temperature: 680 C}}\nmould: {{binder: gypsum}}\ntree: {{{tree}}}\n"
        )
    };
    let step = |tree: &str| -> serde_json::Value {
        let words = ["--certain", "mould-gas-porosity", "--format", "json"];
        let output = with_sheet(sheet(tree).as_bytes(), &words);
        let found: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        let all = found["remedies"].as_array().unwrap();
        all.iter().find(|r| r["id"] == "lower-flask-step").unwrap()["step"].clone()
    };
    // sterling-925: usual for heavy pieces is 399 to 520 °C.
    let to = step("heaviest: 4 mm, thinnest: 3.5 mm")["to"].as_f64().unwrap();
    assert!((399.0..=520.0).contains(&to), "{to}");
    let words = ["--certain", "mould-gas-porosity"];
    let output = with_sheet(sheet("heaviest: 4 mm, thinnest: 0.9 mm").as_bytes(), &words);
    let text = flat(&String::from_utf8(output.stdout).unwrap());
    assert!(
        text.contains("a bargain, since thick parts want 520 °C or less and thin ones 566 °C or more"),
        "{text}"
    );
}

/// With a torch known, nothing is advised that wants a closed chamber.
#[test]
fn a_torch_gets_no_chamber() {
    let sheet = "alloy: sterling-925\nmelt: {heat: torch}\nmethod: spun\n";
    let output = with_sheet(sheet.as_bytes(), &["--format", "json"]);
    let found: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    for list in ["remedies", "trades"] {
        for remedy in found[list].as_array().unwrap() {
            let id = remedy["id"].as_str().unwrap();
            assert!(!["add-purge-cycles", "argon-cover", "hold-chamber-pressure"].contains(&id), "{id}");
        }
    }
    assert!(!found["remedies"].as_array().unwrap().is_empty());
}

/// What tells that somebody is in a hazard stands before all else.
#[test]
fn illness_and_smoke_come_first() {
    let said = answer(&["--alloy", "brass", "white smoke and chills afterwards, pinholes"]);
    assert!(said.starts_with("Before anything else\n"), "{said}");
    let said = flat(&said);
    for words in ["metal fume fever", "fresh air", "see a doctor", "rules of the place come first"] {
        assert!(said.contains(words), "{words}: {said}");
    }
    // By the sign alone, by the words alone, by the sheet alone.
    assert!(answer(&["--signs", "white-smoke"]).starts_with("Before anything else\n"));
    assert!(answer(&["pinholes and I have been coughing since"]).starts_with("Before anything else\n"));
    let hot = with_sheet(b"alloy: brass\nmelt: {temperature: 1250 C}\n", &[]);
    assert!(String::from_utf8(hot.stdout).unwrap().contains("Before anything else\n"));
    assert!(refusal(&["fever and chills since casting"]).contains("metal fume"));
    for quiet in ["pinholes, no fever", "pinholes after the burnout"] {
        assert!(!answer(&[quiet]).contains("Before anything else"), "{quiet}");
    }
}
