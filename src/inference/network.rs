//! The network: roots with their deviating states, and leaky noisy-OR nodes below them.

use std::fmt;
use std::sync::Arc;

/// One deviating state of one root. Ordinary causes are roots with a single such state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct CauseId(u32);

/// A noisy-OR node: a defect or a sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct NodeId(u32);

impl CauseId {
    /// Position of the cause among all causes, in the order in which they were added.
    pub const fn index(self) -> usize {
        self.0 as usize
    }
    pub(super) fn at(index: usize) -> Self {
        Self(index as u32)
    }
}

impl NodeId {
    /// Position of the node among all nodes, in the order in which they were added.
    pub const fn index(self) -> usize {
        self.0 as usize
    }
    pub(super) fn at(index: usize) -> Self {
        Self(index as u32)
    }
}

/// Anything that can be present or absent and that evidence can be about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Var {
    /// A deviating state of a root.
    Cause(CauseId),
    /// A node below the roots.
    Node(NodeId),
}

impl From<CauseId> for Var {
    fn from(id: CauseId) -> Self {
        Self::Cause(id)
    }
}

impl From<NodeId> for Var {
    fn from(id: NodeId) -> Self {
        Self::Node(id)
    }
}

/// A finite number from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Probability(f64);

impl Probability {
    /// Cannot be.
    pub const ZERO: Self = Self(0.0);
    /// Must be.
    pub const ONE: Self = Self(1.0);

    /// Accepts a finite number from 0 to 1.
    pub fn new(value: f64) -> Result<Self, BuildError> {
        // Adding 0.0 turns -0.0 into 0.0.
        if (0.0..=1.0).contains(&value) {
            Ok(Self(value + 0.0))
        } else {
            Err(BuildError::NotAProbability(value))
        }
    }

    /// The number.
    pub const fn get(self) -> f64 {
        self.0
    }
}

/// Why a network, or a number in it, was refused.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum BuildError {
    /// Not a finite number from 0 to 1.
    #[error("{0} is not a probability")]
    NotAProbability(f64),
    /// The deviating states of one root add up to more than one.
    #[error("the states of one root add up to {0}, more than 1")]
    SumAboveOne(f64),
    /// A root needs a deviating state.
    #[error("a root has no deviating state")]
    NoState,
    /// A parent that was not added before its child.
    #[error("parent {0:?} does not exist")]
    UnknownParent(Var),
    /// The same parent twice in one node.
    #[error("parent {0:?} is named twice")]
    DuplicateParent(Var),
    /// A likelihood pair that is negative, not finite, or zero on both sides.
    #[error("({absent}, {present}) is not a pair of likelihoods")]
    NotALikelihood {
        /// Likelihood of what was seen if the thing is absent.
        absent: f64,
        /// Likelihood of what was seen if the thing is present.
        present: f64,
    },
    /// New priors must come one for each cause.
    #[error("{given} priors for {causes} causes")]
    WrongNumberOfPriors {
        /// How many were given.
        given: usize,
        /// How many causes there are.
        causes: usize,
    },
    /// More variables than a 32-bit index can name.
    #[error("too many variables")]
    TooMany,
}

/// The part of a network that new priors leave as it is.
#[derive(Debug, Default)]
pub(super) struct Shape {
    /// First cause of each root, and one entry past the end.
    pub(super) root_start: Vec<u32>,
    pub(super) root_of: Vec<u32>,
    pub(super) leak: Vec<f64>,
    pub(super) parent_start: Vec<u32>,
    pub(super) parents: Vec<(Var, f64)>,
    /// Children of a variable with the strength of the link, zero strengths left out; by flat variable index.
    pub(super) child_start: Vec<u32>,
    pub(super) children: Vec<(u32, f64)>,
}

/// Builds a [`Network`] from the top down; a parent must exist before its child, so there are no cycles.
#[derive(Debug, Default)]
pub struct NetworkBuilder {
    roots: Vec<u32>,
    root_of: Vec<u32>,
    prior: Vec<f64>,
    leak: Vec<f64>,
    parent_start: Vec<u32>,
    parents: Vec<(Var, f64)>,
}

/// Rounding may carry a sum of decimals this far past one.
const SUM_SLACK: f64 = 1e-12;

impl NetworkBuilder {
    /// Adds a root. `states` are the probabilities of its deviating states, which exclude each other; the state
    /// "in order" takes what is left.
    pub fn root(&mut self, states: &[Probability]) -> Result<Vec<CauseId>, BuildError> {
        if states.is_empty() {
            return Err(BuildError::NoState);
        }
        let sum: f64 = states.iter().map(|p| p.get()).sum();
        if sum > 1.0 + SUM_SLACK {
            return Err(BuildError::SumAboveOne(sum));
        }
        let first = self.prior.len();
        if first + states.len() + self.leak.len() > u32::MAX as usize / 2 {
            return Err(BuildError::TooMany);
        }
        let root = self.roots.len() as u32;
        self.roots.push(first as u32);
        for state in states {
            self.prior.push(state.get());
            self.root_of.push(root);
        }
        Ok((first..self.prior.len()).map(CauseId::at).collect())
    }

    /// Adds a leaky noisy-OR node: P(absent | parents) = (1 - leak) x product over present parents of (1 - strength).
    /// The leak is apart from the strengths (the convention of Diez, not that of Henrion).
    pub fn node(&mut self, leak: Probability, parents: &[(Var, Probability)]) -> Result<NodeId, BuildError> {
        for (i, &(var, _)) in parents.iter().enumerate() {
            let known = match var {
                Var::Cause(c) => c.index() < self.prior.len(),
                Var::Node(n) => n.index() < self.leak.len(),
            };
            if !known {
                return Err(BuildError::UnknownParent(var));
            }
            if parents[..i].iter().any(|&(other, _)| other == var) {
                return Err(BuildError::DuplicateParent(var));
            }
        }
        if self.prior.len() + self.leak.len() + 1 > u32::MAX as usize / 2 {
            return Err(BuildError::TooMany);
        }
        self.parent_start.push(self.parents.len() as u32);
        self.parents.extend(parents.iter().map(|&(var, p)| (var, p.get())));
        self.leak.push(leak.get());
        Ok(NodeId::at(self.leak.len() - 1))
    }

    /// The finished network.
    pub fn build(mut self) -> Network {
        self.roots.push(self.prior.len() as u32);
        self.parent_start.push(self.parents.len() as u32);
        let causes = self.prior.len();
        let flat = |var: Var| match var {
            Var::Cause(c) => c.index(),
            Var::Node(n) => causes + n.index(),
        };
        let mut child_start = vec![0u32; causes + self.leak.len() + 1];
        for &(var, _) in self.parents.iter().filter(|(_, s)| *s > 0.0) {
            child_start[flat(var) + 1] += 1;
        }
        for i in 1..child_start.len() {
            child_start[i] += child_start[i - 1];
        }
        let mut at = child_start.clone();
        let mut children = vec![(0, 0.0); *child_start.last().unwrap_or(&0) as usize];
        for node in 0..self.leak.len() {
            let range = self.parent_start[node] as usize..self.parent_start[node + 1] as usize;
            for &(var, s) in self.parents[range].iter().filter(|(_, s)| *s > 0.0) {
                let slot = &mut at[flat(var)];
                children[*slot as usize] = (node as u32, s);
                *slot += 1;
            }
        }
        let shape = Shape {
            root_start: self.roots,
            root_of: self.root_of,
            leak: self.leak,
            parent_start: self.parent_start,
            parents: self.parents,
            child_start,
            children,
        };
        Network::with(Arc::new(shape), self.prior)
    }
}

/// A layered noisy-OR network. Cheap to clone, and to copy with other priors.
#[derive(Clone)]
pub struct Network {
    pub(super) shape: Arc<Shape>,
    pub(super) prior: Vec<f64>,
    /// Probability of "in order", by root.
    pub(super) in_order: Vec<f64>,
}

impl fmt::Debug for Network {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Network({} roots, {} causes, {} nodes)", self.roots(), self.causes(), self.nodes())
    }
}

impl Network {
    fn with(shape: Arc<Shape>, prior: Vec<f64>) -> Self {
        let in_order = shape
            .root_start
            .windows(2)
            .map(|w| (1.0 - prior[w[0] as usize..w[1] as usize].iter().sum::<f64>()).max(0.0))
            .collect();
        Self { shape, prior, in_order }
    }

    /// The same structure with new probabilities, one for each cause in the order of their indices.
    pub fn with_priors(&self, priors: &[Probability]) -> Result<Self, BuildError> {
        if priors.len() != self.causes() {
            return Err(BuildError::WrongNumberOfPriors { given: priors.len(), causes: self.causes() });
        }
        let prior: Vec<f64> = priors.iter().map(|p| p.get()).collect();
        for w in self.shape.root_start.windows(2) {
            let sum: f64 = prior[w[0] as usize..w[1] as usize].iter().sum();
            if sum > 1.0 + SUM_SLACK {
                return Err(BuildError::SumAboveOne(sum));
            }
        }
        Ok(Self::with(Arc::clone(&self.shape), prior))
    }

    /// Number of roots.
    pub fn roots(&self) -> usize {
        self.in_order.len()
    }

    /// Number of causes: deviating states over all roots.
    pub fn causes(&self) -> usize {
        self.prior.len()
    }

    /// Number of nodes.
    pub fn nodes(&self) -> usize {
        self.shape.leak.len()
    }

    /// All causes in order.
    pub fn cause_ids(&self) -> impl ExactSizeIterator<Item = CauseId> + DoubleEndedIterator + use<> {
        (0..self.causes()).map(CauseId::at)
    }

    /// All nodes in order, parents before children.
    pub fn node_ids(&self) -> impl ExactSizeIterator<Item = NodeId> + DoubleEndedIterator + use<> {
        (0..self.nodes()).map(NodeId::at)
    }

    /// Prior probability of a cause.
    pub fn prior(&self, cause: CauseId) -> f64 {
        self.prior[cause.index()]
    }

    /// All deviating states of the root that `cause` belongs to, itself included.
    pub fn siblings(
        &self,
        cause: CauseId,
    ) -> impl ExactSizeIterator<Item = CauseId> + DoubleEndedIterator + use<> {
        self.states(self.root_of(cause)).map(CauseId::at)
    }

    /// Chance that the node is present when all its parents are absent.
    pub fn leak(&self, node: NodeId) -> f64 {
        self.shape.leak[node.index()]
    }

    /// Parents of a node with the strength of each link.
    pub fn parents(&self, node: NodeId) -> &[(Var, f64)] {
        let i = node.index();
        &self.shape.parents[self.shape.parent_start[i] as usize..self.shape.parent_start[i + 1] as usize]
    }

    pub(super) fn root_of(&self, cause: CauseId) -> usize {
        self.shape.root_of[cause.index()] as usize
    }

    /// Indices of the causes of one root.
    pub(super) fn states(&self, root: usize) -> std::ops::Range<usize> {
        self.shape.root_start[root] as usize..self.shape.root_start[root + 1] as usize
    }

    pub(super) fn children_of_cause(&self, cause: usize) -> &[(u32, f64)] {
        self.children(cause)
    }

    pub(super) fn children_of_node(&self, node: usize) -> &[(u32, f64)] {
        self.children(self.causes() + node)
    }

    fn children(&self, flat: usize) -> &[(u32, f64)] {
        &self.shape.children[self.shape.child_start[flat] as usize..self.shape.child_start[flat + 1] as usize]
    }

    pub(super) fn contains(&self, var: Var) -> bool {
        match var {
            Var::Cause(c) => c.index() < self.causes(),
            Var::Node(n) => n.index() < self.nodes(),
        }
    }
}
