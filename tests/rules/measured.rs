//! The rules measured on the cases of tests/cases, with floors that guard against going down.

use aftercast::casebook::score::{Scored, Tally, calibration, score};
use aftercast::casebook::{Case, Grade, folder};
use aftercast::rules::{RuleBase, shipped};
use aftercast::sheet::catalogue;
use std::path::Path;

fn cases() -> (RuleBase, Vec<Case>) {
    cases_of("tests/cases")
}

fn cases_of(place: &str) -> (RuleBase, Vec<Case>) {
    let rules = shipped(&catalogue()).rules;
    let read = folder(&rules, &Path::new(env!("CARGO_MANIFEST_DIR")).join(place)).expect("a folder");
    let shown =
        aftercast::document::render(&read.sources, &read.problems, aftercast::document::Excerpt::Plain);
    assert_eq!(read.problems.errors(), 0, "{shown}");
    (rules, read.cases)
}

/// Grades A and B inside the scope, as the promise is worded.
fn counted<'s, 'c>(scored: &'s [Scored<'c>]) -> Vec<&'s Scored<'c>> {
    scored.iter().filter(|s| s.is_inside() && matches!(s.case.grade, Some(Grade::A | Grade::B))).collect()
}

#[test]
fn the_named_cause_is_found() {
    let (rules, cases) = cases();
    let scored = score(&rules, &cases);
    for one in &scored {
        let answer = one.answer.as_ref().expect("the findings of a real case go together");
        let named = |c| if one.case.names(c) { "*" } else { "" };
        let first: Vec<String> = answer
            .ranked
            .iter()
            .take(3)
            .map(|s| format!("{}{} {:.0} %", rules.cause(s.cause).id, named(s.cause), s.had_a_hand * 100.0))
            .collect();
        println!("{:<34}{:>3}  {}", one.case.id, answer.rank.unwrap_or(0), first.join(", "));
    }
    let tally = Tally::of(counted(&scored));
    println!("{} cases, first {}, in three {}", tally.cases, tally.first, tally.in_three);
    assert!(tally.cases >= 30, "cases were lost");
    assert!(tally.in_three_share() >= 0.8, "first three: {} of {}", tally.in_three, tally.cases);
    assert!(tally.first_share() >= 0.5, "first: {} of {}", tally.first, tally.cases);
    // What was reached; a change that falls below it must say why.
    assert!(tally.in_three >= 29, "first three: {} of {}", tally.in_three, tally.cases);
    // 26 and not 27 since causes are ranked by whether they had a hand in it: one lead moved to second place, one of
    // another case into the first three.
    assert!(tally.first >= 25, "first: {} of {}", tally.first, tally.cases);
}

/// Cases that were written down before the program was asked about them. Asked for the first time it found the named
/// cause of the first gathering first in 24 of 42 and in the first three in 35, and of the second in 14 and 23 of 34;
/// some links that they showed to be wrong about the trade were mended after, so that what is reached now is no measure
/// of unseen cases any more.
#[test]
fn the_named_cause_is_found_in_the_held_out_cases() {
    for (place, cases, in_three, first) in
        [("tests/cases-held-out", 42, 35, 24), ("tests/cases-held-out-2", 34, 23, 14)]
    {
        let (rules, read) = cases_of(place);
        let scored = score(&rules, &read);
        let tally = Tally::of(counted(&scored));
        println!("{place}: {} cases, first {}, in three {}", tally.cases, tally.first, tally.in_three);
        assert!(tally.cases >= cases, "cases were lost");
        assert!(tally.in_three >= in_three, "first three: {} of {}", tally.in_three, tally.cases);
        assert!(tally.first >= first, "first: {} of {}", tally.first, tally.cases);
    }
}

/// The program must be about as sure as it is right: the figure that the screen shows, within 15 points over all cases
/// with known causes, which is what a hundred cases can tell.
#[test]
fn the_first_cause_is_said_with_the_right_confidence() {
    let (mut cases, mut said, mut right) = (0.0, 0.0, 0.0);
    for place in ["tests/cases", "tests/cases-held-out", "tests/cases-held-out-2"] {
        let (rules, read) = cases_of(place);
        let scored = score(&rules, &read);
        let tally = Tally::of(counted(&scored));
        println!("{place}: said {:.3}, right {:.3}", tally.mean_first, tally.first_share());
        #[expect(clippy::cast_precision_loss, reason = "a few hundred cases")]
        let count = tally.cases as f64;
        cases += count;
        said += tally.mean_first * count;
        right += tally.first_share() * count;
    }
    let (said, right) = (said / cases, right / cases);
    println!("{cases} cases: said {said:.3}, right {right:.3}");
    assert!(cases >= 100.0, "cases were lost");
    assert!((said - right).abs() <= 0.15, "said {said:.3}, right {right:.3}");
}

/// The same on the cases that the scales were set on, for the chance that the first cause is there. That it had a hand in
/// the fault, which the screen shows, is said with 2 points less.
#[test]
fn the_first_cause_is_there_as_often_as_is_said() {
    let (rules, cases) = cases();
    let scored = score(&rules, &cases);
    let all = counted(&scored);
    let right = Tally::of(all.iter().copied()).first_share();
    #[expect(clippy::cast_precision_loss, reason = "a few dozen cases")]
    let count = all.len() as f64;
    let there = |s: &&Scored<'_>| s.answer.as_ref().unwrap().first().unwrap().probability;
    let said = all.iter().map(there).sum::<f64>() / count;
    println!("there: said {said:.3}, right {right:.3}");
    assert!((said - right).abs() <= 0.15, "said {said:.3}, right {right:.3}");
}

#[test]
fn look_alikes_are_not_named_with_confidence() {
    let (rules, cases) = cases();
    let scored = score(&rules, &cases);
    let edge: Vec<&Scored<'_>> = scored.iter().filter(|s| !s.is_inside()).collect();
    assert!(edge.len() >= 4);
    for one in edge {
        let answer = one.answer.as_ref().expect("an answer");
        println!("{}: none of these {:.2}", one.case.id, answer.none_known);
        assert!(!one.overreaches(), "{}: {:?}", one.case.id, answer.first());
        // Either it knows what it is, or nothing stands out, and the screen says so.
        let known = answer.rank == Some(1);
        let first = answer.first().map_or(0.0, |first| first.had_a_hand);
        assert!(known || first < 0.25, "{}: {first:.3}", one.case.id);
    }
}

#[test]
fn the_bands_hold_every_case_once() {
    let (rules, cases) = cases();
    let scored = score(&rules, &cases);
    let all = counted(&scored);
    let bands = calibration(&all);
    assert_eq!(bands.iter().map(|(_, _, t)| t.cases).sum::<usize>(), all.len());
    for (from, to, tally) in bands {
        assert!(tally.cases == 0 || (tally.mean_first >= from && tally.mean_first <= to), "{from} {to}");
    }
}

/// The program may be more right than it claims, not less: the cases are few and picked to be told.
#[test]
fn it_does_not_claim_more_than_it_keeps() {
    let (rules, cases) = cases();
    let scored = score(&rules, &cases);
    let tally = Tally::of(counted(&scored));
    let (said, right) = (tally.mean_first, tally.first_share());
    assert!(said <= right + 0.15, "said {said:.2}, right {right:.2}");
}
