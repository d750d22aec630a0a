//! What a caster reads when a sheet holds a slip: the message as a real process prints it, with file, line and column.

use super::{assert_fits, code, err, out, run};

/// Name of the mistake, the sheet, the place of the message, words that must stand in it.
const CASES: &[(&str, &str, &[&str], &[&str])] = &[
    (
        "negative-absolute-pressure",
        "alloy: sterling\nmelt:\n  purge-vacuum: -3 mbar\n",
        &["-:3:17"],
        &["below zero absolute pressure"],
    ),
    (
        "vacuum-beyond-one-atmosphere",
        "alloy: sterling\npour:\n  vacuum: 31 inHg vacuum\n",
        &["-:3:11"],
        &["29.9 inHg"],
    ),
    ("gauge-or-absolute", "melt: {purge-vacuum: 28 inHg}\n", &["-:1:22"], &["28 inHg vacuum", "28 inHg abs"]),
    (
        "flask-above-solidus",
        "alloy: sterling-925\nflask: {temperature: 820 C}\n",
        &["-:2:22"],
        &["hotter than the solidus", "802 °C"],
    ),
    (
        "melt-below-solidus",
        "alloy: sterling-925\nmelt: {temperature: 700 C}\n",
        &["-:2:21"],
        &["colder than the solidus"],
    ),
    ("revert-above-all", "revert: 120 %\n", &["-:1:9"], &["cannot be", "100 %"]),
    ("flask-at-6400", "flask: {temperature: 6400 C}\n", &["-:1:22"], &["cannot be"]),
    ("unknown-unit", "flask: {temperature: 640 mbar}\n", &["-:1:22"], &["unknown unit `mbar`", "C, F, K"]),
    ("missing-unit", "charge: 180\n", &["-:1:9"], &["has no unit", "g, kg"]),
    ("decimal-comma", "tree: {wax: '14,2 g'}\n", &["-:1:13"], &["decimal point"]),
    ("unknown-field", "flask: {temperatur: 640 C}\n", &["-:1:9"], &["no `temperatur`", "temperature"]),
    ("field-in-wrong-section", "melt: {vibration: 40 s}\n", &["-:1:8"], &["pour.vibration"]),
    ("unknown-alloy", "alloy: sterlin\n", &["-:1:8"], &["no alloy `sterlin`", "sterling"]),
    (
        "composition-not-100",
        "alloy: {family: ag, composition: {Ag: 90 %, Cu: 7.5 %}, solidus: 802 C, liquidus: 893 C}\n",
        &["-:1:"],
        &["add up"],
    ),
    (
        "composition-strange-element",
        "alloy: {family: ag, composition: {Ag: 92.5 %, Xx: 7.5 %}, solidus: 802 C, liquidus: 893 C}\n",
        &["-:1:"],
        &["Xx"],
    ),
    ("thinnest-above-heaviest", "tree: {thinnest: 4 mm, heaviest: 2 mm}\n", &["-:1:18"], &["thicker"]),
    ("not-a-choice", "melt: {cover: argn}\n", &["-:1:15"], &["argn", "argon"]),
    (
        "several-at-once",
        "alloy: sterlin\ncharge: 180\nrevert: 120 %\nmelt:\n  temperature: 1040\n  purge-vacuum: -3 mbar\n  colour: red\n",
        &["-:1:8", "-:2:9", "-:3:9", "-:5:16", "-:6:17", "-:7:3"],
        &["6 errors"],
    ),
    ("not-yaml", "alloy: [sterling\nflask: }\n", &["-:"], &[]),
    ("a-list", "- alloy: sterling\n", &["-:1:1"], &[]),
];

#[test]
fn every_slip_is_told_with_its_place() {
    for (name, text, places, words) in CASES {
        for command in [&["check", "-"][..], &["diagnose", "--defects", "misrun", "--sheet", "-"]] {
            let output = run(command, text);
            let message = err(&output);
            let running = message.split_whitespace().collect::<Vec<_>>().join(" ");
            assert_eq!(code(&output), 2, "{name}: {message}");
            assert_eq!(out(&output), "", "{name}: nothing but the error is said");
            for place in *places {
                assert!(message.contains(place), "{name}: no place {place} in\n{message}");
            }
            for word in *words {
                assert!(running.contains(word), "{name}: no `{word}` in\n{message}");
            }
            assert!(!message.contains('\u{1b}'), "{name}: colour where no terminal is");
        }
        insta::assert_snapshot!(format!("bad-{name}"), err(&run(&["check", "-"], text)));
    }
}

#[test]
fn what_is_unusual_is_a_warning_and_no_refusal() {
    let output = run(&["check", "-"], "alloy: sterling\nmelt: {temperature: 993 C, time-at-heat: 2 h}\n");
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert!(out(&output).contains("is unusual"), "{}", out(&output));
    assert_fits(&out(&output));
}

/// What warns on the screen warns on the page and in the answer for programs, each figure with what is usual.
#[test]
fn a_warning_stands_on_the_screen_on_the_page_and_in_json() {
    const TWO: &str = "charge: 5 kg\nflask: {temperature: 700 C}\nmould: {burnout-peak: 680 C}\n";
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).display().to_string();
    std::fs::write(at("usual.yaml"), "alloy: sterling\nflask: {temperature: 540 C}\n").unwrap();
    std::fs::write(at("unusual.yaml"), format!("alloy: sterling\n{TWO}")).unwrap();
    let json = |arguments: &[&str]| -> serde_json::Value {
        let output = run(&[arguments, &["--format", "json"]].concat(), "");
        serde_json::from_str(&out(&output)).unwrap_or_else(|e| panic!("{arguments:?}: {e}\n{}", out(&output)))
    };
    let fields = |answer: &serde_json::Value| -> Vec<String> {
        let warnings = answer["warnings"].as_array().unwrap().iter();
        warnings.map(|w| w["field"].as_str().unwrap().to_owned()).collect()
    };
    for command in [&["check"][..], &["diagnose", "--defects", "pinholes", "--sheet"]] {
        let (usual, unusual) = (at("usual.yaml"), at("unusual.yaml"));
        let answer = json(&[command, &[&unusual]].concat());
        assert_eq!(fields(&answer), ["charge", "flask.temperature"], "{command:?}");
        let page = at(&format!("{}.html", command[0]));
        let screen = out(&run(&[command, &[&unusual, "--report", &page]].concat(), ""));
        let folded = screen.split_whitespace().filter(|w| *w != "|").collect::<Vec<_>>().join(" ");
        // A page keeps a figure and its unit on one line.
        let page = std::fs::read_to_string(&page).unwrap().replace('\u{a0}', " ");
        assert_eq!(page.matches("Check the sheet.").count(), 2);
        for warning in answer["warnings"].as_array().unwrap() {
            let (message, help) = (warning["message"].as_str().unwrap(), warning["help"].as_str().unwrap());
            assert!(folded.contains(message) && folded.contains(help), "{message}: {help}\n{screen}");
            // On the page it begins a sentence.
            assert!(page.contains(&format!("{}: {help}.", &message[1..])), "{message}: {help}\n{page}");
        }
        assert!(page.contains("usual is 5 g to 3 kg"), "{page}");
        // A sheet with nothing unusual warns of nothing.
        let page = at(&format!("{}-usual.html", command[0]));
        run(&[command, &[&usual, "--report", &page]].concat(), "");
        assert!(!std::fs::read_to_string(&page).unwrap().contains("Check the sheet."));
        assert!(fields(&json(&[command, &[&usual]].concat())).is_empty());
    }
    let compared = json(&["compare", &at("usual.yaml"), &at("unusual.yaml")]);
    assert_eq!(fields(&compared), ["charge", "flask.temperature"]);
    assert!(compared["warnings"].as_array().unwrap().iter().all(|w| w["sheet"] == "b"));
    let like = json(&["casebook", "like", &at("unusual.yaml")]);
    assert_eq!(fields(&like), ["charge", "flask.temperature"]);
}

/// A figure in free words has no line to point at.
#[test]
fn an_unusual_figure_in_free_words_is_warned_of_as_well() {
    let words = ["diagnose", "pinholes, cast in sterling, flask at 10 C"];
    let screen = out(&run(&words, ""));
    assert!(screen.contains("a flask temperature of 10 °C is unusual"), "{screen}");
    assert!(!out(&run(&["diagnose", "pinholes, cast in sterling, flask at 540 C"], "")).contains("unusual"));
    assert_fits(&screen);
}

#[test]
fn a_message_names_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("slip.yaml");
    std::fs::write(&path, "alloy: sterling\ncharge: 180\n").unwrap();
    let output = run(&["check", path.to_str().unwrap()], "");
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("slip.yaml:2:9"), "{}", err(&output));
}

#[test]
fn a_sheet_that_is_not_there_says_so() {
    let output = run(&["check", "no-such-sheet.yaml"], "");
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("cannot read no-such-sheet.yaml"));
}
