//! `aftercast rules sources`: what the rules rest on.

use crate::cli::failure::{Failure, Outcome};
use crate::cli::output::Out;
use crate::cli::style::{HEADING, paint};
use crate::cli::{Format, rule_base};
use crate::rules::basis::{all, uses};
use crate::rules::{Basis, RuleBase, Source};
use serde::Serialize;
use std::path::Path;

const SCHEMA: u32 = 1;

/// List every published source with what rests on it
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Arguments {
    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Debug, Serialize)]
struct Answer {
    schema: u32,
    published: usize,
    common_practice: usize,
    memory: usize,
    sources: Vec<Entry>,
}

#[derive(Debug, Serialize)]
struct Entry {
    key: String,
    title: String,
    author: Option<String>,
    year: Option<String>,
    place: String,
    read: String,
    used_by_physics: bool,
    rests_on_it: Vec<Use>,
}

#[derive(Debug, Serialize)]
struct Use {
    what: String,
    at: String,
}

pub(super) fn run(arguments: &Arguments, folder: Option<&Path>, out: &mut Out) -> Result<Outcome, Failure> {
    let rules = rule_base::sound(folder)?;
    let answer = answer(&rules);
    match arguments.format {
        Format::Text => text(&answer, out),
        Format::Json => out.json(&answer)?,
    }
    Ok(Outcome::Done)
}

fn answer(rules: &RuleBase) -> Answer {
    let mut answer =
        Answer { schema: SCHEMA, published: 0, common_practice: 0, memory: 0, sources: Vec::new() };
    for one in all(rules) {
        match one.basis {
            Basis::Published { .. } => answer.published += 1,
            Basis::CommonPractice => answer.common_practice += 1,
            Basis::Memory => answer.memory += 1,
        }
    }
    let mut used = uses(rules);
    answer.sources = rules
        .source_keys()
        .map(|key| {
            let Source { id, title, author, year, place, read, physics } = rules.source(key).clone();
            let rests = used.remove(&key).unwrap_or_default();
            Entry {
                key: id,
                title,
                author,
                year,
                place,
                read,
                used_by_physics: physics,
                rests_on_it: rests.into_iter().map(|(what, at)| Use { what, at }).collect(),
            }
        })
        .collect();
    answer
}

fn text(answer: &Answer, out: &mut Out) {
    let whole = (answer.published + answer.common_practice + answer.memory).max(1);
    #[expect(clippy::cast_precision_loss, reason = "a few thousand rules")]
    let share = |n: usize| 100.0 * n as f64 / whole as f64;
    out.line(paint(HEADING, "what the rules and their numbers rest on"));
    for (name, count) in [
        ("published", answer.published),
        ("common practice", answer.common_practice),
        ("memory", answer.memory),
    ] {
        out.line(format!("  {name:<16}{count:>6}{:>6.0} %", share(count)));
    }
    for source in &answer.sources {
        out.gap();
        out.line(paint(HEADING, &source.key));
        let parts =
            [source.author.as_deref(), Some(&source.title), Some(&source.place), source.year.as_deref()];
        out.hang("  ", &parts.into_iter().flatten().collect::<Vec<_>>().join(". "));
        let physics = if source.used_by_physics { "; the formulas rest on it" } else { "" };
        out.hang("  ", &format!("read: {}{physics}", source.read));
        // Places are few and what rests on them is much: grouped by place.
        let mut places: Vec<(&str, Vec<&str>)> = Vec::new();
        for one in &source.rests_on_it {
            match places.iter_mut().find(|(at, _)| *at == one.at) {
                Some((_, what)) => what.push(&one.what),
                None => places.push((&one.at, vec![&one.what])),
            }
        }
        for (at, what) in places {
            out.hang_whole("    ", &format!("{at}: {}", what.join("; ")));
        }
    }
}
