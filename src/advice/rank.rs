//! Remedies, pairs and the plan for one diagnosis.

use super::diagnosis::{RankedCause, RankedRemedy};
use super::effect::{Effect, Harm};
use super::model::Model;
use super::plan::{Action, Costs, Planner, Sequence, UNSOLVED_MINUTES};
use super::remedy::{BeforeAfter, Outlook, RECAST_MINUTES, SMALLEST_GAIN, harm, sound};
use super::step::{Chosen, choose};
use crate::inference::Prepared;
use crate::rules::{CauseKey, DefectKey, Link, Remedy, RemedyKey};
use crate::sheet::Sheet;

/// A defect's chance must change by this much before a remedy is said to ease or to spoil it.
const SMALLEST_CHANGE: f64 = 0.01;
/// A pair is worth a word when it gains this much over the better of the two.
const PAIR_GAIN: f64 = 0.05;
/// A first cause as likely as this is taken to be found.
const FOUND: f64 = 0.5;
/// Pairs kept.
const PAIRS: usize = 5;
/// Steps of a plan. Beyond four failures in a row the rules have shown that they do not know.
pub const PLAN_STEPS: usize = 4;
/// Remedies that a plan chooses among: the best by success per minute.
const PLAN_CHOICE: usize = 12;

/// Two changes for one cast.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// The two, the better one first.
    pub remedies: (RemedyKey, RemedyKey),
    /// Chance that the next cast is sound: with the better one alone, and with both.
    pub success: BeforeAfter,
}

/// Changes that ease the trouble.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Changes {
    /// Those that gain something, what they may bring counted, the best first; behind them those against a cause that is
    /// as good as found.
    pub(super) worth: Vec<RankedRemedy>,
    /// Those that bring in as much as they take away, or more; the one that eases the trouble most first.
    pub(super) trades: Vec<RankedRemedy>,
}

/// What the outcome of a step says of the cause it is against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Teaching {
    /// The cause.
    pub cause: CauseKey,
    /// Its chance when the step is reached.
    pub now: f64,
    /// Its chance once the step worked.
    pub if_works: f64,
    /// Its chance once the step failed.
    pub if_fails: f64,
}

/// One step of a plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlanStep {
    /// The change.
    pub remedy: RemedyKey,
    /// Chance that it is needed: all before it failed.
    pub needed: f64,
    /// Chance that it works when it is needed.
    pub works: f64,
    /// What its outcome says.
    pub teaches: Teaching,
}

/// Another way to go about it, for comparison.
#[derive(Debug, Clone, PartialEq)]
pub struct Policy {
    /// Its changes in order.
    pub order: Vec<RemedyKey>,
    /// Expected minutes, counted as for the plan.
    pub minutes: f64,
    /// Chance that it ends with a sound cast.
    pub solved: f64,
}

/// One change after the other until the trouble stays away.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The steps.
    pub steps: Vec<PlanStep>,
    /// Expected minutes: effort of each step that is reached, a re-cast for each that fails, and
    /// [`UNSOLVED_MINUTES`] should all fail.
    pub minutes: f64,
    /// The part of it that is work and re-casts.
    pub work: f64,
    /// Chance that one of the steps ends the trouble.
    pub solved: f64,
    /// Chance that one of as many casts comes out sound with nothing changed.
    pub unchanged: f64,
    /// The likeliest cause first.
    pub likeliest_first: Policy,
    /// The cheapest change first.
    pub cheapest_first: Policy,
    /// All changes of the plan at once, which teaches nothing.
    pub at_once: Policy,
}

pub(super) fn rank_remedies(
    model: &Model<'_>,
    sheet: &Sheet,
    outlook: &Outlook<'_>,
    causes: &[RankedCause],
    trouble: &[DefectKey],
) -> Changes {
    if trouble.is_empty() {
        return Changes::default();
    }
    let rules = model.rules;
    let (whole, alone) = (sound(model, trouble), harm(model, trouble));
    let single: Vec<Harm> = rules.defect_keys().map(|d| harm(model, &[d])).collect();
    let before = outlook.clean_after(&Effect::none(), &alone);
    let mut changes = Changes::default();
    for remedy in rules.remedy_keys() {
        let record = rules.remedy(remedy);
        if model.context.holds(rules, &record.condition) <= 0.0 {
            continue;
        }
        let Some(Chosen { step, effect }) = choose(model, outlook, sheet, remedy, &whole) else { continue };
        if outlook.most_change(&alone, &Effect::none(), &effect).0 < SMALLEST_GAIN {
            continue;
        }
        let after = outlook.clean_after(&effect, &alone);
        let Some(against) = against(record, causes).filter(|_| after - before >= SMALLEST_GAIN) else {
            continue;
        };
        let sound = outlook.clean_after(&effect, &whole);
        let gain = sound - before;
        let hours = (record.effort.get() / 60.0 + RECAST_MINUTES) / 60.0;
        let (eases, spoils) = changed(model, outlook, &single, &effect, trouble);
        // Who has found his cause wants to set it right, whatever else it takes: then it stands last and says so.
        let found = causes.first().is_some_and(|c| c.cause == against && c.had_a_hand >= FOUND);
        let list = if gain >= SMALLEST_GAIN || found { &mut changes.worth } else { &mut changes.trades };
        list.push(RankedRemedy {
            remedy,
            success: BeforeAfter { before, after },
            sound,
            gain_per_hour: gain / hours,
            step,
            eases,
            spoils,
            against,
            effect,
        });
    }
    changes.worth.sort_by(|a, b| b.gain_per_hour.total_cmp(&a.gain_per_hour).then(a.remedy.cmp(&b.remedy)));
    changes.trades.sort_by(|a, b| b.success.after.total_cmp(&a.success.after).then(a.remedy.cmp(&b.remedy)));
    changes
}

/// The cause that a remedy most probably takes away.
fn against(remedy: &Remedy, causes: &[RankedCause]) -> Option<CauseKey> {
    let share = |l: &Link<CauseKey>| {
        let held = causes.iter().find(|c| c.cause == l.to).map_or(0.0, |c| c.probability);
        held * l.strength.value
    };
    let held = remedy.cures.iter().filter(|l| share(l) > 0.0);
    held.max_by(|a, b| share(a).total_cmp(&share(b)).then(b.to.cmp(&a.to))).map(|l| l.to)
}

type Moves = Vec<(DefectKey, BeforeAfter)>;

/// The defects of the trouble that an effect eases, and all that it makes likelier; the largest change first. `single`
/// is what each defect takes to come.
fn changed(
    model: &Model<'_>,
    outlook: &Outlook<'_>,
    single: &[Harm],
    effect: &Effect,
    trouble: &[DefectKey],
) -> (Moves, Moves) {
    let mut all: Moves = model
        .rules
        .defect_keys()
        .zip(single)
        .filter(|(_, harm)| {
            let (rise, fall) = outlook.most_change(harm, &Effect::none(), effect);
            rise.max(fall) >= SMALLEST_CHANGE
        })
        .map(|(d, harm)| {
            let after = 1.0 - outlook.clean_after(effect, harm);
            (d, BeforeAfter { before: outlook.unchanged(d), after })
        })
        .filter(|(_, c)| (c.after - c.before).abs() >= SMALLEST_CHANGE)
        .collect();
    let size = |c: &BeforeAfter| (c.after - c.before).abs();
    all.sort_by(|a, b| size(&b.1).total_cmp(&size(&a.1)).then(a.0.cmp(&b.0)));
    let (worse, better): (Moves, Moves) = all.into_iter().partition(|(_, c)| c.after > c.before);
    (better.into_iter().filter(|(d, _)| trouble.contains(d)).collect(), worse)
}

/// Every pair of ranked remedies that move different figures; those that clearly do more than any one change.
pub(super) fn best_pairs(
    model: &Model<'_>,
    outlook: &Outlook<'_>,
    remedies: &[RankedRemedy],
    trouble: &[DefectKey],
) -> Vec<Pair> {
    let whole = sound(model, trouble);
    let best = remedies.iter().map(|r| r.sound).fold(0.0, f64::max);
    let field = |r: &RankedRemedy| r.step.map(|s| s.field);
    let mut pairs: Vec<Pair> = Vec::new();
    for (at, one) in remedies.iter().enumerate() {
        for other in &remedies[at + 1..] {
            if field(one).is_some() && field(one) == field(other) {
                continue;
            }
            let (better, worse) = if one.sound >= other.sound { (one, other) } else { (other, one) };
            let both = better.effect.then(&worse.effect);
            if better.sound + outlook.most_change(&whole, &better.effect, &both).0 < best + PAIR_GAIN {
                continue;
            }
            let after = outlook.clean_after(&both, &whole);
            if after - best >= PAIR_GAIN {
                pairs.push(Pair {
                    remedies: (better.remedy, worse.remedy),
                    success: BeforeAfter { before: better.sound, after },
                });
            }
        }
    }
    pairs.sort_by(|a, b| b.success.after.total_cmp(&a.success.after).then(a.remedies.cmp(&b.remedies)));
    pairs.truncate(PAIRS);
    pairs
}

/// The cheapest plan found among the best remedies, and the simple rules beside it.
pub(super) fn make_plan(
    model: &Model<'_>,
    prepared: &Prepared<'_>,
    remedies: &[RankedRemedy],
    causes: &[RankedCause],
    trouble: &[DefectKey],
) -> Option<Plan> {
    let rules = model.rules;
    let choice = &remedies[..remedies.len().min(PLAN_CHOICE)];
    let actions: Vec<Action> = choice
        .iter()
        .map(|r| Action { effort: rules.remedy(r.remedy).effort.get() / 60.0, effect: r.effect.clone() })
        .collect();
    let whole = sound(model, trouble);
    let costs = Costs { recast: RECAST_MINUTES, unsolved: UNSOLVED_MINUTES };
    let planner = Planner::new(&model.network, prepared, &whole, &actions, costs);
    let best = planner.best(PLAN_STEPS);
    if best.order.is_empty() {
        return None;
    }
    let steps = best
        .order
        .iter()
        .enumerate()
        .map(|(at, action)| {
            let ranked = &choice[*action];
            let (needed, after) = (best.failed[at], best.failed[at + 1]);
            let cause = ranked.against;
            let (now, if_works, if_fails) = planner.teaches(&best.order[..=at], model.cause(cause));
            PlanStep {
                remedy: ranked.remedy,
                needed,
                works: if needed > 0.0 { 1.0 - after / needed } else { 0.0 },
                teaches: Teaching { cause, now, if_works, if_fails },
            }
        })
        .collect();
    let policy = |s: Sequence| Policy {
        solved: s.solved(),
        minutes: s.minutes,
        order: s.order.iter().map(|a| choice[*a].remedy).collect(),
    };
    let idle = [Action { effort: 0.0, effect: Effect::none() }];
    let again = Planner::new(&model.network, prepared, &whole, &idle, costs);
    let likeliest = by_cause(model, choice, causes);
    let mut cheapest: Vec<usize> = (0..choice.len()).collect();
    cheapest.sort_by(|a, b| actions[*a].effort.total_cmp(&actions[*b].effort).then(a.cmp(b)));
    Some(Plan {
        steps,
        minutes: best.minutes,
        work: best.work(costs),
        solved: best.solved(),
        unchanged: again.weigh(&vec![0; best.order.len()]).solved(),
        likeliest_first: policy(planner.follow(&likeliest, PLAN_STEPS)),
        cheapest_first: policy(planner.follow(&cheapest, PLAN_STEPS)),
        at_once: policy(planner.at_once(&best.order)),
    })
}

/// For each cause, the likeliest first, the remedy that cures it most surely and is not there yet.
fn by_cause(model: &Model<'_>, choice: &[RankedRemedy], causes: &[RankedCause]) -> Vec<usize> {
    let mut order: Vec<usize> = Vec::new();
    for cause in causes {
        let cure = |r: &RankedRemedy| {
            let links = model.rules.remedy(r.remedy).cures.iter().filter(|l| l.to == cause.cause);
            links.map(|l| l.strength.value).fold(0.0, f64::max)
        };
        let open = (0..choice.len()).filter(|a| !order.contains(a) && cure(&choice[*a]) > 0.0);
        let best = open.max_by(|a, b| cure(&choice[*a]).total_cmp(&cure(&choice[*b])).then(b.cmp(a)));
        order.extend(best);
    }
    order
}
