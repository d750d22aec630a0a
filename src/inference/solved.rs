//! A reduced problem cut into components, each with its sweep.

use super::evidence::{Evidence, Weights};
use super::limits::{InferenceError, Limits};
use super::network::{CauseId, Network, Var};
use super::order::Order;
use super::reduce::{Reduction, RootState, reduce};
use super::sweep::{Component, ComponentBit, Sweep, Work};

/// No component, or no slot.
pub(super) const NONE: u32 = u32::MAX;

/// Reduced, cut into components and ordered: the width is known, nothing has been summed.
pub(super) struct Plan<'n> {
    /// Roots that were fixed.
    pub(super) forced: Vec<(usize, RootState)>,
    pub(super) reduction: Reduction<'n>,
    pub(super) components: Vec<(Component, Order)>,
    /// Component of each bit and root (`NONE` for others) and its number in there.
    pub(super) bit_place: Vec<(u32, u32)>,
    pub(super) root_place: Vec<(u32, u32)>,
    /// Position of each cause among the states of its root that can be; 0 is in order.
    cause_state: Vec<u32>,
}

impl<'n> Plan<'n> {
    /// `Ok(None)`: the evidence is impossible.
    pub(super) fn new(
        network: &'n Network,
        evidence: &Evidence,
        forced: &[(usize, RootState)],
        dropped: &[Var],
        sums: usize,
    ) -> Result<Option<Self>, InferenceError> {
        let reduction = reduce(network, evidence, forced, dropped)?;
        Ok(reduction.map(|reduction| Self::cut(reduction, forced.to_vec(), sums)))
    }

    fn cut(reduction: Reduction<'n>, forced: Vec<(usize, RootState)>, sums: usize) -> Self {
        let network = reduction.network;
        let bits: Vec<usize> = (0..network.nodes()).filter(|&n| reduction.is_bit(n)).collect();
        let mut group: Vec<u32> = (0..network.nodes() as u32).collect();
        let mut first_of_root = vec![NONE; network.roots()];
        for &n in &bits {
            for (var, _) in reduction.open_parents(n) {
                let other = match var {
                    Var::Cause(c) => {
                        let first = &mut first_of_root[network.root_of(c)];
                        if *first == NONE {
                            *first = n as u32;
                        }
                        *first
                    }
                    Var::Node(u) => u.index() as u32,
                };
                let (a, b) = (find(&mut group, n as u32), find(&mut group, other));
                group[a.max(b) as usize] = a.min(b);
            }
        }
        let mut number = vec![NONE; network.nodes()];
        let mut parts: Vec<Component> = Vec::new();
        let mut bit_place = vec![(NONE, NONE); network.nodes()];
        for &n in &bits {
            let top = find(&mut group, n as u32) as usize;
            if number[top] == NONE {
                number[top] = parts.len() as u32;
                parts.push(Component::default());
            }
            let part = &mut parts[number[top] as usize];
            bit_place[n] = (number[top], part.bits.len() as u32);
            part.bits.push(ComponentBit {
                pair: reduction.pair[n],
                leak: reduction.leak[n],
                pushes: Vec::new(),
            });
        }
        let mut root_place = vec![(NONE, NONE); network.roots()];
        let mut cause_state = vec![NONE; network.causes()];
        for (root, &first) in first_of_root.iter().enumerate().filter(|(_, f)| **f != NONE) {
            let (component, _) = bit_place[first as usize];
            let part = &mut parts[component as usize];
            root_place[root] = (component, part.roots.len() as u32);
            let mut states = Vec::with_capacity(network.states(root).len());
            for s in network.states(root).filter(|&s| reduction.cause[s] > 0.0) {
                states.push((reduction.cause[s], Vec::new()));
                cause_state[s] = states.len() as u32;
            }
            part.roots.push((reduction.in_order[root], states));
        }
        for &n in &bits {
            let (component, bit) = bit_place[n];
            let part = &mut parts[component as usize];
            for (var, strength) in reduction.open_parents(n) {
                match var {
                    Var::Cause(c) if cause_state[c.index()] != NONE => {
                        let (_, root) = root_place[network.root_of(c)];
                        let state = cause_state[c.index()] as usize - 1;
                        part.roots[root as usize].1[state].1.push((bit, strength));
                    }
                    Var::Node(u) => {
                        let (_, parent) = bit_place[u.index()];
                        part.bits[parent as usize].pushes.push((bit, strength));
                    }
                    Var::Cause(_) => {}
                }
            }
        }
        let components = parts
            .into_iter()
            .map(|part| {
                let order = part.order(sums);
                (part, order)
            })
            .collect();
        Self { forced, reduction, components, bit_place, root_place, cause_state }
    }

    pub(super) fn width(&self) -> usize {
        self.components.iter().map(|(_, order)| order.width).max().unwrap_or(0)
    }

    pub(super) fn cost(&self) -> f64 {
        self.components.iter().map(|(_, order)| order.cost).sum()
    }

    /// The widest component.
    pub(super) fn widest(&self) -> Option<usize> {
        let widths = self.components.iter().map(|(_, order)| order.width).enumerate();
        widths.max_by_key(|&(i, width)| (width, usize::MAX - i)).map(|(i, _)| i)
    }

    /// Sums: one forward pass for each component. `None`: the evidence is impossible.
    pub(super) fn solve(self, limits: &Limits) -> Option<Solved<'n>> {
        let width = self.width();
        let mut ln_evidence = self.reduction.ln_constant;
        let mut sweeps = Vec::with_capacity(self.components.len());
        for (component, order) in &self.components {
            let sweep = Sweep::new(component, order, limits);
            ln_evidence += sweep.ln_result();
            sweeps.push(sweep);
        }
        (ln_evidence > f64::NEG_INFINITY).then_some(Solved {
            forced: self.forced,
            reduction: self.reduction,
            sweeps,
            bit_place: self.bit_place,
            root_place: self.root_place,
            cause_state: self.cause_state,
            ln_evidence,
            width,
        })
    }
}

fn find(group: &mut [u32], mut n: u32) -> u32 {
    while group[n as usize] != n {
        group[n as usize] = group[group[n as usize] as usize];
        n = group[n as usize];
    }
    n
}

/// A plan after its forward passes.
pub(super) struct Solved<'n> {
    /// Roots that were fixed.
    pub(super) forced: Vec<(usize, RootState)>,
    pub(super) reduction: Reduction<'n>,
    pub(super) sweeps: Vec<Sweep>,
    pub(super) bit_place: Vec<(u32, u32)>,
    pub(super) root_place: Vec<(u32, u32)>,
    pub(super) cause_state: Vec<u32>,
    pub(super) ln_evidence: f64,
    pub(super) width: usize,
}

impl Solved<'_> {
    /// Step of a root in its sweep and where its weights begin.
    pub(super) fn root_at(&self, root: usize) -> Option<(usize, usize, usize)> {
        let (component, local) = self.root_place[root];
        (component != NONE).then(|| {
            let (step, slot) = self.sweeps[component as usize].root_at[local as usize];
            (component as usize, step, slot)
        })
    }

    /// Where the weight of a cause is; `None` if its root is in no component or the cause cannot be.
    pub(super) fn cause_at(&self, cause: usize) -> Option<(usize, usize, usize)> {
        let (component, step, slot) = self.root_at(self.reduction.network.root_of(CauseId::at(cause)))?;
        let state = self.cause_state[cause];
        (state != NONE).then(|| (component, step, slot + state as usize))
    }

    /// Z(w, E) / Z(1, E).
    pub(super) fn ratio(&self, weights: &Weights) -> f64 {
        let r = &self.reduction;
        let mut product = 1.0;
        let mut changed: Vec<Option<(usize, usize, Vec<f64>)>> = vec![None; self.sweeps.len()];
        for root in 0..r.network.roots() {
            let states = r.network.states(root);
            let w = &weights.cause[states.clone()];
            if weights.in_order[root] == 1.0 && w.iter().all(|&w| w == 1.0) {
                continue;
            }
            if let Some(state) = r.fixed[root] {
                product *= state.map_or(weights.in_order[root], |s| weights.cause[s]);
            } else if let Some((component, step, slot)) = self.root_at(root) {
                let (first, last, values) = changed[component]
                    .get_or_insert_with(|| (usize::MAX, 0, self.sweeps[component].weights.clone()));
                *first = step.min(*first);
                *last = step.max(*last);
                values[slot] *= weights.in_order[root];
                for s in states.filter(|&s| self.cause_state[s] != NONE) {
                    values[slot + self.cause_state[s] as usize] *= weights.cause[s];
                }
            } else {
                let on: f64 = r.cause[states].iter().zip(w).map(|(p, w)| p * w).sum();
                product *= r.in_order[root] * weights.in_order[root] + on;
            }
        }
        let mut work = Work::default();
        for (sweep, change) in self.sweeps.iter().zip(changed) {
            if let Some((first, last, values)) = change {
                product *= sweep.ratio(first, last, &mut work, &values, &sweep.pairs);
            }
        }
        product
    }
}
