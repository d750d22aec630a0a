//! `aftercast rules strength`: which numbers the answers hang on.

use super::cases;
use crate::casebook::strength::{Change, Effect, strength};
use crate::cli::failure::{Failure, Outcome};
use crate::cli::output::Out;
use crate::cli::style::{HEADING, paint};
use crate::cli::{Format, rule_base};
use crate::rules::RuleBase;
use serde::Serialize;
use std::path::Path;

const SCHEMA: u32 = 1;

/// Find the numbers that the answers hang on
///
/// Every strength and base rate that can matter is moved one word of
/// strengths.yaml up and one down, and the cases are asked again.
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast rules strength --cases tests/cases --limit 30")]
pub(in crate::cli) struct Arguments {
    #[command(flatten)]
    cases: cases::Chosen,

    /// How many numbers to show
    #[arg(long, value_name = "N", default_value_t = 20)]
    limit: usize,

    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Debug, Serialize)]
struct Answer {
    schema: u32,
    cases: usize,
    moved: usize,
    numbers: Vec<Number>,
}

#[derive(Debug, Serialize)]
struct Number {
    number: String,
    now: f64,
    up: Moved,
    down: Moved,
}

#[derive(Debug, Serialize)]
struct Moved {
    log_loss: f64,
    first: i32,
    in_three: i32,
}

pub(super) fn run(arguments: &Arguments, folder: Option<&Path>, out: &mut Out) -> Result<Outcome, Failure> {
    let rules = rule_base::sound(folder)?;
    let cases = cases::read(&arguments.cases, &rules)?;
    let effects = strength(&rules, &cases);
    let shown = &effects[..effects.len().min(arguments.limit)];
    match arguments.format {
        Format::Text => text(&rules, cases.len(), effects.len(), shown, out),
        Format::Json => out.json(&Answer {
            schema: SCHEMA,
            cases: cases.len(),
            moved: effects.len(),
            numbers: shown.iter().map(|e| number(&rules, e)).collect(),
        })?,
    }
    Ok(Outcome::Done)
}

fn number(rules: &RuleBase, effect: &Effect) -> Number {
    let moved = |c: Change| Moved { log_loss: c.log_loss, first: c.first, in_three: c.in_three };
    Number {
        number: effect.number.words(rules),
        now: effect.number.value(rules),
        up: moved(effect.up),
        down: moved(effect.down),
    }
}

/// Columns for the name of a number.
const NAME: usize = 43;

fn text(rules: &RuleBase, cases: usize, moved: usize, shown: &[Effect], out: &mut Out) {
    out.hang(
        "",
        &format!(
            "{moved} numbers moved one word, {cases} cases asked again. Log loss above 0 is worse; `first` is how \
             many more or fewer cases have a right cause first."
        ),
    );
    out.gap();
    let row = |cells: [&str; 6]| {
        let [name, now, up, up_first, down, down_first] = cells;
        format!("{name:<NAME$}{now:>7} {up:>8} {up_first:>5} {down:>8} {down_first:>5}")
    };
    out.line(paint(HEADING, &row(["number", "now", "up: loss", "first", "down", "first"])));
    for effect in shown {
        let name = effect.number.words(rules);
        // A name that is too long gets a line of its own.
        let name = if name.chars().count() > NAME {
            out.hang_whole("", &name);
            String::new()
        } else {
            name
        };
        out.line(row([
            &name,
            &format!("{:.3}", effect.number.value(rules)),
            &format!("{:+.3}", effect.up.log_loss),
            &count(effect.up.first),
            &format!("{:+.3}", effect.down.log_loss),
            &count(effect.down.first),
        ]));
    }
}

fn count(change: i32) -> String {
    if change == 0 { ".".to_owned() } else { format!("{change:+}") }
}
