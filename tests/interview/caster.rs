//! Casters that are made up from the model: a job, a joint state of all causes, defects and signs, and truthful answers.

use aftercast::advice::Model;
use aftercast::inference::{Evidence, World};
use aftercast::interview::{Interview, Said, Start};
use aftercast::rules::names::AlloyName;
use aftercast::rules::{CauseKey, FactKey, FamilyKey, QuestionKey, Reveals, RuleBase};
use aftercast::sheet::{Sheet, catalogue};

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
    pub(crate) fn by_share(&mut self, shares: &[f64]) -> usize {
        let mut left = self.unit() * shares.iter().sum::<f64>();
        for (at, share) in shares.iter().enumerate() {
            if left < *share {
                return at;
            }
            left -= share;
        }
        shares.len() - 1
    }
}

pub(crate) fn shipped() -> RuleBase {
    let loaded = aftercast::rules::shipped(&catalogue());
    assert_eq!(loaded.problems.errors(), 0);
    loaded.rules
}

/// A bad cast: what it was made of, what is true of it, and which cause made it bad.
pub(crate) struct Caster<'a> {
    rules: &'a RuleBase,
    family: FamilyKey,
    facts: Vec<(FactKey, usize)>,
    world: World,
    /// Signs' and defects' variables.
    model: Model<'a>,
    pub(crate) cause: CauseKey,
}

impl<'a> Caster<'a> {
    /// Draws a job by the shares of the facts, then joint states until a cause has brought a defect that shows as one of
    /// the kinds of fault.
    pub(crate) fn draw(rules: &'a RuleBase, random: &mut Random) -> Self {
        let kinds = kinds(rules);
        loop {
            let shares: Vec<f64> = rules.families.iter().map(|f| f.share).collect();
            let family = rules.family_keys().nth(random.by_share(&shares)).unwrap();
            let mut sheet = Sheet::default();
            sheet.name_alloy(rules, AlloyName::Family(family));
            let mut facts = Vec::new();
            for key in rules.fact_keys().filter(|k| *k != FactKey::FAMILY) {
                let shares: Vec<f64> = rules.fact(key).values.iter().map(|v| v.share).collect();
                let value = random.by_share(&shares);
                sheet.facts.insert(key, value);
                facts.push((key, value));
            }
            let model = Model::new(rules, &sheet).unwrap();
            let prepared = model.network.prepare(&Evidence::new()).unwrap();
            let world = prepared.sample(1, random.next()).pop().unwrap();
            drop(prepared);
            // The links that fired: of one defect that is there, one cause.
            let mut fired = Vec::new();
            for defect in rules.defect_keys().filter(|d| world.holds(model.defect(*d))) {
                let seen = rules
                    .defect(defect)
                    .shows
                    .iter()
                    .any(|l| kinds.contains(&l.to) && world.holds(model.sign(l.to)));
                let chance = world.chance(&model.network, model.defect(defect));
                for cause in rules.cause_keys().filter(|c| seen && world.holds(model.cause(*c))) {
                    let strength = model.strength(cause, defect);
                    if strength > 0.0 && random.unit() < strength / chance {
                        fired.push(cause);
                    }
                }
            }
            if !fired.is_empty() {
                let cause = fired[random.below(fired.len())];
                return Self { rules, family, facts, world, model, cause };
            }
        }
    }

    fn true_sign(&self, sign: aftercast::rules::SignKey) -> bool {
        self.world.holds(self.model.sign(sign))
    }

    /// The truthful answer; figures are not on record.
    pub(crate) fn answer(&self, question: QuestionKey) -> Said {
        match &self.rules.question(question).reveals {
            Reveals::Signs { answers, many } => {
                let fits = |a: &&aftercast::rules::Answer| {
                    !(a.present.is_empty() && a.absent.is_empty())
                        && a.present.iter().all(|s| self.true_sign(*s))
                        && a.absent.iter().all(|s| !self.true_sign(*s))
                };
                let places = |wanted: &dyn Fn(&&aftercast::rules::Answer) -> bool| -> Vec<usize> {
                    answers.iter().enumerate().filter(|(_, a)| wanted(a)).map(|(at, _)| at).collect()
                };
                let mut picked = if *many {
                    let seen = places(&|a| fits(a) && !a.present.is_empty());
                    if seen.is_empty() { places(&fits) } else { seen }
                } else {
                    places(&fits)
                };
                if !many {
                    picked.truncate(1);
                }
                if picked.is_empty() { Said::Unknown } else { Said::Picked { answers: picked, sure: true } }
            }
            Reveals::Fact(fact) => {
                self.facts.iter().find(|(k, _)| k == fact).map_or(Said::Unknown, |(_, v)| Said::Value(*v))
            }
            Reveals::Alloy => Said::Alloy(AlloyName::Family(self.family)),
            Reveals::Quantity(_) => Said::Skipped,
        }
    }

    /// Place of the true cause in the ranking, from 0.
    pub(crate) fn rank(&self, interview: &Interview<'_>) -> usize {
        let causes = interview.standing().causes();
        causes.iter().position(|(c, _)| *c == self.cause).unwrap()
    }
}

/// The signs of the first question.
fn kinds(rules: &RuleBase) -> Vec<aftercast::rules::SignKey> {
    let interview = Interview::new(rules, Start::default()).unwrap();
    let [first] = interview.standing().open() else { panic!("one question comes first") };
    let Reveals::Signs { answers, .. } = &rules.question(*first).reveals else {
        panic!("it asks what is seen")
    };
    answers.iter().flat_map(|a| &a.present).copied().collect()
}
