//! `aftercast rules graph`: a picture of the rules, layered left to right.

mod dot;
mod json;
mod picture;
mod svg;
mod text;

use super::show::unknown;
use crate::cli::failure::{Failure, Outcome};
use crate::cli::output::Out;
use crate::cli::rule_base;
use crate::rules::graph::{Rule, RuleGraph};
use crate::rules::{RuleBase, SignKey};
use picture::Picture;
use std::path::Path;

/// Draw the rules: causes on the left, defects, signs on the right
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast rules graph --focus gas-porosity --format svg > gas.svg")]
pub(in crate::cli) struct Arguments {
    /// Only this cause, defect, sign, question or remedy and what hangs on it
    #[arg(long, value_name = "ID")]
    focus: Option<String>,

    /// How to draw
    #[arg(long, value_enum, default_value_t = Form::Text)]
    format: Form,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Form {
    /// At most a screen of text
    Text,
    /// A picture for a browser
    Svg,
    /// For programs that lay out graphs
    Dot,
    /// For other programs; README.md has the schema
    Json,
}

pub(super) fn run(arguments: &Arguments, folder: Option<&Path>, out: &mut Out) -> Result<Outcome, Failure> {
    let rules = rule_base::sound(folder)?;
    let graph = RuleGraph::new(&rules);
    let focus = arguments.focus.as_deref().map(|id| find(&rules, id)).transpose()?;
    let picture = match focus {
        Some(rule) => Picture::about(&rules, &graph, rule),
        None => Picture::whole(&rules, &graph),
    };
    match arguments.format {
        Form::Svg => out.line(svg::draw(&rules, &picture)),
        Form::Dot => out.line(dot::draw(&rules, &picture)),
        Form::Json => out.json(&json::answer(&rules, &picture))?,
        Form::Text if focus.is_some() => text::focused(&rules, &picture, out),
        Form::Text => text::whole(&rules, &graph, out),
    }
    Ok(Outcome::Done)
}

/// A defect before a sign before a question of the same id: the graph is about what goes wrong.
fn find(rules: &RuleBase, id: &str) -> Result<Rule, Failure> {
    rules
        .find_cause(id)
        .map(Rule::Cause)
        .or_else(|| rules.find_defect(id).map(Rule::Defect))
        .or_else(|| rules.find_sign(id).map(|k: SignKey| Rule::Sign(k)))
        .or_else(|| rules.find_remedy(id).map(Rule::Remedy))
        .or_else(|| rules.find_question(id).map(Rule::Question))
        .ok_or_else(|| unknown(rules, id))
}

/// The title of a record.
fn title(rules: &RuleBase, rule: Rule) -> &str {
    match rule {
        Rule::Cause(k) => &rules.cause(k).title,
        Rule::Defect(k) => &rules.defect(k).title,
        Rule::Sign(k) => &rules.sign(k).title,
        Rule::Question(k) => &rules.question(k).ask,
        Rule::Remedy(k) => &rules.remedy(k).title,
    }
}

/// The kind of a record, also the class of its box.
fn kind(rule: Rule) -> &'static str {
    match rule {
        Rule::Cause(_) => "cause",
        Rule::Defect(_) => "defect",
        Rule::Sign(_) => "sign",
        Rule::Question(_) => "question",
        Rule::Remedy(_) => "remedy",
    }
}
