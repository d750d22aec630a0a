//! What the metal does: zinc, oxygen, melting range, filling, freezing, feeding, the mould's wall.

use super::answer::Answer;
use super::input::{Metal, Rules, duration, length, mass, over_pressure, pressure, speed, temperature};
use crate::cli::failure::Failure;
use crate::physics::feed::{GateVerdict, gate};
use crate::physics::fill::{
    Detail, centrifugal_pressure, drive_of, head_pressure, least_section_range, vacuum_assist,
};
use crate::physics::freeze::{Shape, freezing_time_of, superheat_time};
use crate::physics::heat::{MouldHeat, wall_temperature};
use crate::physics::mould::{MouldState, breakdown_pressure};
use crate::physics::volatile::{
    Boiling, Volatile, boiling, boiling_temperature, partial_pressure, vapour_loss,
};
use crate::physics::{Element, Estimate, oxygen, phase};
use crate::units::{
    ATMOSPHERE_MBAR, Celsius, Dimension, Grams, GramsPerCm3, Millibars, Millimetres, Seconds,
};

/// Zinc or cadmium over a melt against the pressure on it
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast compute zinc --alloy gold-9k-yellow --at 1000C --chamber 50mbar")]
pub(in crate::cli) struct Zinc {
    #[command(flatten)]
    metal: Metal,

    /// Temperature of the melt
    #[arg(long, value_name = "TEMPERATURE", value_parser = temperature)]
    at: f64,

    /// Pressure over it
    #[arg(long, value_name = "PRESSURE", value_parser = pressure, default_value = "1013.25 mbar", allow_hyphen_values = true)]
    chamber: f64,

    /// How long it is held molten; answers the loss, with --charge and --crucible
    #[arg(long, value_name = "TIME", value_parser = duration, requires = "charge", requires = "crucible")]
    held: Option<f64>,

    /// The charge
    #[arg(long, value_name = "MASS", value_parser = mass)]
    charge: Option<f64>,

    /// Inner diameter of the crucible
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    crucible: Option<f64>,
}

impl Zinc {
    pub(super) fn answer(&self, rules: Rules<'_>) -> Result<Answer, Failure> {
        let known = self.metal.known(rules)?;
        let (at, chamber) = (Celsius::new(self.at), Millibars::new(self.chamber));
        let mut answer = Answer::new();
        let mut any = false;
        for (which, element) in [(Volatile::Zinc, Element::Zn), (Volatile::Cadmium, Element::Cd)] {
            if known.composition.share(element) <= 0.0 {
                continue;
            }
            any = true;
            let name = element.name();
            let over = partial_pressure(which, &known.composition, at)?;
            answer = answer.figure("pressure", format!("{name} over the melt"), Dimension::Pressure, over);
            if let Some(t) = boiling_temperature(which, &known.composition, chamber)? {
                answer = answer.figure(
                    "boils-at",
                    format!("{name} boils at this pressure from"),
                    Dimension::Temperature,
                    t,
                );
            }
            answer =
                answer.note(match boiling(over, chamber, Millimetres::new(0.0), GramsPerCm3::new(10.0))? {
                    Boiling::No => format!("{name} stays in the melt: the chamber holds {chamber}"),
                    Boiling::Possible => format!("{name} may boil out: the chamber holds only {chamber}"),
                    Boiling::Yes => {
                        format!("{name} boils out: the chamber holds only {chamber}; its fume is poisonous")
                    }
                });
            if let (Some(held), Some(charge), Some(across)) = (self.held, self.charge, self.crucible) {
                let loss = vapour_loss(
                    which,
                    &known.composition,
                    Grams::new(charge),
                    at,
                    chamber,
                    Millimetres::new(across),
                    Seconds::new(held),
                )?;
                answer = answer.figure("loss", format!("{name} lost"), Dimension::Mass, loss.mass).figure(
                    "loss-share",
                    format!("share of the {name}"),
                    Dimension::Share,
                    loss.share,
                );
            }
        }
        Ok(if any { answer } else { answer.note("There is neither zinc nor cadmium in this alloy.") })
    }
}

/// Oxygen that a silver melt holds and gives off, and where its copper forms oxide
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast compute oxygen --alloy sterling --at 1000C --oxygen 0.1mbar")]
pub(in crate::cli) struct OxygenIn {
    #[command(flatten)]
    metal: Metal,

    /// Temperature of the melt
    #[arg(long, value_name = "TEMPERATURE", value_parser = temperature)]
    at: f64,

    /// Partial pressure of oxygen over it; air has 212 mbar
    #[arg(long, value_name = "PRESSURE", value_parser = pressure, default_value = "212 mbar")]
    oxygen: f64,
}

impl OxygenIn {
    pub(super) fn answer(&self, rules: Rules<'_>) -> Result<Answer, Failure> {
        let composition = self.metal.known(rules)?.composition;
        let (at, over) = (Celsius::new(self.at), Millibars::new(self.oxygen));
        let mut answer = Answer::new();
        let limit = oxygen::cuprous_oxide_limit(&composition, at).ok();
        if let Some(limit) = limit {
            answer = answer.figure("oxide-limit", "copper oxide forms above", Dimension::Pressure, limit);
        }
        if composition.share(Element::Ag) >= 0.75 {
            let dissolved = limit.map_or(over, |l| if l.value < over { l.value } else { over });
            let content = oxygen::oxygen_in_silver(dissolved, at)?;
            let gas = oxygen::gas_on_freezing(content, Grams::new(100.0), Millibars::new(ATMOSPHERE_MBAR))?;
            answer = answer
                .other(
                    "dissolved",
                    "oxygen dissolved, by weight",
                    "ppm",
                    content.map(|share: f64| share * 1e6),
                )
                .other("volumes", "gas thrown out on freezing", "times the metal's volume", gas.volumes);
            if dissolved < over {
                answer = answer.note("What is above the oxide limit goes into oxide, not into gas.");
            }
        } else if limit.is_none() {
            answer = answer.note("Figures are known for silver and for alloys with copper and silver only.");
        }
        Ok(answer)
    }
}

/// Melting range of an alloy
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast compute melting --composition Ag=92.5,Cu=7.5")]
pub(in crate::cli) struct Melting {
    #[command(flatten)]
    metal: Metal,
}

impl Melting {
    pub(super) fn answer(&self, rules: Rules<'_>) -> Result<Answer, Failure> {
        let known = self.metal.known(rules)?;
        let table = |t: Celsius| Estimate::exact(t, "alloy table or as given");
        Ok(match phase::melting_range(&known.composition)? {
            Some(range) => Answer::new()
                .figure("solidus", "solid below", Dimension::Temperature, range.solidus)
                .figure("liquidus", "liquid above", Dimension::Temperature, range.liquidus),
            None => Answer::new()
                .figure("solidus", "solid below", Dimension::Temperature, table(known.solidus()?))
                .figure("liquidus", "liquid above", Dimension::Temperature, table(known.liquidus()?))
                .note("Computed for silver with copper and for pure metals only; this is the table's."),
        })
    }
}

/// The finest section that a casting force fills
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast compute fill --alloy sterling --pressure 1.2bar")]
pub(in crate::cli) struct Fill {
    #[command(flatten)]
    metal: Metal,

    /// Head of metal over the piece
    #[arg(long, value_name = "LENGTH", value_parser = length, default_value = "60 mm")]
    head: f64,

    /// Casting pressure over the metal, above the surroundings
    #[arg(long, value_name = "PRESSURE", value_parser = over_pressure)]
    pressure: Option<f64>,

    /// Pressure under the flask; a gauge vacuum is written as "28 inHg vacuum"
    #[arg(long, value_name = "PRESSURE", value_parser = pressure, allow_hyphen_values = true)]
    vacuum: Option<f64>,

    /// Spinning speed; needs --arm
    #[arg(long, value_name = "SPEED", value_parser = speed, requires = "arm")]
    spin: Option<f64>,

    /// Radius of the arm
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    arm: Option<f64>,
}

impl Fill {
    pub(super) fn answer(&self, rules: Rules<'_>) -> Result<Answer, Failure> {
        let metal = self.metal.known(rules)?.casting()?;
        let density = metal.density_liquid();
        let head = head_pressure(density, Millimetres::new(self.head))?;
        let mut parts = vec![Estimate::exact(head, "head of metal")];
        if let Some(p) = self.pressure {
            parts.push(Estimate::exact(Millibars::new(p), "as given"));
        }
        if let Some(p) = self.vacuum {
            parts.push(vacuum_assist(Millibars::new(ATMOSPHERE_MBAR), Millibars::new(p))?);
        }
        if let (Some(spin), Some(arm)) = (self.spin, self.arm) {
            let inner = Millimetres::new((arm - 60.0).max(1.0));
            let spun = centrifugal_pressure(density, inner, Millimetres::new(arm), spin)?;
            parts.push(Estimate::relative(spun, 0.3, "rotation of a liquid column"));
        }
        let drive = drive_of(&parts)?;
        let plate = least_section_range(&metal, drive, Detail::Plate)?;
        let wire = least_section_range(&metal, drive, Detail::Wire)?;
        Ok(Answer::new()
            .figure("drive", "pressure at the metal's front", Dimension::Pressure, drive)
            .figure("plate", "a flat detail fills from", Dimension::Length, plate)
            .figure("wire", "a round wire fills from", Dimension::Length, wire)
            .note("Surface tension only: a cold mould, trapped gas and oxide skins ask for more."))
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum MouldKind {
    Gypsum,
    Phosphate,
}

impl MouldKind {
    fn heat(self) -> MouldHeat {
        match self {
            Self::Gypsum => MouldHeat::gypsum(),
            Self::Phosphate => MouldHeat::phosphate(),
        }
    }
}

/// How hot the metal goes into which mould.
#[derive(Debug, clap::Args)]
struct Cast {
    /// Pouring temperature
    #[arg(long, value_name = "TEMPERATURE", value_parser = temperature)]
    pour: f64,

    /// Flask temperature
    #[arg(long, value_name = "TEMPERATURE", value_parser = temperature)]
    flask: f64,

    /// Kind of mould
    #[arg(long, value_enum, default_value_t = MouldKind::Gypsum)]
    mould: MouldKind,
}

impl Cast {
    fn pour(&self) -> Celsius {
        Celsius::new(self.pour)
    }

    fn flask(&self) -> Celsius {
        Celsius::new(self.flask)
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Form {
    Plate,
    Rod,
    Ball,
}

impl Form {
    fn of(self, size: f64) -> Shape {
        let size = Millimetres::new(size);
        match self {
            Self::Plate => Shape::Plate(size),
            Self::Rod => Shape::Rod(size),
            Self::Ball => Shape::Ball(size),
        }
    }
}

/// How long a section takes to freeze in the mould
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example: aftercast compute freeze --alloy sterling --size 2mm --pour 993C --flask 500C"
)]
#[command(override_usage = "aftercast compute freeze [OPTIONS] --size L --pour T --flask T")]
pub(in crate::cli) struct Freeze {
    #[command(flatten)]
    metal: Metal,

    /// Thickness or diameter
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    size: f64,

    /// Its shape
    #[arg(long, value_enum, default_value_t = Form::Plate)]
    shape: Form,

    #[command(flatten)]
    cast: Cast,
}

impl Freeze {
    pub(super) fn answer(&self, rules: Rules<'_>) -> Result<Answer, Failure> {
        let metal = self.metal.known(rules)?.casting()?;
        let (pour, flask) = (self.cast.pour(), self.cast.flask());
        let shape = self.shape.of(self.size);
        let mould = self.cast.mould.heat();
        let time = freezing_time_of(shape, &metal, pour, flask, &mould)?;
        let superheat = superheat_time(&metal, shape.modulus()?, pour, flask, &mould)?;
        Ok(Answer::new().figure("time", "from the pour to solid", Dimension::Duration, time).figure(
            "superheat",
            "of which above the liquidus",
            Dimension::Duration,
            superheat,
        ))
    }
}

/// Whether a gate stays open longer than the section it feeds
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast compute gate --gate 3mm --section 4mm --shape rod")]
pub(in crate::cli) struct Gate {
    /// Diameter of the round gate
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    gate: f64,

    /// Thickness or diameter of the section it feeds
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    section: f64,

    /// Width of the section, for a bar such as a ring shank
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    width: Option<f64>,

    /// Shape of the section, without --width
    #[arg(long, value_enum, default_value_t = Form::Plate, conflicts_with = "width")]
    shape: Form,
}

impl Gate {
    pub(super) fn answer(&self, _: Rules<'_>) -> Result<Answer, Failure> {
        let section = match self.width {
            Some(width) => Shape::Bar(Millimetres::new(self.section), Millimetres::new(width)),
            None => self.shape.of(self.section),
        };
        let answer = gate(Shape::Rod(Millimetres::new(self.gate)), section)?;
        let source = "modulus rule of feeding, 1.1 and 1.2 (from memory)";
        let verdict = match answer.verdict {
            GateVerdict::Feeds => "The gate feeds the section.",
            GateVerdict::Marginal => "The gate feeds it only just.",
            GateVerdict::FreezesFirst => "The gate freezes first, whatever the pressure.",
        };
        Ok(Answer::new()
            .plain(
                "ratio",
                "gate to section, by modulus",
                "1",
                answer.ratio,
                crate::units::figures(answer.ratio, 2),
                source,
            )
            .plain(
                "gate",
                "a round gate that feeds it",
                "mm",
                answer.gate_wanted.get(),
                format!("{} mm", crate::units::figures(answer.gate_wanted.get(), 2)),
                source,
            )
            .plain(
                "sprue",
                "and the round sprue behind it",
                "mm",
                answer.feeder_wanted.get(),
                format!("{} mm", crate::units::figures(answer.feeder_wanted.get(), 2)),
                source,
            )
            .note(verdict))
    }
}

/// How hot the mould's wall gets, and what gas gypsum then gives
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast compute wall --alloy sterling --pour 1000C --flask 550C")]
#[command(override_usage = "aftercast compute wall [OPTIONS] --pour T --flask T")]
pub(in crate::cli) struct Wall {
    #[command(flatten)]
    metal: Metal,

    #[command(flatten)]
    cast: Cast,

    /// Carbon is left in the mould: a black or grey core
    #[arg(long)]
    carbon: bool,
}

impl Wall {
    pub(super) fn answer(&self, rules: Rules<'_>) -> Result<Answer, Failure> {
        let metal = self.metal.known(rules)?.casting()?;
        let wall = wall_temperature(&metal, self.cast.pour(), self.cast.flask(), &self.cast.mould.heat())?;
        let answer = Answer::new().figure("wall", "the wall comes to", Dimension::Temperature, wall);
        if self.cast.mould == MouldKind::Phosphate {
            return Ok(answer.note("A phosphate mould has no sulphate to break down."));
        }
        let state = if self.carbon { MouldState::CarbonLeft } else { MouldState::Clean };
        let at_peak = breakdown_pressure(state, wall.value)?;
        let after = breakdown_pressure(state, metal.liquidus())?;
        Ok(answer
            .figure("gas", "gas while there is superheat", Dimension::Pressure, at_peak)
            .figure("gas-after", "gas at the liquidus, until it is solid", Dimension::Pressure, after)
            .note("Sulphur dioxide: 1 to 12 mbar wants watching, above 86 mbar gypsum does not suit heavy work."))
    }
}
