//! The template engine as every page uses it.

use crate::document::visible;
use minijinja::value::ValueKind;
use minijinja::{Environment, Value, escape_formatter};

/// Units that stay on the line of their number.
const UNITS: [&str; 19] = [
    "°C", "°F", "%", "K", "K/h", "mm", "cm", "g", "kg", "bar", "mbar", "s", "min", "h", "ppm", "dwt", "J", "W", "N",
];

/// An engine without templates. Values are escaped (the templates' names end in .html), steering characters are
/// shown, and no line breaks between a number and its unit.
pub fn environment() -> Environment<'static> {
    let mut environment = Environment::new();
    environment.set_formatter(|out, state, value| {
        let plain = value.kind() == ValueKind::String && !value.is_safe();
        match value.as_str() {
            Some(text) if plain => escape_formatter(out, state, &Value::from(unbroken(&visible_lines(text)))),
            _ => escape_formatter(out, state, value),
        }
    });
    environment
}

fn visible_lines(text: &str) -> String {
    text.split('\n').map(visible).collect::<Vec<_>>().join("\n")
}

/// A text in which the space between a number and its unit is one at which no line ends.
fn unbroken(text: &str) -> String {
    let mut glued = String::with_capacity(text.len());
    let mut words = text.split(' ').peekable();
    while let Some(word) = words.next() {
        glued.push_str(word);
        let Some(next) = words.peek() else { break };
        let number = word.ends_with(|c: char| c.is_ascii_digit());
        let unit = next.trim_end_matches(['.', ',', ';', ':', ')']);
        glued.push(if number && UNITS.contains(&unit) { '\u{a0}' } else { ' ' });
    }
    glued
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_keeps_its_unit_and_a_text_its_words() {
        for (text, wanted) in [
            ("at 680 °C, 160 K above", "at 680\u{a0}°C, 160\u{a0}K above"),
            ("52 % -> 17 %.", "52\u{a0}% -> 17\u{a0}%."),
            ("3 have K", "3 have K"),
            ("a  b ", "a  b "),
            ("", ""),
        ] {
            assert_eq!(unbroken(text), wanted);
        }
    }

    #[test]
    fn what_steers_is_shown_and_what_is_markup_is_escaped() {
        let mut environment = environment();
        environment.add_template("x.html", "{{ text }}{{ safe }}").unwrap();
        let given = minijinja::context! {
            text => "<b>\u{202e}\u{1b}\n", safe => Value::from_safe_string("<i>1 K</i>".to_owned())
        };
        let page = environment.get_template("x.html").unwrap().render(given).unwrap();
        assert_eq!(page, "&lt;b&gt;\u{fffd}\u{fffd}\n<i>1 K</i>");
    }
}
