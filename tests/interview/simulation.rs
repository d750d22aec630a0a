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
        if std::env::var("AFTERCAST_TRACE").is_ok() && order == Order::Chosen {
            let w = interview.worths();
            println!("   {:<22} {:?} bits {:.2} saves {:.1} net {:.1}", rules.question(question).id, caster.answer(question), w[0].bits, w[0].saves, w[0].net);
        }
        let t = std::time::Instant::now();
        interview.answer(question, caster.answer(question)).unwrap();
        if std::env::var("AFTERCAST_TRACE").is_ok() { println!("      {order:?} {:?} exact {}", t.elapsed(), interview.standing().exact()); }
        ranks.push(caster.rank(&interview));
    }
    if std::env::var("AFTERCAST_TRACE").is_ok() && order == Order::Chosen {
        println!("truth {} ranks {ranks:?}", rules.cause(caster.cause).id);
        for (c, p) in interview.standing().causes().iter().take(4) { println!("      {p:.2} {}", rules.cause(*c).id); }
    }
    ranks
}

#[test]
fn chosen_questions_find_the_cause_sooner_than_others() {
    let rules = shipped();
    let runs: u64 = std::env::var("AFTERCAST_RUNS").map_or(30, |n| n.parse().unwrap());
    let mut curves = Vec::new();
    for order in [Order::Chosen, Order::Fixed, Order::Random] {
        let mut found = vec![0usize; MOST + 1];
        let mut asked = 0;
        for seed in 0..runs {
            let caster = Caster::draw(&rules, &mut Random(seed));
            let ranks = run(&rules, &caster, order, seed);
            asked += ranks.len() - 1;
            for (k, count) in found.iter_mut().enumerate() {
                *count += usize::from(ranks[k.min(ranks.len() - 1)] < 3);
            }
        }
        println!("{order:?}: {:.1} questions; in the first three after 0..{MOST}: {:?}", asked as f64 / runs as f64, found.iter().map(|f| f * 100 / runs as usize).collect::<Vec<_>>());
        curves.push(found);
    }
}
