//! Time from an answer to the next question, at the shipped rules.

use aftercast::interview::{Interview, Next, Said, Start};
use aftercast::rules::{QuestionKey, Reveals, RuleBase};
use aftercast::sheet::catalogue;
use divan::{Bencher, black_box};

fn main() {
    divan::main();
}

/// The first answer that says something.
fn answer(rules: &RuleBase, question: QuestionKey) -> Said {
    match &rules.question(question).reveals {
        Reveals::Signs { .. } => Said::Picked { answers: vec![0], sure: true },
        Reveals::Fact(_) => Said::Value(0),
        _ => Said::Unknown,
    }
}

/// An interview with some answers, and the next one.
fn after(rules: &RuleBase, count: usize) -> (Interview<'_>, QuestionKey) {
    let Ok(mut interview) = Interview::new(rules, Start::default()) else { std::process::exit(1) };
    loop {
        let question = match interview.next() {
            Next::Ask(chosen) => Some(chosen.worth.question),
            Next::Stop(_) => interview.worths().first().map(|w| w.question),
        };
        let Some(question) = question else { std::process::exit(1) };
        if interview.steps().len() == count {
            return (interview, question);
        }
        if interview.answer(question, answer(rules, question)).is_err() {
            let _ = interview.answer(question, Said::Skipped);
        }
    }
}

#[divan::bench(args = [0, 1, 2, 4, 8, 11], sample_count = 10)]
fn next_question(bencher: Bencher<'_, '_>, answers: usize) {
    let rules = aftercast::rules::shipped(&catalogue()).rules;
    bencher.with_inputs(|| after(&rules, answers)).bench_local_values(|(mut interview, question)| {
        let _ = interview.answer(question, answer(&rules, question));
        black_box(interview.next())
    });
}
