//! Which cases are near to a job, and why.
//!
//! Two cases are near when they share signs, the rarer the better, and when their sheets agree. A sign that the one
//! shows and the other was looked at for in vain counts against.

use super::index::{Index, Marks, Seen};
use crate::rules::Finding;
use crate::sheet::Field;

/// Share of the signs in the nearness, when both have signs and figures; the rest is the sheet's.
const SIGNS: f64 = 0.8;
/// Being looked for in vain by both tells less than being seen by both.
const BOTH_ABSENT: f64 = 0.4;
/// A named defect tells less than a sign: people call things by the wrong name.
const NAMED: f64 = 0.5;
/// Two figures this share of the usual range apart are no longer alike.
const FAR: f64 = 0.2;

/// One thing that two cases have in common, or that sets them apart.
#[derive(Debug, Clone, PartialEq)]
pub enum Why {
    /// Both saw it; in so many cases of the casebook.
    BothSaw(Finding, usize),
    /// Both looked for it in vain.
    NeitherSaw(Finding),
    /// One saw it, the other looked for it in vain.
    Against(Finding),
    /// The same alloy family.
    SameAlloy,
    /// Another alloy family.
    OtherAlloy,
    /// A figure: this job's and the case's.
    Figure(Field, f64, f64),
}

/// A case that is near.
#[derive(Debug, Clone, PartialEq)]
pub struct Near {
    /// Its place in the index.
    pub at: usize,
    /// From 0 to 1.
    pub nearness: f64,
    /// Why, the weightiest first.
    pub why: Vec<Why>,
}

/// The nearest cases, best first, at most `most`; `skip` is the place of the case that asks, if it is one. The index
/// must have its marks.
pub fn nearest(index: &Index, job: &Marks, skip: Option<usize>, most: usize) -> Vec<Near> {
    let all: Vec<Marks> = index.marks().collect();
    let scale = Scale::of(&all);
    let mut found: Vec<(usize, f64)> = all
        .iter()
        .enumerate()
        .filter(|(at, _)| skip != Some(*at))
        .map(|(at, marks)| (at, scale.nearness(job, marks, &mut None)))
        .filter(|(_, nearness)| *nearness > 0.0)
        .collect();
    let order = |a: &(usize, f64), b: &(usize, f64)| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0));
    if found.len() > most && most > 0 {
        found.select_nth_unstable_by(most - 1, order);
    }
    found.truncate(most);
    found.sort_by(order);
    found
        .into_iter()
        .map(|(at, nearness)| {
            let mut why = Some(Vec::new());
            scale.nearness(job, &all[at], &mut why);
            let mut why = why.unwrap_or_default();
            why.sort_by(|a, b| b.0.abs().total_cmp(&a.0.abs()));
            Near { at, nearness, why: why.into_iter().map(|(_, w)| w).collect() }
        })
        .collect()
}

/// What each finding tells.
#[derive(Default)]
struct Scale {
    defects: Vec<Worth>,
    signs: Vec<Worth>,
    /// Of a finding that no case shows.
    unseen: Worth,
}

/// What a finding tells.
#[derive(Debug, Clone, Copy, Default)]
struct Worth {
    /// How many cases show it.
    shown: usize,
    /// ln of how many cases there are to each that shows it.
    telling: f64,
}

impl Scale {
    fn of(all: &[Marks]) -> Self {
        let mut scale = Self::default();
        for seen in all.iter().flat_map(|m| &m.seen).filter(|s| !s.absent) {
            let (list, at) = match seen.finding {
                Finding::Defect(k) => (&mut scale.defects, k.index()),
                Finding::Sign(k) => (&mut scale.signs, k.index()),
            };
            if list.len() <= at {
                list.resize(at + 1, Worth::default());
            }
            list[at].shown += 1;
        }
        #[expect(clippy::cast_precision_loss, reason = "counts of cases")]
        let ln = |worth: &mut Worth| {
            worth.telling = ((all.len() as f64 + 1.0) / (worth.shown as f64 + 0.5)).ln().max(0.1);
        };
        scale.defects.iter_mut().chain(&mut scale.signs).for_each(ln);
        ln(&mut scale.unseen);
        scale.defects.iter_mut().for_each(|w| w.telling *= NAMED);
        scale
    }

    fn worth(&self, finding: Finding) -> Worth {
        match finding {
            Finding::Defect(k) => self.defects.get(k.index()).copied(),
            Finding::Sign(k) => self.signs.get(k.index()).copied(),
        }
        .unwrap_or(self.unseen)
    }

    /// From 0 to 1; the reasons are gathered when somebody asks for them.
    fn nearness(&self, a: &Marks, b: &Marks, why: &mut Option<Vec<(f64, Why)>>) -> f64 {
        let mut note = |weight: f64, reason: Why| {
            if let Some(list) = why {
                list.push((weight, reason));
            }
        };
        let weight = |s: &Seen| self.worth(s.finding).telling * if s.absent { BOTH_ABSENT } else { 1.0 };
        let mut shared = 0.0;
        for mine in &a.seen {
            let Some(theirs) = b.seen.iter().find(|s| s.finding == mine.finding) else { continue };
            let Worth { shown, telling } = self.worth(mine.finding);
            match (mine.absent, theirs.absent) {
                (false, false) => {
                    shared += telling;
                    note(telling, Why::BothSaw(mine.finding, shown));
                }
                (true, true) => {
                    shared += telling * BOTH_ABSENT;
                    note(telling * BOTH_ABSENT, Why::NeitherSaw(mine.finding));
                }
                _ => {
                    shared -= telling / 2.0;
                    note(-telling / 2.0, Why::Against(mine.finding));
                }
            }
        }
        let whole = |e: &Marks| e.seen.iter().map(weight).sum::<f64>();
        let (all_a, all_b) = (whole(a), whole(b));
        let signs = if all_a > 0.0 && all_b > 0.0 { shared.max(0.0) / (all_a * all_b).sqrt() } else { 0.0 };
        let sheet = sheet_nearness(a, b, &mut note);
        match (a.seen.is_empty(), sheet) {
            (true, Some(sheet)) => sheet,
            (true, None) => 0.0,
            (false, Some(sheet)) => {
                // Without a shared sign a like sheet alone says only that the shop works as usual.
                if signs > 0.0 { SIGNS * signs + (1.0 - SIGNS) * sheet } else { 0.0 }
            }
            (false, None) => SIGNS * signs,
        }
        .clamp(0.0, 1.0)
    }
}

/// From 0 to 1: alloy and shared figures; `None` when they share nothing to compare.
fn sheet_nearness(a: &Marks, b: &Marks, note: &mut impl FnMut(f64, Why)) -> Option<f64> {
    let mut parts: Vec<f64> = Vec::new();
    if !a.families.is_empty() && !b.families.is_empty() {
        let same = a.families.iter().any(|f| b.families.contains(f));
        parts.push(f64::from(u8::from(same)));
        parts.push(f64::from(u8::from(same)));
        note(if same { 0.4 } else { -0.3 }, if same { Why::SameAlloy } else { Why::OtherAlloy });
    }
    for (field, mine) in &a.figures {
        let Some((_, theirs)) = b.figures.iter().find(|(f, _)| f == field) else { continue };
        let (low, high) = field.limits().usual;
        let (mine, theirs) = (f64::from(*mine), f64::from(*theirs));
        let apart = (mine - theirs).abs() / (high - low).max(1e-9);
        let alike = (1.0 - apart / FAR).max(0.0);
        parts.push(alike);
        note(alike * 0.2, Why::Figure(*field, mine, theirs));
    }
    #[expect(clippy::cast_precision_loss, reason = "a handful of figures")]
    let mean = parts.iter().sum::<f64>() / parts.len() as f64;
    (!parts.is_empty()).then_some(mean)
}
