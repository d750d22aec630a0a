//! What the caster typed, as an answer to a question: by number, by id, or in words.

use super::spoken::{Which, is_unknown, parts, which as number, without_probably, yes_or_no};
use super::state::Said;
use crate::rules::names::{near_alloys, normal, read_alloy};
use crate::rules::{Answer, FactKey, QuantityKey, QuestionKey, Reveals, RuleBase};
use crate::sheet::read_setting;
use crate::units::UnitError;

/// Why a reply is no answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Confusion {
    /// What is wrong, in words.
    pub message: String,
    /// The way out.
    pub help: String,
    /// Nothing in it looks like an answer: it may be about something else.
    pub strange: bool,
    /// It is a number that lacks its unit only.
    pub lacks_unit: bool,
}

fn confused(message: impl Into<String>, help: impl Into<String>) -> Confusion {
    Confusion { message: message.into(), help: help.into(), strange: false, lacks_unit: false }
}

impl Confusion {
    fn strange(self) -> Self {
        Self { strange: true, ..self }
    }
}

/// Reads a reply to a question.
///
/// # Errors
/// [`Confusion`] with what would be understood.
pub fn read_reply(rules: &RuleBase, question: QuestionKey, text: &str) -> Result<Said, Confusion> {
    if is_unknown(text) {
        return Ok(Said::Unknown);
    }
    // Of a figure, a fact or an alloy nothing is weighed by how sure it is.
    let (plain, _) = without_probably(text);
    match &rules.question(question).reveals {
        Reveals::Signs { answers, many } => picked(rules, answers, *many, text.trim()),
        Reveals::Quantity(quantity) => figure(rules, *quantity, plain),
        Reveals::Fact(fact) => value(rules, *fact, plain),
        Reveals::Alloy => match read_alloy(rules, plain) {
            Some(read) => Ok(Said::Alloy(read.name)),
            None => {
                let near = near_alloys(rules, plain, 5);
                let help = if near.is_empty() {
                    "name an alloy, a family such as au-14y, or a metal such as silver".to_owned()
                } else {
                    format!("nearest: {}", near.join(", "))
                };
                Err(confused(format!("no alloy is called `{}`", shown(plain)), help).strange())
            }
        },
    }
}

/// What was made of a reply that leaves something to be told: a figure in the unit in which it was given, an alloy that
/// was chosen among several.
pub fn remark(rules: &RuleBase, question: QuestionKey, text: &str, said: &Said) -> Option<String> {
    let (plain, _) = without_probably(text);
    match (said, &rules.question(question).reveals) {
        (Said::Figure(value), Reveals::Quantity(quantity)) => {
            let dimension = rules.quantity(*quantity).dimension;
            Some(dimension.retell(plain, *value)).filter(|told| *told != dimension.show(*value))
        }
        (Said::Alloy(_), _) => read_alloy(rules, plain)?.choice,
        _ => None,
    }
}

fn figure(rules: &RuleBase, quantity: QuantityKey, text: &str) -> Result<Said, Confusion> {
    let quantity = rules.quantity(quantity);
    let units = if quantity.dimension.is_bare() { "a plain number" } else { "a number with its unit" };
    let confusion = |message: String| confused(message, format!("write {units}, or `don't know`"));
    match quantity.dimension.parse(text) {
        Ok(_) => read_setting(&format!("{}={text}", quantity.id))
            .map(|(_, value)| Said::Figure(value))
            .map_err(confusion),
        Err(error) => {
            let digit = text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.'));
            let lacks_unit = matches!(error, UnitError::MissingUnit { .. });
            let strange = match error {
                UnitError::NotANumber { .. } => true,
                // `a bit hot`.
                UnitError::UnknownUnit { .. } => !digit,
                _ => false,
            };
            Err(Confusion { strange, lacks_unit, ..confusion(error.to_string()) })
        }
    }
}

fn picked(rules: &RuleBase, answers: &[Answer], many: bool, text: &str) -> Result<Said, Confusion> {
    let (rest, sure) = without_probably(text);
    let one = |part: &str| which(rules, answers, part);
    let mut places = match one(rest) {
        Ok(place) => vec![place],
        Err(confusion) => {
            let parts = parts(rest);
            if parts.len() < 2 {
                return Err(confusion);
            }
            let places: Result<Vec<usize>, Confusion> = parts.into_iter().map(one).collect();
            places.map_err(|wrong| if wrong.strange { confusion } else { wrong })?
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
            "if you looked and it is not there, say `no`; else `don't know`",
        ));
    }
    Ok(Said::Picked { answers: places, sure })
}

/// The answer that a reply gives by its number, if it does.
fn by_number(text: &str, says: &[&str]) -> Option<Result<usize, Confusion>> {
    let count = says.len();
    let at = match number(text)? {
        Which::Digits(number) => number.checked_sub(1),
        Which::Last => count.checked_sub(1),
        Which::Words(number) => {
            let at = number.checked_sub(1);
            // `one` may be a word of another answer.
            let fits = fitting(text, says.iter().map(|s| vec![*s]));
            if fits.iter().any(|other| Some(*other) != at) {
                let which = fits.iter().map(|at| format!("{} {}", at + 1, says[*at])).collect::<Vec<_>>();
                let message = format!("`{}` may be a number or a word of an answer", shown(text));
                return Some(Err(confused(
                    message,
                    format!("give the number in digits: {}", which.join("; ")),
                )));
            }
            at
        }
    };
    Some(at.filter(|at| *at < count).ok_or_else(|| {
        confused(format!("there is no answer `{}`", shown(text)), format!("they are 1 to {count}"))
    }))
}

/// The answer that a few words mean.
fn which(rules: &RuleBase, answers: &[Answer], text: &str) -> Result<usize, Confusion> {
    let text = text.trim();
    let says: Vec<&str> = answers.iter().map(|a| a.say.as_str()).collect();
    if let Some(numbered) = by_number(text, &says) {
        return numbered;
    }
    let wanted = normal(text);
    if wanted.is_empty() {
        return Err(confused("nothing was said", "give a number, words of an answer, or `help`"));
    }
    let short = yes_or_no(&wanted);
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
    let names: Vec<Vec<&str>> = names.collect();
    let fits = fitting(text, names.iter().cloned());
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

/// The names that a few words are part of.
fn fitting<'a>(text: &str, names: impl Iterator<Item = Vec<&'a str>>) -> Vec<usize> {
    let wanted = normal(text);
    let words: Vec<&str> = wanted.split(' ').collect();
    let part = |name: &str| {
        let name = normal(name);
        let all: Vec<&str> = name.split(' ').collect();
        words.iter().all(|w| all.iter().any(|n| n == w || (w.len() > 2 && n.starts_with(w))))
    };
    names.enumerate().filter(|(_, names)| names.iter().any(|n| part(n))).map(|(at, _)| at).collect()
}

fn value(rules: &RuleBase, fact: FactKey, text: &str) -> Result<Said, Confusion> {
    let values = &rules.fact(fact).values;
    let titles: Vec<&str> = values.iter().map(|v| v.title.as_str()).collect();
    if let Some(numbered) = by_number(text, &titles) {
        return numbered.map(Said::Value);
    }
    let wanted = normal(text);
    let is = |t: &str| normal(t) == wanted;
    // Of two values that are a thing and its lack a yes is the thing.
    let lack = |t: &str| normal(t).starts_with("no ");
    if let ("yes", [one, other]) = (yes_or_no(&wanted), &values[..])
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
