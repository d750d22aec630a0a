//! What an answer would do to the causes: worked out as if it had been given, so that what is promised is what happens.

use super::outcome::outcomes;
use super::standing::ranking;
use super::state::{Interview, Step};
use crate::advice::Observation;
use crate::rules::{CauseKey, QuestionKey};

/// A cause that moves by less is not named.
const LEAST: f64 = 0.03;

/// The chance that a cause had a hand in what was seen, before and after.
pub type Moved = (CauseKey, f64, f64);

/// What one answer would do.
#[derive(Debug, Clone, PartialEq)]
pub struct Effect {
    /// The answer.
    pub step: Step,
    /// In words.
    pub words: String,
    /// How likely it is.
    pub chance: f64,
    /// Causes that it moves most. `None`: the answer does not go with what was said before.
    pub moves: Option<Vec<Moved>>,
}

impl Interview<'_> {
    /// What each answer to a question would do, in the order of its answers.
    pub fn effects(&self, question: QuestionKey, most: usize) -> Vec<Effect> {
        let all = outcomes(self.standing(), question).into_iter();
        all.map(|outcome| {
            let chance = outcome.chance();
            let step = Step { question, said: outcome.said };
            let moves = self.moves(self.known_after(&step), most);
            Effect { step, words: outcome.words, chance, moves }
        })
        .collect()
    }

    /// What it would do if something that was told was meant so.
    pub fn effect_of_meaning(&self, meant: Observation, most: usize) -> Option<Vec<Moved>> {
        self.moves(self.known_with(meant), most)
    }

    fn moves(&self, known: super::state::Known, most: usize) -> Option<Vec<Moved>> {
        let after = ranking(self.rules(), &known.sheet, &known.findings).ok()?;
        let chance = |cause: CauseKey| after.iter().find(|s| s.cause == cause).map_or(0.0, |s| s.had_a_hand);
        let now = self.standing().causes().iter();
        let mut moves: Vec<Moved> = now.map(|s| (s.cause, s.had_a_hand, chance(s.cause))).collect();
        moves.retain(|(_, before, after)| (after - before).abs() >= LEAST);
        moves.sort_by(|a, b| (b.2 - b.1).abs().total_cmp(&(a.2 - a.1).abs()).then(a.0.cmp(&b.0)));
        moves.truncate(most);
        Some(moves)
    }
}
