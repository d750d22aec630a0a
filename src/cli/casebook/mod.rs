//! `aftercast casebook`: the shop's memory, and the school for new staff.

mod book;
mod find;
pub(super) mod job;
mod list;
mod quiz;
pub(super) mod record;
pub(super) mod shelf;
mod show;
mod teach;

use super::failure::{Failure, Outcome};
use super::output::Out;
use super::rule_base;
use crate::casebook::index::Part;
use crate::casebook::learn::Counts;
use crate::rules::RuleBase;
use shelf::{Place, Shelf};
use std::path::Path;

/// What to do with the casebook.
#[derive(Debug, clap::Subcommand)]
pub(super) enum Command {
    List(list::Arguments),
    Show(show::Arguments),
    Search(find::SearchArguments),
    Like(find::LikeArguments),
    Teach(teach::Arguments),
    Quiz(quiz::Arguments),
    Add(record::AddArguments),
    Close(record::CloseArguments),
    Book(book::Arguments),
}

pub(super) fn run(
    command: &Command,
    rules: Option<&Path>,
    casebook: Option<&Path>,
    out: &mut Out,
) -> Result<Outcome, Failure> {
    let rules = rule_base::sound(rules)?;
    let place = Place::of(casebook);
    let rows = || Shelf::open(&rules, &place, Part::Rows);
    match command {
        Command::List(a) => list::run(a, &rows()?, out),
        Command::Show(a) => show::run(a, &rows()?, out),
        Command::Search(a) => find::search(a, &rules, &place, out),
        Command::Like(a) => find::like(a, &rules, &place, out),
        Command::Teach(a) => teach::run(a, &rows()?, out),
        Command::Quiz(a) => quiz::run(a, &rows()?),
        Command::Add(a) => record::add(a, &rules, &place, out),
        Command::Book(a) => book::run(a, &rows()?, out),
        Command::Close(a) => record::close(a, &rules, &place, out),
    }
}

/// Tunes the rules by the shop's closed cases; what was counted, when there was anything to count.
pub(super) fn tune(rules: &mut RuleBase, casebook: Option<&Path>) -> Result<Option<Counts>, Failure> {
    let counts = Place::of(casebook).counts(rules)?;
    counts.tune(rules);
    Ok((counts.closed > 0).then_some(counts))
}
