//! Which question to ask: what each would tell about the causes, and what it would save in work.
//!
//! Both are read off joint states drawn from the model. An answer weighs every state with the chance that it would be given
//! there; so the share of the states that speak for it is its chance, and what is true in the weighted states is what would
//! be known after it. A question is worth the minutes that it saves in the plan of changes, and, because a caster looks
//! into the causes in front and not only at the first change, some minutes for each point by which it becomes likelier that
//! a cause that made the fault is among the three in front; less the work of answering. (The fall of the entropy over all
//! causes in its place asked as much and found the cause in 84 of 100 made-up casts, this in 91.)

use super::blame::{blame, renumber};
use super::outcome::{Outcome, outcomes};
use super::outlooks::Outlooks;
use super::standing::Standing;
use super::state::Interview;
use crate::advice::{Unrecorded, missing};
use crate::rules::{CauseKey, QuestionKey, Reveals, RuleBase};
use crate::sheet::Field;
use std::ops::Range;

/// Minutes that it is worth to have a cause that made the fault among the three in front: a re-cast and a half spent on
/// others (graded by hand, tried on made-up casters).
const MINUTES_IN_FRONT: f64 = 220.0;
/// So many causes are looked into.
const IN_FRONT: usize = 3;
/// Minutes that it is worth to have such a cause first of all (graded by hand, tried on made-up casters).
const MINUTES_FIRST: f64 = 60.0;
/// How often a figure that is asked for is on record at all (graded by hand).
const ON_RECORD: f64 = 0.8;
/// Minutes to read and answer any question, its own effort apart (graded by hand).
const ASKING: f64 = 0.5;
/// By how much each question that was asked already makes the next one dearer: patience runs out (graded by hand).
const IMPATIENCE: f64 = 0.2;
/// What is left to do when no change of the plan helped: a day of trials (graded by hand).
const WHEN_ALL_FAILS: f64 = 480.0;
/// Changes in a plan before that.
const PLAN: usize = 4;
/// What is not recorded is asked for although it does not pay where it would move a cause in front so far (graded by hand).
const FAR: f64 = 0.25;
/// A change of plan counts from this chance on.
const WORTH_A_WORD: f64 = 0.05;
/// Questions whose saving in work is computed: those that tell most.
const WEIGHED: usize = 24;

/// What a question is worth now.
#[derive(Debug, Clone, PartialEq)]
pub struct Worth {
    /// The question.
    pub question: QuestionKey,
    /// By how much likelier it becomes that a cause that made the fault is among the three in front.
    pub in_front: f64,
    /// By how much likelier it becomes that the first of them made it.
    pub first: f64,
    /// Expected minutes saved in the plan of changes.
    pub saves: f64,
    /// What it is worth, less the effort, in minutes.
    pub net: f64,
    /// Chance that the first change of the plan becomes another.
    pub turns_plan: f64,
    /// Why it is asked.
    pub because: Because,
}

/// Why a question is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Because {
    /// It is worth its minutes.
    Pays,
    /// It names the metal. That comes before all that is weighed: base rates, links and the windows of the figures hang on
    /// it, and questions wait for it, none of which its own minutes count.
    Metal,
    /// No question pays any more, but what it fills in would move this cause so far.
    Moves(CauseKey, f64),
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
        let ask = |worth: &Worth| Next::Ask(Chosen { worth: worth.clone(), first: standing.asked == 0 });
        let knows_nothing = !standing.findings().iter().any(|o| o.is_present());
        if best.because == Because::Metal || best.net > 0.0 || (knows_nothing && standing.asked == 0) {
            return ask(best);
        }
        if let Some((question, because)) = self.unrecorded()
            && let Some(worth) = worths.iter().find(|w| w.question == question)
        {
            return ask(&Worth { because, ..worth.clone() });
        }
        Next::Stop(Stop::NonePays {
            best: best.clone(),
            changes_nothing: worths.iter().take(2).all(|w| w.turns_plan < WORTH_A_WORD),
        })
    }

    /// What is not on the sheet and would move a cause in front far. The result names it as what would tell most; so it is
    /// asked for before.
    fn unrecorded(&self) -> Option<(QuestionKey, Because)> {
        let standing = self.standing();
        let missing = missing(standing.model(), standing.sheet(), standing.causes());
        let far = missing.iter().filter(|m| m.cause_change >= FAR);
        far.filter_map(|m| {
            let fills = |q: &QuestionKey| self.fills(*q) == Some(m.what);
            let question = standing.open().iter().copied().find(fills)?;
            Some((question, Because::Moves(m.cause, m.cause_change)))
        })
        .next()
    }

    /// What of the sheet a question fills in.
    pub fn fills(&self, question: QuestionKey) -> Option<Unrecorded> {
        match self.rules().question(question).reveals {
            Reveals::Quantity(quantity) => {
                Field::find(self.rules().quantity(quantity).id).map(Unrecorded::Figure)
            }
            Reveals::Fact(fact) => Some(Unrecorded::Fact(fact)),
            Reveals::Alloy => Some(Unrecorded::Alloy),
            Reveals::Signs { .. } => None,
        }
    }
}

/// Weighs questions. What comes out best in one half of the worlds is measured in the other half: measured where it was
/// chosen it looks better than it is, and the more so the fewer worlds an answer leaves.
struct Scale<'s, 'a> {
    standing: &'s Standing<'a>,
    /// For each world, the causes with their share in what went wrong there. The causes are numbered anew, those without
    /// any share in any world left out.
    blame: Vec<Vec<(usize, f64)>>,
    /// How many causes these are.
    blamed: usize,
    /// The causes in front now, the likeliest first.
    front: Vec<usize>,
    /// The first change now.
    first: Option<usize>,
}

impl<'s, 'a> Scale<'s, 'a> {
    fn new(standing: &'s Standing<'a>) -> Self {
        let mut blame = blame(standing);
        let blamed = renumber(&mut blame);
        let mut scale = Self { standing, blame, blamed, front: Vec::new(), first: None };
        let even = vec![1.0; standing.worlds.len()];
        let all = 0..even.len();
        scale.front = scale.front(&even, &all);
        scale.first = scale.plan(&even, &all, None, 1).first().copied();
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
                let outcomes = outcomes(self.standing, *question);
                let known = self.known(*question);
                let (in_front, first) = self.tells(&outcomes);
                let because = match self.rules().question(*question).reveals {
                    Reveals::Alloy => Because::Metal,
                    _ => Because::Pays,
                };
                let net = known * (MINUTES_IN_FRONT * in_front + MINUTES_FIRST * first) - dearer * effort;
                let worth = Worth {
                    question: *question,
                    in_front: known * in_front,
                    first: known * first,
                    saves: 0.0,
                    net,
                    turns_plan: 0.0,
                    because,
                };
                (worth, outcomes)
            })
            .collect();
        let due = |w: &Worth| w.because == Because::Metal;
        let best_first = |a: &Worth, b: &Worth| {
            due(b).cmp(&due(a)).then(b.net.total_cmp(&a.net)).then(a.question.cmp(&b.question))
        };
        all.sort_by(|a, b| best_first(&a.0, &b.0));
        for (worth, outcomes) in all.iter_mut().take(WEIGHED) {
            (worth.saves, worth.turns_plan) = self.saving(outcomes);
            worth.saves *= self.known(worth.question);
            worth.net += worth.saves;
        }
        let mut worths: Vec<Worth> = all.into_iter().map(|(worth, _)| worth).collect();
        worths.sort_by(best_first);
        worths
    }

    /// How often the question can be answered at all.
    fn known(&self, question: QuestionKey) -> f64 {
        match self.rules().question(question).reveals {
            Reveals::Quantity(_) => ON_RECORD,
            _ => 1.0,
        }
    }

    /// By how much likelier it becomes, in the mean over the answers, that a cause that made the fault is among the three
    /// in front, and that it is the first of them.
    fn tells(&self, outcomes: &[Outcome]) -> (f64, f64) {
        let (mut in_front, mut first) = (0.0, 0.0);
        for outcome in outcomes.iter().filter(|o| o.is_reliable()) {
            let share = outcome.chance() / outcome.weight.iter().sum::<f64>();
            for (chosen, measured) in halves(self.standing.worlds.len()) {
                let front = self.front(&outcome.weight, &chosen);
                if front == self.front {
                    continue;
                }
                let after = self.found(&front, &outcome.weight, &measured);
                let before = self.found(&self.front, &outcome.weight, &measured);
                in_front += share * (after.0 - before.0);
                first += share * (after.1 - before.1);
            }
        }
        (in_front.max(0.0), first.max(0.0))
    }

    /// The causes in front in some weighted worlds, the likeliest first.
    fn front(&self, weight: &[f64], worlds: &Range<usize>) -> Vec<usize> {
        let shares = self.shares(weight, worlds);
        let likelier = |a: &usize, b: &usize| shares[*b].total_cmp(&shares[*a]).then(a.cmp(b));
        let mut front: Vec<usize> = (0..self.blamed).collect();
        if front.len() > IN_FRONT {
            front.select_nth_unstable_by(IN_FRONT - 1, likelier);
            front.truncate(IN_FRONT);
        }
        front.sort_unstable_by(likelier);
        front
    }

    /// Weight of the worlds in which one of some causes had a hand in what went wrong, and in which the first of them had.
    fn found(&self, causes: &[usize], weight: &[f64], worlds: &Range<usize>) -> (f64, f64) {
        let (mut any, mut first) = (0.0, 0.0);
        for (blamed, w) in self.blame[worlds.clone()].iter().zip(&weight[worlds.clone()]) {
            let mut missed = 1.0;
            for (cause, share) in blamed.iter().filter(|(c, _)| causes.contains(c)) {
                missed *= 1.0 - share;
                if Some(cause) == causes.first() {
                    first += w * share;
                }
            }
            any += w * (1.0 - missed);
        }
        (any, first)
    }

    /// Expected minutes saved in the plan, and the chance that its first change becomes another.
    fn saving(&self, outcomes: &[Outcome]) -> (f64, f64) {
        let (mut saved, mut turns) = (0.0, 0.0);
        let all = 0..self.standing.worlds.len();
        for outcome in outcomes.iter().filter(|o| o.is_reliable()) {
            let weight = &outcome.weight;
            let share = outcome.chance() / weight.iter().sum::<f64>();
            for (chosen, measured) in halves(self.standing.worlds.len()) {
                let after = self.plan(weight, &chosen, None, PLAN);
                if after.first().copied() == self.first {
                    continue;
                }
                // Staying with the first change as it is costs what it costs in these worlds; only the difference is saved.
                let keeping = self.plan(weight, &chosen, self.first, PLAN);
                let less =
                    self.minutes(&keeping, weight, &measured) - self.minutes(&after, weight, &measured);
                saved += share * less;
            }
            if self.plan(weight, &all, None, 1).first().copied() != self.first {
                turns += outcome.chance();
            }
        }
        (saved.max(0.0), turns)
    }

    /// A plan made greedily by success for each minute in some weighted worlds, after the change it must begin with, if
    /// any.
    fn plan(&self, weight: &[f64], worlds: &Range<usize>, begin: Option<usize>, steps: usize) -> Vec<usize> {
        let remedies = &self.standing.remedies;
        let mut left = weight[worlds.clone()].to_vec();
        let mut plan: Vec<usize> = Vec::with_capacity(steps);
        while plan.len() < steps.min(remedies.len()) {
            let rate = |r: &Outlooks| dot(&left, &r.success[worlds.clone()]) / r.minutes;
            let best = || {
                let free = (0..remedies.len()).filter(|i| !plan.contains(i)).map(|i| (i, rate(&remedies[i])));
                free.max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0))).map(|b| b.0)
            };
            let Some(next) = begin.filter(|_| plan.is_empty()).or_else(best) else { break };
            fails(&mut left, &remedies[next].success[worlds.clone()]);
            plan.push(next);
        }
        plan
    }

    /// Minutes that a plan takes, times the weight of the worlds.
    fn minutes(&self, plan: &[usize], weight: &[f64], worlds: &Range<usize>) -> f64 {
        let mut left = weight[worlds.clone()].to_vec();
        let mut minutes = 0.0;
        for remedy in plan.iter().map(|at| &self.standing.remedies[*at]) {
            minutes += left.iter().sum::<f64>() * remedy.minutes;
            fails(&mut left, &remedy.success[worlds.clone()]);
        }
        minutes + left.iter().sum::<f64>() * WHEN_ALL_FAILS
    }

    /// Share of each cause in what went wrong, over some weighted worlds.
    fn shares(&self, weight: &[f64], worlds: &Range<usize>) -> Vec<f64> {
        let mut sums = vec![0.0; self.blamed];
        for (blamed, w) in self.blame[worlds.clone()].iter().zip(&weight[worlds.clone()]) {
            for (cause, share) in blamed {
                sums[*cause] += w * share;
            }
        }
        sums
    }
}

/// Each half of the worlds, and the other half.
fn halves(worlds: usize) -> [(Range<usize>, Range<usize>); 2] {
    let (one, other) = (0..worlds / 2, worlds / 2..worlds);
    [(one.clone(), other.clone()), (other, one)]
}

/// What is left of each world's weight where a change fails.
fn fails(left: &mut [f64], success: &[f64]) {
    left.iter_mut().zip(success).for_each(|(l, s)| *l *= 1.0 - s);
}

/// The sum of products, in four sums side by side: one alone would wait for each addition.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let (fours_a, rest_a) = a.as_chunks::<4>();
    let (fours_b, rest_b) = b.as_chunks::<4>();
    let mut sums = [0.0; 4];
    for (a, b) in fours_a.iter().zip(fours_b) {
        for at in 0..4 {
            sums[at] += a[at] * b[at];
        }
    }
    let rest: f64 = rest_a.iter().zip(rest_b).map(|(a, b)| a * b).sum();
    sums.iter().sum::<f64>() + rest
}
