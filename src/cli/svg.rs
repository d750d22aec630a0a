//! A small writer of SVG pictures: shapes, text, one style sheet. Numbers are pixels from the top left corner.

use std::fmt::Write as _;

/// Where a text stands against its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::cli) enum Anchor {
    /// The text begins there.
    Start,
    /// Its middle is there.
    Middle,
}

/// A picture being drawn; what comes later lies on top.
#[derive(Debug)]
pub(in crate::cli) struct Svg {
    width: f64,
    height: f64,
    title: String,
    style: &'static str,
    body: String,
}

impl Svg {
    /// An empty picture. `style` is CSS for the classes that the shapes name.
    pub(in crate::cli) fn new(width: f64, height: f64, title: &str, style: &'static str) -> Self {
        Self { width, height, title: escape(title), style, body: String::new() }
    }

    /// A box with round corners; `tip` shows when the pointer rests on it.
    pub(in crate::cli) fn boxed(&mut self, x: f64, y: f64, width: f64, height: f64, class: &str, tip: &str) {
        self.element(format_args!(
            "<rect x=\"{x:.1}\" y=\"{y:.1}\" width=\"{width:.1}\" height=\"{height:.1}\" rx=\"4\" class=\"{class}\">\
             <title>{}</title></rect>",
            escape(tip)
        ));
    }

    /// A line of text; `y` is its base line.
    pub(in crate::cli) fn text(&mut self, x: f64, y: f64, anchor: Anchor, class: &str, text: &str) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
        };
        self.element(format_args!(
            "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\" class=\"{class}\">{}</text>",
            escape(text)
        ));
    }

    /// A curve from left to right that leaves and arrives level.
    pub(in crate::cli) fn curve(
        &mut self,
        from: (f64, f64),
        to: (f64, f64),
        width: f64,
        class: &str,
        tip: &str,
    ) {
        let (x0, y0, x1, y1) = (from.0, from.1, to.0, to.1);
        let bend = (x1 - x0) / 2.0;
        self.element(format_args!(
            "<path d=\"M{x0:.1} {y0:.1} C{:.1} {y0:.1} {:.1} {y1:.1} {x1:.1} {y1:.1}\" stroke-width=\"{width:.1}\" \
             class=\"{class}\"><title>{}</title></path>",
            x0 + bend,
            x1 - bend,
            escape(tip)
        ));
    }

    fn element(&mut self, element: std::fmt::Arguments<'_>) {
        // Writing to a String cannot fail.
        let _ = writeln!(self.body, "{element}");
    }

    /// The whole picture.
    pub(in crate::cli) fn finish(self) -> String {
        let Self { width, height, title, style, body } = self;
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width:.0}\" height=\"{height:.0}\" \
             viewBox=\"0 0 {width:.0} {height:.0}\" role=\"img\">\n<title>{title}</title>\n<style>{style}</style>\n\
             {body}</svg>"
        )
    }
}

/// Text without the marks that mean something in SVG and without control characters.
fn escape(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            c if c.is_control() => safe.push('\u{fffd}'),
            c => safe.push(c),
        }
    }
    safe
}

#[cfg(test)]
mod tests {
    use super::{Anchor, Svg};

    #[test]
    fn text_cannot_break_out_of_the_picture() {
        let mut svg = Svg::new(10.0, 10.0, "a & b", "");
        svg.text(0.0, 0.0, Anchor::Start, "t", "</text><script>\u{1b}\"");
        let text = svg.finish();
        assert!(text.contains("a &amp; b") && text.contains("&lt;/text&gt;&lt;script&gt;\u{fffd}&quot;"));
        assert!(!text.contains("<script"));
    }
}
