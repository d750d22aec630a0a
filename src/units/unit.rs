//! The units that may be written for each kind of quantity, and the words for them.

use super::{ATMOSPHERE_MBAR, Dimension};

/// A unit that may be written, with its way to the stored unit: stored = number * scale + offset.
#[derive(Debug)]
pub(super) struct Unit {
    /// The first is the one that messages name. Compared as [`spelling`] has them.
    pub(super) names: &'static [&'static str],
    pub(super) scale: f64,
    pub(super) offset: f64,
}

const fn unit(names: &'static [&'static str], scale: f64) -> Unit {
    Unit { names, scale, offset: 0.0 }
}

const TEMPERATURE: &[Unit] = &[
    unit(&["C", "°C"], 1.0),
    Unit { names: &["F", "°F"], scale: 1.0 / 1.8, offset: -32.0 / 1.8 },
    Unit { names: &["K"], scale: 1.0, offset: -273.15 },
];
const SPAN: &[Unit] = &[unit(&["K", "C", "°C"], 1.0), unit(&["F", "°F"], 1.0 / 1.8)];
const HEATING_RATE: &[Unit] = &[
    unit(&["K/h", "C/h", "°C/h"], 1.0),
    unit(&["K/min", "C/min", "°C/min"], 60.0),
    unit(&["F/h", "°F/h"], 1.0 / 1.8),
    unit(&["F/min", "°F/min"], 60.0 / 1.8),
];
const PRESSURE: &[Unit] = &[
    unit(&["mbar", "hPa"], 1.0),
    unit(&["bar"], 1000.0),
    unit(&["Pa"], 0.01),
    unit(&["kPa"], 10.0),
    unit(&["MPa"], 10_000.0),
    unit(&["psi"], 68.947_572_931_68),
    unit(&["Torr"], 1.333_223_684_21),
    unit(&["mmHg"], 1.333_223_874_15),
    // On the gauge of a casting table inches are inches of mercury.
    unit(&["inHg", "in"], 33.863_886_4),
    unit(&["atm"], ATMOSPHERE_MBAR),
];
const MASS: &[Unit] = &[
    unit(&["g"], 1.0),
    unit(&["kg"], 1000.0),
    unit(&["mg"], 0.001),
    unit(&["dwt"], 1.555_173_84),
    unit(&["ozt", "troy oz", "oz troy"], 31.103_476_8),
    unit(&["gr"], 0.064_798_91),
    unit(&["ct"], 0.2),
    unit(&["oz"], 28.349_523_125),
    unit(&["lb"], 453.592_37),
];
const LENGTH: &[Unit] = &[unit(&["mm"], 1.0), unit(&["cm"], 10.0), unit(&["m"], 1000.0), unit(&["in"], 25.4)];
const DURATION: &[Unit] = &[
    unit(&["s"], 1.0),
    unit(&["min"], 60.0),
    unit(&["h"], 3600.0),
    unit(&["d"], 86_400.0),
    unit(&["week"], 604_800.0),
    // A twelfth of 365.25 days.
    unit(&["month"], 2_629_800.0),
    unit(&["year"], 31_557_600.0),
];
const SHARE: &[Unit] = &[unit(&["%"], 0.01), unit(&["‰", "permille"], 0.001)];
const WATER_RATIO: &[Unit] = &[
    unit(&["per 100", "ml per 100 g", "g per 100 g", "ml per 100", "g per 100", "per 100 g", "%"], 1.0),
    unit(&["ml per kg", "g per kg"], 0.1),
];
const DENSITY: &[Unit] = &[
    unit(&["g/cm3", "g/cm³", "g/ml"], 1.0),
    unit(&["kg/m3", "kg/m³"], 0.001),
    unit(&["lb/in3"], 27.679_904_71),
];
const POWER: &[Unit] = &[unit(&["W"], 1.0), unit(&["kW"], 1000.0)];
const SPEED: &[Unit] = &[unit(&["rpm", "turns/min", "1/min"], 1.0)];
const LEAK_RATE: &[Unit] = &[unit(&["mbar L/s", "mbar·L/s"], 1.0), unit(&["Pa m3/s"], 10.0)];
const VOLUME: &[Unit] = &[unit(&["L"], 1.0), unit(&["ml", "cm3", "cm³"], 0.001)];
const COUNT: &[Unit] = &[unit(&["", "cycles", "times"], 1.0)];
const RATIO: &[Unit] = &[unit(&["", "x", "times"], 1.0)];

/// Spoken words for units, and the short form of each. Degrees alone say nothing.
const SPOKEN: &[(&str, &str)] = &[
    ("°", ""),
    ("º", ""),
    ("deg", ""),
    ("degs", ""),
    ("degree", ""),
    ("degrees", ""),
    ("degc", "c"),
    ("degf", "f"),
    ("celsius", "c"),
    ("centigrade", "c"),
    ("fahrenheit", "f"),
    ("farenheit", "f"),
    ("kelvin", "k"),
    ("gram", "g"),
    ("grams", "g"),
    ("gramme", "g"),
    ("grammes", "g"),
    ("gm", "g"),
    ("gms", "g"),
    ("kilo", "kg"),
    ("kilos", "kg"),
    ("pennyweight", "dwt"),
    ("pennyweights", "dwt"),
    ("grain", "gr"),
    ("grains", "gr"),
    ("carat", "ct"),
    ("carats", "ct"),
    ("ounce", "oz"),
    ("ounces", "oz"),
    ("pound", "lb"),
    ("pounds", "lb"),
    ("lbs", "lb"),
    ("\"", "in"),
    ("″", "in"),
    ("inch", "in"),
    ("inches", "in"),
    ("millimetre", "mm"),
    ("millimetres", "mm"),
    ("millimeter", "mm"),
    ("millimeters", "mm"),
    ("mercury", "hg"),
    ("millibar", "mbar"),
    ("millibars", "mbar"),
    ("sec", "s"),
    ("secs", "s"),
    ("second", "s"),
    ("seconds", "s"),
    ("mins", "min"),
    ("minute", "min"),
    ("minutes", "min"),
    ("hr", "h"),
    ("hrs", "h"),
    ("hour", "h"),
    ("hours", "h"),
    ("day", "d"),
    ("days", "d"),
    ("weeks", "week"),
    ("months", "month"),
    ("years", "year"),
    ("percent", "%"),
    ("watt", "w"),
    ("watts", "w"),
    ("kilowatt", "kw"),
    ("kilowatts", "kw"),
    ("litre", "l"),
    ("litres", "l"),
    ("liter", "l"),
    ("liters", "l"),
    ("cc", "ml"),
    ("rev", "turns"),
    ("revs", "turns"),
    ("revolutions", "turns"),
];

impl Dimension {
    pub(super) fn units(self) -> &'static [Unit] {
        match self {
            Self::Temperature => TEMPERATURE,
            Self::Span => SPAN,
            Self::HeatingRate => HEATING_RATE,
            Self::Pressure | Self::OverPressure => PRESSURE,
            Self::Mass => MASS,
            Self::Length => LENGTH,
            Self::Duration => DURATION,
            Self::Share => SHARE,
            Self::WaterRatio => WATER_RATIO,
            Self::Density => DENSITY,
            Self::Power => POWER,
            Self::Speed => SPEED,
            Self::LeakRate => LEAK_RATE,
            Self::Volume => VOLUME,
            Self::Count => COUNT,
            Self::Ratio => RATIO,
        }
    }

    /// The unit that a text names, however it is spelt.
    pub(super) fn unit(self, text: &str) -> Option<&'static Unit> {
        // Sheets and rules have the short form; to spell out every name takes ten times as long.
        let text = text.trim();
        if let Some(unit) = self.units().iter().find(|u| u.names.contains(&text)) {
            return Some(unit);
        }
        let wanted = spelling(text);
        self.units().iter().find(|u| u.names.iter().any(|n| spelling(n) == wanted))
    }

    /// The units that may be written, for messages and help.
    pub fn allowed(self) -> String {
        let mut names: Vec<&str> =
            self.units().iter().filter_map(|u| u.names.first().copied()).filter(|n| !n.is_empty()).collect();
        match self {
            Self::Pressure => names.push("and any of them with `vacuum` or `abs` behind it"),
            Self::Count | Self::Ratio => return "none, a bare number".to_owned(),
            // Weeks and more are read, but hardly anything is written in them.
            Self::Duration => names.truncate(4),
            Self::WaterRatio => names.truncate(1),
            _ => {}
        }
        names.join(", ")
    }
}

/// A unit in the form in which units are compared: small letters, no spaces, every word in its short form, so that
/// `deg C per hour` meets `°C/h`. Within one kind of quantity no two units differ by a capital alone.
pub(super) fn spelling(text: &str) -> String {
    let mut form = String::new();
    let text = text.to_lowercase().replace("per cent", "%");
    for word in words(&text) {
        match word {
            "per" | "to" | "/" | ":" => form.push('/'),
            // `C an hour`.
            "a" | "an" if !form.is_empty() => form.push('/'),
            "of" | "a" | "an" | "parts" | "water" | "powder" | "." | "·" | "*" => {}
            word => {
                form.push_str(SPOKEN.iter().find(|(said, _)| *said == word).map_or(word, |(_, form)| form))
            }
        }
    }
    form
}

/// Runs of letters and digits, and every other mark alone.
fn words(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = text;
    std::iter::from_fn(move || {
        rest = rest.trim_start();
        let first = rest.chars().next()?;
        let run = rest.find(|c: char| !c.is_alphanumeric()).unwrap_or(rest.len());
        // The sign of degrees is a letter to Unicode in one of its forms.
        let end = if run == 0 || first == 'º' { first.len_utf8() } else { run };
        let (word, behind) = rest.split_at(end);
        rest = behind;
        Some(word)
    })
}

/// Whether a word is a unit that follows its number after a space, so that the two belong on one line.
pub fn is_unit(word: &str) -> bool {
    /// Units that no field is stored in or written with, but that the program prints.
    const PRINTED: &[&str] = &["J", "kJ", "J/K", "J/g", "J/(g K)", "ppm", "points", "µm"];
    !word.is_empty()
        && (PRINTED.contains(&word)
            || SPOKEN.iter().any(|(said, form)| *said == word && !form.is_empty())
            || Dimension::ALL.iter().any(|d| d.units().iter().any(|u| u.names.contains(&word))))
}
