//! What a caster needs of every record: a fault says how to tell it from its look-alikes, a cause how to check it
//! cheaply, a change what to set in numbers, a hazard who says so.

use aftercast::rules::{Basis, Kind, RuleBase};
use aftercast::sheet::catalogue;

fn shipped() -> RuleBase {
    aftercast::rules::shipped(&catalogue()).rules
}

fn without_any(faults: Vec<String>) {
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn every_defect_says_what_where_when_and_what_it_is_taken_for() {
    let rules = shipped();
    let mut faults = Vec::new();
    for defect in &rules.defects {
        if defect.place.is_none() || defect.when.is_none() {
            faults.push(format!("{}: says not where or not when", defect.id));
        }
        if defect.look_alikes.is_empty() {
            faults.push(format!("{}: is taken for nothing else", defect.id));
        }
        for alike in &defect.look_alikes {
            // "Loupe: ..." and the like: a thing to do or to see, not a word.
            if alike.apart.split_whitespace().count() < 5 {
                faults.push(format!("{}: `{}` tells nothing apart", defect.id, alike.apart));
            }
        }
    }
    without_any(faults);
}

#[test]
fn every_cause_says_why_and_how_to_check_it() {
    let rules = shipped();
    let mut faults = Vec::new();
    for cause in &rules.causes {
        if cause.check.as_ref().is_none_or(|c| c.split_whitespace().count() < 6) {
            faults.push(format!("{}: no check", cause.id));
        }
        if cause.because.split_whitespace().count() < 6 {
            faults.push(format!("{}: no mechanism", cause.id));
        }
    }
    without_any(faults);
}

#[test]
fn a_change_of_a_figure_says_the_figure() {
    let rules = shipped();
    let mut faults = Vec::new();
    for remedy in &rules.remedies {
        let number = remedy.change.chars().any(|c| c.is_ascii_digit());
        if !number && (remedy.moves.is_some() || remedy.kind == Kind::Setting) {
            faults.push(format!("{}: `{}` has no number", remedy.id, remedy.change));
        }
        if remedy.cures.is_empty() || remedy.effort.get() <= 0.0 {
            faults.push(format!("{}: cures nothing or costs nothing", remedy.id));
        }
    }
    without_any(faults);
}

#[test]
fn every_caution_rests_on_an_authority_or_a_standard() {
    let rules = shipped();
    let weak = rules.cautions.iter().filter(|c| !matches!(c.basis, Basis::Published { .. }));
    without_any(weak.map(|c| format!("{}: rests on no authority", c.id)).collect());
}

#[test]
fn a_good_third_of_what_is_said_can_be_looked_up() {
    let rules = shipped();
    let all = aftercast::rules::basis::all(&rules);
    let published = all.iter().filter(|u| matches!(u.basis, Basis::Published { .. })).count();
    assert!(published * 3 >= all.len(), "{published} of {}", all.len());
}

#[test]
fn what_cannot_be_in_a_job_is_not_brought_by_a_cause_that_says_so() {
    // A link that holds only for a family of which the defect's own record says that it cannot be there is a slip.
    let rules = shipped();
    let mut faults = Vec::new();
    for cause in &rules.causes {
        for link in &cause.produces {
            let defect = rules.defect(link.to);
            let (fact, can) = match defect.condition.only.first() {
                Some((fact, values)) => (*fact, values),
                None => continue,
            };
            let asked = link.condition.only.iter().find(|(f, _)| *f == fact);
            for value in asked.map_or(&[][..], |(_, values)| values.as_slice()) {
                if !can.contains(value) {
                    let value = &rules.fact(fact).values[*value].id;
                    faults.push(format!("{} brings {} with {value}", cause.id, defect.id));
                }
            }
        }
    }
    without_any(faults);
}
