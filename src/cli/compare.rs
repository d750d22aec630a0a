//! `aftercast compare`: two process sheets side by side, with the risk that each carries by itself.

use super::diagnose::whatif::{differing, unlike};
use super::failure::{Failure, Outcome};
use super::output::{Out, percent};
use super::style::{HEADING, paint};
use super::{Format, rule_base};
use crate::advice::Model;
use crate::rules::RuleBase;
use crate::sheet::Sheet;
use serde::Serialize;
use std::path::{Path, PathBuf};

/// Set two process sheets side by side with the risks that each carries
///
/// Nothing need have gone wrong: the chances are those before any cast.
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast compare monday.yaml tuesday.yaml")]
pub(super) struct Arguments {
    /// The one sheet
    #[arg(value_name = "A.yaml")]
    a: PathBuf,

    /// The other
    #[arg(value_name = "B.yaml")]
    b: PathBuf,

    /// How many causes and defects to show
    #[arg(long, value_name = "N", default_value_t = 8, value_parser = clap::value_parser!(u16).range(1..=200))]
    top: u16,

    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Debug, Serialize)]
struct Answer {
    schema: u32,
    a: String,
    b: String,
    differing: Vec<Difference>,
    causes: Vec<Risk>,
    defects: Vec<Risk>,
    warnings: Vec<Warned>,
}

/// A figure to look at again, and on which of the two sheets.
#[derive(Debug, Serialize)]
struct Warned {
    sheet: &'static str,
    #[serde(flatten)]
    warning: rule_base::Warning,
}

#[derive(Debug, Serialize)]
struct Difference {
    field: String,
    a: Option<String>,
    b: Option<String>,
}

#[derive(Debug, Serialize)]
struct Risk {
    id: String,
    title: String,
    a: f64,
    b: f64,
}

pub(super) fn run(arguments: &Arguments, folder: Option<&Path>, out: &mut Out) -> Result<Outcome, Failure> {
    let rules = rule_base::sound(folder)?;
    if arguments.a == Path::new("-") && arguments.b == Path::new("-") {
        return Err(Failure::usage("only one of the two sheets can come from the standard input"));
    }
    let (a, warnings_a) = rule_base::sheet(&rules, &arguments.a)?;
    let (b, warnings_b) = rule_base::sheet(&rules, &arguments.b)?;
    let risks = |sheet: &Sheet| risks(&rules, sheet);
    let ((causes_a, defects_a), (causes_b, defects_b)) = (risks(&a)?, risks(&b)?);
    let pair = |ids: Vec<(String, String)>, a: Vec<f64>, b: Vec<f64>| -> Vec<Risk> {
        let all = ids.into_iter().zip(a.into_iter().zip(b));
        let mut all: Vec<Risk> = all.map(|((id, title), (a, b))| Risk { id, title, a, b }).collect();
        all.sort_by(|x, y| (y.a - y.b).abs().total_cmp(&(x.a - x.b).abs()));
        all
    };
    let answer = Answer {
        schema: 1,
        a: arguments.a.display().to_string(),
        b: arguments.b.display().to_string(),
        differing: differences(&rules, &a, &b),
        causes: pair(
            rules.causes.iter().map(|c| (c.id.clone(), c.title.clone())).collect(),
            causes_a,
            causes_b,
        ),
        defects: pair(
            rules.defects.iter().map(|d| (d.id.clone(), d.title.clone())).collect(),
            defects_a,
            defects_b,
        ),
        warnings: [("a", &a), ("b", &b)]
            .into_iter()
            .flat_map(|(name, sheet)| {
                rule_base::warnings(sheet).into_iter().map(move |warning| Warned { sheet: name, warning })
            })
            .collect(),
    };
    match arguments.format {
        Format::Json => out.json(&answer)?,
        Format::Text => {
            for warnings in [warnings_a, warnings_b].iter().filter(|w| !w.is_empty()) {
                out.line(warnings.trim_end());
                out.gap();
            }
            print(&answer, usize::from(arguments.top), out);
        }
    }
    Ok(Outcome::Done)
}

/// Chances of causes and of defects before anything was seen.
fn risks(rules: &RuleBase, sheet: &Sheet) -> Result<(Vec<f64>, Vec<f64>), Failure> {
    let model = Model::new(rules, sheet).map_err(|e| Failure::usage(e.to_string()))?;
    let prepared = model.network.prepare(&model.evidence(&[])).map_err(|e| Failure::usage(e.to_string()))?;
    let posterior = prepared.posterior();
    let causes = rules.cause_keys().map(|k| posterior.cause(model.cause(k))).collect();
    let defects = rules.defect_keys().map(|k| posterior.node(model.defect(k))).collect();
    Ok((causes, defects))
}

fn differences(rules: &RuleBase, a: &Sheet, b: &Sheet) -> Vec<Difference> {
    let unlike = unlike(rules, a, b).into_iter().map(|(field, a, b)| Difference { field, a, b });
    let mut found: Vec<Difference> = unlike.collect();
    for (field, va, vb) in differing(a, b) {
        let show = |v: Option<f64>| v.map(|v| field.dimension().show(v));
        found.push(Difference { field: field.id().to_owned(), a: show(va), b: show(vb) });
    }
    found
}

fn print(answer: &Answer, top: usize, out: &mut Out) {
    out.hang("A: ", &answer.a);
    out.hang("B: ", &answer.b);
    out.gap();
    out.line(paint(HEADING, "What differs"));
    if answer.differing.is_empty() {
        out.line("     nothing that a sheet records");
    }
    for d in &answer.differing {
        let show = |v: &Option<String>| v.clone().unwrap_or_else(|| "not recorded".to_owned());
        out.hang("     ", &format!("{}: A {}, B {}", d.field, show(&d.a), show(&d.b)));
    }
    for (heading, risks) in [("Risk of causes", &answer.causes), ("Risk of defects", &answer.defects)] {
        out.gap();
        out.line(paint(HEADING, &format!("{heading}, the largest difference first")));
        out.line(format!("     {:>9} {:>9}", "A", "B"));
        let shown: Vec<&Risk> = risks.iter().filter(|r| (r.a - r.b).abs() >= 0.005).take(top).collect();
        if shown.is_empty() {
            out.line("     no difference of half a point or more");
        }
        for risk in shown {
            let mark = if risk.b > risk.a { "B worse" } else { "A worse" };
            let lead = format!("     {:>9} {:>9}  {mark}  ", percent(risk.a), percent(risk.b));
            out.hang(&lead, &risk.title);
        }
    }
    out.gap();
    out.hang(
        "",
        "Chances before any cast, given only what each sheet says. The percentages are the model's own: its \
         strengths are graded by hand from common practice, not counted.",
    );
}
