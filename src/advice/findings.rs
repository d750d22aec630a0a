//! What was seen, as the caster says it, and what that means to the network.

use crate::inference::Likelihood;
use crate::rules::{Finding, RuleBase};

/// How surely something was seen or missed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Sureness {
    /// Seen. Of a defect: called so by eye.
    Seen,
    /// Seen, but not surely.
    Probably,
    /// Looked for and not there.
    Absent,
    /// Not there, because a sign that was seen leaves no room for it.
    RuledOut,
    /// A defect that is beyond doubt: proved by section or analysis.
    Certain,
}

impl Sureness {
    /// The pair of likelihoods it stands for. "Probably" multiplies the odds by four: said of what is there four
    /// times as often as of what is not (graded by hand).
    pub(super) fn likelihood(self) -> Likelihood {
        match self {
            Self::Seen | Self::Certain => Likelihood::YES,
            Self::Absent | Self::RuledOut => Likelihood::NO,
            Self::Probably => Likelihood::soft(0.2, 0.8).unwrap_or(Likelihood::YES),
        }
    }

    /// The word that stands before the finding in an explanation.
    pub fn verb(self, finding: Finding) -> &'static str {
        match (self, finding) {
            (Self::Seen, Finding::Sign(_)) => "saw",
            (Self::Seen, Finding::Defect(_)) => "called",
            (Self::Probably, Finding::Sign(_)) => "probably saw",
            (Self::Probably, Finding::Defect(_)) => "probably called",
            (Self::Absent, _) => "looked for and did not find",
            (Self::RuledOut, _) => "ruled out by that:",
            (Self::Certain, _) => "certainly",
        }
    }
}

/// One thing said about one finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Observation {
    /// What it is about.
    pub finding: Finding,
    /// How surely.
    pub how: Sureness,
}

impl Observation {
    /// True when it says that the finding is there.
    pub fn is_present(&self) -> bool {
        !matches!(self.how, Sureness::Absent | Sureness::RuledOut)
    }

    /// In words: `saw round pores with smooth walls`.
    pub fn words(&self, rules: &RuleBase) -> String {
        format!("{} {}", self.how.verb(self.finding), lower_first(title(rules, self.finding)))
    }
}

/// Adds the signs that others rule out: holes that are angular are not round. What was said stays as it was said.
pub fn with_ruled_out(rules: &RuleBase, mut observations: Vec<Observation>) -> Vec<Observation> {
    let seen: Vec<Observation> = observations.iter().filter(|o| o.how == Sureness::Seen).copied().collect();
    for observation in seen {
        let Finding::Sign(sign) = observation.finding else { continue };
        for other in &rules.sign(sign).excludes {
            let finding = Finding::Sign(*other);
            if !observations.iter().any(|o| o.finding == finding) {
                observations.push(Observation { finding, how: Sureness::RuledOut });
            }
        }
    }
    observations
}

/// The title of a finding.
pub fn title(rules: &RuleBase, finding: Finding) -> &str {
    match finding {
        Finding::Defect(k) => &rules.defect(k).title,
        Finding::Sign(k) => &rules.sign(k).title,
    }
}

/// The id of a finding.
pub fn id(rules: &RuleBase, finding: Finding) -> &str {
    match finding {
        Finding::Defect(k) => &rules.defect(k).id,
        Finding::Sign(k) => &rules.sign(k).id,
    }
}

/// A title inside a sentence. Chemical symbols and abbreviations keep their capitals.
pub fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    match (chars.next(), chars.clone().next()) {
        (Some(first), Some(second)) if second.is_lowercase() || second == ' ' => {
            first.to_lowercase().chain(chars).collect()
        }
        _ => text.to_owned(),
    }
}
