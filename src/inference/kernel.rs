//! Inner loops over tables. A table has one number for each on/off state of the open bits; the bit at position `k`
//! is the `k`-th binary digit of the index. All numbers are non-negative and none is ever subtracted.

/// A parent switches the bit at `position` on with probability `p`: on += p x off, off x= 1 - p.
pub(super) fn push(table: &mut [f64], position: u32, p: f64) {
    let q = 1.0 - p;
    match position {
        0 => blocks::<2, 1>(table, |off, on| (q * off, on + p * off)),
        1 => blocks::<4, 2>(table, |off, on| (q * off, on + p * off)),
        2 => blocks::<8, 4>(table, |off, on| (q * off, on + p * off)),
        _ => halves(table, position, |off, on| (q * off, on + p * off)),
    }
}

/// The transpose of [`push`]: off becomes (1 - p) x off + p x on.
pub(super) fn pull(table: &mut [f64], position: u32, p: f64) {
    let q = 1.0 - p;
    match position {
        0 => blocks::<2, 1>(table, |off, on| (q * off + p * on, on)),
        1 => blocks::<4, 2>(table, |off, on| (q * off + p * on, on)),
        2 => blocks::<8, 4>(table, |off, on| (q * off + p * on, on)),
        _ => halves(table, position, |off, on| (q * off + p * on, on)),
    }
}

/// out = [`push`] of table.
pub(super) fn pushed(out: &mut [f64], table: &[f64], position: u32, p: f64) {
    let q = 1.0 - p;
    match position {
        0 => block_pairs::<2, 1>(out, table, |off, on, _, _| (q * off, on + p * off)),
        1 => block_pairs::<4, 2>(out, table, |off, on, _, _| (q * off, on + p * off)),
        2 => block_pairs::<8, 4>(out, table, |off, on, _, _| (q * off, on + p * off)),
        _ => half_pairs(out, table, position, |off, on, _, _| (q * off, on + p * off)),
    }
}

/// out += factor x [`push`] of table.
pub(super) fn add_pushed(out: &mut [f64], table: &[f64], position: u32, p: f64, factor: f64) {
    let (q, p) = (factor * (1.0 - p), factor * p);
    let f = |off: f64, on: f64, a: f64, b: f64| (a + q * off, b + (factor * on + p * off));
    match position {
        0 => block_pairs::<2, 1>(out, table, f),
        1 => block_pairs::<4, 2>(out, table, f),
        2 => block_pairs::<8, 4>(out, table, f),
        _ => half_pairs(out, table, position, f),
    }
}

/// out = whole x table + factor x [`push`] of table.
pub(super) fn mixed(out: &mut [f64], table: &[f64], position: u32, p: f64, whole: f64, factor: f64) {
    let (q, p, on_stays) = (whole + factor * (1.0 - p), factor * p, whole + factor);
    let f = |off: f64, on: f64, _: f64, _: f64| (q * off, on_stays * on + p * off);
    match position {
        0 => block_pairs::<2, 1>(out, table, f),
        1 => block_pairs::<4, 2>(out, table, f),
        2 => block_pairs::<8, 4>(out, table, f),
        _ => half_pairs(out, table, position, f),
    }
}

/// `f` gets the two sides in the table and what stands at their places in `out`.
fn block_pairs<const BLOCK: usize, const HALF: usize>(
    out: &mut [f64],
    table: &[f64],
    f: impl Fn(f64, f64, f64, f64) -> (f64, f64),
) {
    for (out, block) in out.as_chunks_mut::<BLOCK>().0.iter_mut().zip(table.as_chunks::<BLOCK>().0) {
        for i in 0..HALF {
            (out[i], out[i + HALF]) = f(block[i], block[i + HALF], out[i], out[i + HALF]);
        }
    }
}

fn half_pairs(out: &mut [f64], table: &[f64], position: u32, f: impl Fn(f64, f64, f64, f64) -> (f64, f64)) {
    let half = 1usize << position;
    for (out, block) in out.chunks_exact_mut(2 * half).zip(table.chunks_exact(2 * half)) {
        let (off, on) = block.split_at(half);
        let (out_off, out_on) = out.split_at_mut(half);
        for (((off, on), a), b) in off.iter().zip(on).zip(out_off).zip(out_on) {
            (*a, *b) = f(*off, *on, *a, *b);
        }
    }
}

fn blocks<const BLOCK: usize, const HALF: usize>(table: &mut [f64], f: impl Fn(f64, f64) -> (f64, f64)) {
    for block in table.as_chunks_mut::<BLOCK>().0 {
        for i in 0..HALF {
            (block[i], block[i + HALF]) = f(block[i], block[i + HALF]);
        }
    }
}

fn halves(table: &mut [f64], position: u32, f: impl Fn(f64, f64) -> (f64, f64)) {
    let half = 1usize << position;
    for block in table.chunks_exact_mut(2 * half) {
        let (off, on) = block.split_at_mut(half);
        for (off, on) in off.iter_mut().zip(on) {
            (*off, *on) = f(*off, *on);
        }
    }
}

/// Doubles the first `size` numbers of a table for a new bit in the highest position.
pub(super) fn open(table: &mut [f64], size: usize, off: f64, on: f64) {
    let (low, high) = table[..2 * size].split_at_mut(size);
    for (low, high) in low.iter_mut().zip(high) {
        *high = *low * on;
        *low *= off;
    }
}

/// The transpose of [`open`]: halves the first `2 * size` numbers.
pub(super) fn unopen(table: &mut [f64], size: usize, off: f64, on: f64) {
    let (low, high) = table[..2 * size].split_at_mut(size);
    for (low, high) in low.iter_mut().zip(high) {
        *low = off * *low + on * *high;
    }
}

/// out = factor x table.
pub(super) fn scaled(out: &mut [f64], table: &[f64], factor: f64) {
    for (out, v) in out.iter_mut().zip(table) {
        *out = factor * v;
    }
}

/// out += factor x table.
pub(super) fn add_scaled(out: &mut [f64], table: &[f64], factor: f64) {
    for (out, v) in out.iter_mut().zip(table) {
        *out += factor * v;
    }
}

/// One side of the bit at `position`, times `factor`; `add` adds to what is there.
pub(super) fn take_side(out: &mut [f64], table: &[f64], position: u32, side: usize, factor: f64, add: bool) {
    let half = 1usize << position;
    for (out, block) in out.chunks_exact_mut(half).zip(table.chunks_exact(2 * half)) {
        let block = &block[side * half..(side + 1) * half];
        if add { add_scaled(out, block, factor) } else { scaled(out, block, factor) }
    }
}

/// The transpose of [`take_side`].
pub(super) fn put_side(out: &mut [f64], table: &[f64], position: u32, side: usize, factor: f64) {
    let half = 1usize << position;
    for (out, block) in out.chunks_exact_mut(2 * half).zip(table.chunks_exact(half)) {
        scaled(&mut out[side * half..(side + 1) * half], block, factor);
    }
}

/// Inner product in four running sums, for speed and for smaller rounding.
pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut sums = [0.0; 4];
    let ((a4, a_rest), (b4, b_rest)) = (a.as_chunks::<4>(), b.as_chunks::<4>());
    for (a, b) in a4.iter().zip(b4) {
        for k in 0..4 {
            sums[k] += a[k] * b[k];
        }
    }
    let rest: f64 = a_rest.iter().zip(b_rest).map(|(a, b)| a * b).sum();
    (sums[0] + sums[1]) + (sums[2] + sums[3]) + rest
}

/// Inner product of `a` with one side of the bit at `position` of `table`.
pub(super) fn dot_side(a: &[f64], table: &[f64], position: u32, side: usize) -> f64 {
    let half = 1usize << position;
    if half < 4 {
        let mut sum = 0.0;
        for (i, a) in a.iter().enumerate() {
            let index = ((i >> position) << (position + 1)) | (side << position) | (i & (half - 1));
            sum += a * table[index];
        }
        return sum;
    }
    a.chunks_exact(half)
        .zip(table.chunks_exact(2 * half))
        .map(|(a, t)| dot(a, &t[side * half..(side + 1) * half]))
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(seed: u64) -> Vec<f64> {
        (0..64u64).map(|i| ((i * 37 + seed * 101 + 11) % 97) as f64 / 97.0).collect()
    }

    #[test]
    fn pull_is_the_transpose_of_push_at_every_position() {
        for position in 0..6 {
            let (a, b) = (table(1), table(2));
            let (mut pushed, mut pulled) = (a.clone(), b.clone());
            push(&mut pushed, position, 0.3);
            pull(&mut pulled, position, 0.3);
            assert!((dot(&pushed, &b) - dot(&a, &pulled)).abs() < 1e-12);
            assert!((pushed.iter().sum::<f64>() - a.iter().sum::<f64>()).abs() < 1e-12, "push moves mass");
        }
    }

    #[test]
    fn pushes_from_one_table_to_another_are_pushes() {
        for position in 0..6 {
            let (a, b) = (table(1), table(2));
            let mut wanted = a.clone();
            push(&mut wanted, position, 0.3);
            let (mut out, mut sum, mut both) = (b.clone(), b.clone(), b.clone());
            pushed(&mut out, &a, position, 0.3);
            add_pushed(&mut sum, &a, position, 0.3, 0.6);
            mixed(&mut both, &a, position, 0.3, 0.7, 0.6);
            assert_eq!(out, wanted);
            for (i, s) in sum.iter().enumerate() {
                assert!((s - b[i] - 0.6 * wanted[i]).abs() < 1e-14);
                assert!((both[i] - 0.7 * a[i] - 0.6 * wanted[i]).abs() < 1e-14);
            }
        }
    }

    #[test]
    fn sides_and_openings_have_their_transposes() {
        for position in 0..6 {
            let (a, b) = (table(3), &table(4)[..32]);
            for side in 0..2 {
                let (mut taken, mut put) = (vec![0.0; 32], vec![0.0; 64]);
                take_side(&mut taken, &a, position, side, 0.7, false);
                put_side(&mut put, b, position, side, 0.7);
                assert!((dot(&taken, b) - dot(&a, &put)).abs() < 1e-12);
                assert!((0.7 * dot_side(b, &a, position, side) - dot(&taken, b)).abs() < 1e-12);
            }
        }
        let (mut opened, mut closed) = (table(5), table(6));
        let small = opened[..32].to_vec();
        open(&mut opened, 32, 0.9, 0.1);
        unopen(&mut closed, 32, 0.9, 0.1);
        assert!((dot(&opened, &table(6)) - dot(&small, &closed[..32])).abs() < 1e-12);
    }
}
