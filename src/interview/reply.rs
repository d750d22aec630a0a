//! What the caster typed, as an answer to a question: by number, by id, or in words.

use super::state::Said;
use crate::rules::names::{find_alloy, near_alloys, normal};
use crate::rules::{Answer, FactKey, QuestionKey, Reveals, RuleBase};
use crate::sheet::read_setting;

/// Why a reply is no answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Confusion {
    /// What is wrong, in words.
    pub message: String,
    /// The way out.
    pub help: String,
    /// Nothing in it looks like an answer: it may be about something else.
    pub strange: bool,
}

fn confused(message: impl Into<String>, help: impl Into<String>) -> Confusion {
    Confusion { message: message.into(), help: help.into(), strange: false }
}

impl Confusion {
    fn strange(self) -> Self {
        Self { strange: true, ..self }
    }
}

const UNKNOWN: [&str; 7] = ["?", "don't know", "dont know", "unknown", "no idea", "not known", "dunno"];
const PROBABLY: [&str; 3] = ["probably ", "maybe ", "perhaps "];
/// Words before a figure that leave it as it is: what a caster reads off a clock or a gauge is about right.
const ABOUT: [&str; 7] = ["about ", "around ", "roughly ", "approx ", "approx. ", "ca ", "~"];

/// Reads a reply to a question.
///
/// # Errors
/// [`Confusion`] with what would be understood.
pub fn read_reply(rules: &RuleBase, question: QuestionKey, text: &str) -> Result<Said, Confusion> {
    let text = text.trim();
    if UNKNOWN.iter().any(|u| u.eq_ignore_ascii_case(text)) {
        return Ok(Said::Unknown);
    }
    match &rules.question(question).reveals {
        Reveals::Signs { answers, many } => picked(rules, answers, *many, text),
        Reveals::Quantity(quantity) => {
            let id = rules.quantity(*quantity).id;
            let dimension = rules.quantity(*quantity).dimension;
            let lower = text.to_lowercase();
            let about = ABOUT.iter().find(|a| lower.starts_with(*a)).map_or(0, |a| a.len());
            let figure = text.get(about..).unwrap_or(text).trim();
            read_setting(&format!("{id}={figure}")).map(|(_, value)| Said::Figure(value)).map_err(|message| {
                let units = if dimension.is_bare() { "a plain number" } else { "a number with its unit" };
                let confusion = confused(message, format!("write {units}, or `don't know`"));
                let number = figure.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.'));
                if number { confusion } else { confusion.strange() }
            })
        }
        Reveals::Fact(fact) => value(rules, *fact, text),
        Reveals::Alloy => match find_alloy(rules, text) {
            Some(name) => Ok(Said::Alloy(name)),
            None => {
                let near = near_alloys(rules, text, 5);
                let help = if near.is_empty() {
                    "name an alloy, a family such as au-14y, or a metal such as silver".to_owned()
                } else {
                    format!("nearest: {}", near.join(", "))
                };
                Err(confused(format!("no alloy is called `{}`", shown(text)), help).strange())
            }
        },
    }
}

fn picked(rules: &RuleBase, answers: &[Answer], many: bool, text: &str) -> Result<Said, Confusion> {
    let lower = text.to_lowercase();
    let (sure, rest) = match PROBABLY.iter().find_map(|p| lower.strip_prefix(p)) {
        Some(rest) => (false, rest.trim()),
        None => (true, lower.as_str()),
    };
    let one = |part: &str| which(rules, answers, part);
    let mut places = match one(rest) {
        Ok(place) => vec![place],
        Err(confusion) => {
            let parts: Vec<&str> = rest.split(',').map(str::trim).filter(|p| !p.is_empty()).collect();
            let all_numbers = parts.len() > 1 || rest.split_whitespace().all(|w| w.parse::<usize>().is_ok());
            let parts: Vec<&str> =
                if parts.len() <= 1 && all_numbers { rest.split_whitespace().collect() } else { parts };
            if parts.len() <= 1 {
                return Err(confusion);
            }
            parts.into_iter().map(one).collect::<Result<_, _>>()?
        }
    };
    places.sort_unstable();
    places.dedup();
    let chosen: Vec<&Answer> = places.iter().filter_map(|at| answers.get(*at)).collect();
    if chosen.len() > 1 {
        if !many {
            return Err(confused("this question takes one answer", "give the one that fits best"));
        }
        let silent = chosen.iter().find(|a| a.present.is_empty());
        let clash =
            chosen.iter().flat_map(|a| &a.present).any(|s| chosen.iter().any(|a| a.absent.contains(s)));
        if let Some(alone) = silent {
            return Err(confused(
                format!("`{}` does not go with other answers", alone.say),
                "give one or the other",
            ));
        }
        if clash {
            return Err(confused("these answers do not go together", "give one or the other"));
        }
    }
    if !sure && chosen.iter().all(|a| a.present.is_empty()) {
        return Err(confused(
            "`probably` goes with something that was seen",
            "answer without it, or `don't know`",
        ));
    }
    Ok(Said::Picked { answers: places, sure })
}

/// The answer that a few words mean.
fn which(rules: &RuleBase, answers: &[Answer], text: &str) -> Result<usize, Confusion> {
    let text = text.trim();
    if let Ok(number) = text.parse::<usize>() {
        return match number.checked_sub(1) {
            Some(at) if at < answers.len() => Ok(at),
            _ => Err(confused(
                format!("there is no answer {number}"),
                format!("they are 1 to {}", answers.len()),
            )),
        };
    }
    let wanted = normal(text);
    if wanted.is_empty() {
        return Err(confused("nothing was said", "give a number, words of an answer, or `help`"));
    }
    let short = match wanted.as_str() {
        "y" | "ye" | "yeah" | "yep" => "yes",
        "n" | "nope" | "none" => "no",
        other => other,
    };
    let says = |a: &Answer| normal(&a.say) == wanted || a.also.iter().any(|w| normal(w) == short);
    if let Some(at) = answers.iter().position(says) {
        return Ok(at);
    }
    let only = |fits: &dyn Fn(&Answer) -> bool| {
        let mut found = answers.iter().enumerate().filter(|(_, a)| fits(a)).map(|(at, _)| at);
        found.next().filter(|_| found.next().is_none())
    };
    // A sign by its id, title or other word stands for the one answer that reports it.
    let named = |a: &Answer| {
        a.present.iter().any(|s| {
            let sign = rules.sign(*s);
            normal(&sign.id) == wanted
                || normal(&sign.title) == wanted
                || sign.synonyms.iter().any(|w| normal(w) == wanted)
        })
    };
    if let Some(at) = only(&named) {
        return Ok(at);
    }
    choose(text, answers.iter().map(|a| vec![a.say.as_str()]))
}

/// The one of some names that a few words are part of.
fn choose<'a>(text: &str, names: impl Iterator<Item = Vec<&'a str>>) -> Result<usize, Confusion> {
    let wanted = normal(text);
    let words: Vec<&str> = wanted.split(' ').collect();
    let names: Vec<Vec<&str>> = names.collect();
    let part = |name: &str| {
        let name = normal(name);
        let all: Vec<&str> = name.split(' ').collect();
        words.iter().all(|w| all.iter().any(|n| n == w || (w.len() > 2 && n.starts_with(w))))
    };
    let fits: Vec<usize> = (0..names.len()).filter(|at| names[*at].iter().any(|n| part(n))).collect();
    match fits[..] {
        [one] => Ok(one),
        [] => Err(confused(
            format!("`{}` is none of the answers", shown(text)),
            "give a number, words of an answer, `don't know` or `skip`; `help` lists all commands",
        )
        .strange()),
        _ => {
            let which: Vec<String> =
                fits.iter().filter_map(|at| Some(format!("{} {}", at + 1, names[*at].first()?))).collect();
            Err(confused(format!("`{}` fits several answers", shown(text)), which.join("; ")))
        }
    }
}

fn value(rules: &RuleBase, fact: FactKey, text: &str) -> Result<Said, Confusion> {
    let values = &rules.fact(fact).values;
    if let Ok(number) = text.parse::<usize>() {
        return match number.checked_sub(1) {
            Some(at) if at < values.len() => Ok(Said::Value(at)),
            _ => Err(confused(
                format!("there is no answer {number}"),
                format!("they are 1 to {}", values.len()),
            )),
        };
    }
    let wanted = normal(text);
    let is = |t: &str| normal(t) == wanted;
    // Of two values that are a thing and its lack a yes is the thing.
    let lack = |t: &str| normal(t).starts_with("no ");
    if let ("yes" | "y", [one, other]) = (wanted.as_str(), &values[..])
        && lack(&one.title) != lack(&other.title)
    {
        return Ok(Said::Value(usize::from(lack(&one.title))));
    }
    if let Some(at) =
        values.iter().position(|v| is(&v.id) || is(&v.title) || v.synonyms.iter().any(|s| is(s)))
    {
        return Ok(Said::Value(at));
    }
    if wanted.is_empty() {
        return Err(confused("nothing was said", "give a number, words of an answer, or `help`"));
    }
    choose(text, values.iter().map(|v| vec![v.title.as_str(), v.id.as_str()])).map(Said::Value)
}

/// A reply inside a message: short, and without what could steer a terminal.
fn shown(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c }).take(40).collect()
}
