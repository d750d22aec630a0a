//! Which hazards the steps of a sheet raise, each with the words of the rule base and its public authority; and which
//! are there already, by what was seen and said.

use super::findings::Observation;
use crate::physics::Element;
use crate::rules::words::alarm::raised_by;
use crate::rules::{CautionKey, Finding, RuleBase};
use crate::sheet::{Field, Job, Sheet, derived};

/// A caution and the step of the sheet that raises it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Raised {
    /// Which.
    pub caution: CautionKey,
    /// The step, in words.
    pub step: String,
}

/// Shares of an element from which its hazard counts: traces below do not fume.
const TRACE: f64 = 0.005;
/// Cadmium and lead harm in traces.
const POISON_TRACE: f64 = 0.0001;

/// A step that may be on a sheet: the caution it raises, when, and in which words.
struct Step {
    caution: &'static str,
    raised: fn(&View<'_>) -> Option<String>,
}

const fn step(caution: &'static str, raised: fn(&View<'_>) -> Option<String>) -> Step {
    Step { caution, raised }
}

/// The order is that of the work: what can kill while metal is molten comes first.
const STEPS: &[Step] = &[
    step("molten-metal", |v| v.melts().then(|| "melting and pouring".to_owned())),
    step("cadmium-lead-scrap", |v| {
        let found = [Element::Cd, Element::Pb].into_iter().find(|e| v.share(*e) > POISON_TRACE);
        found.map(|e| format!("{} in the alloy", e.name()))
    }),
    step("zinc-fume", |v| {
        let zinc = v.share(Element::Zn);
        (zinc > TRACE).then(|| format!("{} of zinc in the alloy", percent(zinc)))
    }),
    step("nickel", |v| (v.share(Element::Ni) > TRACE).then(|| "nickel in the alloy".to_owned())),
    step("inert-gas", |v| match v.job.fact("cover") {
        Some(gas @ ("argon" | "nitrogen")) => Some(format!("{gas} over the melt")),
        _ => v.has(Field::PurgeCycles, "purge cycles"),
    }),
    step("stored-pressure", |v| {
        let pressed = v.job.get(Field::CastingPressure).is_some_and(|p| p > 0.0);
        let by = v.job.fact("method") == Some("vacuum-pressure");
        (pressed || by).then(|| "casting pressure".to_owned())
    }),
    step("spun-caster", |v| {
        let by = v.job.fact("method") == Some("spun");
        by.then(|| "spun casting".to_owned()).or_else(|| v.has(Field::SpinSpeed, "spinning"))
    }),
    step("vacuum-vessel", |v| {
        let by = v.job.fact("method") == Some("vacuum-assist");
        by.then(|| "vacuum under the flask".to_owned())
            .or_else(|| v.has(Field::PourVacuum, "vacuum under the flask"))
            .or_else(|| v.has(Field::InvestingVacuum, "vacuum over the slurry"))
    }),
    step("fuel-gas", |v| {
        let flame = match (v.job.fact("heat"), v.job.fact("cover")) {
            (Some("torch"), _) => Some("melting with a torch"),
            (_, Some("reducing-flame" | "oxidising-flame")) => Some("flame over the melt"),
            (_, Some("forming-gas")) => Some("forming gas over the melt"),
            _ => None,
        };
        flame.map(str::to_owned)
    }),
    step("induction-field", |v| {
        (v.job.fact("heat") == Some("induction")).then(|| "induction heating".to_owned())
    }),
    step("platinum-glare", |v| {
        let base = v.job.alloy()?.composition.base();
        matches!(base, Element::Pt | Element::Pd).then(|| format!("{} at white heat", base.name()))
    }),
    step("hot-crucible", |v| {
        let kind = v.job.fact("crucible")?;
        Some(format!("{kind} crucible"))
    }),
    step("hot-flask", |v| {
        let flask = v.job.get(Field::FlaskTemperature).filter(|t| *t > 60.0)?;
        Some(format!("flask at {}", Field::FlaskTemperature.dimension().show(flask)))
    }),
    step("burnout-gases", |v| {
        v.has(Field::BurnoutPeak, "burnout").or_else(|| v.has(Field::BurnoutHold, "burnout"))
    }),
    step("steam-dewax", |v| (v.job.fact("dewax") == Some("steam")).then(|| "steam dewax".to_owned())),
    step("quench-hot-flask", |v| {
        let after = v.job.seconds(Field::QuenchAfter)?;
        Some(format!("quench {after} after the pour"))
    }),
    step("silica-dust", |v| {
        let kind = v.job.fact("binder").map(|b| format!("{b} powder"));
        kind.or_else(|| v.has(Field::Water, "investment powder"))
    }),
    step("phosphate-mould-fume", |v| {
        (v.job.fact("binder") == Some("phosphate")).then(|| "phosphate mould".to_owned())
    }),
    step("boric-acid-dust", |v| {
        (v.job.fact("boric-acid") == Some("boric")).then(|| "boric acid in the mould".to_owned())
    }),
    step("resin", |v| {
        (v.job.fact("pattern") == Some("printed-resin")).then(|| "printed patterns".to_owned())
    }),
];

struct View<'a> {
    job: Job<'a>,
}

impl View<'_> {
    fn share(&self, element: Element) -> f64 {
        self.job.alloy().map_or(0.0, |a| a.composition.share(element))
    }

    fn has(&self, field: Field, words: &str) -> Option<String> {
        self.job.get(field).filter(|v| *v > 0.0).map(|_| words.to_owned())
    }

    fn melts(&self) -> bool {
        self.job.names_alloy()
            || self.job.get(Field::MeltTemperature).is_some()
            || self.job.get(Field::Charge).is_some()
    }
}

fn percent(share: f64) -> String {
    crate::units::Dimension::Share.show(share)
}

/// The cautions that this sheet's steps raise. A caution that the rule base in use does not have is left out.
pub fn raised(rules: &RuleBase, sheet: &Sheet) -> Vec<Raised> {
    let view = View { job: Job::new(sheet, rules) };
    STEPS
        .iter()
        .filter_map(|s| {
            let caution = rules.find_caution(s.caution)?;
            Some(Raised { caution, step: (s.raised)(&view)? })
        })
        .collect()
}

/// From this share of zinc on a melt over its window boils zinc off into the room (graded by hand).
const FUMES: f64 = 0.05;

/// The cautions to be read before anything else, in the order of the rules: something that was seen, the caster's own
/// words, or the sheet says that somebody is in the hazard already.
pub fn alarms(rules: &RuleBase, sheet: &Sheet, observations: &[Observation], said: &str) -> Vec<CautionKey> {
    let by_words = raised_by(rules, said);
    let seen = |finding: Finding| observations.iter().any(|o| o.is_present() && o.finding == finding);
    let fume = rules.find_caution("zinc-fume").filter(|_| boils_zinc(rules, sheet));
    let raised = |key: &CautionKey| {
        let mut signs = rules.caution(*key).alarm.iter().flat_map(|a| &a.signs);
        by_words.contains(key) || signs.any(|s| seen(Finding::Sign(*s))) || fume == Some(*key)
    };
    rules.caution_keys().filter(|k| rules.caution(*k).alarm.is_some()).filter(raised).collect()
}

/// A melt with much zinc that stands above the window of its alloy.
fn boils_zinc(rules: &RuleBase, sheet: &Sheet) -> bool {
    let job = Job::new(sheet, rules);
    let rich = job.alloys().any(|a| a.composition.share(Element::Zn) >= FUMES);
    let above = derived::TABLE.iter().find(|d| d.id == "melt-above-window").and_then(|d| (d.compute)(job));
    rich && above.is_some_and(|c| c.value > 0.0)
}
