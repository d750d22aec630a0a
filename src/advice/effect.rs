//! What a change does to the causes, and what the causes then do: the arithmetic under remedies and plans.
//!
//! Causes persist from cast to cast, chance does not. A change takes each root from the state it is in now to a state
//! at the next cast with stated chances: a [`Kernel`] a root. The chance that a set of defects stays away is then a
//! product over the roots, and its mean over the states that fit the evidence one ratio of two sums, Z(w, E) / Z(1, E).

use crate::inference::{CauseId, Network, Weights};
use std::collections::BTreeMap;

/// Where each state of one root goes. Row and column 0 are "in order", then the root's causes in their order.
#[derive(Debug, Clone, PartialEq)]
struct Kernel {
    size: usize,
    cells: Vec<f64>,
}

impl Kernel {
    fn same(size: usize) -> Self {
        let cells = (0..size * size).map(|i| f64::from(u8::from(i / size == i % size))).collect();
        Self { size, cells }
    }

    /// Mean of `value` over where each state goes.
    fn mean(&self, value: &[f64]) -> Vec<f64> {
        self.cells.chunks(self.size).map(|row| row.iter().zip(value).map(|(k, v)| k * v).sum()).collect()
    }

    fn then(&self, next: &Self) -> Self {
        let n = self.size;
        let cell = |i: usize| (0..n).map(|k| self.cells[i / n * n + k] * next.cells[k * n + i % n]).sum();
        Self { size: n, cells: (0..n * n).map(cell).collect() }
    }
}

/// What one change, or several one after the other, do to the causes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Effect {
    /// By the first cause of the root.
    roots: BTreeMap<CauseId, Kernel>,
}

impl Effect {
    /// Changes nothing.
    pub fn none() -> Self {
        Self::default()
    }

    /// Whether the change does anything to the root that `cause` belongs to.
    pub fn touches(&self, network: &Network, cause: CauseId) -> bool {
        network.siblings(cause).next().is_some_and(|first| self.roots.contains_key(&first))
    }

    fn kernel(&mut self, network: &Network, cause: CauseId) -> (usize, &mut Kernel) {
        let siblings = network.siblings(cause);
        let size = siblings.len() + 1;
        let row = network.siblings(cause).position(|c| c == cause).unwrap_or(0) + 1;
        let first = network.siblings(cause).next().unwrap_or(cause);
        (row, self.roots.entry(first).or_insert_with(|| Kernel::same(size)))
    }

    /// A cause that holds is gone with this chance, and its root then in order. Said twice, either may do it.
    pub fn cure(&mut self, network: &Network, cause: CauseId, chance: f64) {
        let (row, kernel) = self.kernel(network, cause);
        let n = kernel.size;
        let moved = kernel.cells[row * n + row] * chance.clamp(0.0, 1.0);
        kernel.cells[row * n + row] -= moved;
        kernel.cells[row * n] += moved;
    }

    /// A root in order gets this cause with this chance. States brought in one after the other share what is left.
    pub fn bring(&mut self, network: &Network, cause: CauseId, chance: f64) {
        let (column, kernel) = self.kernel(network, cause);
        let moved = kernel.cells[0] * chance.clamp(0.0, 1.0);
        kernel.cells[0] -= moved;
        kernel.cells[column] += moved;
    }

    /// The root of `cause` goes from its chances on the old sheet to those on a new one, `chances` of its causes in
    /// their order, and as little as possible moves: a state that became no less likely keeps all it has; one that
    /// became less likely keeps the share new over old, and gives the rest to the states that gained, in proportion
    /// to their gains (the largest coupling of the two distributions). Applied to the old chances it gives the new
    /// ones exactly; applied to what holds given the findings it says what then holds at the next cast.
    pub fn shift(&mut self, network: &Network, cause: CauseId, chances: &[f64]) {
        let old: Vec<f64> = whole(network.siblings(cause).map(|c| network.prior(c)));
        let new: Vec<f64> = whole(chances.iter().copied());
        let (_, kernel) = self.kernel(network, cause);
        if new.len() != kernel.size {
            return;
        }
        let gain: Vec<f64> = new.iter().zip(&old).map(|(n, o)| (n - o).max(0.0)).collect();
        let gained: f64 = gain.iter().sum();
        let mut coupling = Kernel::same(kernel.size);
        for (row, (o, n)) in old.iter().zip(&new).enumerate().filter(|(_, (o, n))| n < o) {
            if gained <= 0.0 {
                continue;
            }
            let stays = n / o;
            for (column, gain) in gain.iter().enumerate() {
                coupling.cells[row * kernel.size + column] = (1.0 - stays) * gain / gained;
            }
            coupling.cells[row * kernel.size + row] = stays;
        }
        *kernel = kernel.then(&coupling);
    }

    /// This change and then another.
    pub fn then(&self, next: &Self) -> Self {
        let mut both = self.clone();
        for (first, kernel) in &next.roots {
            let joined = both.roots.get(first).map_or_else(|| kernel.clone(), |k| k.then(kernel));
            both.roots.insert(*first, joined);
        }
        both
    }

    /// Chances of the states of the root of `cause` after the change, from those before; in order first.
    pub fn push(&self, network: &Network, cause: CauseId, before: &[f64]) -> Vec<f64> {
        let kernel = network.siblings(cause).next().and_then(|first| self.roots.get(&first));
        kernel.map_or_else(
            || before.to_vec(),
            |k| {
                let to = |t: usize| before.iter().enumerate().map(|(s, p)| p * k.cells[s * k.size + t]).sum();
                (0..k.size).map(to).collect()
            },
        )
    }
}

/// The chance of "in order" put before those of the deviating states.
fn whole(states: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut all = vec![0.0];
    all.extend(states);
    all[0] = (1.0 - all.iter().sum::<f64>()).max(0.0);
    all
}

/// What each cause does to a set of defects at one cast, and what else must not come of a change.
#[derive(Debug, Clone, PartialEq)]
pub struct Harm {
    /// First cause of each root that can do harm, and what its states do.
    roots: Vec<(CauseId, States)>,
    /// Chance that none of the defects comes by chance.
    no_leak: f64,
}

/// The states of one root: in order, then its causes.
#[derive(Debug, Clone, PartialEq)]
struct States {
    /// Chance of no defect in each state.
    clean: Vec<f64>,
    /// Chance that the state, where a change has brought it in, brings no other defect either.
    quiet: Vec<f64>,
}

impl States {
    /// Chance that the state `now` does no harm in a root that was in the state `first` before anything was changed.
    fn sound(&self, first: usize, now: usize) -> f64 {
        if first == now { self.clean[now] } else { self.clean[now] * self.quiet[now] }
    }

    /// That for each state the root may have been in first.
    fn row(&self, first: usize) -> Vec<f64> {
        (0..self.clean.len()).map(|now| self.sound(first, now)).collect()
    }
}

impl Harm {
    /// `stays_away` is the chance that a cause that holds brings none of the defects; `no_leak` that chance brings
    /// none.
    pub fn new(network: &Network, stays_away: impl Fn(CauseId) -> f64, no_leak: f64) -> Self {
        Self::with_what_is_brought(network, stays_away, |_| 1.0, no_leak)
    }

    /// The same, and nothing new may come of a change: `quiet` is the chance that a cause that was not there before
    /// the change, and is after it, brings no other defect.
    pub fn with_what_is_brought(
        network: &Network,
        stays_away: impl Fn(CauseId) -> f64,
        quiet: impl Fn(CauseId) -> f64,
        no_leak: f64,
    ) -> Self {
        let mut roots = Vec::new();
        for cause in network.cause_ids().filter(|c| network.siblings(*c).next() == Some(*c)) {
            let all = |of: &dyn Fn(CauseId) -> f64| -> Vec<f64> {
                std::iter::once(1.0).chain(network.siblings(cause).map(of)).collect()
            };
            let states = States { clean: all(&stays_away), quiet: all(&quiet) };
            if states.clean.iter().chain(&states.quiet).any(|s| *s < 1.0) {
                roots.push((cause, states));
            }
        }
        Self { roots, no_leak }
    }

    /// The most by which the chance of no harm at the next cast can rise and fall when `to` is done in place of
    /// `from`; `held` is the chance that a cause holds now. No sum over joint states: a product of factors of at most
    /// 1 changes by no more than its factors do together.
    pub fn most_change(
        &self,
        network: &Network,
        from: &Effect,
        to: &Effect,
        held: impl Fn(CauseId) -> f64,
    ) -> (f64, f64) {
        let (mut rise, mut fall) = (0.0, 0.0);
        for (first, states) in &self.roots {
            let (old, new) = (from.roots.get(first), to.roots.get(first));
            if old == new {
                continue;
            }
            let chances = whole(network.siblings(*first).map(&held));
            for (state, chance) in chances.into_iter().enumerate() {
                let sound = |kernel: Option<&Kernel>| {
                    kernel.map_or(states.clean[state], |k| k.mean(&states.row(state))[state])
                };
                let change = sound(new) - sound(old);
                rise += chance * change.max(0.0);
                fall += chance * (-change).max(0.0);
            }
        }
        (rise * self.no_leak, fall * self.no_leak)
    }

    /// Weights and leak factor of: the changes are made one after the other with a cast behind each, and the casts
    /// marked true are free of harm. With `only`, nothing counts in which that cause does not hold now.
    pub(super) fn weights(
        &self,
        network: &Network,
        casts: &[(&Effect, bool)],
        only: Option<CauseId>,
    ) -> (Weights, f64) {
        let mut weights = Weights::ones(network);
        for (first, states) in &self.roots {
            let size = states.clean.len();
            let from = |state: usize| {
                let mut value = vec![1.0; size];
                for (effect, must_be_clean) in casts.iter().rev() {
                    if *must_be_clean {
                        value.iter_mut().zip(states.row(state)).for_each(|(v, s)| *v *= s);
                    }
                    if let Some(kernel) = effect.roots.get(first) {
                        value = kernel.mean(&value);
                    }
                }
                value[state]
            };
            weights.multiply_in_order(*first, from(0));
            for (at, cause) in network.siblings(*first).enumerate() {
                weights.multiply(cause, from(at + 1));
            }
        }
        if let Some(only) = only {
            weights.multiply_in_order(only, 0.0);
            network.siblings(only).filter(|c| *c != only).for_each(|c| weights.multiply(c, 0.0));
        }
        let clean = casts.iter().filter(|(_, clean)| *clean).map(|_| self.no_leak).product();
        (weights, clean)
    }
}
