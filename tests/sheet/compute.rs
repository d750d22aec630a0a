//! `aftercast compute`: each calculation through a real process, against figures from outside the program.

use super::{assert_fits, code, err, out, run};
use serde_json::Value;

fn json(arguments: &[&str]) -> Value {
    let mut whole = vec!["compute"];
    whole.extend(arguments);
    whole.extend(["--format", "json"]);
    let output = run(&whole, "");
    assert_eq!(code(&output), 0, "{arguments:?}: {}", err(&output));
    serde_json::from_str(&out(&output)).unwrap()
}

fn value(answer: &Value, id: &str) -> f64 {
    let all = answer["results"].as_array().unwrap();
    let one = all.iter().find(|r| r["id"] == id).unwrap_or_else(|| panic!("no {id} in {answer}"));
    one["value"].as_f64().unwrap()
}

/// Arguments, which result, what it should be, how far off, and who says so.
const TABLE: &[(&[&str], &str, f64, f64, &str)] = &[
    (
        &["weight", "--alloy", "sterling", "--wax", "14.2g"],
        "casting",
        154.8,
        0.2,
        "by hand: 14.2 x 10.357 / 0.95",
    ),
    (&["weight", "--alloy", "sterling", "--wax", "14.2g"], "total", 182.1, 0.3, "by hand: over 0.85"),
    (&["density", "--composition", "Ag=92.5,Cu=7.5"], "density", 10.357, 0.01, "published 10.36"),
    (
        &["density", "--composition", "Au=58.3,Ag=10.4,Cu=31.3"],
        "density",
        13.325,
        0.02,
        "published worked example 13.33",
    ),
    (
        &[
            "porosity",
            "--in-air",
            "12.3456g",
            "--in-water",
            "11.15g",
            "--water",
            "22C",
            "--reference",
            "10.352g/cm3",
        ],
        "porosity",
        0.0058,
        0.0001,
        "by hand: Kell water, 10.2916 g/cm3",
    ),
    (
        &["purge", "--cycles", "1", "--vacuum", "50mbar", "--gas-ppm", "0"],
        "pressure",
        10.475,
        0.01,
        "by hand: 0.2095 x 50 mbar",
    ),
    (
        &[
            "purge",
            "--cycles",
            "1",
            "--vacuum",
            "8mbar",
            "--fill",
            "1013.25mbar",
            "--target-ppm",
            "5",
            "--gas-ppm",
            "0",
        ],
        "cycles",
        3.0,
        0.0,
        "published worked problem: 6 mmHg of one atmosphere, 5 ppm, n = 2.20",
    ),
    (&["leak", "--volume", "10L", "--rise", "0.06mbar", "--time", "60s"], "leak", 0.01, 1e-9, "by hand"),
    (
        &["zinc", "--composition", "Cu=70,Zn=30", "--at", "1000C"],
        "pressure",
        211.3,
        2.0,
        "COST 507 by pycalphad",
    ),
    (
        &["pyrometer", "--reading", "960.2C", "--set", "0.3", "--actual", "0.2"],
        "temperature",
        1000.0,
        0.2,
        "Planck inversion, scipy: 1000 C reads 960.2",
    ),
    (&["thermocouple", "--type", "k", "--at", "1000C"], "tolerance", 7.5, 1e-9, "IEC 60584"),
    (&["thermocouple", "--type", "s", "--class", "1", "--at", "1200C"], "tolerance", 1.3, 1e-9, "IEC 60584"),
    (
        &["overshoot", "--alloy", "fine-silver", "--charge", "100g", "--power", "3.75kW"],
        "overshoot",
        97.0,
        1.0,
        "by hand",
    ),
    (
        &[
            "melt-time",
            "--alloy",
            "fine-silver",
            "--charge",
            "1kg",
            "--power",
            "1kW",
            "--to",
            "1000C",
            "--start",
            "25C",
        ],
        "energy",
        361.9,
        2.0,
        "SGTE integral, thermo 0.6.1",
    ),
    (
        &["oxygen", "--alloy", "sterling", "--at", "1000C"],
        "oxide-limit",
        0.08,
        0.012,
        "cuo.tdb with the Ag-Cu model",
    ),
    (&["melting", "--composition", "Ag=92.5,Cu=7.5"], "liquidus", 896.3, 0.5, "published 893 within 5"),
    (&["melting", "--composition", "Ag=92.5,Cu=7.5"], "solidus", 802.8, 0.5, "published 802"),
    (
        &["freeze", "--alloy", "sterling", "--size", "2mm", "--pour", "993C", "--flask", "500C"],
        "time",
        31.1,
        1.5,
        "by hand; finite differences 36 s",
    ),
    (
        &["gate", "--gate", "3mm", "--section", "2mm", "--width", "3mm"],
        "gate",
        2.64,
        0.01,
        "by hand: 4 x 1.1 x 0.6 mm",
    ),
    (
        &["wall", "--alloy", "sterling", "--pour", "1000C", "--flask", "550C"],
        "wall",
        985.95,
        1.0,
        "finite differences",
    ),
    (&["soak", "--diameter", "89mm"], "time", 3120.0, 60.0, "Bessel series: 52 min"),
    (
        &["soak", "--diameter", "89mm", "--from", "730C", "--to", "480C", "--held", "52min"],
        "core",
        492.5,
        1.0,
        "Bessel series: 5 % left",
    ),
];

#[test]
fn each_kind_agrees_with_a_figure_from_outside() {
    let mut wrong = Vec::new();
    for (arguments, id, expected, within, by) in TABLE {
        let got = value(&json(arguments), id);
        if (got - expected).abs() > *within {
            wrong.push(format!("{arguments:?} {id}: {got} and not {expected} within {within} ({by})"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_answer_is_an_object_with_schema_sources_and_ranges() {
    for (arguments, ..) in TABLE {
        let answer = json(arguments);
        assert_eq!(answer["schema"], 1);
        assert_eq!(answer["kind"], arguments[0]);
        for result in answer["results"].as_array().unwrap() {
            let number = |k: &str| result[k].as_f64().unwrap();
            assert!(number("low") <= number("value") && number("value") <= number("high"), "{result}");
            assert!(!result["unit"].as_str().unwrap().is_empty());
            assert!(!result["source"].as_str().unwrap().is_empty(), "{arguments:?}: {result}");
        }
    }
}

#[test]
fn every_unit_of_the_trade_converts() {
    // NIST SP 811, appendix B; 28 inHg of vacuum from the acceptance table.
    let cases = [
        ("1350F", "C", 732.222, 0.001),
        ("28 inHg vacuum", "mbar", 65.06, 0.1),
        ("1ozt", "g", 31.103_476_8, 1e-7),
        ("1dwt", "g", 1.555_173_84, 1e-8),
        ("14.695949psi", "mbar", 1013.25, 0.001),
        ("760Torr", "kPa", 101.325, 0.001),
        ("1in", "mm", 25.4, 1e-9),
        ("0.302lb/in3", "g/cm3", 8.359, 0.001),
        ("75%", "karat", 18.0, 1e-9),
        ("180K/h", "K/min", 3.0, 1e-9),
        ("-0.9 bar gauge", "mbar", 113.25, 0.01),
    ];
    for (text, unit, expected, within) in cases {
        let answer = json(&["units", text]);
        let one = answer["results"].as_array().unwrap().iter().find(|r| r["unit"] == unit);
        let got = one.unwrap_or_else(|| panic!("{text} has no {unit}"))["value"].as_f64().unwrap();
        assert!((got - expected).abs() <= within, "{text} in {unit}: {got}");
    }
}

#[test]
fn screens() {
    let cases = [
        ("weight", &["compute", "weight", "--alloy", "sterling", "--wax", "14.2g"][..]),
        (
            "zinc",
            &[
                "compute",
                "zinc",
                "--alloy",
                "gold-9k-yellow",
                "--at",
                "1000C",
                "--chamber",
                "20mbar",
                "--held",
                "5min",
                "--charge",
                "100g",
                "--crucible",
                "30mm",
            ],
        ),
        ("purge", &["compute", "purge", "--cycles", "2", "--vacuum", "10mbar", "--target-ppm", "10"]),
        (
            "porosity",
            &[
                "compute",
                "porosity",
                "--alloy",
                "sterling",
                "--in-air",
                "2.1g",
                "--in-water",
                "1.897g",
                "--water",
                "22C",
            ],
        ),
        ("units", &["compute", "units", "28 inHg vacuum"]),
        ("fill", &["compute", "fill", "--alloy", "sterling", "--vacuum", "27 inHg vacuum"]),
    ];
    for (name, arguments) in cases {
        let output = run(arguments, "");
        assert_eq!(code(&output), 0, "{name}: {}", err(&output));
        assert_fits(&out(&output));
        insta::assert_snapshot!(format!("compute-{name}"), out(&output));
    }
}

#[test]
fn rubbish_is_refused_with_what_is_allowed() {
    let cases = [
        (&["compute", "weight", "--wax", "5g"][..], "--alloy"),
        (&["compute", "weight", "--alloy", "sterling", "--wax", "5"], "no unit"),
        (&["compute", "weight", "--alloy", "gold", "--wax", "5g"], "more than one alloy"),
        (&["compute", "density", "--composition", "Ag=60"], "add up"),
        (&["compute", "density", "--composition", "Qq=100"], "Qq"),
        (&["compute", "density", "--composition", "Ag=NaN"], "Ag"),
        (&["compute", "purge", "--cycles", "2", "--vacuum", "-3mbar"], "below zero"),
        (&["compute", "purge", "--cycles", "2", "--vacuum", "2bar"], ""),
        (&["compute", "zinc", "--alloy", "yellow-brass", "--at", "9000C"], "allowed"),
        (
            &[
                "compute",
                "porosity",
                "--alloy",
                "sterling",
                "--in-air",
                "1g",
                "--in-water",
                "2g",
                "--water",
                "20C",
            ],
            "",
        ),
        (&["compute", "units", "42"], "no unit"),
        (&["compute", "units", "5 foo"], "no unit of the trade"),
        (&["compute", "units", "31 inHg vacuum"], "below zero absolute"),
        (&["compute", "melting", "--composition", "Au=75,Pd=25"], "--solidus"),
    ];
    for (arguments, words) in cases {
        let output = run(arguments, "");
        assert_eq!(code(&output), 2, "{arguments:?}: {}", out(&output));
        assert!(err(&output).contains(words), "{arguments:?}: {}", err(&output));
    }
}
