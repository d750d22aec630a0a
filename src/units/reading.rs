//! What a caster writes for a quantity, read to a number in the stored unit.
//!
//! One reader for sheets, flags, questions and rules: `640 C`, `1.2bar`, `28 inHg vacuum`, `40 per 100`, `300 C per hour`,
//! `1h30`, `half an hour`, `about 1020 centigrade`. What may mean two things is refused with the way out.

use super::number::{Number, and_part, behind, leading};
use super::unit::{Unit, spelling};
use super::{ATMOSPHERE_MBAR, Dimension, figures};

/// Why a written quantity could not be read. The text is for the caster: what was wrong and what is allowed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum UnitError {
    /// Nothing that looks like a number at the start.
    #[error("`{text}` does not begin with a number; write for instance `{example}`")]
    NotANumber {
        /// What was written.
        text: String,
        /// A right spelling.
        example: &'static str,
    },
    /// A number with a comma for the decimal point.
    #[error("`{text}` has a comma; write the decimal point as a dot")]
    Comma {
        /// What was written.
        text: String,
    },
    /// Infinite, not a number, or beyond what the program can hold.
    #[error("`{text}` is not a finite number")]
    NotFinite {
        /// What was written.
        text: String,
    },
    /// A number without a unit where one is needed.
    #[error("`{text}` has no unit; allowed units: {allowed}")]
    MissingUnit {
        /// What was written.
        text: String,
        /// The units that this field takes.
        allowed: String,
    },
    /// A unit this dimension does not have.
    #[error("unknown unit `{unit}` for {kind}; allowed units: {allowed}")]
    UnknownUnit {
        /// The unit as written.
        unit: String,
        /// What kind of quantity was wanted.
        kind: &'static str,
        /// The units that this field takes.
        allowed: String,
    },
    /// `inHg` alone may mean a vacuum or an absolute pressure.
    #[error("`{text}` may be a vacuum or an absolute pressure; write `{text} vacuum` or `{text} abs`")]
    AmbiguousGauge {
        /// What was written.
        text: String,
    },
    /// A gauge vacuum deeper than the atmosphere, or an absolute pressure below zero.
    #[error(
        "`{text}` would be below zero absolute pressure: a vacuum gauge cannot read more than 1013 mbar (29.9 inHg)"
    )]
    BelowVacuum {
        /// What was written.
        text: String,
    },
    /// A temperature below absolute zero.
    #[error("`{text}` is below absolute zero (-273.15 C)")]
    BelowAbsoluteZero {
        /// What was written.
        text: String,
    },
    /// Two figures where one is wanted.
    #[error("`{text}` is a range; write the one figure that comes nearest, such as `{middle}`")]
    Range {
        /// What was written.
        text: String,
        /// Its middle.
        middle: String,
    },
}

/// Words before a figure that leave it as it is: what a caster reads off a clock or a gauge is about right.
const ABOUT: &[&str] = &["about", "around", "roughly", "approximately", "approx", "circa", "ca"];

impl Dimension {
    fn example(self) -> &'static str {
        match self {
            Self::Temperature => "640 C",
            Self::Span => "25 K",
            Self::HeatingRate => "180 K/h",
            Self::Pressure => "30 mbar",
            Self::OverPressure => "1.2 bar",
            Self::Mass => "14.2 g",
            Self::Length => "3 mm",
            Self::Duration => "10 min",
            Self::Share => "40 %",
            Self::WaterRatio => "40 per 100",
            Self::Density => "10.36 g/cm3",
            Self::Power => "4 kW",
            Self::Speed => "400 rpm",
            Self::LeakRate => "0.01 mbar L/s",
            Self::Volume => "10 L",
            Self::Count => "3",
            Self::Ratio => "1.2",
        }
    }

    /// Reads a quantity with its unit.
    ///
    /// Returns the number in this dimension's stored unit: always finite, never below absolute zero or vacuum.
    ///
    /// # Errors
    /// A [`UnitError`] that says what is wrong and what may be written instead.
    pub fn parse(self, text: &str) -> Result<f64, UnitError> {
        let thousands = self.without_thousands(text);
        let text = without_about(thousands.as_deref().unwrap_or(text));
        let not_a_number = || UnitError::NotANumber { text: shorten(text), example: self.example() };
        let number = self.number(text).ok_or_else(not_a_number)?;
        if number.rest.trim_start().starts_with(',') {
            return Err(UnitError::Comma { text: shorten(text) });
        }
        if !number.value.is_finite() {
            return Err(UnitError::NotFinite { text: shorten(text) });
        }
        self.refuse_range(text, number)?;
        let value = match self {
            Self::Pressure => absolute_pressure(text, number)?,
            Self::OverPressure => over_pressure(text, number)?,
            Self::Duration | Self::Mass => self.sum(text, number)?,
            _ => self.scaled(text, number, number.rest)?,
        };
        if !value.is_finite() {
            return Err(UnitError::NotFinite { text: shorten(text) });
        }
        if self == Self::Temperature && value < -273.15 {
            return Err(UnitError::BelowAbsoluteZero { text: shorten(text) });
        }
        Ok(value)
    }

    fn number(self, text: &str) -> Option<Number<'_>> {
        // A stroke between water and powder is no fraction.
        leading(text, self != Self::WaterRatio)
    }

    /// `1,350 F`: no temperature of the trade has three figures behind a decimal comma.
    fn without_thousands(self, text: &str) -> Option<String> {
        let (head, tail) = text.split_once(',').filter(|_| self == Self::Temperature)?;
        let digits = tail.find(|c: char| !c.is_ascii_digit()).unwrap_or(tail.len());
        let thousand = head.ends_with(|c: char| c.is_ascii_digit()) && digits == 3;
        thousand.then(|| format!("{head}{tail}"))
    }

    fn refuse_range(self, text: &str, number: Number<'_>) -> Result<(), UnitError> {
        let rest = number.rest.trim_start();
        let mark = rest.strip_prefix(['-', '\u{2013}', '\u{2014}']);
        let to = mark.or_else(|| behind(rest, "to")).or_else(|| behind(rest, "or"));
        // `40 to 100` is water to powder.
        let Some(other) = to.filter(|_| self != Self::WaterRatio).and_then(|to| self.number(to)) else {
            return Ok(());
        };
        let middle =
            format!("{} {}", figures(f64::midpoint(number.value, other.value), 4), other.rest.trim());
        Err(UnitError::Range { text: shorten(text), middle: shorten(middle.trim()) })
    }

    fn scaled(self, text: &str, number: Number<'_>, unit: &str) -> Result<f64, UnitError> {
        match self.unit(unit) {
            Some(u) => Ok(number.value.mul_add(u.scale, u.offset)),
            None if spelling(unit).is_empty() => self
                .bare(number)
                .ok_or_else(|| UnitError::MissingUnit { text: shorten(text), allowed: self.allowed() }),
            None => Err(self.unknown(unit)),
        }
    }

    /// What a number means that has no unit: half of a whole, or nothing, which is the same in any unit.
    fn bare(self, number: Number<'_>) -> Option<f64> {
        let from_zero = self != Self::Pressure && self.units().iter().all(|u| u.offset == 0.0);
        let meant = number.part && (self == Self::Share || from_zero && number.value == 0.0);
        meant.then_some(number.value)
    }

    fn unknown(self, unit: &str) -> UnitError {
        UnitError::UnknownUnit { unit: shorten(unit.trim()), kind: self.name(), allowed: self.allowed() }
    }

    /// One amount or several that add up: `1h30`, `2 min 30 s`, `an hour and a half`.
    fn sum(self, text: &str, first: Number<'_>) -> Result<f64, UnitError> {
        let (mut total, mut number, mut said) = (0.0, first, first.rest);
        let mut last: Option<&Unit> = None;
        loop {
            let (unit, more) = split_unit(number.rest);
            let unit = match (self.finer(last), last) {
                (Some(finer), _) if unit.is_empty() || unit == "m" && finer.names.contains(&"min") => finer,
                (_, None) if more.is_empty() => return self.scaled(text, number, unit),
                _ => self.unit(unit).ok_or_else(|| self.unknown(unit))?,
            };
            if last.is_some_and(|last| unit.scale >= last.scale || number.value * unit.scale >= last.scale) {
                return Err(self.unknown(said));
            }
            total += number.value * unit.scale;
            if more.is_empty() {
                return Ok(total);
            }
            if let Some((share, rest)) = and_part(more) {
                return if rest.trim().is_empty() {
                    Ok(total + share * unit.scale)
                } else {
                    Err(self.unknown(rest))
                };
            }
            (last, said) = (Some(unit), more);
            number = leading(behind(more, "and").unwrap_or(more), true).ok_or_else(|| self.unknown(more))?;
        }
    }

    /// The unit that a number without one has behind another: minutes behind hours.
    fn finer(self, last: Option<&Unit>) -> Option<&'static Unit> {
        let at = self.units().iter().position(|u| last.is_some_and(|l| u.names == l.names))?;
        let below = at.checked_sub(1).filter(|_| self == Self::Duration && at <= 2)?;
        self.units().get(below)
    }

    /// A value with the words in which it was written, where those have another unit than the one it is shown in:
    /// `1870 °F (1021 °C)`.
    pub fn retell(self, text: &str, value: f64) -> String {
        let shown = self.show(value);
        let text = without_about(text);
        let unit = |text: &str| self.number(text).and_then(|n| self.unit(n.rest)).map(|u| u.names);
        let foreign = match self {
            Self::Duration | Self::Share | Self::WaterRatio => false,
            _ => unit(text) != unit(&shown),
        };
        match self.number(text) {
            Some(number) if foreign && unit(text).is_some_and(|names| names.contains(&"°F")) => {
                format!("{} °F ({shown})", figures(number.value, 4))
            }
            Some(_) if foreign => format!("{} ({shown})", shorten(text)),
            _ => shown,
        }
    }

    /// What the same digits mean in the other of °C and °F.
    pub fn other_scale(self, text: &str) -> Option<f64> {
        let text = without_about(text);
        let number = self.number(text).filter(|_| self == Self::Temperature)?;
        let other = match self.unit(number.rest)?.names {
            ["C", ..] => "F",
            ["F", ..] => "C",
            _ => return None,
        };
        self.scaled(text, number, other).ok()
    }
}

/// The text without `about` before it and `or so` behind it.
fn without_about(text: &str) -> &str {
    let text = text.trim();
    let text = text.strip_prefix('~').unwrap_or(text);
    let text = ABOUT
        .iter()
        .find_map(|w| behind(text, w))
        .map_or(text, |rest| rest.strip_prefix('.').unwrap_or(rest));
    text.strip_suffix("or so").unwrap_or(text).trim()
}

/// Absolute pressure from a reading: `30 mbar`, `30 mbar abs`, `28 inHg vacuum`, `-0.9 bar gauge`.
fn absolute_pressure(text: &str, number: Number<'_>) -> Result<f64, UnitError> {
    let dimension = Dimension::Pressure;
    let rest = number.rest.trim();
    let value = if let Some(unit) = strip_word(rest, &["vacuum", "vac"]) {
        let number = Number { value: number.value.abs(), ..number };
        ATMOSPHERE_MBAR - dimension.scaled(text, number, unit)?
    } else if let Some(unit) = strip_word(rest, &["gauge", "over"]) {
        ATMOSPHERE_MBAR + dimension.scaled(text, number, unit)?
    } else if let Some(unit) = strip_word(rest, &["abs", "absolute"]) {
        dimension.scaled(text, number, unit)?
    } else if dimension.unit(rest).is_some_and(|u| u.names.contains(&"inHg")) {
        return Err(UnitError::AmbiguousGauge { text: shorten(text) });
    } else {
        dimension.scaled(text, number, rest)?
    };
    if value < 0.0 {
        return Err(UnitError::BelowVacuum { text: shorten(text) });
    }
    Ok(value)
}

/// Pressure above the surroundings, which may be said: `1.2 bar over`, `1.2 barg`.
fn over_pressure(text: &str, number: Number<'_>) -> Result<f64, UnitError> {
    let dimension = Dimension::OverPressure;
    let rest = number.rest.trim();
    let said = strip_word(rest, &["over", "gauge", "g"]).filter(|_| dimension.unit(rest).is_none());
    dimension.scaled(text, number, said.unwrap_or(rest))
}

/// `rest` without one of `words` at its end.
fn strip_word<'a>(rest: &'a str, words: &[&str]) -> Option<&'a str> {
    let end = |w: &&str| rest.len().checked_sub(w.len()).filter(|at| rest.is_char_boundary(*at));
    words.iter().find_map(|w| {
        let (head, tail) = rest.split_at(end(w)?);
        tail.eq_ignore_ascii_case(w).then(|| head.trim())
    })
}

/// A unit, and what stands behind it: more of the same quantity.
fn split_unit(text: &str) -> (&str, &str) {
    let digit = text.find(|c: char| c.is_ascii_digit()).unwrap_or(text.len());
    let and = text.find("and ").filter(|at| *at < digit).unwrap_or(digit);
    let (unit, more) = text.split_at(and);
    (unit.trim().trim_end_matches(','), more)
}

/// Long rubbish is cut, so that a message stays readable.
fn shorten(text: &str) -> String {
    const MOST: usize = 40;
    let clean: String = text.chars().map(|c| if c.is_control() { '?' } else { c }).collect();
    match clean.char_indices().nth(MOST) {
        Some((at, _)) => format!("{}...", &clean[..at]),
        None => clean,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(cases: &[(Dimension, &str, f64)]) {
        for (dimension, text, wanted) in cases {
            let got = dimension.parse(text);
            let close = got.as_ref().is_ok_and(|got| (got - wanted).abs() <= 1e-9 * wanted.abs().max(1.0));
            assert!(close, "{text}: {got:?} and not {wanted}");
        }
    }

    /// As casters type them at a question, where a sheet would have `730 C`.
    #[test]
    fn figures_are_read_as_they_are_typed_and_said() {
        use Dimension::{Count, Duration, HeatingRate, Length, Mass, OverPressure, Pressure, Share, Speed};
        use Dimension::{Span, Temperature, WaterRatio};
        check(&[
            (Temperature, "730c", 730.0),
            (Temperature, "730 c.", 730.0),
            (Temperature, "1020 centigrade", 1020.0),
            (Temperature, "1020 deg C", 1020.0),
            (Temperature, "1020 degrees celsius", 1020.0),
            (Temperature, "about 1,350 deg F", (1350.0 - 32.0) / 1.8),
            (Temperature, "~640 C or so", 640.0),
            (Span, "20 degrees C", 20.0),
            (HeatingRate, "300 C per hour", 300.0),
            (HeatingRate, "5 degrees C a minute", 300.0),
            (HeatingRate, "180 °F/hr", 100.0),
            (Duration, "half an hour", 1800.0),
            (Duration, "half hour", 1800.0),
            (Duration, "an hour", 3600.0),
            (Duration, "an hour and a half", 5400.0),
            (Duration, "one and a half hours", 5400.0),
            (Duration, "1 hour and 20 minutes", 4800.0),
            (Duration, "1h30", 5400.0),
            (Duration, "1h 30m", 5400.0),
            (Duration, "2 min 30", 150.0),
            (Duration, "three quarters of an hour", 2700.0),
            (Duration, "2 hrs", 7200.0),
            (Duration, "20 secs", 20.0),
            (Duration, "10 mins.", 600.0),
            (Duration, "90 minutes", 5400.0),
            (Duration, "1/2 h", 1800.0),
            (Duration, "1 1/2 hours", 5400.0),
            (Duration, "2 weeks", 14.0 * 86_400.0),
            (Duration, "none", 0.0),
            (Share, "41%", 0.41),
            (Share, "41 per cent", 0.41),
            (Share, "half", 0.5),
            (Share, "two thirds", 2.0 / 3.0),
            (Share, "all of it", 1.0),
            (Share, "none", 0.0),
            (WaterRatio, "41%", 41.0),
            (WaterRatio, "40/100", 40.0),
            (WaterRatio, "40:100", 40.0),
            (WaterRatio, "40 to 100", 40.0),
            (WaterRatio, "40 ml water to 100 g powder", 40.0),
            (WaterRatio, "400 ml per kg", 40.0),
            (Length, "six inches", 152.4),
            (Length, "3/8\"", 9.525),
            (Length, "3MM", 3.0),
            (Mass, "2 lb 8 oz", 1_133.980_925),
            (Mass, "a hundred grams", 100.0),
            (Mass, "2 troy ounces", 62.206_953_6),
            (Speed, "400 turns a minute", 400.0),
            (Count, "three", 3.0),
            (Pressure, "28 inches of mercury vacuum", ATMOSPHERE_MBAR - 28.0 * 33.863_886_4),
            (Pressure, "30 mbar Abs", 30.0),
            (OverPressure, "760 mmHg", 760.0 * 1.333_223_874_15),
            (OverPressure, "1.2 barg", 1200.0),
        ]);
    }

    #[test]
    fn what_may_mean_two_things_is_refused() {
        use Dimension::{Duration, Mass, Pressure, Temperature};
        for text in ["half", "half of it", "10", "an"] {
            assert!(matches!(Duration.parse(text), Err(UnitError::MissingUnit { .. })), "{text}");
        }
        for text in ["0", "730 degrees", "none"] {
            assert!(matches!(Temperature.parse(text), Err(UnitError::MissingUnit { .. })), "{text}");
        }
        // Minutes or months; hours and minutes or minutes and seconds; more minutes than an hour has.
        for text in
            ["6 m", "1:30", "1h90", "30 min 1 h", "a few minutes", "nine fifty s", "1 h and a half dog"]
        {
            assert!(matches!(Duration.parse(text), Err(UnitError::UnknownUnit { .. })), "{text}");
        }
        assert!(matches!(Pressure.parse("28 inches"), Err(UnitError::AmbiguousGauge { .. })));
        // A thousand and more, or one and a third.
        assert!(matches!(Mass.parse("1,350 g"), Err(UnitError::Comma { .. })));
        for text in ["30 to 40 min", "30-40 min", "30 or 40 min", "thirty to forty min"] {
            let refused = Duration.parse(text);
            let middle = |m: &str| m == "35 min";
            assert!(matches!(&refused, Err(UnitError::Range { middle: m, .. }) if middle(m)), "{refused:?}");
        }
    }

    #[test]
    fn a_figure_is_told_again_in_its_own_unit() {
        let told = |d: Dimension, text: &str| d.retell(text, d.parse(text).unwrap_or(f64::NAN));
        assert_eq!(told(Dimension::Temperature, "about 1870f"), "1870 °F (1021 °C)");
        assert_eq!(told(Dimension::Temperature, "640c"), "640 °C");
        assert_eq!(told(Dimension::Mass, "3 oz"), "3 oz (85 g)");
        assert_eq!(told(Dimension::Duration, "half an hour"), "30 min");
        assert_eq!(told(Dimension::Pressure, "28 inHg vacuum"), "28 inHg vacuum (65.1 mbar)");
    }

    #[test]
    fn the_same_digits_in_the_other_scale() {
        let other = |text: &str| Dimension::Temperature.other_scale(text).map(f64::round);
        assert_eq!((other("1350 C"), other("1000 F"), other("900 K")), (Some(732.0), Some(1000.0), None));
    }

    proptest::proptest! {
        /// Whatever is typed is read or refused, and never with a number that cannot be.
        #[test]
        fn any_words_are_read_or_refused(text in "(half|an?|one|two|hundred|thirds|and|to|or|h|min|C|F|per|all|none|[0-9]|/|,|-|½|\\.| |of|x|é|inHg|vac){0,9}") {
            for dimension in Dimension::ALL {
                if let Ok(value) = dimension.parse(&text) {
                    proptest::prop_assert!(value.is_finite());
                    let _ = dimension.retell(&text, value);
                }
                let _ = dimension.other_scale(&text);
            }
        }
    }
}
