//! Which mould a job has when its sheet does not say, and what hangs on it: platinum, palladium and steel are cast in
//! silica or phosphate, and rules about gypsum must be silent there without anybody having to say so.

use aftercast::advice::{Model, Observation, Prior, Quantities, Sureness, diagnose};
use aftercast::rules::names::FindingNames;
use aftercast::rules::{Context, RuleBase};
use aftercast::sheet::{Sheet, catalogue, read_sheet};

fn shipped() -> RuleBase {
    aftercast::rules::shipped(&catalogue()).rules
}

fn sheet(rules: &RuleBase, text: &str) -> Sheet {
    let read = read_sheet(rules, "sheet.yaml", text.as_bytes());
    let said: Vec<&str> = read.problems.iter().map(|p| p.message.as_str()).collect();
    assert_eq!(read.problems.errors(), 0, "{text}: {said:?}");
    read.sheet
}

fn chance_of(rules: &RuleBase, text: &str, value: &str) -> f64 {
    let fact = rules.find_fact("binder").unwrap();
    let at = rules.fact(fact).values.iter().position(|v| v.id == value).unwrap();
    sheet(rules, text).context(rules).chance(rules, fact, &[at])
}

fn odds(rules: &RuleBase, cause: &str, text: &str) -> f64 {
    let sheet = sheet(rules, text);
    let key = rules.find_cause(cause).unwrap();
    let quantities = Quantities::of(rules, &sheet);
    Prior::of(rules, rules.cause(key), &sheet.context(rules), &quantities).odds()
}

#[test]
fn the_mould_nobody_named_follows_the_metal() {
    let rules = shipped();
    for family in ["pt", "pd", "ss"] {
        let gypsum = chance_of(&rules, &format!("alloy: {family}\n"), "gypsum");
        assert!(gypsum < 0.05, "{family}: {gypsum}");
    }
    for family in ["ag", "au-14y", "au-red", "wg-ni"] {
        let gypsum = chance_of(&rules, &format!("alloy: {family}\n"), "gypsum");
        assert!(gypsum > 0.9, "{family}: {gypsum}");
    }
    // Nothing known: the mean over what a shop casts, which is mostly silver and gold.
    let gypsum = chance_of(&rules, "", "gypsum");
    assert!((0.9..0.98).contains(&gypsum), "{gypsum}");
}

#[test]
fn a_named_alloy_s_own_list_says_more_than_its_family() {
    let rules = shipped();
    let binder = rules.find_fact("binder").unwrap();
    for alloy in &rules.alloys {
        let text = format!("alloy: {}\n", alloy.id);
        let context = sheet(&rules, &text).context(&rules);
        let listed = context.chance(&rules, binder, &alloy.binder);
        assert!((listed - 1.0).abs() < 1e-12, "{}: {listed}", alloy.id);
        // It is expected and not known: a wrong mould can still be the cause.
        assert!(!context.knows(binder), "{}", alloy.id);
    }
}

#[test]
fn what_the_sheet_says_beats_what_is_expected() {
    let rules = shipped();
    let text = "alloy: platinum-950-ruthenium\nmould: {binder: gypsum}\n";
    assert!((chance_of(&rules, text, "gypsum") - 1.0).abs() < 1e-12);
    let unsuited = |text: &str| odds(&rules, "mould-type-unsuited", text);
    assert!(unsuited(text) > unsuited("alloy: platinum-950-ruthenium\n"));
}

#[test]
fn gypsum_gas_is_no_explanation_for_platinum() {
    let rules = shipped();
    let binder = rules.find_fact("binder").unwrap();
    let gas = rules.find_defect("mould-gas-porosity").unwrap();
    let holds = |text: &str| {
        let context: Context = sheet(&rules, text).context(&rules);
        let links = rules.causes.iter().flat_map(|c| &c.produces).filter(|l| l.to == gas);
        links
            .filter(|l| l.condition.unless.iter().any(|(f, _)| *f == binder))
            .map(|l| context.holds(&rules, &l.condition))
            .fold(0.0, f64::max)
    };
    assert!(holds("alloy: pt\n") < 0.05);
    assert!(holds("alloy: sterling-925\n") > 0.99);
}

#[test]
fn figures_are_judged_by_the_mould_they_belong_to() {
    let rules = shipped();
    let both = |cause: &str, figure: &str| {
        let gypsum = odds(&rules, cause, &format!("mould: {{binder: gypsum, {figure}}}\n"));
        let phosphate = odds(&rules, cause, &format!("mould: {{binder: phosphate, {figure}}}\n"));
        (gypsum, phosphate)
    };
    // 870 °C ruins gypsum and is an ordinary burnout for platinum.
    let (gypsum, phosphate) = both("burnout-overheated", "burnout-peak: 870 C");
    assert!(gypsum > 20.0 * phosphate, "{gypsum} {phosphate}");
    // 700 °C burns wax out of gypsum and is cold for a platinum mould.
    let (gypsum, phosphate) = both("burnout-incomplete", "burnout-peak: 715 C");
    assert!(phosphate > 3.0 * gypsum, "{gypsum} {phosphate}");
    // 40 min on the bench: green gypsum, ready phosphate.
    let (gypsum, phosphate) = both("set-time-short", "set-time: 40 min");
    assert!(gypsum > 10.0 * phosphate, "{gypsum} {phosphate}");
    // A ratio of water that is a stiff gypsum slurry says nothing of other powders.
    let (gypsum, phosphate) = both("slurry-thick", "water: 30 per 100");
    assert!(gypsum > 10.0 * phosphate, "{gypsum} {phosphate}");
    // Unknown, it lies between, nearly at gypsum.
    let unknown = odds(&rules, "slurry-thick", "mould: {water: 30 per 100}\n");
    assert!(unknown > phosphate && unknown < gypsum, "{phosphate} {unknown} {gypsum}");
}

#[test]
fn pores_below_a_platinum_skin_are_not_laid_to_gypsum() {
    let rules = shipped();
    let names = FindingNames::new(&rules);
    let chance = |alloy: &str| {
        let sheet = sheet(&rules, &format!("alloy: {alloy}\n"));
        let seen: Vec<Observation> = ["pores-just-under-skin", "pores-round-smooth"]
            .iter()
            .map(|id| Observation { finding: names.find(id).unwrap(), how: Sureness::Seen })
            .collect();
        let model = Model::focused(&rules, &sheet, &seen).unwrap();
        let found = diagnose(&model, &sheet, &seen).unwrap();
        let gas = rules.find_defect("mould-gas-porosity").unwrap();
        found.defects.iter().find(|d| d.defect == gas).map_or(0.0, |d| d.probability)
    };
    let (silver, platinum) = (chance("sterling-925"), chance("platinum-950-ruthenium"));
    assert!(silver > 0.4, "{silver}");
    assert!(platinum < 0.2 && platinum < 0.3 * silver, "{platinum}, silver {silver}");
}
