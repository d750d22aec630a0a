//! Seeded random networks and evidence.

use aftercast::inference::{
    CauseId, Evidence, Likelihood, Network, NetworkBuilder, NodeId, Probability, Var,
};

/// splitmix64: the same numbers on every machine.
pub(crate) struct Random(pub(crate) u64);

impl Random {
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
    pub(crate) fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }
    pub(crate) fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
    pub(crate) fn log_between(&mut self, low: f64, high: f64) -> f64 {
        self.between(low.ln(), high.ln()).exp()
    }
    pub(crate) fn chance(&mut self, p: f64) -> bool {
        self.unit() < p
    }
    pub(crate) fn pick<T: Copy>(&mut self, from: &[T], count: usize) -> Vec<T> {
        let mut left: Vec<T> = from.to_vec();
        (0..count.min(left.len())).map(|_| left.swap_remove(self.below(left.len()))).collect()
    }
}

pub(crate) fn p(value: f64) -> Probability {
    Probability::new(value).unwrap()
}

/// Small networks of any shape: roots with up to three states, two to three layers of nodes, parents from any
/// earlier layer, now and then probabilities 0 and 1.
pub(crate) fn small(random: &mut Random, roots: usize, nodes: usize) -> Network {
    let mut builder = NetworkBuilder::default();
    let mut vars: Vec<Var> = Vec::new();
    for _ in 0..roots {
        let states = if random.chance(0.3) { 1 + random.below(3) } else { 1 };
        let mut probabilities: Vec<_> =
            (0..states).map(|_| p(random.log_between(0.01, 0.9 / states as f64))).collect();
        if random.chance(0.04) {
            probabilities[0] = p(0.0);
        }
        vars.extend(builder.root(&probabilities).unwrap().into_iter().map(Var::Cause));
    }
    for _ in 0..nodes {
        let fan = random.below(5).min(vars.len());
        let parents: Vec<_> = random.pick(&vars, fan);
        let strength = |random: &mut Random| match random.below(25) {
            0 => 0.0,
            1 => 1.0,
            _ => random.between(0.05, 0.95),
        };
        let parents: Vec<_> = parents.into_iter().map(|v| (v, p(strength(random)))).collect();
        let leak = if random.chance(0.15) { 0.0 } else { random.log_between(0.001, 0.2) };
        vars.push(builder.node(p(leak), &parents).unwrap().into());
    }
    builder.build()
}

/// Evidence about up to `count` variables, some of it soft, some of it about causes.
pub(crate) fn evidence(random: &mut Random, network: &Network, count: usize) -> Evidence {
    let nodes: Vec<Var> = network.node_ids().map(Var::Node).collect();
    let causes: Vec<Var> = network.cause_ids().map(Var::Cause).collect();
    let mut evidence = Evidence::new();
    for _ in 0..count {
        let from = if random.chance(0.15) || nodes.is_empty() { &causes } else { &nodes };
        let var = from[random.below(from.len())];
        let likelihood = match random.below(5) {
            0 | 1 => Likelihood::YES,
            2 | 3 => Likelihood::NO,
            _ => Likelihood::soft(random.between(0.05, 1.0), random.between(0.05, 1.0)).unwrap(),
        };
        evidence.set(var, likelihood);
    }
    evidence
}

/// Three layers as a rule base has them: roots, defects over 2 to 5 roots, signs over 1 to 4 defects or causes.
pub(crate) fn layered(
    random: &mut Random,
    roots: usize,
    defects: usize,
    signs: usize,
) -> (Network, Vec<NodeId>) {
    let mut builder = NetworkBuilder::default();
    let mut causes: Vec<CauseId> = Vec::new();
    for _ in 0..roots {
        causes.extend(builder.root(&[p(random.log_between(0.01, 0.4))]).unwrap());
    }
    let mut below = Vec::new();
    for _ in 0..defects {
        let fan = 2 + random.below(4);
        let parents: Vec<_> = random.pick(&causes, fan).into_iter().map(Var::Cause).collect();
        let parents: Vec<_> = parents.into_iter().map(|v| (v, p(random.between(0.1, 0.95)))).collect();
        below.push(builder.node(p(random.log_between(0.001, 0.05)), &parents).unwrap());
    }
    let mut all = below.clone();
    for _ in 0..signs {
        let fan = [1, 1, 1, 1, 2, 2, 2, 3, 3, 4][random.below(10)];
        let parents: Vec<Var> = if random.chance(0.2) || below.is_empty() {
            random.pick(&causes, fan).into_iter().map(Var::Cause).collect()
        } else {
            random.pick(&below, fan).into_iter().map(Var::Node).collect()
        };
        let parents: Vec<_> = parents.into_iter().map(|v| (v, p(random.between(0.1, 0.95)))).collect();
        all.push(builder.node(p(random.log_between(0.001, 0.05)), &parents).unwrap());
    }
    (builder.build(), all)
}
