//! The limits that a sheet is held against: one table. A `Stop` can hurt someone or ruin the cast; a `Watch` is worth a
//! second look before metal is melted.

use super::prior::Quantities;
use crate::physics::Element;
use crate::rules::RuleBase;
use crate::sheet::{Computed, Job, Sheet};
use crate::units::Dimension;

/// How bad it is to be past a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Worth a second look.
    Watch,
    /// Can hurt someone or ruin the cast.
    Stop,
}

/// On which side of a number a figure must stay, in the quantity's stored unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bound {
    /// At most this.
    Most(f64),
    /// At least this.
    Least(f64),
}

impl Bound {
    /// The number.
    pub fn at(self) -> f64 {
        match self {
            Self::Most(x) | Self::Least(x) => x,
        }
    }

    fn broken_by(self, value: f64) -> bool {
        match self {
            Self::Most(most) => value > most + NOISE,
            Self::Least(least) => value < least - NOISE,
        }
    }
}

/// Differences of decimal fractions are off by less than this.
const NOISE: f64 = 1e-9;

/// One limit.
pub struct Limit {
    /// Its name, for programs.
    pub id: &'static str,
    /// What goes wrong past it; reads well after "limit passed:".
    pub title: &'static str,
    /// The quantity of the catalogue that it holds, recorded or computed.
    pub quantity: &'static str,
    /// The limit itself.
    pub bound: Bound,
    /// How bad.
    pub level: Level,
    /// Ends of the gauge that shows it, in the stored unit; with a low end above zero the gauge is logarithmic.
    pub gauge: (f64, f64),
    /// For which jobs.
    pub when: fn(Job<'_>) -> bool,
    /// What to do about it.
    pub cure: &'static str,
    /// Where the number comes from.
    pub basis: &'static str,
}

fn always(_: Job<'_>) -> bool {
    true
}
fn in_gypsum(job: Job<'_>) -> bool {
    job.binder() == Some("gypsum")
}
fn pressed(job: Job<'_>) -> bool {
    job.fact("method") == Some("vacuum-pressure")
}
fn by_thermocouple(job: Job<'_>) -> bool {
    job.fact("thermometer") == Some("thermocouple")
}
/// Zinc alloys have a boiling limit of their own; this one is for vacuum as a cover.
fn zinc_under_vacuum(job: Job<'_>) -> bool {
    job.fact("cover") == Some("vacuum")
        && job.alloy().is_some_and(|a| a.composition.share(Element::Zn) > 0.005)
}

use Bound::{Least, Most};
use Level::{Stop, Watch};

macro_rules! limits {
    ($($id:literal, $level:ident, $quantity:literal, $bound:ident($at:expr), ($from:expr, $to:expr), $when:ident,
        $title:literal, $cure:literal, $basis:literal;)*) => {
        /// Every limit, the stops first.
        pub const TABLE: &[Limit] = &[$(Limit {
            id: $id, title: $title, quantity: $quantity, bound: $bound($at), level: $level, gauge: ($from, $to),
            when: $when, cure: $cure, basis: $basis,
        },)*];
    };
}

limits! {
    "zinc-boils", Stop, "zinc-boiling", Most(1.0), (0.01, 10.0), always,
        "zinc or cadmium boils out of the melt",
        "fill the chamber with argon before the metal melts, or melt cooler",
        "vapour pressure against chamber pressure; zinc activity of COST 507 (1998), an upper bound in gold";
    "mould-breaks-down", Stop, "mould-gas", Most(200.0), (0.1, 2000.0), in_gypsum,
        "the gypsum breaks down at the wall",
        "pour cooler, or use a phosphate-bonded mould",
        "CRC, NIST and Holland-Powell data; the threshold is an engineering choice (copper at its melting point, the edge of gypsum by common practice)";
    "metal-short", Stop, "metal-margin", Least(1.0), (0.5, 1.5), always,
        "the charge is short of the tree",
        "add metal: wax weight times alloy over wax density, and a button",
        "weight of wax and densities";
    "flask-near-solidus", Stop, "flask-under-solidus", Least(Sheet::FREEZING_MARGIN.get()), (0.0, 600.0), always,
        "the flask is so hot that the metal does not freeze",
        "cast into a cooler flask",
        "heat balance; the margin is an engineering choice";
    "melt-not-liquid", Stop, "superheat", Least(0.0), (-100.0, 200.0), always,
        "the metal is not wholly liquid when it is poured",
        "heat it over the liquidus by 50 to 150 K",
        "melting range of the alloy table";
    "burnout-breaks-mould", Stop, "mould.burnout-peak", Most(788.0), (400.0, 900.0), in_gypsum,
        "the burnout breaks the gypsum down",
        "keep the oven at 730 to 750 °C at most",
        "common practice: never above 1450 °F";
    "pressure-over-casters", Stop, "pour.casting-pressure", Most(3000.0), (0.0, 4000.0), always,
        "more pressure than such casters are built for",
        "stay under the maker's rating, usually about 2 bar",
        "common practice; the maker's rating comes first";
    "does-not-enter", Stop, "fill-margin", Least(0.6), (0.1, 20.0), always,
        "the thinnest section cannot be entered",
        "more casting force, or a thicker detail",
        "Young-Laplace with a contact angle of 120 to 180 degrees; 0.6 is where even a flat detail stays shut";
    "zinc-under-vacuum", Watch, "melt.chamber-pressure", Least(500.0), (1.0, 1500.0), zinc_under_vacuum,
        "an alloy with zinc is kept under vacuum while molten",
        "melt under argon; vacuum belongs to the cold metal",
        "common practice";
    "zinc-lost", Watch, "zinc-loss", Most(0.1), (0.0, 0.5), always,
        "much of the zinc is lost while molten",
        "pour as soon as the metal is ready, under argon",
        "Stefan flow through a resting gas layer, an order of magnitude";
    "carbon-in-mould", Watch, "mould-gas-carbon", Most(86.0), (0.1, 10000.0), in_gypsum,
        "a burnout this short or cool may leave carbon, and carbon breaks gypsum down",
        "hold the peak longer, with air in the oven",
        "thermodynamic data; the burnout figures are common practice";
    "wall-gas", Watch, "mould-gas", Most(86.0), (0.1, 2000.0), in_gypsum,
        "gas from the mould wall in heavy sections",
        "pour cooler, or a cooler flask in heavy work",
        "CRC, NIST and Holland-Powell data; 86 mbar is a wall at 1050 °C";
    "air-left", Watch, "oxygen-left", Most(1.0), (0.001, 1000.0), always,
        "the purge leaves more oxygen than the melt stands",
        "one more purge cycle, or a deeper vacuum",
        "dilution formula of vacuum purging; oxide limit from the Cu-O assessment of 2005";
    "burnout-hot", Watch, "mould.burnout-peak", Most(760.0), (400.0, 900.0), in_gypsum,
        "the burnout is hotter than gypsum likes",
        "730 to 750 °C is enough",
        "common practice";
    "melt-hot", Watch, "melt-above-window", Most(20.0), (-100.0, 150.0), always,
        "the melt is above the alloy's window",
        "pour cooler",
        "alloy table";
    "melt-cold", Watch, "melt-below-window", Most(20.0), (-150.0, 100.0), always,
        "the melt is below the alloy's window",
        "pour hotter",
        "alloy table";
    "flask-hot", Watch, "flask-above-window", Most(20.0), (-200.0, 200.0), always,
        "the flask is above the window for its heavy parts",
        "cast into a cooler flask",
        "alloy table";
    "flask-cold", Watch, "flask-below-window", Most(20.0), (-200.0, 200.0), always,
        "the flask is below the window for its thin parts",
        "cast into a hotter flask",
        "alloy table";
    "fill-slow", Watch, "fill-over-freeze", Most(1.0), (0.01, 10.0), always,
        "the thinnest section may freeze before it is full",
        "more casting force, a hotter flask, a shorter way",
        "flow and freezing formulas; the threshold is an engineering choice";
    "fill-tight", Watch, "fill-margin", Least(1.0), (0.1, 20.0), always,
        "the thinnest section is finer than this force fills for sure",
        "more casting force, or a thicker detail",
        "Young-Laplace with a contact angle of 120 to 180 degrees";
    "gate-thin", Watch, "gate-section", Least(0.94), (0.2, 2.5), always,
        "the gate freezes before the section it feeds",
        "a thicker gate at the thickest place",
        "modulus rule; 70 % of the section's area is the least of trade papers";
    "feed-little", Watch, "feed-volume", Least(1.0), (0.0, 3.0), always,
        "button and sprues hold less than the shrinkage asks for",
        "a larger button or a thicker sprue",
        "feeder rule of foundry practice, quoted shrinkages";
    "button-small", Watch, "metal-margin", Least(1.1), (0.5, 1.5), always,
        "hardly any button",
        "10 to 25 % of the metal belongs into the button",
        "common practice";
    "mould-crowded", Watch, "mould-room", Least(1.0), (0.0, 3.0), always,
        "pieces stand so close that the mould between them heats through",
        "more space between heavy pieces",
        "heat conduction into the mould";
    "soak-short", Watch, "soak-share", Least(1.0), (0.0, 3.0), always,
        "the flask's core has not come to casting heat",
        "hold it longer at the casting temperature",
        "heat conduction into a cylinder, within 30 %";
    "core-hot", Watch, "core-lag", Most(25.0), (0.0, 150.0), always,
        "the core is still much hotter than the flask's skin",
        "hold it longer at the casting temperature",
        "heat conduction into a cylinder, within 30 %";
    "overshoot", Watch, "overshoot", Most(50.0), (0.0, 250.0), always,
        "a charge this small overshoots its set temperature",
        "less power at the end, or a fuller crucible",
        "energy balance with 2 s of control lag; half the usual superheat";
    "thermocouple-hot", Watch, "melt.temperature", Most(1300.0), (800.0, 1800.0), by_thermocouple,
        "too hot for an immersion thermocouple",
        "read it with an optical pyrometer",
        "common practice: an immersion thermocouple serves to about 1300 °C";
    "reading-off", Watch, "reading-error", Most(50.0), (0.0, 200.0), always,
        "the temperature reading may be far off",
        "set the emissivity on a known melt; watch for an oxide skin",
        "Planck's law with published emissivities";
    "power-low", Watch, "power-share", Least(0.6), (0.0, 2.0), always,
        "little power for this metal",
        "about 4 kW melts a small charge of gold or silver, about 8 kW platinum",
        "common practice";
    "melt-slow", Watch, "melt-time", Most(900.0), (10.0, 3600.0), always,
        "the charge takes long to melt",
        "a smaller charge, or more power",
        "energy balance; the threshold is an engineering choice";
    "pressure-high", Watch, "pour.casting-pressure", Most(2000.0), (0.0, 4000.0), always,
        "casting pressure beyond the usual 2 bar",
        "look at the maker's rating; the mould's joints give way first",
        "common practice: over-pressure in such casters goes to about 2 bar";
    "vibration-short", Watch, "pour.vibration", Least(25.0), (0.0, 60.0), pressed,
        "vibration too short to settle the metal",
        "35 to 40 s is enough",
        "common practice: far less leaves less dense metal";
    "revert-much", Watch, "revert-over-limit", Most(0.0), (-0.5, 0.5), always,
        "more reused metal than is usual for the alloy",
        "at least as much fresh metal as the alloy asks for",
        "alloy table";
    "quench-early", Watch, "quench-before-window", Most(0.0), (-1800.0, 1800.0), always,
        "quenched early",
        "wait as long as the alloy asks for",
        "alloy table";
    "quench-late", Watch, "quench-after-window", Most(0.0), (-1800.0, 1800.0), always,
        "quenched late",
        "quench inside the alloy's window",
        "alloy table";
}

/// How a figure stands to its limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// On the right side with all of its range.
    Clear,
    /// The best value is on the right side, its range is not.
    Near,
    /// The best value is past it.
    Passed,
}

/// A limit with the figure of one sheet.
pub struct Held {
    /// Which limit.
    pub limit: &'static Limit,
    /// Its quantity's kind of number.
    pub dimension: Dimension,
    /// What the quantity is called.
    pub name: &'static str,
    /// The figure.
    pub figure: Computed,
    /// How it stands.
    pub standing: Standing,
}

impl Held {
    /// True when the cast must not be made so.
    pub fn stops(&self) -> bool {
        self.limit.level == Level::Stop && self.is_passed()
    }

    /// True when the best value is past the limit.
    pub fn is_passed(&self) -> bool {
        self.standing == Standing::Passed
    }

    /// True for a clear figure whose distance to a limit says less than its own words do.
    pub fn is_best_in_words(&self) -> bool {
        let by_window = self.limit.bound.at() <= 0.0 || self.limit.quantity.ends_with("-window");
        by_window && self.standing == Standing::Clear
    }

    /// How it stands, in a word.
    pub fn word(&self) -> &'static str {
        match (self.standing, self.limit.level) {
            (Standing::Passed, Level::Stop) => "STOP",
            (Standing::Passed, Level::Watch) => "watch",
            (Standing::Near, _) => "near",
            (Standing::Clear, _) => "ok",
        }
    }

    /// True for a clear figure whose quantity a tighter limit shows as well, and for the other end of a window.
    fn is_said_by_another(&self, all: &[Held]) -> bool {
        if self.standing != Standing::Clear {
            return false;
        }
        let other_end = match self.limit.id {
            "melt-cold" => "melt-hot",
            "flask-cold" => "flask-hot",
            "quench-late" => "quench-early",
            _ => "",
        };
        all.iter().any(|o| {
            let same = o.limit.quantity == self.limit.quantity && o.limit.id != self.limit.id;
            let tighter = o.limit.level < self.limit.level || o.standing != Standing::Clear;
            (same && tighter) || (o.limit.id == other_end && o.figure.says == self.figure.says)
        })
    }
}

/// The figures that a reader needs, the worst first.
pub fn worth_showing(held: &[Held]) -> Vec<&Held> {
    let mut rows: Vec<&Held> = held.iter().filter(|h| !h.is_said_by_another(held)).collect();
    rows.sort_by_key(|h| match (h.standing, h.limit.level) {
        (Standing::Passed, Level::Stop) => 0,
        (Standing::Passed, Level::Watch) => 1,
        (Standing::Near, _) => 2,
        (Standing::Clear, _) => 3,
    });
    rows
}

/// Every limit for which the sheet has a figure, in the order of the table. A watch on the quantity of a stop that is
/// passed says nothing more and is left out.
pub fn hold(rules: &RuleBase, sheet: &Sheet, quantities: &Quantities) -> Vec<Held> {
    let job = Job::new(sheet, rules);
    let mut found: Vec<Held> = Vec::new();
    for limit in TABLE.iter().filter(|l| (l.when)(job)) {
        let Some(key) = rules.find_quantity(limit.quantity) else { continue };
        let Some(figure) = quantities.get(key) else { continue };
        let ends = [figure.low, figure.high];
        let standing = if limit.bound.broken_by(figure.value) {
            Standing::Passed
        } else if ends.into_iter().any(|v| limit.bound.broken_by(v)) {
            Standing::Near
        } else {
            Standing::Clear
        };
        if found.iter().any(|h| h.limit.quantity == limit.quantity && h.stops()) {
            continue;
        }
        let quantity = rules.quantity(key);
        found.push(Held {
            limit,
            dimension: quantity.dimension,
            name: quantity.title,
            figure: figure.clone(),
            standing,
        });
    }
    found
}
