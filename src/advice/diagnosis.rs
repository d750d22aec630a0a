//! From findings to ranked causes, the defects that are really there, and ranked remedies.

use super::account::{in_fault, left_open, shows_itself};
use super::effect::Effect;
use super::findings::{Observation, Sureness};
use super::hand::{Standing, standings};
use super::model::Model;
use super::opposites::{Opposites, opposites};
use super::rank::{Changes, Pair, Plan, best_pairs, make_plan, rank_remedies};
use super::remedy::{BeforeAfter, Outlook};
use super::step::Step;
use crate::inference::{InferenceError, Limits, Var, conflict, weights_of_evidence};
use crate::rules::{CauseKey, DefectKey, Finding, RemedyKey};
use crate::sheet::Sheet;

/// One reason for or against a cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// In words.
    pub words: String,
    /// ln of the factor on the cause's odds.
    pub ln: f64,
    /// Why the figure behind it is weak, when it is.
    pub weak: Option<&'static str>,
}

/// A cause with its probability and its reasons, the weightiest first.
#[derive(Debug, Clone, PartialEq)]
pub struct RankedCause {
    /// Which.
    pub cause: CauseKey,
    /// Probability that it is there, given everything.
    pub probability: f64,
    /// Probability that it is there and had a hand in what was seen; the ranking goes by it.
    pub had_a_hand: f64,
    /// Probability that it is there and had a hand in a defect, its own signs apart; worked out for the causes in front.
    pub in_fault: f64,
    /// Probability before anything was seen, with the sheet.
    pub prior: f64,
    /// What speaks for it.
    pub supports: Vec<Reason>,
    /// What speaks against it.
    pub opposes: Vec<Reason>,
}

/// A defect with its probability.
#[derive(Debug, Clone, PartialEq)]
pub struct RankedDefect {
    /// Which.
    pub defect: DefectKey,
    /// Probability given everything.
    pub probability: f64,
    /// Named by the caster, or certain.
    pub said: Option<Sureness>,
    /// Something that was seen may have come from it.
    pub explains: bool,
}

/// A remedy with what it would do.
#[derive(Debug, Clone, PartialEq)]
pub struct RankedRemedy {
    /// Which.
    pub remedy: RemedyKey,
    /// Chance that the next cast is free of the trouble: with no change, and with this one.
    pub success: BeforeAfter,
    /// Chance that it is sound with this change: free of the trouble, and nothing new has come of the change.
    pub sound: f64,
    /// Gain in that chance, against no change, for an hour of work, the re-cast included.
    pub gain_per_hour: f64,
    /// The figure on the sheet and what it becomes.
    pub step: Option<Step>,
    /// Defects of the trouble that it makes less likely.
    pub eases: Vec<(DefectKey, BeforeAfter)>,
    /// Defects that it makes likelier, those of the trouble included.
    pub spoils: Vec<(DefectKey, BeforeAfter)>,
    /// The likeliest cause that it takes away.
    pub against: CauseKey,
    /// What it does to the causes.
    pub effect: Effect,
}

/// Causes whose part in the fault is told from their being there.
const IN_FRONT: usize = 5;
/// The file of the causes that come after the cast.
const AFTER_THE_CAST: &str = "after-casting";
/// From which chance on such a cause settles that there is nothing to change in the casting (graded by hand).
const SETTLED: f64 = 0.8;

/// The whole answer.
#[derive(Debug, Clone)]
pub struct Diagnosis {
    /// All causes, likeliest first.
    pub causes: Vec<RankedCause>,
    /// What was seen and the first cause does not account for.
    pub left_open: Vec<Observation>,
    /// The first cause, where it came after the cast and is nearly certain: then nothing of the cast is to be changed,
    /// the remedies are its own, and there is no plan.
    pub after_the_cast: Option<CauseKey>,
    /// All defects, likeliest first.
    pub defects: Vec<RankedDefect>,
    /// Remedies that gain something: the first step of the plan, then by the gain for an hour.
    pub remedies: Vec<RankedRemedy>,
    /// Remedies that ease the trouble and bring in as much as they take away, or more.
    pub trades: Vec<RankedRemedy>,
    /// Pairs that do clearly more than the best change alone, best first.
    pub pairs: Vec<Pair>,
    /// What to do, one change after the other, until the trouble stays away.
    pub plan: Option<Plan>,
    /// Figures that two defects of the trouble want moved in opposite directions.
    pub opposites: Vec<Opposites>,
    /// The defects that the remedies are measured against.
    pub trouble: Vec<DefectKey>,
    /// Probability that only chance, and no cause known here, made the findings.
    pub none_known: f64,
    /// ln( prod P(finding) / P(all findings) ): above 0, the findings rarely go together.
    pub conflict: f64,
    /// Findings that had to be left out of an exact answer, in words.
    pub left_out: Vec<String>,
    /// Largest number of open findings at once.
    pub width: usize,
}

impl Diagnosis {
    /// The ranking of the causes.
    pub fn ranking(&self) -> Vec<Standing> {
        let standing = |c: &RankedCause| Standing {
            cause: c.cause,
            probability: c.probability,
            had_a_hand: c.had_a_hand,
        };
        self.causes.iter().map(standing).collect()
    }
}

/// A defect is part of the trouble from this probability on.
const IN_PLAY: f64 = 0.25;

/// About how many sums the remedies, pairs and the plan of one diagnosis take.
const SUMS: usize = 300;

/// Why there is no diagnosis.
#[derive(Debug, Clone, PartialEq)]
pub enum Refusal {
    /// The findings cannot go together; the place in the list of the one that does not fit.
    Impossible(usize),
    /// The engine's own word.
    Engine(InferenceError),
}

/// Works everything out.
///
/// # Errors
/// [`Refusal`] when the findings contradict each other outright.
pub fn diagnose(
    model: &Model<'_>,
    sheet: &Sheet,
    observations: &[Observation],
) -> Result<Diagnosis, Refusal> {
    let refuse = |error: InferenceError| match error {
        InferenceError::Impossible { finding } => {
            let at = observations.iter().position(|o| model.var(*o) == finding);
            at.map_or(Refusal::Engine(error), Refusal::Impossible)
        }
        other => Refusal::Engine(other),
    };
    let evidence = model.evidence(observations);
    let prepared =
        model.network.prepare_within(&evidence, &Limits::default().for_sums(SUMS)).map_err(refuse)?;
    let posterior = prepared.posterior_active();
    let outlook = Outlook::new(model, &prepared);
    let weights = weights_of_evidence(&model.network, &evidence).map_err(refuse)?;

    let rules = model.rules;
    let ln_evidence = prepared.ln_evidence();
    let causes: Vec<RankedCause> = standings(model, &evidence, &posterior)
        .into_iter()
        .enumerate()
        .map(|(at, Standing { cause, probability, had_a_hand })| {
            let id = model.cause(cause);
            let mut reasons: Vec<Reason> = model
                .prior(cause)
                .shifts
                .iter()
                .map(|s| Reason { words: s.says.clone(), ln: s.ln, weak: s.weak })
                .collect();
            for (var, ln) in weights.of(id) {
                let words = words_of(model, observations, var);
                reasons.push(Reason { words, ln, weak: None });
            }
            let (supports, opposes) = sorted(reasons);
            let in_fault = (at < IN_FRONT && shows_itself(model, observations, cause))
                .then(|| in_fault(model, observations, cause, probability, ln_evidence))
                .flatten()
                .map_or(had_a_hand, |chance| chance.min(had_a_hand));
            let prior = model.network.prior(id);
            RankedCause { cause, probability, had_a_hand, in_fault, prior, supports, opposes }
        })
        .collect();

    let mut defects: Vec<RankedDefect> = rules
        .defect_keys()
        .map(|defect| RankedDefect {
            defect,
            // A defect without a finding at or below it is not in the sweep: one weighted pass gives it.
            probability: posterior.node(model.defect(defect)).unwrap_or_else(|| outlook.unchanged(defect)),
            said: observations.iter().find(|o| o.finding == Finding::Defect(defect)).map(|o| o.how),
            explains: explains(model, observations, defect),
        })
        .collect();
    defects.sort_by(|a, b| b.probability.total_cmp(&a.probability).then(a.defect.cmp(&b.defect)));

    let trouble = trouble(&defects);
    let Changes { worth: mut remedies, mut trades } =
        rank_remedies(model, sheet, &outlook, &causes, &trouble);
    let first = causes.first();
    let after_the_cast = first
        .filter(|c| c.had_a_hand >= SETTLED && rules.cause(c.cause).group == AFTER_THE_CAST)
        .map(|c| c.cause);
    if let Some(cause) = after_the_cast {
        remedies.retain(|r| rules.remedy(r.remedy).cures.iter().any(|l| l.to == cause));
        trades.clear();
    }
    let cast = after_the_cast.is_none();
    let plan = cast.then(|| make_plan(model, &prepared, &remedies, &causes, &trouble)).flatten();
    // A list and a plan that begin with two different changes leave the caster with neither.
    let step = plan.iter().flat_map(|p| &p.steps).next().map(|s| s.remedy);
    if let Some(at) = remedies.iter().position(|r| Some(r.remedy) == step) {
        remedies[..=at].rotate_right(1);
    }
    let seen_present = observations.iter().any(Observation::is_present);
    Ok(Diagnosis {
        left_open: first.map_or_else(Vec::new, |c| left_open(model, observations, c.cause)),
        after_the_cast,
        causes,
        defects,
        pairs: if cast { best_pairs(model, &outlook, &remedies, &trouble) } else { Vec::new() },
        plan,
        opposites: if cast { opposites(model, sheet, &outlook, &trouble) } else { Vec::new() },
        remedies,
        trades,
        trouble,
        none_known: if seen_present { prepared.none_known() } else { 0.0 },
        conflict: conflict(&model.network, &evidence).map_err(refuse)?,
        left_out: prepared.left_out().iter().map(|v| words_of(model, observations, *v)).collect(),
        width: prepared.width(),
    })
}

fn words_of(model: &Model<'_>, observations: &[Observation], var: Var) -> String {
    let found = observations.iter().find(|o| model.var(**o) == var);
    found.map_or_else(String::new, |o| o.words(model.rules))
}

/// Reasons that change the odds by less than a tenth are noise to the reader.
fn sorted(reasons: Vec<Reason>) -> (Vec<Reason>, Vec<Reason>) {
    const NOISE: f64 = 0.095;
    let mut supports: Vec<Reason> = reasons.iter().filter(|r| r.ln > NOISE).cloned().collect();
    let mut opposes: Vec<Reason> = reasons.into_iter().filter(|r| r.ln < -NOISE).collect();
    supports.sort_by(|a, b| b.ln.total_cmp(&a.ln));
    opposes.sort_by(|a, b| a.ln.total_cmp(&b.ln));
    (supports, opposes)
}

/// The defects that must stay away next time: those that explain what was seen and are likely to be there, and at
/// least the likeliest of them.
fn trouble(defects: &[RankedDefect]) -> Vec<DefectKey> {
    let mut in_play = defects.iter().filter(|d| d.explains);
    let Some(likeliest) = in_play.next() else { return Vec::new() };
    std::iter::once(likeliest.defect)
        .chain(in_play.filter(|d| d.probability >= IN_PLAY).map(|d| d.defect))
        .collect()
}

/// Whether something that was seen may have come from a defect.
fn explains(model: &Model<'_>, observations: &[Observation], defect: DefectKey) -> bool {
    let node = Var::Node(model.defect(defect));
    observations.iter().filter(|o| o.is_present()).any(|o| match model.var(*o) {
        var if var == node => true,
        Var::Node(seen) => model.network.parents(seen).iter().any(|(parent, _)| *parent == node),
        Var::Cause(_) => false,
    })
}
