//! Why a posterior is what it is: weight of each finding, conflict between findings, most probable joint states.

use super::evidence::{Evidence, Weights};
use super::limits::{InferenceError, Limits};
use super::network::{CauseId, Network, Var};
use super::prepare::Prepared;

/// What each finding does to the odds of each cause, given all other findings.
#[derive(Debug, Clone)]
pub struct WeightsOfEvidence {
    findings: Vec<Var>,
    prior: Vec<f64>,
    posterior: Vec<f64>,
    /// By finding, then by cause.
    weight: Vec<Vec<f64>>,
}

impl WeightsOfEvidence {
    /// The findings in the order of the evidence.
    pub fn findings(&self) -> &[Var] {
        &self.findings
    }

    /// ln of the prior odds of a cause.
    pub fn prior_ln_odds(&self, cause: CauseId) -> f64 {
        self.prior[cause.index()]
    }

    /// ln of the odds of a cause given all findings.
    pub fn posterior_ln_odds(&self, cause: CauseId) -> f64 {
        self.posterior[cause.index()]
    }

    /// ln [ odds(cause | all) / odds(cause | all but the finding) ]: above 0 speaks for the cause, below 0 against.
    /// Infinite where the finding settles the cause; 0 where the cause is settled without it. Findings overlap, so
    /// these do not add up to the whole shift from the prior.
    pub fn weight(&self, finding: usize, cause: CauseId) -> f64 {
        self.weight[finding][cause.index()]
    }

    /// The findings with their weights for one cause, in the order of the evidence.
    pub fn of(&self, cause: CauseId) -> impl Iterator<Item = (Var, f64)> + '_ {
        self.findings.iter().zip(&self.weight).map(move |(&f, w)| (f, w[cause.index()]))
    }
}

/// Leave-one-out weights of evidence: for each finding one query without it.
pub fn weights_of_evidence(
    network: &Network,
    evidence: &Evidence,
) -> Result<WeightsOfEvidence, InferenceError> {
    let limits = Limits::default().exact();
    let ln_odds = |evidence: &Evidence| -> Result<Vec<f64>, InferenceError> {
        let posterior = network.prepare_within(evidence, &limits)?.posterior_active();
        Ok(network.cause_ids().map(|c| posterior.ln_odds(c)).collect())
    };
    let prior = ln_odds(&Evidence::new())?;
    let posterior = ln_odds(evidence)?;
    let findings: Vec<Var> = evidence.iter().map(|(var, _)| var).collect();
    let mut weight = Vec::with_capacity(findings.len());
    for &finding in &findings {
        let without = ln_odds(&evidence.without(finding))?;
        // Two equal infinities: settled either way.
        weight.push(posterior.iter().zip(&without).map(|(a, b)| if a == b { 0.0 } else { a - b }).collect());
    }
    Ok(WeightsOfEvidence { findings, prior, posterior, weight })
}

/// ln [ product of P(finding) / P(all findings) ]: above 0 means that the findings go together less often than if
/// they had nothing to do with each other, a hint at an error or at a cause that the network does not know.
pub fn conflict(network: &Network, evidence: &Evidence) -> Result<f64, InferenceError> {
    let limits = Limits::default().exact();
    let all = network.prepare_within(evidence, &limits)?.ln_evidence();
    let mut alone = 0.0;
    for item in evidence.iter() {
        alone += network.prepare_within(&Evidence::from_iter([item]), &limits)?.ln_evidence();
    }
    Ok(alone - all)
}

/// A joint state of the causes asked about.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// The causes that hold, by index; all others that were asked about do not.
    pub present: Vec<CauseId>,
    /// Probability of exactly this state given the evidence.
    pub probability: f64,
}

/// The `n` most probable joint states of the causes in `short_list` given the evidence, most probable first, all else
/// summed out. Without a list: of all causes that have no finding of their own. Exact, so the work grows with the
/// length of the list; about a dozen causes is a good length.
pub fn explanations(
    network: &Network,
    evidence: &Evidence,
    short_list: Option<&[CauseId]>,
    n: usize,
) -> Result<Vec<Explanation>, InferenceError> {
    let prepared = network.prepare_within(evidence, &Limits::default().exact())?;
    prepared.explanations(short_list, n)
}

/// Joint states with their probabilities, best first, at most `most` of them.
struct Best {
    states: Vec<(f64, Vec<CauseId>)>,
    most: usize,
}

impl Best {
    fn new(most: usize) -> Self {
        Self { states: Vec::new(), most }
    }

    /// Whether a state of this probability could still come in.
    fn may_enter(&self, probability: f64) -> bool {
        probability > 0.0
            && (self.states.len() < self.most
                || self.states.last().is_some_and(|(least, _)| probability >= *least))
    }

    fn enter(&mut self, probability: f64, mut present: Vec<CauseId>) {
        if self.may_enter(probability) {
            present.sort_unstable();
            let before =
                |(p, c): &(f64, Vec<CauseId>)| *p > probability || (*p == probability && *c < present);
            let at = self.states.partition_point(before);
            self.states.insert(at, (probability, present));
            self.states.truncate(self.most);
        }
    }

    /// Best joint states of two independent parts.
    fn and(self, other: &Self) -> Self {
        let mut both = Self::new(self.most);
        for (p, causes) in &self.states {
            for (q, more) in &other.states {
                if !both.may_enter(p * q) {
                    break;
                }
                both.enter(p * q, causes.iter().chain(more).copied().collect());
            }
        }
        both
    }
}

/// A root with its branches: the cause that holds (if one of those asked about does) and the states that it covers.
struct Choice {
    root: usize,
    named: Vec<CauseId>,
}

impl Prepared<'_> {
    /// See [`explanations`].
    pub fn explanations(
        &self,
        short_list: Option<&[CauseId]>,
        n: usize,
    ) -> Result<Vec<Explanation>, InferenceError> {
        self.insist_exact()?;
        if n == 0 {
            return Ok(Vec::new());
        }
        let network = self.network;
        let mut causes: Vec<CauseId> = match short_list {
            Some(list) => list.to_vec(),
            None => network.cause_ids().filter(|&c| self.evidence.get(c).is_none()).collect(),
        };
        if let Some(&unknown) = causes.iter().find(|&&c| !network.contains(c.into())) {
            return Err(InferenceError::Unknown(unknown.into()));
        }
        causes.sort_unstable();
        causes.dedup();
        let mut choices: Vec<Choice> = Vec::new();
        for cause in causes {
            let root = network.root_of(cause);
            match choices.last_mut().filter(|choice| choice.root == root) {
                Some(choice) => choice.named.push(cause),
                None => choices.push(Choice { root, named: vec![cause] }),
            }
        }
        let best = match self.runs.as_slice() {
            [_] => self.by_component(choices, n),
            _ => self.by_ratio(&choices, n),
        };
        let states = best.states.into_iter();
        Ok(states.map(|(probability, present)| Explanation { present, probability }).collect())
    }

    /// Components are independent given the evidence: the best states of each, then the best combinations.
    fn by_component(&self, choices: Vec<Choice>, n: usize) -> Best {
        let solved = &self.runs[0].1;
        let mut best = Best::new(n);
        best.enter(1.0, Vec::new());
        let mut inside: Vec<Vec<Choice>> = solved.sweeps.iter().map(|_| Vec::new()).collect();
        for choice in choices {
            match solved.root_at(choice.root) {
                Some((component, _, _)) => inside[component].push(choice),
                None => best = best.and(&self.by_ratio(&[choice], n)),
            }
        }
        for (sweep, mut choices) in solved.sweeps.iter().zip(inside) {
            if choices.is_empty() {
                continue;
            }
            choices.sort_by_key(|choice| solved.root_at(choice.root));
            let slots = |cause: CauseId| solved.cause_at(cause.index()).map(|(_, _, slot)| slot);
            let branches: Vec<(usize, Vec<Vec<usize>>)> = choices
                .iter()
                .filter_map(|choice| {
                    let (_, step, first) = solved.root_at(choice.root)?;
                    // The last branch: in order, or a state that was not asked about.
                    let others = self
                        .network
                        .states(choice.root)
                        .map(CauseId::at)
                        .filter(|c| !choice.named.contains(c));
                    let rest = others.filter_map(slots).chain([first]).collect();
                    let named = choice.named.iter().map(|&c| slots(c).into_iter().collect());
                    Some((step, named.chain([rest]).collect()))
                })
                .collect();
            let mut found = Best::new(n);
            let walked = sweep.walk(&branches, &mut |chosen, mass| {
                if chosen.len() == choices.len() {
                    let present =
                        chosen.iter().zip(&choices).filter_map(|(&k, choice)| choice.named.get(k).copied());
                    found.enter(mass, present.collect());
                }
                found.may_enter(mass)
            });
            best = best.and(&if walked { found } else { self.by_ratio(&choices, n) });
        }
        best
    }

    /// The same with one forward pass for each partial state: works for any way of summing.
    fn by_ratio(&self, choices: &[Choice], n: usize) -> Best {
        let mut best = Best::new(n);
        let mut chosen = Vec::new();
        self.branch(choices, &Weights::ones(self.network), &mut chosen, &mut best);
        best
    }

    fn branch(&self, choices: &[Choice], weights: &Weights, chosen: &mut Vec<CauseId>, best: &mut Best) {
        let Some((choice, rest)) = choices.split_first() else {
            return;
        };
        let mut options: Vec<(f64, Option<CauseId>, Weights)> = Vec::new();
        for option in choice.named.iter().copied().map(Some).chain([None]) {
            let mut weights = weights.clone();
            for state in self.network.states(choice.root).map(CauseId::at) {
                if option.map_or(choice.named.contains(&state), |cause| cause != state) {
                    weights.set(state, 0.0);
                }
            }
            if option.is_some() {
                weights.set_in_order(choice.named[0], 0.0);
            }
            options.push((self.ratio(&weights), option, weights));
        }
        options.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        for (mass, option, weights) in options {
            chosen.extend(option);
            if rest.is_empty() {
                best.enter(mass, chosen.clone());
            } else if best.may_enter(mass) {
                self.branch(rest, &weights, chosen, best);
            }
            if option.is_some() {
                chosen.pop();
            }
        }
    }
}
