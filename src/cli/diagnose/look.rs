//! What to look at where nothing stands out: the questions with which an interview would go on.

use crate::advice::{Diagnosis, Model, Observation};
use crate::interview::{Interview, Start};
use crate::report::words::stands_out;
use crate::rules::QuestionKey;
use crate::sheet::Sheet;

/// Questions named.
const QUESTIONS: usize = 2;

/// The best questions left; none where the first cause stands out.
pub(super) fn questions(
    model: &Model<'_>,
    sheet: &Sheet,
    observations: &[Observation],
    diagnosis: &Diagnosis,
) -> Vec<QuestionKey> {
    if stands_out(diagnosis) {
        return Vec::new();
    }
    // Figures are named by what is missing on the sheet.
    let findings = observations.to_vec();
    let start = Start { sheet: sheet.clone(), findings, figures: false, ..Start::default() };
    let interview = Interview::new(model.rules, start);
    interview.map_or_else(|_| Vec::new(), |i| best(&i))
}

/// The best questions that an interview has left.
pub(in crate::cli) fn best(interview: &Interview<'_>) -> Vec<QuestionKey> {
    interview.worths().iter().take(QUESTIONS).map(|w| w.question).collect()
}
