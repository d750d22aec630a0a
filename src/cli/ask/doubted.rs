//! A figure that is hardly meant, asked back once: what is usual, what it may have been instead, and what the caster says
//! to that.

use super::screen::capital;
use crate::cli::output::Out;
use crate::cli::style::{HEADING, paint};
use crate::interview::{Unlikely, is_unknown};
use crate::rules::QuestionKey;
use crate::rules::names::normal;
use crate::sheet::Field;

/// The figure, not noted yet.
pub(super) struct Doubted {
    pub(super) question: QuestionKey,
    pub(super) field: Field,
    pub(super) value: f64,
    /// As typed.
    pub(super) text: String,
    usual: (f64, f64),
    in_gypsum: bool,
    /// What may be said to it, by number.
    meant: Vec<Meant>,
}

/// What the caster says it was.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Meant {
    /// As typed.
    Typed,
    /// This figure, on the other scale of temperature.
    Scale(f64),
    /// Another figure of the sheet.
    Other(Field),
    /// Neither.
    Nothing,
}

impl Doubted {
    pub(super) fn new(question: QuestionKey, field: Field, value: f64, text: &str, doubt: Unlikely) -> Self {
        let mut meant = vec![Meant::Typed];
        meant.extend(doubt.other_scale.map(Meant::Scale));
        meant.extend(doubt.instead.into_iter().map(Meant::Other));
        let text = text.trim().to_owned();
        Self { question, field, value, text, usual: doubt.usual, in_gypsum: doubt.in_gypsum, meant }
    }

    /// The figure in words, in the unit in which it was typed.
    pub(super) fn words(&self) -> String {
        format!("{} {}", self.field.title(), self.field.dimension().retell(&self.text, self.value))
    }

    pub(super) fn ask(&self, out: &mut Out) {
        let dimension = self.field.dimension();
        let mould = if self.in_gypsum { " in gypsum" } else { "" };
        let (low, high) = (dimension.show(self.usual.0), dimension.show(self.usual.1));
        out.hang(
            &paint(HEADING, "Asked back. "),
            &format!("{} is unusual: usual is {low} to {high}{mould}. What was it?", capital(&self.words())),
        );
        for (at, meant) in self.meant.iter().enumerate() {
            let words = match meant {
                Meant::Other(field) => format!("that is the {}", field.title()),
                Meant::Scale(value) => format!("the other scale was meant: {}", dimension.show(*value)),
                Meant::Typed | Meant::Nothing => "it was so".to_owned(),
            };
            out.hang(&format!("{:>4}  ", at + 1), &words);
        }
        out.hang("  ", "`yes` or the same once more takes it; or type the right figure.");
    }

    /// What a line says to it; `None` if it is about something else.
    pub(super) fn read(&self, line: &str) -> Option<Meant> {
        let said = normal(line);
        if let Some(at) = said.parse::<usize>().ok().and_then(|n| n.checked_sub(1)) {
            // A bare number beyond the list is a figure that lacks its unit.
            return self.meant.get(at).copied();
        }
        let same = |value: f64| (value - self.value).abs() <= 1e-9 * self.value.abs().max(1.0);
        if matches!(said.as_str(), "yes" | "y" | "yeah" | "yep" | "it was so")
            || self.field.dimension().parse(line).is_ok_and(same)
        {
            return Some(Meant::Typed);
        }
        if matches!(said.as_str(), "no" | "n" | "nope") && !is_unknown(line) {
            return Some(Meant::Nothing);
        }
        self.meant.iter().copied().find(|meant| match meant {
            Meant::Other(field) => {
                let of_it =
                    |name: &str| said == normal(name) || said == normal(&format!("that is the {name}"));
                of_it(field.title()) || field.spoken().iter().any(|name| of_it(name))
            }
            _ => false,
        })
    }
}
