//! Figures in words, the same on the screen and on the page.

use crate::advice::findings::lower_first;
use crate::advice::limits::{Bound, Held};
use crate::advice::{
    BeforeAfter, Diagnosis, Forecast, Model, Opposites, Plan, RankedCause, Reason, Step, Teaching,
    UNSOLVED_MINUTES,
};
use crate::physics::Estimate;
use crate::rules::{Change, RuleBase};
use crate::units::{Dimension, figures, significant};

/// From which share on the program says that it may not know.
const MAY_NOT_KNOW: f64 = 0.2;
/// Below this the first cause is one of many.
const STANDS_OUT: f64 = 0.25;
/// Findings that make each other this much less likely deserve a warning: e to the one.
const STRANGE: f64 = 1.0;
/// A change of more steps of the rules' size than this is a long way for one cast.
const FAR: f64 = 2.0;

/// A chance as a percentage, with no more figures than the model deserves.
pub fn percent(chance: f64) -> String {
    let percent = chance * 100.0;
    match percent {
        p if p < 0.5 => "under 1 %".to_owned(),
        p if p > 99.5 => "over 99 %".to_owned(),
        p => format!("{p:.0} %"),
    }
}

/// A chance before and after.
pub fn from_to(chance: BeforeAfter) -> String {
    format!("{} -> {}", percent(chance.before), percent(chance.after))
}

/// A factor on the odds in words.
pub fn factor_words(ln: f64) -> String {
    if ln == f64::NEG_INFINITY {
        return "rules it out".to_owned();
    }
    let (factor, word) = if ln >= 0.0 { (ln.exp(), "likelier") } else { ((-ln).exp(), "less likely") };
    match factor {
        f if f >= 1000.0 => format!("over 1000 times {word}"),
        f if f >= 9.95 => format!("{f:.0} times {word}"),
        f => format!("{f:.1} times {word}"),
    }
}

/// A reason with its factor, and why it is rough where it is.
pub fn reason_words(reason: &Reason) -> String {
    let weak = reason.weak.map_or_else(String::new, |w| format!(" (rough: {w})"));
    format!("{}, {}{weak}", reason.words, factor_words(reason.ln))
}

/// A figure and its limit, with no more digits than the figure's range supports.
pub fn limit_words(held: &Held) -> String {
    let f = &held.figure;
    let shown = Estimate::new(f.value, f.low, f.high, "").show_as(held.dimension);
    let at = held.dimension.show(held.limit.bound.at());
    match held.limit.bound {
        Bound::Most(_) => format!("{shown}, at most {at}"),
        Bound::Least(_) => format!("{shown}, at least {at}"),
    }
}

/// A cause that the outcome of a step moves by less is not worth figures.
const TEACHES: f64 = 0.05;

/// What the outcome of a step says of the cause it is against.
pub fn teaches_words(rules: &RuleBase, t: Teaching) -> String {
    let cause = lower_first(&rules.cause(t.cause).title);
    if (t.if_works - t.if_fails).abs() < TEACHES {
        return format!("Its outcome says little of \"{cause}\" ({} so far).", percent(t.now));
    }
    format!(
        "It teaches: \"{cause}\" {} so far; {} if this works, {} if the trouble comes back.",
        percent(t.now),
        percent(t.if_works),
        percent(t.if_fails)
    )
}

/// How more can be found out before a change, where a result is read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Closer {
    /// By being asked: nothing was asked yet.
    Ask,
    /// By going on with the interview in which it stands.
    More,
    /// No question is left that would tell; these looks at the first causes may.
    ByHand(Vec<String>),
}

impl Closer {
    fn words(&self) -> String {
        match self {
            Self::Ask => "look closer (`aftercast ask`) or fill in the sheet".to_owned(),
            Self::More => "go on answering (`more`)".to_owned(),
            Self::ByHand(_) => {
                "look at the piece and the flask by hand, for no question is left that would tell".to_owned()
            }
        }
    }

    /// What to look at by hand.
    fn looks(&self) -> String {
        match self {
            Self::ByHand(checks) if !checks.is_empty() => {
                let all: Vec<&str> = checks.iter().map(|c| c.trim_end_matches('.')).collect();
                format!(" To look at first: {}.", all.join("; "))
            }
            _ => String::new(),
        }
    }
}

/// What a plan takes, and how it is compared with other ways.
pub fn plan_words(plan: &Plan, closer: &Closer) -> String {
    let doubt = if plan.solved < 0.5 {
        format!(
            " It is likelier to fail than to work: before you cast again, {}.{}",
            closer.words(),
            closer.looks()
        )
    } else {
        String::new()
    };
    format!(
        "On average {} of work and re-casts, and {} that it ends sound.{doubt} Counted with {} for the {} that it \
         does not, the plan stands at {}; other ways to go about it, counted alike:",
        minutes(plan.work),
        percent(plan.solved),
        minutes(UNSOLVED_MINUTES),
        percent(1.0 - plan.solved),
        minutes(plan.minutes)
    )
}

/// The causes of the first raised risks; one that brings none of those shown is no reason for them.
pub fn causes_behind<'a>(
    model: &'a Model<'_>,
    forecast: &'a Forecast,
    shown: usize,
) -> impl Iterator<Item = &'a RankedCause> {
    let raised = &forecast.raised[..forecast.raised.len().min(shown)];
    let brings = move |c: &&RankedCause| raised.iter().any(|r| model.strength(c.cause, r.defect) > 0.0);
    forecast.causes.iter().filter(brings)
}

/// Minutes of work in words.
pub fn minutes(minutes: f64) -> String {
    match minutes {
        m if m < 90.0 => format!("{m:.0} min"),
        m if m < 597.0 => format!("{:.1} h", m / 60.0),
        m => format!("{:.0} h", m / 60.0),
    }
}

/// The sheet's own figure and what it becomes.
pub fn step_words(step: Step) -> Option<String> {
    let dimension = step.field.dimension();
    let show = |v: f64| dimension.show(v);
    Some(match (step.from, step.to) {
        (Some(from), Some(to)) => {
            let far = match dimension {
                _ if step.steps() <= FAR => "",
                Dimension::Temperature => ", a long way: check the sensor first",
                _ => ", a long way for one cast",
            };
            format!("{} {} -> {}{far}", step.field.title(), show(from), show(to))
        }
        (None, Some(to)) => format!("{} {} (not recorded now)", step.field.title(), show(to)),
        (_, None) => {
            let by = match step.change {
                Change::By(by) => by,
                Change::To(_) => return None,
            };
            let difference = if dimension == Dimension::Temperature { Dimension::Span } else { dimension };
            let sign = if by >= 0.0 { "+" } else { "" };
            format!("{} {sign}{} (not recorded now)", step.field.title(), difference.show(by))
        }
    })
}

/// Two defects that pull a figure both ways, and what to do about it.
pub fn pulled_words(rules: &RuleBase, o: &Opposites) -> String {
    let show = |v: f64| o.field.dimension().show(v);
    let title = |d| lower_first(&rules.defect(d).title);
    let window = if (o.window.0 - o.window.1).abs() < 1e-9 {
        format!("at {}", show(o.window.0))
    } else {
        format!("from {} to {}", show(o.window.0), show(o.window.1))
    };
    let end = if o.split {
        "No common value is good: give thick and thin pieces a tree each, with its own figure."
    } else {
        "Stay inside it."
    };
    format!(
        "Pulled both ways: {} wants the {} lower ({} -> {}), {} wants it higher ({} -> {}). The two together are \
         least likely {window}: {} that one of them comes. {end}",
        title(o.lower.0),
        o.field.title(),
        percent(o.lower.1),
        percent(o.lower.2),
        title(o.higher.0),
        percent(o.higher.1),
        percent(o.higher.2),
        percent(o.at_best)
    )
}

/// A cause that is likelier there than to have had a hand in it by so much is said to be.
const IDLE: f64 = 0.1;

/// Of a cause that is likely there but may have had no hand in what was seen.
pub fn idle_words(cause: &RankedCause) -> Option<String> {
    (cause.probability - cause.had_a_hand >= IDLE)
        .then(|| format!("there for {}, but it may have done nothing this time", percent(cause.probability)))
}

/// What the reader should doubt before reading on.
pub fn doubt_words(diagnosis: &Diagnosis, closer: &Closer) -> Vec<String> {
    let mut doubts = Vec::new();
    if diagnosis.none_known >= MAY_NOT_KNOW {
        doubts.push(format!(
            "None of these? {} that no cause known here made what you saw. The list below may be beside the point: \
             look for something that happened to the piece after casting, or that these rules do not know.",
            percent(diagnosis.none_known)
        ));
    }
    let first = diagnosis.causes.first().map_or(0.0, |c| c.had_a_hand);
    if first < STANDS_OUT {
        doubts.push(format!(
            "Nothing stands out: the likeliest cause comes to {} only. What you saw fits many causes: before you \
             change anything, {}.",
            percent(first),
            closer.words()
        ));
    }
    if diagnosis.conflict >= STRANGE {
        doubts.push(format!(
            "These findings rarely go together ({} times less often than by chance): there may be two faults at \
             once, or one finding is mistaken.",
            figures(significant(diagnosis.conflict.exp(), 2), 2)
        ));
    }
    if !diagnosis.left_out.is_empty() {
        doubts.push(format!(
            "Too many findings hang together for an exact answer. Left out: {}. The figures below are approximate.",
            diagnosis.left_out.join("; ")
        ));
    }
    doubts
}
