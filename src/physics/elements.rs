//! The metals of the workshop: their properties, and what an alloy is made of.
//!
//! Sources by column. Molar mass, melting and boiling point, heat of fusion, liquid density and its slope: CRC
//! Handbook tables as carried by the open library chemicals 1.5.2. Solid density and conductivity: mendeleev 1.3.0 (silver 10.49 and
//! platinum 21.45, as it rounds those two to a tenth).
//! Heat capacities: SGTE unary functions (A. T. Dinsdale, Calphad 15 (1991) 317) as carried by thermo 0.6.1; Co and
//! Mn from the NIST Shomate sets, Fe solid mean from memory. Take 5 % on heat capacities and heats of fusion.
//! Surface tension: Ag after B. J. Keene, Int. Mater. Rev. 38 (1993) 157 in an open implementation; Cu and Ni after
//! K. Aziz, A. Schmon, G. Pottlacher, High Temp.-High Press. 43 (2014) 193 and 44 (2015) 475; Pt after Y. Seimiya
//! et al., High Temp. Mater. Process. 42 (2023) 2022-0306; the others from memory. Freezing shrinkage: quoted
//! ranges, from memory. The liquid density of platinum in the CRC file is suspect (it leaves 2.4 % shrinkage where
//! 6 to 7 % is observed). Phosphorus is the white form, from memory, and stands for traces only.

use std::fmt;
use std::str::FromStr;

use crate::units::{Celsius, GramsPerCm3};

/// A metal (or metalloid) that occurs in casting alloys.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[expect(missing_docs, reason = "the chemical symbols are their own document")]
pub enum Element {
    Au,
    Ag,
    Cu,
    Zn,
    Ni,
    Pd,
    Pt,
    Sn,
    Si,
    In,
    Co,
    Ru,
    Ir,
    Fe,
    Cr,
    Cd,
    Pb,
    Mn,
    Ge,
    Ga,
    Mo,
    Al,
    Rh,
    W,
    P,
}

/// How many elements there are.
const COUNT: usize = 25;

/// Handbook figures of one element; the head of this module names the sources.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Properties {
    /// Chemical symbol.
    pub symbol: &'static str,
    /// English name, lower case.
    pub name: &'static str,
    /// g/mol.
    pub molar_mass: f64,
    /// Melting point.
    pub melting: Celsius,
    /// Boiling point at one atmosphere.
    pub boiling: Celsius,
    /// Density of the solid at 20 °C.
    pub density_solid: GramsPerCm3,
    /// Density of the liquid at the melting point.
    pub density_liquid: GramsPerCm3,
    /// How much the liquid loses of its density per kelvin, g/(cm³·K); 0 where no figure was found.
    pub density_slope: f64,
    /// Mean heat capacity of the solid from 25 °C to the melting point, J/(kg·K).
    pub heat_capacity_solid: f64,
    /// Heat capacity of the liquid at the melting point, J/(kg·K).
    pub heat_capacity_liquid: f64,
    /// Heat of fusion, J/kg.
    pub latent_heat: f64,
    /// Thermal conductivity of the solid at 25 °C, W/(m·K).
    pub conductivity: f64,
    /// Surface tension of the liquid at the melting point, N/m.
    pub surface_tension: f64,
    /// Change of the surface tension with temperature, N/(m·K), negative.
    pub surface_tension_slope: f64,
    /// Volume lost on freezing as a share: low, usual, high.
    pub shrinkage: (f64, f64, f64),
}

/// One row: name, symbol, M, Tm and Tb in °C, solid and liquid density, slope in 1e-3 g/cm³K, cp solid mean, cp
/// liquid, L in kJ/kg, k, sigma in mN/m, its slope in mN/(m·K), shrinkage in %: low, usual, high.
type Row = (&'static str, &'static str, [f64; 12], [f64; 3]);

const fn properties(row: Row) -> Properties {
    let (name, symbol, p, s) = row;
    Properties {
        symbol,
        name,
        molar_mass: p[0],
        melting: Celsius::new(p[1]),
        boiling: Celsius::new(p[2]),
        density_solid: GramsPerCm3::new(p[3]),
        density_liquid: GramsPerCm3::new(p[4]),
        density_slope: p[5] / 1000.0,
        heat_capacity_solid: p[6],
        heat_capacity_liquid: p[7],
        latent_heat: p[8] * 1000.0,
        conductivity: p[9],
        surface_tension: p[10] / 1000.0,
        surface_tension_slope: p[11] / 1000.0,
        shrinkage: (s[0] / 100.0, s[1] / 100.0, s[2] / 100.0),
    }
}

#[rustfmt::skip]
const ROWS: [Row; COUNT] = [
    ("gold",       "Au", [196.967, 1064.18, 2836., 19.30, 17.31, 1.34, 142., 166.,   63.7, 318., 1145., -0.20 ], [5.1, 5.2, 5.5]),
    ("silver",     "Ag", [107.868,  961.78, 2162., 10.49,  9.32, 0.90, 262., 310.,  104.8, 429.,  925., -0.228], [3.8, 4.8, 5.5]),
    ("copper",     "Cu", [ 63.546, 1084.62, 2560.,  8.96,  8.00, 0.82, 435., 494.,  208.7, 401., 1348., -0.21 ], [4.2, 4.5, 5.3]),
    ("zinc",       "Zn", [ 65.38,   419.53,  907.,  7.13,  6.57, 1.10, 419., 480.,  108.1, 116.,  782., -0.21 ], [4.1, 4.4, 4.7]),
    ("nickel",     "Ni", [ 58.693, 1455.0,  2913.,  8.90,  7.81, 0.73, 568., 733.,  297.8,  91., 1864., -0.35 ], [4.5, 5.0, 5.5]),
    ("palladium",  "Pd", [106.42,  1554.8,  2963., 12.00, 10.38, 1.17, 283., 387.,  157.3,  72., 1482., -0.28 ], [5.9, 6.0, 7.8]),
    ("platinum",   "Pt", [195.08,  1768.2,  3825., 21.45, 19.77, 2.40, 158., 187.,  113.7,  72., 1798., -0.12 ], [6.0, 6.5, 7.0]),
    ("tin",        "Sn", [118.71,   231.93, 2586.,  7.29,  6.98, 0.65, 243., 248.,   60.2,  67.,  560., -0.09 ], [2.3, 2.5, 2.8]),
    ("silicon",    "Si", [ 28.085, 1414.0,  3265.,  2.33,  2.57, 0.36, 924., 969., 1788.0, 149.,  775., -0.15 ], [-9.5, -9.5, -9.5]),
    ("indium",     "In", [114.818,  156.6,  2027.,  7.31,  7.02, 0.84, 244., 254.,   28.7,  82.,  556., -0.09 ], [2.0, 2.3, 2.6]),
    ("cobalt",     "Co", [ 58.933, 1495.0,  2927.,  8.86,  7.75, 1.65, 617., 684.,  274.9, 100., 1881., -0.34 ], [3.5, 4.4, 5.3]),
    ("ruthenium",  "Ru", [101.07,  2333.0,  4147., 12.10, 10.65, 0.0,  340., 513.,  381.8, 117., 2256., -0.24 ], [4.0, 5.5, 7.0]),
    ("iridium",    "Ir", [192.217, 2446.0,  4428., 22.56, 19.00, 0.0,  176., 309.,  213.9, 147., 2241., -0.23 ], [4.0, 5.5, 7.0]),
    ("iron",       "Fe", [ 55.845, 1538.0,  2861.,  7.87,  7.04, 0.93, 650., 818.,  247.3,  80., 1862., -0.39 ], [3.2, 3.5, 3.6]),
    ("chromium",   "Cr", [ 51.996, 1907.0,  2671.,  7.15,  6.30, 1.10, 727., 961.,  403.9,  94., 1628., -0.20 ], [3.0, 4.0, 5.0]),
    ("cadmium",    "Cd", [112.41,   321.07,  767.,  8.69,  8.00, 1.22, 247., 264.,   55.2,  97.,  637., -0.15 ], [3.4, 4.0, 4.7]),
    ("lead",       "Pb", [207.2,    327.46, 1749., 11.30, 10.66, 1.22, 136., 148.,   23.0,  35.,  458., -0.11 ], [3.2, 3.5, 3.8]),
    ("manganese",  "Mn", [ 54.938, 1246.0,  2061.,  7.30,  5.95, 1.05, 653., 838.,  235.0, 7.8,  1090., -0.20 ], [1.5, 3.0, 5.0]),
    ("germanium",  "Ge", [ 72.64,   938.25, 2833.,  5.323, 5.60, 0.55, 358., 380.,  508.5,  60.,  621., -0.26 ], [-5.5, -5.0, -4.5]),
    ("gallium",    "Ga", [ 69.723,   29.77, 2229.,  5.91,  6.08, 0.62, 374., 408.,   80.1,  28.,  718., -0.10 ], [-3.2, -3.1, -3.0]),
    ("molybdenum", "Mo", [ 95.96,  2622.0,  4639., 10.20,  9.33, 0.0,  361., 392.,  390.6, 138., 2250., -0.20 ], [4.0, 5.5, 7.0]),
    ("aluminium",  "Al", [ 26.982,  660.32, 2519.,  2.70,  2.377, 0.311, 1049., 1177., 396.9, 237., 914., -0.35], [6.0, 6.5, 7.0]),
    ("rhodium",    "Rh", [102.906, 1963.0,  3695., 12.40, 10.70, 0.895, 343., 492., 258.4, 150., 2000., -0.30 ], [4.0, 5.5, 7.0]),
    ("tungsten",   "W",  [183.84,  3414.0,  5555., 19.30, 17.60, 0.0,  191., 193.,  284.5, 173., 2500., -0.20 ], [4.0, 5.5, 7.0]),
    ("phosphorus", "P",  [ 30.974,   44.15,  280.,  1.823, 1.74, 0.0,  740., 850.,   20.0, 0.24,   52., -0.06 ], [0.0, 1.0, 3.5]),
];

static TABLE: [Properties; COUNT] = {
    let mut table = [properties(ROWS[0]); COUNT];
    let mut at = 1;
    while at < COUNT {
        table[at] = properties(ROWS[at]);
        at += 1;
    }
    table
};

impl Element {
    /// Every element, in the order of the table.
    #[rustfmt::skip]
    pub const ALL: [Self; COUNT] = [
        Self::Au, Self::Ag, Self::Cu, Self::Zn, Self::Ni, Self::Pd, Self::Pt, Self::Sn, Self::Si, Self::In, Self::Co,
        Self::Ru, Self::Ir, Self::Fe, Self::Cr, Self::Cd, Self::Pb, Self::Mn, Self::Ge, Self::Ga, Self::Mo, Self::Al,
        Self::Rh, Self::W, Self::P,
    ];

    /// Its handbook figures.
    pub fn properties(self) -> &'static Properties {
        &TABLE[self as usize]
    }

    /// Chemical symbol, such as `Ag`.
    pub fn symbol(self) -> &'static str {
        self.properties().symbol
    }

    /// English name in lower case, such as `silver`.
    pub fn name(self) -> &'static str {
        self.properties().name
    }
}

impl fmt::Display for Element {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}

impl FromStr for Element {
    type Err = CompositionError;

    /// Reads a symbol (`Ag`) or a name (`silver`), in any case.
    fn from_str(text: &str) -> Result<Self, CompositionError> {
        let text = text.trim();
        Self::ALL
            .into_iter()
            .find(|e| e.symbol().eq_ignore_ascii_case(text) || e.name().eq_ignore_ascii_case(text))
            .ok_or_else(|| CompositionError::UnknownElement { text: text.chars().take(40).collect() })
    }
}

/// Why a list of elements and shares is not an alloy.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CompositionError {
    /// Nothing listed.
    #[error("the composition lists no element")]
    Empty,
    /// A symbol or name that is not in the table.
    #[error("`{text}` is not an element of the table; known: {}", known())]
    UnknownElement {
        /// What was written.
        text: String,
    },
    /// A share below zero, above one, or not a number.
    #[error("{element} has a share of {}, which is not between 0 and 1", crate::units::figures(*.share, 4))]
    NotAShare {
        /// The element at fault.
        element: Element,
        /// Its share as given.
        share: f64,
    },
    /// The same element twice.
    #[error("{element} is listed twice")]
    Repeated {
        /// The element at fault.
        element: Element,
    },
    /// The shares do not add up to one.
    #[error("the shares add up to {} and not to 1 (allowed is 0.995 to 1.005): {entries}", crate::units::figures(*.sum, 4))]
    Sum {
        /// What they add up to.
        sum: f64,
        /// All entries as text, largest first.
        entries: String,
    },
}

fn known() -> String {
    Element::ALL.map(Element::symbol).join(", ")
}

/// An alloy by mass fractions. Always adds up to one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Composition {
    mass: [f64; COUNT],
}

impl Composition {
    /// How far the sum of the shares may be from one before it counts as a mistake and not as rounding.
    pub const SUM_TOLERANCE: f64 = 0.005;

    /// An alloy from elements with their mass fractions (0.925 for 92.5 %). A sum within
    /// [`Self::SUM_TOLERANCE`] of one is taken as rounding and scaled to one.
    ///
    /// # Errors
    /// A [`CompositionError`] that names the entry at fault, or the sum with all entries.
    pub fn new(parts: &[(Element, f64)]) -> Result<Self, CompositionError> {
        if parts.is_empty() {
            return Err(CompositionError::Empty);
        }
        let mut mass = [0.0; COUNT];
        let mut seen = [false; COUNT];
        for &(element, share) in parts {
            if !(0.0..=1.0).contains(&share) {
                return Err(CompositionError::NotAShare { element, share });
            }
            if std::mem::replace(&mut seen[element as usize], true) {
                return Err(CompositionError::Repeated { element });
            }
            mass[element as usize] = share;
        }
        let sum: f64 = mass.iter().sum();
        // A hair of slack, so that a sum of exactly 0.995 in decimals is not refused for its last bit.
        if (sum - 1.0).abs() > Self::SUM_TOLERANCE + 1e-9 {
            let mut sorted = parts.to_vec();
            sorted.sort_by(|a, b| b.1.total_cmp(&a.1));
            let entries: Vec<String> =
                sorted.iter().map(|(e, s)| format!("{e} {}", crate::units::figures(*s, 4))).collect();
            return Err(CompositionError::Sum { sum, entries: entries.join(", ") });
        }
        for share in &mut mass {
            *share /= sum;
        }
        Ok(Self { mass })
    }

    /// An alloy from elements with their percentages by mass (92.5 for 92.5 %).
    ///
    /// # Errors
    /// As for [`Self::new`]; the shares in the message are fractions.
    pub fn from_percent(parts: &[(Element, f64)]) -> Result<Self, CompositionError> {
        let parts: Vec<(Element, f64)> = parts.iter().map(|&(e, p)| (e, p / 100.0)).collect();
        Self::new(&parts)
    }

    /// The metal alone.
    pub fn pure(element: Element) -> Self {
        let mut mass = [0.0; COUNT];
        mass[element as usize] = 1.0;
        Self { mass }
    }

    /// Mass fraction of an element, 0 when it is not in the alloy.
    pub fn share(&self, element: Element) -> f64 {
        self.mass[element as usize]
    }

    /// The elements that are in the alloy with their mass fractions, in the order of the table.
    pub fn parts(&self) -> impl Iterator<Item = (Element, f64)> + '_ {
        Element::ALL.into_iter().map(|e| (e, self.share(e))).filter(|&(_, w)| w > 0.0)
    }

    /// Mole fraction of an element: `x = (w/M) / sum(w_i/M_i)`.
    pub fn mole_fraction(&self, element: Element) -> f64 {
        let all: f64 = self.parts().map(|(e, w)| w / e.properties().molar_mass).sum();
        self.share(element) / element.properties().molar_mass / all
    }

    /// The element with the largest mass fraction.
    pub fn base(&self) -> Element {
        self.parts().max_by(|a, b| a.1.total_cmp(&b.1)).map_or(Element::Ag, |(e, _)| e)
    }

    /// `sum(w_i * f(element))`: the mixing rule by mass.
    pub fn mix_by_mass(&self, property: impl Fn(&Properties) -> f64) -> f64 {
        self.parts().map(|(e, w)| w * property(e.properties())).sum()
    }

    /// `sum(x_i * f(element))`: the mixing rule by moles.
    pub fn mix_by_moles(&self, property: impl Fn(&Properties) -> f64) -> f64 {
        self.parts().map(|(e, _)| self.mole_fraction(e) * property(e.properties())).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_in_the_order_of_the_enum() {
        for element in Element::ALL {
            assert_eq!(format!("{element:?}"), element.symbol());
            assert_eq!(element.name().parse::<Element>(), Ok(element));
        }
    }
}
