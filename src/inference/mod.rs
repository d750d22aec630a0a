//! Exact inference in networks of roots and leaky noisy-OR nodes. Knows nothing of casting.
//!
//! A [`Network`] has *roots*, each in order or in one of its deviating states (the *causes*), and *nodes*, each a leaky
//! noisy-OR of causes and earlier nodes:
//!
//! ```text
//! P(absent | parents) = (1 - leak) x product over present parents of (1 - strength)
//! ```
//!
//! [`Evidence`] is a pair of likelihoods for each variable that something is known about. [`Network::prepare`] turns it
//! into a [`Prepared`], of which all else is asked. Everything is a ratio of sums
//!
//! ```text
//! Z(w, E) = sum over all states of P(state) x likelihood(E) x product of the weights w of the root states that hold
//! ```
//!
//! The sum goes root by root and carries one table over the on/off states of the nodes that are *open*: have met their
//! first parent and not yet their last. Only non-negative numbers are added, so nothing cancels: errors stay near the
//! number of steps times 1e-16 however improbable the evidence. (Inclusion and exclusion over the findings, the
//! textbook way, loses all digits at some sixteen rare findings.) Time grows with two to the power of the *width*, the
//! largest number of nodes open at once, not of the number of findings.
//!
//! The way of a query: `reduce` settles all that needs no sum, `solved` cuts the rest into independent components,
//! `order` finds an order for each, `sweep` does the passes with the loops in `kernel`, `posterior` reads marginals
//! off them, `barren` adds nodes without evidence below, and `sample` draws joint states. `prepare` chooses what to do when the width is too
//! large; an answer that is not exact always comes with a [`Bound`].
//!
//! ```
//! use aftercast::inference::{Evidence, Likelihood, NetworkBuilder, Probability};
//!
//! let p = |v| Probability::new(v);
//! let mut builder = NetworkBuilder::default();
//! let hot = builder.root(&[p(0.1)?])?[0];
//! let wet = builder.root(&[p(0.2)?])?[0];
//! let pores = builder.node(p(0.01)?, &[(hot.into(), p(0.8)?), (wet.into(), p(0.4)?)])?;
//! let network = builder.build();
//! let mut seen = Evidence::new();
//! seen.set(pores, Likelihood::YES);
//! let posterior = network.prepare(&seen).map_err(|e| e.to_string()).unwrap().posterior();
//! assert!(posterior.cause(hot) > 0.5);
//! # Ok::<(), aftercast::inference::BuildError>(())
//! ```

mod barren;
mod evidence;
mod explain;
mod information;
mod kernel;
mod limits;
mod network;
mod order;
mod posterior;
mod prepare;
mod random;
mod reduce;
mod sample;
mod solved;
mod sweep;

pub use evidence::{Evidence, Likelihood, Weights};
pub use explain::{Explanation, WeightsOfEvidence, conflict, explanations, weights_of_evidence};
pub use information::{Information, information};
pub use limits::{InferenceError, Limits};
pub use network::{BuildError, CauseId, Network, NetworkBuilder, NodeId, Probability, Var};
pub use posterior::{ActivePosterior, Bound, Posterior};
pub use prepare::Prepared;
pub use random::Random;
pub use sample::World;
