//! What rests on what: every basis of the rule base, gathered.

use super::keys::SourceKey;
use super::model::{Basis, RuleBase};
use std::collections::BTreeMap;

impl Basis {
    /// In short: the source's key and the place, or what it is instead of a source.
    pub fn words(&self, rules: &RuleBase) -> String {
        match self {
            Self::Published { source, at } => format!("{}: {at}", rules.source(*source).id),
            Self::CommonPractice => "common practice".to_owned(),
            Self::Memory => "memory".to_owned(),
        }
    }

    /// With the source's title, for a reader who has no list of sources at hand.
    pub fn in_full(&self, rules: &RuleBase) -> String {
        match self {
            Self::Published { source, .. } => {
                let source = rules.source(*source);
                source
                    .author
                    .as_ref()
                    .map_or_else(|| source.title.clone(), |author| format!("{author}: {}", source.title))
            }
            _ => self.words(rules),
        }
    }
}

/// Something that has a basis.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Use {
    /// The rule or number in words, such as `flask-too-hot produces misrun`.
    pub what: String,
    /// Its basis.
    pub basis: Basis,
}

/// Every rule and link with its basis, in the order of the rule base.
pub fn all(rules: &RuleBase) -> Vec<Use> {
    let mut found = Vec::new();
    let mut add = |what: String, basis: &Basis| found.push(Use { what, basis: basis.clone() });
    for family in &rules.families {
        add(format!("alloy family {}", family.id), &family.basis);
    }
    for alloy in &rules.alloys {
        add(format!("alloy {}", alloy.id), &alloy.basis);
        for (field, basis) in &alloy.basis_of {
            add(format!("alloy {}: {field}", alloy.id), basis);
        }
    }
    for cause in &rules.causes {
        add(format!("cause {}", cause.id), &cause.basis);
        for rule in &cause.sheet {
            add(format!("{} by {}", cause.id, rules.quantity(rule.quantity).id), &rule.basis);
        }
        for rule in &cause.given {
            add(format!("{} by {}", cause.id, rules.fact(rule.fact).id), &rule.basis);
        }
        for link in &cause.produces {
            add(format!("{} produces {}", cause.id, rules.defect(link.to).id), &link.basis);
        }
        for link in &cause.shows {
            add(format!("{} shows {}", cause.id, rules.sign(link.to).id), &link.basis);
        }
    }
    for defect in &rules.defects {
        add(format!("defect {}", defect.id), &defect.basis);
        for link in &defect.shows {
            add(format!("{} shows {}", defect.id, rules.sign(link.to).id), &link.basis);
        }
    }
    for sign in &rules.signs {
        add(format!("sign {}", sign.id), &sign.basis);
    }
    for question in &rules.questions {
        add(format!("question {}", question.id), &question.basis);
    }
    for remedy in &rules.remedies {
        add(format!("remedy {}", remedy.id), &remedy.basis);
        for link in &remedy.cures {
            add(format!("{} cures {}", remedy.id, rules.cause(link.to).id), &link.basis);
        }
        for link in &remedy.spoils {
            add(format!("{} may bring {}", remedy.id, rules.cause(link.to).id), &link.basis);
        }
    }
    for caution in &rules.cautions {
        add(format!("caution {}", caution.id), &caution.basis);
    }
    for trade_off in &rules.trade_offs {
        add(format!("trade-off {}", trade_off.id), &trade_off.basis);
    }
    found
}

/// What rests on each published source, with the place in it.
pub fn uses(rules: &RuleBase) -> BTreeMap<SourceKey, Vec<(String, String)>> {
    let mut found: BTreeMap<SourceKey, Vec<(String, String)>> = BTreeMap::new();
    for one in all(rules) {
        if let Basis::Published { source, at } = one.basis {
            found.entry(source).or_default().push((one.what, at));
        }
    }
    found
}
