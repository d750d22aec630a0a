//! Casters that are made up from the model: a job, a joint state of all causes, defects and signs, and truthful answers.

use aftercast::advice::{Model, Observation, Sureness};
use aftercast::inference::{Evidence, World};
use aftercast::interview::{Interview, Said, Start};
use aftercast::rules::names::AlloyName;
use aftercast::rules::{
    Answer, CauseKey, DefectKey, FactKey, Finding, QuestionKey, Reveals, RuleBase, SignKey,
};
use aftercast::sheet::{Field, JobAlloy, Sheet, catalogue};

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

/// A bad cast: what it was made of, what is true of it, and which causes made it bad. Drawn from the model as it stands,
/// with nothing set by hand, so that how sure the program may be of its answer is what the model says.
pub(crate) struct Caster<'a> {
    rules: &'a RuleBase,
    /// The job in words, with every figure that was asked for so far.
    sheet: Sheet,
    world: World,
    /// Signs' and defects' variables.
    model: Model<'a>,
    /// The kinds of fault that the caster comes for.
    kinds: Vec<SignKey>,
    /// What should be found: the causes that brought the defects that are seen.
    pub(crate) acted: Vec<CauseKey>,
    random: Random,
}

impl<'a> Caster<'a> {
    /// Draws a job by the shares of the facts and a joint state of the model of that job, until a kind of fault is to be
    /// seen and a cause, not chance, brought it.
    pub(crate) fn draw(rules: &'a RuleBase, seed: u64) -> Self {
        let mut random = Random(seed);
        let kinds = kinds(rules);
        loop {
            let shares: Vec<f64> = rules.families.iter().map(|f| f.share).collect();
            let family = rules.family_keys().nth(random.by_share(&shares)).unwrap();
            let mut sheet = Sheet::default();
            sheet.name_alloy(rules, AlloyName::Family(family));
            for key in rules.fact_keys().filter(|k| *k != FactKey::FAMILY) {
                let context = sheet.context(rules);
                let values = 0..rules.fact(key).values.len();
                let shares: Vec<f64> = values.map(|v| context.chance(rules, key, &[v])).collect();
                sheet.facts.insert(key, random.by_share(&shares));
            }
            let model = Model::new(rules, &sheet).unwrap();
            let prepared = model.network.prepare(&Evidence::new()).unwrap();
            let world = prepared.sample(1, random.next()).remove(0);
            let seen: Vec<SignKey> = kinds.iter().copied().filter(|s| world.holds(model.sign(*s))).collect();
            let mut acted: Vec<CauseKey> =
                fired(&model, &world, &seen, &mut random).iter().map(|(c, _)| *c).collect();
            acted.dedup();
            if !acted.is_empty() {
                return Self { rules, sheet, world, model, kinds: seen, acted, random };
            }
        }
    }

    /// What the caster comes with: every kind of fault that is to be seen.
    pub(crate) fn start(&self, seed: u64) -> Start {
        let seen = |s: &SignKey| Observation { finding: Finding::Sign(*s), how: Sureness::Seen };
        Start { findings: self.kinds.iter().map(seen).collect(), seed, ..Start::default() }
    }

    fn true_sign(&self, sign: SignKey) -> bool {
        self.world.holds(self.model.sign(sign))
    }

    /// The truthful answer.
    pub(crate) fn answer(&mut self, question: QuestionKey) -> Said {
        match &self.rules.question(question).reveals {
            Reveals::Signs { answers, many } => {
                let fits = |a: &&Answer| {
                    !(a.present.is_empty() && a.absent.is_empty())
                        && a.present.iter().all(|s| self.true_sign(*s))
                        && a.absent.iter().all(|s| !self.true_sign(*s))
                };
                let places = |wanted: &dyn Fn(&&Answer) -> bool| -> Vec<usize> {
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
            Reveals::Fact(fact) => self.sheet.facts.get(fact).map_or(Said::Unknown, |v| Said::Value(*v)),
            Reveals::Alloy => match self.sheet.alloy {
                Some(JobAlloy::Family(family)) => Said::Alloy(AlloyName::Family(family)),
                _ => Said::Unknown,
            },
            Reveals::Quantity(quantity) => {
                Field::find(self.rules.quantity(*quantity).id).map_or(Said::Unknown, |f| self.figure(f))
            }
        }
    }

    /// A figure as the true causes make it: one that raises the odds of a cause f-fold is f times rarer where it does
    /// not hold.
    fn figure(&mut self, field: Field) -> Said {
        const STEPS: u8 = 12;
        let (low, high) = field.limits().usual;
        let at = |step: u8| low + (high - low) * f64::from(step) / f64::from(STEPS);
        let before = self.model.priors_with(&self.sheet);
        let odds = |p: f64| p.max(1e-9) / (1.0 - p).max(1e-9);
        let shares: Vec<f64> = (0..=STEPS)
            .map(|step| {
                let mut sheet = self.sheet.clone();
                sheet.set(field, at(step));
                let after = self.model.priors_with(&sheet);
                let shifts: Vec<f64> =
                    before.iter().zip(&after).map(|(b, a)| (odds(*a) / odds(*b)).ln()).collect();
                let rare: f64 = shifts.iter().map(|s| s.max(0.0)).sum();
                let held: f64 = self.world.causes().iter().map(|c| shifts[c.index()]).sum();
                (held - rare).exp()
            })
            .collect();
        let value = at(self.random.by_share(&shares) as u8);
        self.sheet.set(field, value);
        Said::Figure(value)
    }

    /// Best place in the ranking, from 0, of a cause that had a hand in the fault.
    pub(crate) fn rank(&self, interview: &Interview<'_>) -> usize {
        let causes = interview.standing().causes();
        causes.iter().position(|s| self.acted.contains(&s.cause)).unwrap()
    }
}

/// The links that fired, of the defects that are to be seen. Of what is there, links from causes that hold and chance
/// itself fire each for itself, at least one of them.
fn fired(
    model: &Model<'_>,
    world: &World,
    seen: &[SignKey],
    random: &mut Random,
) -> Vec<(CauseKey, DefectKey)> {
    let rules = model.rules;
    let mut all = Vec::new();
    for defect in rules.defect_keys().filter(|d| world.holds(model.defect(*d))) {
        let shows = &rules.defect(defect).shows;
        if !shows.iter().any(|l| seen.contains(&l.to)) {
            continue;
        }
        let held: Vec<(CauseKey, f64)> = rules
            .cause_keys()
            .filter(|c| world.holds(model.cause(*c)))
            .map(|c| (c, model.strength(c, defect)))
            .collect();
        loop {
            let leaked = random.unit() < rules.defect(defect).leak.value;
            let fired: Vec<CauseKey> =
                held.iter().filter(|(_, s)| random.unit() < *s).map(|(c, _)| *c).collect();
            if leaked || !fired.is_empty() {
                all.extend(fired.into_iter().map(|c| (c, defect)));
                break;
            }
        }
    }
    all.sort();
    all
}

/// The signs of the first question.
pub(crate) fn kinds(rules: &RuleBase) -> Vec<SignKey> {
    let interview = Interview::new(rules, Start::default()).unwrap();
    let [first] = interview.standing().open() else { panic!("one question comes first") };
    let Reveals::Signs { answers, .. } = &rules.question(*first).reveals else {
        panic!("it asks what is seen")
    };
    answers.iter().flat_map(|a| &a.present).copied().collect()
}
