//! What holds in every state that answers can lead to.

use aftercast::advice::{Observation, Sureness};
use aftercast::interview::{Interview, Next, Record, Said, Start, Told, Turn};
use aftercast::rules::names::AlloyName;
use aftercast::rules::{Finding, QuestionKey, Reveals, RuleBase};
use aftercast::sheet::{Field, Sheet};
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Instant;

use crate::caster::{Random, shipped};

/// Anything that the question takes, sense or not.
fn any_answer(rules: &RuleBase, question: QuestionKey, random: &mut Random) -> Said {
    match random.below(8) {
        0 => return Said::Skipped,
        1 => return Said::Unknown,
        _ => {}
    }
    match &rules.question(question).reveals {
        Reveals::Signs { answers, .. } => {
            Said::Picked { answers: vec![random.below(answers.len())], sure: random.below(5) > 0 }
        }
        Reveals::Fact(fact) => Said::Value(random.below(rules.fact(*fact).values.len())),
        Reveals::Alloy => {
            Said::Alloy(AlloyName::Alloy(rules.alloy_keys().nth(random.below(rules.alloys.len())).unwrap()))
        }
        Reveals::Quantity(quantity) => {
            let (low, high) = Field::find(rules.quantity(*quantity).id).unwrap().limits().usual;
            Said::Figure(low + (high - low) * random.unit())
        }
    }
}

/// Something said without being asked: a sign or a defect, there or not.
fn any_words(rules: &RuleBase, random: &mut Random) -> Told {
    let how = [Sureness::Seen, Sureness::Probably, Sureness::Absent][random.below(3)];
    let finding = if random.below(3) == 0 {
        Finding::Defect(rules.defect_keys().nth(random.below(rules.defects.len())).unwrap())
    } else {
        Finding::Sign(rules.sign_keys().nth(random.below(rules.signs.len())).unwrap())
    };
    let words = format!("words {}", random.below(1_000_000));
    Told {
        words,
        findings: vec![Observation { finding, how }],
        alloy: None,
        facts: Vec::new(),
        figures: Vec::new(),
        perhaps: Vec::new(),
    }
}

/// What is known, for comparing two ways to it.
fn known(interview: &Interview<'_>) -> (Vec<(String, f64)>, Sheet) {
    let rules = interview.rules();
    let causes = interview.standing().causes().iter();
    let mut causes: Vec<(String, f64)> =
        causes.map(|s| (rules.cause(s.cause).id.clone(), s.had_a_hand)).collect();
    causes.sort_by(|a, b| a.0.cmp(&b.0));
    (causes, interview.standing().sheet().clone())
}

fn same(a: &Interview<'_>, b: &Interview<'_>) {
    let ((causes, sheet), (others, other)) = (known(a), known(b));
    assert_eq!(sheet, other);
    for ((id, p), (_, q)) in causes.iter().zip(&others) {
        assert!((p - q).abs() < 1e-9, "{id}: {p} and {q}");
    }
    assert_eq!(a.standing().open(), b.standing().open());
}

/// Questions whose answers cannot be made up at random: they may be refused, and then another answer is taken.
fn step(interview: &mut Interview<'_>, random: &mut Random) -> bool {
    let rules = interview.rules();
    let open = interview.standing().open().to_vec();
    let asked: Vec<QuestionKey> = interview.steps().iter().map(|s| s.question).collect();
    assert!(open.iter().all(|q| !asked.contains(q)), "asked twice");
    // What a question waits for was asked, or is settled without.
    for q in &open {
        let question = rules.question(*q);
        if !question.needs.is_empty() {
            let standing = interview.standing();
            let found = |n: &aftercast::rules::Finding| standing.findings().iter().find(|o| o.finding == *n);
            let ruled_out = question.needs.iter().all(|n| {
                matches!(n, aftercast::rules::Finding::Sign(_)) && found(n).is_some_and(|o| !o.is_present())
            });
            assert!(!ruled_out, "{} is out of play", question.id);
        }
    }
    // To choose among the questions costs more than all else here: it is done in every fourth state.
    if random.below(4) == 0
        && let Next::Ask(chosen) = interview.next()
    {
        assert!(open.contains(&chosen.worth.question), "a question out of play");
    }
    if open.is_empty() {
        return false;
    }
    if random.below(6) == 0 {
        let before = interview.turns();
        let told = any_words(rules, random);
        match interview.tell(told.clone()) {
            Ok(_) => assert!(interview.turns().contains(&Turn::Told(told))),
            Err(refused) => {
                assert!(!refused.message.is_empty() && !refused.help.is_empty());
                assert_eq!(interview.turns(), before, "refused words leave no trace");
            }
        }
        return true;
    }
    let question = open[random.below(open.len())];
    for _ in 0..20 {
        let said = any_answer(rules, question, random);
        let before = interview.steps().len();
        match interview.answer(question, said) {
            Ok(_) => return true,
            Err(refused) => {
                assert!(!refused.message.is_empty() && !refused.help.is_empty());
                assert_eq!(interview.steps().len(), before, "a refused answer leaves no trace");
            }
        }
    }
    // Out is always a way: a question can be skipped.
    interview.answer(question, Said::Skipped).unwrap();
    true
}

fn walk(rules: &RuleBase, seed: u64) {
    let mut random = Random(seed);
    let mut interview = Interview::new(rules, Start { seed, ..Start::default() }).unwrap();
    let most = 2 + random.below(12);
    while interview.steps().len() < most && step(&mut interview, &mut random) {
        if random.below(6) == 0 && !interview.steps().is_empty() {
            let place = random.below(interview.steps().len());
            let question = interview.steps()[place].question;
            assert!(interview.back(place));
            assert_eq!(interview.steps().len(), place);
            assert!(interview.standing().open().contains(&question), "the question gone back to is open");
        }
        let told = interview.turns().iter().filter_map(Turn::told).count();
        if told > 0 && random.below(6) == 0 {
            interview.untell(random.below(told)).unwrap();
            assert_eq!(interview.turns().iter().filter_map(Turn::told).count(), told - 1);
        }
    }
    interview.finish();
    assert!(interview.finished());
    interview.standing().diagnose().unwrap();
}

#[test]
fn no_walk_over_the_questions_panics_or_ends_dead() {
    let rules = shipped();
    // 10,000 with AFTERCAST_SESSIONS=10000; as many as fit in a few seconds otherwise.
    let sessions: Option<u64> = std::env::var("AFTERCAST_SESSIONS").ok().map(|n| n.parse().unwrap());
    let started = Instant::now();
    let (next, walked) = (AtomicU64::new(0), AtomicU64::new(0));
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(1, usize::from).min(8) {
            scope.spawn(|| {
                loop {
                    let seed = next.fetch_add(1, Ordering::Relaxed);
                    if sessions.map_or(started.elapsed().as_secs() >= 6, |n| seed >= n) {
                        break;
                    }
                    walk(&rules, seed);
                    if walked.fetch_add(1, Ordering::Relaxed) % 1000 == 999 {
                        println!("{} sessions in {:.0} s", seed + 1, started.elapsed().as_secs_f64());
                    }
                }
            });
        }
    });
    let walked = walked.load(Ordering::Relaxed);
    println!("{walked} sessions in {:.1} s", started.elapsed().as_secs_f64());
    assert!(walked >= 3, "only {walked} sessions: a state takes too long");
}

#[test]
fn another_answer_after_going_back_equals_having_given_it_first() {
    let rules = shipped();
    let mut changed = 0;
    for seed in 0..10 {
        let mut random = Random(1000 + seed);
        let start = Start { seed, ..Start::default() };
        let mut interview = Interview::new(&rules, start.clone()).unwrap();
        while interview.steps().len() < 4 && step(&mut interview, &mut random) {}
        let before: Vec<Turn> = interview.turns();
        let answers = interview.steps().to_vec();
        let place = random.below(answers.len());
        let question = answers[place].question;
        assert!(interview.back(place));
        let other = any_answer(&rules, question, &mut random);
        let Ok(kept) = interview.answer(question, other.clone()) else { continue };
        changed += usize::from(other != answers[place].said);
        // The same, said straight on.
        let mut straight = Interview::new(&rules, start).unwrap();
        for turn in &before {
            match turn {
                Turn::Told(told) if kept.unsaid.contains(&told.words) => {}
                Turn::Told(told) => drop(straight.tell(told.clone()).unwrap()),
                Turn::Answered(step) if step.question == question => {
                    straight.answer(question, other.clone()).unwrap();
                }
                Turn::Answered(step) if kept.dropped.contains(&step.question) => {}
                Turn::Answered(step) => drop(straight.answer(step.question, step.said.clone()).unwrap()),
            }
        }
        assert_eq!(interview.turns(), straight.turns());
        same(&interview, &straight);
        assert_eq!(interview.next(), straight.next());
        assert_eq!(kept.kept.len() + kept.dropped.len(), answers.len() - place - 1);
    }
    assert!(changed >= 4, "only {changed} answers differed");
}

#[test]
fn words_taken_back_leave_what_was_there_without_them() {
    let rules = shipped();
    for seed in 0..6 {
        let mut random = Random(3000 + seed);
        let start = Start { seed, ..Start::default() };
        let mut with = Interview::new(&rules, start.clone()).unwrap();
        let mut without = Interview::new(&rules, start).unwrap();
        let words = random.below(3);
        for at in 0..3 {
            if at == words && with.tell(any_words(&rules, &mut random)).is_err() {
                break;
            }
            // The same question must be open in both, or it would be dropped with the words.
            let both = |q: &&QuestionKey| without.standing().open().contains(q);
            let Some(question) = with.standing().open().iter().find(both).copied() else { break };
            let said = any_answer(&rules, question, &mut random);
            if with.answer(question, said.clone()).is_ok() {
                without.answer(question, said).unwrap();
            }
        }
        if let Some(kept) = with.untell(0) {
            assert_eq!(kept.dropped, []);
        }
        assert_eq!(with.steps(), without.steps());
        same(&with, &without);
    }
}

#[test]
fn a_journal_played_again_is_the_same_interview() {
    let rules = shipped();
    for seed in 0..4 {
        let mut random = Random(2000 + seed);
        let start = Start { seed, ..Start::default() };
        let mut records = vec![Record::start(&rules, &start)];
        let mut interview = Interview::new(&rules, start).unwrap();
        while interview.steps().len() < 6 && step(&mut interview, &mut random) {
            let turns = interview.turns();
            if turns.len() >= records.len() {
                records.push(match turns.last().unwrap() {
                    Turn::Answered(step) => Record::answer(&rules, step),
                    Turn::Told(told) => Record::told(&rules, told),
                });
            }
        }
        for words in ["said and taken back", "said and stands"] {
            let cold = rules.find_sign("hole-seen").unwrap();
            let told = Told {
                words: words.to_owned(),
                findings: vec![],
                alloy: None,
                facts: vec![],
                figures: vec![(Field::FlaskTemperature, 640.5)],
                perhaps: vec![],
            };
            let meant = Observation { finding: Finding::Sign(cold), how: Sureness::Probably };
            for record in [Record::told(&rules, &told), Record::meant(&rules, &meant)] {
                interview.apply(&record).unwrap();
                records.push(record);
            }
        }
        let unsaid = Record::Unsaid { words: "said and taken back".to_owned() };
        interview.apply(&unsaid).unwrap();
        records.push(unsaid);
        interview.note("a new lot of powder");
        records.push(Record::Note { text: "a new lot of powder".to_owned() });
        let lines: Vec<String> = records.iter().map(|r| serde_json::to_string(r).unwrap()).collect();
        let read: Vec<Record> = lines.iter().map(|l| serde_json::from_str(l).unwrap()).collect();
        assert_eq!(read, records);
        let (again, lost) = Interview::replay(&rules, &read).unwrap();
        assert_eq!(lost, []);
        assert_eq!(again.turns(), interview.turns());
        assert_eq!(again.notes(), interview.notes());
        same(&again, &interview);
    }
}

#[test]
fn with_nothing_given_the_kinds_of_fault_come_first_and_with_a_defect_they_do_not() {
    let rules = shipped();
    let interview = Interview::new(&rules, Start::default()).unwrap();
    let Next::Ask(first) = interview.next() else { panic!("nothing is asked") };
    assert_eq!(rules.question(first.worth.question).id, "kind-of-fault");
    assert!(first.first);
    let defect = rules.find_defect("gas-porosity").unwrap();
    let seen = aftercast::advice::Observation {
        finding: aftercast::rules::Finding::Defect(defect),
        how: aftercast::advice::Sureness::Seen,
    };
    let interview = Interview::new(&rules, Start { findings: vec![seen], ..Start::default() }).unwrap();
    let Next::Ask(first) = interview.next() else { panic!("nothing is asked") };
    assert_eq!(rules.question(first.worth.question).id, "alloy-asked");
    let mut interview = interview;
    interview.answer(first.worth.question, Said::Unknown).unwrap();
    let Next::Ask(next) = interview.next() else { panic!("nothing is asked") };
    assert!(next.worth.net > 0.0);
}

#[test]
fn replies_are_read_by_number_by_id_and_in_words() {
    use aftercast::interview::read_reply;
    let rules = shipped();
    let picked = |answers: &[usize]| Ok(Said::Picked { answers: answers.to_vec(), sure: true });
    let q = |id: &str| rules.find_question(id).unwrap();
    let read = |id: &str, text: &str| read_reply(&rules, q(id), text).map_err(|_| ());
    assert_eq!(read("kind-of-fault", "1"), picked(&[0]));
    assert_eq!(read("kind-of-fault", "1, 4"), picked(&[0, 3]));
    assert_eq!(read("kind-of-fault", "hole-seen"), picked(&[0]));
    assert_eq!(read("kind-of-fault", "missing"), picked(&[1]));
    assert_eq!(read("kind-of-fault", "1, 8"), Err(()), "cannot tell goes with nothing else");
    assert_eq!(read("kind-of-fault", "9"), Err(()));
    assert_eq!(read("kind-of-fault", "\u{1b}[2J"), Err(()));
    assert_eq!(read("pore-walls", "angular"), picked(&[1]));
    assert_eq!(read("pore-walls", "1, 2"), Err(()), "one answer only");
    assert_eq!(read("pore-walls", "probably 1"), Ok(Said::Picked { answers: vec![0], sure: false }));
    assert_eq!(read("pore-walls", "Don't know"), Ok(Said::Unknown));
    assert_eq!(read("sunk-skin", "yes"), picked(&[0]));
    assert_eq!(read("sunk-skin", "no"), picked(&[1]));
    assert_eq!(read("sunk-skin", "probably no"), Err(()));
    assert_eq!(
        read("flask-heat-asked", "1112 F").map(|s| matches!(s, Said::Figure(v) if (v - 600.0).abs() < 1e-6)),
        Ok(true)
    );
    assert_eq!(read("flask-heat-asked", "600"), Err(()), "a bare number");
    for about in ["about 600 C", "~600C", "ca 600 C", "Roughly 600 C"] {
        assert_eq!(read("flask-heat-asked", about), Ok(Said::Figure(600.0)), "{about}");
    }
    let strange = |id: &str, text: &str| read_reply(&rules, q(id), text).unwrap_err().strange;
    assert!(strange("flask-heat-asked", "the flask was hot") && strange("pore-walls", "small round holes"));
    assert!(!strange("flask-heat-asked", "600") && !strange("pore-walls", "9"));
    assert_eq!(read("flask-heat-asked", "6400 C"), Err(()), "cannot be");
    assert_eq!(read("binder-asked", "plaster"), Ok(Said::Value(0)));
    assert!(matches!(read("alloy-asked", "sterling"), Ok(Said::Alloy(_))));
    assert_eq!(read("alloy-asked", "unobtainium"), Err(()));
}

/// As casters type: which one in words, several joined by a word, and that nobody knows.
#[test]
fn replies_in_normal_speech_are_read() {
    use aftercast::interview::read_reply;
    let rules = shipped();
    let picked = |answers: &[usize], sure| Ok(Said::Picked { answers: answers.to_vec(), sure });
    let q = |id: &str| rules.find_question(id).unwrap();
    let read = |id: &str, text: &str| read_reply(&rules, q(id), text).map_err(|_| ());
    for unknown in ["cant say", "can't remember", "i dont know", "I don't remember", "not sure", "cant tell"]
    {
        for question in ["kind-of-fault", "flask-heat-asked", "binder-asked", "alloy-asked"] {
            assert_eq!(read(question, unknown), Ok(Said::Unknown), "{question}: {unknown}");
        }
    }
    assert_eq!(read("kind-of-fault", "1 and 3"), picked(&[0, 2], true));
    assert_eq!(read("kind-of-fault", "2 & 4"), picked(&[1, 3], true));
    assert_eq!(read("kind-of-fault", "holes and cracked"), picked(&[0, 3], true));
    assert_eq!(read("pore-walls", "one"), picked(&[0], true));
    assert_eq!(read("pore-walls", "the first one"), picked(&[0], true));
    assert_eq!(read("pore-walls", "probably the second"), picked(&[1], false));
    assert_eq!(read("binder-asked", "probably plaster"), Ok(Said::Value(0)));
    assert_eq!(read("flask-heat-asked", "maybe 600c"), Ok(Said::Figure(600.0)));
    // "one large void" is the third answer there, and "one" no number then.
    assert_eq!(read("pore-spread", "one"), Err(()));
    assert_eq!(read("pore-spread", "one void"), picked(&[2], true));
    // A no that names something is weighed softly; a plain no cannot be.
    assert_eq!(read("copies-compared", "probably not"), picked(&[1], false));
    assert_eq!(read("sunk-skin", "probably not"), Err(()));
    assert_eq!(read("sunk-skin", "I think so"), picked(&[0], false));
}

/// A figure is possible and still hardly meant: what is usual is said with what else it may be.
#[test]
fn a_figure_that_is_hardly_meant_is_known_for_what_it_may_be() {
    use aftercast::interview::unlikely;
    let rules = shipped();
    let doubt = |field: Field, text: &str| {
        let value = field.dimension().parse(text).unwrap();
        unlikely(&rules, &Sheet::default(), field, value, text)
    };
    let may_be = |field: Field, text: &str| doubt(field, text).map(|d| d.instead);
    assert_eq!(
        may_be(Field::BurnoutPeak, "1870F"),
        Some(vec![Field::MeltTemperature, Field::FlaskTemperature])
    );
    assert_eq!(may_be(Field::FlaskTemperature, "20 C"), Some(vec![Field::WaterTemperature]));
    assert_eq!(may_be(Field::WorkTime, "1.5 hours"), Some(vec![Field::SetTime]));
    assert_eq!(may_be(Field::MixTime, "1.5 hours"), Some(vec![Field::SetTime]));
    for (field, text) in [
        (Field::BurnoutPeak, "732 C"),
        (Field::BurnoutPeak, "900 C"),
        (Field::FlaskTemperature, "480 C"),
        (Field::MixTime, "3 min"),
    ] {
        assert_eq!(may_be(field, text), None, "{text}");
    }
    let other = doubt(Field::FlaskTemperature, "1100 C").and_then(|d| d.other_scale).map(f64::round);
    assert_eq!(other, Some(593.0), "a flask of 1100 was read off a dial in Fahrenheit");
    // In gypsum a platinum programme is no programme.
    let mut sheet = Sheet::default();
    let binder = rules.find_fact("binder").unwrap();
    let gypsum = rules.fact(binder).values.iter().position(|v| v.id == "gypsum").unwrap();
    sheet.facts.insert(binder, gypsum);
    let peak = unlikely(&rules, &sheet, Field::BurnoutPeak, 900.0, "900 C").unwrap();
    assert!(peak.in_gypsum && peak.usual.1 < 900.0);
}
