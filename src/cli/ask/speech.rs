//! Free words in the interview: what they state, and what has to be asked back.

use crate::advice::{Observation, Sureness};
use crate::cli::diagnose::understood::Taken;
use crate::cli::diagnose::words::observation;
use crate::interview::{Interview, Told, Turn};
use crate::rules::RuleBase;
use crate::rules::words::{Doubt, Perhaps, Understood, Words};
use std::cell::OnceCell;

/// What may be meant is asked back for so many findings of a line, best first.
const ASKED_BACK: usize = 4;

/// Understands the caster's own words.
pub(super) struct Hearing<'a> {
    rules: &'a RuleBase,
    /// Made when it is first needed: most interviews do without.
    words: OnceCell<Words<'a>>,
}

impl<'a> Hearing<'a> {
    pub(super) fn new(rules: &'a RuleBase) -> Self {
        Self { rules, words: OnceCell::new() }
    }

    /// What a line says; `None` if nothing in it means anything here.
    pub(super) fn understand(&self, text: &str) -> Option<Understood> {
        let understood = self.words.get_or_init(|| Words::new(self.rules)).understand(text);
        (!nothing(&understood)).then_some(understood)
    }

    /// What is taken over from it, with what is to be asked back.
    pub(super) fn hear(
        &self,
        interview: &Interview<'_>,
        words: &str,
        mut understood: Understood,
    ) -> (Told, Taken) {
        let findings: Vec<Observation> = understood.stated.iter().map(observation).collect();
        // What was said of a finding before needs no asking, unless the words may deny it; nor what is being asked already.
        let known = interview.standing().findings();
        let turns = interview.turns();
        let asked: Vec<&Perhaps> = turns.iter().filter_map(Turn::told).flat_map(|t| &t.perhaps).collect();
        let is_asked = |p: &Perhaps| asked.iter().any(|other| other.finding == p.finding);
        let mut perhaps = std::mem::take(&mut understood.perhaps);
        perhaps.retain(|p| !is_asked(p) && (denies(p) || !known.iter().any(|o| o.finding == p.finding)));
        perhaps.truncate(ASKED_BACK);
        let mut sheet = interview.standing().sheet().clone();
        let taken = Taken::new(self.rules, understood, &findings, &mut sheet);
        let told = Told {
            words: words.trim().to_owned(),
            findings,
            alloy: taken.alloy(),
            facts: taken.facts(),
            figures: taken.figures(self.rules),
            perhaps,
        };
        (told, taken)
    }
}

/// True where nothing in a line means anything here.
pub(super) fn nothing(understood: &Understood) -> bool {
    let Understood { stated, perhaps, alloys, facts, suspected, readings, .. } = understood;
    stated.is_empty()
        && perhaps.is_empty()
        && alloys.is_empty()
        && facts.is_empty()
        && suspected.is_empty()
        && readings.is_empty()
}

/// What a reply to "is this meant" says: `None` if it is no such reply, `Some(None)` if the finding is left out.
pub(super) fn meant(perhaps: &Perhaps, reply: &str) -> Option<Option<Observation>> {
    let how = match reply.trim().to_lowercase().as_str() {
        "yes" | "y" => Some(Sureness::Seen),
        "probably" | "maybe" | "perhaps" => Some(Sureness::Probably),
        // Where the words themselves deny something, a no denies it; else it only says that it was not meant.
        "no" | "n" if denies(perhaps) => Some(Sureness::Absent),
        "no" | "n" | "?" | "don't know" | "dont know" | "no idea" => None,
        _ => return None,
    };
    Some(how.map(|how| Observation { finding: perhaps.finding, how }))
}

/// True where the words speak of the finding for sure, and only not clearly of whether it is there.
pub(super) fn denies(perhaps: &Perhaps) -> bool {
    matches!(perhaps.doubt, Doubt::UnclearNo | Doubt::BothWays | Doubt::Excluded)
}
