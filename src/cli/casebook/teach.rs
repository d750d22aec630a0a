//! `casebook teach`: a path from easy to hard.

use super::list;
use super::shelf::Shelf;
use crate::advice::findings::lower_first;
use crate::casebook::teach::{Step, path};
use crate::cli::Format;
use crate::cli::failure::{Failure, Outcome};
use crate::cli::output::Out;
use serde::Serialize;

/// Show a path through the cases from easy to hard, with what each teaches
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast casebook teach --level 1")]
pub(in crate::cli) struct Arguments {
    /// Only cases of this level: 1 plain, 2 needs a closer look, 3 has a tempting wrong answer
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(1..=3))]
    level: Option<u8>,

    /// How many steps to show
    #[arg(long, value_name = "N", default_value_t = 12, value_parser = clap::value_parser!(u16).range(1..=1000))]
    top: u16,

    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Debug, Serialize)]
struct Lesson<'a> {
    #[serde(flatten)]
    row: list::Row<'a>,
    new_defects: Vec<&'a str>,
    new_causes: Vec<&'a str>,
    lesson: Option<&'a str>,
}

#[derive(Debug, Serialize)]
struct Answer<'a> {
    schema: u32,
    cases: Vec<Lesson<'a>>,
}

pub(super) fn run(arguments: &Arguments, shelf: &Shelf<'_>, out: &mut Out) -> Result<Outcome, Failure> {
    let rules = shelf.rules;
    let steps: Vec<Step> =
        path(&shelf.index).into_iter().filter(|s| arguments.level.is_none_or(|l| s.level == l)).collect();
    let shown = &steps[..steps.len().min(usize::from(arguments.top))];
    let whole =
        shown.iter().map(|s| shelf.case(&shelf.index.entry(s.at))).collect::<Result<Vec<_>, Failure>>()?;
    if arguments.format == Format::Json {
        let cases = shown
            .iter()
            .zip(&whole)
            .map(|(s, case)| Lesson {
                row: list::row(rules, &shelf.index.entry(s.at)),
                new_defects: s.new_defects.iter().map(|d| rules.defect(*d).id.as_str()).collect(),
                new_causes: s.new_causes.iter().map(|c| rules.cause(*c).id.as_str()).collect(),
                lesson: case.lesson.as_deref(),
            })
            .collect();
        out.json(&Answer { schema: 1, cases })?;
        return Ok(Outcome::Done);
    }
    for (number, (step, case)) in shown.iter().zip(&whole).enumerate() {
        out.hang(&format!("{:>3}. ", number + 1), &format!("{}: {}", case.id, case.title));
        let mut news: Vec<String> =
            step.new_defects.iter().map(|d| lower_first(&rules.defect(*d).title)).collect();
        news.extend(step.new_causes.iter().map(|c| lower_first(&rules.cause(*c).title)));
        let news =
            if news.is_empty() { "repetition".to_owned() } else { format!("new: {}", news.join("; ")) };
        out.hang("     ", &news);
        if let Some(lesson) = &case.lesson {
            out.hang("     ", lesson);
        }
    }
    out.gap();
    let left = steps.len() - shown.len();
    if left > 0 {
        out.line(format!("and {left} more; --top shows them"));
    }
    out.hang("", "Read one with `aftercast casebook show ID`, then try `aftercast casebook quiz`.");
    Ok(Outcome::Done)
}
