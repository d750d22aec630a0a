//! What the melt does: zinc, oxygen, overshoot, and how true its temperature reads.

use super::super::field::Field;
use super::{Computed, Job};
use crate::physics::melt::{Heating, absorbed};
use crate::physics::overshoot::HeatedMass;
use crate::physics::purge::Purge;
use crate::physics::thermocouple::{ThermocoupleType, ToleranceClass, tolerance};
use crate::physics::volatile::{Volatile, partial_pressure};
use crate::physics::{Element, Estimate, oxygen, pyrometer};
use crate::units::{Celsius, Dimension, Grams, Kelvins, Millibars, Seconds, Watts, figures};

/// Argon of the usual welding grade: 2 to 5 ppm of oxygen, from memory.
const GAS_OXYGEN: f64 = 4e-6;
/// A chamber of a small closed caster in L, when the sheet does not say: from memory; matters only with a leak.
const CHAMBER_LITRES: f64 = 10.0;
/// How long a small chamber stands under vacuum in each purge cycle: from memory; matters only with a leak.
const PURGE_SECONDS: f64 = 60.0;
/// Delay of sensor and control in s: from memory.
const CONTROL_LAG: f64 = 2.0;
/// Graphite at casting heat, J/(kg·K).
const CRUCIBLE_HEAT: f64 = 1900.0;
/// What metals without copper stand, in mbar of oxygen: ten parts per million of an atmosphere, the target for fine
/// silver; for gold, platinum and palladium alloys an engineering choice.
const CLEAN_OXYGEN: f64 = 0.01;

pub(super) fn zinc_boiling(job: Job<'_>) -> Option<Computed> {
    let melt = job.sheet.celsius(Field::MeltTemperature)?;
    let chamber = job.sheet.millibars(Field::ChamberPressure)?;
    let alloy = job.alloy()?;
    let metals = [(Volatile::Zinc, Element::Zn, "zinc"), (Volatile::Cadmium, Element::Cd, "cadmium")];
    let (pressure, name) = metals
        .into_iter()
        .filter(|(_, e, _)| alloy.composition.share(*e) > 1e-4)
        .filter_map(|(v, _, name)| Some((partial_pressure(v, &alloy.composition, melt).ok()?, name)))
        .max_by(|a, b| a.0.value.get().total_cmp(&b.0.value.get()))?;
    let floor = chamber.get().max(0.01);
    let ratio: Estimate = pressure.map(|p| p / floor);
    let verb = if ratio.value >= 1.0 { "boils off" } else { "stays in the melt" };
    let says = format!(
        "{name} {verb}: {} over this alloy at {melt}, chamber at {chamber}",
        pressure.show_as(Dimension::Pressure)
    );
    Some(Computed::range(ratio, says))
}

/// Oxygen in the chamber once it is filled again.
fn oxygen_in_chamber(job: Job<'_>) -> Option<Estimate<Millibars>> {
    let cycles = job.sheet.get(Field::PurgeCycles)?;
    let vacuum = job.sheet.millibars(Field::PurgeVacuum)?;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the sheet holds 0 to 100 cycles"
    )]
    let purge = Purge {
        cycles: cycles.round() as u32,
        vacuum,
        backfill: job
            .sheet
            .millibars(Field::ChamberPressure)
            .filter(|p| *p > vacuum)
            .unwrap_or(Millibars::new(1000.0)),
        leak: job.sheet.get(Field::LeakRate).unwrap_or(0.0),
        volume: job.sheet.get(Field::ChamberVolume).unwrap_or(CHAMBER_LITRES),
        under_vacuum: Seconds::new(PURGE_SECONDS),
        gas_oxygen: GAS_OXYGEN,
    };
    Some(purge.residual_oxygen().ok()?.pressure)
}

/// What the melt stands before oxide forms.
fn oxygen_limit(job: Job<'_>) -> Option<Millibars> {
    let alloy = job.alloy()?;
    let at = job.sheet.celsius(Field::MeltTemperature).unwrap_or(alloy.liquidus + Kelvins::new(80.0));
    let oxide = oxygen::cuprous_oxide_limit(&alloy.composition, at);
    Some(oxide.map_or(Millibars::new(CLEAN_OXYGEN), |limit| limit.value))
}

pub(super) fn oxygen_left(job: Job<'_>) -> Option<Computed> {
    let left = oxygen_in_chamber(job)?;
    let limit = oxygen_limit(job)?;
    let ratio: Estimate = left.map(|p| p / limit.get().max(1e-9));
    let cycles = figures(job.sheet.get(Field::PurgeCycles)?, 3);
    let times = if cycles == "1" { "purge cycle leaves" } else { "purge cycles leave" };
    let says = format!(
        "{cycles} {times} {} of oxygen; this alloy stands {}",
        Dimension::Pressure.show(left.value.get()),
        Dimension::Pressure.show(limit.get())
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
    let melt = job.sheet.celsius(Field::MeltTemperature)?;
    let over = match job.fact("cover") {
        Some("open-air") => Millibars::new(212.0),
        _ => oxygen_in_chamber(job)?.value,
    };
    // Copper takes what is above the oxide limit out as oxide: only the rest can come out as gas.
    let dissolved = match oxygen::cuprous_oxide_limit(&alloy.composition, melt) {
        Ok(limit) if limit.value < over => limit.value,
        _ => over,
    };
    let content = oxygen::oxygen_in_silver(dissolved, melt).ok()?;
    let gas = oxygen::gas_on_freezing(content, Grams::new(100.0), Millibars::new(1013.25)).ok()?;
    let says =
        format!("freezing throws out {} times the metal's volume of oxygen", figures(gas.volumes.value, 2));
    Some(Computed::range(gas.volumes, says))
}

pub(super) fn reading_error(job: Job<'_>) -> Option<Computed> {
    let melt = job.sheet.celsius(Field::MeltTemperature)?;
    match job.fact("thermometer")? {
        "thermocouple" => {
            let kind = if melt.get() <= 1200.0 { ThermocoupleType::K } else { ThermocoupleType::S };
            let off = tolerance(kind, ToleranceClass::Two, melt).ok()?;
            let says = format!("a new thermocouple of the usual class may be {off} off at {melt}");
            Some(Computed::exact(off.get(), says))
        }
        "pyrometer" => {
            let set = job.sheet.get(Field::Emissivity)?;
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
                Dimension::Span.show(clean.round()),
                Dimension::Span.show(skin.round())
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

pub(super) fn overshoot(job: Job<'_>) -> Option<Computed> {
    let charge = job.sheet.grams(Field::Charge)?;
    let power = Watts::new(job.sheet.get(Field::MeltPower)?);
    let how = match job.fact("heat") {
        Some("torch") => Heating::Torch,
        _ => Heating::Induction,
    };
    let metal = HeatedMass { mass: charge, heat_capacity: job.metal()?.heat_capacity_liquid() };
    let crucible = job.sheet.grams(Field::CrucibleMass);
    let held = crucible.map(|mass| HeatedMass { mass, heat_capacity: CRUCIBLE_HEAT });
    let over = crate::physics::overshoot::overshoot(
        absorbed(power, how).ok()?,
        metal,
        held,
        Seconds::new(CONTROL_LAG),
    )
    .ok()?;
    let says = format!("{charge} at {power} may overshoot by {}", over.show_as(Dimension::Span));
    let weak = if crucible.is_none() {
        Some("without the crucible's mass this is an upper value")
    } else {
        Some("control lag taken as 2 s")
    };
    Some(Computed { value: over.value.get(), low: over.low.get(), high: over.high.get(), says, weak })
}

/// The temperature of the melt that physics may use: not below the liquidus.
pub(super) fn pour(job: Job<'_>) -> Option<Celsius> {
    let melt = job.sheet.celsius(Field::MeltTemperature)?;
    (melt >= job.alloy()?.liquidus).then_some(melt)
}
