//! What is known after the answers so far.

use super::outlooks::Outlooks;
use super::play;
use super::state::{Refused, Start, Step};
use crate::advice::{
    Diagnosis, Model, Observation, Outlook, Refusal, Standing as Ranked, Sureness, diagnose, standings,
};
use crate::inference::{BuildError, Evidence, InferenceError, Prepared, Var, World};
use crate::rules::{DefectKey, Finding, QuestionKey, RuleBase, SignKey};
use crate::sheet::Sheet;
use std::cell::OnceCell;

/// Joint states that are drawn to weigh the questions. A share read off them is off by 1 % to 2 %.
const WORLDS: usize = 800;
/// A defect that explains what was seen must stay away next time from this chance on.
const TROUBLE: f64 = 0.25;

/// Everything that follows from the start and the answers.
#[derive(Debug)]
pub struct Standing<'a> {
    model: Model<'a>,
    sheet: Sheet,
    findings: Vec<Observation>,
    causes: Vec<Ranked>,
    open: Vec<QuestionKey>,
    pub(super) asked: usize,
    pub(super) worlds: Vec<World>,
    /// The worlds in which each cause and each node holds, and for each sign the chance in each world that it would be
    /// reported; made when they are first needed, since few of many rules are in play.
    with_cause: Vec<Vec<u32>>,
    with_node: Vec<OnceCell<Vec<u32>>>,
    signs: Vec<OnceCell<Vec<f64>>>,
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
        let model = Model::focused(rules, &sheet, &findings).map_err(|e| unsound(&e))?;
        let evidence = model.evidence(&findings);
        // The answers decide the draws as well, so that the same answers always lead to the same question.
        let seed = start.seed ^ (findings.len() as u64) << 32;
        let prepared = prepare(&model, &evidence, &findings)?;
        let causes = standings(&model, &evidence, &prepared.posterior_active());
        let worlds = interleaved(prepared.sample_without_leaves(WORLDS, seed));
        let outlook = Outlook::new(&model, &prepared);
        let trouble = trouble(&model, &findings, &worlds);
        let remedies = Outlooks::best(&model, &outlook, &trouble, &worlds);
        let mut with_cause = vec![Vec::new(); model.network.causes()];
        for (at, world) in (0u32..).zip(&worlds) {
            world.causes().iter().for_each(|c| with_cause[c.index()].push(at));
        }
        let with_node = vec![OnceCell::new(); model.network.nodes()];
        let signs = vec![OnceCell::new(); rules.signs.len()];
        let mut standing = Self {
            model,
            sheet,
            findings,
            causes,
            open: Vec::new(),
            asked: steps.len(),
            worlds,
            with_cause,
            with_node,
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

    /// All causes, those first that most likely had a hand in what was seen.
    pub fn causes(&self) -> &[Ranked] {
        &self.causes
    }

    /// Causes, defects and remedies as they rank now, with their reasons.
    ///
    /// # Errors
    /// [`Refused`] when the engine gives no answer.
    pub fn diagnose(&self) -> Result<Diagnosis, Refused> {
        diagnose(&self.model, &self.sheet, &self.findings)
            .map_err(|r| refused(self.model.rules, &self.findings, &r))
    }

    /// The questions that make sense now and were not asked.
    pub fn open(&self) -> &[QuestionKey] {
        &self.open
    }

    /// Whether the defect may be behind something that was seen or named.
    pub(super) fn accounts(&self, defect: DefectKey) -> bool {
        self.findings.iter().any(|o| accounts(self.model.rules, defect, o))
    }

    /// Share of the joint states in which the defect is there.
    pub(super) fn defect_chance(&self, defect: DefectKey) -> f64 {
        let node = self.model.defect(defect);
        share(self.worlds.iter().filter(|w| w.holds(node)).count(), self.worlds.len())
    }

    /// Chance that the sign would be reported.
    pub(super) fn sign_chance(&self, sign: SignKey) -> f64 {
        let all = self.reported(sign);
        all.iter().sum::<f64>() / f64::from(u32::try_from(all.len().max(1)).unwrap_or(u32::MAX))
    }

    /// For each world the chance that a sign would be reported: settled if it was looked for already.
    pub(super) fn reported(&self, sign: SignKey) -> &[f64] {
        self.signs[sign.index()].get_or_init(|| {
            let node = self.model.sign(sign);
            if self.findings.iter().any(|o| o.finding == Finding::Sign(sign)) {
                return self.worlds.iter().map(|w| f64::from(u8::from(w.holds(node)))).collect();
            }
            let mut missed = vec![1.0; self.worlds.len()];
            for (var, strength) in self.model.network.parents(node) {
                self.with(*var).iter().for_each(|at| missed[*at as usize] *= 1.0 - strength);
            }
            let leak = self.model.network.leak(node);
            missed.into_iter().map(|m| 1.0 - (1.0 - leak) * m).collect()
        })
    }

    /// The worlds in which a variable holds.
    fn with(&self, var: Var) -> &[u32] {
        match var {
            Var::Cause(cause) => &self.with_cause[cause.index()],
            Var::Node(node) => self.with_node[node.index()].get_or_init(|| {
                (0u32..).zip(&self.worlds).filter(|(_, w)| w.holds(node)).map(|(at, _)| at).collect()
            }),
        }
    }
}

/// The defects that must stay away next time: those that explain what was seen and are likely to be there, and at least
/// the likeliest of them.
fn trouble(model: &Model<'_>, findings: &[Observation], worlds: &[World]) -> Vec<DefectKey> {
    let rules = model.rules;
    let explains = |d: DefectKey| findings.iter().any(|o| accounts(rules, d, o));
    let chance =
        |d: DefectKey| share(worlds.iter().filter(|w| w.holds(model.defect(d))).count(), worlds.len());
    let mut all: Vec<(DefectKey, f64)> =
        rules.defect_keys().filter(|d| explains(*d)).map(|d| (d, chance(d))).collect();
    all.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    all.into_iter()
        .enumerate()
        .filter(|(at, (_, p))| *at == 0 || *p >= TROUBLE)
        .map(|(_, (d, _))| d)
        .collect()
}

/// Whether a defect may be behind something that was seen or named.
fn accounts(rules: &RuleBase, defect: DefectKey, observation: &Observation) -> bool {
    observation.is_present()
        && match observation.finding {
            Finding::Sign(sign) => rules.defect(defect).shows.iter().any(|l| l.to == sign),
            Finding::Defect(named) => {
                named == defect
                    || (observation.how != Sureness::Certain
                        && rules.defect(named).look_alikes.iter().any(|a| a.defect == defect))
            }
        }
}

/// All causes with the chance that they had a hand in what was seen, the likeliest first.
pub(super) fn ranking(
    rules: &RuleBase,
    sheet: &Sheet,
    findings: &[Observation],
) -> Result<Vec<Ranked>, Refused> {
    let model = Model::focused(rules, sheet, findings).map_err(|e| unsound(&e))?;
    let evidence = model.evidence(findings);
    let prepared = prepare(&model, &evidence, findings)?;
    Ok(standings(&model, &evidence, &prepared.posterior_active()))
}

fn prepare<'m>(
    model: &'m Model<'_>,
    evidence: &Evidence,
    findings: &[Observation],
) -> Result<Prepared<'m>, Refused> {
    model.network.prepare(evidence).map_err(|error| {
        let at = match error {
            InferenceError::Impossible { finding } => findings.iter().position(|o| model.var(*o) == finding),
            _ => None,
        };
        refused(model.rules, findings, &at.map_or(Refusal::Engine(error), Refusal::Impossible))
    })
}

/// Every other world first, so that either half is a fair part of them: they are drawn in runs.
fn interleaved(worlds: Vec<World>) -> Vec<World> {
    let (mut one, mut other) = (Vec::with_capacity(worlds.len()), Vec::new());
    for (at, world) in worlds.into_iter().enumerate() {
        if at % 2 == 0 { one.push(world) } else { other.push(world) }
    }
    one.append(&mut other);
    one
}

#[expect(clippy::cast_precision_loss, reason = "hundreds of joint states")]
fn share(part: usize, whole: usize) -> f64 {
    part as f64 / whole.max(1) as f64
}

fn unsound(error: &BuildError) -> Refused {
    Refused { message: error.to_string(), help: "see `aftercast rules check`".to_owned() }
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
