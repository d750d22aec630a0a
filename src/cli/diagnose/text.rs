//! The result screen.

use super::plan;
use crate::advice::findings::lower_first;
use crate::advice::{
    BeforeAfter, Diagnosis, Missing, Model, Observation, RankedCause, RankedRemedy, Reason, Sureness,
    Unrecorded,
};
use crate::cli::output::{Out, bar, factor_words, from_to, percent};
use crate::cli::style::{CAUTION, HEADING, paint};
use crate::report::words::{
    Closer, after_words, again_words, doubt_words, idle_words, open_words, stands_out, step_words,
};
use crate::rules::{CauseKey, CautionKey, DefectKey, QuestionKey, RuleBase};
use crate::sheet::Sheet;
use crate::units::Dimension;

/// Remedies shown where nothing stands out: a long list of guesses is no advice.
const UNCLEAR: usize = 2;
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
    /// Questions whose answers would tell most, where nothing stands out.
    pub(in crate::cli) look: &'a [QuestionKey],
    /// Cautions to be read before anything else.
    pub(in crate::cli) alarms: &'a [CautionKey],
    /// How many causes and remedies to show.
    pub(in crate::cli) top: usize,
    /// What of these figures was asked for already, and not known.
    pub(in crate::cli) asked: Vec<Unrecorded>,
    /// How more can be found out.
    pub(in crate::cli) closer: Closer,
}

/// What to do at once, where somebody is in a hazard already.
pub(in crate::cli) fn alarms(rules: &RuleBase, alarms: &[CautionKey], out: &mut Out) {
    if alarms.is_empty() {
        return;
    }
    out.line(paint(CAUTION, "Before anything else"));
    for caution in alarms.iter().map(|key| rules.caution(*key)) {
        let Some(alarm) = &caution.alarm else { continue };
        out.hang("  ", &caution.hazard);
        out.hang("  ", &format!("{} ({})", alarm.act, alarm.basis.in_full(rules)));
    }
    out.gap();
}

pub(in crate::cli) fn print(
    model: &Model<'_>,
    sheet: &Sheet,
    observations: &[Observation],
    diagnosis: &Diagnosis,
    around: &Around<'_>,
    out: &mut Out,
) {
    let Around { missing, look, top, ref closer, ref asked, .. } = *around;
    let rules = model.rules;
    alarms(rules, around.alarms, out);
    job(rules, sheet, observations, out);
    if observations.iter().any(Observation::is_present) {
        doubts(diagnosis, closer, out);
    } else {
        out.hang("", "You named nothing that is there, only what is not: say what is wrong with the piece.");
        out.gap();
    }
    if let Some(after) = after_words(rules, diagnosis) {
        out.hang("", &after);
        out.gap();
    }
    let clear = stands_out(diagnosis);
    if !clear {
        look_first(rules, look, out);
        would_tell(rules, missing, asked, out);
    }
    causes(rules, diagnosis, top, out);
    defects(rules, diagnosis, out);
    if let Some(cause) = diagnosis.after_the_cast {
        its_own(rules, cause, out);
    } else {
        remedies(rules, diagnosis, if clear { top } else { top.min(UNCLEAR) }, out);
        plan::print(rules, diagnosis, closer, out);
    }
    if clear && diagnosis.after_the_cast.is_none() {
        would_tell(rules, missing, asked, out);
    }
    closing(out);
}

/// The ranking with what speaks for and against.
pub(in crate::cli) fn causes(rules: &RuleBase, diagnosis: &Diagnosis, top: usize, out: &mut Out) {
    out.line(paint(HEADING, "Likely causes"));
    for (at, cause) in diagnosis.causes.iter().take(top).enumerate() {
        one_cause(rules, at + 1, cause, out);
        if let (0, Some(open)) = (at, open_words(rules, diagnosis)) {
            out.hang("     ", &open);
        }
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

/// As likely as another within so much.
const NEARLY: f64 = 0.05;

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
        let how = match probability - other.probability {
            less if less <= 0.0 => "likelier",
            less if less <= NEARLY => "nearly as likely",
            _ => "less likely, but may be it",
        };
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
    if let Some(again) = again_words(diagnosis) {
        out.hang("     ", &again);
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
                "Sound next time: the chance that a re-cast is free of {}, and that nothing new has come of the \
                 change; with nothing changed {}.",
                trouble.join("; "),
                percent(first.success.before)
            ),
        );
    }
    for traded in diagnosis.trades.iter().take(TRADES) {
        out.hang("     ", &traded_words(rules, traded));
    }
    out.gap();
}

/// Changes that are no gain and are told all the same: a caster may think of them himself.
const TRADES: usize = 2;

fn traded_words(rules: &RuleBase, traded: &RankedRemedy) -> String {
    let all = |changes: &[(DefectKey, BeforeAfter)]| -> Vec<String> {
        let one = |(d, c): &(DefectKey, BeforeAfter)| {
            format!("{} {}", lower_first(&rules.defect(*d).title), from_to(*c))
        };
        changes.iter().take(2).map(one).collect()
    };
    let (eased, spoilt) = (all(&traded.eases), all(&traded.spoils));
    let eased = if eased.is_empty() { String::new() } else { format!(" eases {}, but", eased.join(", ")) };
    let spoilt =
        if spoilt.is_empty() { String::new() } else { format!(" ({} in the next cast)", spoilt.join(", ")) };
    format!(
        "Left out: \"{}\"{eased} brings in as much as it takes away{spoilt}.",
        lower_first(&rules.remedy(traded.remedy).title)
    )
}

/// The remedies of a cause that came after the cast: no cast is spent on them, so there are no odds of one.
fn its_own(rules: &RuleBase, cause: CauseKey, out: &mut Out) {
    out.line(paint(HEADING, "What helps"));
    let mut cautioned = Vec::new();
    for (at, remedy) in rules.remedies.iter().filter(|r| r.cures.iter().any(|l| l.to == cause)).enumerate() {
        out.hang(&format!("{:>3}. ", at + 1), &remedy.title);
        out.hang("     ", &remedy.change);
        out.hang("     why: ", &remedy.because);
        cautions(rules, &remedy.cautions, &mut cautioned, out);
    }
    if let Some(check) = &rules.cause(cause).check {
        out.hang("     to make sure: ", check);
    }
    out.gap();
}

/// What to look at before anything is changed.
fn look_first(rules: &RuleBase, look: &[QuestionKey], out: &mut Out) {
    if look.is_empty() {
        return;
    }
    out.line(paint(HEADING, "Look first: these answers would tell most"));
    for question in look.iter().map(|q| rules.question(*q)) {
        out.hang("     ", &format!("{} {}", question.ask, question.look));
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
            percent(ranked.sound),
            percent(ranked.success.before),
            Dimension::Duration.show(remedy.effort.get())
        ),
    );
    if ranked.gain_per_hour <= 0.0 {
        let free = percent(ranked.success.after);
        out.hang(
            "     ",
            &format!("it trades: free of the trouble {free}, but it brings in as much as that gains"),
        );
    }
    out.hang("     against: ", &lower_first(&rules.cause(ranked.against).title));
    out.hang("     why: ", &remedy.because);
    for (lead, changes) in [("     eases: ", &ranked.eases), ("     may spoil: ", &ranked.spoils)] {
        for (defect, chance) in changes.iter().take(3) {
            let title = lower_first(&rules.defect(*defect).title);
            out.hang(lead, &format!("{title}, in the next cast {}", from_to(*chance)));
        }
    }
    cautions(rules, &remedy.cautions, cautioned, out);
}

fn cautions(rules: &RuleBase, keys: &[CautionKey], cautioned: &mut Vec<CautionKey>, out: &mut Out) {
    for key in keys {
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
