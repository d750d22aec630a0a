//! The reports: made by the program, held in the browser against its answer in JSON.

use super::aftercast;
use super::browser::SCREENS;
use super::common::percent;
use serde_json::Value;
use std::path::Path;

/// A sheet without a passed stop, and one with three of them and with the traps of a careless hand.
const SHEETS: [(&str, &str); 2] = [
    ("hot-flask.yaml", include_str!("../sheets/hot-flask.yaml")),
    (
        "reckless.yaml",
        "alloy: 14k-yellow\nmethod: vacuum-pressure\ncharge: 90 g\nrevert: 70 %\n\
         melt: {temperature: 1120 C, purge-cycles: 1, purge-vacuum: 60 mbar, cover: argon, heat: induction}\n\
         pour: {casting-pressure: 2.9 bar}\nflask: {temperature: 400 C}\n\
         mould: {binder: gypsum, water: 45 per 100, burnout-peak: 810 C}\n\
         tree: {thinnest: 0.3 mm, heaviest: 5 mm, wax: 9 g}\ncooling: {quench-after: 1 min}\n\
         note: \"</dl><b>bold</b> & averylongwordwithoutanyspaceinitthatgoesonandonandonandonandonandonandon\"\n",
    ),
];

/// A report: its file, the command before the sheet, the sheet, and the lines that its JSON answer promises.
pub(crate) struct Report {
    pub(crate) file: &'static str,
    command: &'static [&'static str],
    sheet: &'static str,
    lines: fn(&Value) -> Vec<String>,
}

const DIAGNOSE: &[&str] = &["diagnose", "--defects", "pinholes,misrun", "--sheet"];

pub(crate) const ALL: [Report; 4] = [
    Report { file: "diagnosis.html", command: DIAGNOSE, sheet: "hot-flask.yaml", lines: diagnosis_lines },
    Report {
        file: "diagnosis-reckless.html",
        command: DIAGNOSE,
        sheet: "reckless.yaml",
        lines: diagnosis_lines,
    },
    Report { file: "check.html", command: &["check"], sheet: "hot-flask.yaml", lines: check_lines },
    Report { file: "check-reckless.html", command: &["check"], sheet: "reckless.yaml", lines: check_lines },
];

/// Makes all reports, and their sheets, in a folder.
pub(crate) fn write(folder: &Path) {
    for (name, text) in SHEETS {
        std::fs::write(folder.join(name), text).unwrap();
    }
    for report in &ALL {
        aftercast(folder, &[report.command, &[report.sheet, "--report", report.file]].concat());
    }
}

impl Report {
    /// What the answer in JSON promises to the reader of the page.
    fn promised(&self, folder: &Path) -> Vec<String> {
        let text = aftercast(folder, &[self.command, &[self.sheet, "--format", "json"]].concat());
        (self.lines)(&serde_json::from_str(&text).unwrap())
    }
}

fn from_to(chance: &Value) -> String {
    format!("{} -> {}", percent(&chance["before"]), percent(&chance["after"]))
}

fn list(value: &Value) -> &[Value] {
    value.as_array().unwrap()
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap()
}

fn lower_first(text: &str) -> String {
    text[..1].to_lowercase() + &text[1..]
}

/// Causes with their reasons, defects, the plan with what each step moves, and its cautions.
fn diagnosis_lines(answer: &Value) -> Vec<String> {
    let mut lines = vec![text(&answer["alloy"]).to_owned()];
    for cause in list(&answer["causes"]).iter().take(5) {
        lines.push(format!("{} {}", percent(&cause["had_a_hand"]), text(&cause["title"])));
        for (side, word) in [("supports", "for"), ("opposes", "against")] {
            let reasons = list(&cause[side]).iter().take(2);
            lines.extend(reasons.map(|r| format!("{word}: {}", text(&r["words"]))));
        }
    }
    let explains = |d: &&Value| d["explains"].as_bool().unwrap() && d["probability"].as_f64().unwrap() >= 0.1;
    let likely = list(&answer["defects"]).iter().filter(explains);
    lines.extend(likely.take(4).map(|d| format!("{} {}", percent(&d["probability"]), text(&d["title"]))));
    if answer["plan"].is_null() {
        lines.push("No change known here would gain enough to be worth a re-cast.".to_owned());
        return lines;
    }
    if answer["causes"][0]["had_a_hand"].as_f64().unwrap() < 0.25 {
        lines.push("None yet.".to_owned());
        return lines;
    }
    for (at, step) in list(&answer["plan"]["steps"]).iter().enumerate() {
        let works = percent(&step["works"]);
        lines.push(match at {
            0 => format!("Works {works} (with nothing changed "),
            _ => format!("Needed {}, then works {works}.", percent(&step["needed"])),
        });
        let remedy = list(&answer["remedies"]).iter().find(|r| r["id"] == step["remedy"]).unwrap();
        lines.push(text(&remedy["title"]).to_owned());
        lines.push(text(&remedy["change"]).to_owned());
        for (moves, count) in [("eases", 3), ("spoils", 2)] {
            let moved = list(&remedy[moves]).iter().take(count);
            lines.extend(moved.map(|m| format!("{} {}", lower_first(text(&m["title"])), from_to(m))));
        }
        lines.extend(list(&remedy["cautions"]).iter().map(|c| text(&c["advice"]).to_owned()));
    }
    lines.push(format!("{} that it ends sound", percent(&answer["plan"]["solved"])));
    lines
}

/// Limits that are passed or near, risks, changes and cautions.
fn check_lines(answer: &Value) -> Vec<String> {
    let mut lines = vec![text(&answer["alloy"]).to_owned()];
    for limit in list(&answer["limits"]).iter().filter(|l| l["standing"] != "clear") {
        let word = match (text(&limit["standing"]), text(&limit["level"])) {
            ("passed", "stop") => "STOP",
            ("passed", _) => "watch",
            _ => "near",
        };
        lines.push(format!("{word}: {}: ", text(&limit["name"])));
        if word == "STOP" {
            lines.push(format!("Limit passed: {}.", text(&limit["title"])));
        }
    }
    let stops = answer["verdict"] != "go";
    lines.push(if stops { "Do not cast so." } else { "No limit is passed that can hurt someone" }.to_owned());
    // The largest rise comes first.
    let rise = |r: &Value| r["chance"].as_f64().unwrap() - r["usual"].as_f64().unwrap();
    let mut raised: Vec<&Value> = list(&answer["risks"]).iter().filter(|r| r["raised"] == true).collect();
    raised.sort_by(|a, b| rise(b).total_cmp(&rise(a)));
    lines.extend(
        raised.into_iter().take(5).map(|r| {
            format!("{} {}; usual {}", percent(&r["chance"]), text(&r["title"]), percent(&r["usual"]))
        }),
    );
    for change in list(&answer["changes"]).iter().take(5) {
        lines.push(text(&change["title"]).to_owned());
        let risk = list(&answer["risks"]).iter().find(|r| r["id"] == change["defect"]).unwrap();
        lines.push(format!("{} {}", text(&risk["title"]), from_to(change)));
    }
    for caution in list(&answer["cautions"]) {
        let hazard = text(&caution["hazard"]).trim_end_matches('.');
        lines.push(format!("{}: {hazard}. {}", text(&caution["step"]), text(&caution["advice"])));
    }
    lines
}

/// Every page says what its answer in JSON says, on every screen; the answer to the other sheet would be noticed.
#[test]
fn the_reports_say_what_the_json_says() {
    let Some(mut browser) = super::browser() else { return };
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    let promised: Vec<Vec<String>> = ALL.iter().map(|r| r.promised(folder.path())).collect();
    for (at, report) in ALL.iter().enumerate() {
        let (own, other) = (&promised[at], &promised[at ^ 1]);
        assert!(own.len() > 20, "{}: hardly anything is promised", report.file);
        for screen in SCREENS {
            browser.open(&folder.path().join(report.file), screen);
            let words = browser.words();
            for line in own {
                assert!(words.contains(line), "{} {}: {line}\nin {words}", report.file, screen.name);
            }
            let strange = other.iter().filter(|l| !words.contains(*l)).count();
            assert!(2 * strange > other.len(), "{}: the answer to another sheet fits as well", report.file);
        }
    }
}

/// Two sheets of paper at most, with room for 15 mm more: another font, a longer note, a warning.
#[test]
fn the_reports_fit_two_sheets_of_paper() {
    let Some(mut browser) = super::browser() else { return };
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    for report in &ALL {
        browser.open(&folder.path().join(report.file), SCREENS[2]);
        assert!((1..=2).contains(&browser.sheets()), "{} takes more", report.file);
        let lengthen =
            "document.querySelector('main').appendChild(document.createElement('div')).style.height = '15mm'";
        browser.run(lengthen);
        assert!((1..=2).contains(&browser.sheets()), "{} fits by a hair", report.file);
    }
}
