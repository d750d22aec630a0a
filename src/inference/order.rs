//! The order in which a component's roots are taken in and its bits closed. Any order gives the same numbers; a good
//! one keeps few bits open at a time.

use super::random::Random;

/// What hangs on what within one component. Bits are numbered so that parents come before children.
#[derive(Debug, Default)]
pub(super) struct Graph {
    /// Bits that each root can push on.
    pub(super) root_children: Vec<Vec<u32>>,
    /// Bits that each hidden bit can push on.
    pub(super) bit_children: Vec<Vec<u32>>,
    /// Roots that can push on each bit.
    pub(super) root_parents: Vec<Vec<u32>>,
    /// Hidden bits that can push on each bit.
    pub(super) bit_parents: Vec<Vec<u32>>,
}

/// One step of the sweep.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Action {
    /// Take in a root, opening those of its bits that are not open yet.
    Root(u32),
    /// Close a bit whose parents have all been taken in, opening those of its children that are not open yet.
    Close(u32),
}

#[derive(Debug, Clone)]
pub(super) struct Order {
    pub(super) actions: Vec<Action>,
    /// Largest number of bits open at once.
    pub(super) width: usize,
    /// Rough number of multiplications.
    pub(super) cost: f64,
}

/// Of very many bits only the first that are not closed are compared: parents come first, so they are near.
const CANDIDATES: usize = 96;

/// Most sweeps over one order that the search for it counts on.
const MOST_SWEEPS: usize = 60;

/// Greedy search with seeded restarts and, where more than one sweep is to come, a climb over the sequence in which
/// bits are opened: the same graph always gets the same order. The search goes on only as long as it costs little
/// compared with the `sweeps` that it may shorten.
pub(super) fn order(graph: &Graph, sweeps: usize) -> Order {
    let mut run = Run::new(graph);
    let mut best = run.go(0);
    let attempt = (graph.bit_children.len() * graph.bit_children.len() * 40) as f64;
    let restarts = (best.cost / attempt / 10.0).min(60.0) as u64;
    for seed in 1..=restarts {
        let next = run.go(seed);
        if next.cost < best.cost {
            best = next;
        }
    }
    // A single sum does not pay for more.
    if sweeps <= 1 {
        return best;
    }
    let mut sequence = Sequence::new(graph);
    let mut opened = sequence.of(&best.actions);
    let one = sequence.effort();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some thousands at most")]
    let trials = (best.cost * sweeps.min(MOST_SWEEPS) as f64 / one / 10.0).min(20_000.0) as usize;
    sequence.climb(&mut opened, trials);
    let climbed = measured(graph, sequence.actions(&opened));
    if climbed.cost < best.cost { climbed } else { best }
}

/// Charge of one step that touches so many bits while so many are open.
fn charge(touches: usize, open: usize) -> f64 {
    (2 + touches) as f64 * 2f64.powi(open as i32)
}

/// Cost of a step whatever the size of the table.
const A_STEP: f64 = 40.0;

/// An order with the width and the cost that its actions come to.
fn measured(graph: &Graph, actions: Vec<Action>) -> Order {
    let mut order = Order { actions, width: 0, cost: 0.0 };
    let mut open = vec![false; graph.bit_children.len()];
    let mut count = 0;
    for action in &order.actions {
        let (itself, children) = match *action {
            Action::Root(r) => (None, &graph.root_children[r as usize]),
            Action::Close(b) => (Some(b), &graph.bit_children[b as usize]),
        };
        for &bit in itself.iter().chain(children) {
            count += usize::from(!std::mem::replace(&mut open[bit as usize], true));
        }
        order.width = order.width.max(count);
        order.cost += charge(children.len(), count) + A_STEP;
        count -= usize::from(itself.is_some());
    }
    order
}

/// A sequence of opening the bits is an order too: each root is taken in as soon as all its bits are open, each bit
/// closed as soon as all its parents are done and its children open.
struct Sequence<'g> {
    graph: &'g Graph,
    /// Place of each bit in the sequence.
    place: Vec<u32>,
    /// Place at which each bit closes.
    closes: Vec<u32>,
    /// What the roots taken in at each place touch, with the charge of the step itself.
    touches: Vec<usize>,
    /// Bits that close at each place, parents before children: the first, and for each bit the next.
    first: Vec<u32>,
    next: Vec<u32>,
}

const NO_BIT: u32 = u32::MAX;

impl<'g> Sequence<'g> {
    fn new(graph: &'g Graph) -> Self {
        let bits = graph.bit_children.len();
        Self {
            graph,
            place: vec![0; bits],
            closes: vec![0; bits],
            touches: vec![0; bits],
            first: vec![NO_BIT; bits],
            next: vec![NO_BIT; bits],
        }
    }

    /// The sequence in which an order opens the bits.
    fn of(&self, actions: &[Action]) -> Vec<u32> {
        let mut opened: Vec<u32> = Vec::with_capacity(self.place.len());
        let mut seen = vec![false; self.place.len()];
        for action in actions {
            let (itself, children) = match *action {
                Action::Root(r) => (None, &self.graph.root_children[r as usize]),
                Action::Close(b) => (Some(b), &self.graph.bit_children[b as usize]),
            };
            for &bit in itself.iter().chain(children) {
                if !std::mem::replace(&mut seen[bit as usize], true) {
                    opened.push(bit);
                }
            }
        }
        opened
    }

    /// Rough number of operations to weigh one sequence.
    fn effort(&self) -> f64 {
        let links: usize =
            self.graph.root_children.iter().chain(&self.graph.bit_children).map(Vec::len).sum();
        (4 * links + 12 * self.place.len() + self.graph.root_children.len()) as f64
    }

    /// Works out where everything happens.
    fn follow(&mut self, opened: &[u32]) {
        let g = self.graph;
        for (at, &bit) in opened.iter().enumerate() {
            self.place[bit as usize] = at as u32;
        }
        self.closes.copy_from_slice(&self.place);
        self.touches.fill(0);
        for children in &g.root_children {
            let at = self.root_place(children);
            self.touches[at as usize] += 2 + children.len();
            for &bit in children {
                let closes = &mut self.closes[bit as usize];
                *closes = at.max(*closes);
            }
        }
        self.first.fill(NO_BIT);
        for (bit, children) in g.bit_children.iter().enumerate() {
            let at = children.iter().fold(self.closes[bit], |at, &c| at.max(self.place[c as usize]));
            self.closes[bit] = at;
            for &child in children {
                let closes = &mut self.closes[child as usize];
                *closes = at.max(*closes);
            }
        }
        for bit in (0..self.closes.len()).rev() {
            let first = &mut self.first[self.closes[bit] as usize];
            self.next[bit] = std::mem::replace(first, bit as u32);
        }
    }

    /// Place at which the last bit of a root is opened.
    fn root_place(&self, children: &[u32]) -> u32 {
        children.iter().fold(0, |at, &b| at.max(self.place[b as usize]))
    }

    /// What a sequence costs, the steps' own charge left out: it is the same for all.
    fn cost(&mut self, opened: &[u32]) -> f64 {
        self.follow(opened);
        let mut cost = 0.0;
        let mut table = 1.0;
        for (touches, &first) in self.touches.iter().zip(&self.first) {
            table *= 2.0;
            cost += *touches as f64 * table;
            let mut bit = first;
            while bit != NO_BIT {
                cost += (2 + self.graph.bit_children[bit as usize].len()) as f64 * table;
                table /= 2.0;
                bit = self.next[bit as usize];
            }
        }
        cost
    }

    /// Moves single bits to other places while that saves anything, for so many trials.
    fn climb(&mut self, opened: &mut Vec<u32>, trials: usize) {
        let mut best = self.cost(opened);
        let mut left = trials;
        let mut gained = true;
        while gained {
            gained = false;
            for from in 0..opened.len() {
                for to in (0..opened.len()).filter(|&to| to != from) {
                    if left == 0 {
                        return;
                    }
                    left -= 1;
                    let bit = opened.remove(from);
                    opened.insert(to, bit);
                    let cost = self.cost(opened);
                    if cost < best {
                        best = cost;
                        gained = true;
                    } else {
                        let bit = opened.remove(to);
                        opened.insert(from, bit);
                    }
                }
            }
        }
    }

    fn actions(&mut self, opened: &[u32]) -> Vec<Action> {
        self.follow(opened);
        let mut roots: Vec<Vec<u32>> = vec![Vec::new(); opened.len()];
        for (root, children) in self.graph.root_children.iter().enumerate() {
            roots[self.root_place(children) as usize].push(root as u32);
        }
        let mut actions = Vec::with_capacity(self.graph.root_children.len() + opened.len());
        for (roots, &first) in roots.into_iter().zip(&self.first) {
            actions.extend(roots.into_iter().map(Action::Root));
            let mut bit = first;
            while bit != NO_BIT {
                actions.push(Action::Close(bit));
                bit = self.next[bit as usize];
            }
        }
        actions
    }
}

struct Run<'g> {
    graph: &'g Graph,
    root_done: Vec<bool>,
    open: Vec<bool>,
    closed: Vec<bool>,
    /// Parents of each bit that have not been taken in.
    missing: Vec<u32>,
    unopened_children: Vec<u32>,
    open_count: usize,
    order: Order,
    stamp: Vec<u32>,
    root_stamp: Vec<u32>,
    closed_stamp: Vec<u32>,
    now: u32,
    noise: Random,
}

impl<'g> Run<'g> {
    fn new(graph: &'g Graph) -> Self {
        let (bits, roots) = (graph.bit_children.len(), graph.root_children.len());
        Self {
            graph,
            root_done: vec![false; roots],
            open: vec![false; bits],
            closed: vec![false; bits],
            missing: vec![0; bits],
            unopened_children: vec![0; bits],
            open_count: 0,
            order: Order { actions: Vec::with_capacity(bits + roots), width: 0, cost: 0.0 },
            stamp: vec![0; bits],
            root_stamp: vec![0; roots],
            closed_stamp: vec![0; bits],
            now: 0,
            noise: Random::new(0),
        }
    }

    fn go(&mut self, seed: u64) -> Order {
        let g = self.graph;
        let bits = g.bit_children.len();
        self.root_done.fill(false);
        self.open.fill(false);
        self.closed.fill(false);
        for b in 0..bits {
            self.missing[b] = (g.root_parents[b].len() + g.bit_parents[b].len()) as u32;
            self.unopened_children[b] = g.bit_children[b].len() as u32;
        }
        self.open_count = 0;
        self.order.actions.clear();
        (self.order.width, self.order.cost) = (0, 0.0);
        self.noise = Random::new(seed);
        loop {
            let mut best: Option<(f64, u32)> = None;
            let mut looked_at = 0;
            for b in 0..bits {
                if looked_at == CANDIDATES {
                    break;
                }
                if !self.closed[b] {
                    looked_at += 1;
                    let score = self.score(b) + if seed > 0 { self.noise.unit() * 1.6 } else { 0.0 };
                    if best.is_none_or(|(s, _)| score < s) {
                        best = Some((score, b as u32));
                    }
                }
            }
            let Some((_, target)) = best else { break };
            self.finish(target as usize);
        }
        // Roots whose bits were all closed by their other parents cannot remain: a bit closes after all its parents.
        self.order.clone()
    }

    /// How many bits are opened on the way to closing `target`, less those closed.
    fn score(&mut self, target: usize) -> f64 {
        self.now += 1;
        let (mut opened, mut closed, mut roots) = (0, 0, 0);
        self.count(target, &mut opened, &mut closed, &mut roots);
        f64::from(opened) - 0.9 * f64::from(closed) + 0.01 * f64::from(roots)
    }

    fn count(&mut self, bit: usize, opened: &mut i32, closed: &mut i32, roots: &mut i32) {
        let g = self.graph;
        *closed += 1;
        self.closed_stamp[bit] = self.now;
        self.touch(bit, opened);
        for &parent in &g.bit_parents[bit] {
            if !self.closed[parent as usize] && self.closed_stamp[parent as usize] != self.now {
                self.count(parent as usize, opened, closed, roots);
            }
        }
        for &root in &g.root_parents[bit] {
            let r = root as usize;
            if !self.root_done[r] && self.root_stamp[r] != self.now {
                self.root_stamp[r] = self.now;
                *roots += 1;
                for &child in &g.root_children[r] {
                    self.touch(child as usize, opened);
                }
            }
        }
        for &child in &g.bit_children[bit] {
            self.touch(child as usize, opened);
        }
    }

    fn touch(&mut self, bit: usize, opened: &mut i32) {
        if !self.open[bit] && !self.closed[bit] && self.stamp[bit] != self.now {
            self.stamp[bit] = self.now;
            *opened += 1;
        }
    }

    fn finish(&mut self, target: usize) {
        let g = self.graph;
        for &parent in &g.bit_parents[target] {
            if !self.closed[parent as usize] {
                self.finish(parent as usize);
            }
        }
        loop {
            // Of the missing roots, first the one that opens the fewest new bits.
            let next =
                g.root_parents[target].iter().filter(|&&r| !self.root_done[r as usize]).min_by_key(|&&r| {
                    g.root_children[r as usize].iter().filter(|&&b| !self.open[b as usize]).count()
                });
            let Some(&root) = next else { break };
            self.take(root as usize);
        }
        if !self.closed[target] {
            self.close(target);
        }
    }

    fn open_bit(&mut self, bit: usize) {
        if !self.open[bit] {
            self.open[bit] = true;
            self.open_count += 1;
            for &parent in &self.graph.bit_parents[bit] {
                self.unopened_children[parent as usize] -= 1;
            }
        }
    }

    fn charge(&mut self, touches: usize) {
        self.order.width = self.order.width.max(self.open_count);
        self.order.cost += charge(touches, self.open_count) + A_STEP;
    }

    fn take(&mut self, root: usize) {
        let g = self.graph;
        self.root_done[root] = true;
        for &bit in &g.root_children[root] {
            self.open_bit(bit as usize);
            self.missing[bit as usize] -= 1;
        }
        self.charge(g.root_children[root].len());
        self.order.actions.push(Action::Root(root as u32));
        for &bit in &g.root_children[root] {
            self.close_if_free(bit as usize);
        }
    }

    fn close(&mut self, bit: usize) {
        let g = self.graph;
        self.open_bit(bit);
        for &child in &g.bit_children[bit] {
            self.open_bit(child as usize);
            self.missing[child as usize] -= 1;
        }
        self.charge(g.bit_children[bit].len());
        self.order.actions.push(Action::Close(bit as u32));
        self.closed[bit] = true;
        self.open_count -= 1;
        for &child in &g.bit_children[bit] {
            self.close_if_free(child as usize);
        }
        for &child in &g.bit_children[bit] {
            for &parent in &g.bit_parents[child as usize] {
                self.close_if_free(parent as usize);
            }
        }
    }

    /// Closes a bit if that opens nothing.
    fn close_if_free(&mut self, bit: usize) {
        if self.open[bit] && !self.closed[bit] && self.missing[bit] == 0 && self.unopened_children[bit] == 0 {
            self.close(bit);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two hidden bits over three roots, and a finding over both of them and a root.
    fn graph() -> Graph {
        Graph {
            root_children: vec![vec![0], vec![0, 1], vec![1, 2]],
            bit_children: vec![vec![2], vec![2], vec![]],
            root_parents: vec![vec![0, 1], vec![1, 2], vec![2]],
            bit_parents: vec![vec![], vec![], vec![0, 1]],
        }
    }

    #[test]
    fn everything_is_taken_in_once_and_parents_before_their_children_close() {
        let order = order(&graph(), 1);
        let at = |action| order.actions.iter().position(|&a| a == action).unwrap();
        assert_eq!(order.actions.len(), 6);
        assert!(at(Action::Root(0)).max(at(Action::Root(1))) < at(Action::Close(0)));
        assert!(at(Action::Root(1)).max(at(Action::Root(2))) < at(Action::Close(1)));
        assert!(at(Action::Close(0)).max(at(Action::Close(1))) < at(Action::Close(2)));
        assert_eq!(order.width, 3);
    }

    #[test]
    fn the_same_graph_gets_the_same_order() {
        assert_eq!(order(&graph(), 60).actions, order(&graph(), 60).actions);
    }

    /// Roots over up to three of ten bits each, findings over two of the bits: every sequence that the climb can hand
    /// out takes in everything once, parents first, and costs what the climb thought or less.
    #[test]
    fn a_climb_never_costs_more_and_keeps_to_what_hangs_on_what() {
        let mut random = Random::new(7);
        for _ in 0..200 {
            let mut graph = Graph {
                root_children: Vec::new(),
                bit_children: vec![Vec::new(); 13],
                root_parents: vec![Vec::new(); 13],
                bit_parents: vec![Vec::new(); 13],
            };
            for root in 0..30_u32 {
                let first = (random.unit() * 10.0) as usize;
                let children: Vec<usize> = (first..(first + 1 + root as usize % 3).min(10)).collect();
                children.iter().for_each(|&b| graph.root_parents[b].push(root));
                graph.root_children.push(children.iter().map(|&b| b as u32).collect());
            }
            for bit in 0..10_u32 {
                let child = 10 + (random.unit() * 3.0) as u32;
                graph.bit_children[bit as usize].push(child);
                graph.bit_parents[child as usize].push(bit);
            }
            let (plain, climbed) = (Run::new(&graph).go(0), order(&graph, MOST_SWEEPS));
            assert!(climbed.cost <= plain.cost);
            assert_eq!(climbed.actions.len(), 43);
            let at = |action| climbed.actions.iter().position(|&a| a == action).unwrap();
            for (root, children) in graph.root_children.iter().enumerate() {
                assert!(children.iter().all(|&b| at(Action::Root(root as u32)) < at(Action::Close(b))));
            }
            for (bit, children) in graph.bit_children.iter().enumerate() {
                assert!(children.iter().all(|&c| at(Action::Close(bit as u32)) < at(Action::Close(c))));
            }
            let again = measured(&graph, climbed.actions.clone());
            assert_eq!((again.width, again.cost), (climbed.width, climbed.cost));
        }
    }
}
