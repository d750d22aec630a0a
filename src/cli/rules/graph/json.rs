//! The picture as a list of records and of links.

use super::picture::{Arrow, Picture};
use super::{kind, title};
use crate::rules::RuleBase;
use crate::rules::graph::Rule;
use serde::Serialize;

const SCHEMA: u32 = 1;

#[derive(Debug, Serialize)]
pub(super) struct Answer<'a> {
    schema: u32,
    records: Vec<Record<'a>>,
    links: Vec<Link<'a>>,
}

#[derive(Debug, Serialize)]
struct Record<'a> {
    id: &'a str,
    kind: &'static str,
    title: &'a str,
}

/// A record that brings, shows, cures or asks for another.
#[derive(Debug, Serialize)]
struct Link<'a> {
    from: End<'a>,
    to: End<'a>,
    /// `null` where a link has none.
    strength: Option<f64>,
    /// A remedy that may bring the cause in, and not cure it.
    harms: bool,
}

#[derive(Debug, Serialize)]
struct End<'a> {
    id: &'a str,
    kind: &'static str,
}

pub(super) fn answer<'a>(rules: &'a RuleBase, picture: &Picture) -> Answer<'a> {
    let end = |rule: Rule| End { id: rule.id(rules), kind: kind(rule) };
    let record = |rule: &Rule| Record { id: rule.id(rules), kind: kind(*rule), title: title(rules, *rule) };
    let link = |a: &Arrow| Link { from: end(a.from), to: end(a.to), strength: a.strength, harms: a.harms };
    Answer {
        schema: SCHEMA,
        records: picture.layers.iter().flatten().map(record).collect(),
        links: picture.arrows.iter().map(link).collect(),
    }
}
