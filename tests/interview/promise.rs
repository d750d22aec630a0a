//! What the interview promises: the metal early, what an answer would do, no question beside the point, and an end that does
//! not name what it never asked.

use aftercast::advice::{Observation, Sureness, Unrecorded, missing};
use aftercast::interview::{Because, Closed, Interview, Next, Said, Start, Stop};
use aftercast::rules::{CauseKey, Finding, QuestionKey, Reveals, RuleBase};
use aftercast::sheet::Field;

use crate::caster::shipped;

fn finding(rules: &RuleBase, id: &str) -> Finding {
    let defect = rules.find_defect(id).map(Finding::Defect);
    defect.or(rules.find_sign(id).map(Finding::Sign)).unwrap()
}

fn seen<'a>(rules: &'a RuleBase, ids: &[&str]) -> Interview<'a> {
    let findings =
        ids.iter().map(|id| Observation { finding: finding(rules, id), how: Sureness::Seen }).collect();
    Interview::new(rules, Start { findings, ..Start::default() }).unwrap()
}

fn asked(rules: &RuleBase, interview: &Interview<'_>) -> Option<String> {
    match interview.next() {
        Next::Ask(chosen) => Some(rules.question(chosen.worth.question).id.clone()),
        Next::Stop(_) => None,
    }
}

#[test]
fn the_metal_is_asked_for_as_soon_as_the_kind_of_fault_is_known() {
    let rules = shipped();
    let kind = rules.find_question("kind-of-fault").unwrap();
    let mut interview = Interview::new(&rules, Start::default()).unwrap();
    interview.answer(kind, Said::Picked { answers: vec![1], sure: true }).unwrap();
    assert_eq!(asked(&rules, &interview).as_deref(), Some("alloy-asked"));
    let alloy = rules.find_question("alloy-asked").unwrap();
    interview.answer(alloy, Said::Unknown).unwrap();
    assert_ne!(asked(&rules, &interview).as_deref(), Some("alloy-asked"), "never twice");
}

/// `why` and the line of the causes in front show one figure: what an answer is said to do is what it does.
#[test]
fn an_answer_does_what_was_said_of_it() {
    let rules = shipped();
    let mut compared = 0;
    for (given, ids) in [
        (&["metal-extra", "surface-or-colour-bad"][..], &["extra-metal-shape", "rough-where"][..]),
        (&["misrun"], &["gap-edge", "alloy-asked", "method-asked", "burnout-peak-asked"]),
    ] {
        for id in ids {
            let question = rules.find_question(id).unwrap();
            let interview = seen(&rules, given);
            let effects = interview.effects(question, usize::MAX);
            assert!(effects.len() > 1, "{id}");
            for effect in effects {
                let mut after = seen(&rules, given);
                let taken = after.answer(question, effect.step.said.clone());
                assert_eq!(taken.is_ok(), effect.moves.is_some(), "{id}: {}", effect.words);
                let chance = |of: &Interview<'_>, cause: CauseKey| {
                    of.standing().causes().iter().find(|s| s.cause == cause).unwrap().had_a_hand
                };
                for (cause, before, then) in effect.moves.unwrap_or_default() {
                    assert!((chance(&interview, cause) - before).abs() < 1e-9);
                    assert!((chance(&after, cause) - then).abs() < 1e-9, "{id}: {}", effect.words);
                    compared += 1;
                }
            }
        }
    }
    assert!(compared > 20, "only {compared} figures");
}

#[test]
fn nobody_is_asked_of_a_fault_that_was_not_reported() {
    let rules = shipped();
    for (given, silly) in [
        (&["surface-or-colour-bad"][..], &["extra-metal-shape", "pore-place", "gap-edge", "bend-test"][..]),
        (&["misrun"], &["pore-place", "pore-spread", "extra-metal-shape"]),
        (&["fins"], &["extra-metal-shape", "pore-place", "unfilled-place"]),
        (&["crack-or-break"], &["pore-walls", "extra-metal-shape", "size-gauge"]),
    ] {
        let mut interview = seen(&rules, given);
        // Neither at once nor later, when nothing is known to what is asked.
        for _ in 0..8 {
            for id in silly {
                let question = rules.find_question(id).unwrap();
                assert!(interview.closed(question).is_some(), "{given:?}: {id}");
            }
            let Next::Ask(chosen) = interview.next() else { break };
            interview.answer(chosen.worth.question, Said::Unknown).unwrap();
        }
    }
    // What was reported beside it is asked of.
    let both = seen(&rules, &["surface-or-colour-bad", "hole-seen"]);
    assert_eq!(both.closed(rules.find_question("pore-place").unwrap()), None);
}

#[test]
fn a_question_that_cannot_be_asked_says_what_it_waits_for() {
    let rules = shipped();
    let q = |id: &str| rules.find_question(id).unwrap();
    let mut interview = seen(&rules, &["misrun"]);
    assert_eq!(interview.closed(q("melt-heat-asked")), Some(Closed::After(vec![q("alloy-asked")])));
    assert_eq!(interview.closed(q("kind-of-fault")), Some(Closed::Known));
    assert!(matches!(interview.closed(q("stones-state")), Some(Closed::About(_))));
    interview.answer(q("alloy-asked"), Said::Unknown).unwrap();
    assert_eq!(interview.closed(q("alloy-asked")), Some(Closed::Asked));
    assert_eq!(interview.closed(q("melt-heat-asked")), None);
    let spun = rules.find_fact("method").unwrap();
    let at = rules.fact(spun).values.iter().position(|v| v.id == "gravity").unwrap();
    interview.answer(q("method-asked"), Said::Value(at)).unwrap();
    assert_eq!(interview.closed(q("spin-asked")), Some(Closed::NoSuchFigure));
    let empty = Interview::new(&rules, Start::default()).unwrap();
    assert_eq!(empty.closed(q("pore-walls")), Some(Closed::After(vec![q("kind-of-fault")])));
    let figures = Start { figures: false, ..interview.start().clone() };
    let none = Interview::new(&rules, figures).unwrap();
    assert_eq!(none.closed(q("charge-asked")), Some(Closed::NoFigures));
}

/// The result names the figure that would tell most. It was asked for before the interview found that it was enough.
#[test]
fn what_would_tell_most_is_asked_before_the_end() {
    let rules = shipped();
    let fills = |question: QuestionKey, what: Unrecorded| match (&rules.question(question).reveals, what) {
        (Reveals::Quantity(q), Unrecorded::Figure(field)) => {
            Field::find(rules.quantity(*q).id) == Some(field)
        }
        (Reveals::Fact(fact), Unrecorded::Fact(other)) => *fact == other,
        _ => false,
    };
    let mut ended = 0;
    for given in [&["misrun"][..], &["fins"], &["gas-porosity"], &["crack-or-break"]] {
        let mut interview = seen(&rules, given);
        let stop = loop {
            match interview.next() {
                Next::Ask(chosen) => {
                    if let Because::Moves(_, by) = chosen.worth.because {
                        assert!(by >= 0.25 && chosen.worth.net <= 0.0);
                    }
                    interview.answer(chosen.worth.question, Said::Unknown).unwrap();
                }
                Next::Stop(stop) => break stop,
            }
        };
        ended += usize::from(matches!(stop, Stop::NonePays { .. }));
        let standing = interview.standing();
        let diagnosis = standing.diagnose().unwrap();
        for one in missing(standing.model(), standing.sheet(), &diagnosis.ranking()) {
            let open = standing.open().iter().any(|q| fills(*q, one.what));
            assert!(!open || one.cause_change < 0.25, "{given:?}: {} was not asked", one.what.id(&rules));
        }
    }
    assert!(ended > 0);
}
