//! A process sheet: what was recorded of one cast.

use super::derived::Fields;
use super::field::Field;
use crate::document::Span;
use crate::rules::names::AlloyName;
use crate::rules::{Alloy, Context, FactKey, FamilyKey, Finding, Metal, RuleBase, Section};
use crate::units::Kelvins;
use std::collections::BTreeMap;

/// A recorded figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Recorded {
    /// In the field's stored unit.
    pub value: f64,
    /// As written.
    pub written: String,
    /// Where it stands; `None` when it was not read from a file.
    pub span: Option<Span>,
}

/// The alloy, as far as it is known.
#[derive(Debug, Clone, PartialEq)]
pub enum JobAlloy {
    /// One of the table, or the shop's own by composition.
    Known(Box<Alloy>),
    /// Only the family.
    Family(FamilyKey),
    /// Only the metal.
    Metal(Metal),
}

/// What was recorded of one cast. Everything may be left out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sheet {
    /// The alloy.
    pub alloy: Option<JobAlloy>,
    /// Figures.
    pub figures: BTreeMap<Field, Recorded>,
    /// Facts, by the value's place in the fact's list.
    pub facts: BTreeMap<FactKey, usize>,
    /// Remarks.
    pub note: Option<String>,
}

/// From which thickness on a piece counts as medium, and as heavy: common practice, soft edges.
const MEDIUM_FROM: f64 = 1.2;
const HEAVY_FROM: f64 = 3.0;

impl Sheet {
    /// A figure in its stored unit.
    pub fn get(&self, field: Field) -> Option<f64> {
        self.figures.get(&field).map(|r| r.value)
    }

    /// The figures that two sheets do not share.
    pub fn differing(&self, other: &Self) -> Fields {
        let unlike = Field::ALL.iter().filter(|f| self.get(**f) != other.get(**f));
        unlike.fold(Fields::default(), |all, f| all.and(Fields::one(*f)))
    }

    /// Sets a figure, as if written.
    pub fn set(&mut self, field: Field, value: f64) {
        let written = field.dimension().show(value);
        self.figures.insert(field, Recorded { value, written, span: None });
    }

    /// The alloy with its figures, when it is known.
    pub fn alloy(&self) -> Option<&Alloy> {
        match &self.alloy {
            Some(JobAlloy::Known(alloy)) => Some(alloy),
            _ => None,
        }
    }

    /// Names the alloy from the table, its family or its metal.
    pub fn name_alloy(&mut self, rules: &RuleBase, name: AlloyName) {
        self.alloy = Some(match name {
            AlloyName::Alloy(key) => JobAlloy::Known(Box::new(rules.alloy(key).clone())),
            AlloyName::Family(key) => JobAlloy::Family(key),
            AlloyName::Metal(metal) => JobAlloy::Metal(metal),
        });
    }

    /// The value of a fact, by its id.
    pub fn fact<'a>(&self, rules: &'a RuleBase, id: &str) -> Option<&'a str> {
        let key = rules.find_fact(id)?;
        let value = *self.facts.get(&key)?;
        rules.fact(key).values.get(value).map(|v| v.id.as_str())
    }

    /// The section of the heavy parts: by the heaviest thickness, else as written.
    pub fn heavy_section(&self, rules: &RuleBase) -> Option<Section> {
        self.section_of(rules, self.get(Field::Heaviest))
    }

    /// The section of the thin parts: by the thinnest thickness, else as written.
    pub fn thin_section(&self, rules: &RuleBase) -> Option<Section> {
        self.section_of(rules, self.get(Field::Thinnest))
    }

    fn section_of(&self, rules: &RuleBase, thickness: Option<f64>) -> Option<Section> {
        match thickness {
            Some(t) if t < MEDIUM_FROM => Some(Section::Thin),
            Some(t) if t < HEAVY_FROM => Some(Section::Medium),
            Some(_) => Some(Section::Heavy),
            None => {
                let word = self.fact(rules, "section")?;
                Section::WORDS.iter().find(|(w, _)| *w == word).map(|(_, s)| *s)
            }
        }
    }

    /// What the sheet says in words, for conditions and base rates.
    pub fn context(&self, rules: &RuleBase) -> Context {
        let mut context = Context::unknown(rules);
        let families: Vec<usize> = match &self.alloy {
            Some(JobAlloy::Known(alloy)) => vec![alloy.family.index()],
            Some(JobAlloy::Family(key)) => vec![key.index()],
            Some(JobAlloy::Metal(metal)) => rules
                .family_keys()
                .filter(|k| rules.family(*k).metal == *metal)
                .map(FamilyKey::index)
                .collect(),
            None => Vec::new(),
        };
        context.narrow(FactKey::FAMILY, families);
        if let (Some(JobAlloy::Known(alloy)), Some(binder)) = (&self.alloy, rules.find_fact("binder")) {
            context.expect(binder, alloy.binder.clone());
        }
        for (fact, value) in &self.facts {
            context.narrow(*fact, vec![*value]);
        }
        let known_section = self.heavy_section(rules).zip(rules.find_fact("section"));
        if let Some((section, fact)) = known_section {
            let value = rules.fact(fact).values.iter().position(|v| v.id == section.word());
            context.narrow(fact, value.into_iter().collect());
        }
        context
    }

    /// Takes over the facts that findings imply, where the sheet does not say otherwise.
    pub fn take_implied(&mut self, rules: &RuleBase, findings: impl Iterator<Item = Finding>) {
        for finding in findings {
            let implied = match finding {
                Finding::Defect(k) => &rules.defect(k).implies,
                Finding::Sign(k) => &rules.sign(k).implies,
            };
            for (fact, value) in implied {
                self.facts.entry(*fact).or_insert(*value);
            }
        }
    }

    /// How the alloy is called, for a heading.
    pub fn alloy_heading(&self, rules: &RuleBase) -> String {
        self.alloy_words(rules).unwrap_or_else(|| "alloy not named".to_owned())
    }

    /// How the alloy is called, as far as it is known.
    pub fn alloy_words(&self, rules: &RuleBase) -> Option<String> {
        Some(match self.alloy.as_ref()? {
            JobAlloy::Known(alloy) => alloy.title.clone(),
            JobAlloy::Family(key) => rules.family(*key).title.clone(),
            JobAlloy::Metal(metal) => metal.word().to_owned(),
        })
    }

    /// The margin by which a flask must stay below the solidus for the piece to freeze at all.
    pub const FREEZING_MARGIN: Kelvins = Kelvins::new(20.0);
}
