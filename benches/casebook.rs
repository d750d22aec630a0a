//! How search, likeness and lists grow with the casebook: 1000, 10 000 and 100 000 generated cases in short form.

use aftercast::casebook::index::{Entry, Index};
use aftercast::casebook::like::nearest;
use aftercast::casebook::quiz::Chance;
use aftercast::casebook::{Case, shipped};
use aftercast::rules::RuleBase;
use divan::{Bencher, black_box};
use std::sync::LazyLock;

fn main() {
    divan::main();
}

static RULES: LazyLock<RuleBase> =
    LazyLock::new(|| aftercast::rules::shipped(&aftercast::sheet::catalogue()).rules);

/// Cases mixed from the shipped ones: the words of one, the findings of another, the sheet of a third.
fn index(count: usize) -> Index {
    let cases: Vec<Case> = shipped(&RULES).cases;
    let mut chance = Chance::new(5);
    let mut index = Index::default();
    for number in 0..count {
        let mut case = cases[chance.below(cases.len())].clone();
        case.id = format!("case-{number}");
        case.observations = cases[chance.below(cases.len())].observations.clone();
        case.sheet = cases[chance.below(cases.len())].sheet.clone();
        index.add(&RULES, &case, true);
    }
    index
}

const SIZES: [usize; 3] = [1_000, 10_000, 100_000];

#[divan::bench(args = SIZES, sample_count = 10)]
fn search(bencher: Bencher<'_, '_>, count: usize) {
    let index = index(count);
    bencher.bench_local(|| index.search(black_box("whte powdre in the hole")).len());
}

#[divan::bench(args = SIZES, sample_count = 10)]
fn like(bencher: Bencher<'_, '_>, count: usize) {
    let index = index(count);
    let case = &shipped(&RULES).cases[3];
    let job = Entry::question(&RULES, &case.observations, &case.sheet);
    bencher.bench_local(|| nearest(&index, black_box(&job), None, 5).len());
}
