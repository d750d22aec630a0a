//! The result screen.

use crate::advice::findings::lower_first;
use crate::advice::{Diagnosis, Missing, Model, Observation, RankedCause, RankedRemedy, Reason, Sureness};
use crate::cli::output::{Out, bar, factor_words, percent};
use crate::cli::style::{CAUTION, HEADING, paint};
use crate::rules::{Change, DefectKey, RuleBase};
use crate::sheet::Sheet;
use crate::units::Dimension;

/// How many reasons a side gets.
const REASONS: usize = 4;
/// From which share on the program says that it may not know.
const MAY_NOT_KNOW: f64 = 0.2;
/// Findings that make each other this much less likely deserve a warning: e to the one.
const STRANGE: f64 = 1.0;

pub(in crate::cli) fn print(
    model: &Model<'_>,
    sheet: &Sheet,
    observations: &[Observation],
    diagnosis: &Diagnosis,
    missing: &[Missing],
    top: usize,
    out: &mut Out,
) {
    let rules = model.rules;
    job(rules, sheet, observations, out);
    doubts(diagnosis, out);
    out.line(paint(HEADING, "Likely causes"));
    for (at, cause) in diagnosis.causes.iter().take(top).enumerate() {
        one_cause(rules, at + 1, cause, out);
    }
    out.gap();
    defects(rules, diagnosis, out);
    remedies(rules, diagnosis, top, out);
    would_tell(rules, missing, out);
    closing(out);
}

fn job(rules: &RuleBase, sheet: &Sheet, observations: &[Observation], out: &mut Out) {
    let alloy = sheet.alloy_words(rules).unwrap_or_else(|| "alloy not named".to_owned());
    let figures = sheet.figures.len() + sheet.facts.len();
    let s = if figures == 1 { "" } else { "s" };
    out.hang("", &format!("{alloy}; {figures} figure{s} on the sheet"));
    for observation in observations {
        out.hang("  ", &observation.words(rules));
    }
    out.gap();
}

/// What the reader should doubt before reading on.
fn doubts(diagnosis: &Diagnosis, out: &mut Out) {
    let before = diagnosis.none_known >= MAY_NOT_KNOW;
    if before {
        out.hang(
            "",
            &format!(
                "None of these? {} that no cause known here made what you saw. The list below may be beside \
                 the point: look for something that happened to the piece after casting, or that these rules \
                 do not know.",
                percent(diagnosis.none_known)
            ),
        );
        out.gap();
    }
    if diagnosis.conflict >= STRANGE {
        out.hang(
            "",
            &format!(
                "These findings rarely go together ({} times less often than by chance): there may be two \
                 faults at once, or one finding is mistaken.",
                crate::units::figures(diagnosis.conflict.exp(), 2)
            ),
        );
        out.gap();
    }
    if !diagnosis.left_out.is_empty() {
        out.hang(
            "",
            &format!(
                "Too many findings hang together for an exact answer. Left out: {}. The figures below are \
                 approximate.",
                diagnosis.left_out.join("; ")
            ),
        );
        out.gap();
    }
}

fn one_cause(rules: &RuleBase, number: usize, ranked: &RankedCause, out: &mut Out) {
    let cause = rules.cause(ranked.cause);
    let lead = format!("{number:>3}. [{}] {:>9}  ", bar(ranked.probability, 10), percent(ranked.probability));
    out.hang(&lead, &cause.title);
    reasons("for", &ranked.supports, out);
    reasons("against", &ranked.opposes, out);
    if ranked.supports.is_empty() {
        out.hang("     ", "nothing seen speaks for it in particular; it is common");
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
    let likely = diagnosis.defects.iter().filter(|d| d.probability >= 0.1).take(4);
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
    out.gap();
}

/// A look-alike that is at least half as likely as what was named.
fn rival(rules: &RuleBase, diagnosis: &Diagnosis, named: DefectKey, probability: f64, out: &mut Out) {
    let defect = rules.defect(named);
    let rivals =
        diagnosis.defects.iter().filter(|d| d.probability >= 0.1 && d.probability >= probability / 2.0);
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
    out.line(paint(HEADING, "What to change first (one change at a time)"));
    if diagnosis.remedies.is_empty() {
        out.hang("     ", "No remedy known here would gain enough to be worth a re-cast.");
    }
    for (at, ranked) in diagnosis.remedies.iter().take(top).enumerate() {
        one_remedy(rules, at + 1, ranked, out);
    }
    if let Some(first) = diagnosis.remedies.first() {
        let trouble: Vec<String> =
            diagnosis.trouble.iter().map(|d| lower_first(&rules.defect(*d).title)).collect();
        out.hang(
            "     ",
            &format!(
                "Sound next time: the chance that a re-cast is free of {}; with nothing changed {}.",
                trouble.join(", "),
                percent(first.success.before)
            ),
        );
    }
    out.gap();
}

fn one_remedy(rules: &RuleBase, number: usize, ranked: &RankedRemedy, out: &mut Out) {
    let remedy = rules.remedy(ranked.remedy);
    out.hang(&format!("{number:>3}. "), &remedy.title);
    out.hang("     ", &remedy.change);
    if let Some(words) = step_words(ranked) {
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
    for (defect, chance) in ranked.spoils.iter().take(3) {
        out.hang(
            "     may spoil: ",
            &format!(
                "{}, {} -> {}",
                lower_first(&rules.defect(*defect).title),
                percent(chance.before),
                percent(chance.after)
            ),
        );
    }
    for key in &remedy.cautions {
        let caution = rules.caution(*key);
        let lead = "     caution: ";
        let text = format!("{}: {}", caution.hazard.trim_end_matches('.'), caution.advice);
        let mut block = Out::new();
        block.hang(lead, &text);
        out.line(block.into_text().trim_end().replacen("caution:", &paint(CAUTION, "caution:"), 1));
    }
}

/// The sheet's own figure and what it becomes.
pub(in crate::cli) fn step_words(ranked: &RankedRemedy) -> Option<String> {
    let step = ranked.step?;
    let dimension = step.field.dimension();
    let show = |v: f64| dimension.show(v);
    Some(match (step.from, step.to) {
        (Some(from), Some(to)) => format!("{} {} -> {}", step.field.title(), show(from), show(to)),
        (None, Some(to)) => format!("{} {} (not recorded now)", step.field.title(), show(to)),
        (_, None) => {
            let by = match step.change {
                Change::By(by) => by,
                Change::To(_) => return None,
            };
            let difference = if dimension == Dimension::Temperature { Dimension::Span } else { dimension };
            let sign = if by >= 0.0 { "+" } else { "" };
            format!("{} {sign}{} (not recorded now)", step.field.title(), difference.show(by))
        }
    })
}

/// Lines for figures that are not on the sheet.
const MISSING: usize = 2;

/// Which figure that is not on the sheet would move the ranking most.
fn would_tell(rules: &RuleBase, missing: &[Missing], out: &mut Out) {
    if missing.is_empty() {
        return;
    }
    out.line(paint(HEADING, "Not on the sheet, and would tell most"));
    for one in missing.iter().take(MISSING) {
        let cause = lower_first(&rules.cause(one.cause).title);
        out.hang(
            "     ",
            &format!(
                "{}: may move \"{cause}\" by about {} points",
                one.what.title(rules),
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
