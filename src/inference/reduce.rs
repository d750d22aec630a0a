//! Reduction: everything about the evidence that can be settled without a sum over joint states.
//!
//! Barren nodes are left out. An absent finding is a factor on each parent's present side. A known parent is folded
//! into its child's leak. A node with evidence (its own or from below), no open child and at most one open parent
//! becomes a factor on that parent. What remains are the *bits*: nodes whose state the sweep has to carry.

use super::evidence::Evidence;
use super::limits::InferenceError;
use super::network::{Network, NodeId, Var};

/// What the reduction made of a node.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    /// No evidence at or below it.
    Barren,
    /// Certainly absent or present, by evidence or by consequence.
    Known(bool),
    /// Hidden, and turned into a factor on its one open parent (or into a constant).
    Collapsed(Option<Single>),
    /// Hidden, and carried by the sweep.
    Bit,
}

/// The one thing that the open parents of a node depend on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Single {
    Root(usize),
    Node(usize),
}

/// The open parents of a node: none, all within one root or one node, or several.
pub(super) enum Units {
    None,
    One(Single),
    Several,
}

/// Which state of a root holds; in order is `None`.
pub(super) type RootState = Option<usize>;

pub(super) struct Reduction<'n> {
    pub(super) network: &'n Network,
    /// ln of all constant factors.
    pub(super) ln_constant: f64,
    /// Root weights: prior times all factors on the root; each root sums to 1 once `finish` has run.
    pub(super) in_order: Vec<f64>,
    pub(super) cause: Vec<f64>,
    pub(super) fixed: Vec<Option<RootState>>,
    pub(super) kind: Vec<Kind>,
    /// Likelihood pair of each node from its own evidence and its absorbed children.
    pub(super) pair: Vec<(f64, f64)>,
    /// Chance of absence and presence with the known parents folded in and all open parents absent.
    pub(super) leak: Vec<(f64, f64)>,
    relevant: Vec<bool>,
    done: Vec<bool>,
    dropped: Vec<bool>,
    open_children: Vec<u32>,
    queue: Vec<u32>,
    queued: Vec<bool>,
    impossible: bool,
}

/// Reduces `evidence`. `forced` fixes roots to a state (keeping that state's probability as a factor); the factors
/// of the findings in `dropped` are left out. `Ok(None)`: the evidence is impossible.
pub(super) fn reduce<'n>(
    network: &'n Network,
    evidence: &Evidence,
    forced: &[(usize, RootState)],
    dropped: &[Var],
) -> Result<Option<Reduction<'n>>, InferenceError> {
    let nodes = network.nodes();
    let mut r = Reduction {
        network,
        ln_constant: 0.0,
        in_order: network.in_order.clone(),
        cause: network.prior.clone(),
        fixed: vec![None; network.roots()],
        kind: vec![Kind::Barren; nodes],
        pair: vec![(1.0, 1.0); nodes],
        leak: network.shape.leak.iter().map(|&on| (1.0 - on, on)).collect(),
        relevant: vec![false; nodes],
        done: vec![false; nodes],
        dropped: vec![false; nodes],
        open_children: vec![0; nodes],
        queue: Vec::with_capacity(nodes),
        queued: vec![false; nodes],
        impossible: false,
    };
    for (var, likelihood) in evidence.iter() {
        if !network.contains(var) {
            return Err(InferenceError::Unknown(var));
        }
        let (absent, present) = (likelihood.absent(), likelihood.present());
        let known = absent == 0.0 || present == 0.0;
        match var {
            Var::Cause(c) => {
                let root = network.root_of(c);
                r.in_order[root] *= absent;
                for state in network.states(root) {
                    r.cause[state] *= if state == c.index() { present } else { absent };
                }
            }
            Var::Node(n) if !dropped.contains(&var) => {
                r.pair[n.index()] = (absent, present);
                r.relevant[n.index()] |= absent != present;
                if absent == present {
                    r.constant(absent);
                    r.pair[n.index()] = (1.0, 1.0);
                }
            }
            // A dropped finding keeps what it says about the node itself, for its children; only the chance of the
            // finding given its parents is left out. A soft one is left out altogether.
            Var::Node(n) if known => {
                r.pair[n.index()] = (absent, present);
                r.relevant[n.index()] = true;
                r.dropped[n.index()] = true;
            }
            Var::Node(_) => {}
        }
    }
    for &(root, state) in forced {
        for s in network.states(root) {
            if state != Some(s) {
                r.cause[s] = 0.0;
            }
        }
        if state.is_some() {
            r.in_order[root] = 0.0;
        }
    }
    r.run();
    Ok(if r.impossible { None } else { Some(r) })
}

impl Reduction<'_> {
    fn run(&mut self) {
        let network = self.network;
        for n in (0..network.nodes()).rev() {
            if self.relevant[n] {
                if !self.dropped[n] {
                    for &(var, s) in network.parents(NodeId::at(n)) {
                        if let (Var::Node(u), true) = (var, s > 0.0) {
                            self.relevant[u.index()] = true;
                            self.open_children[u.index()] += 1;
                        }
                    }
                }
                self.push(n);
            }
        }
        for root in 0..network.roots() {
            self.settle_root(root);
        }
        while let Some(n) = self.queue.pop() {
            self.queued[n as usize] = false;
            if self.impossible {
                return;
            }
            self.settle_node(n as usize);
        }
        for n in 0..network.nodes() {
            if self.is_bit(n) && self.kind[n] == Kind::Barren {
                self.kind[n] = Kind::Bit;
            }
        }
        self.finish();
    }

    /// Brings root weights to sum 1 and pairs to largest 1, moving the rest to the constant.
    fn finish(&mut self) {
        for root in 0..self.network.roots() {
            let states = self.network.states(root);
            let sum = self.in_order[root] + self.cause[states.clone()].iter().sum::<f64>();
            if !(sum > 0.0 && sum.is_finite()) {
                self.impossible = true;
                return;
            }
            if sum != 1.0 {
                self.constant(sum);
                self.in_order[root] /= sum;
                self.cause[states].iter_mut().for_each(|w| *w /= sum);
            }
        }
        for n in 0..self.network.nodes() {
            if self.is_bit(n) {
                let top = self.pair[n].0.max(self.pair[n].1);
                if top != 1.0 {
                    self.constant(top);
                    self.pair[n] = (self.pair[n].0 / top, self.pair[n].1 / top);
                }
            }
        }
    }

    fn constant(&mut self, factor: f64) {
        if factor > 0.0 {
            self.ln_constant += factor.ln();
        } else {
            self.impossible = true;
        }
    }

    fn push(&mut self, n: usize) {
        if self.relevant[n] && !self.done[n] && !self.queued[n] {
            self.queued[n] = true;
            self.queue.push(n as u32);
        }
    }

    /// Fixes a root that has one possible state left.
    fn settle_root(&mut self, root: usize) {
        if self.fixed[root].is_some() {
            return;
        }
        let network = self.network;
        let mut possible = network.states(root).filter(|&s| self.cause[s] > 0.0);
        let state = match (self.in_order[root] > 0.0, possible.next(), possible.next()) {
            (true, None, _) => None,
            (false, Some(s), None) => Some(s),
            (false, None, _) => {
                self.impossible = true;
                return;
            }
            _ => return,
        };
        self.fixed[root] = Some(state);
        for s in network.states(root) {
            for &(child, strength) in network.children_of_cause(s) {
                if state == Some(s) {
                    self.fold(child as usize, strength);
                }
                self.push(child as usize);
            }
        }
    }

    /// Makes a known present parent part of the child's leak. A child that is already a factor on that parent keeps
    /// its own, as the parent's state is then what its posterior is asked for.
    fn fold(&mut self, child: usize, strength: f64) {
        if self.done[child] && self.kind[child] != Kind::Barren {
            return;
        }
        let (off, on) = self.leak[child];
        self.leak[child] = (off * (1.0 - strength), on + off * strength);
    }

    fn know(&mut self, n: usize, present: bool) {
        self.kind[n] = Kind::Known(present);
        let network = self.network;
        for &(child, strength) in network.children_of_node(n) {
            if present {
                self.fold(child as usize, strength);
            }
            self.push(child as usize);
        }
    }

    fn settle_node(&mut self, n: usize) {
        if self.done[n] {
            return;
        }
        let (l0, l1) = self.pair[n];
        if l0 == 0.0 && l1 == 0.0 {
            self.impossible = true;
            return;
        }
        if self.kind[n] == Kind::Barren && (l0 == 0.0 || l1 == 0.0) {
            self.know(n, l0 == 0.0);
        }
        let known = matches!(self.kind[n], Kind::Known(_));
        if self.dropped[n] {
            self.constant(l0.max(l1));
            self.done[n] = true;
            return;
        }
        if l1 == 0.0 {
            return self.absorb(n);
        }
        if !known && self.open_children[n] > 0 {
            return;
        }
        if l0 == l1 {
            // Nothing is said about it after all.
            self.constant(l0);
            self.pair[n] = (1.0, 1.0);
            self.relevant[n] = false;
            self.release_parents(n);
            return;
        }
        let (off, on) = self.leak[n];
        let base = l0 * off + l1 * on;
        let single = match self.units(n) {
            Units::Several => return,
            Units::None => None,
            Units::One(single) => Some(single),
        };
        let network = self.network;
        self.done[n] = true;
        if !known {
            self.kind[n] = Kind::Collapsed(single);
        }
        match single {
            None => self.constant(base),
            Some(Single::Root(root)) => {
                self.in_order[root] *= base;
                for s in network.states(root) {
                    let strength = link(network, n, Var::Cause(super::network::CauseId::at(s)));
                    self.cause[s] *= l0 * off * (1.0 - strength) + l1 * (on + off * strength);
                }
                self.settle_root(root);
            }
            Some(Single::Node(u)) => {
                let strength = link(network, n, Var::Node(NodeId::at(u)));
                self.pair[u].0 *= base;
                self.pair[u].1 *= l0 * off * (1.0 - strength) + l1 * (on + off * strength);
            }
        }
        self.release_parents(n);
    }

    /// An absent node: a factor for each of its open parents.
    fn absorb(&mut self, n: usize) {
        let network = self.network;
        self.constant(self.pair[n].0 * self.leak[n].0);
        self.done[n] = true;
        for &(var, strength) in network.parents(NodeId::at(n)) {
            match var {
                Var::Cause(c) if self.fixed[network.root_of(c)].is_none() => {
                    self.cause[c.index()] *= 1.0 - strength;
                }
                Var::Node(u) if !matches!(self.kind[u.index()], Kind::Known(_)) => {
                    self.pair[u.index()].1 *= 1.0 - strength;
                }
                _ => {}
            }
        }
        // Only now: fixing a root folds it into its children, and this one must take all its parents alike.
        for &(var, _) in network.parents(NodeId::at(n)).iter().filter(|(_, s)| *s == 1.0) {
            if let Var::Cause(c) = var {
                self.settle_root(network.root_of(c));
            }
        }
        self.release_parents(n);
    }

    fn release_parents(&mut self, n: usize) {
        let network = self.network;
        self.done[n] = true;
        for &(var, s) in network.parents(NodeId::at(n)) {
            if let (Var::Node(u), true) = (var, s > 0.0) {
                self.open_children[u.index()] -= 1;
                self.push(u.index());
            }
        }
    }

    /// Whether the sweep carries the node: a hidden one, or a known one that several things may have made present.
    pub(super) fn is_bit(&self, n: usize) -> bool {
        self.relevant[n] && !self.done[n]
    }

    /// Whether the state of a parent is still open. A cause that cannot be is not, even if its root is.
    pub(super) fn is_open(&self, var: Var) -> bool {
        match var {
            Var::Cause(c) => self.fixed[self.network.root_of(c)].is_none() && self.cause[c.index()] > 0.0,
            Var::Node(u) => !matches!(self.kind[u.index()], Kind::Known(_)),
        }
    }

    /// Open parents of a node with their strengths.
    pub(super) fn open_parents(&self, n: usize) -> impl Iterator<Item = (Var, f64)> + '_ {
        self.network.parents(NodeId::at(n)).iter().copied().filter(|&(var, s)| s > 0.0 && self.is_open(var))
    }

    /// What the open parents of a node depend on.
    pub(super) fn units(&self, n: usize) -> Units {
        let mut found = Units::None;
        for (var, _) in self.open_parents(n) {
            let unit = match var {
                Var::Cause(c) => Single::Root(self.network.root_of(c)),
                Var::Node(u) => Single::Node(u.index()),
            };
            match found {
                Units::None => found = Units::One(unit),
                Units::One(other) if other == unit => {}
                _ => return Units::Several,
            }
        }
        found
    }

    /// P(present), P(absent) of a collapsed node given that its open parent has the strength `strength` on it.
    pub(super) fn collapsed_given(&self, n: usize, strength: f64) -> (f64, f64) {
        let ((l0, l1), (off, on)) = (self.pair[n], self.leak[n]);
        let (a, p) = (l0 * off * (1.0 - strength), l1 * (on + off * strength));
        if a + p > 0.0 { (p / (a + p), a / (a + p)) } else { (0.0, 1.0) }
    }
}

/// Strength of the link from `parent` to node `n`; 0 if there is none.
pub(super) fn link(network: &Network, n: usize, parent: Var) -> f64 {
    network.parents(NodeId::at(n)).iter().find(|(var, _)| *var == parent).map_or(0.0, |&(_, s)| s)
}
