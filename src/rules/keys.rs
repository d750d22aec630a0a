//! Typed indexes: a cause cannot be taken for a defect.

macro_rules! keys {
    ($($(#[$doc:meta])* $name:ident,)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub struct $name(u32);
        impl $name {
            /// From the place in the rule base's list.
            #[expect(clippy::cast_possible_truncation, reason = "a rule base holds hundreds, not billions")]
            pub(crate) const fn new(index: usize) -> Self { Self(index as u32) }
            /// From the place in the rule base's list, for code that walks the list by number.
            pub const fn from_index(index: usize) -> Self { Self::new(index) }
            /// The place in the rule base's list.
            pub const fn index(self) -> usize { self.0 as usize }
        }
    )*};
}

keys! {
    /// A cause.
    CauseKey,
    /// A defect.
    DefectKey,
    /// A sign.
    SignKey,
    /// A question.
    QuestionKey,
    /// A remedy.
    RemedyKey,
    /// A caution.
    CautionKey,
    /// An alloy family; also the value of the fact `family`.
    FamilyKey,
    /// An alloy.
    AlloyKey,
    /// A fact of the job, such as the kind of mould.
    FactKey,
    /// A published source.
    SourceKey,
    /// A quantity of the process sheet, in the catalogue the rules were read with.
    QuantityKey,
}

impl FactKey {
    /// The alloy family is the first fact.
    pub const FAMILY: Self = Self::new(0);
}
