//! `aftercast start`: a starting process sheet.

use super::failure::{Failure, Outcome};
use super::output::Out;
use super::{files, rule_base};
use crate::advice::start::{Equipment, Request, plan};
use crate::document::visible;
use crate::rules::names::normal;
use crate::rules::{RuleBase, Section};
use crate::units::{Dimension, Grams, Millimetres};
use std::path::{Path, PathBuf};

/// Write a starting process sheet for an alloy and a kind of piece
///
/// Every figure carries its reason and where it comes from as a comment. Change
/// what your shop knows better, then hold it against its limits with `check`.
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast start --alloy sterling --section medium --wax 14.2g")]
pub(super) struct Arguments {
    /// The alloy, by id or by the name casters use
    #[arg(long, value_name = "NAME")]
    alloy: String,

    /// How thick the pieces mostly are: thin under about 1.2 mm, heavy over about 3 mm
    #[arg(long, value_enum)]
    section: Thickness,

    /// How the metal is driven in
    #[arg(long, value_enum, default_value_t = Caster::VacuumPressure)]
    equipment: Caster,

    /// Wax weight of the whole tree, such as 14.2g
    #[arg(long, value_name = "MASS", value_parser = mass)]
    wax: Option<f64>,

    /// Thinnest part, such as 0.8mm
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    thinnest: Option<f64>,

    /// Heaviest part, such as 4mm
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    heaviest: Option<f64>,

    /// Stones are set in the wax
    #[arg(long)]
    stones: bool,

    /// What the pattern is made of: wax, printed-resin or organic
    #[arg(long, value_name = "KIND")]
    pattern: Option<String>,

    /// Diameter of the flask, such as 90mm
    #[arg(long, value_name = "LENGTH", value_parser = flask)]
    flask_diameter: Option<f64>,

    /// Write the sheet to this new file; a file that exists is left alone
    #[arg(long, value_name = "FILE")]
    output: Option<PathBuf>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Thickness {
    Thin,
    Medium,
    Heavy,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Caster {
    /// A closed caster: purged, melted under gas, cast under pressure
    VacuumPressure,
    /// Vacuum under the flask, the melt open above
    VacuumAssist,
    /// Spun on an arm
    Spun,
    /// Poured by hand
    Gravity,
}

fn within(dimension: Dimension, text: &str, low: f64, high: f64) -> Result<f64, String> {
    let value = dimension.parse(text).map_err(|e| e.to_string())?;
    if (low..=high).contains(&value) {
        Ok(value)
    } else {
        Err(format!(
            "{} is outside {} to {}",
            dimension.show(value),
            dimension.show(low),
            dimension.show(high)
        ))
    }
}
fn mass(text: &str) -> Result<f64, String> {
    within(Dimension::Mass, text, 0.5, 300.0)
}
fn length(text: &str) -> Result<f64, String> {
    within(Dimension::Length, text, 0.15, 10.0)
}
fn flask(text: &str) -> Result<f64, String> {
    within(Dimension::Length, text, 40.0, 200.0)
}

pub(super) fn run(arguments: &Arguments, folder: Option<&Path>, out: &mut Out) -> Result<Outcome, Failure> {
    let rules = rule_base::sound(folder)?;
    let request = request(arguments, &rules)?;
    let plan = plan(&rules, &request);
    let text = plan.yaml();
    let Some(path) = &arguments.output else {
        out.line(text.trim_end());
        return Ok(Outcome::Done);
    };
    files::write(path, text.as_bytes(), false)?;
    out.hang("", &format!("wrote {}", path.display()));
    for remark in &plan.remarks {
        out.hang("  ", remark);
    }
    Ok(Outcome::Done)
}

fn request(arguments: &Arguments, rules: &RuleBase) -> Result<Request, Failure> {
    let pattern = match &arguments.pattern {
        None => None,
        Some(word) => Some(pattern(rules, word)?),
    };
    if let (Some(thin), Some(heavy)) = (arguments.thinnest, arguments.heaviest)
        && thin > heavy
    {
        return Err(Failure::usage("the thinnest part is thicker than the heaviest"));
    }
    Ok(Request {
        alloy: rule_base::one_alloy(rules, &arguments.alloy)?,
        section: match arguments.section {
            Thickness::Thin => Section::Thin,
            Thickness::Medium => Section::Medium,
            Thickness::Heavy => Section::Heavy,
        },
        equipment: match arguments.equipment {
            Caster::VacuumPressure => Equipment::VacuumPressure,
            Caster::VacuumAssist => Equipment::VacuumAssist,
            Caster::Spun => Equipment::Spun,
            Caster::Gravity => Equipment::Gravity,
        },
        wax: arguments.wax.map(Grams::new),
        thinnest: arguments.thinnest.map(Millimetres::new),
        heaviest: arguments.heaviest.map(Millimetres::new),
        stones: arguments.stones,
        pattern,
        flask_diameter: arguments.flask_diameter.map(Millimetres::new),
    })
}

fn pattern(rules: &RuleBase, word: &str) -> Result<usize, Failure> {
    let values = rules.find_fact("pattern").map_or(&[][..], |f| &rules.fact(f).values);
    let wanted = normal(word);
    let is = |t: &String| normal(t) == wanted;
    values.iter().position(|v| is(&v.id) || is(&v.title) || v.synonyms.iter().any(is)).ok_or_else(|| {
        let ids: Vec<&str> = values.iter().map(|v| v.id.as_str()).collect();
        Failure::usage(format!("`{}` is no kind of pattern", visible(word)))
            .with_help(format!("allowed: {}", ids.join(", ")))
    })
}
