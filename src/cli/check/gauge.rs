//! A figure against its limit as a row of marks.

use crate::advice::limits::Held;

/// Marks in a gauge.
const CELLS: usize = 20;

/// `[....==o==|.........]`: o the figure, = how far off it may be, | the limit, X where the figure stands on the limit.
pub(super) fn gauge(held: &Held) -> String {
    let (from, to) = held.limit.gauge;
    let cell = |value: f64| {
        let part = if from > 0.0 {
            (value.max(from) / from).ln() / (to / from).ln()
        } else {
            (value - from) / (to - from)
        };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a few cells"
        )]
        let at = (part.clamp(0.0, 1.0) * (CELLS - 1) as f64).round() as usize;
        at
    };
    let mut marks = vec!['.'; CELLS];
    for mark in marks.iter_mut().take(cell(held.figure.high) + 1).skip(cell(held.figure.low)) {
        *mark = '=';
    }
    let (value, limit) = (cell(held.figure.value), cell(held.limit.bound.at()));
    marks[limit] = '|';
    marks[value] = if value == limit { 'X' } else { 'o' };
    format!("[{}]", marks.into_iter().collect::<String>())
}
