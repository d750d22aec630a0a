//! Each quantity computed from a sheet against a figure worked by hand or published; unknown inputs; no rubbish numbers.

use super::{computed, rules, sheet};
use aftercast::advice::Quantities;
use aftercast::advice::limits::hold;
use aftercast::rules::AlloyKey;
use aftercast::rules::names::AlloyName;
use aftercast::sheet::{FACTS, Field, Sheet, derived};
use proptest::prelude::*;

/// Sterling poured at 993 °C into a flask at 500 °C, as in the freezing table of the reference notes.
const STERLING: &str = "
alloy: sterling-925
method: gravity
charge: 180 g
revert: 40 %
melt: {temperature: 993 C, purge-cycles: 1, purge-vacuum: 50 mbar, chamber-pressure: 1000 mbar, cover: argon,
  heat: induction, thermometer: thermocouple, power: 3 kW, time-at-heat: 10 min}
pour: {head: 50 mm}
flask: {temperature: 500 C, diameter: 89 mm, soak: 52 min}
mould: {binder: gypsum, burnout-peak: 730 C, burnout-hold: 3 h}
tree: {wax: 14.2 g, pieces: 10 g, button: 30 g, gate: 3 mm, thinnest: 0.6 mm, heaviest: 2 mm, spacing: 12 mm}
cooling: {quench-after: 10 min}
";

/// What a figure should be, how far it may be off, and who says so.
struct Vouched {
    id: &'static str,
    sheet: &'static str,
    expected: f64,
    within: f64,
    by: &'static str,
}

const fn vouched(
    id: &'static str,
    sheet: &'static str,
    expected: f64,
    within: f64,
    by: &'static str,
) -> Vouched {
    Vouched { id, sheet, expected, within, by }
}

const TABLE: &[Vouched] = &[
    vouched("superheat", STERLING, 100.0, 1e-9, "by hand: 993 - 893"),
    vouched("flask-under-solidus", STERLING, 302.0, 1e-9, "by hand: 802 - 500"),
    vouched("melt-above-window", STERLING, -27.0, 1e-9, "by hand: 993 - 1020, medium pieces"),
    vouched("melt-below-window", STERLING, -23.0, 1e-9, "by hand: 970 - 993, thin parts"),
    vouched("flask-above-window", STERLING, -110.0, 1e-9, "by hand: 500 - 610, medium pieces"),
    vouched(
        "flask-above-window",
        "{alloy: silver, section: heavy, flask: {temperature: 640 C}}",
        90.0,
        1e-9,
        "by hand: 640 - 550, the hottest flask that any silver of the rules takes for heavy pieces",
    ),
    vouched("flask-below-window", STERLING, 66.0, 1e-9, "by hand: 566 - 500, thin parts"),
    vouched("quench-before-window", STERLING, -420.0, 1e-9, "by hand: 3 min - 10 min"),
    vouched("quench-after-window", STERLING, -600.0, 1e-9, "by hand: 10 min - 20 min"),
    vouched("revert-over-limit", STERLING, -0.1, 1e-9, "by hand: 40 % - 50 %"),
    vouched(
        "zinc-boiling",
        "{alloy: cartridge-brass, melt: {temperature: 1000 C, chamber-pressure: 500 mbar}}",
        0.4226,
        0.01,
        "COST 507 by pycalphad 0.11.2: 211.3 mbar over Cu-30Zn at 1000 C",
    ),
    vouched(
        "zinc-loss",
        "{alloy: {family: brass, composition: {Cu: 95 %, Zn: 5 %}, solidus: 1050 C, liquidus: 1070 C},
          charge: 100 g, melt: {temperature: 1070 C, chamber-pressure: 1000 mbar, time-at-heat: 10 min}}",
        0.022,
        0.004,
        "by hand: Stefan flow 0.0018 g/cm2 min at 1050 C, a fifth more at 1070 C, on 5.1 cm2 for 10 min, of 5 g",
    ),
    vouched("melt-time", HOT_CHARGE, 97.0, 10.0, "by hand: 0.116 MJ at 3 kW and a share of 0.4"),
    vouched("power-share", STERLING, 0.75, 1e-9, "common practice: 4 kW for silver"),
    vouched(
        "power-share",
        "{alloy: Pt-5Ru, melt: {power: 8 kW}}",
        1.0,
        1e-9,
        "common practice: 8 kW for platinum",
    ),
    vouched(
        "oxygen-left",
        "{alloy: sterling-925, melt: {temperature: 1000 C, purge-cycles: 1, purge-vacuum: 50 mbar, chamber-pressure: 1000 mbar}}",
        10.475 / 0.08,
        20.0,
        "by hand: 0.2095 x 50 mbar over the oxide limit 8e-5 bar of the acceptance table",
    ),
    vouched(
        "gas-on-freezing",
        "{alloy: fine-silver, melt: {temperature: 1000 C, cover: open-air}}",
        40.5,
        2.5,
        "by hand: 96 cm3 STP in 100 g, hot at 962 C, over 10.73 cm3 of liquid (Sieverts table)",
    ),
    vouched("reading-error", STERLING, 7.4, 0.051, "IEC 60584: type K class 2, 0.0075 t"),
    vouched(
        "reading-error",
        "{alloy: gold-24k, melt: {temperature: 1100 C, thermometer: pyrometer, emissivity: 0.3}}",
        35.6,
        0.5,
        "by hand: Wien at 0.9 micrometres, 0.30 set and 0.22 true",
    ),
    vouched(
        "overshoot",
        "{alloy: fine-silver, charge: 100 g, melt: {power: 3.75 kW, crucible: silica}}",
        97.0,
        1.0,
        "by hand: 1.5 kW into 100 g of silver for 2 s",
    ),
    vouched(
        "overshoot",
        "{alloy: fine-silver, charge: 100 g, melt: {power: 3.75 kW, crucible: graphite}}",
        5.0,
        0.3,
        "by hand: the same with 300 g of graphite",
    ),
    vouched(
        "wall-temperature",
        "{alloy: sterling-925, melt: {temperature: 1000 C}, flask: {temperature: 550 C}}",
        985.95,
        1.0,
        "two-body finite differences, scipy 1.17.1",
    ),
    vouched("mould-gas", STERLING, 3.35, 0.3, "by hand: between 1.20 mbar at 850 C and 3.96 at 900 C"),
    vouched(
        "mould-gas-carbon",
        "{alloy: sterling-925, melt: {temperature: 993 C}, flask: {temperature: 500 C}, mould: {binder: gypsum, burnout-peak: 600 C}}",
        10_000.0,
        1e-6,
        "equilibrium with carbon: 1 bar at 519 C already, cut off at 10 bar",
    ),
    vouched("core-lag", STERLING, 12.5, 1.0, "Bessel series: 5 % of 730 - 480 left after 52 min in 89 mm")
        .sheet_of(CORE),
    vouched("mould-room", STERLING, 6.0 / 6.09, 0.04, "by hand: sqrt(pi x 3.8e-7 x 31.1 s) = 6.09 mm deep"),
    vouched("soak-share", STERLING, 1.0, 0.02, "Bessel series: 52 min for 5 % in 89 mm"),
    vouched(
        "fill-margin",
        STERLING,
        0.98,
        0.15,
        "by hand: Young-Laplace, wire 0.80 mm at 180 degrees, x 0.766 at 140 degrees; 0.6 over 0.61",
    ),
    vouched(
        "fill-over-freeze",
        "{alloy: sterling-925, method: vacuum-pressure, melt: {temperature: 993 C}, pour: {casting-pressure: 1.5 bar},
          flask: {temperature: 500 C}, tree: {thinnest: 0.5 mm}}",
        0.049,
        0.02,
        "by hand: 15 mm at 3.4 m/s over 0.09 s of flow",
    ),
    vouched("freeze-heaviest", STERLING, 31.1, 1.0, "by hand; finite differences give 36 s"),
    vouched("gate-section", STERLING, 1.5, 1e-9, "by hand: 3 over 2"),
    vouched("gate-modulus", STERLING, 0.75, 1e-9, "by hand: d/4 over t/2"),
    vouched("metal-margin", STERLING, 1.162, 0.005, "by hand: 180 g over 14.2 x 10.36 / 0.95"),
    vouched("feed-mass", STERLING, 0.695, 0.005, "by hand: (4.2 x 10.905 + 30) over 109.05"),
    vouched(
        "feed-volume",
        STERLING,
        0.98,
        0.2,
        "by hand: 7.3 cm3 there; 10.5 cm3 of pieces shrinking 5.8 % want 7.4 of a feeder that gives 14 %",
    ),
];

const HOT_CHARGE: &str = "{alloy: sterling-925, charge: 300 g, melt: {temperature: 993 C, power: 3 kW}}";
const CORE: &str = "{alloy: sterling-925, flask: {temperature: 480 C, diameter: 89 mm, soak: 52 min}, mould: {burnout-peak: 730 C}}";

impl Vouched {
    const fn sheet_of(self, sheet: &'static str) -> Self {
        Self { sheet, ..self }
    }
}

#[test]
fn every_quantity_agrees_with_a_figure_from_outside() {
    let mut wrong = Vec::new();
    for case in TABLE {
        match computed(&sheet(case.sheet), case.id) {
            Some(c)
                if (c.value - case.expected).abs() <= case.within
                    && c.low <= c.value
                    && c.value <= c.high => {}
            other => wrong.push(format!(
                "{}: {:?} and not {} within {} ({})",
                case.id,
                other.map(|c| (c.low, c.value, c.high)),
                case.expected,
                case.within,
                case.by
            )),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_quantity_of_the_table_has_a_case() {
    let without: Vec<&str> =
        derived::TABLE.iter().map(|d| d.id).filter(|id| TABLE.iter().all(|c| c.id != *id)).collect();
    assert!(without.is_empty(), "{without:?}");
}

#[test]
fn an_empty_sheet_and_a_bare_alloy_give_nothing() {
    for text in ["", "alloy: gold-14k-yellow", "alloy: silver", "alloy: brass\nmethod: gravity"] {
        let sheet = sheet(text);
        for one in derived::TABLE {
            assert_eq!(computed(&sheet, one.id), None, "{} of `{text}`", one.id);
        }
    }
}

/// Without one of the figures that a quantity needs there is no answer, and never a made-up one.
#[test]
fn a_missing_input_gives_no_answer() {
    let whole = sheet(STERLING);
    let needs: &[(&str, &[Field])] = &[
        ("superheat", &[Field::MeltTemperature]),
        ("oxygen-left", &[Field::PurgeCycles, Field::PurgeVacuum]),
        ("wall-temperature", &[Field::MeltTemperature, Field::FlaskTemperature]),
        ("mould-gas", &[Field::MeltTemperature]),
        ("core-lag", &[Field::BurnoutPeak, Field::FlaskSoak, Field::FlaskDiameter, Field::FlaskTemperature]),
        ("soak-share", &[Field::FlaskSoak, Field::FlaskDiameter]),
        ("fill-margin", &[Field::Thinnest]),
        ("fill-over-freeze", &[Field::Thinnest, Field::MeltTemperature, Field::FlaskTemperature]),
        ("freeze-heaviest", &[Field::Heaviest, Field::MeltTemperature, Field::FlaskTemperature]),
        ("gate-section", &[Field::Gate, Field::Heaviest]),
        ("gate-modulus", &[Field::Gate, Field::Heaviest]),
        ("metal-margin", &[Field::Charge, Field::TreeWax]),
        ("feed-mass", &[Field::Pieces, Field::TreeWax]),
        ("feed-volume", &[Field::Pieces, Field::TreeWax, Field::MeltTemperature]),
        ("mould-room", &[Field::Spacing, Field::Heaviest, Field::MeltTemperature]),
        ("melt-time", &[Field::Charge, Field::MeltPower, Field::MeltTemperature]),
    ];
    for (id, fields) in needs {
        assert!(computed(&whole, id).is_some(), "{id} of the whole sheet");
        for field in *fields {
            let mut part = whole.clone();
            part.figures.remove(field);
            assert_eq!(computed(&part, id), None, "{id} without {}", field.id());
        }
    }
}

#[test]
fn a_force_that_the_sheet_leaves_out_is_not_taken_for_none() {
    let sheet =
        sheet("{alloy: sterling-925, method: vacuum-assist, pour: {head: 60 mm}, tree: {thinnest: 0.4 mm}}");
    assert_eq!(computed(&sheet, "fill-margin"), None);
}

#[test]
fn carbon_is_spoken_of_only_when_the_burnout_gives_cause() {
    assert_eq!(computed(&sheet(STERLING), "mould-gas-carbon"), None);
}

#[test]
fn a_melt_kept_under_vacuum_holds_less_oxygen_than_one_filled_again() {
    let at = |chamber: &str| {
        let text = format!(
            "{{alloy: fine-silver, melt: {{temperature: 1050 C, purge-cycles: 1, purge-vacuum: 10 mbar, chamber-pressure: {chamber}}}}}"
        );
        computed(&sheet(&text), "oxygen-left").unwrap().value
    };
    assert!(at("1 mbar") < at("1000 mbar") / 100.0);
}

/// A sheet with any figures that a field can hold.
fn any_sheet() -> impl Strategy<Value = Sheet> {
    let rules = rules();
    let fields: Vec<_> = Field::ALL
        .iter()
        .map(|f| {
            let (possible, usual) = (f.limits().possible, f.limits().usual);
            prop_oneof![
                2 => Just(None),
                2 => (usual.0..=usual.1).prop_map(Some),
                1 => (possible.0..=possible.1).prop_map(Some),
                1 => prop_oneof![Just(Some(possible.0)), Just(Some(possible.1))],
            ]
        })
        .collect();
    let facts: Vec<_> = FACTS
        .iter()
        .map(|(.., id)| {
            let key = rules.find_fact(id).unwrap();
            let count = rules.fact(key).values.len();
            prop::option::of(0..count).prop_map(move |v| (key, v))
        })
        .collect();
    (0..rules.alloys.len(), fields, facts).prop_map(|(alloy, fields, facts)| {
        let rules = super::rules();
        let mut sheet = Sheet::default();
        let key: AlloyKey = rules.alloy_keys().nth(alloy).unwrap();
        sheet.name_alloy(rules, AlloyName::Alloy(key));
        for (field, value) in Field::ALL.iter().zip(fields) {
            if let Some(value) = value {
                sheet.set(*field, value);
            }
        }
        sheet.facts.extend(facts.into_iter().filter_map(|(k, v)| Some((k, v?))));
        sheet
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn no_sheet_gives_a_figure_that_is_no_number(sheet in any_sheet()) {
        for one in derived::TABLE {
            let Some(c) = computed(&sheet, one.id) else { continue };
            prop_assert!(c.value.is_finite() && c.low.is_finite() && c.high.is_finite(), "{}: {:?}", one.id, c);
            prop_assert!(c.low <= c.value && c.value <= c.high, "{}: {:?}", one.id, c);
            prop_assert!(!c.says.contains("NaN") && !c.says.contains("inf "), "{}: {}", one.id, c.says);
        }
        for held in hold(super::rules(), &sheet, &Quantities::of(super::rules(), &sheet)) {
            prop_assert!(held.figure.value.is_finite());
        }
    }
}
