//! The one source of chance.

/// A small generator (splitmix64): the same draws on every machine.
#[derive(Debug, Clone)]
pub struct Random(u64);

impl Random {
    /// From a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number, any as likely as any other.
    pub fn number(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly from 0 up to but not 1.
    #[expect(clippy::cast_precision_loss, reason = "53 bits are all that the type holds")]
    pub fn unit(&mut self) -> f64 {
        (self.number() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A number below `end`; 0 when `end` is 0.
    pub fn below(&mut self, end: usize) -> usize {
        let end = u64::try_from(end).unwrap_or(u64::MAX).max(1);
        usize::try_from(self.number() % end).unwrap_or(0)
    }

    /// Puts a list in another order.
    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for at in (1..list.len()).rev() {
            list.swap(at, self.below(at + 1));
        }
    }

    /// True with the chance `p`.
    pub(super) fn chance(&mut self, p: f64) -> bool {
        self.unit() < p
    }

    /// A place in a list of weights, by their shares; never one of weight 0 while another has some.
    pub(super) fn one_of(&mut self, weights: impl Iterator<Item = f64> + Clone) -> usize {
        let mut left = self.unit() * weights.clone().sum::<f64>();
        let mut last = 0;
        for (i, weight) in weights.enumerate().filter(|(_, w)| *w > 0.0) {
            if left < weight {
                return i;
            }
            left -= weight;
            last = i;
        }
        last
    }
}
