//! The caster's words to findings.

use super::Said;
use crate::advice::{Observation, Sureness};
use crate::cli::failure::Failure;
use crate::rules::names::FindingNames;
use crate::rules::{Finding, RuleBase};

/// Everything that was said; something must be.
pub(super) fn observations(said: &Said, rules: &RuleBase) -> Result<Vec<Observation>, Failure> {
    let found = findings(said, rules)?;
    if found.is_empty() {
        return Err(Failure::usage("nothing was said of the casting")
            .with_help("say what you see: --defects pinholes, --signs \"round holes\"")
            .with_help("`aftercast diagnose --help` lists the flags"));
    }
    Ok(found)
}

/// Everything that was said, in the order of the flags. Every word that is unknown is reported, not only the first.
pub(super) fn findings(arguments: &Said, rules: &RuleBase) -> Result<Vec<Observation>, Failure> {
    let names = FindingNames::new(rules);
    let mut found: Vec<Observation> = Vec::new();
    let mut unknown: Vec<String> = Vec::new();
    let said = [
        (&arguments.certain, Sureness::Certain),
        (&arguments.defects, Sureness::Seen),
        (&arguments.signs, Sureness::Seen),
        (&arguments.probably, Sureness::Probably),
        (&arguments.absent, Sureness::Absent),
    ];
    for (phrases, how) in said {
        for phrase in phrases.iter().map(|p| p.trim()).filter(|p| !p.is_empty()) {
            let Some(finding) = names.find(phrase) else {
                unknown.push(unknown_words(&names, phrase));
                continue;
            };
            if how == Sureness::Certain && !matches!(finding, Finding::Defect(_)) {
                return Err(Failure::usage(format!("`{phrase}` is a sign; --certain takes defects"))
                    .with_help("a sign that you saw goes to --signs"));
            }
            let observation = Observation { finding, how };
            if let Some(other) = found.iter().find(|o| o.finding == finding && o.how != how) {
                let clash = other.is_present() != observation.is_present();
                if clash {
                    return Err(Failure::usage(format!("`{phrase}` is said both to be there and not to be"))
                        .with_help("leave it out of --absent or out of the other flag"));
                }
            }
            if !found.iter().any(|o| o.finding == finding) {
                found.push(observation);
            }
        }
    }
    if !unknown.is_empty() {
        let failure = Failure::usage("there are words here that mean no defect and no sign");
        return Err(unknown.into_iter().fold(failure, Failure::with_help));
    }
    Ok(found)
}

fn unknown_words(names: &FindingNames, phrase: &str) -> String {
    let near = names.near(phrase, 4);
    if near.is_empty() {
        format!("`{phrase}`: nothing like it is known")
    } else {
        format!("`{phrase}`: nearest are {}", near.join(", "))
    }
}
