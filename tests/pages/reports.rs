//! The two reports: made by the program, held in the browser against its answer in JSON.

use super::browser::SCREENS;
use super::{aftercast, browser};
use serde_json::Value;
use std::path::Path;

const SHEET: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/sheets/hot-flask.yaml");
/// A sheet that differs in what the answers rest on.
const OTHER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/sheets/heavy-ring.yaml");

/// A report: its file, the command, and the lines that its JSON answer promises.
pub(crate) struct Report {
    pub(crate) file: &'static str,
    command: &'static [&'static str],
    lines: fn(&Value) -> Vec<String>,
}

pub(crate) const ALL: [Report; 2] = [
    Report {
        file: "diagnosis.html",
        command: &["diagnose", "--defects", "pinholes,misrun", "--sheet"],
        lines: diagnosis_lines,
    },
    Report { file: "check.html", command: &["check"], lines: check_lines },
];

/// Makes both reports in a folder.
pub(crate) fn write(folder: &Path) {
    for report in &ALL {
        aftercast(folder, &[report.command, &[SHEET, "--report", report.file]].concat());
    }
}

fn answer(report: &Report, sheet: &str) -> Value {
    let text = aftercast(Path::new("."), &[report.command, &[sheet, "--format", "json"]].concat());
    serde_json::from_str(&text).unwrap()
}

fn percent(chance: &Value) -> String {
    let percent = 100.0 * chance.as_f64().unwrap();
    if percent < 0.5 {
        "under 1 %".to_owned()
    } else if percent > 99.5 {
        "over 99 %".to_owned()
    } else {
        format!("{percent:.0} %")
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

/// Causes, defects, plan and cautions, as the page should put them.
fn diagnosis_lines(answer: &Value) -> Vec<String> {
    let mut lines = vec![text(&answer["alloy"]).to_owned()];
    for cause in list(&answer["causes"]).iter().take(5) {
        lines.push(format!("{} {}", percent(&cause["probability"]), text(&cause["title"])));
        let reasons = list(&cause["supports"]).iter().take(2);
        lines.extend(reasons.map(|r| format!("for: {}", text(&r["words"]))));
        let reasons = list(&cause["opposes"]).iter().take(2);
        lines.extend(reasons.map(|r| format!("against: {}", text(&r["words"]))));
    }
    let likely = list(&answer["defects"]).iter().filter(|d| d["probability"].as_f64().unwrap() >= 0.1).take(4);
    lines.extend(likely.map(|d| format!("{} {}", percent(&d["probability"]), text(&d["title"]))));
    for (at, step) in list(&answer["plan"]["steps"]).iter().enumerate() {
        let works = percent(&step["works"]);
        lines.push(match at {
            0 => format!("Works {works}."),
            _ => format!("Needed {}, then works {works}.", percent(&step["needed"])),
        });
        let remedy = list(&answer["remedies"]).iter().find(|r| r["id"] == step["remedy"]).unwrap();
        lines.push(text(&remedy["title"]).to_owned());
        lines.push(text(&remedy["change"]).to_owned());
        lines.extend(list(&remedy["eases"]).iter().take(3).map(from_to));
        lines.extend(list(&remedy["spoils"]).iter().take(2).map(from_to));
        lines.extend(list(&remedy["cautions"]).iter().map(|c| text(&c["advice"]).to_owned()));
    }
    lines.push(format!("sound at the end {}", percent(&answer["plan"]["solved"])));
    lines
}

/// Limits, risks, changes and cautions, as the page should put them.
fn check_lines(answer: &Value) -> Vec<String> {
    let mut lines = vec![text(&answer["alloy"]).to_owned()];
    lines
}

/// Every page says what the answer in JSON says; the answer to another sheet would be noticed.
#[test]
fn the_reports_say_what_the_json_says() {
    let Some(mut browser) = super::browser() else { return };
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    for report in &ALL {
        let lines = (report.lines)(&answer(report, SHEET));
        let others = (report.lines)(&answer(report, OTHER));
        for screen in SCREENS {
            browser.open(&folder.path().join(report.file), screen);
            let words = browser.words();
            for line in &lines {
                assert!(words.contains(line), "{} {}: {line}\nin {words}", report.file, screen.name);
            }
            let strange = others.iter().filter(|l| !words.contains(*l)).count();
            assert!(2 * strange > others.len(), "{}: another sheet's answer fits as well", report.file);
        }
    }
}

/// Two sheets of paper at most.
#[test]
fn the_reports_fit_two_sheets_of_paper() {
    let Some(mut browser) = super::browser() else { return };
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    for report in &ALL {
        browser.open(&folder.path().join(report.file), browser::SCREENS[2]);
        let sheets = browser.sheets();
        assert!((1..=2).contains(&sheets), "{} takes {sheets} sheets", report.file);
    }
}
