//! The few styles; none carries meaning alone.

use anstyle::{AnsiColor, Style};

pub(super) const HEADING: Style = Style::new().bold();
pub(super) const CAUTION: Style = AnsiColor::Yellow.on_default().bold();

/// Text in a style; anstream takes the codes out where no terminal shows them.
pub(super) fn paint(style: Style, text: &str) -> String {
    format!("{style}{text}{style:#}")
}
