//! The kind of fault that a finding is of: when a name may mean several things that are all holes, a hole it is.

use super::super::keys::SignKey;
use super::super::model::{Class, Finding, RuleBase};
use super::lexicon::Fault;
use super::speech::tokens;
use std::collections::HashMap;

/// For every finding on the piece, the signs of the kinds it can be of.
#[derive(Debug)]
pub(super) struct Kinds {
    of: HashMap<Finding, Vec<Finding>>,
    hole: Option<Finding>,
    of_anything: Vec<Finding>,
    faults: HashMap<SignKey, Fault>,
}

impl Kinds {
    pub(super) fn new(rules: &RuleBase) -> Self {
        let mut kinds: HashMap<Finding, Vec<Finding>> = HashMap::new();
        let mut add = |finding: Finding, kind: Finding| {
            let known = kinds.entry(finding).or_default();
            if !known.contains(&kind) {
                known.push(kind);
            }
        };
        for key in rules.defect_keys() {
            let defect = rules.defect(key);
            let Some(kind) = sign_of(rules, defect.class) else { continue };
            add(Finding::Defect(key), kind);
            for shown in &defect.shows {
                add(Finding::Sign(shown.to), kind);
            }
        }
        // What its title tells of holes, and a defect with holes shows, is a hole whatever else may look so.
        let mut faults = HashMap::new();
        for key in rules.sign_keys() {
            let Some(fault) = Fault::of_title(&tokens(&rules.sign(key).title)) else { continue };
            let class = match fault {
                Fault::Hole => Class::Cavity,
                Fault::Crack => Class::Discontinuity,
                Fault::Black => Class::Surface,
                // What befalls a stone is of no one kind.
                Fault::Stone => {
                    faults.insert(key, fault);
                    continue;
                }
            };
            let kind = sign_of(rules, class);
            match kinds.get_mut(&Finding::Sign(key)) {
                Some(known) if !known.iter().any(|k| Some(*k) == kind) => continue,
                Some(known) => *known = kind.into_iter().collect(),
                None => {}
            }
            faults.insert(key, fault);
        }
        for kind in Class::WORDS.iter().filter_map(|(_, class)| sign_of(rules, *class)) {
            kinds.insert(kind, vec![kind]);
        }
        Self {
            of: kinds,
            hole: sign_of(rules, Class::Cavity),
            of_anything: [Class::Cavity, Class::Discontinuity, Class::Surface]
                .into_iter()
                .filter_map(|class| sign_of(rules, class))
                .collect(),
            faults,
        }
    }

    /// Whether it is found on the piece, and not at the oven, the melt or the mould.
    pub(super) fn is_of_the_piece(&self, finding: Finding) -> bool {
        self.of.contains_key(&finding)
    }

    /// True for the sign of a kind itself.
    pub(super) fn is_a_kind(&self, finding: Finding) -> bool {
        self.common([finding]) == Some(finding)
    }

    /// True for what can be nothing but a hole.
    pub(super) fn is_a_hole(&self, finding: Finding) -> bool {
        self.hole.is_some() && self.common([finding]) == self.hole
    }

    /// False when it is of kinds that are no holes.
    pub(super) fn may_be_a_hole(&self, finding: Finding) -> bool {
        self.of.get(&finding).is_none_or(|kinds| self.hole.is_some_and(|hole| kinds.contains(&hole)))
    }

    /// True for what a tool or a mould can have too: holes, cracks, a bad skin.
    pub(super) fn may_be_of_anything(&self, finding: Finding) -> bool {
        self.common([finding]).is_some_and(|kind| self.of_anything.contains(&kind))
    }

    /// The fault that a sign tells something of.
    pub(super) fn fault(&self, sign: SignKey) -> Option<Fault> {
        self.faults.get(&sign).copied()
    }

    /// The one kind that all of some findings are of.
    pub(super) fn common(&self, findings: impl IntoIterator<Item = Finding>) -> Option<Finding> {
        let mut common = None;
        for finding in findings {
            let [kind] = self.of.get(&finding)?.as_slice() else { return None };
            if common.is_some_and(|c| c != *kind) {
                return None;
            }
            common = Some(*kind);
        }
        common
    }
}

/// The sign by which anybody names a class of faults.
fn sign_of(rules: &RuleBase, class: Class) -> Option<Finding> {
    let id = match class {
        Class::Cavity => "hole-seen",
        Class::Incomplete => "metal-missing",
        Class::Projection => "metal-extra",
        Class::Discontinuity => "crack-or-break",
        Class::Surface => "surface-or-colour-bad",
        Class::Inclusion => "foreign-matter-seen",
        Class::Shape => "size-or-shape-wrong",
    };
    rules.find_sign(id).map(Finding::Sign)
}
