//! What on a sheet is possible but rare: worth a second look, and no error.

use super::field::Field;
use super::model::Sheet;

/// A figure to look at again.
#[derive(Debug, Clone, PartialEq)]
pub struct Unusual {
    /// Which.
    pub field: Field,
    /// What is unusual: lower case, no full stop.
    pub message: String,
    /// What is usual, and what to check.
    pub help: String,
}

impl Field {
    /// What is unusual about a value of this field.
    pub fn unusual(self, value: f64) -> Option<Unusual> {
        let (low, high) = self.limits().usual;
        let show = |v: f64| self.dimension().show(v);
        (!(low..=high).contains(&value)).then(|| Unusual {
            field: self,
            message: format!("a {} of {} is unusual", self.title(), show(value)),
            help: format!("usual is {} to {}; check the digits and the unit", show(low), show(high)),
        })
    }
}

impl Sheet {
    /// Its unusual figures, each by itself in the order of a sheet, then those that are so beside another.
    pub fn unusual(&self) -> Vec<Unusual> {
        let alone = self.figures.iter().filter_map(|(field, recorded)| field.unusual(recorded.value));
        let peak = self.get(Field::BurnoutPeak);
        let hot = self.get(Field::FlaskTemperature).zip(peak).is_some_and(|(flask, peak)| flask > peak + 5.0);
        let beside = hot.then(|| Unusual {
            field: Field::FlaskTemperature,
            message: "the flask was cast hotter than its burnout peak".to_owned(),
            help: "what did not burn out at the peak goes into the metal; check both figures".to_owned(),
        });
        alone.chain(beside).collect()
    }
}
