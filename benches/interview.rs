//! Time from an answer to the next question: at the shipped rules, and at rules ten times as many.

use aftercast::interview::{Interview, Next, Said, Start};
use aftercast::rules::{
    CauseKey, DefectKey, Finding, Question, QuestionKey, RemedyKey, Reveals, RuleBase, SignKey, shipped,
};
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

/// The rules with every cause, defect, sign, question and remedy so many times. The kinds of fault and the question for
/// them stay one of each, so that every copy competes to explain the same holes, cracks and skins; so do the questions of
/// the sheet, which has its fields but once.
fn many(rules: &RuleBase, times: usize) -> RuleBase {
    let Some(root) = rules.find_question("kind-of-fault") else { std::process::exit(1) };
    let Reveals::Signs { answers, .. } = &rules.question(root).reveals else { std::process::exit(1) };
    let kinds: Vec<SignKey> = answers.iter().flat_map(|a| a.present.iter().copied()).collect();
    let mut all = rules.clone();
    for copy in 1..times {
        let cause = |k: CauseKey| CauseKey::from_index(k.index() + copy * rules.causes.len());
        let defect = |k: DefectKey| DefectKey::from_index(k.index() + copy * rules.defects.len());
        let remedy = |k: RemedyKey| RemedyKey::from_index(k.index() + copy * rules.remedies.len());
        let sign = |k: SignKey| {
            if kinds.contains(&k) { k } else { SignKey::from_index(k.index() + copy * rules.signs.len()) }
        };
        let mut next = all.questions.len();
        let copied = |one: &Question| {
            matches!(one.reveals, Reveals::Signs { .. }) && one.id != rules.question(root).id
        };
        let places: Vec<Option<usize>> = rules
            .questions
            .iter()
            .map(|one| {
                copied(one).then(|| {
                    next += 1;
                    next - 1
                })
            })
            .collect();
        let question = |k: QuestionKey| places[k.index()].map_or(k, QuestionKey::from_index);
        let name = |id: &str| format!("{id}-{copy}");
        for one in &rules.causes {
            let mut one = one.clone();
            one.id = name(&one.id);
            one.setting = one.setting.as_deref().map(name);
            one.produces.iter_mut().for_each(|l| l.to = defect(l.to));
            one.shows.iter_mut().for_each(|l| l.to = sign(l.to));
            all.causes.push(one);
        }
        for one in &rules.defects {
            let mut one = one.clone();
            one.id = name(&one.id);
            one.look_alikes.iter_mut().for_each(|l| l.defect = defect(l.defect));
            one.shows.iter_mut().for_each(|l| l.to = sign(l.to));
            all.defects.push(one);
        }
        for one in &rules.signs {
            let mut one = one.clone();
            one.id = name(&one.id);
            one.excludes.iter_mut().for_each(|s| *s = sign(*s));
            all.signs.push(one);
        }
        for one in rules.questions.iter().filter(|one| copied(one)) {
            let mut one = one.clone();
            one.id = name(&one.id);
            one.after.iter_mut().for_each(|q| *q = question(*q));
            one.told_by.iter_mut().for_each(|d| *d = defect(*d));
            one.needs.iter_mut().for_each(|n| {
                *n = match *n {
                    Finding::Defect(d) => Finding::Defect(defect(d)),
                    Finding::Sign(s) => Finding::Sign(sign(s)),
                }
            });
            if let Reveals::Signs { answers, .. } = &mut one.reveals {
                let all = answers.iter_mut().flat_map(|a| a.present.iter_mut().chain(&mut a.absent));
                all.for_each(|s| *s = sign(*s));
            }
            all.questions.push(one);
        }
        for one in &rules.remedies {
            let mut one = one.clone();
            one.id = name(&one.id);
            one.cures.iter_mut().chain(&mut one.spoils).for_each(|l| l.to = cause(l.to));
            all.remedies.push(one);
        }
        for one in &rules.trade_offs {
            let mut one = one.clone();
            one.id = name(&one.id);
            one.remedy = remedy(one.remedy);
            one.helps.iter_mut().chain(&mut one.hurts).for_each(|d| *d = defect(*d));
            all.trade_offs.push(one);
        }
    }
    all
}

fn run(bencher: Bencher<'_, '_>, rules: &RuleBase, answers: usize) {
    bencher.with_inputs(|| after(rules, answers)).bench_local_values(|(mut interview, question)| {
        let _ = interview.answer(question, answer(rules, question));
        black_box(interview.next())
    });
}

#[divan::bench(args = [0, 1, 2, 4, 8, 11], sample_count = 20)]
fn next_question(bencher: Bencher<'_, '_>, answers: usize) {
    run(bencher, &shipped(&catalogue()).rules, answers);
}

#[divan::bench(args = [0, 1, 2, 4, 8, 11], sample_count = 5)]
fn next_question_at_ten_times_the_rules(bencher: Bencher<'_, '_>, answers: usize) {
    run(bencher, &many(&shipped(&catalogue()).rules, 10), answers);
}
