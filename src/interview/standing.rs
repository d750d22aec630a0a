//! What is known after the answers so far.

use super::play;
use super::state::{Refused, Start, Step};
use super::worth::Outlooks;
use crate::advice::{Diagnosis, Model, Observation, Outlook, Refusal, diagnose};
use crate::inference::World;
use crate::rules::{DefectKey, QuestionKey, RuleBase, SignKey};
use crate::sheet::Sheet;

/// Joint states that are drawn to weigh the questions. A share read off them is off by 1 % to 2 %.
const WORLDS: usize = 800;
/// Remedies that plans are made of.
const REMEDIES: usize = 20;

/// Everything that follows from the start and the answers.
#[derive(Debug)]
pub struct Standing<'a> {
    model: Model<'a>,
    sheet: Sheet,
    findings: Vec<Observation>,
    diagnosis: Diagnosis,
    open: Vec<QuestionKey>,
    pub(super) asked: usize,
    pub(super) worlds: Vec<World>,
    /// For each sign and each world the chance that it would be reported.
    pub(super) signs: Vec<Vec<f64>>,
    /// Remedies with the chance, for each world, that the next cast is clean.
    pub(super) remedies: Vec<Outlooks>,
}

impl<'a> Standing<'a> {
    pub(super) fn new(
        rules: &'a RuleBase,
        start: &Start,
        steps: &[Step],
        sheet: Sheet,
        findings: Vec<Observation>,
    ) -> Result<Self, Refused> {
        let model = Model::new(rules, &sheet)
            .map_err(|e| Refused { message: e.to_string(), help: "check the rules".to_owned() })?;
        let diagnosis =
            diagnose(&model, &sheet, &findings).map_err(|r| refused(rules, &findings, &r))?;
        let (worlds, remedies) = {
            let evidence = model.evidence(&findings);
            let prepared = model.network.prepare(&evidence).map_err(|e| Refused {
                message: e.to_string(),
                help: "`back` takes the last answer back".to_owned(),
            })?;
            // The answers decide the draws as well, so that the same answers always lead to the same question.
            let worlds = prepared.sample(WORLDS, start.seed ^ (findings.len() as u64) << 32);
            let outlook = Outlook::new(&model, &prepared);
            let best = diagnosis.remedies.iter().take(REMEDIES).map(|r| r.remedy);
            let remedies =
                best.map(|r| Outlooks::of(rules, &outlook, r, &diagnosis.trouble, &worlds)).collect();
            (worlds, remedies)
        };
        let signs = rules
            .sign_keys()
            .map(|s| worlds.iter().map(|w| reported(&model, &findings, w, s)).collect())
            .collect();
        let mut standing = Self {
            model,
            sheet,
            findings,
            diagnosis,
            open: Vec::new(),
            asked: steps.len(),
            worlds,
            signs,
            remedies,
        };
        standing.open = play::open(rules, start, steps, &standing);
        Ok(standing)
    }

    /// The network of the job as far as it is known.
    pub fn model(&self) -> &Model<'a> {
        &self.model
    }

    /// The sheet with the answers written in.
    pub fn sheet(&self) -> &Sheet {
        &self.sheet
    }

    /// What was seen, not seen and named.
    pub fn findings(&self) -> &[Observation] {
        &self.findings
    }

    /// Causes, defects and remedies as they rank now.
    pub fn diagnosis(&self) -> &Diagnosis {
        &self.diagnosis
    }

    /// The questions that make sense now and were not asked.
    pub fn open(&self) -> &[QuestionKey] {
        &self.open
    }

    /// Share of the joint states in which the defect is there.
    pub(super) fn defect_chance(&self, defect: DefectKey) -> f64 {
        let node = self.model.defect(defect);
        share(self.worlds.iter().filter(|w| w.holds(node)).count(), self.worlds.len())
    }

    /// Chance that the sign would be reported.
    pub(super) fn sign_chance(&self, sign: SignKey) -> f64 {
        let all = &self.signs[sign.index()];
        all.iter().sum::<f64>() / f64::from(u32::try_from(all.len().max(1)).unwrap_or(u32::MAX))
    }
}

#[expect(clippy::cast_precision_loss, reason = "hundreds of joint states")]
fn share(part: usize, whole: usize) -> f64 {
    part as f64 / whole.max(1) as f64
}

/// Chance that a sign is reported in a world: settled if it was looked for already.
fn reported(model: &Model<'_>, findings: &[Observation], world: &World, sign: SignKey) -> f64 {
    let node = model.sign(sign);
    let looked = findings.iter().any(|o| o.finding == crate::rules::Finding::Sign(sign));
    if looked { f64::from(u8::from(world.holds(node))) } else { world.chance(&model.network, node) }
}

fn refused(rules: &RuleBase, findings: &[Observation], refusal: &Refusal) -> Refused {
    let message = match refusal {
        Refusal::Impossible(at) => {
            let words = findings.get(*at).map_or_else(String::new, |o| o.words(rules));
            format!("`{words}` cannot be, with what was said before")
        }
        Refusal::Engine(error) => error.to_string(),
    };
    Refused { message, help: "answer otherwise, or go `back` to what was said before".to_owned() }
}
