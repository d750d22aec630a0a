//! `aftercast start`: every sheet it can write reads back clean and passes the check.

use super::{assert_fits, code, err, out, rules, run};
use aftercast::advice::Quantities;
use aftercast::advice::limits::{Level, Standing, hold};
use aftercast::advice::start::{Equipment, Request, plan};
use aftercast::rules::{AlloyKey, Section};
use aftercast::sheet::{Field, read_sheet};
use aftercast::units::{Grams, Millimetres};

fn request(alloy: AlloyKey, section: Section, equipment: Equipment) -> Request {
    Request {
        alloy,
        section,
        equipment,
        wax: Some(Grams::new(14.2)),
        thinnest: None,
        heaviest: None,
        stones: false,
        pattern: None,
        flask_diameter: Some(Millimetres::new(90.0)),
    }
}

#[test]
fn every_alloy_section_and_caster_gives_a_sheet_that_passes() {
    let rules = rules();
    let mut written = 0;
    let mut wrong = Vec::new();
    for alloy in rules.alloy_keys() {
        for (_, section) in Section::WORDS {
            for (word, equipment) in Equipment::WORDS {
                let text = plan(rules, &request(alloy, section, equipment)).yaml();
                let name = format!("{} {} {word}", rules.alloy(alloy).id, section.word());
                let read = read_sheet(rules, &name, text.as_bytes());
                if read.problems.iter().count() > 0 {
                    wrong.push(format!("{name}: {:?}", read.problems));
                    continue;
                }
                assert_fits(&text);
                let held = hold(rules, &read.sheet, &Quantities::of(rules, &read.sheet));
                wrong.extend(held.iter().filter(|h| h.stops()).map(|h| format!("{name}: {}", h.limit.id)));
                // Not even a watch, but for what only the shop can change: a small charge of white metal overshoots,
                // and gypsum is at its limit with bronze.
                let watched =
                    held.iter().filter(|h| h.standing == Standing::Passed && h.limit.level == Level::Watch);
                wrong.extend(
                    watched
                        .filter(|h| h.limit.id != "overshoot")
                        .filter(|h| h.limit.id != "wall-gas" || !name.contains("bronze"))
                        .map(|h| format!("{name}: {}", h.limit.id)),
                );
                written += 1;
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert_eq!(written, rules.alloys.len() * 12);
}

/// The same through real processes, for one of each kind.
#[test]
fn what_start_prints_check_passes() {
    let cases = [
        &["--alloy", "sterling", "--section", "medium", "--wax", "14.2g"][..],
        &[
            "--alloy",
            "14k",
            "--section",
            "thin",
            "--thinnest",
            "0.4mm",
            "--heaviest",
            "1mm",
            "--wax",
            "6 dwt",
        ],
        &["--alloy", "pt950ru", "--section", "heavy", "--equipment", "spun"],
        &["--alloy", "copper", "--section", "heavy"],
        &["--alloy", "18k yellow", "--section", "medium", "--stones", "--pattern", "printed-resin"],
    ];
    for arguments in cases {
        let mut whole = vec!["start"];
        whole.extend(arguments);
        let written = run(&whole, "");
        assert_eq!(code(&written), 0, "{arguments:?}: {}", err(&written));
        let checked = run(&["check", "-"], &out(&written));
        assert_eq!(code(&checked), 0, "{arguments:?}: {}{}", out(&checked), err(&checked));
        assert!(!out(&checked).contains("is unusual"), "{arguments:?}");
    }
}

#[test]
fn the_sheet_of_a_sterling_ring() {
    let output = run(
        &[
            "start",
            "--alloy",
            "sterling",
            "--section",
            "medium",
            "--wax",
            "14.2g",
            "--heaviest",
            "2mm",
            "--thinnest",
            "1mm",
        ],
        "",
    );
    assert_fits(&out(&output));
    insta::assert_snapshot!("start-sterling-ring", out(&output));
}

#[test]
fn the_sheet_of_a_brass_under_argon() {
    let output = run(&["start", "--alloy", "yellow brass 65/35", "--section", "thin"], "");
    insta::assert_snapshot!("start-brass", out(&output));
}

#[test]
fn the_metal_weight_is_the_wax_times_the_densities_with_a_button() {
    let rules = rules();
    let sterling = rules.find_alloy("sterling-925").unwrap();
    let plan = plan(rules, &request(sterling, Section::Medium, Equipment::VacuumPressure));
    // By hand: 14.2 x 10.357 / 0.95 = 154.8 g, and a button of 15 % of the whole: 182.1 g, rounded up.
    assert_eq!(plan.sheet.get(Field::Charge), Some(183.0));
}

#[test]
fn a_file_that_exists_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("new.yaml");
    let arguments = ["start", "--alloy", "sterling", "--section", "thin", "--output", path.to_str().unwrap()];
    assert_eq!(code(&run(&arguments, "")), 0);
    let first = std::fs::read_to_string(&path).unwrap();
    assert!(first.contains("alloy: sterling-925"));
    std::fs::write(&path, "my own\n").unwrap();
    let again = run(&arguments, "");
    assert_eq!(code(&again), 2);
    assert!(err(&again).contains("is there already"));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "my own\n");
}

/// A disk that takes no more: half a sheet would be read as a whole one.
#[test]
#[cfg(unix)]
fn a_full_disk_leaves_no_half_sheet() {
    let folder = tempfile::tempdir().unwrap();
    // No file may grow beyond so many blocks; the signal that comes with it is ignored, so that the write fails.
    let script = "trap '' XFSZ; ulimit -f $0 && exec \"$@\"";
    for blocks in ["0", "1"] {
        let output = std::process::Command::new("sh")
            .args(["-c", script, blocks, env!("CARGO_BIN_EXE_aftercast"), "start", "--alloy", "sterling"])
            .args(["--section", "thin", "--output", "new.yaml"])
            .current_dir(folder.path())
            .output()
            .unwrap();
        assert_eq!(code(&output), 2);
        assert!(err(&output).contains("cannot write new.yaml: File too large"), "{}", err(&output));
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0, "{blocks}");
    }
}

#[test]
fn wrong_use_is_told_with_a_way_out() {
    let cases = [
        (&["start", "--alloy", "silver", "--section", "thin"][..], "sterling-925"),
        (&["start", "--alloy", "unobtainium", "--section", "thin"], "no alloy"),
        (&["start", "--alloy", "sterling", "--section", "thin", "--wax", "14.2"], "no unit"),
        (&["start", "--alloy", "sterling", "--section", "thin", "--wax", "900kg"], "outside"),
        (&["start", "--alloy", "sterling", "--section", "thin", "--pattern", "cheese"], "printed-resin"),
        (
            &["start", "--alloy", "sterling", "--section", "thin", "--thinnest", "3mm", "--heaviest", "1mm"],
            "thicker",
        ),
    ];
    for (arguments, words) in cases {
        let output = run(arguments, "");
        assert_eq!(code(&output), 2, "{arguments:?}");
        assert!(err(&output).contains(words), "{arguments:?}: {}", err(&output));
    }
}
