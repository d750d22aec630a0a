//! The network run forward, with nothing seen: what a sheet asks for, and what to change before metal is melted.

use super::diagnosis::{RankedCause, RankedRemedy, Refusal, diagnose};
use super::model::Model;
use super::rank::rank_remedies;
use super::remedy::{BeforeAfter, Outlook};
use crate::rules::DefectKey;
use crate::sheet::Sheet;

/// The chance of one defect with this sheet, and with the alloy alone known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Risk {
    /// Which.
    pub defect: DefectKey,
    /// With the sheet.
    pub chance: f64,
    /// With nothing known but the alloy.
    pub usual: f64,
}

impl Risk {
    /// True when the sheet raises it by enough to speak of: by a fifth, and by a point.
    pub fn is_raised(&self) -> bool {
        self.chance - self.usual >= 0.01 && self.chance >= 1.2 * self.usual
    }
}

/// A remedy and the risk that it lowers most.
#[derive(Debug, Clone, PartialEq)]
pub struct Promise {
    /// The remedy.
    pub remedy: RankedRemedy,
    /// The defect whose chance falls most.
    pub defect: DefectKey,
    /// That chance.
    pub chance: BeforeAfter,
}

/// What a sheet asks for.
#[derive(Debug, Clone)]
pub struct Forecast {
    /// Every defect, likeliest first.
    pub risks: Vec<Risk>,
    /// Those that the sheet raises, by how much, largest rise first.
    pub raised: Vec<Risk>,
    /// Causes that the sheet makes likelier, largest rise first.
    pub causes: Vec<RankedCause>,
    /// Changes that lower the raised risks, best first.
    pub promises: Vec<Promise>,
}

/// How many raised defects the remedies are measured against.
const IN_VIEW: usize = 5;
/// From which rise on a cause is one of this sheet's.
const CAUSE_RISE: f64 = 0.005;

/// Runs the network forward. `plain` is the model of the same alloy with nothing recorded.
///
/// # Errors
/// [`Refusal`] when the engine refuses.
pub fn forecast(model: &Model<'_>, plain: &Model<'_>, sheet: &Sheet) -> Result<Forecast, Refusal> {
    let here = diagnose(model, sheet, &[])?;
    let usual = diagnose(plain, sheet, &[])?;
    let before = |d: DefectKey| usual.defects.iter().find(|x| x.defect == d).map_or(0.0, |x| x.probability);
    let risks: Vec<Risk> = here
        .defects
        .iter()
        .map(|d| Risk { defect: d.defect, chance: d.probability, usual: before(d.defect) })
        .collect();
    let mut raised: Vec<Risk> = risks.iter().copied().filter(Risk::is_raised).collect();
    raised.sort_by(|a, b| (b.chance - b.usual).total_cmp(&(a.chance - a.usual)));

    let rise = |c: &RankedCause| {
        let was = usual.causes.iter().find(|x| x.cause == c.cause).map_or(0.0, |x| x.probability);
        c.probability - was
    };
    let mut causes: Vec<RankedCause> = here.causes.into_iter().filter(|c| rise(c) >= CAUSE_RISE).collect();
    causes.sort_by(|a, b| rise(b).total_cmp(&rise(a)));

    let evidence = model.evidence(&[]);
    let prepared = model.network.prepare(&evidence).map_err(Refusal::Engine)?;
    let outlook = Outlook::new(model, &prepared);
    let trouble: Vec<DefectKey> = raised.iter().take(IN_VIEW).map(|r| r.defect).collect();
    let promises = rank_remedies(model, sheet, &outlook, &causes, &trouble)
        .worth
        .into_iter()
        .filter_map(|remedy| {
            let fall = |c: &BeforeAfter| c.before - c.after;
            let best = trouble
                .iter()
                .map(|d| (*d, outlook.defect(&remedy.effect, *d)))
                .max_by(|a, b| fall(&a.1).total_cmp(&fall(&b.1)));
            best.map(|(defect, chance)| Promise { remedy, defect, chance })
        })
        .collect();
    Ok(Forecast { risks, raised, causes, promises })
}
