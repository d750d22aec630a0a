//! The measurement for people.

use super::{miss, no_answer};
use crate::casebook::score::{Scored, Tally, calibration};
use crate::casebook::{Confidence, Grade, Scope};
use crate::cli::output::{Out, factor_words, percent};
use crate::cli::style::{HEADING, paint};
use crate::rules::RuleBase;

/// How many contrasts a miss shows.
const CONTRASTS: usize = 4;

pub(super) fn print(rules: &RuleBase, scored: &[Scored<'_>], out: &mut Out) {
    let inside = |s: &&Scored<'_>| s.case.scope == Scope::Inside;
    let edge = scored.iter().filter(|s| !inside(s)).count();
    let edge = if edge == 0 { "none".to_owned() } else { edge.to_string() };
    out.line(format!("{}, {edge} of them at the edge of what the program is for", count(scored.len())));
    out.gap();
    tallies(rules, scored, out);
    out.gap();
    bands(scored, out);
    edges(rules, scored, out);
    misses(rules, scored, out);
}

fn count(cases: usize) -> String {
    if cases == 1 { "1 case".to_owned() } else { format!("{cases} cases") }
}

/// A share that was counted, and not a chance that the model claims: 100 % can be said.
fn counted(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

fn tallies(rules: &RuleBase, scored: &[Scored<'_>], out: &mut Out) {
    out.line(paint(
        HEADING,
        &format!(
            "{:<30}{:>7}{:>8}{:>11}{:>11}{:>10}",
            "", "cases", "first", "in three", "mean place", "log loss"
        ),
    ));
    let mut row = |name: &str, tally: Tally| {
        if tally.cases > 0 {
            out.line(format!(
                "{name:<30}{:>7}{:>8}{:>11}{:>11.1}{:>10.2}",
                tally.cases,
                counted(tally.first_share()),
                counted(tally.in_three_share()),
                tally.mean_rank,
                tally.log_loss
            ));
        }
    };
    let inside = || scored.iter().filter(|s| s.is_inside());
    row("inside", Tally::of(inside()));
    for (word, grade) in Grade::WORDS {
        row(&format!("  grade {word}"), Tally::of(inside().filter(|s| s.case.grade == Some(*grade))));
    }
    for (word, confidence) in Confidence::WORDS {
        let group = inside().filter(|s| s.case.confidence == Some(*confidence));
        row(&format!("  cause {word}"), Tally::of(group));
    }
    for defect in rules.defect_keys() {
        let group = inside().filter(|s| s.case.what.contains(&defect));
        row(&format!("  {}", rules.defect(defect).id), Tally::of(group));
    }
    row("edge", Tally::of(scored.iter().filter(|s| !s.is_inside())));
}

fn bands(scored: &[Scored<'_>], out: &mut Out) {
    out.line(paint(
        HEADING,
        &format!("{:<30}{:>7}{:>14}{:>15}", "said of the first cause", "cases", "mean said", "was right"),
    ));
    let inside: Vec<&Scored<'_>> = scored.iter().filter(|s| s.is_inside()).collect();
    let mut row = |name: String, tally: Tally| {
        if tally.cases > 0 {
            out.line(format!(
                "{name:<30}{:>7}{:>14}{:>15}",
                tally.cases,
                counted(tally.mean_first),
                counted(tally.first_share())
            ));
        }
    };
    for (from, to, tally) in calibration(&inside) {
        row(format!("  {:.0} to {:.0} %", from * 100.0, to * 100.0), tally);
    }
    row("  all".to_owned(), Tally::of(inside.iter().copied()));
}

fn edges(rules: &RuleBase, scored: &[Scored<'_>], out: &mut Out) {
    if scored.iter().all(Scored::is_inside) {
        return;
    }
    out.gap();
    out.line(paint(HEADING, "at the edge: chance that it is none of these, and what came first"));
    for one in scored.iter().filter(|s| !s.is_inside()) {
        match &one.answer {
            Ok(answer) => {
                let first = answer.first().map_or_else(String::new, |(c, p)| {
                    let right = if one.case.names(c) { ", right" } else { "" };
                    format!("first {} {}{right}", rules.cause(c).id, percent(p))
                });
                let mark = if one.overreaches() { "; named with confidence and wrong" } else { "" };
                out.hang_whole(
                    "  ",
                    &format!("{}: none of these {}; {first}{mark}", one.case.id, percent(answer.none_known)),
                );
            }
            Err(reason) => {
                out.hang_whole("  ", &format!("{}: {}", one.case.id, no_answer(rules, one.case, reason)))
            }
        }
    }
}

fn misses(rules: &RuleBase, scored: &[Scored<'_>], out: &mut Out) {
    let mut headed = false;
    for one in scored.iter().filter(|s| s.is_inside()) {
        let lines = match &one.answer {
            Err(reason) => vec![no_answer(rules, one.case, reason)],
            Ok(answer) => {
                let Some(miss) = miss(rules, one) else { continue };
                let chance = |c| answer.ranked.iter().find(|(k, _)| *k == c).map_or(0.0, |(_, p)| *p);
                let mut lines = vec![format!(
                    "place {}: {} {}, after {} {}",
                    answer.rank.unwrap_or(0),
                    rules.cause(miss.truth).id,
                    percent(chance(miss.truth)),
                    rules.cause(miss.rival).id,
                    percent(chance(miss.rival))
                )];
                lines.extend(
                    miss.contrasts
                        .iter()
                        .take(CONTRASTS)
                        .map(|c| format!("  {}: {} than the truth", c.words, factor_words(c.lead()))),
                );
                lines
            }
        };
        if !headed {
            out.gap();
            out.line(paint(HEADING, "not first, and what outweighed the truth"));
            headed = true;
        }
        let grade = one.case.grade.map_or("", Grade::word);
        let confidence = one.case.confidence.map_or("", Confidence::word);
        out.hang_whole("  ", format!("{} {grade} {confidence}", one.case.id).trim_end());
        for line in lines {
            out.hang_whole("    ", &line);
        }
    }
}
