//! What it costs to explain findings by the ten defects that fit them best: posteriors of the focused network against
//! those of the whole one, on every case of tests/cases whose whole network is narrow enough for an exact sum.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use aftercast::advice::{Model, standings};
use aftercast::casebook::folder;
use aftercast::casebook::score::job;
use aftercast::rules::shipped;
use aftercast::sheet::catalogue;
use std::path::Path;

/// Wider sums take seconds without optimisation.
const WIDEST: usize = 15;

#[test]
fn focusing_moves_posteriors_by_little_and_the_ranking_hardly() {
    let rules = shipped(&catalogue()).rules;
    let read =
        folder(&rules, Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/cases"))).expect("the cases");
    let (mut compared, mut same_first, mut total, mut worst) = (0, 0, 0.0, (0.0, String::new()));
    let mut causes = 0.0;
    for case in &read.cases {
        let sheet = job(&rules, case);
        let whole = Model::new(&rules, &sheet).unwrap();
        let evidence = whole.evidence(&case.observations);
        if whole.network.width(&evidence).unwrap() > WIDEST {
            continue;
        }
        let focused = Model::focused(&rules, &sheet, &case.observations).unwrap();
        let exact = whole.network.prepare(&evidence).unwrap().posterior_active();
        let evidence_of_focused = focused.evidence(&case.observations);
        let near = focused.network.prepare(&evidence_of_focused).unwrap().posterior_active();
        for cause in rules.cause_keys() {
            let off = (exact.cause(whole.cause(cause)) - near.cause(focused.cause(cause))).abs();
            total += off;
            causes += 1.0;
            if off > worst.0 {
                worst = (off, format!("{} in {}", rules.cause(cause).id, case.id));
            }
        }
        let first = |model: &Model<'_>, evidence, posterior| standings(model, evidence, posterior)[0].cause;
        compared += 1;
        same_first +=
            usize::from(first(&whole, &evidence, &exact) == first(&focused, &evidence_of_focused, &near));
    }
    println!(
        "{compared} cases: mean {:.5}, worst {:.3} ({}), first cause the same in {same_first}",
        total / causes,
        worst.0,
        worst.1
    );
    assert!(compared >= 15, "too few cases are narrow enough: {compared}");
    assert!(total / causes < 0.002, "mean {}", total / causes);
    assert!(worst.0 < 0.06, "worst {} {}", worst.0, worst.1);
    assert!(same_first + 1 >= compared, "the first cause changed in {} cases", compared - same_first);
}
