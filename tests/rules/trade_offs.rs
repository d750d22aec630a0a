//! Contradictory cures: what helps one fault hurts another, and the numbers must say so from both sides.
//!
//! For every entry of rules/trade-offs.yaml: where a cause that the remedy cures is at work, the remedy makes each
//! fault under `helps` rarer at the next cast; where all is in order, it makes each fault under `hurts` commoner.

use aftercast::advice::{BeforeAfter, Model, Outlook};
use aftercast::inference::{Evidence, Likelihood, Var};
use aftercast::rules::{CauseKey, DefectKey, FactKey, RuleBase, TradeOff, shipped};
use aftercast::sheet::{JobAlloy, Sheet, catalogue};

/// A change smaller than a tenth of a percent is no change.
const VISIBLE: f64 = 0.001;

/// A sheet on which the trade-off holds, its first values taken.
fn job(rules: &RuleBase, trade: &TradeOff) -> Sheet {
    let mut sheet = Sheet::default();
    let remedy = &rules.remedy(trade.remedy).condition;
    for (fact, values) in trade.condition.only.iter().chain(&remedy.only) {
        if *fact == FactKey::FAMILY {
            let family = rules.family_keys().find(|k| values.contains(&k.index())).expect("a family");
            sheet.alloy.get_or_insert(JobAlloy::Family(family));
        } else {
            sheet.facts.entry(*fact).or_insert(values[0]);
        }
    }
    sheet
}

fn ahead(
    model: &Model<'_>,
    present: &[CauseKey],
    absent: &[CauseKey],
    trade: &TradeOff,
    defect: DefectKey,
) -> Option<BeforeAfter> {
    let mut evidence = Evidence::new();
    for cause in present {
        evidence.set(Var::Cause(model.cause(*cause)), Likelihood::YES);
    }
    for cause in absent {
        evidence.set(Var::Cause(model.cause(*cause)), Likelihood::NO);
    }
    let prepared = model.network.prepare(&evidence).ok()?;
    Some(Outlook::new(model, &prepared).defect(&[trade.remedy], defect))
}

/// What is wrong with one trade-off; empty when both sides come out.
fn faults(rules: &RuleBase, trade: &TradeOff) -> Vec<String> {
    let sheet = job(rules, trade);
    let model = Model::new(rules, &sheet).expect("the rules build");
    let remedy = rules.remedy(trade.remedy);
    let mut found = Vec::new();
    for &defect in &trade.helps {
        let best = remedy
            .cures
            .iter()
            .filter(|l| model.strength(l.to, defect) > 0.0)
            .filter_map(|l| ahead(&model, &[l.to], &[], trade, defect))
            .map(|c| c.before - c.after)
            .fold(f64::MIN, f64::max);
        if best < VISIBLE {
            found.push(format!("helps {}: lowered by {best:.4}", rules.defect(defect).id));
        }
    }
    let in_order: Vec<CauseKey> = remedy.cures.iter().chain(&remedy.spoils).map(|l| l.to).collect();
    for &defect in &trade.hurts {
        let rise = ahead(&model, &[], &in_order, trade, defect).map_or(f64::MIN, |c| c.after - c.before);
        if rise < VISIBLE {
            found.push(format!("hurts {}: raised by {rise:.4}", rules.defect(defect).id));
        }
    }
    found
}

#[test]
fn every_trade_off_comes_out_from_both_sides() {
    let rules = shipped(&catalogue()).rules;
    assert!(rules.trade_offs.len() >= 20);
    let mut bad = Vec::new();
    for trade in &rules.trade_offs {
        let found = faults(&rules, trade);
        println!(
            "{:<44}{}",
            trade.id,
            if found.is_empty() { "both sides".to_owned() } else { found.join("; ") }
        );
        if !found.is_empty() {
            bad.push(format!("{} ({}): {}", trade.id, rules.remedy(trade.remedy).id, found.join("; ")));
        }
    }
    assert!(
        bad.is_empty(),
        "{} of {} do not come out:\n{}",
        bad.len(),
        rules.trade_offs.len(),
        bad.join("\n")
    );
}
