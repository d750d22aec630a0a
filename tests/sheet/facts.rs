//! Facts of the trade (common practice, no source) that the program must agree with.

use super::{code, computed, out, rules, run, sheet};
use aftercast::advice::Quantities;
use aftercast::advice::limits::{Standing, hold};
use aftercast::advice::start::{Equipment, Request, plan};
use aftercast::rules::Section;
use aftercast::sheet::{Field, Sheet};

/// Ids of the limits that a sheet passes.
fn passed(sheet: &Sheet) -> Vec<&'static str> {
    let held = hold(rules(), sheet, &Quantities::of(rules(), sheet));
    held.iter().filter(|h| h.standing == Standing::Passed).map(|h| h.limit.id).collect()
}

fn start(alloy: &str, section: Section) -> Sheet {
    let request = Request {
        alloy: rules().find_alloy(alloy).unwrap(),
        section,
        equipment: Equipment::VacuumPressure,
        wax: None,
        thinnest: None,
        heaviest: None,
        stones: false,
        pattern: None,
        flask_diameter: None,
    };
    plan(rules(), &request).sheet
}

/// Common practice: silver is usually set to 1060 °C in a closed tilting caster that melts under vacuum.
#[test]
fn silver_at_1060_in_a_closed_caster_is_no_alarm() {
    for section in ["thin", "medium", "heavy"] {
        let text = format!(
            "{{alloy: sterling-925, method: vacuum-pressure, section: {section}, melt: {{temperature: 1060 C, cover: vacuum, chamber-pressure: 5 mbar}}}}"
        );
        assert_eq!(passed(&sheet(&text)), Vec::<&str>::new(), "{section}");
        let output = run(&["check", "-"], &text);
        assert_eq!(code(&output), 0);
        assert!(!out(&output).contains("warning") && !out(&output).contains("is unusual"));
    }
    // In an open caster the same setting is hot for heavy pieces.
    let open = sheet("{alloy: sterling-925, method: spun, section: heavy, melt: {temperature: 1060 C}}");
    assert_eq!(passed(&open), ["melt-hot"]);
}

/// Common practice: over-pressure goes to about 2 bar.
#[test]
fn two_bar_is_usual_and_more_is_watched() {
    let at =
        |bar: f64| passed(&sheet(&format!("{{alloy: sterling, pour: {{casting-pressure: {bar} bar}}}}")));
    assert!(at(2.0).is_empty());
    assert_eq!(at(2.5), ["pressure-high"]);
    assert_eq!(at(4.0), ["pressure-over-casters"]);
    for (_, section) in Section::WORDS {
        assert!(start("sterling-925", section).get(Field::CastingPressure).unwrap() <= 2000.0);
    }
}

/// Common practice: 35 to 40 s of vibration after the pour is enough, far less leaves less dense metal.
#[test]
fn vibration_of_35_to_40_s() {
    let at = |s: f64| {
        passed(&sheet(&format!("{{alloy: sterling, method: vacuum-pressure, pour: {{vibration: {s} s}}}}")))
    };
    assert!(at(35.0).is_empty() && at(40.0).is_empty());
    assert_eq!(at(10.0), ["vibration-short"]);
    let start = start("gold-14k-yellow", Section::Medium).get(Field::Vibration).unwrap();
    assert!((35.0..=40.0).contains(&start));
}

/// Common practice: alloys with zinc are melted under argon, not under hard vacuum.
#[test]
fn zinc_alloys_are_melted_under_argon() {
    for alloy in
        rules().alloys.iter().filter(|a| a.composition.share(aftercast::physics::Element::Zn) > 0.005)
    {
        let sheet = start(&alloy.id, Section::Medium);
        assert_eq!(sheet.fact(rules(), "cover"), Some("argon"), "{}", alloy.id);
        assert!(sheet.get(Field::ChamberPressure).unwrap() >= 900.0, "{}", alloy.id);
        assert!(sheet.get(Field::PurgeCycles).unwrap() >= 2.0, "{}", alloy.id);
        assert!(computed(&sheet, "zinc-boiling").unwrap().value < 0.5, "{}", alloy.id);
    }
    let vacuum =
        sheet("{alloy: yellow-brass, melt: {temperature: 1000 C, chamber-pressure: 1 mbar, cover: vacuum}}");
    assert!(passed(&vacuum).contains(&"zinc-boils"));
    assert!(passed(&vacuum).contains(&"zinc-under-vacuum"));
}

/// Common practice: an immersion thermocouple serves to about 1300 °C, an optical pyrometer above it.
#[test]
fn thermocouples_serve_to_1300() {
    let at = |alloy: &str, t: f64| {
        passed(&sheet(&format!(
            "{{alloy: {alloy}, melt: {{temperature: {t} C, thermometer: thermocouple}}}}"
        )))
    };
    assert!(!at("sterling", 1000.0).contains(&"thermocouple-hot"));
    assert!(at("Pt-5Ru", 1880.0).contains(&"thermocouple-hot"));
    for alloy in &rules().alloys {
        let sheet = start(&alloy.id, Section::Medium);
        let hot = sheet.get(Field::MeltTemperature).unwrap() > 1300.0;
        let wanted = if hot { "pyrometer" } else { "thermocouple" };
        assert_eq!(sheet.fact(rules(), "thermometer"), Some(wanted), "{}", alloy.id);
    }
}

/// Common practice: about 4 kW melts a small charge of gold or silver, platinum wants about 8 kW.
#[test]
fn power_for_gold_and_for_platinum() {
    assert_eq!(start("gold-18k-yellow", Section::Medium).get(Field::MeltPower), Some(4000.0));
    assert_eq!(start("platinum-950-cobalt", Section::Medium).get(Field::MeltPower), Some(8000.0));
    let at =
        |alloy: &str| passed(&sheet(&format!("{{alloy: {alloy}, melt: {{power: 4 kW, heat: induction}}}}")));
    assert!(at("gold-18k-yellow").is_empty());
    assert_eq!(at("Pt-5Co"), ["power-low"]);
}

/// Common practice: a small charge overshoots its set temperature more than a full one.
#[test]
fn small_charges_overshoot_more() {
    let over = |g: f64| {
        let text = format!("{{alloy: sterling, charge: {g} g, melt: {{power: 4 kW, crucible: silica}}}}");
        computed(&sheet(&text), "overshoot").unwrap().value
    };
    assert!(over(30.0) > over(100.0) && over(100.0) > over(500.0));
}

/// Common practice: a graphite crucible lasts longer when the chamber stays shut until it is black, not red.
#[test]
fn graphite_stays_shut_until_black() {
    let output = run(&["start", "--alloy", "sterling", "--section", "medium"], "");
    assert!(out(&output).contains("black, not red"));
    let check =
        run(&["check", "-"], "{alloy: sterling, method: vacuum-pressure, melt: {crucible: graphite}}");
    assert!(out(&check).replace("\n    ", " ").contains("black, not red"), "{}", out(&check));
}
