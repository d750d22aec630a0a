//! What a computation may look at, and a note of the figures that it did look at.

use crate::physics::CastingMetal;
use crate::physics::heat::MouldHeat;
use crate::rules::{Alloy, RuleBase, Section};
use crate::sheet::field::Field;
use crate::sheet::model::{JobAlloy, Sheet};
use crate::units::{Celsius, Grams, Millibars, Millimetres, Seconds};
use std::cell::Cell;

/// Some figures of a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Fields(u128);

const _: () = assert!(Field::ALL.len() <= 128, "a figure must have its bit");

impl Fields {
    /// One figure.
    pub const fn one(field: Field) -> Self {
        Self(1 << field as u32)
    }

    /// These and others.
    #[must_use]
    pub const fn and(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Whether some figure is in both.
    pub const fn meet(self, other: Self) -> bool {
        self.0 & other.0 != 0
    }
}

/// What a computation may look at: a sheet, figure by figure, and the rules for facts and families.
#[derive(Debug, Clone, Copy)]
pub struct Job<'a> {
    // Hidden even from the computations: every figure is read through `get`, which notes it.
    sheet: &'a Sheet,
    rules: &'a RuleBase,
    read: Option<&'a Cell<Fields>>,
}

impl<'a> Job<'a> {
    /// A sheet under some rules.
    pub fn new(sheet: &'a Sheet, rules: &'a RuleBase) -> Self {
        Self { sheet, rules, read: None }
    }

    /// The same, and every figure that is looked at is noted in `read`. With the same alloy and facts, and the same
    /// values of the figures noted, the same computation gives the same again.
    pub fn noting(sheet: &'a Sheet, rules: &'a RuleBase, read: &'a Cell<Fields>) -> Self {
        Self { sheet, rules, read: Some(read) }
    }

    /// A figure in its stored unit.
    pub fn get(&self, field: Field) -> Option<f64> {
        if let Some(read) = self.read {
            read.set(read.get().and(Fields::one(field)));
        }
        self.sheet.get(field)
    }

    /// A temperature.
    pub fn celsius(&self, field: Field) -> Option<Celsius> {
        self.get(field).map(Celsius::new)
    }

    /// A length.
    pub fn millimetres(&self, field: Field) -> Option<Millimetres> {
        self.get(field).map(Millimetres::new)
    }

    /// A pressure.
    pub fn millibars(&self, field: Field) -> Option<Millibars> {
        self.get(field).map(Millibars::new)
    }

    /// A mass.
    pub fn grams(&self, field: Field) -> Option<Grams> {
        self.get(field).map(Grams::new)
    }

    /// A time.
    pub fn seconds(&self, field: Field) -> Option<Seconds> {
        self.get(field).map(Seconds::new)
    }

    /// The section of the heavy parts.
    pub(super) fn heavy_section(&self) -> Option<Section> {
        self.get(Field::Heaviest);
        self.sheet.heavy_section(self.rules)
    }

    /// The section of the thin parts.
    pub(super) fn thin_section(&self) -> Option<Section> {
        self.get(Field::Thinnest);
        self.sheet.thin_section(self.rules)
    }

    /// Whether anything at all is known of the alloy.
    pub fn names_alloy(&self) -> bool {
        self.sheet.alloy.is_some()
    }

    /// The alloy with its figures.
    pub fn alloy(&self) -> Option<&'a Alloy> {
        self.sheet.alloy()
    }

    /// The alloys that the metal of the job may be: the one that is named, or all of its family or its metal.
    pub fn alloys(&self) -> impl Iterator<Item = &'a Alloy> + use<'a> {
        let (rules, alloy) = (self.rules, self.sheet.alloy.as_ref());
        let may_be = move |one: &&Alloy| match alloy {
            Some(JobAlloy::Family(family)) => one.family == *family,
            Some(JobAlloy::Metal(metal)) => rules.family(one.family).metal == *metal,
            _ => false,
        };
        self.alloy().into_iter().chain(rules.alloys.iter().filter(may_be))
    }

    /// A fact of the sheet, by its id.
    pub fn fact(&self, id: &str) -> Option<&'a str> {
        self.sheet.fact(self.rules, id)
    }

    /// The metal as freezing and filling see it.
    pub(super) fn metal(&self) -> Option<CastingMetal> {
        let alloy = self.alloy()?;
        CastingMetal::of(&alloy.composition, alloy.solidus, alloy.liquidus).ok()
    }

    /// The kind of mould: as recorded, else the only one that suits the alloy.
    pub fn binder(&self) -> Option<&'a str> {
        if let Some(binder) = self.fact("binder") {
            return Some(binder);
        }
        let [only] = self.alloy()?.binder.as_slice() else { return None };
        let fact = self.rules.fact(self.rules.find_fact("binder")?);
        fact.values.get(*only).map(|v| v.id.as_str())
    }

    /// The mould as a conductor of heat: gypsum unless another is named.
    pub(super) fn mould(&self) -> MouldHeat {
        if self.binder() == Some("phosphate") { MouldHeat::phosphate() } else { MouldHeat::gypsum() }
    }
}
