//! Questions and what their answers mean.

use super::common::Reader;
use crate::document::{Code, Diagnostic, Node, Record};
use crate::rules::model::{Answer, By, Finding, Question, Reveals};
use crate::units::{Dimension, Seconds};

pub(super) fn question(r: &mut Reader<'_>, node: &Node) -> Option<Question> {
    let mut record = r.open(node, "question")?;
    let id = r.need(&mut record, "id");
    let ask = r.need(&mut record, "ask");
    let look = r.need(&mut record, "look");
    let effort = record.need("effort", r.problems).and_then(|n| r.quantity(n, Dimension::Duration));
    let by = r.choice(&mut record, "by", &By::WORDS);
    let needs =
        record.texts("needs", r.problems).into_iter().filter_map(|(t, span)| finding(r, t, span)).collect();
    let after = record
        .texts("after", r.problems)
        .into_iter()
        .filter_map(|(t, span)| r.question_key(t, span))
        .collect();
    let told_by =
        record.texts("told-by", r.problems).into_iter().filter_map(|(t, span)| r.defect(t, span)).collect();
    let reveals = reveals(r, &mut record);
    let basis = match record.take("basis") {
        Some(n) => r.basis(n)?,
        None => crate::rules::model::Basis::CommonPractice,
    };
    record.finish(r.problems);
    Some(Question {
        id: id?,
        ask: ask?,
        look: look?,
        effort: Seconds::new(effort?),
        by: by?,
        needs,
        after,
        told_by,
        reveals: reveals?,
        basis,
    })
}

fn finding(r: &mut Reader<'_>, text: &str, span: crate::document::Span) -> Option<Finding> {
    if r.is_defect(text) {
        r.defect(text, span).map(Finding::Defect)
    } else {
        r.sign(text, span).map(Finding::Sign)
    }
}

fn reveals(r: &mut Reader<'_>, record: &mut Record<'_>) -> Option<Reveals> {
    let field = record.take("field");
    let answers = record.take("answers");
    let many = r.text(record, "many").is_some_and(|t| t == "true" || t == "yes");
    match (field, answers) {
        (Some(node), None) => {
            let text = r.scalar(node)?;
            if text == "alloy" {
                return Some(Reveals::Alloy);
            }
            if let Some(fact) = r.find_fact(text) {
                return Some(Reveals::Fact(fact));
            }
            let key = r.quantity_key(node)?;
            if r.is_recorded(key) {
                return Some(Reveals::Quantity(key));
            }
            r.problems.push(
                Diagnostic::error(
                    Code::BadChoice,
                    r.span(node),
                    format!("`{text}` is computed, and cannot be asked"),
                )
                .help("ask for a field of the process sheet"),
            );
            None
        }
        (None, Some(node)) => {
            let answers = r.list(node).iter().filter_map(|n| answer(r, n)).collect();
            Some(Reveals::Signs { answers, many })
        }
        _ => {
            r.problems.push(
                Diagnostic::error(
                    Code::WrongShape,
                    record.head(),
                    "a question has either `answers` or a `field`",
                )
                .help("write `answers: [{say: ..., present: [...]}]`, or `field: flask.temperature`"),
            );
            None
        }
    }
}

fn answer(r: &mut Reader<'_>, node: &Node) -> Option<Answer> {
    let mut record = r.open(node, "answer")?;
    let say = r.need(&mut record, "say");
    let also = r.texts(&mut record, "also");
    let present = record.texts("present", r.problems).into_iter().filter_map(|(t, s)| r.sign(t, s)).collect();
    let absent = record.texts("absent", r.problems).into_iter().filter_map(|(t, s)| r.sign(t, s)).collect();
    record.finish(r.problems);
    Some(Answer { say: say?, also, present, absent })
}
