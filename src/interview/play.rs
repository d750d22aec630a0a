//! Which questions make sense now.

use super::standing::Standing;
use super::state::{Start, Step};
use crate::advice::Observation;
use crate::rules::{Finding, Question, QuestionKey, Reveals, RuleBase};
use crate::sheet::Field;

/// A defect is in play from this chance on, or when it was named.
const DEFECT_IN_PLAY: f64 = 0.08;
/// A sign that was not looked for is in play when it is likelier there than not.
const SIGN_IN_PLAY: f64 = 0.5;

/// The open questions, in the order of the rules. While nothing is known of the fault, only the question that most others
/// wait for: what kind it is.
pub(super) fn open(
    rules: &RuleBase,
    start: &Start,
    steps: &[Step],
    standing: &Standing<'_>,
) -> Vec<QuestionKey> {
    let asked = |key: QuestionKey| steps.iter().any(|s| s.question == key);
    let root = root(rules);
    if let Some(root) = root
        && !asked(root)
        && !standing.findings().iter().any(Observation::is_present)
    {
        return vec![root];
    }
    let settled = |key: QuestionKey| {
        asked(key)
            || settles(rules, rules.question(key), standing)
            || (Some(key) == root && standing.findings().iter().any(Observation::is_present))
    };
    rules
        .question_keys()
        .filter(|key| {
            let question = rules.question(*key);
            let figure = matches!(question.reveals, Reveals::Quantity(_));
            !settled(*key)
                && (start.figures || !figure)
                && (question.needs.is_empty() || question.needs.iter().any(|n| in_play(*n, standing)))
                && question.after.iter().all(|before| settled(*before))
        })
        .collect()
}

/// The question that most others wait for.
fn root(rules: &RuleBase) -> Option<QuestionKey> {
    let waiting = |key: QuestionKey| rules.questions.iter().filter(|q| q.after.contains(&key)).count();
    rules.question_keys().max_by_key(|key| (waiting(*key), std::cmp::Reverse(*key)))
}

/// Whether what the question would tell is known already.
fn settles(rules: &RuleBase, question: &Question, standing: &Standing<'_>) -> bool {
    let sheet = standing.sheet();
    match &question.reveals {
        Reveals::Signs { answers, many } => {
            let said = |s| standing.findings().iter().find(|o| o.finding == Finding::Sign(s));
            let seen = answers
                .iter()
                .flat_map(|a| &a.present)
                .any(|s| said(*s).is_some_and(Observation::is_present));
            let mut all = answers.iter().flat_map(|a| a.present.iter().chain(&a.absent)).peekable();
            (!many && seen) || (all.peek().is_some() && all.all(|s| said(*s).is_some()))
        }
        Reveals::Quantity(quantity) => {
            Field::find(rules.quantity(*quantity).id).is_some_and(|f| sheet.get(f).is_some())
        }
        Reveals::Fact(fact) => standing.model().context.value(*fact).is_some(),
        Reveals::Alloy => sheet.alloy.is_some(),
    }
}

fn in_play(finding: Finding, standing: &Standing<'_>) -> bool {
    let said = standing.findings().iter().find(|o| o.finding == finding);
    match (finding, said) {
        (_, Some(o)) if o.is_present() => true,
        (Finding::Defect(d), _) => standing.defect_chance(d) >= DEFECT_IN_PLAY,
        (Finding::Sign(_), Some(_)) => false,
        (Finding::Sign(s), None) => standing.sign_chance(s) >= SIGN_IN_PLAY,
    }
}
