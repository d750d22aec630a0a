//! The result screen.

use super::plan;
use crate::advice::findings::lower_first;
use crate::advice::{
    Diagnosis, Missing, Model, Observation, RankedCause, RankedRemedy, Reason, Sureness, Unrecorded,
};
use crate::cli::output::{Out, bar, factor_words, from_to, percent};
use crate::cli::style::{CAUTION, HEADING, paint};
use crate::report::words::{Closer, doubt_words, idle_words, step_words};
use crate::rules::{CautionKey, DefectKey, RuleBase};
use crate::sheet::Sheet;
use crate::units::Dimension;

/// How many reasons a side gets.
const REASONS: usize = 4;

/// From which chance before the cast on a cause is called common.
const COMMON: f64 = 0.02;
/// A fault that nothing seen speaks of is worth a look from this chance on.
const BESIDES: f64 = 0.4;

/// What stands around the diagnosis on the screen.
pub(in crate::cli) struct Around<'a> {
    /// Figures that the sheet lacks.
    pub(in crate::cli) missing: &'a [Missing],
    /// How many causes and remedies to show.
    pub(in crate::cli) top: usize,
    /// What of these figures was asked for already, and not known.
    pub(in crate::cli) asked: Vec<Unrecorded>,
    /// How more can be found out.
    pub(in crate::cli) closer: Closer,
}

pub(in crate::cli) fn print(
    model: &Model<'_>,
    sheet: &Sheet,
    observations: &[Observation],
    diagnosis: &Diagnosis,
    around: &Around<'_>,
    out: &mut Out,
) {
    let Around { missing, top, ref closer, ref asked } = *around;
    let rules = model.rules;
    job(rules, sheet, observations, out);
    if observations.iter().any(Observation::is_present) {
        doubts(diagnosis, closer, out);
    } else {
        out.hang("", "You named nothing that is there, only what is not: say what is wrong with the piece.");
        out.gap();
    }
    causes(rules, diagnosis, top, out);
    defects(rules, diagnosis, out);
    remedies(rules, diagnosis, top, out);
    plan::print(rules, diagnosis, closer, out);
    would_tell(rules, missing, asked, out);
    closing(out);
}

/// The ranking with what speaks for and against.
pub(in crate::cli) fn causes(rules: &RuleBase, diagnosis: &Diagnosis, top: usize, out: &mut Out) {
    out.line(paint(HEADING, "Likely causes"));
    for (at, cause) in diagnosis.causes.iter().take(top).enumerate() {
        one_cause(rules, at + 1, cause, out);
    }
    out.gap();
}

fn job(rules: &RuleBase, sheet: &Sheet, observations: &[Observation], out: &mut Out) {
    let alloy = sheet.alloy_heading(rules);
    let figures = sheet.figures.len() + sheet.facts.len();
    let s = if figures == 1 { "" } else { "s" };
    out.hang("", &format!("{alloy}; {figures} figure{s} on the sheet"));
    for observation in observations {
        out.hang("  ", &observation.words(rules));
    }
    out.gap();
}

/// What the reader should doubt before reading on.
fn doubts(diagnosis: &Diagnosis, closer: &Closer, out: &mut Out) {
    for doubt in doubt_words(diagnosis, closer) {
        out.hang("", &doubt);
        out.gap();
    }
}

fn one_cause(rules: &RuleBase, number: usize, ranked: &RankedCause, out: &mut Out) {
    let cause = rules.cause(ranked.cause);
    let lead = format!("{number:>3}. [{}] {:>9}  ", bar(ranked.had_a_hand, 10), percent(ranked.had_a_hand));
    out.hang(&lead, &cause.title);
    if let Some(idle) = idle_words(ranked) {
        out.hang("     ", &idle);
    }
    reasons("for", &ranked.supports, out);
    reasons("against", &ranked.opposes, out);
    if ranked.supports.is_empty() {
        let common = if ranked.prior >= COMMON { "; it is common" } else { "" };
        out.hang("     ", &format!("nothing seen speaks for it in particular{common}"));
    }
}

fn reasons(side: &str, all: &[Reason], out: &mut Out) {
    for (at, reason) in all.iter().take(REASONS).enumerate() {
        let lead = format!("     {:<8}", if at == 0 { side } else { "" });
        let weak = reason.weak.map_or_else(String::new, |w| format!(" (rough: {w})"));
        out.hang(&lead, &format!("{}: {}{weak}", reason.words, factor_words(reason.ln)));
    }
    if all.len() > REASONS {
        out.line(format!("     {:<8}and {} more", "", all.len() - REASONS));
    }
}

/// What is really there, and how to tell look-alikes from what was named.
fn defects(rules: &RuleBase, diagnosis: &Diagnosis, out: &mut Out) {
    out.line(paint(HEADING, "What it is"));
    let likely = diagnosis.defects.iter().filter(|d| d.explains && d.probability >= 0.1).take(4);
    for ranked in likely {
        let defect = rules.defect(ranked.defect);
        let said = match ranked.said {
            Some(Sureness::Certain) => " (certain)",
            Some(Sureness::Absent | Sureness::RuledOut) => " (looked for and not found)",
            Some(_) => " (as you called it)",
            None => "",
        };
        let lead = format!("     [{}] {:>9}  ", bar(ranked.probability, 10), percent(ranked.probability));
        out.hang(&lead, &format!("{}{said}", defect.title));
    }
    for ranked in
        diagnosis.defects.iter().filter(|d| matches!(d.said, Some(Sureness::Seen | Sureness::Probably)))
    {
        rival(rules, diagnosis, ranked.defect, ranked.probability, out);
    }
    let besides: Vec<String> = diagnosis
        .defects
        .iter()
        .filter(|d| !d.explains && d.probability >= BESIDES)
        .take(3)
        .map(|d| format!("{} ({})", lower_first(&rules.defect(d.defect).title), percent(d.probability)))
        .collect();
    if !besides.is_empty() {
        out.hang("     ", &format!("Look also for what these causes bring besides: {}.", besides.join(", ")));
    }
    out.gap();
}

/// A look-alike that is at least half as likely as what was named.
fn rival(rules: &RuleBase, diagnosis: &Diagnosis, named: DefectKey, probability: f64, out: &mut Out) {
    let defect = rules.defect(named);
    let rivals = diagnosis
        .defects
        .iter()
        .filter(|d| d.explains && d.probability >= 0.1 && d.probability >= probability / 2.0)
        .take(3);
    for other in rivals {
        let Some(alike) = defect.look_alikes.iter().find(|a| a.defect == other.defect) else { continue };
        let how = if other.probability >= probability { "likelier" } else { "nearly as likely" };
        out.hang(
            "     ",
            &format!(
                "You called it {}; {} is {how}. To tell: {}.",
                lower_first(&defect.title),
                lower_first(&rules.defect(other.defect).title),
                alike.apart.trim_end_matches('.')
            ),
        );
    }
}

fn remedies(rules: &RuleBase, diagnosis: &Diagnosis, top: usize, out: &mut Out) {
    out.line(paint(HEADING, "What to change first"));
    if diagnosis.remedies.is_empty() {
        out.hang("     ", "No remedy known here would gain enough to be worth a re-cast.");
    }
    let mut cautioned = Vec::new();
    for (at, ranked) in diagnosis.remedies.iter().take(top).enumerate() {
        one_remedy(rules, at + 1, ranked, &mut cautioned, out);
    }
    if let Some(first) = diagnosis.remedies.first() {
        let trouble: Vec<String> =
            diagnosis.trouble.iter().map(|d| lower_first(&rules.defect(*d).title)).collect();
        out.hang(
            "     ",
            &format!(
                "Sound next time: the chance that a re-cast is free of {}; with nothing changed {}.",
                trouble.join("; "),
                percent(first.success.before)
            ),
        );
    }
    out.gap();
}

fn one_remedy(
    rules: &RuleBase,
    number: usize,
    ranked: &RankedRemedy,
    cautioned: &mut Vec<CautionKey>,
    out: &mut Out,
) {
    let remedy = rules.remedy(ranked.remedy);
    out.hang(&format!("{number:>3}. "), &remedy.title);
    out.hang("     ", &remedy.change);
    if let Some(words) = ranked.step.and_then(step_words) {
        out.hang("     this sheet: ", &words);
    }
    out.hang(
        "     ",
        &format!(
            "sound next time {} (now {}); work {} and the re-cast",
            percent(ranked.success.after),
            percent(ranked.success.before),
            Dimension::Duration.show(remedy.effort.get())
        ),
    );
    out.hang("     against: ", &lower_first(&rules.cause(ranked.against).title));
    out.hang("     why: ", &remedy.because);
    for (lead, changes) in [("     eases: ", &ranked.eases), ("     may spoil: ", &ranked.spoils)] {
        for (defect, chance) in changes.iter().take(3) {
            out.hang(lead, &format!("{}, {}", lower_first(&rules.defect(*defect).title), from_to(*chance)));
        }
    }
    for key in &remedy.cautions {
        let caution = rules.caution(*key);
        let lead = "     caution: ";
        let hazard = caution.hazard.trim_end_matches('.');
        // In full where it first comes up; a screen full of the same words is not read.
        let text = if cautioned.contains(key) {
            format!("{hazard} (see above)")
        } else {
            cautioned.push(*key);
            format!("{hazard}: {}", caution.advice)
        };
        let mut block = Out::new();
        block.hang(lead, &text);
        out.line(block.into_text().trim_end().replacen("caution:", &paint(CAUTION, "caution:"), 1));
    }
}

/// A figure that moves its cause by less is not worth asking for.
const TELLING: f64 = 0.02;
/// Lines for figures that are not on the sheet.
const MISSING: usize = 2;

/// Which figure that is not on the sheet would move the ranking most.
fn would_tell(rules: &RuleBase, missing: &[Missing], asked: &[Unrecorded], out: &mut Out) {
    let telling: Vec<&Missing> = missing.iter().filter(|m| m.cause_change >= TELLING).take(MISSING).collect();
    if telling.is_empty() {
        return;
    }
    out.line(paint(HEADING, "Not on the sheet, and would tell most"));
    for one in telling {
        let cause = lower_first(&rules.cause(one.cause).title);
        out.hang(
            "     ",
            &format!(
                "{}{}: may move \"{cause}\" by about {} points",
                one.what.title(rules),
                if asked.contains(&one.what) { " (asked for, not known)" } else { "" },
                crate::units::round(one.cause_change * 100.0, 0)
            ),
        );
    }
    out.gap();
}

fn closing(out: &mut Out) {
    out.hang(
        "",
        "The percentages are the model's own: its strengths are graded by hand from common practice, not \
         counted. The equipment maker, local codes and licensed practice come first.",
    );
}
