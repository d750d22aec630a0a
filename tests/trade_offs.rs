//! Twelve trade-offs of the rule base, with their signs from the numbers of a forward run and not from their text.

#![allow(clippy::unwrap_used)]

use aftercast::advice::{Model, Observation, Sureness, what_if};
use aftercast::rules::{Change, Finding, RuleBase, shipped};
use aftercast::sheet::{Field, Sheet, catalogue, read_sheet};

/// The id of the trade-off, and a sheet from which its change makes sense.
const TWELVE: [(&str, &str); 12] = [
    (
        "hotter-flask",
        "alloy: 14k-yellow\nflask: {temperature: 560 C}\nmelt: {temperature: 1000 C}\nmould: {binder: gypsum}\ntree: {heaviest: 2 mm, thinnest: 1 mm}",
    ),
    (
        "hotter-silver-flask",
        "alloy: sterling-925\nflask: {temperature: 560 C}\nmould: {binder: gypsum}\ntree: {heaviest: 2 mm, thinnest: 1 mm}",
    ),
    (
        "cooler-flask",
        "alloy: sterling-925\nflask: {temperature: 560 C}\nmould: {binder: gypsum}\ntree: {heaviest: 4 mm, thinnest: 1 mm}",
    ),
    (
        "cooler-flask-against-sulphur-gas",
        "alloy: sterling-925\nflask: {temperature: 570 C}\nmelt: {temperature: 1030 C}\nmould: {binder: gypsum}\ntree: {heaviest: 4 mm, thinnest: 1 mm}",
    ),
    (
        "hotter-metal",
        "alloy: sterling-925\nmelt: {temperature: 960 C}\nmould: {binder: gypsum}\ntree: {heaviest: 2 mm, thinnest: 1 mm}",
    ),
    (
        "cooler-metal",
        "alloy: sterling-925\nmelt: {temperature: 1040 C}\nmould: {binder: gypsum}\ntree: {heaviest: 4 mm, thinnest: 1 mm}",
    ),
    (
        "hotter-zinc-alloy",
        "alloy: 14k-yellow\nmelt: {temperature: 960 C, chamber-pressure: 950 mbar}\ntree: {heaviest: 2 mm, thinnest: 1 mm}",
    ),
    (
        "more-casting-pressure",
        "alloy: sterling-925\nmethod: vacuum-pressure\npour: {casting-pressure: 0.8 bar}\ntree: {thinnest: 0.5 mm}",
    ),
    ("hotter-burnout", "alloy: sterling-925\nmould: {binder: gypsum, burnout-peak: 710 C}"),
    ("cooler-burnout", "alloy: sterling-925\nmould: {binder: gypsum, burnout-peak: 790 C}"),
    ("earlier-quench", "alloy: sterling-925\ncooling: {quench-after: 12 min}"),
    ("later-quench", "alloy: sterling-925\ncooling: {quench-after: 4 min}"),
];

/// A change below this may be rounding, and says nothing of a sign. One step of a remedy may well hurt by little where
/// it helps much: tests/rules/trade_offs.rs asks for what can be seen.
const VISIBLE: f64 = 1e-5;

/// The sheet with the remedy's own step, one step of the size that the rules name, inside their bounds.
fn moved(rules: &RuleBase, sheet: &Sheet, remedy: &aftercast::rules::Remedy) -> Sheet {
    let moves = remedy.moves.as_ref().unwrap();
    let field = Field::find(rules.quantity(moves.quantity).id).unwrap();
    let from = sheet.get(field).unwrap();
    let mut changed = sheet.clone();
    let to = match moves.change {
        Change::By(by) => from + by,
        Change::To(to) => to,
    };
    changed.set(field, to.max(moves.least.unwrap_or(f64::MIN)).min(moves.most.unwrap_or(f64::MAX)));
    changed
}

#[test]
fn twelve_trade_offs_have_the_right_sign() {
    let rules = shipped(&catalogue()).rules;
    let mut wrong = Vec::new();
    for (id, text) in TWELVE {
        let trade = rules.trade_offs.iter().find(|t| t.id == id).unwrap();
        let read = read_sheet(&rules, id, text.as_bytes());
        assert_eq!(read.problems.errors(), 0, "{id}: {:?}", read.problems);
        assert!(!trade.helps.is_empty() && !trade.hurts.is_empty(), "{id} has one side only");
        let changed = moved(&rules, &read.sheet, rules.remedy(trade.remedy));
        for helped in &trade.helps {
            let seen = [Observation { finding: Finding::Defect(*helped), how: Sureness::Certain }];
            let model = Model::focused(&rules, &read.sheet, &seen).unwrap();
            let told = what_if(&model, &changed, &seen).unwrap();
            let chance = |d| told.defects.iter().find(|(k, _)| *k == d).unwrap().1;
            let c = chance(*helped);
            if c.after > c.before - VISIBLE {
                wrong.push(format!("{id} does not help {}: {c:?}", rules.defect(*helped).id));
            }
            for hurt in &trade.hurts {
                let c = chance(*hurt);
                if c.after < c.before + VISIBLE {
                    wrong.push(format!(
                        "{id} against {} does not hurt {}: {c:?}",
                        rules.defect(*helped).id,
                        rules.defect(*hurt).id
                    ));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
