//! The figures that a process sheet may record, each with its kind of number and what is possible and usual.

use crate::units::Dimension;

/// What is possible (outside: an error) and what is usual (outside: a warning), in the dimension's stored unit.
#[derive(Debug, Clone, Copy)]
pub struct Limits {
    /// Nothing outside can be meant.
    pub possible: (f64, f64),
    /// Outside is worth a second look.
    pub usual: (f64, f64),
}

macro_rules! fields {
    ($($(#[$doc:meta])* $name:ident, $id:literal, $dimension:ident, $title:literal, $p0:expr, $p1:expr, $u0:expr, $u1:expr;)*) => {
        /// A recorded figure of the process sheet.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Field { $(#[doc = $title] $name,)* }
        impl Field {
            /// All fields in the order of a sheet.
            pub const ALL: &'static [Self] = &[$(Self::$name,)*];
            /// Its path on the sheet, such as `flask.temperature`.
            pub const fn id(self) -> &'static str { match self { $(Self::$name => $id,)* } }
            /// Its kind of number.
            pub const fn dimension(self) -> Dimension { match self { $(Self::$name => Dimension::$dimension,)* } }
            /// What it is, in words that can follow "the".
            pub const fn title(self) -> &'static str { match self { $(Self::$name => $title,)* } }
            /// What is possible and what is usual.
            pub const fn limits(self) -> Limits {
                match self { $(Self::$name => Limits { possible: ($p0, $p1), usual: ($u0, $u1) },)* }
            }
        }
    };
}

// Bounds are common practice and wide: they catch slips of a digit or a unit, they do not judge.
fields! {
    Charge, "charge", Mass, "metal charge", 0.0, 100_000.0, 5.0, 3000.0;
    Revert, "revert", Share, "share of reused metal", 0.0, 1.0, 0.0, 1.0;
    RevertGenerations, "revert-generations", Count, "times the metal was used before", 0.0, 1000.0, 0.0, 10.0;
    MeltTemperature, "melt.temperature", Temperature, "melt temperature", 150.0, 2500.0, 400.0, 2100.0;
    PurgeCycles, "melt.purge-cycles", Count, "number of purge cycles", 0.0, 100.0, 0.0, 10.0;
    PurgeVacuum, "melt.purge-vacuum", Pressure, "pressure reached in each purge", 0.0, 1100.0, 0.01, 300.0;
    ChamberPressure, "melt.chamber-pressure", Pressure, "chamber pressure while melting", 0.0, 5000.0, 0.01, 1500.0;
    TimeAtHeat, "melt.time-at-heat", Duration, "time at pouring heat", 0.0, 86_400.0, 0.0, 1800.0;
    MeltPower, "melt.power", Power, "melting power", 1.0, 1_000_000.0, 300.0, 30_000.0;
    LeakRate, "melt.leak-rate", LeakRate, "chamber leak", 0.0, 1000.0, 0.0, 1.0;
    ChamberVolume, "melt.chamber-volume", Volume, "chamber volume", 0.01, 10_000.0, 1.0, 100.0;
    CrucibleMass, "melt.crucible-mass", Mass, "crucible mass", 1.0, 100_000.0, 50.0, 5000.0;
    Emissivity, "melt.emissivity", Ratio, "emissivity set on the pyrometer", 0.01, 1.0, 0.05, 1.0;
    CastingPressure, "pour.casting-pressure", OverPressure, "casting pressure", 0.0, 20_000.0, 0.0, 3000.0;
    PourVacuum, "pour.vacuum", Pressure, "pressure under the flask while pouring", 0.0, 1100.0, 1.0, 600.0;
    Head, "pour.head", Length, "head of metal over the piece", 0.0, 2000.0, 5.0, 300.0;
    SpinSpeed, "pour.spin-speed", Speed, "spinning speed", 0.0, 5000.0, 100.0, 800.0;
    ArmRadius, "pour.arm-radius", Length, "radius of the casting arm", 10.0, 2000.0, 80.0, 600.0;
    TransferTime, "pour.transfer-time", Duration, "time from oven to pour", 0.0, 3600.0, 0.0, 180.0;
    Vibration, "pour.vibration", Duration, "vibration after the pour", 0.0, 3600.0, 0.0, 120.0;
    HoldForce, "pour.hold-force", Duration, "time the casting force is kept on", 0.0, 7200.0, 5.0, 600.0;
    FlaskTemperature, "flask.temperature", Temperature, "flask temperature", 0.0, 1300.0, 100.0, 1050.0;
    FlaskDiameter, "flask.diameter", Length, "flask diameter", 15.0, 1000.0, 40.0, 200.0;
    FlaskHeight, "flask.height", Length, "flask height", 15.0, 1500.0, 40.0, 300.0;
    FlaskSoak, "flask.soak", Duration, "soak at casting heat", 0.0, 172_800.0, 0.0, 43_200.0;
    Water, "mould.water", WaterRatio, "water to 100 of powder", 5.0, 100.0, 25.0, 55.0;
    BurnoutPeak, "mould.burnout-peak", Temperature, "burnout peak", 100.0, 1300.0, 400.0, 1000.0;
    BurnoutHold, "mould.burnout-hold", Duration, "hold at the burnout peak", 0.0, 345_600.0, 1800.0, 54_000.0;
    HeatingRate, "mould.heating-rate", HeatingRate, "burnout heating rate", 1.0, 10_000.0, 20.0, 800.0;
    MixTime, "mould.mix-time", Duration, "mixing time", 0.0, 7200.0, 60.0, 600.0;
    WorkTime, "mould.work-time", Duration, "time from water to set aside", 0.0, 14_400.0, 120.0, 1200.0;
    WaterTemperature, "mould.water-temperature", Temperature, "water temperature", 0.0, 100.0, 10.0, 50.0;
    InvestingVacuum, "mould.investing-vacuum", Pressure, "pressure over the slurry", 0.0, 1100.0, 5.0, 300.0;
    SetTime, "mould.set-time", Duration, "rest between investing and oven", 0.0, 2_592_000.0, 600.0, 172_800.0;
    PowderAge, "mould.powder-age", Duration, "age of the open powder", 0.0, 1_577_880_000.0, 0.0, 63_115_200.0;
    DewaxTime, "mould.dewax-time", Duration, "steam dewax time", 0.0, 86_400.0, 0.0, 10_800.0;
    TreeWax, "tree.wax", Mass, "wax weight of the whole tree", 0.0, 20_000.0, 0.5, 300.0;
    Button, "tree.button", Mass, "button weight", 0.0, 20_000.0, 0.0, 500.0;
    Pieces, "tree.pieces", Mass, "wax weight of the pieces", 0.0, 20_000.0, 0.1, 300.0;
    Gate, "tree.gate", Length, "gate diameter", 0.1, 200.0, 0.8, 15.0;
    GateLength, "tree.gate-length", Length, "gate length", 0.0, 1000.0, 1.0, 40.0;
    GateCount, "tree.gate-count", Count, "gates on a piece", 0.0, 1000.0, 1.0, 12.0;
    Thinnest, "tree.thinnest", Length, "thinnest section", 0.01, 500.0, 0.15, 10.0;
    Heaviest, "tree.heaviest", Length, "heaviest section", 0.05, 500.0, 0.5, 25.0;
    Spacing, "tree.spacing", Length, "space between pieces", 0.0, 500.0, 2.0, 60.0;
    WallGap, "tree.wall-gap", Length, "space to the flask wall", 0.0, 500.0, 3.0, 60.0;
    EndGap, "tree.end-gap", Length, "cover over the tree's top", 0.0, 500.0, 5.0, 80.0;
    WaxDensity, "tree.wax-density", Density, "wax density", 0.3, 3.0, 0.85, 1.25;
    QuenchAfter, "cooling.quench-after", Duration, "time from pour to quench", 0.0, 604_800.0, 30.0, 14_400.0;
}

impl Field {
    /// The field of a path.
    pub fn find(id: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|f| f.id() == id)
    }

    /// Words that stand by its value in free speech. Only those that can hardly mean another figure of the same kind: an
    /// oven at 500 C may be at its peak or at casting heat.
    pub const fn spoken(self) -> &'static [&'static str] {
        match self {
            Self::FlaskTemperature => &["flask", "mould", "cylinder"],
            Self::MeltTemperature => &["metal", "melt", "melted", "molten", "pour", "poured"],
            Self::BurnoutPeak => &["burnout", "burn", "burnt", "peak"],
            Self::CastingPressure => &["pressure", "overpressure"],
            Self::SpinSpeed => &["spin", "spun", "spinning", "centrifuge"],
            Self::QuenchAfter => &["quench", "quenched"],
            Self::FlaskSoak => &["soak", "soaked"],
            Self::MixTime => &["mix", "mixed"],
            Self::DewaxTime => &["steam", "steamed", "dewax"],
            Self::Revert => &["scrap", "revert", "returns", "reused", "remelted", "recycled", "old"],
            Self::Gate => &["gate", "sprue", "sprued", "feeder"],
            Self::Heaviest => &["thick"],
            Self::Thinnest => &["thin", "prong", "claw"],
            Self::TreeWax => &["wax"],
            Self::Charge => &["charge"],
            _ => &[],
        }
    }

    /// The sheet's section it stands in, and its name there.
    pub fn split(self) -> (Option<&'static str>, &'static str) {
        match self.id().split_once('.') {
            Some((section, name)) => (Some(section), name),
            None => (None, self.id()),
        }
    }
}

/// Where a fact of the rules stands on the sheet: section, name there, id of the fact.
pub const FACTS: &[(Option<&str>, &str, &str)] = &[
    (None, "method", "method"),
    (None, "section", "section"),
    (Some("melt"), "cover", "cover"),
    (Some("melt"), "heat", "heat"),
    (Some("melt"), "crucible", "crucible"),
    (Some("melt"), "thermometer", "thermometer"),
    (Some("mould"), "binder", "binder"),
    (Some("mould"), "dewax", "dewax"),
    (Some("mould"), "boric-acid", "boric-acid"),
    (Some("tree"), "pattern", "pattern"),
    (Some("tree"), "stones", "stones"),
];

/// The sections of a sheet, in order.
pub const SECTIONS: &[&str] = &["melt", "pour", "flask", "mould", "tree", "cooling"];
