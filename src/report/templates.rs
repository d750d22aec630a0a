//! The template engine as every page uses it.

use crate::document::{glued, visible};
use minijinja::value::ValueKind;
use minijinja::{Environment, Value, escape_formatter};

/// An engine without templates. Values are escaped (the templates' names end in .html), characters that steer are
/// shown, and no line breaks between a number and its unit.
pub fn environment() -> Environment<'static> {
    let mut environment = Environment::new();
    environment.set_formatter(|out, state, value| {
        let plain = value.kind() == ValueKind::String && !value.is_safe();
        match value.as_str() {
            Some(text) if plain => escape_formatter(out, state, &Value::from(glued(&visible(text)))),
            _ => escape_formatter(out, state, value),
        }
    });
    environment
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_escaped_and_its_figures_keep_their_units() {
        let mut environment = environment();
        environment.add_template("x.html", "{{ text }} {{ safe }} {{ number }}").unwrap();
        let given = minijinja::context! {
            text => "<b>\u{202e}\u{1b} 680 °C, hot", number => 7,
            safe => Value::from_safe_string("<i>1 K</i>".to_owned())
        };
        let page = environment.get_template("x.html").unwrap().render(given).unwrap();
        assert_eq!(page, "&lt;b&gt;\u{fffd}\u{fffd} 680\u{a0}°C, hot <i>1 K</i> 7");
    }
}
