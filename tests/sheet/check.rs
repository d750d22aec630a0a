//! `aftercast check`: limits, risks, changes, cautions, exit codes.

use super::{assert_fits, code, err, out, run};
use serde_json::Value;

/// A brass melted under vacuum, short of metal: everything that stops a cast.
const RECKLESS: &str = "
alloy: cartridge-brass
method: vacuum-pressure
charge: 90 g
melt: {temperature: 1080 C, chamber-pressure: 20 mbar, cover: vacuum, heat: induction, time-at-heat: 5 min}
pour: {casting-pressure: 2.4 bar, vibration: 10 s}
flask: {temperature: 900 C}
mould: {binder: gypsum, burnout-peak: 800 C}
tree: {wax: 14.2 g}
";

fn json(text: &str) -> (Value, i32) {
    let output = run(&["check", "-", "--format", "json"], text);
    assert_eq!(err(&output), "");
    (serde_json::from_str(&out(&output)).unwrap(), code(&output))
}

/// The screen without the model's percentages, which move with every change of a rule: the part up to the risks, and the
/// cautions.
fn pinned(text: &str) -> String {
    let (limits, rest) = text.split_once("Faults that this sheet makes likelier").unwrap();
    let (_, cautions) = rest.split_once("Cautions that this sheet raises").unwrap();
    format!("{limits}[risks and changes]\n\nCautions that this sheet raises{cautions}")
}

/// Ids of the limits with a standing.
fn limits<'a>(answer: &'a Value, standing: &str) -> Vec<&'a str> {
    let all = answer["limits"].as_array().unwrap();
    all.iter().filter(|l| l["standing"] == standing).map(|l| l["id"].as_str().unwrap()).collect()
}

#[test]
fn a_reckless_sheet_is_stopped_with_every_limit_named() {
    let output = run(&["check", "-"], RECKLESS);
    let text = out(&output);
    assert_eq!(code(&output), 1, "{}", err(&output));
    for id in ["zinc-boils", "metal-short", "flask-near-solidus", "burnout-breaks-mould"] {
        assert!(text.contains(&format!("limit passed: {id}")), "{id} in\n{text}");
    }
    assert!(text.contains("Do not cast so."));
    assert_fits(&text);
    assert!(text.contains("What to change first") && text.contains(" times"), "{text}");
    insta::assert_snapshot!("check-reckless", pinned(&text));
}

#[test]
fn the_example_sheet() {
    let output = run(&["check", "sheets/heavy-ring.yaml"], "");
    assert_eq!(code(&output), 0);
    assert_fits(&out(&output));
    insta::assert_snapshot!("check-heavy-ring", pinned(&out(&output)));
}

#[test]
fn each_stop_is_a_fault_alone() {
    let cases = [
        ("zinc-boils", "{alloy: yellow-brass, melt: {temperature: 1040 C, chamber-pressure: 30 mbar}}"),
        (
            "mould-breaks-down",
            "{alloy: copper, section: heavy, melt: {temperature: 1220 C}, flask: {temperature: 540 C}, mould: {binder: gypsum}}",
        ),
        ("metal-short", "{alloy: sterling, charge: 120 g, tree: {wax: 14.2 g}}"),
        ("flask-near-solidus", "{alloy: sterling, flask: {temperature: 795 C}}"),
        ("melt-not-liquid", "{alloy: sterling, melt: {temperature: 850 C}}"),
        ("burnout-breaks-mould", "{alloy: sterling, mould: {binder: gypsum, burnout-peak: 820 C}}"),
        ("pressure-over-casters", "{alloy: sterling, pour: {casting-pressure: 4 bar}}"),
        (
            "does-not-enter",
            "{alloy: sterling, method: gravity, pour: {head: 20 mm}, tree: {thinnest: 0.4 mm}}",
        ),
    ];
    let stops: Vec<&str> = aftercast::advice::limits::TABLE
        .iter()
        .filter(|l| l.level == aftercast::advice::limits::Level::Stop)
        .map(|l| l.id)
        .collect();
    assert_eq!(stops, cases.map(|(id, _)| id), "every stop has its case");
    for (id, text) in cases {
        let (answer, code) = json(text);
        assert_eq!(code, 1, "{id}");
        assert_eq!(answer["verdict"], "stop");
        let stopped: Vec<&Value> = answer["limits"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|l| l["level"] == "stop" && l["standing"] == "passed")
            .collect();
        assert_eq!(stopped.len(), 1, "{id}: {stopped:?}");
        assert_eq!(stopped[0]["id"], id);
        assert!(!stopped[0]["basis"].as_str().unwrap().is_empty());
    }
}

#[test]
fn a_hot_flask_raises_mould_gas_and_the_first_change_lowers_it() {
    let (answer, code) = json(
        "{alloy: sterling, melt: {temperature: 1000 C}, flask: {temperature: 680 C}, tree: {heaviest: 4 mm}}",
    );
    assert_eq!(code, 0);
    assert!(limits(&answer, "passed").contains(&"flask-hot"));
    let raised: Vec<&str> = answer["risks"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|r| r["raised"] == true)
        .map(|r| r["id"].as_str().unwrap())
        .collect();
    assert!(raised.contains(&"mould-gas-porosity"), "{raised:?}");
    let first = &answer["changes"][0];
    assert_eq!(first["id"], "lower-flask-step", "{first}");
    assert_eq!(first["field"], "flask.temperature");
    assert_eq!(first["from"], 680.0);
    assert!(first["to"].as_f64().unwrap() < 680.0);
    assert!(first["after"].as_f64().unwrap() < first["before"].as_f64().unwrap());
}

#[test]
fn a_sheet_that_says_nothing_raises_nothing() {
    for text in ["", "alloy: sterling\n"] {
        let (answer, code) = json(text);
        assert_eq!(code, 0);
        assert_eq!(answer["schema"], 1);
        assert!(answer["risks"].as_array().unwrap().iter().all(|r| r["raised"] == false));
        assert_eq!(answer["limits"].as_array().unwrap().len(), 0);
    }
}

#[test]
fn cautions_follow_the_steps_and_name_their_authority() {
    let ids = |text: &str| -> Vec<String> {
        let (answer, _) = json(text);
        let all = answer["cautions"].as_array().unwrap();
        assert!(all.iter().all(|c| !c["authority"].as_str().unwrap().is_empty()));
        all.iter().map(|c| c["id"].as_str().unwrap().to_owned()).collect()
    };
    let cases = [
        ("alloy: yellow-brass", "zinc-fume"),
        (
            "alloy: {family: ag, composition: {Ag: 80 %, Cu: 18 %, Cd: 2 %}, solidus: 700 C, liquidus: 800 C}",
            "cadmium-lead-scrap",
        ),
        ("mould: {binder: gypsum}", "silica-dust"),
        ("mould: {burnout-peak: 730 C}", "burnout-gases"),
        ("melt: {cover: argon}", "inert-gas"),
        ("melt: {purge-cycles: 3}", "inert-gas"),
        ("alloy: sterling", "molten-metal"),
        ("pour: {casting-pressure: 1 bar}", "stored-pressure"),
        ("method: spun", "spun-caster"),
        ("cooling: {quench-after: 5 min}", "quench-hot-flask"),
        ("melt: {heat: torch}", "fuel-gas"),
        ("alloy: Pt-5Ru", "platinum-glare"),
    ];
    for (text, id) in cases {
        assert!(ids(text).iter().any(|i| i == id), "`{text}` raises {id}");
    }
    assert!(!ids("alloy: sterling").iter().any(|i| i == "zinc-fume"));
    assert!(ids("").is_empty());
}

/// The page says what the JSON answer says, hostile text stays text, and a page is overwritten only when told.
#[test]
fn the_page_of_a_check() {
    let folder = tempfile::tempdir().unwrap();
    let page = folder.path().join("check.html");
    let page = page.to_str().unwrap();
    let sheet = format!("{RECKLESS}note: \"</style><script>alert(1)</script> {{{{ 7*7 }}}}\"\n");
    let output = run(&["check", "-", "--format", "json", "--report", page], &sheet);
    assert_eq!(code(&output), 1, "{}", err(&output));
    let answer: Value = serde_json::from_str(&out(&output)).unwrap();
    let written = std::fs::read_to_string(page).unwrap();
    // A number and its unit are kept on one line.
    let html = written.replace('\u{a0}', " ");
    let text = |s: &str| {
        s.replace('&', "&amp;").replace('\'', "&#x27;").replace('"', "&quot;").replace('/', "&#x2f;")
    };
    for limit in answer["limits"].as_array().unwrap() {
        if limit["level"] == "stop" && limit["standing"] == "passed" {
            let title = text(limit["title"].as_str().unwrap());
            assert!(html.contains(&format!("Limit passed: {title}")), "{title}");
        }
    }
    let raised = answer["risks"].as_array().unwrap().iter().filter(|r| r["raised"] == true);
    assert!(raised.clone().count() > 0);
    let shown = html.matches("class=\"row risk\"").count();
    assert_eq!(shown, raised.count().min(5));
    assert!(html.contains("class=\"gauge\"") && html.contains("What to change first"));
    for caution in answer["cautions"].as_array().unwrap() {
        assert!(html.contains(&text(caution["advice"].as_str().unwrap())), "{caution}");
    }
    assert!(!html.contains("<script") && html.contains("{{ 7*7 }}"));
    assert_eq!(html.matches("</style>").count(), 1);
    for trace in ["http://", "https://", "url(", "@import"] {
        assert!(!html.contains(trace), "{trace}");
    }
    let again = run(&["check", "-", "--report", page], "alloy: sterling\n");
    assert_eq!(code(&again), 2);
    assert_eq!(std::fs::read_to_string(page).unwrap(), written);
    let forced = run(&["check", "-", "--report", page, "--force"], "alloy: sterling\n");
    assert_eq!(code(&forced), 0);
    assert!(out(&forced).contains("The page is in"));
    assert!(
        std::fs::read_to_string(page).unwrap().contains("Nothing on this sheet can be held against a limit.")
    );
}
