//! Figures that are possible but hardly meant, and what they may be instead: a pouring heat given for the burnout, the
//! rest before the oven given for the mixing.

use crate::rules::RuleBase;
use crate::sheet::{Field, Sheet};

/// Why a figure is hardly meant.
#[derive(Debug, Clone, PartialEq)]
pub struct Unlikely {
    /// What is usual, in the stored unit.
    pub usual: (f64, f64),
    /// The usual is that of a gypsum mould.
    pub in_gypsum: bool,
    /// Figures that are usually like it, the likeliest first.
    pub instead: Vec<Field>,
    /// What the digits mean on the other scale of temperature, where that is usual.
    pub other_scale: Option<f64>,
}

/// Gypsum breaks down above this, in °C: no programme for it goes so far.
const GYPSUM_PEAK: f64 = 800.0;

/// Figures that are taken for each other, the likeliest slip first.
const ALIKE: [(Field, &[Field]); 15] = [
    (Field::BurnoutPeak, &[Field::MeltTemperature, Field::FlaskTemperature]),
    (Field::FlaskTemperature, &[Field::BurnoutPeak, Field::MeltTemperature, Field::WaterTemperature]),
    (Field::MeltTemperature, &[Field::FlaskTemperature, Field::BurnoutPeak]),
    (Field::WaterTemperature, &[Field::FlaskTemperature]),
    (Field::MixTime, &[Field::WorkTime, Field::SetTime]),
    (Field::WorkTime, &[Field::SetTime, Field::MixTime]),
    (Field::SetTime, &[Field::WorkTime]),
    (Field::BurnoutHold, &[Field::FlaskSoak]),
    (Field::FlaskSoak, &[Field::BurnoutHold]),
    (Field::TransferTime, &[Field::QuenchAfter]),
    (Field::QuenchAfter, &[Field::TransferTime]),
    (Field::Vibration, &[Field::MixTime]),
    (Field::Gate, &[Field::GateLength]),
    (Field::TreeWax, &[Field::Charge]),
    (Field::Charge, &[Field::TreeWax]),
];

/// Why `value`, typed as `text` for a figure of the sheet, is hardly meant; `None` if it may well be.
pub fn unlikely(rules: &RuleBase, sheet: &Sheet, field: Field, value: f64, text: &str) -> Option<Unlikely> {
    let (low, high) = field.limits().usual;
    let in_gypsum = field == Field::BurnoutPeak && sheet.fact(rules, "binder") == Some("gypsum");
    let usual = (low, if in_gypsum { GYPSUM_PEAK } else { high });
    if (usual.0..=usual.1).contains(&value) {
        return None;
    }
    let within = |other: Field| {
        let (low, high) = other.limits().usual;
        (low..=high).contains(&value) && sheet.get(other).is_none()
    };
    let alike = ALIKE.iter().find(|(of, _)| *of == field).map_or(&[][..], |(_, alike)| alike);
    let other_scale = field.dimension().other_scale(text).filter(|v| (usual.0..=usual.1).contains(v));
    Some(Unlikely {
        usual,
        in_gypsum,
        instead: alike.iter().copied().filter(|f| within(*f)).collect(),
        other_scale,
    })
}
