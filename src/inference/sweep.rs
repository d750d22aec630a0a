//! The frontier sweep over one component: a forward pass gives the probability of the evidence, a backward pass all
//! marginals, and passes over a stretch of steps answer what would change if some factors were others.

use std::collections::HashMap;
use std::ops::Range;
use std::sync::OnceLock;

use super::kernel;
use super::limits::Limits;
use super::order::{Action, Graph, Order, order};
use super::random::Random;
use super::sample::Drawn;

/// A bit that a parent can switch on: its position in the table and the strength.
#[derive(Debug, Clone, Copy)]
struct Push {
    position: u32,
    strength: f64,
}

#[derive(Debug, Clone)]
struct Step {
    /// Bits opened before the step.
    opens: Range<usize>,
    what: What,
    /// Table size before the step (with the bits it opens) and after it.
    before: usize,
    after: usize,
}

#[derive(Debug, Clone)]
enum What {
    /// A root: the range of its deviating states in `states`; `slot` is the weight of "in order", those of the states
    /// follow it.
    Root { slot: usize, states: Range<usize> },
    /// A bit goes; its own children are pushed on its present side.
    Close { bit: usize, position: u32, pushes: Range<usize> },
}

/// One component, ready for passes.
pub(super) struct Sweep {
    steps: Vec<Step>,
    /// (off, on) of each opened bit, in the order of opening.
    opens: Vec<(f64, f64)>,
    pushes: Vec<Push>,
    /// Pushes of each deviating state.
    states: Vec<Range<usize>>,
    /// Weights of all root states, in steps' order.
    pub(super) weights: Vec<f64>,
    /// Likelihood pair of each bit.
    pub(super) pairs: Vec<(f64, f64)>,
    /// Step of each root (by its number in the component) and where its weights begin.
    pub(super) root_at: Vec<(usize, usize)>,
    /// Step at which each bit closes.
    pub(super) close_at: Vec<usize>,
    width: usize,
    largest: usize,
    numbers: usize,
    scratch: usize,
    /// Power of two that the table is multiplied with after each step, found in the first forward pass.
    scale: Vec<i32>,
    forward: Option<Tape>,
    backward: OnceLock<Tape>,
    marginals: OnceLock<Marginals>,
    /// P(evidence of this component) = mantissa x 2^exponent.
    result: (f64, i64),
}

/// All tables of one pass, one after the other.
struct Tape {
    numbers: Vec<f64>,
    start: Vec<usize>,
}

/// Joint masses with the evidence, up to a factor for each step.
#[derive(Debug, Clone)]
pub(super) struct Marginals {
    /// Mass of each root state, indexed like `Sweep::weights`.
    pub(super) states: Vec<f64>,
    /// Mass of (absent, present) of each bit.
    pub(super) bits: Vec<(f64, f64)>,
    /// Mass of everything at each step.
    total: Vec<f64>,
}

/// A component as the reduction leaves it.
#[derive(Default)]
pub(super) struct Component {
    /// Weights of each root: in order, then its states, with the bits (and strengths) each state pushes on.
    pub(super) roots: Vec<(f64, Vec<ComponentState>)>,
    /// Each bit: likelihood pair, leak, pushes on other bits.
    pub(super) bits: Vec<ComponentBit>,
}

pub(super) type ComponentState = (f64, Vec<(u32, f64)>);

pub(super) struct ComponentBit {
    pub(super) pair: (f64, f64),
    pub(super) leak: (f64, f64),
    pub(super) pushes: Vec<(u32, f64)>,
}

/// Below this the table is scaled up.
const SMALL: f64 = 1e-60;

impl Component {
    /// Finds an order for about so many sweeps. Its width is known before any arithmetic.
    pub(super) fn order(&self, sums: usize) -> Order {
        let mut graph = Graph {
            root_children: vec![Vec::new(); self.roots.len()],
            bit_children: vec![Vec::new(); self.bits.len()],
            root_parents: vec![Vec::new(); self.bits.len()],
            bit_parents: vec![Vec::new(); self.bits.len()],
        };
        for (r, (_, states)) in self.roots.iter().enumerate() {
            for &(bit, _) in states.iter().flat_map(|(_, pushes)| pushes) {
                if graph.root_parents[bit as usize].last() != Some(&(r as u32)) {
                    graph.root_parents[bit as usize].push(r as u32);
                    graph.root_children[r].push(bit);
                }
            }
        }
        for (b, bit) in self.bits.iter().enumerate() {
            for &(child, _) in &bit.pushes {
                graph.bit_children[b].push(child);
                graph.bit_parents[child as usize].push(b as u32);
            }
        }
        order(&graph, sums)
    }
}

impl Sweep {
    pub(super) fn new(component: &Component, order: &Order, limits: &Limits) -> Self {
        let bits = component.bits.len();
        let mut sweep = Self {
            steps: Vec::with_capacity(order.actions.len()),
            opens: Vec::with_capacity(bits),
            pushes: Vec::new(),
            states: Vec::new(),
            weights: Vec::new(),
            pairs: component.bits.iter().map(|b| b.pair).collect(),
            root_at: vec![(0, 0); component.roots.len()],
            close_at: vec![0; bits],
            width: order.width,
            largest: 1,
            numbers: 0,
            scratch: limits.scratch_numbers,
            scale: vec![0; order.actions.len()],
            forward: None,
            backward: OnceLock::new(),
            marginals: OnceLock::new(),
            result: (0.0, 0),
        };
        let mut open: Vec<u32> = Vec::with_capacity(order.width);
        let mut seen = vec![false; bits];
        for &action in &order.actions {
            let first_open = sweep.opens.len();
            let mut open_bit = |bit: u32, open: &mut Vec<u32>| {
                if !std::mem::replace(&mut seen[bit as usize], true) {
                    open.push(bit);
                    sweep.opens.push(component.bits[bit as usize].leak);
                }
            };
            let (what, before, after);
            match action {
                Action::Root(r) => {
                    let (in_order, states) = &component.roots[r as usize];
                    states.iter().flat_map(|(_, p)| p).for_each(|&(bit, _)| open_bit(bit, &mut open));
                    let (slot, first) = (sweep.weights.len(), sweep.states.len());
                    sweep.root_at[r as usize] = (sweep.steps.len(), slot);
                    sweep.weights.push(*in_order);
                    for (weight, pushes) in states {
                        sweep.weights.push(*weight);
                        let range = push_all(&mut sweep.pushes, pushes, &open);
                        sweep.states.push(range);
                    }
                    before = 1 << open.len();
                    after = before;
                    what = What::Root { slot, states: first..sweep.states.len() };
                }
                Action::Close(b) => {
                    let bit = &component.bits[b as usize];
                    open_bit(b, &mut open);
                    bit.pushes.iter().for_each(|&(child, _)| open_bit(child, &mut open));
                    before = 1 << open.len();
                    let position = open.iter().position(|&o| o == b).unwrap_or(0);
                    open.remove(position);
                    after = 1 << open.len();
                    let pushes = push_all(&mut sweep.pushes, &bit.pushes, &open);
                    sweep.close_at[b as usize] = sweep.steps.len();
                    what = What::Close { bit: b as usize, position: position as u32, pushes };
                }
            }
            sweep.largest = sweep.largest.max(before);
            sweep.numbers += before;
            sweep.steps.push(Step { opens: first_open..sweep.opens.len(), what, before, after });
        }
        let keep = sweep.width <= limits.kept && sweep.numbers <= limits.kept_numbers;
        sweep.first_pass(keep);
        sweep
    }

    /// ln of the probability of the component's evidence; minus infinity if it is impossible.
    pub(super) fn ln_result(&self) -> f64 {
        self.result.0.ln() + self.result.1 as f64 * std::f64::consts::LN_2
    }

    fn first_pass(&mut self, keep: bool) {
        let mut exponent = 0i64;
        let mut tape = Tape { numbers: Vec::new(), start: Vec::new() };
        let mut work = Work::new(self.largest);
        work.now[0] = 1.0;
        if keep {
            tape.numbers.reserve_exact(self.numbers);
            tape.start.reserve_exact(self.steps.len());
        }
        for i in 0..self.steps.len() {
            self.open(i, &mut work.now);
            let step = &self.steps[i];
            if keep {
                tape.start.push(tape.numbers.len());
                tape.numbers.extend_from_slice(&work.now[..step.before]);
            }
            self.forward_step(i, &mut work, &self.weights, &self.pairs);
            if step.after < step.before {
                let table = &mut work.now[..step.after];
                let mass: f64 = table.iter().sum();
                if mass < SMALL && mass > 0.0 {
                    // A table that holds only the smallest numbers needs more than one step up.
                    let up = (-mass.log2()).min(1000.0) as i32;
                    kernel_scale(table, up);
                    self.scale[i] = up;
                    exponent -= i64::from(up);
                }
            }
        }
        self.result = (work.now[0], exponent);
        if keep {
            self.forward = Some(tape);
        }
    }

    fn open(&self, i: usize, table: &mut [f64]) {
        let step = &self.steps[i];
        let mut size = step.before >> step.opens.len();
        for &(off, on) in &self.opens[step.opens.clone()] {
            kernel::open(table, size, off, on);
            size *= 2;
        }
    }

    /// One step, from `work.now` (bits already opened) to `work.now`, without scaling.
    fn forward_step(&self, i: usize, work: &mut Work, weights: &[f64], pairs: &[(f64, f64)]) {
        let step = &self.steps[i];
        let (from, to) = (&work.now[..step.before], &mut work.next[..step.after]);
        match &step.what {
            What::Root { slot, states } => {
                let mut rest = states.clone().zip(&weights[slot + 1..]);
                // Most roots have one state and push on few bits: those take one pass over the table.
                let pushes = (states.len() == 1).then(|| &self.pushes[self.states[states.start].clone()]);
                match pushes {
                    Some([only]) => {
                        kernel::mixed(
                            to,
                            from,
                            only.position,
                            only.strength,
                            weights[*slot],
                            weights[slot + 1],
                        );
                        rest.next();
                    }
                    _ => kernel::scaled(to, from, weights[*slot]),
                }
                for (state, &weight) in rest {
                    match &self.pushes[self.states[state].clone()] {
                        [] => kernel::add_scaled(to, from, weight),
                        [only] => kernel::add_pushed(to, from, only.position, only.strength, weight),
                        [first, middle @ .., last] => {
                            let spare = &mut work.spare[..step.after];
                            kernel::pushed(spare, from, first.position, first.strength);
                            for p in middle {
                                kernel::push(spare, p.position, p.strength);
                            }
                            kernel::add_pushed(to, spare, last.position, last.strength, weight);
                        }
                    }
                }
            }
            What::Close { bit, position, pushes } => {
                let (absent, present) = pairs[*bit];
                kernel::take_side(to, from, *position, 1, present, false);
                for p in &self.pushes[pushes.clone()] {
                    kernel::push(to, p.position, p.strength);
                }
                if absent > 0.0 {
                    kernel::take_side(to, from, *position, 0, absent, true);
                }
            }
        }
        std::mem::swap(&mut work.now, &mut work.next);
    }

    /// Steps `range` with other weights, starting from the table in `work.now` as it is before the first step with
    /// its bits opened, and ending after the last step; scaled as in the first pass.
    fn run(&self, range: Range<usize>, work: &mut Work, weights: &[f64], pairs: &[(f64, f64)]) {
        let first = range.start;
        for i in range {
            if i > first {
                self.open(i, &mut work.now);
            }
            self.forward_step(i, work, weights, pairs);
            if self.scale[i] != 0 {
                kernel_scale(&mut work.now[..self.steps[i].after], self.scale[i]);
            }
        }
    }

    /// Z with other weights divided by Z, where only the steps `first..=last` have other weights.
    pub(super) fn ratio(
        &self,
        first: usize,
        last: usize,
        work: &mut Work,
        weights: &[f64],
        pairs: &[(f64, f64)],
    ) -> f64 {
        work.fit(self.largest);
        let begin = self.load(first, work);
        match self.backward() {
            Some((tape, marginals)) => {
                self.run(begin..last + 1, work, weights, pairs);
                let after = self.steps[last].after;
                kernel::dot(&work.now[..after], tape.table(last, after)) / marginals.total[last]
            }
            None => {
                self.run(begin..self.steps.len(), work, weights, pairs);
                work.now[0] / self.result.0
            }
        }
    }

    /// Puts the table before step `first` into `work`, or before the first step if tables were not kept.
    fn load(&self, first: usize, work: &mut Work) -> usize {
        match &self.forward {
            Some(tape) => {
                let before = self.steps[first].before;
                work.now[..before].copy_from_slice(tape.table(first, before));
                first
            }
            None => {
                work.now[0] = 1.0;
                self.open(0, &mut work.now);
                0
            }
        }
    }

    /// Masses of all root states and bits.
    pub(super) fn marginals(&self) -> &Marginals {
        self.marginals.get_or_init(|| self.backward_pass(None))
    }

    /// Makes the backward tables now, if tables are kept: then the marginals need no pass of their own.
    pub(super) fn keep_backward(&self) {
        let _ = self.backward();
    }

    /// The backward tables, made at the first call; `None` where tables are not kept.
    fn backward(&self) -> Option<(&Tape, &Marginals)> {
        self.forward.as_ref()?;
        let tape = self.backward.get_or_init(|| {
            let mut start = Vec::with_capacity(self.steps.len());
            let mut at = 0;
            for step in &self.steps {
                start.push(at);
                at += step.after;
            }
            let mut tape = Tape { numbers: vec![0.0; at], start };
            let marginals = self.backward_pass(Some(&mut tape));
            // The same numbers come out whether tables are kept or not, unless marginals are there already: then the
            // totals must be those that belong to these tables, and they are, as the pass is deterministic.
            let _ = self.marginals.set(marginals);
            tape
        });
        Some((tape, self.marginals()))
    }

    fn backward_pass(&self, tape: Option<&mut Tape>) -> Marginals {
        let steps = self.steps.len();
        let mut back = Back {
            sweep: self,
            marginals: Marginals {
                states: vec![0.0; self.weights.len()],
                bits: vec![(0.0, 0.0); self.pairs.len()],
                total: vec![0.0; steps],
            },
            now: vec![0.0; self.largest],
            next: vec![0.0; self.largest],
            spare: vec![0.0; self.largest],
            tape,
        };
        back.now[0] = 1.0;
        self.last_to_first(&mut |i, before| back.step(i, before));
        back.marginals
    }

    /// Hands out the table before each step (with its bits opened), from the last step to the first.
    fn last_to_first(&self, visit: &mut dyn FnMut(usize, &[f64])) {
        let steps = self.steps.len();
        if let Some(forward) = &self.forward {
            for i in (0..steps).rev() {
                visit(i, forward.table(i, self.steps[i].before));
            }
        } else {
            let mut start = vec![0.0; self.steps.first().map_or(1, |s| s.before)];
            start[0] = 1.0;
            self.open(0, &mut start);
            self.recompute(0..steps, start, visit);
        }
    }

    /// Steps `range` back where the forward tables were not kept: keeps those of short stretches, splits long ones in
    /// two. `start` is the table before the first step.
    fn recompute(&self, range: Range<usize>, start: Vec<f64>, visit: &mut dyn FnMut(usize, &[f64])) {
        let numbers: usize = self.steps[range.clone()].iter().map(|s| s.before).sum();
        if range.is_empty() {
            return;
        }
        let mut work = Work::new(self.steps[range.clone()].iter().map(|s| s.before).max().unwrap_or(1));
        if range.len() == 1 || numbers <= self.scratch {
            work.now[..start.len()].copy_from_slice(&start);
            let mut tables = vec![start];
            for i in range.start..range.end - 1 {
                self.run(i..i + 1, &mut work, &self.weights, &self.pairs);
                self.open(i + 1, &mut work.now);
                tables.push(work.now[..self.steps[i + 1].before].to_vec());
            }
            drop(work);
            for (i, table) in range.zip(&tables).rev() {
                visit(i, table);
            }
            return;
        }
        // Split where about half of the numbers lie on each side.
        let mut middle = range.start + 1;
        let mut left = self.steps[range.start].before;
        while middle + 1 < range.end && left * 2 < numbers {
            left += self.steps[middle].before;
            middle += 1;
        }
        work.now[..start.len()].copy_from_slice(&start);
        self.run(range.start..middle, &mut work, &self.weights, &self.pairs);
        self.open(middle, &mut work.now);
        let half = work.now[..self.steps[middle].before].to_vec();
        drop(work);
        self.recompute(middle..range.end, half, visit);
        self.recompute(range.start..middle, start, visit);
    }

    /// Draws `count` joint states of all roots and bits, each with its probability given the evidence: from the last
    /// step back, the state before a step given the one after it.
    pub(super) fn draw(&self, count: usize, random: &mut Random) -> Vec<Drawn> {
        let blank = Drawn { states: vec![0; self.steps.len()], bits: vec![false; self.pairs.len()] };
        let mut drawn = vec![blank; count];
        let mut place = vec![0usize; count];
        self.last_to_first(&mut |i, before| {
            // Draws that stand at the same place share the distribution of the step.
            let mut ways: HashMap<usize, Ways> = HashMap::new();
            let step = &self.steps[i];
            for (one, at) in drawn.iter_mut().zip(&mut place) {
                let (weights, ends) = ways.entry(*at).or_insert_with(|| self.ways_to(i, *at, before));
                let (choice, from) = ends[random.one_of(weights.iter().copied())];
                match &step.what {
                    What::Root { .. } => one.states[i] = choice,
                    What::Close { bit, .. } => one.bits[*bit] = choice == 1,
                }
                // The bits that the step opened stand at the top.
                *at = from & ((step.before >> step.opens.len()) - 1);
            }
        });
        drawn
    }

    /// All ways in which step `i` can have led to place `to`: weight, choice made (position of the root's state, side of
    /// the bit) and the place before.
    fn ways_to(&self, i: usize, to: usize, before: &[f64]) -> Ways {
        let (mut weights, mut ends) = (Vec::new(), Vec::new());
        match &self.steps[i].what {
            What::Root { slot, states } => {
                weights.push(self.weights[*slot] * before[to]);
                ends.push((0, to));
                for (k, state) in states.clone().enumerate() {
                    let weight = self.weights[slot + 1 + k];
                    self.unpush(self.states[state].clone(), to, weight, &mut |weight, from| {
                        weights.push(weight * before[from]);
                        ends.push((k as u32 + 1, from));
                    });
                }
            }
            What::Close { bit, position, pushes } => {
                let (absent, present) = self.pairs[*bit];
                let low = (1usize << position) - 1;
                let with = |place: usize, side: usize| (place & !low) << 1 | side << position | place & low;
                weights.push(absent * before[with(to, 0)]);
                ends.push((0, with(to, 0)));
                self.unpush(pushes.clone(), to, present, &mut |weight, from| {
                    let from = with(from, 1);
                    weights.push(weight * before[from]);
                    ends.push((1, from));
                });
            }
        }
        (weights, ends)
    }

    /// The places that some pushes can have led to `to` from: every pushed bit that is on was on before, or came on now.
    fn unpush(&self, pushes: Range<usize>, to: usize, weight: f64, found: &mut dyn FnMut(f64, usize)) {
        let Some((first, rest)) = self.pushes[pushes.clone()].split_first() else {
            found(weight, to);
            return;
        };
        let rest = pushes.end - rest.len()..pushes.end;
        let mark = 1usize << first.position;
        if to & mark == 0 {
            self.unpush(rest, to, weight * (1.0 - first.strength), found);
        } else {
            self.unpush(rest.clone(), to, weight, found);
            self.unpush(rest, to & !mark, weight * first.strength, found);
        }
    }

    /// Walks depth first over the states of some roots, in the order of their steps, the other roots being summed
    /// over. `branches` names for each such root its step and the groups of slots that count as one branch.
    /// `visit` gets the branches chosen so far and their probability given the evidence, and says whether to go on.
    /// Returns false, having done nothing, where tables are not kept.
    pub(super) fn walk(
        &self,
        branches: &[(usize, Vec<Vec<usize>>)],
        visit: &mut dyn FnMut(&[usize], f64) -> bool,
    ) -> bool {
        let Some((tape, marginals)) = self.backward() else { return false };
        let Some((first, _)) = branches.first() else {
            visit(&[], 1.0);
            return true;
        };
        let mut work = Work::new(self.largest);
        self.load(*first, &mut work);
        let start = work.now[..self.steps[*first].before].to_vec();
        let mut chosen = Vec::with_capacity(branches.len());
        self.walk_from(branches, &start, &mut work, (tape, &marginals.total), &mut chosen, visit);
        true
    }

    fn walk_from(
        &self,
        branches: &[(usize, Vec<Vec<usize>>)],
        table: &[f64],
        work: &mut Work,
        backward: (&Tape, &[f64]),
        chosen: &mut Vec<usize>,
        visit: &mut dyn FnMut(&[usize], f64) -> bool,
    ) {
        let Some(((at, groups), rest)) = branches.split_first() else { return };
        let (after, end) = (self.steps[*at].after, rest.first().map_or(*at + 1, |(next, _)| *next));
        let mut options: Vec<(f64, usize, Vec<f64>)> = Vec::with_capacity(groups.len());
        for (k, slots) in groups.iter().enumerate() {
            let mut weights = self.weights.clone();
            let What::Root { slot, states } = &self.steps[*at].what else { return };
            for (i, weight) in weights[*slot..=slot + states.len()].iter_mut().enumerate() {
                if !slots.contains(&(slot + i)) {
                    *weight = 0.0;
                }
            }
            work.now[..table.len()].copy_from_slice(table);
            self.run(*at..at + 1, work, &weights, &self.pairs);
            let mass = kernel::dot(&work.now[..after], backward.0.table(*at, after)) / backward.1[*at];
            options.push((mass, k, work.now[..after].to_vec()));
        }
        options.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        for (mass, k, table) in options {
            chosen.push(k);
            if mass > 0.0 && visit(chosen, mass) && !rest.is_empty() {
                work.now[..after].copy_from_slice(&table);
                if end > at + 1 {
                    self.open(at + 1, &mut work.now);
                    self.run(at + 1..end, work, &self.weights, &self.pairs);
                }
                self.open(end, &mut work.now);
                let start = work.now[..self.steps[end].before].to_vec();
                self.walk_from(rest, &start, work, backward, chosen, visit);
            }
            chosen.pop();
        }
    }
}

/// The backward pass: `now` holds the table after the step that comes next.
struct Back<'s> {
    sweep: &'s Sweep,
    marginals: Marginals,
    now: Vec<f64>,
    next: Vec<f64>,
    spare: Vec<f64>,
    tape: Option<&'s mut Tape>,
}

impl Back<'_> {
    /// One step back; `before` is the forward table before the step.
    fn step(&mut self, i: usize, before: &[f64]) {
        let sweep = self.sweep;
        let step = &sweep.steps[i];
        let from = &self.now[..step.after];
        if let Some(tape) = &mut self.tape {
            let start = tape.start[i];
            tape.numbers[start..start + step.after].copy_from_slice(from);
        }
        let to = &mut self.next[..step.before];
        let spare = &mut self.spare[..step.after];
        match &step.what {
            What::Root { slot, states } => {
                let weight = sweep.weights[*slot];
                kernel::scaled(to, from, weight);
                let mass = weight * kernel::dot(from, before);
                self.marginals.states[*slot] = mass;
                let mut total = mass;
                for (k, state) in states.clone().enumerate() {
                    let weight = sweep.weights[slot + 1 + k];
                    kernel::scaled(spare, from, weight);
                    for p in &sweep.pushes[sweep.states[state].clone()] {
                        kernel::pull(spare, p.position, p.strength);
                    }
                    let mass = kernel::dot(spare, before);
                    kernel::add_scaled(to, spare, 1.0);
                    self.marginals.states[slot + 1 + k] = mass;
                    total += mass;
                }
                self.marginals.total[i] = total;
            }
            What::Close { bit, position, pushes } => {
                let (absent, present) = sweep.pairs[*bit];
                let off = absent * kernel::dot_side(from, before, *position, 0);
                kernel::put_side(to, from, *position, 0, absent);
                spare.copy_from_slice(from);
                for p in &sweep.pushes[pushes.clone()] {
                    kernel::pull(spare, p.position, p.strength);
                }
                let on = present * kernel::dot_side(spare, before, *position, 1);
                kernel::put_side(to, spare, *position, 1, present);
                self.marginals.bits[*bit] = (off, on);
                self.marginals.total[i] = off + on;
            }
        }
        // Totals are compared with tables that were scaled after the step.
        self.marginals.total[i] *= power(sweep.scale[i]);
        let mut size = step.before;
        for &(off, on) in sweep.opens[step.opens.clone()].iter().rev() {
            size /= 2;
            kernel::unopen(to, size, off, on);
        }
        if step.after < step.before {
            let table = &mut self.next[..size];
            let top = table.iter().fold(0.0f64, |a, &b| a.max(b));
            if top < SMALL && top > 0.0 {
                kernel_scale(table, (-top.log2()).min(1000.0) as i32);
            }
        }
        std::mem::swap(&mut self.now, &mut self.next);
    }
}

impl Tape {
    fn table(&self, i: usize, size: usize) -> &[f64] {
        &self.numbers[self.start[i]..self.start[i] + size]
    }
}

/// Weights of the ways to a place, and for each the choice made and the place before.
type Ways = (Vec<f64>, Vec<(u32, usize)>);

/// Room for forward passes, kept between them.
#[derive(Default)]
pub(super) struct Work {
    now: Vec<f64>,
    next: Vec<f64>,
    spare: Vec<f64>,
}

impl Work {
    fn new(size: usize) -> Self {
        let mut work = Self::default();
        work.fit(size);
        work
    }

    fn fit(&mut self, size: usize) {
        if self.now.len() < size {
            self.now.resize(size, 0.0);
            self.next.resize(size, 0.0);
            self.spare.resize(size, 0.0);
        }
    }
}

fn push_all(all: &mut Vec<Push>, pushes: &[(u32, f64)], open: &[u32]) -> Range<usize> {
    let first = all.len();
    for &(bit, strength) in pushes {
        if let Some(position) = open.iter().position(|&o| o == bit) {
            all.push(Push { position: position as u32, strength });
        }
    }
    first..all.len()
}

fn kernel_scale(table: &mut [f64], exponent: i32) {
    let factor = power(exponent);
    table.iter_mut().for_each(|v| *v *= factor);
}

fn power(exponent: i32) -> f64 {
    2f64.powi(exponent)
}
