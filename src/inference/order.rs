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

/// Greedy search with seeded restarts: the same graph always gets the same order. Restarts go on only as long as they
/// cost little compared with the sweep that they may shorten.
pub(super) fn order(graph: &Graph) -> Order {
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
    best
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
        self.order.cost += (2 + touches) as f64 * 2f64.powi(self.open_count as i32) + 40.0;
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
        let order = order(&graph());
        let at = |action| order.actions.iter().position(|&a| a == action).unwrap();
        assert_eq!(order.actions.len(), 6);
        assert!(at(Action::Root(0)).max(at(Action::Root(1))) < at(Action::Close(0)));
        assert!(at(Action::Root(1)).max(at(Action::Root(2))) < at(Action::Close(1)));
        assert!(at(Action::Close(0)).max(at(Action::Close(1))) < at(Action::Close(2)));
        assert_eq!(order.width, 3);
    }

    #[test]
    fn the_same_graph_gets_the_same_order() {
        assert_eq!(order(&graph()).actions, order(&graph()).actions);
    }
}
