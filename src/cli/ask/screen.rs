//! What the interview says. Plain lines, one after the other; nothing is drawn over.

use super::speech::{denies, meant};
use crate::advice::findings::{lower_first, title};
use crate::advice::{Diagnosis, Observation, cautions, missing};
use crate::cli::diagnose::words::shown;
use crate::cli::diagnose::{look, text};
use crate::cli::output::{Out, percent};
use crate::cli::sketch::draw;
use crate::cli::style::{HEADING, paint};
use crate::document::visible;
use crate::interview::{
    Because, Closed, Effect, Interview, Kept, Lost, Moved, Next, Refused, Said, Step, Stop, Told, Turn, Worth,
};
use crate::report::words::{Closer, stands_out};
use crate::rules::names::{AlloyName, FindingNames, normal, read_alloy};
use crate::rules::words::{Doubt, Perhaps};
use crate::rules::{By, CauseKey, CautionKey, Finding, Question, QuestionKey, RemedyKey, Reveals, RuleBase};
use crate::sheet::{Field, Sheet};
use crate::units::{Dimension, round};
use std::path::Path;

/// Causes on the line after each answer.
const IN_FRONT: usize = 3;
/// Causes and remedies on the result screen, as in `diagnose`.
const TOP: usize = 5;
/// Causes that an answer moves, in `why`.
const MOVES: usize = 3;
/// Answers in `why`, the likeliest of many.
const ANSWERS: usize = 8;
/// Causes that can be looked into by hand, where no question is left that tells.
const CHECKS: usize = 2;

/// `called` says by which words of the caster's a defect was named on the command line.
pub(super) fn opening(interview: &Interview<'_>, called: &[(String, Finding)], out: &mut Out) {
    out.hang("", "A few questions, the ones that matter first. Answer by number or in words; `help` lists what else can be typed.");
    for given in &interview.start().findings {
        let own = called.iter().find(|(_, finding)| *finding == given.finding);
        let words = match (own, given.finding) {
            (Some((own, _)), Finding::Defect(_)) => {
                let name = lower_first(title(interview.rules(), given.finding));
                format!("{} `{}`, read as {name}", given.how.verb(given.finding), shown(own))
            }
            _ => given.words(interview.rules()),
        };
        out.hang("  ", &words);
    }
}

pub(super) fn resumed(path: &Path, interview: &Interview<'_>, torn: bool, lost: &[Lost], out: &mut Out) {
    let count = interview.steps().len();
    let s = if count == 1 { "" } else { "s" };
    out.line("Going on with");
    out.file(path);
    if torn {
        out.hang("", "Its last line was cut off while it was being written, and is left out.");
    }
    for one in lost {
        out.hang(
            "",
            &format!(
                "Line {} says nothing under the rules of today and is left out: {}.",
                one.at + 1,
                one.why
            ),
        );
    }
    out.line(format!("{count} answer{s} so far."));
    said(interview, out);
}

pub(super) fn left(path: &Path, usual: bool, out: &mut Out) {
    out.line("Every answer is kept in");
    out.file(path);
    if usual {
        out.line("To go on: aftercast ask --resume");
    } else {
        out.line("To go on:");
        out.line(format!("  aftercast ask --resume {}", visible(&path.display().to_string())));
    }
}

fn by_words(by: By) -> &'static str {
    match by {
        By::Look => "by eye",
        By::Loupe => "with a loupe",
        By::File => "with a file",
        By::Saw => "with a saw",
        By::Weigh => "on the balance",
        By::Log => "from the log",
        By::Ask => "by memory",
        By::Test => "a small trial",
    }
}

pub(super) fn question(interview: &Interview<'_>, key: QuestionKey, out: &mut Out) {
    let rules = interview.rules();
    let question = rules.question(key);
    out.gap();
    let number = format!("Question {}. ", interview.steps().len() + 1);
    out.hang(&paint(HEADING, &number), &question.ask);
    out.hang(
        "  ",
        &format!("{} ({}, about {})", question.look, by_words(question.by), effort_words(question)),
    );
    match &question.reveals {
        Reveals::Signs { answers, many } => {
            for (at, answer) in answers.iter().enumerate() {
                out.hang(&format!("{:>4}  ", at + 1), &answer.say);
            }
            if *many {
                out.hang("  ", "Several fit? Put commas between them.");
            }
        }
        Reveals::Fact(fact) => {
            for (at, value) in rules.fact(*fact).values.iter().enumerate() {
                out.hang(&format!("{:>4}  ", at + 1), &value.title);
            }
        }
        Reveals::Alloy => {
            out.hang("  ", "Its name, its family or its metal, such as sterling-925, au-14y or silver.");
        }
        Reveals::Quantity(quantity) => {
            let dimension = rules.quantity(*quantity).dimension;
            let wanted = if dimension.is_bare() {
                "A plain number".to_owned()
            } else {
                format!("{}, with its unit ({})", capital(dimension.name()), dimension.allowed())
            };
            out.hang("  ", &format!("{wanted}, or `don't know`."));
        }
    }
}

/// The work that a question takes, in minutes or hours; a caster does not count seconds here.
fn effort_words(question: &Question) -> String {
    let minutes = question.effort.get() / 60.0;
    if minutes < 90.0 {
        format!("{} min", round(minutes.max(1.0), 0))
    } else {
        Dimension::Duration.show(question.effort.get())
    }
}

pub(super) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

/// What was said; a figure in the unit in which it was given, and an alloy with the choice that was made.
pub(super) fn noted(rules: &RuleBase, step: &Step, remark: Option<String>, out: &mut Out) {
    match (remark, &step.said) {
        (Some(figure), Said::Figure(_)) => out.hang("Noted: ", &figure),
        (Some(choice), _) => {
            out.hang("Noted: ", &step.said_words(rules));
            out.hang("  ", &format!("{}.", capital(&choice)));
        }
        (None, _) => out.hang("Noted: ", &step.said_words(rules)),
    }
}

/// What was said before and does not go with what is said now.
pub(super) fn replaced(rules: &RuleBase, before: &[Observation], out: &mut Out) {
    if !before.is_empty() {
        let words: Vec<String> = before.iter().map(|o| o.words(rules)).collect();
        out.hang("In place of what you said before: ", &format!("{} (`back` undoes it)", words.join("; ")));
    }
}

/// What became of later answers when an earlier one was given anew or taken back.
pub(super) fn kept(interview: &Interview<'_>, kept: &Kept, out: &mut Out) {
    let rules = interview.rules();
    let ask = |keys: &[QuestionKey]| {
        keys.iter().map(|k| rules.question(*k).ask.clone()).collect::<Vec<_>>().join(" ")
    };
    if !kept.kept.is_empty() {
        out.hang("Still stands: ", &ask(&kept.kept));
    }
    if !kept.dropped.is_empty() {
        out.hang("No longer asked: ", &ask(&kept.dropped));
    }
    for words in &kept.unsaid {
        out.hang("Does not go with that any more: ", &format!("`{}`", shown(words)));
    }
}

/// The causes that come first now; empty before anything was seen.
pub(super) fn in_front(interview: &Interview<'_>) -> String {
    if !interview.standing().findings().iter().any(Observation::is_present) {
        return String::new();
    }
    let rules = interview.rules();
    let causes = interview.standing().causes().iter().take(IN_FRONT);
    let words: Vec<String> = causes
        .map(|s| format!("{} {}", lower_first(&rules.cause(s.cause).title), percent(s.had_a_hand)))
        .collect();
    words.join("; ")
}

/// Asks what was meant by words that are not clear.
pub(super) fn ask_back(interview: &Interview<'_>, perhaps: &Perhaps, out: &mut Out) {
    out.gap();
    let rules = interview.rules();
    let title = lower_first(title(rules, perhaps.finding));
    let words = shown(&perhaps.words);
    let against = interview.against(perhaps.finding);
    let ask = if let Some(before) = against.first().filter(|_| perhaps.doubt == Doubt::Excluded) {
        format!(
            "`{words}` does not go with what you said before: {}. Is it {title} after all, in place of that?",
            before.words(rules)
        )
    } else if denies(perhaps) {
        format!("`{words}`: do you see {title}? ({})", perhaps.doubt.words())
    } else {
        format!("`{words}`: does that mean {title}? ({})", perhaps.doubt.words())
    };
    out.hang(&paint(HEADING, "Asked back. "), &ask);
    out.hang("  ", "yes, probably, no or don't know; `show` helps with a look");
}

/// How to look for a finding.
pub(super) fn look(rules: &RuleBase, finding: Finding, out: &mut Out) {
    match finding {
        Finding::Sign(key) => {
            let sign = rules.sign(key);
            out.hang("", &format!("{}. {}", sign.title, sign.look));
        }
        Finding::Defect(key) => {
            let defect = rules.defect(key);
            out.hang("", &format!("{}. {}", defect.title, defect.what));
            if let Some(place) = &defect.place {
                out.hang("  where: ", place);
            }
            if let Some(when) = &defect.when {
                out.hang("  when: ", when);
            }
            for alike in &defect.look_alikes {
                out.hang(
                    "  not to be taken for: ",
                    &format!("{}: {}", lower_first(&rules.defect(alike.defect).title), alike.apart),
                );
            }
        }
    }
}

/// What was made of the caster's own words.
fn told_words(rules: &RuleBase, told: &Told) -> String {
    let mut all: Vec<String> = told.findings.iter().map(|o| o.words(rules)).collect();
    if let Some(name) = told.alloy {
        let mut sheet = Sheet::default();
        sheet.name_alloy(rules, name);
        all.extend(sheet.alloy_words(rules).as_deref().map(lower_first));
    }
    all.extend(told.facts.iter().filter_map(|(fact, value)| {
        let fact = rules.fact(*fact);
        Some(format!("{}: {}", lower_first(&fact.title), fact.values.get(*value)?.title))
    }));
    all.extend(told.figures.iter().map(|(f, v)| format!("{} {}", f.title(), f.dimension().show(*v))));
    all.join("; ")
}

/// The letter of what was told, as `so far` lists it: a to z, then aa and on.
pub(super) fn letter(at: usize) -> String {
    let last = char::from(b'a' + u8::try_from(at % 26).unwrap_or(0));
    let before = (at / 26).checked_sub(1).map_or_else(String::new, letter);
    format!("{before}{last}")
}

/// Why `--next` and `--report` wrote nothing.
pub(super) fn nothing_written(seen: bool, out: &mut Out) {
    let why = if seen {
        "Nothing was written: the interview is not finished. `finish` shows the result."
    } else {
        "Nothing was written: nothing was seen, so there is no result."
    };
    out.hang("", why);
}

pub(super) fn why(interview: &Interview<'_>, key: QuestionKey, out: &mut Out) {
    let rules = interview.rules();
    let question = rules.question(key);
    let first = interview.steps().is_empty() && interview.standing().findings().is_empty();
    let chosen = match interview.next() {
        Next::Ask(chosen) if chosen.worth.question == key => Some(chosen.worth),
        _ => interview.worths().into_iter().find(|w| w.question == key),
    };
    match chosen {
        Some(_) if first => {
            out.hang("Why: ", "it parts the kinds of fault; which questions make sense hangs on it.")
        }
        Some(worth) => match worth.because {
            Because::Pays => out.hang("Why: ", &worth_words(&worth, question)),
            Because::Metal => out.hang(
                "Why: ",
                "how often each cause comes, how hot is too hot and which questions make sense hang on the metal.",
            ),
            Because::Moves(cause, by) => out.hang(
                "Why: ",
                &format!(
                    "it is not on the sheet, and would move \"{}\" by about {} points, up or down.",
                    lower_first(&rules.cause(cause).title),
                    round(by * 100.0, 0)
                ),
            ),
        },
        None => out.hang("Why: ", "you asked for this question."),
    }
    let effects = interview.effects(key, MOVES);
    let mut chances: Vec<f64> = effects.iter().map(|e| e.chance).collect();
    chances.sort_by(|a, b| b.total_cmp(a));
    let least = chances.get(ANSWERS - 1).copied().unwrap_or(0.0);
    let (shown, rare): (Vec<&Effect>, Vec<&Effect>) = effects.iter().partition(|e| e.chance >= least);
    for effect in shown {
        let lead = format!("{} ({} likely)", effect.words, percent(effect.chance));
        out.hang("  ", &format!("{lead}: {}", moves_words(rules, effect.moves.as_deref())));
    }
    if !rare.is_empty() {
        let chance = rare.iter().map(|e| e.chance).sum();
        out.hang("  ", &format!("and {} other answers, together {} likely", rare.len(), percent(chance)));
    }
    if matches!(question.reveals, Reveals::Fact(_) | Reveals::Quantity(_) | Reveals::Alloy) {
        out.hang("  ", "It goes on the process sheet, where it makes some causes likelier and others less.");
    }
}

/// What it would change whether something was meant.
pub(super) fn why_asked_back(interview: &Interview<'_>, perhaps: &Perhaps, out: &mut Out) {
    let rules = interview.rules();
    let words =
        format!("`{}` counts only once you say so ({}).", shown(&perhaps.words), perhaps.doubt.words());
    out.hang("Why: ", &words);
    for reply in ["yes", "probably", "no"] {
        let moves = match meant(perhaps, reply).flatten() {
            Some(observation) => {
                moves_words(rules, interview.effect_of_meaning(observation, MOVES).as_deref())
            }
            None => "changes nothing".to_owned(),
        };
        out.hang("  ", &format!("{reply}: {moves}"));
    }
}

fn moves_words(rules: &RuleBase, moves: Option<&[Moved]>) -> String {
    let Some(moves) = moves else { return "does not go with what was said before".to_owned() };
    let words: Vec<String> = moves
        .iter()
        .map(|(c, before, after)| {
            format!("{} {} -> {}", lower_first(&rules.cause(*c).title), percent(*before), percent(*after))
        })
        .collect();
    if words.is_empty() { "would change little".to_owned() } else { words.join("; ") }
}

/// Why a question cannot be asked now, and the way out.
pub(super) fn closed(interview: &Interview<'_>, key: QuestionKey, closed: &Closed) -> (String, String) {
    let rules = interview.rules();
    let id = &rules.question(key).id;
    match closed {
        Closed::Asked => {
            let place = interview.steps().iter().position(|s| s.question == key).map_or(0, |at| at + 1);
            (format!("`{id}` was asked already"), format!("`back {place}` answers it anew"))
        }
        Closed::Known => {
            (format!("what `{id}` asks is known already"), "`so far` shows what was said".to_owned())
        }
        Closed::After(before) => {
            let waits: Vec<String> = before
                .iter()
                .map(|q| format!("\"{}\" ({})", rules.question(*q).ask, rules.question(*q).id))
                .collect();
            let first = before.first().map_or("", |q| rules.question(*q).id.as_str());
            (format!("`{id}` waits for {}", waits.join(" and ")), format!("`ask {first}` asks that first"))
        }
        Closed::About(needs) => {
            let all: Vec<String> = needs.iter().map(|n| lower_first(title(rules, *n))).collect();
            (
                format!("`{id}` is about what was not reported and is not likely here: {}", all.join(", ")),
                "if you see it, say so in your own words".to_owned(),
            )
        }
        Closed::NoFigures => (
            format!("`{id}` asks for a figure"),
            "begin without --no-figures to be asked for figures".to_owned(),
        ),
        Closed::NoSuchFigure => (
            format!("the way the metal was driven in has no such figure as `{id}` asks for"),
            "`questions` lists what makes sense now".to_owned(),
        ),
    }
}

fn worth_words(worth: &Worth, question: &Question) -> String {
    let tells = match worth.in_front {
        more if more < 0.005 => "hardly anything",
        more if more < 0.02 => "a little",
        more if more < 0.06 => "something",
        _ => "much",
    };
    format!(
        "the answer should tell {tells} about what made the fault: the chance that a cause that made it is among the \
         three in front should rise by {} points, and that it stands first by {}. It should save {} of changing the \
         wrong thing, and takes about {}. Chance that the first change becomes another: {}.",
        round(worth.in_front * 100.0, 0),
        round(worth.first * 100.0, 0),
        minutes(worth.saves),
        effort_words(question),
        percent(worth.turns_plan)
    )
}

/// So many minutes, as one says them.
fn minutes(count: f64) -> String {
    if count < 0.5 { "no time".to_owned() } else { format!("about {} min", round(count, 0)) }
}

/// What was given at the start, answered and told, in its order.
fn said(interview: &Interview<'_>, out: &mut Out) {
    let rules = interview.rules();
    let start = interview.start();
    for finding in &start.findings {
        out.hang("     at the start: ", &finding.words(rules));
    }
    if let Some(alloy) = start.sheet.alloy_words(rules) {
        out.hang("     at the start: ", &lower_first(&alloy));
    }
    let (mut steps, mut told) = (0, 0);
    for turn in interview.turns() {
        match turn {
            Turn::Answered(step) => {
                steps += 1;
                let question = rules.question(step.question);
                out.hang(&format!("{steps:>3}. "), &format!("{} {}", question.ask, step.said_words(rules)));
            }
            Turn::Told(words) => {
                out.hang(&format!("{:>3}. ", letter(told)), &format!("`{}`", shown(&words.words)));
                let known = told_words(rules, &words);
                if !known.is_empty() {
                    out.hang("     ", &known);
                }
                told += 1;
            }
        }
    }
    for note in interview.notes() {
        out.hang("     note: ", note);
    }
}

pub(super) fn so_far(interview: &Interview<'_>, out: &mut Out) {
    if interview.turns().is_empty() {
        out.line("Nothing was answered yet.");
    }
    said(interview, out);
    if !interview.standing().findings().iter().any(Observation::is_present) {
        return;
    }
    if let Ok(diagnosis) = interview.standing().diagnose() {
        out.gap();
        text::causes(interview.rules(), &diagnosis, IN_FRONT, out);
    }
}

pub(super) fn questions(interview: &Interview<'_>, out: &mut Out) {
    let rules = interview.rules();
    let worths = interview.worths();
    if worths.is_empty() {
        out.line("No question is left that makes sense.");
    }
    for worth in worths.iter().take(15) {
        let question = rules.question(worth.question);
        out.hang(&format!("  {:<24} ", question.id), &question.ask);
    }
    if worths.len() > 15 {
        out.line(format!("  and {} more, of less worth", worths.len() - 15));
    }
    out.hang("", "The best come first. `ask ID` asks one of them.");
}

fn usual(field: Field) -> String {
    let (low, high) = field.limits().usual;
    let show = |v| field.dimension().show(v);
    format!("The {}; usual is {} to {}.", field.title(), show(low), show(high))
}

/// What an alloy is: where it melts, and what is worth knowing of it.
fn alloy(rules: &RuleBase, name: AlloyName, out: &mut Out) {
    let mut sheet = Sheet::default();
    sheet.name_alloy(rules, name);
    let title = capital(&sheet.alloy_words(rules).unwrap_or_default());
    match sheet.alloy() {
        Some(alloy) => {
            let notes = alloy.notes.as_deref().unwrap_or_default();
            out.hang(
                "",
                format!("{title}. Melts from {} to {}. {notes}", alloy.solidus, alloy.liquidus).trim(),
            );
        }
        None => out.hang("", &format!("{title}.")),
    }
}

/// Help with a look. The error is where to look instead.
pub(super) fn show(
    interview: &Interview<'_>,
    question: Option<QuestionKey>,
    id: &str,
    out: &mut Out,
) -> Result<(), String> {
    let rules = interview.rules();
    if id.is_empty() {
        let Some(question) = question else { return Err("write `show` and an id".to_owned()) };
        let question = rules.question(question);
        out.hang("", &question.look);
        if let Reveals::Quantity(quantity) = question.reveals
            && let Some(field) = Field::find(rules.quantity(quantity).id)
        {
            out.hang("  ", &usual(field));
        }
        if let Reveals::Signs { answers, .. } = &question.reveals {
            for sign in answers.iter().flat_map(|a| &a.present).map(|s| rules.sign(*s)) {
                out.hang(&format!("  {}: ", sign.id), &format!("{}. {}", sign.title, sign.look));
                draw(rules, &sign.id, "    ", out);
            }
        }
        return Ok(());
    }
    let called = |names: &[&str]| names.iter().any(|name| normal(name) == normal(id));
    let cause = |key: &CauseKey| {
        let cause = rules.cause(*key);
        called(&[&cause.title]) || cause.synonyms.iter().any(|s| called(&[s]))
    };
    if let Some(key) = rules.find_defect(id) {
        look(rules, Finding::Defect(key), out);
    } else if let Some(key) = rules.find_sign(id) {
        look(rules, Finding::Sign(key), out);
    } else if let Some(finding) = FindingNames::new(rules).find(id) {
        look(rules, finding, out);
    } else if let Some(key) = rules.find_cause(id).or_else(|| rules.cause_keys().find(cause)) {
        let cause = rules.cause(key);
        out.hang("", &format!("{}. {}", cause.title, cause.because));
        if let Some(check) = &cause.check {
            out.hang("  to check: ", check);
        }
    } else if let Some(key) = rules.find_remedy(id) {
        let remedy = rules.remedy(key);
        out.hang("", &format!("{}. {} {}", remedy.title, remedy.change, remedy.because));
        for caution in remedy.cautions.iter().map(|c| rules.caution(*c)) {
            out.hang("  caution: ", &format!("{}: {}", caution.hazard.trim_end_matches('.'), caution.advice));
        }
    } else if let Some(key) = rules.find_question(id) {
        out.hang("", &format!("{} {}", rules.question(key).ask, rules.question(key).look));
    } else if let Some(field) =
        Field::find(id).or_else(|| Field::ALL.iter().copied().find(|f| called(&[f.title(), f.split().1])))
    {
        out.hang("", &usual(field));
    } else if let Some(read) = read_alloy(rules, id) {
        alloy(rules, read.name, out);
    } else {
        let defects = rules.defects.iter().map(|r| r.id.as_str());
        let all = defects
            .chain(rules.signs.iter().map(|r| r.id.as_str()))
            .chain(rules.causes.iter().map(|r| r.id.as_str()));
        let help = crate::document::nearest_help(id, all);
        return Err(help.unwrap_or_else(|| "`show` alone helps with the question at hand".to_owned()));
    }
    draw(rules, id, "  ", out);
    Ok(())
}

pub(super) fn stop(interview: &Interview<'_>, stop: &Stop, out: &mut Out) {
    out.gap();
    let rules = interview.rules();
    match stop {
        Stop::NoneLeft => out.hang("", "That is all: no question is left that makes sense here."),
        Stop::NonePays { best, changes_nothing } => {
            let question = &rules.question(best.question);
            if *changes_nothing {
                out.hang("", "That is enough: two more questions would change nothing; whatever they brought, the first change would stay.");
            } else {
                out.hang("", "That is enough: no question is left that is worth its work and your patience.");
            }
            out.hang(
                "  ",
                &format!(
                    "The best one left, \"{}\", should save {} and takes about {} to answer. `more` asks it all the same.",
                    question.ask,
                    minutes(best.saves),
                    effort_words(question)
                ),
            );
        }
    }
}

/// The cautions to be read before anything else, by all that was seen and said so far.
pub(super) fn alarms(interview: &Interview<'_>) -> Vec<CautionKey> {
    let turns = interview.turns();
    let told = turns.iter().filter_map(|t| t.told()).map(|t| t.words.as_str());
    let said: Vec<&str> = told.chain(interview.notes().iter().map(String::as_str)).collect();
    let standing = interview.standing();
    cautions::alarms(interview.rules(), standing.sheet(), standing.findings(), &said.join("\n"))
}

/// How more can be found out before a cast: by the questions that are left if they tell anything, else by hand.
fn closer(interview: &Interview<'_>, diagnosis: &Diagnosis) -> Closer {
    if matches!(interview.next(), Next::Ask(_)) {
        return Closer::More;
    }
    let rules = interview.rules();
    let checks = diagnosis.causes.iter().filter_map(|c| rules.cause(c.cause).check.clone());
    Closer::ByHand(checks.take(CHECKS).collect())
}

/// The whole result, and the first change in it.
pub(super) fn result(interview: &Interview<'_>, out: &mut Out) -> Option<RemedyKey> {
    out.gap();
    let standing = interview.standing();
    if standing.findings().is_empty() {
        out.hang("", "Nothing was seen, so there is nothing to rank. `more` goes on asking.");
        return None;
    }
    let mut first = None;
    match standing.diagnose() {
        Ok(diagnosis) => {
            let model = standing.model();
            let missing = missing(model, standing.sheet(), &diagnosis.ranking());
            let alarms = alarms(interview);
            let asked = interview.steps().iter().filter_map(|s| interview.fills(s.question)).collect();
            let closer = closer(interview, &diagnosis);
            // Where no question is left that would tell, none is named as one that would.
            let ask = closer == Closer::More && !stands_out(&diagnosis);
            let look = if ask { look::best(interview) } else { Vec::new() };
            let around =
                text::Around { missing: &missing, look: &look, alarms: &alarms, top: TOP, asked, closer };
            text::print(model, standing.sheet(), standing.findings(), &diagnosis, &around, out);
            first = diagnosis.remedies.first().map(|r| r.remedy);
        }
        Err(refused) => no_result(&refused, out),
    }
    out.gap();
    out.hang("", "`next FILE.yaml` writes the process sheet of the next cast, the changed figures marked; `save FILE.yaml` writes that of this one; `report FILE.html` makes a page of the result; `case` puts it into the shop's casebook; `back N` changes an answer; `more` goes on asking; `quit` leaves.");
    first
}

fn no_result(refused: &Refused, out: &mut Out) {
    out.hang("", &format!("There is no result: {}.", refused.message));
    out.hang("  help: ", &refused.help);
}

/// What an answer after the result has made of it, and the first change now.
pub(super) fn changed(
    interview: &Interview<'_>,
    before: Option<RemedyKey>,
    out: &mut Out,
) -> Option<RemedyKey> {
    let rules = interview.rules();
    let diagnosis = match interview.standing().diagnose() {
        Ok(diagnosis) => diagnosis,
        Err(refused) => {
            no_result(&refused, out);
            return None;
        }
    };
    let title = |r: RemedyKey| lower_first(rules.remedy(r).title.trim_end_matches('.'));
    let first = diagnosis.remedies.first();
    let words = match (first, before) {
        (None, _) => "none gains enough to be worth a re-cast.".to_owned(),
        (Some(now), before) => {
            let sound = format!("sound next time {}", percent(now.success.after));
            match before {
                Some(before) if before == now.remedy => {
                    format!("as before, {} ({sound}).", title(now.remedy))
                }
                Some(before) => format!("now {} ({sound}); it was {}.", title(now.remedy), title(before)),
                None => format!("now {} ({sound}).", title(now.remedy)),
            }
        }
    };
    out.hang("First change: ", &words);
    out.hang("", "`finish` shows the whole result; `more` goes on asking; `quit` leaves.");
    first.map(|r| r.remedy)
}

pub(super) fn help(out: &mut Out) {
    for (command, what) in [
        ("3", "the answer with that number; also words of it, or the id of what was seen"),
        ("1, 4", "several answers, where the question takes several"),
        ("yes / no", "where one answer says that it is there and one that it is not"),
        ("probably 2", "seen, but not surely"),
        ("don't know", "nobody can tell"),
        ("skip", "leave the question out"),
        ("why", "what each answer would change"),
        ("show", "how to look, also `?`; `show misrun`, also `what is a misrun`, explains a word"),
        ("so far", "questions, answers and the ranking"),
        (
            "back",
            "answer the last question anew; `back 2` the second one, `back a` takes your own words back",
        ),
        ("questions", "the questions that make sense now; `ask ID` asks one of them"),
        ("small pits", "or anything else you see, in your own words, at any question"),
        ("note TEXT", "keep a remark that is not weighed"),
        ("save FILE.yaml", "write the process sheet with the figures given"),
        ("next FILE.yaml", "write the sheet of the next cast, with the first change of the plan"),
        ("report FILE.html", "write the result as a page for browser and printer"),
        ("case TITLE", "put it into the shop's casebook as an open case; the title may be left out"),
        ("finish", "the result now; `more` goes on asking after it"),
        ("quit", "leave; every answer is kept (also Ctrl-D, or Ctrl-C twice)"),
    ] {
        out.hang(&format!("  {command:<16} "), what);
    }
}
