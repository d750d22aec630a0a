//! What must hold for every input, not only for the published ones.

#![allow(clippy::unwrap_used, reason = "a test that cannot compute must fail where it stands")]

use aftercast::physics::alloy;
use aftercast::physics::elements::{Composition, Element};
use aftercast::physics::feed;
use aftercast::physics::fill::{self, Detail, FillCase};
use aftercast::physics::freeze::{self, Shape};
use aftercast::physics::heat::{self, MouldHeat};
use aftercast::physics::melt::{self, Heating};
use aftercast::physics::mould::{self, MouldState};
use aftercast::physics::overshoot::{self, HeatedMass};
use aftercast::physics::oxygen::{self, HydrogenIn};
use aftercast::physics::phase;
use aftercast::physics::purge::{self, Purge};
use aftercast::physics::pyrometer;
use aftercast::physics::soak;
use aftercast::physics::thermocouple::{self, ThermocoupleType, ToleranceClass};
use aftercast::physics::volatile::{self, Volatile};
use aftercast::physics::weigh::{self, Immersion};
use aftercast::physics::{CastingMetal, Estimate, PhysicsError, Quantity};
use aftercast::units::{Celsius, Grams, GramsPerCm3, Kelvins, Millibars, Millimetres, Seconds, Watts};
use proptest::prelude::*;

/// Any finite number, the harmless and the absurd, both signs, and now and then the special ones.
fn anything() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => -100.0..3500.0f64,
        2 => 0.0..1.0f64,
        2 => (-12.0..12.0f64).prop_map(|e| 10f64.powf(e)),
        1 => proptest::num::f64::ANY,
    ]
}

/// An alloy of one to six metals.
fn alloys() -> impl Strategy<Value = Composition> {
    proptest::collection::btree_map(0..Element::ALL.len(), 0.001..1.0f64, 1..6).prop_map(|parts| {
        let sum: f64 = parts.values().sum();
        let parts: Vec<_> = parts.iter().map(|(at, w)| (Element::ALL[*at], w / sum)).collect();
        Composition::new(&parts).unwrap()
    })
}

/// Copper or silver or gold with zinc.
fn zinc_alloys() -> impl Strategy<Value = Composition> {
    (0.001..0.5f64, 0.0..1.0f64, 0.0..1.0f64).prop_map(|(zn, a, b)| {
        let rest = 1.0 - zn;
        let (au, ag) = (rest * a, rest * (1.0 - a) * b);
        let cu = rest - au - ag;
        let parts = [(Element::Zn, zn), (Element::Au, au), (Element::Ag, ag), (Element::Cu, cu.max(0.0))];
        Composition::new(&parts).unwrap()
    })
}

fn sane<T: Quantity>(what: &str, answer: Result<Estimate<T>, PhysicsError>) -> Result<(), TestCaseError> {
    if let Ok(e) = answer {
        let (v, l, h) = (e.value.number(), e.low.number(), e.high.number());
        prop_assert!(v.is_finite() && l.is_finite() && h.is_finite(), "{what}: {v} ({l} to {h})");
        prop_assert!(l <= v && v <= h, "{what}: {v} not within {l} to {h}");
        prop_assert!(!e.to_string().contains("NaN"), "{what}: {e}");
        prop_assert!(!e.source.is_empty(), "{what} has no source");
    }
    Ok(())
}

fn finite(what: &str, answer: Result<f64, PhysicsError>) -> Result<(), TestCaseError> {
    sane(what, answer.map(|x| Estimate::exact(x, "bare")))
}

fn number<T: Quantity>(what: &str, answer: Result<T, PhysicsError>) -> Result<(), TestCaseError> {
    finite(what, answer.map(Quantity::number))
}

fn c(t: f64) -> Celsius {
    Celsius::new(t)
}
fn mbar(p: f64) -> Millibars {
    Millibars::new(p)
}
fn mm(l: f64) -> Millimetres {
    Millimetres::new(l)
}
fn exact<T: Quantity>(x: f64) -> Estimate<T> {
    Estimate::exact(T::of(x), "given")
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn nothing_gives_nan_or_infinity(
        n in proptest::collection::vec(anything(), 8),
        alloy in alloys(),
        count in 0u32..2000,
        element in 0usize..25,
        choice in 0usize..4,
    ) {
        let element = Element::ALL[element];
        let [a, b, d, e, f, h, i, j] = n[..] else { unreachable!() };
        let detail = if choice % 2 == 0 { Detail::Plate } else { Detail::Wire };
        let which = if choice % 2 == 0 { Volatile::Zinc } else { Volatile::Cadmium };
        let state = [MouldState::Clean, MouldState::CarbonLeft, MouldState::ReducingGas(mbar(b))][choice % 3];
        let shape = [
            Shape::Plate(mm(a)), Shape::Bar(mm(a), mm(b)), Shape::Rod(mm(a)), Shape::Ball(mm(a)),
        ][choice];
        let block = Shape::Block(mm(a), mm(b), mm(d));
        let mould = [MouldHeat::gypsum(), MouldHeat::phosphate(), MouldHeat::plaster(), MouldHeat::silica_sand()][choice];
        let mould = MouldHeat::measured(a, b, d).unwrap_or(mould);

        sane("vapour", volatile::vapour_pressure(element, c(a)))?;
        sane("partial", volatile::partial_pressure(which, &alloy, c(a)))?;
        finite("gamma", volatile::zinc_activity_in_copper(a, c(b)))?;
        sane("activity", volatile::zinc_activity(&alloy, c(a)))?;
        finite("langmuir", volatile::langmuir_flux(element, mbar(a), mbar(b), c(d)))?;
        if let Some(flux) = volatile::stefan_flux(which, mbar(a), mbar(b), c(d), mm(e)).unwrap_or(None) {
            prop_assert!(flux.is_finite() && flux >= 0.0);
        }
        if let Ok(loss) = volatile::vapour_loss(which, &alloy, Grams::new(a), c(b), mbar(d), mm(e), Seconds::new(f)) {
            sane("loss", Ok(loss.mass))?;
            sane("share lost", Ok(loss.share))?;
            prop_assert!(loss.share.high <= 1.0 + 1e-9);
        }
        if let Some(t) = volatile::boiling_temperature(which, &alloy, mbar(a)).unwrap_or(None) {
            sane("boils", Ok(t))?;
        }
        if let Some(t) = volatile::boiling_margin(which, &alloy, c(a), mbar(b)).unwrap_or(None) {
            sane("margin", Ok(t))?;
        }
        let p = Purge {
            cycles: count, vacuum: mbar(a), backfill: mbar(b), leak: d, volume: e,
            under_vacuum: Seconds::new(f), gas_oxygen: h,
        };
        let left = p.residual_oxygen();
        sane("oxygen share", left.clone().map(|r| r.fraction))?;
        sane("oxygen pressure", left.map(|r| r.pressure))?;
        if let Some(cycles) = p.cycles_to(i).unwrap_or(None) { prop_assert!(cycles.exact.is_finite()); }
        finite("cycles", purge::cycles_needed(a, b, mbar(d), mbar(e)).map(|n| n.exact))?;
        finite("leak", purge::leak_rate(a, mbar(b), Seconds::new(d)))?;

        sane("oxygen", oxygen::oxygen_in_silver(mbar(a), c(b)))?;
        let gas = oxygen::gas_on_freezing(exact(a), Grams::new(b), mbar(d));
        sane("gas", gas.map(|x| x.volumes))?;
        sane("oxide", oxygen::cuprous_oxide_limit(&alloy, c(a)))?;
        let metal = [
            HydrogenIn::LiquidSilver, HydrogenIn::SolidSilver, HydrogenIn::LiquidCopper, HydrogenIn::SolidCopper,
        ][choice];
        sane("hydrogen", oxygen::hydrogen(metal, mbar(a), c(b)))?;
        number("bubble", oxygen::bubble_pressure(mbar(a), mm(b), GramsPerCm3::new(d), e, mm(f)))?;

        sane("breakdown", mould::breakdown_pressure(state, c(a)))?;
        sane("sulphate", mould::pure_sulphate_pressure(c(a)))?;
        sane("layer", mould::sulphur_dioxide_from(a, mm(b)))?;
        number("contact", heat::contact_temperature(c(a), b, c(d), e))?;
        number("heated", mould.heated_depth(Seconds::new(a)))?;

        number("capillary", fill::capillary_pressure(a, b, mm(d), detail))?;
        number("head of", fill::head_of(mbar(a), GramsPerCm3::new(b)))?;
        number("head", fill::head_pressure(GramsPerCm3::new(a), mm(b)))?;
        number("spin", fill::centrifugal_pressure(GramsPerCm3::new(a), mm(b), mm(d), e))?;
        sane("assist", fill::vacuum_assist(mbar(a), mbar(b)))?;
        number("least", fill::least_section(a, b, mbar(d), detail))?;
        finite("speed", fill::flow_speed(mbar(a), mbar(b), GramsPerCm3::new(d), e))?;
        number("fills in", fill::fill_time(Grams::new(a), GramsPerCm3::new(b), mm(d), count, e))?;
        sane("drives", fill::drive_of(&[exact(a), exact(b)]))?;

        number("modulus", shape.modulus())?;
        finite("gate", feed::gate(shape, block).map(|x| x.ratio))?;
        sane("shrinkage", Ok(feed::freezing_shrinkage(&alloy)))?;
        sane("contraction", feed::liquid_contraction(&alloy, Kelvins::new(a)))?;
        if let Ok(need) = feed::feed_need(&alloy, Grams::new(a), GramsPerCm3::new(b), Kelvins::new(d), e) {
            sane("shrinks", Ok(need.shrinkage))?;
            if let Some(feeder) = need.feeder { sane("feeder", Ok(feeder))?; }
        }

        sane("density", Ok(weigh::density(&alloy)))?;
        sane("liquid density", alloy::density_liquid(&alloy, c(a)))?;
        sane("tension", alloy::surface_tension(&alloy, c(a)))?;
        let need = weigh::metal_from_wax(Grams::new(a), exact(b), exact(d), (choice > 1).then_some(e));
        sane("metal", need.clone().map(|x| x.total))?;
        sane("button", need.map(|x| x.button))?;
        finite("water", weigh::water_density(c(a)))?;
        finite("air", weigh::air_density(c(a), mbar(b), d))?;
        let dip = Immersion { in_air: Grams::new(a), in_water: Grams::new(b), water: c(d), balance: Grams::new(e), air: f };
        sane("weighed", dip.density())?;
        sane("porosity", weigh::porosity(exact(a), exact(b)))?;

        if let Some(range) = phase::melting_range(&alloy).unwrap_or(None) {
            sane("solidus", Ok(range.solidus))?;
            sane("liquidus", Ok(range.liquidus))?;
        }
        sane("silver-copper", phase::silver_copper(a).map(|r| r.liquidus))?;
        finite("copper activity", phase::copper_activity(a, c(b)))?;

        number("reading", pyrometer::reading(c(a), b, d, e))?;
        number("true", pyrometer::true_temperature(c(a), b, d, e))?;
        number("wien", pyrometer::reading_by_wien(c(a), b, d, e))?;
        let kind = [ThermocoupleType::K, ThermocoupleType::S, ThermocoupleType::R][choice % 3];
        number("tolerance", thermocouple::tolerance(kind, ToleranceClass::One, c(a)))?;
        let hot = HeatedMass { mass: Grams::new(a), heat_capacity: b };
        sane("overshoot", overshoot::overshoot(exact(d), hot, Some(hot), Seconds::new(e)))?;
        sane("absorbed", melt::absorbed(Watts::new(a), Heating::Torch))?;
        finite("axis", soak::axis_response(a))?;
        sane("core", soak::core_temperature(c(a), c(b), mm(d), Seconds::new(e)))?;
        sane("soak", soak::soak_time(mm(a), b))?;
        sane("soak within", soak::soak_time_within(c(a), c(b), mm(d), Kelvins::new(e)))?;
        sane("ramp", soak::ramp_lag(mm(a), b))?;

        // A metal from the same numbers, or a usual one when they make none.
        let usual = CastingMetal::of(&alloy, c(800.0), c(900.0)).unwrap();
        let metal = CastingMetal::of(&alloy, c(a), c(b)).unwrap_or(usual);
        let metal = CastingMetal::measured(c(a), c(b), d, e, f, GramsPerCm3::new(h), i).unwrap_or(metal);
        for (pour, flask) in [(d, e), (1000.0, 500.0), (metal.liquidus().get(), j)] {
            let (pour, flask) = (c(pour), c(flask));
            sane("wall", heat::wall_temperature(&metal, pour, flask, &mould))?;
            sane("freezes", freeze::freezing_time(&metal, mm(a), pour, flask, &mould, Some(mm(b))).map(|x| x.time))?;
            sane("freezes, shape", freeze::freezing_time_of(shape, &metal, pour, flask, &mould))?;
            sane("superheat", freeze::superheat_time(&metal, mm(f), pour, flask, &mould))?;
            sane("flows", freeze::flow_stop_time(&metal, mm(f), pour, flask, &mould))?;
            if let Ok(x) = mould::wall_exposure(&metal, mm(f), pour, flask, &mould, state) {
                sane("peak gas", Ok(x.peak_pressure))?;
            }
            let case = FillCase {
                metal: &metal, mould: &mould, pour, flask, detail, size: mm(f), path: mm(h), drive: exact(i),
            };
            if let Ok(x) = fill::fill(&case) {
                sane("reach", Ok(x.reach))?;
                sane("ratio", Ok(x.ratio))?;
                sane("least section", Ok(x.least_section))?;
            }
            let time = melt::melting_time(&metal, Grams::new(a), flask, pour, Watts::new(b), Heating::Induction);
            sane("melts", time)?;
        }
    }

    #[test]
    fn hotter_never_lowers_a_vapour_pressure(alloy in zinc_alloys(), t in 420.0..2300.0f64, more in 0.0..100.0f64, at in 0usize..25) {
        let p = |t: f64| volatile::vapour_pressure(Element::ALL[at], c(t)).map(|p| p.value);
        if let (Ok(low), Ok(high)) = (p(t), p(t + more)) { prop_assert!(low <= high); }
        let p = |t: f64| volatile::partial_pressure(Volatile::Zinc, &alloy, c(t)).unwrap().value;
        prop_assert!(p(t) <= p(t + more), "{} then {}", p(t), p(t + more));
    }

    #[test]
    fn more_zinc_never_lowers_its_pressure_in_copper(zn in 0.0..0.5f64, more in 0.0..0.1f64, t in 900.0..1300.0f64) {
        let p = |zn: f64| {
            let brass = Composition::new(&[(Element::Cu, 1.0 - zn), (Element::Zn, zn)]).unwrap();
            volatile::partial_pressure(Volatile::Zinc, &brass, c(t)).unwrap().value
        };
        prop_assert!(p(zn) <= p(zn + more));
    }

    #[test]
    fn boiling_temperature_is_where_the_pressure_is(alloy in zinc_alloys(), p in 1.0..2000.0f64) {
        if let Some(t) = volatile::boiling_temperature(Volatile::Zinc, &alloy, mbar(p)).unwrap() {
            let back = volatile::partial_pressure(Volatile::Zinc, &alloy, t.value).unwrap().value.get();
            prop_assert!((back / p - 1.0).abs() < 1e-6 || t.value.get() < 419.6, "{p} became {back}");
        }
    }

    #[test]
    fn more_purge_never_raises_oxygen(
        cycles in 0u32..30, vacuum in 0.01..900.0f64, leak in 0.0..10.0f64, volume in 1.0..100.0f64, gas in 0.0..0.2f64,
    ) {
        let left = |cycles, vacuum: f64| {
            let purge = Purge { cycles, vacuum: mbar(vacuum), leak, volume, gas_oxygen: gas, ..Purge::default() };
            purge.residual_oxygen().unwrap().fraction
        };
        let now = left(cycles, vacuum);
        prop_assert!(left(cycles + 1, vacuum).value <= now.value + 1e-15);
        prop_assert!(left(cycles + 1, vacuum).high <= now.high + 1e-15);
        prop_assert!(left(cycles, vacuum * 0.5).value <= now.value + 1e-15);
        prop_assert!((0.0..=0.2095 + 1e-12).contains(&now.value));
    }

    #[test]
    fn cycles_needed_are_enough_and_not_too_many(target in 1e-9..0.2f64, vacuum in 0.01..900.0f64, leak in 0.0..0.1f64) {
        let purge = Purge { vacuum: mbar(vacuum), leak, ..Purge::default() };
        if let Some(n) = purge.cycles_to(target).unwrap() {
            let left = |cycles| Purge { cycles, ..purge }.residual_oxygen().unwrap().fraction.value;
            prop_assert!(left(n.whole) <= target * (1.0 + 1e-6));
            if n.whole > 0 { prop_assert!(left(n.whole - 1) > target * (1.0 - 1e-6)); }
        }
    }

    #[test]
    fn thicker_or_hotter_never_freezes_sooner(
        alloy in alloys(), size in 0.1..20.0f64, more in 0.0..5.0f64, flask in 20.0..600.0f64, up in 0.0..100.0f64,
    ) {
        let metal = CastingMetal::of(&alloy, c(800.0), c(900.0)).unwrap();
        let time = |size: f64, pour: f64, flask: f64| {
            let mould = MouldHeat::gypsum();
            freeze::freezing_time(&metal, mm(size), c(pour), c(flask), &mould, None).unwrap().time.value
        };
        prop_assert!(time(size, 950.0, flask) <= time(size + more, 950.0, flask));
        prop_assert!(time(size, 950.0, flask) <= time(size, 950.0 + up, flask));
        prop_assert!(time(size, 950.0, flask) <= time(size, 950.0, flask + up));
        // A curved wall cools faster than a flat one of the same modulus, and not without bound.
        let mould = MouldHeat::gypsum();
        let rod = freeze::freezing_time_of(Shape::Rod(mm(4.0 * size)), &metal, c(950.0), c(flask), &mould).unwrap();
        prop_assert!(rod.value <= time(size, 950.0, flask) && rod.value.get() > 0.0);
    }

    #[test]
    fn more_pressure_never_raises_the_least_section(sigma in 0.1..2.5f64, angle in 0.0..180.0f64, p in 0.001..1e5f64, more in 0.0..1e5f64) {
        for detail in [Detail::Plate, Detail::Wire] {
            let least = |p: f64| fill::least_section(sigma, angle, mbar(p), detail).unwrap();
            prop_assert!(least(p + more) <= least(p));
        }
        // At the least section the capillary pressure is the drive.
        let least = fill::least_section(sigma, 180.0, mbar(p), Detail::Plate).unwrap();
        if let Ok(back) = fill::capillary_pressure(sigma, 180.0, least, Detail::Plate) {
            prop_assert!((back.get() / p - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn mixing_stays_between_its_components(alloy in alloys(), t in 900.0..1800.0f64) {
        let inside = |value: f64, of: fn(&aftercast::physics::elements::Properties) -> f64| {
            let each = || alloy.parts().map(|(e, _)| of(e.properties()));
            value >= each().fold(f64::INFINITY, f64::min) - 1e-9 && value <= each().fold(0.0, f64::max) + 1e-9
        };
        prop_assert!(inside(weigh::density(&alloy).value.get(), |p| p.density_solid.get()));
        prop_assert!(inside(alloy::latent_heat(&alloy).value, |p| p.latent_heat));
        prop_assert!(inside(alloy::heat_capacity_liquid(&alloy).value, |p| p.heat_capacity_liquid));
        let liquid = |x: &Composition| alloy::density_liquid(x, c(t)).unwrap().value.get();
        let each: Vec<f64> = alloy.parts().map(|(e, _)| liquid(&Composition::pure(e))).collect();
        let (low, high) = each.iter().fold((f64::INFINITY, 0.0f64), |(l, h), x| (l.min(*x), h.max(*x)));
        prop_assert!((low - 1e-9..=high + 1e-9).contains(&liquid(&alloy)));
        let moles: f64 = alloy.parts().map(|(e, _)| alloy.mole_fraction(e)).sum();
        prop_assert!((moles - 1.0).abs() < 1e-12);
    }

    #[test]
    fn readings_go_there_and_back(t in 600.0..2000.0f64, lambda in 0.6..5.0f64, set in 0.1..1.0f64, actual in 0.1..1.0f64) {
        if let Ok(shown) = pyrometer::reading(c(t), lambda, set, actual) {
            if let Ok(back) = pyrometer::true_temperature(shown, lambda, set, actual) {
                prop_assert!((back.get() - t).abs() < 1e-6);
            }
            prop_assert_eq!(actual < set, shown.get() < t);
        }
    }

    #[test]
    fn a_soak_that_is_long_enough_is_long_enough(d in 30.0..250.0f64, from in 20.0..300.0f64, kiln in 400.0..800.0f64, left in 2.0..50.0f64) {
        let time = soak::soak_time_within(c(from), c(kiln), mm(d), Kelvins::new(left)).unwrap().value;
        let core = soak::core_temperature(c(from), c(kiln), mm(d), time).unwrap().value;
        prop_assert!(((c(kiln) - core).get() - left).abs() < 0.01);
    }

    #[test]
    fn silver_copper_is_a_diagram(cu in 0.0..1.0f64, step in 0.0..0.02f64) {
        let at = |cu: f64| phase::silver_copper(cu).unwrap();
        let e = phase::silver_copper_eutectic().unwrap();
        let here = at(cu);
        prop_assert!(here.solidus.value <= here.liquidus.value);
        prop_assert!(here.solidus.value.get() >= e.temperature.get() - 1e-6);
        let next = at((cu + step).min(1.0));
        let falls = cu + step <= e.copper;
        if falls { prop_assert!(next.liquidus.value.get() <= here.liquidus.value.get() + 1e-6); }
        if cu >= e.copper { prop_assert!(next.liquidus.value.get() >= here.liquidus.value.get() - 1e-6); }
    }

    #[test]
    fn a_casting_without_pores_weighs_its_density(rho in 7.0..21.0f64, grams in 5.0..200.0f64, t in 5.0..35.0f64) {
        // What a body of this density weighs hung in water, air buoyancy on both sides of the balance.
        let water = weigh::water_density(c(t)).unwrap() / 1000.0;
        let volume = grams / (rho - 0.0012);
        let hung = grams - volume * (water - 0.0012);
        let measured = Immersion::new(Grams::new(grams), Grams::new(hung), c(t)).density().unwrap();
        prop_assert!((measured.value.get() - rho).abs() < 1e-9);
        let pores = weigh::porosity(measured, Estimate::exact(GramsPerCm3::new(rho), "given")).unwrap();
        prop_assert!(pores.value.abs() < 1e-9 && pores.contains(0.0));
    }

    /// A sheet that a workshop could write gets an answer, not a refusal.
    #[test]
    fn plausible_sheets_are_answered(
        alloy in alloys(), solidus in 750.0..1750.0f64, range in 0.0..150.0f64, over in 0.0..200.0f64,
        flask in 20.0..690.0f64, size in 0.2..15.0f64, drive in 1.0..4000.0f64, grams in 5.0..2000.0f64,
    ) {
        let (solidus, liquidus, pour) = (c(solidus), c(solidus + range), c(solidus + range + over));
        let metal = CastingMetal::of(&alloy, solidus, liquidus).unwrap();
        for mould in [MouldHeat::gypsum(), MouldHeat::phosphate()] {
            let frozen = freeze::freezing_time(&metal, mm(size), pour, c(flask), &mould, None);
            prop_assert!(frozen.is_ok());
            let flows = freeze::flow_stop_time(&metal, mm(size), pour, c(flask), &mould).unwrap();
            prop_assert!(flows.value <= frozen.unwrap().time.value);
            let case = FillCase {
                metal: &metal, mould: &mould, pour, flask: c(flask), detail: Detail::Plate, size: mm(size),
                path: mm(20.0), drive: exact(drive),
            };
            let filled = fill::fill(&case).unwrap();
            sane("reach", Ok(filled.reach))?;
            for state in [MouldState::Clean, MouldState::CarbonLeft, MouldState::ReducingGas(mbar(50.0))] {
                let wall = mould::wall_exposure(&metal, mm(size), pour, c(flask), &mould, state).unwrap();
                prop_assert!(wall.peak.value <= pour && wall.peak.value > c(flask));
                sane("peak gas", Ok(wall.peak_pressure))?;
                sane("plateau gas", Ok(wall.plateau_pressure))?;
            }
        }
        let loss = volatile::vapour_loss(
            Volatile::Zinc, &alloy, Grams::new(grams), pour, mbar(950.0), mm(40.0), Seconds::new(240.0),
        ).unwrap();
        sane("loss", Ok(loss.mass))?;
        let power = Watts::new(3000.0);
        sane("melts", Ok(melt::melting_time(&metal, Grams::new(grams), c(20.0), pour, power, Heating::Induction).unwrap()))?;
        let need = weigh::metal_from_wax(Grams::new(grams / 10.0), weigh::density(&alloy), weigh::wax_density(), None);
        prop_assert!(need.unwrap().total.value > need_least(grams));
        sane("boils", volatile::boiling_temperature(Volatile::Zinc, &alloy, mbar(drive)).map(|t| t.unwrap_or(exact(0.0))))?;
    }
}

/// A tree never needs less metal than its wax weighs, in any metal denser than wax.
fn need_least(grams: f64) -> Grams {
    Grams::new(grams / 10.0)
}
