//! The caster's words to findings.

use super::Arguments;
use crate::advice::findings::{id, lower_first, title};
use crate::advice::{Observation, Sureness};
use crate::cli::failure::Failure;
use crate::rules::names::FindingNames;
use crate::rules::words::alarm::raised_by;
use crate::rules::words::{Certainty, Perhaps, Stated, Understood, Words};
use crate::rules::{Finding, RuleBase};

/// What was said with flags and in free words.
pub(super) struct Heard {
    pub(super) observations: Vec<Observation>,
    /// What was made of the free words, if there were any.
    pub(super) understood: Option<Understood>,
}

/// Everything that was said, in the order of the flags, then in free words; at least one finding.
pub(super) fn observations(arguments: &Arguments, rules: &RuleBase) -> Result<Heard, Failure> {
    let mut found = arguments.said.findings(rules)?;
    let line = arguments.words.join(" ");
    let understood = (!line.trim().is_empty()).then(|| Words::new(rules).understand(&line));
    if let Some(understood) = &understood {
        add_free(rules, understood, &mut found)?;
    }
    if found.is_empty() {
        return Err(understood.map_or_else(nothing_said, |u| nothing_understood(rules, &u)));
    }
    Ok(Heard { observations: found, understood })
}

/// What some flags say. Every word that is unknown is reported, not only the first.
pub(in crate::cli) fn gather(
    rules: &RuleBase,
    said: &[(&[String], Sureness)],
) -> Result<Vec<Observation>, Failure> {
    let names = FindingNames::new(rules);
    let mut found: Vec<Observation> = Vec::new();
    let mut unknown: Vec<String> = Vec::new();
    for &(phrases, how) in said {
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

/// What words state, as something seen or not seen.
pub(in crate::cli) fn observation(stated: &Stated) -> Observation {
    let how = match (stated.denied, stated.certainty) {
        (true, _) => Sureness::Absent,
        (false, Certainty::Sure) => Sureness::Seen,
        (false, Certainty::Likely) => Sureness::Probably,
    };
    Observation { finding: stated.finding, how }
}

/// Findings of the free words after those of the flags. What a flag says of a finding stands.
fn add_free(rules: &RuleBase, understood: &Understood, found: &mut Vec<Observation>) -> Result<(), Failure> {
    for stated in &understood.stated {
        let observation = observation(stated);
        match found.iter().find(|o| o.finding == stated.finding) {
            Some(flag) if flag.is_present() != observation.is_present() => {
                return Err(Failure::usage(format!(
                    "a flag and your words say opposite things of {}",
                    lower_first(title(rules, stated.finding))
                ))
                .with_help(format!("the words are `{}`; say it one way", shown(&stated.words))));
            }
            Some(_) => {}
            None => found.push(observation),
        }
    }
    Ok(())
}

fn nothing_said() -> Failure {
    Failure::usage("nothing was said of the casting")
        .with_help("say what you see: aftercast diagnose \"round holes after polishing\"")
        .with_help("or with flags: --defects pinholes, --signs \"round holes\"")
        .with_help("`aftercast diagnose --help` lists the flags")
}

pub(in crate::cli) fn nothing_understood(rules: &RuleBase, understood: &Understood) -> Failure {
    let failure = Failure::usage("nothing in these words is for sure a defect or a sign");
    let alarms = raised_by(rules, &understood.not_understood.join(" ")).into_iter();
    let acts = alarms.filter_map(|key| rules.caution(key).alarm.as_ref()).map(|alarm| &alarm.act);
    let failure = acts.fold(failure, |f, act| f.with_help(act));
    let failure = understood.perhaps.iter().fold(failure, |f, p| f.with_help(perhaps_words(rules, p)));
    let left: Vec<String> =
        understood.not_understood.iter().take(6).map(|w| format!("`{}`", shown(w))).collect();
    let failure = if left.is_empty() {
        failure
    } else {
        failure.with_help(format!("not understood: {}", left.join(", ")))
    };
    failure
        .with_help("say what is seen on the piece: holes, cracks, missing metal, extra metal, skin, colour")
}

/// `perhaps "thin ones": Thin parts missing; --signs thin-parts-missing counts it`.
pub(super) fn perhaps_words(rules: &RuleBase, perhaps: &Perhaps) -> String {
    let flag = match perhaps.finding {
        Finding::Defect(_) => "--defects",
        Finding::Sign(_) => "--signs",
    };
    format!(
        "perhaps `{}`: {} ({}); give it with {flag} {} to count it",
        shown(&perhaps.words),
        lower_first(title(rules, perhaps.finding)),
        perhaps.doubt.words(),
        id(rules, perhaps.finding)
    )
}

/// The caster's words, short enough for a line.
pub(in crate::cli) fn shown(words: &str) -> String {
    const LONGEST: usize = 60;
    let mut text: String =
        words.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).take(LONGEST).collect();
    if words.chars().count() > LONGEST {
        text.push_str("...");
    }
    text
}

fn unknown_words(names: &FindingNames<'_>, phrase: &str) -> String {
    let phrase = shown(phrase);
    let near = names.near(&phrase, 4);
    if near.is_empty() {
        format!("`{phrase}`: nothing like it is known")
    } else {
        format!("`{phrase}`: nearest are {}", near.join(", "))
    }
}
