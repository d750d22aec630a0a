//! The plan, the best pair and figures that are pulled both ways, as text.

use crate::advice::findings::lower_first;
use crate::advice::{Diagnosis, Plan, PlanStep, Policy};
use crate::cli::output::{Out, percent};
use crate::cli::style::{HEADING, paint};
use crate::report::words::{Closer, minutes, plan_words, pulled_words, step_words, teaches_words};
use crate::rules::{RemedyKey, RuleBase};

pub(super) fn print(rules: &RuleBase, diagnosis: &Diagnosis, closer: &Closer, out: &mut Out) {
    for one in &diagnosis.opposites {
        out.hang("", &pulled_words(rules, one));
        out.gap();
    }
    let Some(plan) = &diagnosis.plan else { return };
    out.line(paint(HEADING, "The plan: one change at a time, a re-cast behind each"));
    for (at, step) in plan.steps.iter().enumerate() {
        one_step(rules, diagnosis, at + 1, step, out);
    }
    out.hang("     ", &plan_words(plan, closer));
    others(rules, plan, out);
    if let Some(pair) = diagnosis.pairs.first() {
        let title = |r: RemedyKey| lower_first(&rules.remedy(r).title);
        out.hang(
            "     ",
            &format!(
                "No time for single steps? Together, \"{}\" and \"{}\": sound next time {}, with the first alone {}.",
                title(pair.remedies.0),
                title(pair.remedies.1),
                percent(pair.success.after),
                percent(pair.success.before)
            ),
        );
    }
    out.gap();
}

fn one_step(rules: &RuleBase, diagnosis: &Diagnosis, number: usize, step: &PlanStep, out: &mut Out) {
    let figure = diagnosis.remedies.iter().find(|r| r.remedy == step.remedy).and_then(|r| r.step);
    let words = figure.and_then(step_words).map_or_else(String::new, |w| format!(": {w}"));
    let title = &rules.remedy(step.remedy).title;
    out.hang(&format!("{number:>3}. "), &format!("{}{words}", title.trim_end_matches('.')));
    let chance = if number == 1 {
        format!("Works {}", percent(step.works))
    } else {
        format!("Needed {}, then works {}", percent(step.needed), percent(step.works))
    };
    out.hang("     ", &format!("{chance}. {}", teaches_words(rules, step.teaches)));
}

fn others(rules: &RuleBase, plan: &Plan, out: &mut Out) {
    let order = |p: &Policy| {
        let titles: Vec<String> = p.order.iter().map(|r| lower_first(&rules.remedy(*r).title)).collect();
        titles.join("; then ")
    };
    let same: Vec<RemedyKey> = plan.steps.iter().map(|s| s.remedy).collect();
    for (name, policy) in
        [("Likeliest cause first", &plan.likeliest_first), ("Cheapest first", &plan.cheapest_first)]
    {
        let words = if policy.order.is_empty() {
            format!("{name}: no step of it pays.")
        } else if policy.order == same {
            format!("{name}: the same steps.")
        } else {
            format!("{name}: {} ({}).", minutes(policy.minutes), order(policy))
        };
        out.hang("     ", &words);
    }
    if plan.steps.len() > 1 {
        let (less, but) =
            if plan.at_once.minutes < plan.minutes { (" (less than the plan)", "but") } else { ("", "and") };
        out.hang(
            "     ",
            &format!(
                "All of them in one cast: {}{less}, sound {}, {but} it teaches nothing. A sound cast would not tell \
                 which change did it, so all of them and all they spoil would have to stay; a bad one would not \
                 tell what to undo.",
                minutes(plan.at_once.minutes),
                percent(plan.at_once.solved)
            ),
        );
    }
}
