//! Which questions make sense now, and why the others do not.

use super::standing::Standing;
use super::state::{Interview, Start, Step};
use crate::advice::{Observation, Sureness, has};
use crate::rules::{DefectKey, Finding, Question, QuestionKey, Reveals, RuleBase, SignKey};
use crate::sheet::Field;

/// A defect that may be behind what was seen is in play from this chance on.
const DEFECT_IN_PLAY: f64 = 0.08;
/// A sign that was not looked for is in play when it is likelier there than not.
const SIGN_IN_PLAY: f64 = 0.5;
/// A defect is of the kinds of fault that it shows at least this often.
const OF_ITS_KIND: f64 = 0.5;

/// Why a question makes no sense now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Closed {
    /// It was asked.
    Asked,
    /// What it would tell is known.
    Known,
    /// These come before it.
    After(Vec<QuestionKey>),
    /// It is about these, and none of them was reported or is likely.
    About(Vec<Finding>),
    /// No figures are asked for.
    NoFigures,
    /// The way the metal was driven in has no such figure.
    NoSuchFigure,
}

impl Interview<'_> {
    /// Why a question makes no sense now; `None` if it does.
    pub fn closed(&self, question: QuestionKey) -> Option<Closed> {
        Gate::new(self.rules(), self.start(), self.steps(), self.standing()).closed(question)
    }
}

/// The open questions, in the order of the rules.
pub(super) fn open(
    rules: &RuleBase,
    start: &Start,
    steps: &[Step],
    standing: &Standing<'_>,
) -> Vec<QuestionKey> {
    let gate = Gate::new(rules, start, steps, standing);
    rules.question_keys().filter(|key| gate.closed(*key).is_none()).collect()
}

struct Gate<'s, 'a> {
    rules: &'s RuleBase,
    start: &'s Start,
    steps: &'s [Step],
    standing: &'s Standing<'a>,
    root: Option<QuestionKey>,
    /// All kinds of fault.
    all_kinds: Vec<SignKey>,
    /// The kinds of fault that were seen, or that what was named is of; empty while neither was.
    kinds: Vec<SignKey>,
    /// Something was seen or named.
    reported: bool,
    /// Some defect may be behind it.
    accounted: bool,
}

impl<'s, 'a> Gate<'s, 'a> {
    fn new(rules: &'s RuleBase, start: &'s Start, steps: &'s [Step], standing: &'s Standing<'a>) -> Self {
        let root = root(rules);
        let present = || standing.findings().iter().filter(|o| o.is_present());
        let of = |finding: Finding| match finding {
            Finding::Sign(sign) => vec![sign],
            Finding::Defect(defect) => kinds_of(rules, defect).collect(),
        };
        let all_kinds = root.map_or_else(Vec::new, |root| kinds(rules, root));
        let kinds = present().flat_map(|o| of(o.finding)).filter(|s| all_kinds.contains(s)).collect();
        let accounted = rules.defect_keys().any(|d| standing.accounts(d));
        let reported = present().next().is_some();
        Self { rules, start, steps, standing, root, all_kinds, kinds, reported, accounted }
    }

    fn closed(&self, key: QuestionKey) -> Option<Closed> {
        let question = self.rules.question(key);
        if self.asked(key) {
            return Some(Closed::Asked);
        }
        if self.settled(key) {
            return Some(Closed::Known);
        }
        // While nothing is known of the fault, only its kind is asked for: most questions hang on it.
        if let Some(root) = self.root
            && key != root
            && !self.reported
            && !self.asked(root)
        {
            return Some(Closed::After(vec![root]));
        }
        if let Reveals::Quantity(quantity) = question.reveals {
            if !self.start.figures {
                return Some(Closed::NoFigures);
            }
            let field = Field::find(self.rules.quantity(quantity).id);
            if field.is_some_and(|f| !has(self.rules, self.standing.sheet(), f)) {
                return Some(Closed::NoSuchFigure);
            }
        }
        let before: Vec<QuestionKey> = question.after.iter().copied().filter(|q| !self.settled(*q)).collect();
        if !before.is_empty() {
            return Some(Closed::After(before));
        }
        let in_play = question.needs.is_empty() || question.needs.iter().any(|n| self.in_play(question, *n));
        (!in_play).then(|| Closed::About(question.needs.clone()))
    }

    fn asked(&self, key: QuestionKey) -> bool {
        self.steps.iter().any(|s| s.question == key)
    }

    fn settled(&self, key: QuestionKey) -> bool {
        self.asked(key) || self.settles(self.rules.question(key)) || (Some(key) == self.root && self.reported)
    }

    /// Whether what the question would tell is known already.
    fn settles(&self, question: &Question) -> bool {
        let sheet = self.standing.sheet();
        let said = |f: Finding| self.standing.findings().iter().find(|o| o.finding == f);
        let named = |d: &DefectKey| {
            said(Finding::Defect(*d)).is_some_and(|o| matches!(o.how, Sureness::Seen | Sureness::Certain))
        };
        if question.told_by.iter().any(named) {
            return true;
        }
        match &question.reveals {
            Reveals::Signs { answers, many } => {
                let said = |s: &SignKey| said(Finding::Sign(*s));
                let mut present = answers.iter().flat_map(|a| &a.present);
                let seen = present.any(|s| said(s).is_some_and(Observation::is_present));
                let mut all = answers.iter().flat_map(|a| a.present.iter().chain(&a.absent)).peekable();
                (!many && seen) || (all.peek().is_some() && all.all(|s| said(s).is_some()))
            }
            Reveals::Quantity(quantity) => {
                Field::find(self.rules.quantity(*quantity).id).is_some_and(|f| sheet.get(f).is_some())
            }
            Reveals::Fact(fact) => self.standing.model().context.value(*fact).is_some(),
            Reveals::Alloy => sheet.alloy.is_some(),
        }
    }

    /// Whether it was reported, or is likely and fits what was reported: nobody who brings a bad skin is asked where the
    /// holes sit.
    fn in_play(&self, question: &Question, finding: Finding) -> bool {
        let said = self.standing.findings().iter().find(|o| o.finding == finding);
        match (finding, said) {
            (_, Some(o)) if o.is_present() => true,
            (Finding::Defect(d), _) => {
                self.standing.defect_chance(d) >= DEFECT_IN_PLAY
                    && (!self.accounted || self.standing.accounts(d))
                    && (!self.is_of_a_kind(question) || self.is_of_that_kind(d))
            }
            (Finding::Sign(_), Some(_)) => false,
            (Finding::Sign(s), None) if self.all_kinds.contains(&s) && !self.kinds.is_empty() => {
                self.kinds.contains(&s)
            }
            (Finding::Sign(s), None) => self.standing.sign_chance(s) >= SIGN_IN_PLAY,
        }
    }

    /// Whether a question is put to those who see some kind of fault.
    fn is_of_a_kind(&self, question: &Question) -> bool {
        question.needs.iter().any(|n| matches!(n, Finding::Sign(s) if self.all_kinds.contains(s)))
    }

    /// Whether a defect is of a kind that was reported, or may be what was named.
    fn is_of_that_kind(&self, defect: DefectKey) -> bool {
        let alike =
            |named: DefectKey| self.rules.defect(named).look_alikes.iter().any(|a| a.defect == defect);
        let mut present = self.standing.findings().iter().filter(|o| o.is_present());
        self.kinds.is_empty()
            || kinds_of(self.rules, defect).any(|s| self.kinds.contains(&s))
            || present.any(|o| matches!(o.finding, Finding::Defect(named) if alike(named)))
    }
}

/// What a defect shows at least half of the time: the kinds of fault that it is of are among it.
fn kinds_of(rules: &RuleBase, defect: DefectKey) -> impl Iterator<Item = SignKey> {
    let shows = rules.defect(defect).shows.iter();
    shows.filter(|l| l.strength.value >= OF_ITS_KIND).map(|l| l.to)
}

/// The question that most others wait for: what kind of fault it is.
fn root(rules: &RuleBase) -> Option<QuestionKey> {
    let waiting = |key: QuestionKey| rules.questions.iter().filter(|q| q.after.contains(&key)).count();
    rules.question_keys().max_by_key(|key| (waiting(*key), std::cmp::Reverse(*key)))
}

/// The kinds of fault, which that question names.
fn kinds(rules: &RuleBase, root: QuestionKey) -> Vec<SignKey> {
    match &rules.question(root).reveals {
        Reveals::Signs { answers, .. } => answers.iter().flat_map(|a| a.present.iter().copied()).collect(),
        _ => Vec::new(),
    }
}
