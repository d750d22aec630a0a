//! The network of one job: rules and process sheet as roots, nodes and strengths.

use super::findings::{Observation, Sureness};
use super::prior::{Prior, Quantities};
use crate::inference::{BuildError, CauseId, Evidence, Network, NetworkBuilder, NodeId, Probability, Var};
use crate::rules::{CauseKey, Context, DefectKey, Finding, Link, RuleBase, SignKey};
use crate::sheet::Sheet;
use std::collections::BTreeMap;

/// Chance that a defect's name falls though neither it nor a look-alike is there (graded by hand).
const NAMED_FOR_NOTHING: f64 = 0.01;

/// The network of one job, with the way from rules to its variables and back.
#[derive(Debug)]
pub struct Model<'a> {
    /// The rules.
    pub rules: &'a RuleBase,
    /// What is known in words.
    pub context: Context,
    /// What is known in numbers.
    pub quantities: Quantities,
    /// The network.
    pub network: Network,
    priors: Vec<Prior>,
    causes: Vec<CauseId>,
    defects: Vec<NodeId>,
    named: Vec<NodeId>,
    signs: Vec<NodeId>,
}

impl<'a> Model<'a> {
    /// Builds the network for a sheet.
    ///
    /// # Errors
    /// Only if the rule base holds a probability outside 0..1, which the loader refuses.
    pub fn new(rules: &'a RuleBase, sheet: &Sheet) -> Result<Self, BuildError> {
        let context = sheet.context(rules);
        let quantities = Quantities::of(rules, sheet);
        let priors: Vec<Prior> =
            rules.causes.iter().map(|c| Prior::of(rules, c, &context, &quantities)).collect();
        let mut builder = NetworkBuilder::default();
        let causes = roots(rules, &priors, &mut builder)?;
        let shown = Strengths { rules, context: &context };
        let mut defects = Vec::with_capacity(rules.defects.len());
        for key in rules.defect_keys() {
            let mut parents = Vec::new();
            for cause in rules.cause_keys() {
                let links = rules.cause(cause).produces.iter().filter(|l| l.to == key);
                shown.collect(links, Var::Cause(causes[cause.index()]), &mut parents)?;
            }
            defects.push(builder.node(Probability::new(rules.defect(key).leak.value)?, &parents)?);
        }
        let mut signs = Vec::with_capacity(rules.signs.len());
        for key in rules.sign_keys() {
            let mut parents = Vec::new();
            for cause in rules.cause_keys() {
                let links = rules.cause(cause).shows.iter().filter(|l| l.to == key);
                shown.collect(links, Var::Cause(causes[cause.index()]), &mut parents)?;
            }
            for defect in rules.defect_keys() {
                let links = rules.defect(defect).shows.iter().filter(|l| l.to == key);
                shown.collect(links, Var::Node(defects[defect.index()]), &mut parents)?;
            }
            signs.push(builder.node(Probability::new(rules.sign(key).leak.value)?, &parents)?);
        }
        let mut named = Vec::with_capacity(rules.defects.len());
        for key in rules.defect_keys() {
            let defect = rules.defect(key);
            let mut parents = vec![(Var::Node(defects[key.index()]), Probability::new(defect.named.value)?)];
            for alike in defect.look_alikes.iter().filter(|a| a.defect != key) {
                let called = Probability::new(alike.called_so.value)?;
                parents.push((Var::Node(defects[alike.defect.index()]), called));
            }
            named.push(builder.node(Probability::new(NAMED_FOR_NOTHING)?, &parents)?);
        }
        Ok(Self {
            rules,
            context,
            quantities,
            network: builder.build(),
            priors,
            causes,
            defects,
            named,
            signs,
        })
    }

    /// The variable of a cause.
    pub fn cause(&self, key: CauseKey) -> CauseId {
        self.causes[key.index()]
    }

    /// The hidden node of a defect.
    pub fn defect(&self, key: DefectKey) -> NodeId {
        self.defects[key.index()]
    }

    /// The node of a sign.
    pub fn sign(&self, key: SignKey) -> NodeId {
        self.signs[key.index()]
    }

    /// The odds of a cause before anything was seen, taken apart.
    pub fn prior(&self, key: CauseKey) -> &Prior {
        &self.priors[key.index()]
    }

    /// Chance of each cause, in the network's order, on another sheet and with nothing seen.
    pub fn priors_with(&self, sheet: &Sheet) -> Vec<f64> {
        let context = sheet.context(self.rules);
        let quantities = Quantities::of(self.rules, sheet);
        let priors: Vec<Prior> =
            self.rules.causes.iter().map(|c| Prior::of(self.rules, c, &context, &quantities)).collect();
        let mut by_cause = vec![0.0; self.network.causes()];
        for group in groups(self.rules) {
            for (at, chance) in group.iter().zip(chances(&group, &priors)) {
                by_cause[self.causes[*at].index()] = chance;
            }
        }
        by_cause
    }

    /// The variable that an observation is about: a defect called by eye is a sign of its own.
    pub fn var(&self, observation: Observation) -> Var {
        match (observation.finding, observation.how) {
            (Finding::Sign(k), _) => Var::Node(self.sign(k)),
            (Finding::Defect(k), Sureness::Certain) => Var::Node(self.defect(k)),
            (Finding::Defect(k), _) => Var::Node(self.named[k.index()]),
        }
    }

    /// Observations as evidence.
    pub fn evidence(&self, observations: &[Observation]) -> Evidence {
        let mut evidence = Evidence::new();
        for observation in observations {
            evidence.set(self.var(*observation), observation.how.likelihood());
        }
        evidence
    }

    /// Strength of the link from a cause to a defect for this job.
    pub fn strength(&self, cause: CauseKey, defect: DefectKey) -> f64 {
        let links = self.rules.cause(cause).produces.iter().filter(|l| l.to == defect);
        let shown = Strengths { rules: self.rules, context: &self.context };
        1.0 - links.map(|l| 1.0 - shown.of(l)).product::<f64>()
    }
}

/// Places of the causes of each root: ordinary causes alone, causes of one setting together.
fn groups(rules: &RuleBase) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let mut by_setting: BTreeMap<&str, usize> = BTreeMap::new();
    for (at, cause) in rules.causes.iter().enumerate() {
        match &cause.setting {
            Some(setting) => match by_setting.get(setting.as_str()) {
                Some(group) => groups[*group].push(at),
                None => {
                    by_setting.insert(setting, groups.len());
                    groups.push(vec![at]);
                }
            },
            None => groups.push(vec![at]),
        }
    }
    groups
}

/// Chance of each deviating state of one root: its odds over 1 and all the odds.
fn chances(group: &[usize], priors: &[Prior]) -> Vec<f64> {
    let odds: Vec<f64> = group.iter().map(|c| priors[*c].odds()).collect();
    let whole = 1.0 + odds.iter().sum::<f64>();
    odds.iter().map(|o| (o / whole).clamp(0.0, 1.0)).collect()
}

/// Ordinary causes as roots of two states; causes of one setting as the deviating states of one root.
fn roots(
    rules: &RuleBase,
    priors: &[Prior],
    builder: &mut NetworkBuilder,
) -> Result<Vec<CauseId>, BuildError> {
    let mut ids: Vec<Option<CauseId>> = vec![None; rules.causes.len()];
    for group in groups(rules) {
        let states: Vec<Probability> =
            chances(&group, priors).into_iter().map(Probability::new).collect::<Result<_, _>>()?;
        for (at, id) in group.into_iter().zip(builder.root(&states)?) {
            ids[at] = Some(id);
        }
    }
    Ok(ids.into_iter().flatten().collect())
}

/// Strengths of links in a context.
struct Strengths<'a> {
    rules: &'a RuleBase,
    context: &'a Context,
}

impl Strengths<'_> {
    fn of<T>(&self, link: &Link<T>) -> f64 {
        link.strength.value * self.context.holds(self.rules, &link.condition)
    }

    /// Adds the parent with its strength; several conditional links between two records act as one.
    fn collect<'l, T: 'l>(
        &self,
        links: impl Iterator<Item = &'l Link<T>>,
        parent: Var,
        parents: &mut Vec<(Var, Probability)>,
    ) -> Result<(), BuildError> {
        let missed: f64 = links.map(|l| 1.0 - self.of(l)).product();
        if missed < 1.0 {
            parents.push((parent, Probability::new((1.0 - missed).clamp(0.0, 1.0))?));
        }
        Ok(())
    }
}
