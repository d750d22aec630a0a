//! The network of one job: rules and process sheet as roots, nodes and strengths.

use super::findings::{Observation, Sureness};
use super::focus;
use super::prior::{Prior, Quantities};
use crate::inference::{BuildError, CauseId, Evidence, Network, NetworkBuilder, NodeId, Probability, Var};
use crate::rules::{Cause, CauseKey, Context, DefectKey, Finding, Link, RuleBase, SignKey};
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
    strengths: Strengths,
    sheet: Sheet,
    /// Odds of each cause by itself, and the causes that share a root.
    odds: Vec<f64>,
    groups: Vec<Vec<usize>>,
}

impl<'a> Model<'a> {
    /// Builds the whole network for a sheet, for looking forward and for what depends on no finding.
    ///
    /// # Errors
    /// Only if the rule base holds a probability outside 0..1, which the loader refuses.
    pub fn new(rules: &'a RuleBase, sheet: &Sheet) -> Result<Self, BuildError> {
        Parts::of(rules, sheet).build(&[])
    }

    /// Builds the network for a sheet and what was seen: findings are explained by the defects that can matter to
    /// them (see the module `focus`), so that sums stay small. What was not observed hangs on all its defects still.
    /// Causes, defects and signs are the same variables as in the whole network.
    ///
    /// # Errors
    /// As for [`Model::new`].
    pub fn focused(
        rules: &'a RuleBase,
        sheet: &Sheet,
        observations: &[Observation],
    ) -> Result<Self, BuildError> {
        Parts::of(rules, sheet).build(observations)
    }

    /// The network of the same job and findings in which this cause brings no defect; what it shows by itself stays.
    pub(super) fn without_defects_of(
        &self,
        cause: CauseKey,
        observations: &[Observation],
    ) -> Result<Self, BuildError> {
        let mut parts = Parts::of(self.rules, &self.sheet);
        let kept = focus::kept(&parts, observations);
        parts.causes_to_defects.forget(cause);
        parts.build_of(observations, kept.as_deref())
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

    /// The variable that an observation is about: a defect called by eye is a sign of its own.
    pub fn var(&self, observation: Observation) -> Var {
        match (observation.finding, observation.how) {
            (Finding::Sign(k), _) => Var::Node(self.sign(k)),
            (Finding::Defect(k), Sureness::Certain) => Var::Node(self.defect(k)),
            (Finding::Defect(k), _) => Var::Node(self.named[k.index()]),
        }
    }

    /// Odds of each cause by itself, in the order of the rules, on another sheet and with nothing seen.
    pub fn odds_with(&self, sheet: &Sheet) -> Vec<f64> {
        let (rules, context) = (self.rules, sheet.context(self.rules));
        let same =
            sheet.alloy == self.sheet.alloy && sheet.facts == self.sheet.facts && context == self.context;
        if same {
            let moved = self.quantities.again(rules, sheet, self.sheet.differing(sheet));
            let again = |c: &Cause| Prior::moved(rules, c, &context, &self.quantities, &moved).odds();
            let all = rules.causes.iter().zip(&self.odds);
            all.map(|(c, odds)| if moved.touches(c) { again(c) } else { *odds }).collect()
        } else {
            let quantities = Quantities::of(rules, sheet);
            rules.causes.iter().map(|c| Prior::of(rules, c, &context, &quantities).odds()).collect()
        }
    }

    /// The odds of each cause on the sheet of this job.
    pub(super) fn odds(&self) -> &[f64] {
        &self.odds
    }

    /// By how much likelier something is among all bad casts than among jobs in order, that is as many times likelier
    /// with each cause by itself.
    pub(super) fn likelier(&self, times: &[f64]) -> f64 {
        let chances = root_chances(&self.groups, &self.odds);
        let one =
            |group: &Vec<usize>| 1.0 + group.iter().map(|c| chances[*c] * (times[*c] - 1.0)).sum::<f64>();
        self.groups.iter().map(one).product()
    }

    /// Chance of each cause, in the network's order, on another sheet and with nothing seen.
    pub fn priors_with(&self, sheet: &Sheet) -> Vec<f64> {
        let odds = self.odds_with(sheet);
        let mut by_cause = vec![0.0; self.network.causes()];
        for (id, chance) in self.causes.iter().zip(root_chances(&self.groups, &odds)) {
            by_cause[id.index()] = chance;
        }
        by_cause
    }

    /// Observations as evidence.
    pub fn evidence(&self, observations: &[Observation]) -> Evidence {
        let mut evidence = Evidence::new();
        for observation in observations {
            evidence.set(self.var(*observation), observation.how.likelihood());
        }
        evidence
    }

    /// The causes of a defect in this job, in their order, with the strength of the link.
    pub fn causes_of(&self, defect: DefectKey) -> &[(CauseKey, f64)] {
        self.strengths.to(defect)
    }

    /// The strengths of the links from causes to defects in this job.
    pub(super) fn strengths(&self) -> &Strengths {
        &self.strengths
    }

    /// Strength of the link from a cause to a defect for this job.
    pub fn strength(&self, cause: CauseKey, defect: DefectKey) -> f64 {
        self.strengths.of(cause, defect)
    }

    /// How strongly causes bring defects in a job with another sheet: links may hold for some alloys, moulds or
    /// sections only.
    pub(super) fn strengths_with(&self, sheet: &Sheet) -> Strengths {
        Strengths::new(self.rules, &sheet.context(self.rules))
    }
}

/// What brings defects in one job: the strength of every link from a cause, and the chance without any cause.
#[derive(Debug)]
pub(super) struct Strengths {
    into: Into<CauseKey>,
    leaks: Vec<f64>,
}

impl Strengths {
    fn new(rules: &RuleBase, context: &Context) -> Self {
        let mut into = vec![Vec::new(); rules.defects.len()];
        for key in rules.cause_keys() {
            Weigh { rules, context }.links(key, &rules.cause(key).produces, DefectKey::index, &mut into);
        }
        // What cannot be in this job comes neither by chance nor by a cause.
        let mut leaks = Vec::with_capacity(rules.defects.len());
        for (defect, links) in rules.defects.iter().zip(&mut into) {
            let can_be = context.holds(rules, &defect.condition);
            links.iter_mut().for_each(|(_, strength)| *strength *= can_be);
            leaks.push(defect.leak.value * can_be);
        }
        Self { into, leaks }
    }

    /// Chance of a defect when each cause is there with its chance, independent of the others.
    fn chance(&self, defect: DefectKey, chances: &[f64]) -> f64 {
        let quiet: f64 = self.to(defect).iter().map(|(c, s)| 1.0 - s * chances[c.index()]).product();
        1.0 - (1.0 - self.leak(defect)) * quiet
    }

    fn forget(&mut self, cause: CauseKey) {
        self.into.iter_mut().for_each(|links| links.retain(|(c, _)| *c != cause));
    }

    pub(super) fn leak(&self, defect: DefectKey) -> f64 {
        self.leaks[defect.index()]
    }

    pub(super) fn of(&self, cause: CauseKey, defect: DefectKey) -> f64 {
        self.to(defect).iter().find(|(c, _)| *c == cause).map_or(0.0, |(_, s)| *s)
    }

    pub(super) fn to(&self, defect: DefectKey) -> &[(CauseKey, f64)] {
        &self.into[defect.index()]
    }
}

/// Strengths of one kind of link in this job: for each target the sources that reach it.
type Into<K> = Vec<Vec<(K, f64)>>;

/// Everything a network is built from, with every condition weighed.
struct Parts<'a> {
    rules: &'a RuleBase,
    context: Context,
    quantities: Quantities,
    priors: Vec<Prior>,
    sheet: Sheet,
    odds: Vec<f64>,
    groups: Vec<Vec<usize>>,
    /// Chance of each cause before anything was seen.
    chances: Vec<f64>,
    causes_to_defects: Strengths,
    /// Chance of each defect before anything was seen, whatever link is cut later.
    defect_chances: Vec<f64>,
    causes_to_signs: Into<CauseKey>,
    defects_to_signs: Into<DefectKey>,
    defects_to_names: Into<DefectKey>,
}

impl<'a> Parts<'a> {
    fn of(rules: &'a RuleBase, sheet: &Sheet) -> Self {
        let context = sheet.context(rules);
        let quantities = Quantities::of(rules, sheet);
        let priors: Vec<Prior> =
            rules.causes.iter().map(|c| Prior::of(rules, c, &context, &quantities)).collect();
        let odds: Vec<f64> = priors.iter().map(Prior::odds).collect();
        let groups = root_groups(rules);
        let chances = root_chances(&groups, &odds);
        let weigh = Weigh { rules, context: &context };
        let causes_to_defects = Strengths::new(rules, &context);
        let defect_chances = rules.defect_keys().map(|d| causes_to_defects.chance(d, &chances)).collect();
        let mut causes_to_signs = vec![Vec::new(); rules.signs.len()];
        let mut defects_to_signs = vec![Vec::new(); rules.signs.len()];
        let mut defects_to_names = vec![Vec::new(); rules.defects.len()];
        for key in rules.cause_keys() {
            weigh.links(key, &rules.cause(key).shows, SignKey::index, &mut causes_to_signs);
        }
        for key in rules.defect_keys() {
            let defect = rules.defect(key);
            weigh.links(key, &defect.shows, SignKey::index, &mut defects_to_signs);
            defects_to_names[key.index()].push((key, defect.named.value));
            for alike in defect.look_alikes.iter().filter(|a| a.defect != key) {
                defects_to_names[key.index()].push((alike.defect, alike.called_so.value));
            }
        }
        Self {
            rules,
            context,
            quantities,
            priors,
            sheet: sheet.clone(),
            odds,
            groups,
            chances,
            causes_to_defects,
            defect_chances,
            causes_to_signs,
            defects_to_signs,
            defects_to_names,
        }
    }

    /// The network; what was observed is explained only by the defects that matter to it.
    fn build(self, observations: &[Observation]) -> Result<Model<'a>, BuildError> {
        let kept = focus::kept(&self, observations);
        self.build_of(observations, kept.as_deref())
    }

    /// The same with the choice of defects made already.
    fn build_of(self, observations: &[Observation], kept: Option<&[bool]>) -> Result<Model<'a>, BuildError> {
        let rules = self.rules;
        let mut builder = NetworkBuilder::default();
        let causes = roots(&self.groups, &self.chances, &mut builder)?;
        let from_causes = |links: &[(CauseKey, f64)]| -> Result<Vec<(Var, Probability)>, BuildError> {
            links.iter().map(|(c, s)| Ok((Var::Cause(causes[c.index()]), Probability::new(*s)?))).collect()
        };
        let mut defects = Vec::with_capacity(rules.defects.len());
        for key in rules.defect_keys() {
            let parents = from_causes(self.causes_to_defects.to(key))?;
            defects.push(builder.node(Probability::new(self.causes_to_defects.leak(key))?, &parents)?);
        }
        let mut node = |finding: Finding,
                        leak: f64,
                        direct: &[(CauseKey, f64)],
                        by: &[(DefectKey, f64)]|
         -> Result<NodeId, BuildError> {
            let mut parents = from_causes(direct)?;
            let mut quiet = 1.0 - leak;
            let observed = observations.iter().any(|o| o.finding == finding);
            let kept = kept.filter(|_| observed);
            for (d, s) in by {
                if kept.is_none_or(|k| k[d.index()]) {
                    parents.push((Var::Node(defects[d.index()]), Probability::new(*s)?));
                } else {
                    quiet *= 1.0 - s * self.defect_chance(*d);
                }
            }
            builder.node(Probability::new((1.0 - quiet).clamp(0.0, 1.0))?, &parents)
        };
        let mut signs = Vec::with_capacity(rules.signs.len());
        for key in rules.sign_keys() {
            let at = key.index();
            signs.push(node(
                Finding::Sign(key),
                rules.sign(key).leak.value,
                &self.causes_to_signs[at],
                &self.defects_to_signs[at],
            )?);
        }
        let mut named = Vec::with_capacity(rules.defects.len());
        for key in rules.defect_keys() {
            named.push(node(
                Finding::Defect(key),
                NAMED_FOR_NOTHING,
                &[],
                &self.defects_to_names[key.index()],
            )?);
        }
        Ok(Model {
            rules,
            context: self.context,
            quantities: self.quantities,
            network: builder.build(),
            priors: self.priors,
            causes,
            defects,
            named,
            signs,
            strengths: self.causes_to_defects,
            sheet: self.sheet,
            odds: self.odds,
            groups: self.groups,
        })
    }

    /// Chance of a defect before anything was seen, causes taken as independent.
    fn defect_chance(&self, defect: DefectKey) -> f64 {
        self.defect_chances[defect.index()]
    }

    fn links_to(&self, observation: Observation) -> &[(DefectKey, f64)] {
        match observation.finding {
            Finding::Sign(k) => &self.defects_to_signs[k.index()],
            Finding::Defect(k) => &self.defects_to_names[k.index()],
        }
    }
}

impl focus::Chances for Parts<'_> {
    fn defects(&self) -> usize {
        self.rules.defects.len()
    }

    fn id(&self, defect: usize) -> &str {
        self.rules.defects.get(defect).map_or("", |d| d.id.as_str())
    }

    fn defect(&self, defect: usize) -> f64 {
        self.defect_chance(DefectKey::from_index(defect))
    }

    fn by_chance(&self, observation: Observation) -> f64 {
        let (leak, direct) = match observation.finding {
            Finding::Sign(k) => (self.rules.sign(k).leak.value, self.causes_to_signs[k.index()].as_slice()),
            Finding::Defect(_) => (NAMED_FOR_NOTHING, [].as_slice()),
        };
        let by_causes: f64 = direct.iter().map(|(c, s)| 1.0 - s * self.chances[c.index()]).product();
        1.0 - (1.0 - leak) * by_causes
    }

    fn shown(&self, defect: usize, observation: Observation) -> f64 {
        let links = self.links_to(observation);
        links.iter().find(|(d, _)| d.index() == defect).map_or(0.0, |(_, s)| *s)
    }
}

/// The causes of each root: alone, or all those of one setting.
fn root_groups(rules: &RuleBase) -> Vec<Vec<usize>> {
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

/// Chance of each cause: its odds over one and the odds of all states of its root.
fn root_chances(groups: &[Vec<usize>], odds: &[f64]) -> Vec<f64> {
    let mut chances = vec![0.0; odds.len()];
    for group in groups {
        let whole = 1.0 + group.iter().map(|c| odds[*c]).sum::<f64>();
        for at in group {
            chances[*at] = (odds[*at] / whole).clamp(0.0, 1.0);
        }
    }
    chances
}

/// Ordinary causes as roots of two states; causes of one setting as the deviating states of one root.
fn roots(
    groups: &[Vec<usize>],
    chances: &[f64],
    builder: &mut NetworkBuilder,
) -> Result<Vec<CauseId>, BuildError> {
    let mut ids: Vec<Option<CauseId>> = vec![None; chances.len()];
    for group in groups {
        let states: Vec<Probability> =
            group.iter().map(|c| Probability::new(chances[*c])).collect::<Result<_, _>>()?;
        for (at, id) in group.iter().zip(builder.root(&states)?) {
            ids[*at] = Some(id);
        }
    }
    Ok(ids.into_iter().flatten().collect())
}

/// Weighs links in a context.
struct Weigh<'a> {
    rules: &'a RuleBase,
    context: &'a Context,
}

impl Weigh<'_> {
    /// Adds the links out of `from`; several conditional links between two records act as one.
    fn links<K: Copy + PartialEq, T: Copy>(
        &self,
        from: K,
        links: &[Link<T>],
        index: impl Fn(T) -> usize,
        into: &mut Into<K>,
    ) {
        for link in links {
            let strength = link.strength.value * self.context.holds(self.rules, &link.condition);
            if strength <= 0.0 {
                continue;
            }
            let found = &mut into[index(link.to)];
            match found.iter_mut().find(|(k, _)| *k == from) {
                Some((_, s)) => *s = 1.0 - (1.0 - *s) * (1.0 - strength),
                None => found.push((from, strength)),
            }
        }
    }
}
