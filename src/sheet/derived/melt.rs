//! What the melt does: zinc, oxygen, overshoot, and how true its temperature reads.

use super::super::field::Field;
use super::{Computed, Job};
use crate::physics::melt::{Heating, absorbed, melting_time};
use crate::physics::overshoot::HeatedMass;
use crate::physics::purge::Purge;
use crate::physics::thermocouple::{ThermocoupleType, ToleranceClass, tolerance};
use crate::physics::volatile::{Volatile, partial_pressure, vapour_loss};
use crate::physics::{Element, Estimate, oxygen, pyrometer};
use crate::units::{
    ATMOSPHERE_MBAR, Celsius, Dimension, Grams, Kelvins, Millibars, Millimetres, Seconds, Watts, figures,
};

/// Argon of the usual welding grade: 2 to 5 ppm of oxygen, from memory.
const GAS_OXYGEN: f64 = 4e-6;
/// A chamber of a small closed caster in L, when the sheet does not say: from memory; matters only with a leak.
const CHAMBER_LITRES: f64 = 10.0;
/// How long a small chamber stands under vacuum in each purge cycle: from memory; matters only with a leak.
const PURGE_SECONDS: f64 = 60.0;
/// Delay of sensor and control in s: from memory.
const CONTROL_LAG: f64 = 2.0;
/// A small graphite crucible, when its mass is not on the sheet: from memory.
const USUAL_CRUCIBLE: Grams = Grams::new(300.0);
/// Graphite at casting heat, J/(kg·K).
pub const GRAPHITE_HEAT: f64 = 1900.0;
/// What metals without copper stand, in mbar of oxygen: ten parts per million of an atmosphere, the target for fine
/// silver; for gold, platinum and palladium alloys an engineering choice.
const CLEAN_OXYGEN: f64 = 0.01;

/// The pressure over the melt: as recorded, else the atmosphere's where nothing closes the melt in.
fn over_melt(job: Job<'_>) -> Option<Millibars> {
    let open = ["open-air", "flux", "charcoal", "reducing-flame", "oxidising-flame"];
    job.millibars(Field::ChamberPressure).or_else(|| {
        job.fact("cover").is_some_and(|c| open.contains(&c)).then_some(Millibars::new(ATMOSPHERE_MBAR))
    })
}

/// The element that leaves this alloy first, with its pressure over the melt and its name.
fn volatile(job: Job<'_>) -> Option<(Volatile, Estimate<Millibars>, &'static str)> {
    let melt = job.celsius(Field::MeltTemperature)?;
    let alloy = job.alloy()?;
    let metals = [(Volatile::Zinc, Element::Zn, "zinc"), (Volatile::Cadmium, Element::Cd, "cadmium")];
    metals
        .into_iter()
        .filter(|(_, e, _)| alloy.composition.share(*e) > 1e-4)
        .filter_map(|(v, _, name)| Some((v, partial_pressure(v, &alloy.composition, melt).ok()?, name)))
        .max_by(|a, b| a.1.value.get().total_cmp(&b.1.value.get()))
}

pub(super) fn zinc_boiling(job: Job<'_>) -> Option<Computed> {
    let melt = job.celsius(Field::MeltTemperature)?;
    let chamber = over_melt(job)?;
    let (_, pressure, name) = volatile(job)?;
    let floor = chamber.get().max(0.01);
    let ratio: Estimate = pressure.map(|p| p / floor);
    let verb = if ratio.value >= 1.0 { "boils off" } else { "stays in the melt" };
    let says = format!(
        "{name} {verb}: {} over this alloy at {melt}, chamber at {chamber}",
        pressure.show_as(Dimension::Pressure)
    );
    Some(Computed::range(ratio, says))
}

/// Zinc or cadmium lost while the metal is held molten, as a share of what the charge brought.
pub(super) fn zinc_loss(job: Job<'_>) -> Option<Computed> {
    let melt = job.celsius(Field::MeltTemperature)?;
    let chamber = Millibars::new(over_melt(job)?.get().max(0.01));
    let held = job.seconds(Field::TimeAtHeat)?;
    let charge = job.grams(Field::Charge)?;
    let (which, _, name) = volatile(job)?;
    // A crucible that the charge fills as deep as it is wide.
    let volume = charge.get() / job.metal()?.density_liquid().get();
    let across = Millimetres::new(10.0 * (4.0 * volume / std::f64::consts::PI).cbrt());
    let loss = vapour_loss(which, &job.alloy()?.composition, charge, melt, chamber, across, held).ok()?;
    let says = format!(
        "{held} at {melt} and {chamber} costs {} of the {name}",
        loss.share.show_as(Dimension::Share)
    );
    Some(Computed::range(loss.share, says))
}

/// Time to melt the charge from cold at the recorded power.
pub(super) fn melt_time(job: Job<'_>) -> Option<Computed> {
    let charge = job.grams(Field::Charge)?;
    let power = Watts::new(job.get(Field::MeltPower)?);
    let how = heating(job);
    let time = melting_time(&job.metal()?, charge, Celsius::new(20.0), pour(job)?, power, how).ok()?;
    let says = format!("{power} brings {charge} to heat in {}", time.show_as(Dimension::Duration));
    Some(Computed::of(time, says))
}

/// Power over what a small induction caster wants for this metal: common practice, no source.
pub(super) fn power_share(job: Job<'_>) -> Option<Computed> {
    if heating(job) == Heating::Torch {
        return None;
    }
    let power = Watts::new(job.get(Field::MeltPower)?);
    let usual = usual_power(job.alloy()?.composition.base());
    let says = format!("melting power {power}; about {usual} is usual for a small charge of this metal");
    Some(Computed::exact(power.get() / usual.get(), says))
}

/// What melts a small charge: about 4 kW for gold and silver, about 8 kW for platinum, palladium and steel.
pub fn usual_power(base: Element) -> Watts {
    Watts::new(if matches!(base, Element::Pt | Element::Pd | Element::Fe) { 8000.0 } else { 4000.0 })
}

fn heating(job: Job<'_>) -> Heating {
    match job.fact("heat") {
        Some("torch") => Heating::Torch,
        _ => Heating::Induction,
    }
}

/// Oxygen in the chamber once it is filled again.
fn oxygen_in_chamber(job: Job<'_>) -> Option<Estimate<Millibars>> {
    let cycles = job.get(Field::PurgeCycles)?;
    let vacuum = job.millibars(Field::PurgeVacuum)?;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the sheet holds 0 to 100 cycles"
    )]
    let purge = Purge {
        cycles: cycles.round() as u32,
        vacuum,
        backfill: job
            .millibars(Field::ChamberPressure)
            .filter(|p| *p > vacuum)
            .unwrap_or(Millibars::new(1000.0)),
        leak: job.get(Field::LeakRate).unwrap_or(0.0),
        volume: job.get(Field::ChamberVolume).unwrap_or(CHAMBER_LITRES),
        under_vacuum: Seconds::new(PURGE_SECONDS),
        gas_oxygen: GAS_OXYGEN,
    };
    let left = purge.residual_oxygen().ok()?;
    // A melt that is kept under a deeper vacuum than the washes reached holds that much less of the same gas.
    let held = job.millibars(Field::ChamberPressure).filter(|p| *p <= vacuum);
    Some(match held {
        Some(held) => left.fraction.map(|y| y * held.get()),
        None => left.pressure,
    })
}

/// What the melt stands before oxide forms.
fn oxygen_limit(job: Job<'_>) -> Option<Millibars> {
    let alloy = job.alloy()?;
    let at = job.celsius(Field::MeltTemperature).unwrap_or(alloy.liquidus + Kelvins::new(80.0));
    let oxide = oxygen::cuprous_oxide_limit(&alloy.composition, at);
    // Below the target for fine silver there is too little oxygen to matter, and no bottled gas is purer.
    Some(oxide.map_or(Millibars::new(CLEAN_OXYGEN), |l| Millibars::new(l.value.get().max(CLEAN_OXYGEN))))
}

pub(super) fn oxygen_left(job: Job<'_>) -> Option<Computed> {
    let left = oxygen_in_chamber(job)?;
    let limit = oxygen_limit(job)?;
    let ratio: Estimate = left.map(|p| p / limit.get().max(1e-9));
    let cycles = figures(job.get(Field::PurgeCycles)?, 3);
    let times = if cycles == "1" { "purge cycle leaves" } else { "purge cycles leave" };
    let says = format!(
        "{cycles} {times} {} of oxygen; this alloy stands about {} mbar",
        left.show_as(Dimension::Pressure),
        figures(limit.get(), 1)
    );
    let mut computed = Computed::range(ratio, says);
    computed.weak =
        computed.weak.or(Some("the purge formula takes the gas as well mixed and the mould as dry"));
    Some(computed)
}

pub(super) fn gas_on_freezing(job: Job<'_>) -> Option<Computed> {
    let alloy = job.alloy()?;
    if alloy.composition.share(Element::Ag) < 0.75 {
        return None;
    }
    let melt = job.celsius(Field::MeltTemperature)?;
    let over = match job.fact("cover") {
        Some("open-air") => Estimate::exact(Millibars::new(212.0), "air"),
        _ => oxygen_in_chamber(job)?,
    };
    let limit = oxygen::cuprous_oxide_limit(&alloy.composition, melt).ok();
    let volumes = |over: Millibars| {
        // Copper takes what is above the oxide limit out as oxide: only the rest can come out as gas.
        let dissolved = match limit {
            Some(limit) if limit.value < over => limit.value,
            _ => over,
        };
        let content = oxygen::oxygen_in_silver(dissolved, melt).ok()?;
        let gas = oxygen::gas_on_freezing(content, Grams::new(100.0), Millibars::new(ATMOSPHERE_MBAR));
        Some(gas.ok()?.volumes)
    };
    let (mut gas, low, high) = (volumes(over.value)?, volumes(over.low)?, volumes(over.high)?);
    (gas.low, gas.high) = (gas.low.min(low.low), gas.high.max(high.high));
    let says =
        format!("freezing throws out {} times the metal's volume of oxygen", gas.show_as(Dimension::Ratio));
    let mut computed = Computed::range(gas, says);
    computed.weak = computed.weak.or(Some("the oxygen that liquid silver holds is known to 10 %"));
    Some(computed)
}

pub(super) fn reading_error(job: Job<'_>) -> Option<Computed> {
    let melt = job.celsius(Field::MeltTemperature)?;
    match job.fact("thermometer")? {
        "thermocouple" => {
            let kind = if melt.get() <= 1200.0 { ThermocoupleType::K } else { ThermocoupleType::S };
            let off = tolerance(kind, ToleranceClass::Two, melt).ok()?;
            // The standard gives its tolerances to a tenth.
            let tenth = (off.get() * 10.0).round() / 10.0;
            let off = Kelvins::new(tenth);
            let says = format!("a new thermocouple of the usual class may be {off} off at {melt}");
            Some(Computed::exact(tenth, says))
        }
        "pyrometer" => {
            let set = job.get(Field::Emissivity)?;
            let base = job.alloy()?.composition.base();
            let bright = pyrometer::bright_emissivity(base)?;
            // Small casters' optical pyrometers work near 0.9 micrometres (from memory).
            let shown =
                |actual: f64| pyrometer::reading(melt, 0.9, set, actual).ok().map(|t| (t - melt).get().abs());
            let clean = shown(bright.value)?;
            let skin = shown(pyrometer::skinned_emissivity().value)?;
            let says = format!(
                "with the emissivity set to {} the pyrometer may be {} off on bright metal, {} on an oxide skin",
                figures(set, 2),
                rough(clean),
                rough(skin)
            );
            let (low, high) = if clean < skin { (clean, skin) } else { (skin, clean) };
            Some(Computed {
                value: clean,
                low,
                high,
                says,
                weak: Some("emissivities of liquid alloys are known roughly"),
            })
        }
        _ => None,
    }
}

/// A difference known to a third at best.
fn rough(kelvins: f64) -> String {
    let tens = if kelvins >= 20.0 { (kelvins / 10.0).round() * 10.0 } else { kelvins };
    format!("{} K", figures(tens, 2))
}

pub(super) fn overshoot(job: Job<'_>) -> Option<Computed> {
    let charge = job.grams(Field::Charge)?;
    let power = Watts::new(job.get(Field::MeltPower)?);
    let into = absorbed(power, heating(job)).ok()?;
    let metal = HeatedMass { mass: charge, heat_capacity: job.metal()?.heat_capacity_liquid() };
    let over = |crucible: Option<Grams>| {
        let held = crucible.map(|mass| HeatedMass { mass, heat_capacity: GRAPHITE_HEAT });
        crate::physics::overshoot::overshoot(into, metal, held, Seconds::new(CONTROL_LAG)).ok()
    };
    let recorded = job.grams(Field::CrucibleMass);
    let graphite = job.fact("crucible").map(|c| c == "graphite");
    let (over, weak) = match (recorded, graphite) {
        (Some(mass), _) => (over(Some(mass))?, "control lag taken as 2 s"),
        (None, Some(true)) => {
            (over(Some(USUAL_CRUCIBLE))?, "crucible taken as 300 g of graphite, control lag as 2 s")
        }
        (None, Some(false)) => {
            (over(None)?, "control lag taken as 2 s; a crucible that heats with it damps this")
        }
        (None, None) => {
            let mut bare = over(None)?;
            bare.low = over(Some(USUAL_CRUCIBLE))?.low;
            (bare, "without the crucible's mass this is an upper value")
        }
    };
    let says = format!("{charge} at {power} may overshoot by {}", over.show_as(Dimension::Span));
    let mut computed = Computed::of(over, says);
    computed.weak = Some(weak);
    Some(computed)
}

/// The temperature of the melt that physics may use: not below the liquidus.
pub(super) fn pour(job: Job<'_>) -> Option<Celsius> {
    let melt = job.celsius(Field::MeltTemperature)?;
    (melt >= job.alloy()?.liquidus).then_some(melt)
}
