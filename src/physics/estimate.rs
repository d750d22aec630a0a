//! A value with the range it may lie in, where it comes from, and what is weak about it.

use std::fmt;

use crate::units::{
    Celsius, Dimension, Grams, GramsPerCm3, Kelvins, Millibars, Millimetres, Seconds, Watts, figures, round,
};

/// What an [`Estimate`] can hold: a bare number or one of the unit newtypes.
pub trait Quantity: Copy {
    /// The dimension for printing; a bare number has none.
    const DIMENSION: Option<Dimension>;
    /// From a number in the type's unit.
    fn of(number: f64) -> Self;
    /// The number in the type's unit.
    fn number(self) -> f64;
}

impl Quantity for f64 {
    const DIMENSION: Option<Dimension> = None;
    fn of(number: f64) -> Self {
        number
    }
    fn number(self) -> f64 {
        self
    }
}

macro_rules! quantity {
    ($($name:ident),*) => {$(
        impl Quantity for $name {
            const DIMENSION: Option<Dimension> = Some($name::DIMENSION);
            fn of(number: f64) -> Self { Self::new(number) }
            fn number(self) -> f64 { self.get() }
        }
    )*};
}
quantity!(Celsius, Kelvins, Millibars, Grams, Millimetres, Seconds, GramsPerCm3, Watts);

/// A best value and the range around it.
///
/// Promises `low <= value <= high` when built by the functions here. The range is what the weak inputs allow, not a
/// statistical interval, unless the function that made it says so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate<T = f64> {
    /// The best value.
    pub value: T,
    /// The lowest value that the weak inputs allow.
    pub low: T,
    /// The highest value that the weak inputs allow.
    pub high: T,
    /// Where the formula or the figure comes from.
    pub source: &'static str,
    /// What is weak about it, for the user; nothing when the figure is well founded.
    pub weak: Option<&'static str>,
}

impl<T: Quantity> Estimate<T> {
    /// A value with its range. The three numbers are put in order, so that a formula that falls where its input
    /// rises need not think about which end is which.
    pub fn new(value: T, end: T, other_end: T, source: &'static str) -> Self {
        let (v, a, b) = (value.number(), end.number(), other_end.number());
        let (low, high) = (a.min(b).min(v), a.max(b).max(v));
        Self { value, low: T::of(low), high: T::of(high), source, weak: None }
    }

    /// A value without a range: exact, or better than anything that matters here.
    pub fn exact(value: T, source: &'static str) -> Self {
        Self { value, low: value, high: value, source, weak: None }
    }

    /// A value plus or minus an amount in its own unit.
    pub fn plus_minus(value: T, amount: f64, source: &'static str) -> Self {
        let v = value.number();
        Self::new(value, T::of(v - amount), T::of(v + amount), source)
    }

    /// A value plus or minus a share of itself (0.05 for 5 %).
    pub fn relative(value: T, share: f64, source: &'static str) -> Self {
        Self::plus_minus(value, value.number().abs() * share, source)
    }

    /// The same with a remark on what is weak about it.
    #[must_use]
    pub fn with_weak(mut self, remark: &'static str) -> Self {
        self.weak = Some(remark);
        self
    }

    /// A computation that rises (or falls) throughout, carried over value and range.
    pub fn map<U: Quantity>(self, f: impl Fn(f64) -> f64) -> Estimate<U> {
        let at = |x: T| U::of(f(x.number()));
        let mut out = Estimate::new(at(self.value), at(self.low), at(self.high), self.source);
        out.weak = self.weak;
        out
    }

    /// True when the number lies in the range, ends included.
    pub fn contains(&self, value: T) -> bool {
        (self.low.number()..=self.high.number()).contains(&value.number())
    }

    /// Half the width of the range, in the unit of the value.
    pub fn half_width(&self) -> f64 {
        (self.high.number() - self.low.number()) / 2.0
    }

    /// The estimate as text in the units of a dimension, such as `31 s (18 to 57)`: no more digits than the range
    /// supports, at most four, and at least one figure of each number.
    pub fn show_as(&self, dimension: Dimension) -> String {
        let value = self.value.number();
        let shown = dimension.show(value);
        let unit = shown.find(' ').map_or("", |at| shown[at..].trim());
        let one = if unit.is_empty() { 1.0 } else { dimension.parse(&format!("1 {unit}")).unwrap_or(1.0) };
        let scale = if one.is_finite() && one > 0.0 { one } else { 1.0 };
        let gap = if unit.is_empty() { "" } else { " " };
        match self.numbers(scale) {
            Some((v, l, h)) => format!("{v}{gap}{unit} ({l} to {h})"),
            None => shown,
        }
    }

    /// Value, low and high as text, rounded alike; nothing when there is no range to speak of.
    fn numbers(&self, scale: f64) -> Option<(String, String, String)> {
        let (v, l, h) = (self.value.number() / scale, self.low.number() / scale, self.high.number() / scale);
        let half = (h - l) / 2.0;
        // NaN and infinity cannot come from the functions here, but printing must not depend on that.
        if !half.is_finite() || half <= v.abs() * 1e-4 {
            return None;
        }
        let place = supported_place(half).max(exponent(v) - 3);
        let text = |x: f64| at_place(x, place.min(exponent(x)));
        Some((text(v), text(l), text(h)))
    }
}

impl<T: Quantity> fmt::Display for Estimate<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.show_as(T::DIMENSION.unwrap_or(Dimension::Ratio)))
    }
}

/// Power of ten of the first figure.
fn exponent(x: f64) -> i32 {
    if x == 0.0 || !x.is_finite() {
        return i32::MAX;
    }
    #[expect(clippy::cast_possible_truncation, reason = "the logarithm of a finite number is below 400")]
    {
        x.abs().log10().floor() as i32
    }
}

/// The decimal place down to which a number with this uncertainty may be printed: one figure of the uncertainty,
/// two where the first is a 1 or a 2.
fn supported_place(half_width: f64) -> i32 {
    let place = exponent(half_width);
    if half_width / 10f64.powi(place) < 3.0 { place - 1 } else { place }
}

/// A number rounded to a decimal place (0 whole, -1 tenths, 1 tens).
fn at_place(x: f64, place: i32) -> String {
    if x == 0.0 {
        return "0".to_owned();
    }
    if !(-5..=6).contains(&place) {
        return figures(x, 2);
    }
    let step = 10f64.powi(place);
    round((x / step).round() * step, usize::try_from(-place).unwrap_or(0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_more_digits_than_the_range_supports() {
        let cases = [
            (31.1, 18.3, 57.2, Dimension::Duration, "31 s (18 to 57)"),
            (194.0, 110.0, 350.0, Dimension::Duration, "3.2 min (1.8 to 5.8)"),
            (10.291_6, 10.267, 10.315, Dimension::Density, "10.29 g/cm³ (10.27 to 10.32)"),
            (0.02, 0.001, 0.5, Dimension::Ratio, "0.02 (0.001 to 0.50)"),
            (896.3, 891.3, 901.3, Dimension::Temperature, "896 °C (891 to 901)"),
            (0.0001, 0.0001, 0.0001, Dimension::Share, "0.01 %"),
        ];
        for (value, low, high, dimension, expected) in cases {
            assert_eq!(Estimate::new(value, low, high, "").show_as(dimension), expected);
        }
    }

    #[test]
    fn the_ends_are_put_in_order() {
        let e = Estimate::new(2.0, 5.0, 1.0, "");
        assert!(e.low == 1.0 && e.high == 5.0 && e.contains(2.0));
        let falling: Estimate<f64> = e.map(|x| 1.0 / x);
        assert!(falling.low == 0.2 && falling.high == 1.0);
    }
}
