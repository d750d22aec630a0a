//! The casebook's promises: cases that teach and are solvable, commands that find and keep them, writes that survive a
//! kill, a quiz that does not give itself away, and a book that stands on its own.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test that cannot run the program must fail where it stands, and the learning test tells its figures"
)]

use aftercast::advice::{Model, diagnose};
use aftercast::casebook::index::{Entry, Index};
use aftercast::casebook::quiz::{Round, askable};
use aftercast::casebook::score::job;
use aftercast::casebook::{Case, Origin, Status, book, from_texts, shipped};
use aftercast::inference::Random;
use aftercast::rules::RuleBase;
use aftercast::sheet::catalogue;
use std::collections::BTreeSet;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

fn rules() -> RuleBase {
    aftercast::rules::shipped(&catalogue()).rules
}

fn command(dir: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_aftercast"));
    command
        .env_clear()
        .env("XDG_DATA_HOME", dir.join("data"))
        .env("COLUMNS", "80")
        .current_dir(dir)
        .stdin(Stdio::null());
    command
}

struct Said {
    code: Option<i32>,
    out: String,
    err: String,
}

fn run(dir: &Path, arguments: &[&str]) -> Said {
    let output = command(dir).arg("casebook").args(arguments).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    Said { code: output.status.code(), out: text(output.stdout), err: text(output.stderr) }
}

fn play(dir: &Path, arguments: &[&str], input: &str) -> String {
    let mut child = command(dir)
        .args(["casebook", "quiz"])
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
    String::from_utf8(child.wait_with_output().unwrap().stdout).unwrap()
}

fn plain(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

// The shipped cases.

#[test]
fn the_shipped_cases_are_whole_and_cover_the_trade() {
    let rules = rules();
    let read = shipped(&rules);
    let text =
        aftercast::document::render(&read.sources, &read.problems, aftercast::document::Excerpt::Plain);
    assert_eq!(text, "");
    let of = |origin: Origin| read.cases.iter().filter(|c| c.origin == origin).count();
    assert!(of(Origin::Invented) >= 28 && of(Origin::Published) >= 12 && read.cases.len() >= 40);
    for case in &read.cases {
        let id = &case.id;
        assert!(case.level.is_some() && case.lesson.is_some(), "{id}");
        let sentences = case.lesson.as_ref().unwrap().matches(['.', '?']).count();
        assert!(sentences >= 2, "{id}: the lesson has {sentences} sentences");
        if case.status == Status::Closed {
            assert!(askable(case), "{id} cannot be asked in the quiz");
            assert!(case.proof.is_some() && case.result.is_some() && case.confidence.is_some(), "{id}");
        }
        assert_eq!(case.source.is_some(), case.origin == Origin::Published, "{id}");
    }
    let what: BTreeSet<_> = read.cases.iter().flat_map(|c| c.what.clone()).collect();
    for key in rules.defect_keys() {
        assert!(what.contains(&key), "no case of {}", rules.defect(key).id);
    }
    let causes: BTreeSet<_> = read.cases.iter().flat_map(|c| c.causes.clone()).collect();
    let groups: BTreeSet<_> = rules.causes.iter().map(|c| c.group.clone()).collect();
    let covered: BTreeSet<_> = causes.iter().map(|c| rules.cause(*c).group.clone()).collect();
    assert_eq!(groups, covered);
    let cast: BTreeSet<usize> = read
        .cases
        .iter()
        .filter_map(|c| c.sheet.context(&rules).value(aftercast::rules::FactKey::FAMILY))
        .collect();
    for key in rules.family_keys() {
        assert!(cast.contains(&key.index()), "no case in {}", rules.family(key).id);
    }
    assert!(read.cases.iter().filter(|c| c.level == Some(3)).count() >= 5);
    assert!(read.cases.iter().any(|c| c.what.len() > 1 && c.causes.len() > 1), "no two faults at once");
}

/// Every shipped case is a test of the rules: the proved cause in the first three, first in 65 % of them, and one of
/// the changes that were made among the first five remedies.
#[test]
fn the_program_sees_through_the_shipped_cases() {
    let rules = rules();
    let read = shipped(&rules);
    let (mut first, mut asked) = (0_usize, 0_usize);
    let mut misses: Vec<String> = Vec::new();
    for case in read.cases.iter().filter(|c| c.status == Status::Closed) {
        let sheet = job(&rules, case);
        let model = Model::focused(&rules, &sheet, &case.observations).unwrap();
        let answer = diagnose(&model, &sheet, &case.observations).unwrap();
        asked += 1;
        let place = answer.causes.iter().position(|c| case.names(c.cause)).unwrap();
        first += usize::from(place == 0);
        if place >= 3 {
            misses.push(format!("{}: its cause comes at place {}", case.id, place + 1));
        }
        let changed = answer.remedies.iter().take(5).any(|r| case.change.contains(&r.remedy));
        if !changed {
            misses.push(format!("{}: none of its changes is among the first five", case.id));
        }
    }
    assert!(misses.is_empty(), "{}", misses.join("\n"));
    assert!(first * 100 >= asked * 65, "{first} of {asked} come first");
}

// The commands.

#[test]
fn screens() {
    let dir = tempfile::tempdir().unwrap();
    for (name, arguments) in [
        ("list_by_cause", &["list", "--cause", "flask too hot"][..]),
        ("list_open", &["list", "--open"]),
        ("list_json", &["list", "--defect", "wax void", "--format", "json"]),
        ("show", &["show", "red-gold-left-overnight"]),
        ("show_published", &["show", "published-hard-spots"]),
        ("search", &["search", "whte powdre", "--top", "3"]),
        ("search_nothing", &["search", "xylophone"]),
        (
            "like_signs",
            &[
                "like",
                "--signs",
                "branched holes,same place on every copy",
                "--alloy",
                "silver",
                "--top",
                "2",
            ],
        ),
        ("like_case", &["like", "oven-ran-away", "--top", "1"]),
        ("teach", &["teach", "--level", "3", "--top", "2"]),
    ] {
        let said = run(dir.path(), arguments);
        assert_eq!((said.code, said.err.as_str()), (Some(0), ""), "{name}");
        for line in said.out.lines() {
            assert!(textwrap::core::display_width(line) <= 80, "{name}: too wide: {line}");
        }
        insta::assert_snapshot!(name, said.out);
    }
    for (name, arguments) in [
        ("wrong_case", &["show", "called-it-gass"][..]),
        ("wrong_defect", &["list", "--defect", "shrinkige"]),
        ("wrong_cause", &["list", "--cause", "flask-to-hot"]),
        ("wrong_nothing_said", &["like"]),
        ("wrong_folder", &["list", "--casebook", "there-is-none"]),
        ("wrong_close", &["close", "nobody", "--cause", "flask-too-hot", "--result", "x"]),
        ("wrong_close_shipped", &["close", "called-it-gas", "--cause", "flask-too-hot", "--result", "x"]),
    ] {
        let said = run(dir.path(), arguments);
        assert_eq!((said.code, said.out.as_str()), (Some(2), ""), "{name}");
        insta::assert_snapshot!(name, said.err);
    }
}

#[test]
fn a_case_is_written_found_closed_and_counted() {
    let dir = tempfile::tempdir().unwrap();
    let shop = ["--casebook", "shop"];
    let said =
        run(
            dir.path(),
            &[
                &[
                    "add",
                    "Pits in the new bangle",
                    "--signs",
                    "pores-angular-branched",
                    "--alloy",
                    "sterling",
                ][..],
                &shop,
            ]
            .concat(),
        );
    assert_eq!(said.code, Some(0), "{}", said.err);
    assert!(said.out.contains("Wrote pits-in-the-new-bangle"), "{}", said.out);
    let again = run(
        dir.path(),
        &[&["add", "Pits in the new bangle", "--signs", "pores-angular-branched"][..], &shop].concat(),
    );
    assert!(again.out.contains("Wrote pits-in-the-new-bangle-2"), "{}", again.out);
    let taken = run(
        dir.path(),
        &[&["add", "x", "--id", "pits-in-the-new-bangle", "--defects", "pinholes"][..], &shop].concat(),
    );
    assert_eq!(taken.code, Some(2));
    assert!(taken.err.contains("nothing was written"), "{}", taken.err);
    let close = [
        "close",
        "pits-in-the-new-bangle",
        "--cause",
        "gate too thin",
        "--change",
        "enlarge-gate",
        "--result",
        "Sound.",
    ];
    let by_id = [
        "close",
        "pits-in-the-new-bangle",
        "--cause",
        "gate-undersized",
        "--change",
        "enlarge-gate",
        "--result",
        "Sound.",
    ];
    let closed = run(dir.path(), &[&by_id[..], &shop].concat());
    assert_eq!(closed.code, Some(0), "{}", closed.err);
    assert_eq!(run(dir.path(), &[&close[..], &shop].concat()).code, Some(2), "closed twice");
    let list =
        run(dir.path(), &[&["list", "--cause", "gate-undersized", "--format", "json"][..], &shop].concat());
    let list: serde_json::Value = serde_json::from_str(&list.out).unwrap();
    assert_eq!(list["schema"], 1);
    assert!(
        list["cases"]
            .as_array()
            .unwrap()
            .iter()
            .any(|c| c["id"] == "pits-in-the-new-bangle" && c["shop"] == true)
    );
    // One closed case tunes the rates, openly, and can be left out.
    let tuned = |more: &[&str]| {
        let flags = ["diagnose", "--defects", "pinholes", "--casebook", "shop"];
        let output = command(dir.path()).args(flags).args(more).output().unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    assert!(tuned(&[]).contains("1 closed case of the shop"));
    assert!(!tuned(&["--untuned"]).contains("closed case"));
    let json: serde_json::Value = serde_json::from_str(&tuned(&["--format", "json"])).unwrap();
    assert_eq!(json["tuned"]["closed_cases"], 1);
    assert!(json["tuned"]["note"].as_str().unwrap().contains("--untuned leaves them out"));
    let json: serde_json::Value = serde_json::from_str(&tuned(&["--untuned", "--format", "json"])).unwrap();
    assert!(json["tuned"].is_null());
    // So does `rules show`, cause by cause.
    let shown = |more: &[&str]| {
        let output = command(dir.path()).args(["rules", "show"]).args(more).output().unwrap();
        plain(&String::from_utf8(output.stdout).unwrap())
    };
    let with = |id: &str| shown(&[id, "--casebook", "shop"]);
    assert!(
        with("gate-undersized")
            .contains("in your casebook: 1 of your 1 closed case; with them the chance is")
    );
    assert!(with("flask-too-hot").contains("in your casebook: 0 of your 1 closed case"));
    for none in [&["gate-undersized"][..], &["gate-undersized", "--casebook", "shop", "--untuned"]] {
        assert!(!shown(none).contains("your casebook"), "{none:?}");
    }
}

/// A saved interview becomes a case and is compared with cases; what a flag says goes before what the interview says.
#[test]
fn an_interview_becomes_a_case() {
    let dir = tempfile::tempdir().unwrap();
    let session = [
        r#"{"did":"start","schema":1,"sheet":"alloy: sterling-925\nflask: {temperature: 640 C}\n","findings":[["gas-porosity","seen"],["pores-round-smooth","seen"]],"seed":1,"figures":true}"#,
        r#"{"did":"answer","question":"where-pores","said":"unknown"}"#,
        r#"{"did":"note","text":"New powder lot."}"#,
        r#"{"did":"no"#,
    ];
    std::fs::write(dir.path().join("s.jsonl"), session.join("\n")).unwrap();
    let add = ["add", "--session", "s.jsonl", "--absent", "fins,gas-porosity", "--casebook", "shop"];
    let said = run(dir.path(), &add);
    assert_eq!((said.code, said.err.as_str()), (Some(0), ""));
    let rules = rules();
    let read = aftercast::casebook::folder(&rules, &dir.path().join("shop")).unwrap();
    assert_eq!(read.problems.errors(), 0);
    let case = &read.cases[0];
    assert_eq!(case.story, "New powder lot.");
    assert_eq!(case.title, "Round pores with smooth walls");
    assert!(case.sheet.figures.len() == 1 && case.sheet.alloy.is_some() && case.status == Status::Open);
    let pinholes = aftercast::rules::Finding::Defect(rules.find_defect("gas-porosity").unwrap());
    let how = case.observations.iter().find(|o| o.finding == pinholes).unwrap().how;
    assert_eq!(how, aftercast::advice::Sureness::Absent, "the flag was not heard");
    for arguments in [&["like", "s.jsonl"][..], &["like", "--session", "s.jsonl"]] {
        let said = run(dir.path(), &[arguments, &["--top", "1", "--casebook", "shop"]].concat());
        assert!(said.out.contains("round-pores-with-smooth-walls"), "{}{}", said.out, said.err);
    }
    // No session, no sheet in its place, nothing seen in it.
    std::fs::write(
        dir.path().join("empty.jsonl"),
        session[0].replace(r#"["gas-porosity","seen"],["pores-round-smooth","seen"]"#, ""),
    )
    .unwrap();
    for arguments in [
        &["add", "--session", "none.jsonl"][..],
        &["add", "--session", "last"],
        &["add", "--session", "empty.jsonl"],
        &["add", "--session", "s.jsonl", "--sheet", "s.jsonl"],
        &["like", "--session", "shop"],
    ] {
        let said = run(dir.path(), arguments);
        assert_eq!(said.code, Some(2), "{arguments:?}: {}", said.out);
    }
}

#[test]
fn hostile_words_do_no_harm() {
    let dir = tempfile::tempdir().unwrap();
    let shop = ["--casebook", "shop"];
    for id in ["../../evil", "a/b", "..", "nul", "A", ""] {
        let said = run(dir.path(), &[&["add", "x", "--id", id, "--defects", "pinholes"][..], &shop].concat());
        assert_eq!(said.code, Some(2), "{id:?}");
    }
    for blank in [["--story", ""], ["--story", " "], ["--asked", "\u{2028}"]] {
        let said = run(dir.path(), &[&["add", "x", "--defects", "pinholes"][..], &blank, &shop].concat());
        assert_eq!(said.code, Some(2), "{blank:?}: what cannot be read again was written");
    }
    assert!(!dir.path().join("shop").exists(), "a refused id left something behind");
    let title = "\u{1b}[2J<script>alert(1)</script> ../../x";
    let said =
        run(dir.path(), &[&["add", title, "--defects", "pinholes", "--story", title][..], &shop].concat());
    assert_eq!(said.code, Some(0), "{}", said.err);
    for arguments in [&["list"][..], &["search", "script"], &["list", "--format", "json"]] {
        let said = run(dir.path(), &[arguments, &shop].concat());
        assert!(said.out.contains("script") && !said.out.contains('\u{1b}'), "{}", said.out);
    }
    let made = run(dir.path(), &[&["book", "book"][..], &shop].concat());
    assert_eq!(made.code, Some(0), "{}", made.err);
    for entry in std::fs::read_dir(dir.path().join("book")).unwrap() {
        let text = std::fs::read_to_string(entry.unwrap().path()).unwrap();
        assert!(!text.contains("<script>alert") && !text.contains('\u{1b}'));
    }
}

#[test]
fn a_broken_file_is_reported_and_the_rest_works() {
    let dir = tempfile::tempdir().unwrap();
    let shop = dir.path().join("shop");
    std::fs::create_dir(&shop).unwrap();
    std::fs::write(shop.join("torn.yaml"), "id: torn\ntitle: [\n").unwrap();
    std::fs::write(
        shop.join("slip.yaml"),
        "id: slip\ntitle: t\nstatus: opne\norigin: shop\nstory: s\nseen: {}\n",
    )
    .unwrap();
    std::fs::write(
        shop.join("good.yaml"),
        "id: good\ntitle: Mine\nstatus: open\norigin: shop\nstory: s\nseen: {}\n",
    )
    .unwrap();
    std::fs::write(
        shop.join("called-it-gas.yaml"),
        "id: called-it-gas\ntitle: t\nstatus: open\norigin: shop\nstory: s\nseen: {}\n",
    )
    .unwrap();
    let said = run(dir.path(), &["list", "--open", "--casebook", "shop"]);
    assert_eq!(said.code, Some(0));
    assert!(said.out.contains("Mine") && !said.out.contains("torn"), "{}", said.out);
    for wanted in ["slip.yaml:3:9", "torn.yaml:", "did you mean `open`", "called-it-gas"] {
        assert!(said.err.contains(wanted), "{wanted} missing in {}", said.err);
    }
}

/// Kills in the middle of adds: what was said to be written is there and whole, and nothing half written shows.
#[test]
fn no_kill_loses_a_case() {
    let kills: u64 = std::env::var("AFTERCAST_KILLS").ok().and_then(|n| n.parse().ok()).unwrap_or(30);
    let dir = tempfile::tempdir().unwrap();
    let shop = dir.path().join("shop");
    let mut chance = Random::new(20_260_301);
    let start = |title: &str| {
        command(dir.path())
            .args(["casebook", "add", title, "--signs", "pores-round-smooth", "--casebook", "shop"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap()
    };
    // How long an add takes here, so that the kills fall all over it.
    let begun = std::time::Instant::now();
    start("Warm").wait_with_output().unwrap();
    let whole = u64::try_from(begun.elapsed().as_micros()).unwrap().max(1000);
    let (mut killed, mut acknowledged) = (0_u64, Vec::new());
    while killed < kills {
        // Both want the same name, so that they race for it.
        let pair = [start("Same"), start("Same")];
        for mut child in pair {
            std::thread::sleep(std::time::Duration::from_micros(chance.number() % whole));
            child.kill().unwrap();
            let output = child.wait_with_output().unwrap();
            // One that was quicker than the kill is no kill.
            killed += u64::from(output.status.code().is_none());
            let text = String::from_utf8_lossy(&output.stdout).into_owned();
            if let Some(id) = text.strip_prefix("Wrote ").and_then(|t| t.split(' ').next()) {
                acknowledged.push(id.to_owned());
            }
        }
    }
    start("Same").wait_with_output().unwrap();
    let rules = rules();
    let read = aftercast::casebook::folder(&rules, &shop).unwrap();
    assert_eq!(read.problems.errors(), 0, "a half-written case shows");
    let there: BTreeSet<&str> = read.cases.iter().map(|c| c.id.as_str()).collect();
    for id in &acknowledged {
        assert!(there.contains(id.as_str()), "{id} was acknowledged and is lost");
    }
    let unique: BTreeSet<&String> = acknowledged.iter().collect();
    assert_eq!(unique.len(), acknowledged.len(), "one name was given twice");
    println!("{killed} killed, {} acknowledged, {} there", acknowledged.len(), there.len());
}

/// A disk that takes no more: the command says that nothing was saved, and nothing half written stays.
#[test]
#[cfg(unix)]
fn a_full_disk_loses_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let shop = ["--casebook", "shop"];
    run(dir.path(), &[&["add", "Before", "--defects", "pinholes"][..], &shop].concat());
    let files = || {
        let read = |e: std::io::Result<std::fs::DirEntry>| {
            let path = e.unwrap().path();
            (path.clone(), std::fs::read(path).unwrap())
        };
        std::fs::read_dir(dir.path().join("shop")).unwrap().map(read).collect::<BTreeSet<_>>()
    };
    let before = files();
    assert_eq!(before.len(), 1);
    let long = "A long story. ".repeat(1000);
    let add = ["add", "After", "--defects", "pinholes", "--story", &long];
    let close = ["close", "before", "--cause", "flask-too-hot", "--result", &long];
    for arguments in [&add[..], &close] {
        // No file may grow beyond so many blocks; the signal that comes with it is ignored, so that the write fails.
        for blocks in ["0", "1", "4"] {
            let mut shell = Command::new("sh");
            let script = "trap '' XFSZ; ulimit -f $0 && exec \"$@\"";
            let output = shell
                .args(["-c", script, blocks, env!("CARGO_BIN_EXE_aftercast"), "casebook"])
                .args(arguments)
                .args(shop)
                .current_dir(dir.path())
                .output()
                .unwrap();
            let said = String::from_utf8(output.stderr).unwrap();
            assert_eq!(output.status.code(), Some(2), "{said}");
            assert!(plain(&said).contains("nothing of this was saved: cannot write"), "{said}");
            let mut after = files();
            // The lock of a change holds nothing.
            after.retain(|(path, text)| !(path.ends_with(".lock") && text.is_empty()));
            assert_eq!(after, before, "{blocks}: {arguments:?}");
        }
    }
    let said = run(dir.path(), &[&add[..], &shop].concat());
    assert_eq!(said.code, Some(0), "{}", said.err);
}

/// Where the learner's record cannot be written, the answer is shown all the same.
#[test]
#[cfg(unix)]
fn a_full_disk_does_not_keep_the_answer_of_a_quiz_back() {
    let dir = tempfile::tempdir().unwrap();
    std::fs::write(dir.path().join("answers"), "1\n1\n1\n").unwrap();
    let output = Command::new("sh")
        .args([
            "-c",
            "trap '' XFSZ; ulimit -f 0 && exec \"$0\" casebook quiz --seed 1 --record r.json <answers",
        ])
        .arg(env!("CARGO_BIN_EXE_aftercast"))
        .current_dir(dir.path())
        .output()
        .unwrap();
    let (seen, said) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(seen.contains("Your points"), "{seen}");
    assert!(said.contains("cannot write r.json"), "{said}");
    assert!(!dir.path().join("r.json").exists());
}

/// Once looked through, five times the cases cost about five times as much, and 5000 answer at once even in an
/// unoptimised build.
#[test]
fn many_cases_are_quick() {
    let rules = rules();
    let cases = shipped(&rules).cases;
    let mut chance = Random::new(5);
    let mut times: Vec<[f64; 3]> = Vec::new();
    for count in [1000, 5000] {
        let dir = tempfile::tempdir().unwrap();
        let shop = dir.path().join("shop");
        std::fs::create_dir(&shop).unwrap();
        let long_ago = std::time::SystemTime::now() - std::time::Duration::from_secs(3600);
        for number in 0..count {
            let mut case = cases[chance.below(cases.len())].clone();
            case.id = format!("case-{number}");
            let mut file = std::fs::File::create(shop.join(format!("{}.yaml", case.id))).unwrap();
            file.write_all(aftercast::casebook::to_yaml(&rules, &case).as_bytes()).unwrap();
            file.set_modified(long_ago).unwrap();
        }
        let found = |arguments: &[&str], wanted: &str| {
            let once = || {
                let begun = std::time::Instant::now();
                let said = run(dir.path(), &[arguments, &["--casebook", "shop"]].concat());
                assert!(said.code == Some(0) && said.out.contains(wanted), "{}{}", said.out, said.err);
                begun.elapsed().as_secs_f64()
            };
            once();
            (0..3).map(|_| once()).fold(f64::INFINITY, f64::min)
        };
        let all = (count + cases.len()).to_string();
        times.push([
            found(&["list"], &format!("{all} cases")),
            found(&["search", "whte", "powdre"], "more; --top shows them"),
            found(&["like", "called-it-gas"], &format!("of {all} cases")),
        ]);
    }
    println!("seconds with 1000 and 5000 cases (list, search, like): {times:?}");
    for (few, many) in times[0].iter().zip(times[1]) {
        // Bounds that hold on a busy machine.
        assert!(many < 12.0 * few && many < 3.0, "{times:?}");
    }
}

// The quiz.

#[test]
fn quiz_transcripts() {
    let dir = tempfile::tempdir().unwrap();
    let all_right = |seed: &str| {
        let text =
            play(dir.path(), &["--seed", seed, "--no-record", "--level", "2"], "l\ns\nnonsense\n1\n2\n3\n");
        insta::assert_snapshot!(format!("quiz_{seed}"), text);
    };
    all_right("1");
    all_right("5");
}

#[test]
fn the_quiz_never_gives_the_answer_away_before_it_is_asked() {
    let dir = tempfile::tempdir().unwrap();
    let rules = rules();
    let cases = shipped(&rules).cases;
    for seed in 0..12 {
        let input = format!("{}s\nq\n", "l\n".repeat(15));
        let text = plain(&play(dir.path(), &["--seed", &seed.to_string(), "--no-record"], &input));
        assert!(text.contains("There is nothing more to see."), "{text}");
        for case in &cases {
            let secrets = [
                Some(&case.title),
                Some(&case.story),
                case.proof.as_ref(),
                case.result.as_ref(),
                case.lesson.as_ref(),
            ];
            for secret in secrets.into_iter().flatten() {
                assert!(!text.contains(&plain(secret)), "{} gives itself away: {secret}", case.id);
            }
        }
        for mark in ["The answer", "Your points", "What caused it", "it was", "called "] {
            assert!(!text.contains(mark), "{mark} in {text}");
        }
    }
    // Nor by where it stands: the right one is at every place about as often.
    let mut chance = Random::new(1);
    let mut places = [[0_usize; 5]; 3];
    for case in cases.iter().filter(|c| askable(c)) {
        for _ in 0..10 {
            let round = Round::new(&rules, case, &mut chance);
            let offer = round.offer();
            assert_eq!((offer.defects.len(), offer.causes.len(), offer.changes.len()), (5, 5, 5));
            let right = |found: Vec<usize>| {
                assert_eq!(found.len(), 1, "{}", case.id);
                found[0]
            };
            let at = |hits: Vec<bool>| {
                right(hits.iter().enumerate().filter(|(_, h)| **h).map(|(n, _)| n).collect())
            };
            places[0][at(offer.defects.iter().map(|d| case.what.contains(d)).collect())] += 1;
            places[1][at(offer.causes.iter().map(|c| case.names(*c)).collect())] += 1;
            places[2][at(offer.changes.iter().map(|r| case.change.contains(r)).collect())] += 1;
        }
    }
    for counts in places {
        let all: usize = counts.iter().sum();
        for count in counts {
            assert!(count * 100 > all * 14 && count * 100 < all * 26, "{places:?}");
        }
    }
}

#[test]
fn the_quiz_asks_more_of_what_was_missed() {
    use aftercast::casebook::quiz::{Record, choose};
    let rules = rules();
    let cases = shipped(&rules).cases;
    let mut index = Index::new(&rules);
    index.add(&rules, &cases, false);
    let askables: Vec<Entry<'_>> = index.entries().filter(|e| e.askable).collect();
    let missed = cases.iter().find(|c| askable(c)).unwrap();
    assert_eq!(askables[0].id, missed.id);
    let mut record = Record::default();
    let mut chance = Random::new(7);
    let share = |record: &Record, chance: &mut Random| {
        let hits = (0..4000).filter(|_| {
            let chosen = choose(&rules, &askables, record, chance).unwrap();
            askables[chosen].what.iter().any(|d| missed.what.contains(d))
        });
        hits.count()
    };
    let before = share(&record, &mut chance);
    let round = Round::new(&rules, missed, &mut chance);
    let wrong = round.offer().defects.iter().find(|d| !missed.what.contains(d)).unwrap();
    let marked = round.mark(*wrong, missed.causes[0], missed.change[0]);
    assert_eq!(marked.points, 7.0);
    record.note(&rules, missed, &marked);
    assert!(share(&record, &mut chance) * 10 > before * 13);
}

#[test]
fn the_record_is_kept_and_a_strange_one_refused() {
    let dir = tempfile::tempdir().unwrap();
    play(dir.path(), &["--seed", "1", "--record", "r.json"], "1\n1\n1\n");
    let kept: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string(dir.path().join("r.json")).unwrap()).unwrap();
    assert_eq!(kept["cases"].as_array().unwrap().len(), 1);
    std::fs::write(dir.path().join("r.json"), "{").unwrap();
    let said = run(dir.path(), &["quiz", "--record", "r.json"]);
    assert_eq!(said.code, Some(2));
    assert_eq!(
        std::fs::read_to_string(dir.path().join("r.json")).unwrap(),
        "{",
        "a strange file was written over"
    );
}

// Learning.

/// Draws closed cases from a shop where some causes happen much more often than the rules think.
fn drawn(rules: &RuleBase, shop: &RuleBase, count: usize, chance: &mut Random) -> Vec<Case> {
    use aftercast::advice::{Observation, Sureness};
    use aftercast::inference::Var;
    use aftercast::rules::Finding;
    use aftercast::rules::names::find_alloy;
    let mut template = shipped(rules).cases.swap_remove(0);
    template.sheet = aftercast::sheet::Sheet::default();
    template.sheet.name_alloy(rules, find_alloy(rules, "sterling-925").unwrap());
    let model = Model::new(shop, &template.sheet).unwrap();
    let network = &model.network;
    let mut cases = Vec::new();
    while cases.len() < count {
        let causes: Vec<_> =
            shop.cause_keys().filter(|k| chance.unit() < network.prior(model.cause(*k))).collect();
        let holds = |var: &Var, defects: &[bool]| match var {
            Var::Cause(id) => causes.iter().any(|k| model.cause(*k) == *id),
            Var::Node(id) => shop.defect_keys().any(|d| model.defect(d) == *id && defects[d.index()]),
        };
        let sample = |node, defects: &[bool], chance: &mut Random| {
            let mut missed = 1.0 - network.leak(node);
            for (parent, strength) in network.parents(node) {
                if holds(parent, defects) {
                    missed *= 1.0 - strength;
                }
            }
            chance.unit() >= missed
        };
        let mut defects = vec![false; shop.defects.len()];
        for key in shop.defect_keys() {
            let there = sample(model.defect(key), &[], chance);
            defects[key.index()] = there;
        }
        let mut seen: Vec<Observation> = Vec::new();
        for key in shop.sign_keys() {
            if sample(model.sign(key), &defects, chance) {
                seen.push(Observation { finding: Finding::Sign(key), how: Sureness::Seen });
            }
        }
        chance.shuffle(&mut seen);
        seen.truncate(4);
        if causes.len() == 1 && defects.iter().any(|d| *d) && !seen.is_empty() {
            let mut case = template.clone();
            case.causes = causes;
            case.accepted.clear();
            case.observations = seen;
            cases.push(case);
        }
    }
    cases
}

fn log_loss(rules: &RuleBase, cases: &[Case]) -> f64 {
    let mut total = 0.0;
    for case in cases {
        let sheet = job(rules, case);
        let model = Model::focused(rules, &sheet, &case.observations).unwrap();
        let prepared = model.network.prepare(&model.evidence(&case.observations)).unwrap();
        let posterior = prepared.posterior_active();
        let best = case.causes.iter().map(|c| posterior.cause(model.cause(*c))).fold(1e-6, f64::max);
        total -= best.ln();
    }
    #[expect(clippy::cast_precision_loss, reason = "some dozens of cases")]
    let count = cases.len() as f64;
    total / count
}

/// On cases drawn from a shop with other rates the log loss falls as closed cases come in, and on the shipped cases
/// it rises by no more than 0.02.
#[test]
fn closed_cases_teach() {
    use aftercast::casebook::learn::Counts;
    let rules = rules();
    let mut shop = rules.clone();
    for (at, cause) in shop.causes.iter_mut().enumerate() {
        let factor = if at % 9 == 0 { 5.0 } else { 0.5 };
        cause.base.default.value = (cause.base.default.value * factor).min(0.5);
        for strength in cause.base.by_family.values_mut() {
            strength.value = (strength.value * factor).min(0.5);
        }
    }
    let mut chance = Random::new(11);
    let training = drawn(&rules, &shop, 300, &mut chance);
    let held_out = drawn(&rules, &shop, 240, &mut chance);
    let mine: Vec<Case> = shipped(&rules).cases.into_iter().filter(|c| c.status == Status::Closed).collect();
    let plain = log_loss(&rules, &mine);
    let mut losses = Vec::new();
    for count in [0, 30, 100, 300] {
        let mut tuned = rules.clone();
        let mut index = Index::new(&rules);
        index.add(&rules, &training[..count], true);
        Counts::of(index.entries()).tune(&mut tuned);
        losses.push(log_loss(&tuned, &held_out));
        let shipped = log_loss(&tuned, &mine);
        assert!(
            shipped <= plain + 0.02,
            "{count} closed cases: {shipped} on the shipped ones, {plain} before"
        );
    }
    println!("log loss on the shop's cases: {losses:?}; on the shipped ones before: {plain}");
    // Which causes are the shop's own hangs on their order in the rules, and 240 cases are known to a hundredth or so: a
    // step may stand still within that, the whole way must go down.
    for pair in losses.windows(2) {
        // Each step within the noise of 240 cases; the whole way well beyond it.
        assert!(pair[1] < pair[0] + 0.03, "{losses:?}");
    }
    assert!(losses[3] < losses[0] - 0.05, "{losses:?}");
}

// The book.

#[test]
fn the_book_stands_on_its_own() {
    let rules = rules();
    let read = shipped(&rules);
    let cases: Vec<&Case> = read.cases.iter().collect();
    let files = book::files(&rules, &cases).unwrap();
    let names: BTreeSet<&str> = files.iter().map(|(n, _)| n.as_str()).collect();
    for (name, text) in files.iter().filter(|(n, _)| n.ends_with(".html")) {
        // Nothing is asked of the network; the one address is the name of the drawing language.
        let rest = text.replace("http://www.w3.org/2000/svg", "");
        assert!(!rest.contains("http:") && !rest.contains("https:") && !rest.contains("//cdn"), "{name}");
        assert!(text.starts_with("<!doctype html>") && text.contains("<html lang=\"en\">"), "{name}");
        assert_eq!(text.matches("<h1>").count(), 1, "{name}");
        for link in text.split("href=\"").skip(1).filter_map(|t| t.split('"').next()) {
            let (file, part) = link.split_once('#').unwrap_or((link, ""));
            assert!(file.is_empty() || names.contains(file), "{name} links to {link}");
            if !part.is_empty() {
                let target = if file.is_empty() { name } else { file };
                let target = &files.iter().find(|(n, _)| n == target).unwrap().1;
                assert!(target.contains(&format!("id=\"{part}\"")), "{name} links to {link}");
            }
        }
    }
    let dir = tempfile::tempdir().unwrap();
    std::fs::write(dir.path().join("letter.txt"), "mine").unwrap();
    assert!(book::write(dir.path(), &files).is_err(), "a folder in use was taken");
    assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 1);
    let fresh = dir.path().join("book");
    book::write(&fresh, &files).unwrap();
    book::write(&fresh, &files).unwrap();
    assert_eq!(std::fs::read_dir(&fresh).unwrap().count(), files.len());
}

#[test]
fn text_of_a_case_stays_text_in_the_book() {
    let rules = rules();
    let text = "id: x\ntitle: \"<img src=x onerror=alert(1)>\"\nstatus: open\norigin: shop\nstory: \"</script><b>'&\"\nseen: {}\n";
    let read = from_texts(&rules, "", vec![("x.yaml".to_owned(), text.as_bytes().to_vec())]);
    assert_eq!(read.cases.len(), 1);
    for (name, text) in book::files(&rules, &[&read.cases[0]]).unwrap() {
        assert!(!text.contains("<img") && !text.contains("</script><b>"), "{name}");
    }
}
