//! What was seen, and weights that stand for "what if".

use super::network::{BuildError, CauseId, Network, Var};

/// How likely what was seen is if the thing is absent, and if it is present. Only the ratio matters for posteriors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Likelihood {
    absent: f64,
    present: f64,
}

impl Likelihood {
    /// The thing is there for certain.
    pub const YES: Self = Self { absent: 0.0, present: 1.0 };
    /// The thing is not there for certain.
    pub const NO: Self = Self { absent: 1.0, present: 0.0 };

    /// An uncertain observation. Both finite and not negative, at least one above zero.
    pub fn soft(absent: f64, present: f64) -> Result<Self, BuildError> {
        let fine = |v: f64| v.is_finite() && v >= 0.0;
        if fine(absent) && fine(present) && (absent > 0.0 || present > 0.0) {
            Ok(Self { absent, present })
        } else {
            Err(BuildError::NotALikelihood { absent, present })
        }
    }

    /// Likelihood if the thing is absent.
    pub const fn absent(self) -> f64 {
        self.absent
    }

    /// Likelihood if the thing is present.
    pub const fn present(self) -> f64 {
        self.present
    }

    /// Both observations, independent of each other. YES and NO together leave (0, 0): impossible evidence.
    fn and(self, other: Self) -> Self {
        Self { absent: self.absent * other.absent, present: self.present * other.present }
    }
}

/// Findings in the order in which they came in; at most one entry a variable.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Evidence {
    items: Vec<(Var, Likelihood)>,
}

impl Evidence {
    /// Nothing seen yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds an observation. Another one about the same variable multiplies with it and keeps the earlier place.
    pub fn set(&mut self, var: impl Into<Var>, likelihood: Likelihood) {
        let var = var.into();
        match self.items.iter_mut().find(|(other, _)| *other == var) {
            Some((_, held)) => *held = held.and(likelihood),
            None => self.items.push((var, likelihood)),
        }
    }

    /// Takes back all that was said about a variable; tells whether there was anything.
    pub fn remove(&mut self, var: impl Into<Var>) -> bool {
        let var = var.into();
        let before = self.items.len();
        self.items.retain(|(other, _)| *other != var);
        self.items.len() < before
    }

    /// What is held about a variable.
    pub fn get(&self, var: impl Into<Var>) -> Option<Likelihood> {
        let var = var.into();
        self.items.iter().find(|(other, _)| *other == var).map(|&(_, l)| l)
    }

    /// The findings in the order in which they came in.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = (Var, Likelihood)> + '_ {
        self.items.iter().copied()
    }

    /// Number of variables with findings.
    pub fn len(&self) -> usize {
        self.items.len()
    }

    /// Whether nothing was seen.
    pub fn is_empty(&self) -> bool {
        self.items.is_empty()
    }

    /// The same evidence with one more observation.
    pub fn with(&self, var: impl Into<Var>, likelihood: Likelihood) -> Self {
        let mut more = self.clone();
        more.set(var, likelihood);
        more
    }

    /// The same evidence without what was said about one variable.
    pub fn without(&self, var: impl Into<Var>) -> Self {
        let mut less = self.clone();
        less.remove(var);
        less
    }

    /// The first findings only.
    pub(super) fn first(&self, count: usize) -> Self {
        Self { items: self.items[..count.min(self.items.len())].to_vec() }
    }
}

impl FromIterator<(Var, Likelihood)> for Evidence {
    fn from_iter<I: IntoIterator<Item = (Var, Likelihood)>>(iter: I) -> Self {
        let mut evidence = Self::new();
        for (var, likelihood) in iter {
            evidence.set(var, likelihood);
        }
        evidence
    }
}

/// One factor for each state of each root: Z(w, E) sums P(state) x likelihood(E) x the factors of the states that
/// hold. A negative or undefined weight counts as 0.
#[derive(Debug, Clone, PartialEq)]
pub struct Weights {
    pub(super) cause: Vec<f64>,
    pub(super) in_order: Vec<f64>,
    pub(super) root_of: Vec<u32>,
}

impl Weights {
    /// All weights 1: changes nothing.
    pub fn ones(network: &Network) -> Self {
        Self {
            cause: vec![1.0; network.causes()],
            in_order: vec![1.0; network.roots()],
            root_of: network.shape.root_of.clone(),
        }
    }

    /// The weight of a cause being present.
    pub fn set(&mut self, cause: CauseId, weight: f64) {
        self.cause[cause.index()] = clean(weight);
    }

    /// The weight of the in-order state of the root that `cause` belongs to.
    pub fn set_in_order(&mut self, cause: CauseId, weight: f64) {
        let root = self.root_of[cause.index()] as usize;
        self.in_order[root] = clean(weight);
    }

    /// Multiplies the weight of a cause being present.
    pub fn multiply(&mut self, cause: CauseId, factor: f64) {
        self.cause[cause.index()] *= clean(factor);
    }

    /// Multiplies the weight of the in-order state of the root that `cause` belongs to.
    pub fn multiply_in_order(&mut self, cause: CauseId, factor: f64) {
        let root = self.root_of[cause.index()] as usize;
        self.in_order[root] *= clean(factor);
    }

    /// The weight of a cause being present.
    pub fn get(&self, cause: CauseId) -> f64 {
        self.cause[cause.index()]
    }

    /// The weight of the in-order state of the root that `cause` belongs to.
    pub fn get_in_order(&self, cause: CauseId) -> f64 {
        self.in_order[self.root_of[cause.index()] as usize]
    }
}

fn clean(weight: f64) -> f64 {
    if weight > 0.0 { weight.min(f64::MAX) } else { 0.0 }
}
