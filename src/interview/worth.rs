//! Which question to ask: what each would tell about the causes, and what it would save in work.
//!
//! Both are read off joint states drawn from the model. An answer weighs every state with the chance that it would be given
//! there; so the share of the states that speak for it is its chance, and what is true in the weighted states is what would
//! be known after it. A question is worth the minutes that it saves in the plan of changes, and, because a caster looks
//! into the causes in front and not only at the first change, some minutes for each point by which it becomes likelier that
//! a cause that made the fault is among the three in front; less the work of answering. (The fall of the entropy over all
//! causes in its place asked as much and found the cause in 84 of 100 made-up casts, this in 91.)

use super::standing::Standing;
use super::state::Interview;
use crate::advice::{Effect as Change, Model, Outlook, Prior, RECAST_MINUTES, SMALLEST_GAIN, Sureness, harm};
use crate::inference::{CauseId, World};
use crate::rules::{
    Cause, CauseKey, Context, DefectKey, FactKey, FamilyKey, Finding, QuantityKey, QuestionKey, RemedyKey,
    Reveals, RuleBase,
};
use crate::sheet::{Field, Job, derived};

/// Minutes that it is worth to have a cause that made the fault among the three in front: a re-cast and a half spent on
/// others (graded by hand, tried on made-up casters).
const MINUTES_IN_FRONT: f64 = 220.0;
/// So many causes are looked into.
const IN_FRONT: usize = 3;
/// How often a figure that is asked for is on record at all (graded by hand).
const ON_RECORD: f64 = 0.8;
/// Minutes to read and answer any question, its own effort apart (graded by hand).
const ASKING: f64 = 0.5;
/// By how much each question that was asked already makes the next one dearer: patience runs out (graded by hand).
const IMPATIENCE: f64 = 0.2;
/// What is left to do when no change of the plan helped: a day of trials (graded by hand).
const WHEN_ALL_FAILS: f64 = 480.0;
/// Remedies that plans are made of.
const REMEDIES: usize = 20;
/// Changes in a plan before that.
const PLAN: usize = 4;
/// An answer that fewer joint states than this speak for says nothing that could be relied on.
const FEWEST_WORLDS: f64 = 12.0;
/// A change of plan counts from this chance on.
const WORTH_A_WORD: f64 = 0.05;
/// Questions whose saving in work is computed: those that tell most.
const WEIGHED: usize = 24;

/// A remedy with its success in each world.
#[derive(Debug)]
pub(super) struct Outlooks {
    pub(super) remedy: RemedyKey,
    minutes: f64,
    success: Vec<f64>,
}

impl Outlooks {
    /// The best remedies against some defects, those that fit the job.
    pub(super) fn best(
        model: &Model<'_>,
        outlook: &Outlook<'_>,
        trouble: &[DefectKey],
        worlds: &[World],
    ) -> Vec<Self> {
        let rules = model.rules;
        let harm = harm(model, trouble);
        let after = |effect: &Change| -> Vec<f64> {
            let (weights, leaks) = outlook.next_cast(effect, &harm);
            World::weights(worlds, &weights).into_iter().map(|w| w * leaks).collect()
        };
        let unchanged = after(&Change::none());
        let mut all: Vec<Self> = Vec::new();
        let mut idle: Vec<Self> = Vec::new();
        for remedy in rules.remedy_keys() {
            if model.context.holds(rules, &rules.remedy(remedy).condition) <= 0.0 {
                continue;
            }
            let effect = outlook.graded(remedy);
            let minutes = rules.remedy(remedy).effort.get() / 60.0 + RECAST_MINUTES;
            // What misses every likely cause leaves the next cast to chance, and costs no sum.
            if outlook.most_change(&harm, &Change::none(), &effect).0 < SMALLEST_GAIN {
                idle.push(Self { remedy, minutes, success: Vec::new() });
            } else {
                all.push(Self { remedy, minutes, success: after(&effect) });
            }
        }
        idle.sort_by(|a, b| a.minutes.total_cmp(&b.minutes));
        idle.truncate(REMEDIES);
        all.extend(idle.into_iter().map(|one| Self { success: unchanged.clone(), ..one }));
        let mut rated: Vec<(f64, Self)> = all.into_iter().map(|one| (one.rate(), one)).collect();
        rated.sort_by(|a, b| b.0.total_cmp(&a.0));
        rated.into_iter().take(REMEDIES).map(|(_, one)| one).collect()
    }

    /// Success for each minute.
    fn rate(&self) -> f64 {
        mean(&self.success) / self.minutes
    }
}

/// What a question is worth now.
#[derive(Debug, Clone, PartialEq)]
pub struct Worth {
    /// The question.
    pub question: QuestionKey,
    /// By how much likelier it becomes that a cause that made the fault is among the three in front.
    pub in_front: f64,
    /// Expected minutes saved in the plan of changes.
    pub saves: f64,
    /// Minutes to answer it.
    pub effort: f64,
    /// What it is worth, less the effort, in minutes.
    pub net: f64,
    /// Chance that the first change of the plan becomes another.
    pub turns_plan: f64,
}

/// The question to ask.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    /// Which, and what it is worth.
    pub worth: Worth,
    /// True for the first question of all.
    pub first: bool,
}

/// Why no question is asked.
#[derive(Debug, Clone, PartialEq)]
pub enum Stop {
    /// The best of those left is not worth its effort.
    NonePays {
        /// The best one left.
        best: Worth,
        /// Whatever the two best ones would bring, the first change stays the same.
        changes_nothing: bool,
    },
    /// None is left that makes sense.
    NoneLeft,
}

/// What to do next.
#[derive(Debug, Clone, PartialEq)]
pub enum Next {
    /// Ask.
    Ask(Chosen),
    /// Show the result.
    Stop(Stop),
}

/// What one answer would do.
#[derive(Debug, Clone, PartialEq)]
pub struct Effect {
    /// The answer in words.
    pub words: String,
    /// How likely it is.
    pub chance: f64,
    /// Causes whose chance it moves most: before and after.
    pub moves: Vec<(CauseKey, f64, f64)>,
}

impl Interview<'_> {
    /// The open questions with what they are worth, the best first.
    pub fn worths(&self) -> Vec<Worth> {
        Scale::new(self.standing()).worths()
    }

    /// What to do next.
    pub fn next(&self) -> Next {
        let standing = self.standing();
        let worths = self.worths();
        let Some(best) = worths.first() else { return Next::Stop(Stop::NoneLeft) };
        let knows_nothing = !standing.findings().iter().any(|o| o.is_present());
        if best.net > 0.0 || (knows_nothing && standing.asked == 0) {
            return Next::Ask(Chosen { worth: best.clone(), first: standing.asked == 0 });
        }
        Next::Stop(Stop::NonePays {
            best: best.clone(),
            changes_nothing: worths.iter().take(2).all(|w| w.turns_plan < WORTH_A_WORD),
        })
    }

    /// What each answer to a question would do, in the order of its answers.
    pub fn effects(&self, question: QuestionKey, most: usize) -> Vec<Effect> {
        Scale::new(self.standing()).effects(question, most)
    }
}

/// One possible answer.
struct Outcome {
    words: String,
    /// For each world, the chance that the answer is given.
    given: Vec<f64>,
    /// For each world, the weight with which it speaks for the world.
    weight: Vec<f64>,
}

/// Weighs questions.
struct Scale<'s, 'a> {
    standing: &'s Standing<'a>,
    /// For each world, the causes with their share in what went wrong there. The causes are numbered anew, those without
    /// any share in any world left out.
    blame: Vec<Vec<(usize, f64)>>,
    /// How many causes these are.
    blamed: usize,
    /// Chance that a cause that made the fault is among those in front now.
    found: f64,
    plan: (f64, Option<RemedyKey>),
}

impl<'s, 'a> Scale<'s, 'a> {
    fn new(standing: &'s Standing<'a>) -> Self {
        let mut blame = blame(standing);
        let blamed = renumber(&mut blame);
        let mut scale = Self { standing, blame, blamed, found: 0.0, plan: (0.0, None) };
        let even = vec![1.0; standing.worlds.len()];
        scale.found = scale.found(&even);
        scale.plan = scale.plan(&even);
        scale
    }

    fn rules(&self) -> &'a RuleBase {
        self.standing.model().rules
    }

    fn worths(&self) -> Vec<Worth> {
        let open = self.standing.open();
        let dearer =
            f64::from(u32::try_from(self.standing.asked).unwrap_or(u32::MAX)).mul_add(IMPATIENCE, 1.0);
        let mut all: Vec<(Worth, Vec<Outcome>)> = open
            .iter()
            .map(|question| {
                let effort = self.rules().question(*question).effort.get() / 60.0 + ASKING;
                let outcomes = self.outcomes(*question);
                let in_front = self.in_front(&outcomes) * self.known(*question);
                let net = MINUTES_IN_FRONT * in_front - dearer * effort;
                (Worth { question: *question, in_front, saves: 0.0, effort, net, turns_plan: 0.0 }, outcomes)
            })
            .collect();
        all.sort_by(|a, b| b.0.net.total_cmp(&a.0.net).then(a.0.question.cmp(&b.0.question)));
        for (worth, outcomes) in all.iter_mut().take(WEIGHED) {
            (worth.saves, worth.turns_plan) = self.saving(outcomes);
            worth.saves *= self.known(worth.question);
            worth.net += worth.saves;
        }
        let mut worths: Vec<Worth> = all.into_iter().map(|(worth, _)| worth).collect();
        worths.sort_by(|a, b| b.net.total_cmp(&a.net).then(a.question.cmp(&b.question)));
        worths
    }

    /// How often the question can be answered at all.
    fn known(&self, question: QuestionKey) -> f64 {
        match self.rules().question(question).reveals {
            Reveals::Quantity(_) => ON_RECORD,
            _ => 1.0,
        }
    }

    /// By how much likelier it becomes, in the mean over the answers, that a cause that made the fault is in front.
    fn in_front(&self, outcomes: &[Outcome]) -> f64 {
        let told = outcomes.iter().filter(|o| reliable(&o.weight));
        let gain: f64 = told.map(|o| mean(&o.given) * (self.found(&o.weight) - self.found)).sum();
        gain.max(0.0)
    }

    /// Chance, over weighted worlds, that one of the causes in front had a hand in what went wrong.
    fn found(&self, weight: &[f64]) -> f64 {
        let shares = self.shares(weight);
        let mut front: Vec<usize> = (0..self.blamed).collect();
        if front.len() > IN_FRONT {
            front.select_nth_unstable_by(IN_FRONT - 1, |a, b| shares[*b].total_cmp(&shares[*a]));
            front.truncate(IN_FRONT);
        }
        let (mut sum, mut total) = (0.0, 0.0);
        for (blamed, w) in self.blame.iter().zip(weight) {
            let missed: f64 =
                blamed.iter().filter(|(c, _)| front.contains(c)).map(|(_, share)| 1.0 - share).product();
            sum += w * (1.0 - missed);
            total += w;
        }
        if total > 0.0 { sum / total } else { 0.0 }
    }

    /// Expected minutes saved in the plan, and the chance that its first change becomes another.
    fn saving(&self, outcomes: &[Outcome]) -> (f64, f64) {
        let (mut saved, mut turns) = (0.0, 0.0);
        for outcome in outcomes.iter().filter(|o| reliable(&o.weight)) {
            let chance = mean(&outcome.given);
            let (after, first) = self.plan(&outcome.weight);
            // Staying with the plan as it is costs what it costs in these worlds; only the difference is saved.
            saved += chance * (self.keeping(&outcome.weight) - after);
            turns += if first == self.plan.1 { 0.0 } else { chance };
        }
        (saved.max(0.0), turns)
    }

    /// Minutes that the present plan costs in weighted worlds: its first change, then the best that is left.
    fn keeping(&self, weight: &[f64]) -> f64 {
        let first = self.plan.1;
        self.minutes(weight, first).0
    }

    /// Minutes of the best plan in weighted worlds, and its first change.
    fn plan(&self, weight: &[f64]) -> (f64, Option<RemedyKey>) {
        self.minutes(weight, None)
    }

    /// Minutes of a plan made greedily by success for each minute, after the change it must begin with, if any.
    fn minutes(&self, weight: &[f64], begin: Option<RemedyKey>) -> (f64, Option<RemedyKey>) {
        let remedies = &self.standing.remedies;
        let total: f64 = weight.iter().sum();
        let mut left: Vec<f64> = weight.iter().map(|w| w / total).collect();
        let (mut minutes, mut first) = (0.0, None);
        let mut used = vec![false; remedies.len()];
        for step in 0..PLAN.min(remedies.len()) {
            let rate = |r: &Outlooks| dot(&left, &r.success) / r.minutes;
            let forced =
                begin.filter(|_| step == 0).and_then(|b| remedies.iter().position(|r| r.remedy == b));
            let best = forced.or_else(|| {
                let free = (0..remedies.len()).filter(|i| !used[*i]);
                free.map(|i| (i, rate(&remedies[i])))
                    .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))
                    .map(|b| b.0)
            });
            let Some(best) = best else { break };
            used[best] = true;
            first = first.or(Some(remedies[best].remedy));
            minutes += left.iter().sum::<f64>() * remedies[best].minutes;
            left.iter_mut().zip(&remedies[best].success).for_each(|(l, s)| *l *= 1.0 - s);
        }
        (minutes + left.iter().sum::<f64>() * WHEN_ALL_FAILS, first)
    }

    /// Share of each cause in what went wrong, over weighted worlds.
    fn shares(&self, weight: &[f64]) -> Vec<f64> {
        let mut sums = vec![0.0; self.blamed];
        let mut total = 0.0;
        for (blamed, w) in self.blame.iter().zip(weight) {
            total += w;
            for (cause, share) in blamed {
                sums[*cause] += w * share;
            }
        }
        if total > 0.0 {
            sums.iter_mut().for_each(|s| *s /= total);
        }
        sums
    }

    fn effects(&self, question: QuestionKey, most: usize) -> Vec<Effect> {
        let model = self.standing.model();
        let even = vec![1.0; self.standing.worlds.len()];
        let chances = |weight: &[f64]| -> Vec<f64> {
            let total: f64 = weight.iter().sum();
            let holding = |c: CauseKey| {
                let id = model.cause(c);
                let worlds = self.standing.worlds.iter().zip(weight);
                worlds.filter(|(w, _)| w.holds(id)).map(|(_, weight)| weight).sum::<f64>() / total
            };
            self.rules().cause_keys().map(holding).collect()
        };
        let before = chances(&even);
        self.outcomes(question)
            .into_iter()
            .map(|outcome| {
                let mut moves = Vec::new();
                if reliable(&outcome.weight) {
                    let after = chances(&outcome.weight);
                    moves = self
                        .rules()
                        .cause_keys()
                        .zip(before.iter().copied().zip(after))
                        .map(|(k, (b, a))| (k, b, a))
                        .collect();
                    moves.sort_by(|a: &(_, f64, f64), b| {
                        (b.2 - b.1).abs().total_cmp(&(a.2 - a.1).abs()).then(a.0.cmp(&b.0))
                    });
                    moves.retain(|(_, b, a)| (a - b).abs() >= 0.03);
                    moves.truncate(most);
                }
                Effect { chance: mean(&outcome.given), words: outcome.words, moves }
            })
            .collect()
    }

    fn outcomes(&self, question: QuestionKey) -> Vec<Outcome> {
        match &self.rules().question(question).reveals {
            Reveals::Signs { answers, .. } => {
                let mut all: Vec<Outcome> = answers
                    .iter()
                    .filter(|a| !(a.present.is_empty() && a.absent.is_empty()))
                    .map(|a| {
                        let mut weight = vec![1.0; self.standing.worlds.len()];
                        for sign in &a.present {
                            weight.iter_mut().zip(self.standing.reported(*sign)).for_each(|(w, q)| *w *= q);
                        }
                        for sign in &a.absent {
                            weight
                                .iter_mut()
                                .zip(self.standing.reported(*sign))
                                .for_each(|(w, q)| *w *= 1.0 - q);
                        }
                        Outcome { words: a.say.clone(), given: Vec::new(), weight }
                    })
                    .collect();
                // Where nothing fits, the answer is "cannot tell", which says nothing.
                give(&mut all, |_, _| 1.0, true);
                all
            }
            Reveals::Fact(fact) => self.fact(*fact),
            Reveals::Alloy => self.fact(FactKey::FAMILY),
            Reveals::Quantity(quantity) => self.quantity(*quantity),
        }
    }

    /// What the values of a fact would say through the causes' odds. What they say through links that hold only for some
    /// values is left out: it would need a network for each value.
    fn fact(&self, fact: FactKey) -> Vec<Outcome> {
        let (rules, model) = (self.rules(), self.standing.model());
        let values = &rules.fact(fact).values;
        let mut all: Vec<Outcome> = (0..values.len())
            .map(|value| {
                let mut context: Context = model.context.clone();
                context.narrow(fact, vec![value]);
                let shifted = |c: &Cause| fact == FactKey::FAMILY || c.given.iter().any(|g| g.fact == fact);
                let odds: Vec<f64> = rules
                    .cause_keys()
                    .map(|key| match rules.cause(key) {
                        c if shifted(c) => Prior::of(rules, c, &context, &model.quantities).odds(),
                        _ => model.prior(key).odds(),
                    })
                    .collect();
                let words = if fact == FactKey::FAMILY {
                    rules.family(FamilyKey::new(value)).title.clone()
                } else {
                    values[value].title.clone()
                };
                Outcome { words, given: Vec::new(), weight: self.weigh(&odds) }
            })
            .collect();
        give(&mut all, |at, _| model.context.chance(rules, fact, &[at]), false);
        all
    }

    /// What a figure would say, at the knots of the rules that it would bring into play. Among several quantities that it
    /// makes known the one that tells most counts.
    fn quantity(&self, asked: QuantityKey) -> Vec<Outcome> {
        let known = self.made_known(asked);
        let all = known.into_iter().map(|q| self.knots(q)).filter(|o| !o.is_empty());
        let all: Vec<(f64, Vec<Outcome>)> = all.map(|o| (self.in_front(&o), o)).collect();
        all.into_iter().max_by(|a, b| a.0.total_cmp(&b.0)).map_or_else(Vec::new, |(_, o)| o)
    }

    /// The quantities that become known with a figure: itself, and what can then be computed.
    fn made_known(&self, asked: QuantityKey) -> Vec<QuantityKey> {
        let (rules, model) = (self.rules(), self.standing.model());
        let mut known = vec![asked];
        let Some(field) = Field::find(rules.quantity(asked).id) else { return known };
        // Any usual figure shows what can be computed with it.
        let (low, high) = field.limits().usual;
        let mut sheet = self.standing.sheet().clone();
        sheet.set(field, f64::midpoint(low, high));
        for quantity in rules.quantity_keys().filter(|q| model.quantities.get(*q).is_none()) {
            let derived = derived::TABLE.iter().find(|d| d.id == rules.quantity(quantity).id);
            if derived.and_then(|d| (d.compute)(Job::new(&sheet, rules))).is_some() {
                known.push(quantity);
            }
        }
        known
    }

    fn knots(&self, quantity: QuantityKey) -> Vec<Outcome> {
        let (rules, model) = (self.rules(), self.standing.model());
        let says: Vec<_> = rules
            .cause_keys()
            .flat_map(|c| rules.cause(c).sheet.iter().map(move |r| (c, r)))
            .filter(|(_, r)| r.quantity == quantity)
            .collect();
        let mut values: Vec<f64> = says.iter().flat_map(|(_, r)| r.knots.iter().map(|(v, _)| *v)).collect();
        values.sort_by(f64::total_cmp);
        values.dedup();
        let now: Vec<f64> = rules.cause_keys().map(|c| model.prior(c).odds()).collect();
        let mut usual = Vec::with_capacity(values.len());
        let show = |v: f64| {
            format!("{} {}", rules.quantity(quantity).title, rules.quantity(quantity).dimension.show(v))
        };
        let mut all: Vec<Outcome> = values
            .iter()
            .map(|value| {
                let mut odds = now.clone();
                let mut rare = 0.0;
                for (cause, rule) in &says {
                    let ln = rule.ln_factor(*value).max(-7.0);
                    odds[cause.index()] *= ln.exp();
                    rare += ln.max(0.0);
                }
                // What speaks strongly for a cause is rare without it.
                usual.push((-rare).exp().max(0.01));
                Outcome { words: show(*value), given: Vec::new(), weight: self.weigh(&odds) }
            })
            .collect();
        give(&mut all, |at, _| usual[at], false);
        all
    }

    /// For each world how much likelier it would be with other odds of the causes.
    fn weigh(&self, odds: &[f64]) -> Vec<f64> {
        let (rules, model) = (self.rules(), self.standing.model());
        let network = &model.network;
        let mut in_order = 0.0;
        let mut present = vec![0.0; network.causes()];
        let mut of_id = vec![0.0; network.causes()];
        for key in rules.cause_keys() {
            of_id[model.cause(key).index()] = odds[key.index()];
        }
        let by_id = |id: CauseId| of_id[id.index()];
        for id in network.cause_ids() {
            if network.siblings(id).next() != Some(id) {
                continue;
            }
            let after: f64 = 1.0 + network.siblings(id).map(by_id).sum::<f64>();
            let before: f64 = (1.0 - network.siblings(id).map(|s| network.prior(s)).sum::<f64>()).max(1e-12);
            let order = (1.0 / after / before).max(1e-12);
            in_order += order.ln();
            for s in network.siblings(id) {
                let ratio = (by_id(s) / after).max(1e-12) / network.prior(s).max(1e-12);
                present[s.index()] = ratio.ln() - order.ln();
            }
        }
        let worlds = self.standing.worlds.iter();
        worlds
            .map(|w| (in_order + w.causes().iter().map(|c| present[c.index()]).sum::<f64>()).exp())
            .collect()
    }
}

/// Fills in how likely each answer is in each world: by its weight and a share of its own. With `silent`, what the answers
/// leave of one is a world in which none is given.
fn give(all: &mut [Outcome], share: impl Fn(usize, usize) -> f64, silent: bool) {
    let worlds = all.first().map_or(0, |o| o.weight.len());
    for outcome in all.iter_mut() {
        outcome.given = vec![0.0; worlds];
    }
    for w in 0..worlds {
        let sum: f64 = all.iter().enumerate().map(|(a, o)| share(a, w) * o.weight[w]).sum();
        let whole = if silent { sum.max(1.0) } else { sum };
        if whole > 0.0 {
            for (a, outcome) in all.iter_mut().enumerate() {
                outcome.given[w] = share(a, w) * outcome.weight[w] / whole;
            }
        }
    }
}

/// For each world, the causes that may have brought what was seen: the share that each has in the defects that are there.
fn blame(standing: &Standing<'_>) -> Vec<Vec<(usize, f64)>> {
    let model = standing.model();
    let network = &model.network;
    let rules = model.rules;
    // Defects that what was seen or named speaks of; any defect while nothing was.
    let shows = |d: DefectKey| {
        standing.findings().iter().filter(|o| o.is_present()).any(|o| match o.finding {
            Finding::Sign(s) => rules.defect(d).shows.iter().any(|l| l.to == s),
            Finding::Defect(named) => {
                named == d
                    || (o.how != Sureness::Certain
                        && rules.defect(named).look_alikes.iter().any(|a| a.defect == d))
            }
        })
    };
    let any = standing.findings().iter().any(|o| o.is_present());
    let defects: Vec<DefectKey> = rules.defect_keys().filter(|d| !any || shows(*d)).collect();
    let parents: Vec<Vec<(usize, CauseId, f64)>> = defects
        .iter()
        .map(|d| {
            let causes = model.causes_of(*d).iter().map(|(c, s)| (c.index(), model.cause(*c), *s));
            causes.filter(|(_, _, s)| *s > 0.0).collect()
        })
        .collect();
    standing
        .worlds
        .iter()
        .map(|world| {
            let mut blamed: Vec<(usize, f64)> = Vec::new();
            for (defect, parents) in defects.iter().zip(&parents) {
                if !world.holds(model.defect(*defect)) {
                    continue;
                }
                let there = world.chance(network, model.defect(*defect)).max(1e-12);
                for (at, _, strength) in parents.iter().filter(|(_, id, _)| world.holds(*id)) {
                    let share = (strength / there).min(1.0);
                    match blamed.iter_mut().find(|(c, _)| c == at) {
                        Some((_, held)) => *held = 1.0 - (1.0 - *held) * (1.0 - share),
                        None => blamed.push((*at, share)),
                    }
                }
            }
            blamed
        })
        .collect()
}

/// Numbers the causes that occur from 0 on, in their order. How many they are.
fn renumber(blame: &mut [Vec<(usize, f64)>]) -> usize {
    let mut all: Vec<usize> = blame.iter().flatten().map(|(cause, _)| *cause).collect();
    all.sort_unstable();
    all.dedup();
    for (cause, _) in blame.iter_mut().flatten() {
        *cause = all.partition_point(|other| other < cause);
    }
    all.len()
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / f64::from(u32::try_from(values.len().max(1)).unwrap_or(u32::MAX))
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Whether enough worlds speak for an answer: the effective number of equally weighted ones.
fn reliable(weight: &[f64]) -> bool {
    let sum: f64 = weight.iter().sum();
    sum > 0.0 && sum * sum / weight.iter().map(|w| w * w).sum::<f64>() >= FEWEST_WORLDS
}
