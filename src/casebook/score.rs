//! How good the rules are, measured on cases whose cause is known.

use super::case::{Case, Scope};
use crate::advice::{Model, Observation, standings};
use crate::inference::{BuildError, InferenceError, Prepared, weights_of_evidence};
use crate::rules::{CauseKey, RuleBase};
use crate::sheet::Sheet;

/// A probability below this says no more than "never"; it keeps one case from ruling the mean.
const SMALLEST: f64 = 1e-6;

/// Why there is no answer to a case.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoAnswer {
    /// A rule holds what is no probability; the loader refuses such rules.
    #[error("{0}")]
    Unbuilt(#[from] BuildError),
    /// The findings cannot go together; the place in the list of the one that does not fit.
    #[error("its findings cannot go together")]
    Impossible(usize),
    /// The engine's own word.
    #[error("{0}")]
    Engine(InferenceError),
}

/// What the program says of one case.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// All causes, likeliest first, with their probability.
    pub ranked: Vec<(CauseKey, f64)>,
    /// Place of the likeliest cause that is right, from 1; `None` when the case names none.
    pub rank: Option<usize>,
    /// Probability that nothing known here made the findings.
    pub none_known: f64,
}

impl Answer {
    /// The first cause and its probability.
    pub fn first(&self) -> Option<(CauseKey, f64)> {
        self.ranked.first().copied()
    }

    /// The likeliest cause that is right and its probability.
    pub fn truth(&self) -> Option<(CauseKey, f64)> {
        self.ranked.get(self.rank?.checked_sub(1)?).copied()
    }

    /// -ln of the probability of the likeliest cause that is right.
    pub fn log_loss(&self) -> Option<f64> {
        self.truth().map(|(_, p)| -p.max(SMALLEST).ln())
    }
}

/// The sheet of a case as a diagnosis reads it: what the findings imply is taken over.
pub fn job(rules: &RuleBase, case: &Case) -> Sheet {
    let mut sheet = case.sheet.clone();
    let present = case.observations.iter().filter(|o| o.is_present());
    sheet.take_implied(rules, present.map(|o| o.finding));
    sheet
}

/// Asks the rules about one case.
///
/// # Errors
/// [`NoAnswer`] when the findings of the case cannot go together.
pub fn answer(rules: &RuleBase, case: &Case) -> Result<Answer, NoAnswer> {
    let model = Model::focused(rules, &job(rules, case), &case.observations)?;
    answer_of(&model, case)
}

/// The same, the model being there already.
pub(super) fn answer_of(model: &Model<'_>, case: &Case) -> Result<Answer, NoAnswer> {
    let evidence = model.evidence(&case.observations);
    let prepared: Prepared<'_> = model.network.prepare(&evidence).map_err(|e| refusal(model, case, e))?;
    let posterior = prepared.posterior_active();
    let ranked: Vec<(CauseKey, f64)> =
        standings(model, &evidence, &posterior).into_iter().map(|s| (s.cause, s.probability)).collect();
    let rank = ranked.iter().position(|(c, _)| case.names(*c)).map(|at| at + 1);
    let seen = case.observations.iter().any(Observation::is_present);
    Ok(Answer { ranked, rank, none_known: if seen { prepared.none_known() } else { 0.0 } })
}

fn refusal(model: &Model<'_>, case: &Case, error: InferenceError) -> NoAnswer {
    match error {
        InferenceError::Impossible { finding } => {
            let at = case.observations.iter().position(|o| model.var(*o) == finding);
            at.map_or(NoAnswer::Engine(error), NoAnswer::Impossible)
        }
        other => NoAnswer::Engine(other),
    }
}

/// One thing that speaks differently for two causes.
#[derive(Debug, Clone, PartialEq)]
pub struct Contrast {
    /// In words.
    pub words: String,
    /// ln of its factor on the odds of the rival.
    pub rival: f64,
    /// ln of its factor on the odds of the truth.
    pub truth: f64,
}

impl Contrast {
    /// How much more it speaks for the rival.
    pub fn lead(&self) -> f64 {
        self.rival - self.truth
    }
}

/// Contrasts smaller than this are noise to the reader: a tenth on the odds.
const NOISE: f64 = 0.095;

/// What spoke more for the rival than for the truth, the weightiest first: base rates, the sheet, and each finding
/// by what the odds become without it.
///
/// # Errors
/// [`NoAnswer`] when the findings of the case cannot go together.
pub fn outweighed(
    rules: &RuleBase,
    case: &Case,
    rival: CauseKey,
    truth: CauseKey,
) -> Result<Vec<Contrast>, NoAnswer> {
    let model = Model::focused(rules, &job(rules, case), &case.observations)?;
    let evidence = model.evidence(&case.observations);
    let weights = weights_of_evidence(&model.network, &evidence).map_err(|e| refusal(&model, case, e))?;
    let base = |c: CauseKey| {
        let p = model.prior(c).base.clamp(SMALLEST, 1.0 - SMALLEST);
        (p / (1.0 - p)).ln()
    };
    let mut found = vec![Contrast {
        words: "how often it happens at all".to_owned(),
        rival: base(rival),
        truth: base(truth),
    }];
    let mut add = |words: String, ln: f64, for_rival: bool| {
        let at = found.iter().position(|c| c.words == words).unwrap_or_else(|| {
            found.push(Contrast { words, rival: 0.0, truth: 0.0 });
            found.len() - 1
        });
        let side = if for_rival { &mut found[at].rival } else { &mut found[at].truth };
        *side += ln;
    };
    for (cause, for_rival) in [(rival, true), (truth, false)] {
        for shift in &model.prior(cause).shifts {
            add(shift.says.clone(), shift.ln, for_rival);
        }
        for (var, ln) in weights.of(model.cause(cause)) {
            if let Some(observation) = case.observations.iter().find(|o| model.var(**o) == var) {
                add(observation.words(rules), ln, for_rival);
            }
        }
    }
    found.retain(|c| c.lead() > NOISE);
    found.sort_by(|a, b| b.lead().total_cmp(&a.lead()));
    Ok(found)
}

/// A case with what the program says of it.
#[derive(Debug)]
pub struct Scored<'c> {
    /// The case.
    pub case: &'c Case,
    /// The answer, or why there is none.
    pub answer: Result<Answer, NoAnswer>,
}

/// Asks the rules about all cases.
pub fn score<'c>(rules: &RuleBase, cases: impl IntoIterator<Item = &'c Case>) -> Vec<Scored<'c>> {
    cases.into_iter().map(|case| Scored { case, answer: answer(rules, case) }).collect()
}

/// How a group of cases fared. Cases that name no cause are not counted; a refused case is a miss.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Tally {
    /// How many cases.
    pub cases: usize,
    /// How many have a right cause first.
    pub first: usize,
    /// How many have one among the first three.
    pub in_three: usize,
    /// Mean place of the first right cause; of those that got an answer.
    pub mean_rank: f64,
    /// Mean of -ln of its probability.
    pub log_loss: f64,
    /// Mean probability of whatever came first.
    pub mean_first: f64,
}

impl Tally {
    /// Counts a group.
    #[expect(clippy::cast_precision_loss, reason = "a few hundred cases")]
    pub fn of<'s, 'c: 's>(scored: impl IntoIterator<Item = &'s Scored<'c>>) -> Self {
        let mut tally = Self::default();
        let mut answered = 0_usize;
        for one in scored {
            if one.case.causes.is_empty() {
                continue;
            }
            tally.cases += 1;
            let Ok(answer) = &one.answer else {
                tally.log_loss -= SMALLEST.ln();
                continue;
            };
            let rank = answer.rank.unwrap_or(answer.ranked.len());
            answered += 1;
            tally.first += usize::from(rank == 1);
            tally.in_three += usize::from(rank <= 3);
            tally.mean_rank += rank as f64;
            tally.log_loss += answer.log_loss().unwrap_or(-SMALLEST.ln());
            tally.mean_first += answer.first().map_or(0.0, |(_, p)| p);
        }
        tally.mean_rank /= answered.max(1) as f64;
        tally.mean_first /= answered.max(1) as f64;
        tally.log_loss /= tally.cases.max(1) as f64;
        tally
    }

    /// Share of cases with a right cause first.
    pub fn first_share(&self) -> f64 {
        share(self.first, self.cases)
    }

    /// Share of cases with a right cause among the first three.
    pub fn in_three_share(&self) -> f64 {
        share(self.in_three, self.cases)
    }
}

#[expect(clippy::cast_precision_loss, reason = "a few hundred cases")]
fn share(part: usize, whole: usize) -> f64 {
    if whole == 0 { 0.0 } else { part as f64 / whole as f64 }
}

/// Upper ends of the bands in which the probability of the first cause is compared with how often it was right.
pub const BANDS: [f64; 5] = [0.2, 0.4, 0.6, 0.8, 1.0];

/// The tally of each band of [`BANDS`]; a band holds its upper end.
pub fn calibration(scored: &[&Scored<'_>]) -> Vec<(f64, f64, Tally)> {
    let first = |s: &Scored<'_>| s.answer.as_ref().ok().and_then(Answer::first).map(|(_, p)| p);
    let mut from = 0.0;
    BANDS
        .iter()
        .map(|&to| {
            let inside = |s: &&&Scored<'_>| {
                first(s).is_some_and(|p| p <= to && (p > from || (from == 0.0 && p >= 0.0)))
            };
            let band = (from, to, Tally::of(scored.iter().filter(inside).copied()));
            from = to;
            band
        })
        .collect()
}

/// From which probability on a wrong first cause counts as said with confidence.
pub const CONFIDENT: f64 = 0.5;

impl Scored<'_> {
    /// True when the program names a casting cause with confidence and that cause is not right: what it must not do
    /// with a look-alike.
    pub fn overreaches(&self) -> bool {
        self.answer
            .as_ref()
            .ok()
            .and_then(Answer::first)
            .is_some_and(|(c, p)| p >= CONFIDENT && !self.case.names(c))
    }

    /// True when it is a case the program is for.
    pub fn is_inside(&self) -> bool {
        self.case.scope == Scope::Inside
    }
}
