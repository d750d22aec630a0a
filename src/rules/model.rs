//! The rule base as the rest of the program sees it: checked, resolved, no text left to interpret.

use super::keys::{
    AlloyKey, CauseKey, CautionKey, DefectKey, FactKey, FamilyKey, QuantityKey, QuestionKey, RemedyKey,
    SignKey, SourceKey,
};
use crate::physics::Composition;
use crate::units::{Celsius, Dimension, GramsPerCm3, Seconds};
use std::collections::BTreeMap;

/// A quantity that a process sheet records or that is computed from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Quantity {
    /// Its id, such as `flask.temperature` or `flask-above-window`.
    pub id: &'static str,
    /// What kind of number.
    pub dimension: Dimension,
    /// What it is, in words that can follow "the".
    pub title: &'static str,
    /// Written on the sheet, and not computed.
    pub recorded: bool,
    /// Ends of what can be meant, of a recorded one.
    pub possible: Option<(f64, f64)>,
    /// Words that stand by its value in free speech: `flask` in "flask at 480 C".
    pub spoken: &'static [&'static str],
}

/// Where a rule comes from.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Basis {
    /// A published source, and the place in it.
    Published {
        /// Which.
        source: SourceKey,
        /// Where in it.
        at: String,
    },
    /// What practitioners say, with no measured data behind it.
    CommonPractice,
    /// The writer's general knowledge, not looked up.
    Memory,
}

/// A chance from 0 to 1, with the word it was written as.
#[derive(Debug, Clone, PartialEq)]
pub struct Strength {
    /// The number.
    pub value: f64,
    /// The word of `strengths.yaml`, if it was one.
    pub word: Option<String>,
}

/// Facts under which something holds.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Condition {
    /// Holds only with these values.
    pub only: Vec<(FactKey, Vec<usize>)>,
    /// Does not hold with these values.
    pub unless: Vec<(FactKey, Vec<usize>)>,
}

impl Condition {
    /// True when nothing is asked.
    pub fn is_open(&self) -> bool {
        self.only.is_empty() && self.unless.is_empty()
    }

    /// True when this and the other never hold together: what one asks for, the other forbids or has other values for.
    pub fn excludes(&self, other: &Self) -> bool {
        let forbidden = |a: &Self, b: &Self| {
            a.only.iter().any(|(fact, values)| {
                let none_left =
                    |(f, vs): &(FactKey, Vec<usize>)| f == fact && values.iter().all(|v| vs.contains(v));
                let apart =
                    |(f, vs): &(FactKey, Vec<usize>)| f == fact && values.iter().all(|v| !vs.contains(v));
                b.unless.iter().any(none_left) || b.only.iter().any(apart)
            })
        };
        forbidden(self, other) || forbidden(other, self)
    }
}

/// A typed link with its strength, condition and basis.
#[derive(Debug, Clone, PartialEq)]
pub struct Link<T> {
    /// What it leads to.
    pub to: T,
    /// How strongly.
    pub strength: Strength,
    /// When it holds.
    pub condition: Condition,
    /// Where it comes from.
    pub basis: Basis,
}

/// A published source.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Its key.
    pub id: String,
    /// Title.
    pub title: String,
    /// Author, where known.
    pub author: Option<String>,
    /// Year, where known.
    pub year: Option<String>,
    /// Journal, proceedings, publisher.
    pub place: String,
    /// How much of it was read.
    pub read: String,
    /// Cited by the physics in the code or by the casebook, and not only by rules.
    pub physics: bool,
}

/// One value of a fact.
#[derive(Debug, Clone, PartialEq)]
pub struct FactValue {
    /// Its id.
    pub id: String,
    /// In words.
    pub title: String,
    /// How often a shop's casts have it, when the sheet does not say: of all casts, or of the casts of a family.
    pub share: Base,
    /// Other words for it.
    pub synonyms: Vec<String>,
}

/// A fact of the job that is a word and not a number.
#[derive(Debug, Clone, PartialEq)]
pub struct Fact {
    /// Its id.
    pub id: String,
    /// In words.
    pub title: String,
    /// What it may be.
    pub values: Vec<FactValue>,
}

/// The metal an alloy is named after.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Metal {
    /// Silver alloys.
    Silver,
    /// Gold alloys.
    Gold,
    /// Platinum alloys.
    Platinum,
    /// Palladium alloys.
    Palladium,
    /// Brass and bronze.
    Copper,
    /// Stainless steel.
    Steel,
}

impl Metal {
    /// All metals with the word each is written as.
    pub const WORDS: [(&'static str, Self); 6] = [
        ("silver", Self::Silver),
        ("gold", Self::Gold),
        ("platinum", Self::Platinum),
        ("palladium", Self::Palladium),
        ("copper", Self::Copper),
        ("steel", Self::Steel),
    ];
    /// Its word.
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, m)| *m == self).map_or("", |(w, _)| w)
    }
}

/// A family of alloys that behave alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Family {
    /// Its id.
    pub id: String,
    /// In words.
    pub title: String,
    /// The metal it is named after.
    pub metal: Metal,
    /// How often a shop casts it.
    pub share: f64,
    /// Other words.
    pub synonyms: Vec<String>,
    /// Where that comes from.
    pub basis: Basis,
}

/// How thick the pieces are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Section {
    /// Filigree, prongs, thin shanks: under about 1.2 mm.
    Thin,
    /// Ordinary rings.
    Medium,
    /// Heavy rings and cast bars: from about 3 mm.
    Heavy,
}

impl Section {
    /// All, thin first, with the word each is written as.
    pub const WORDS: [(&'static str, Self); 3] =
        [("thin", Self::Thin), ("medium", Self::Medium), ("heavy", Self::Heavy)];
    /// Its word.
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, s)| *s == self).map_or("", |(w, _)| w)
    }
}

/// A range of temperatures, low end first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Low end.
    pub low: Celsius,
    /// High end.
    pub high: Celsius,
}

/// An alloy of the table.
#[derive(Debug, Clone, PartialEq)]
pub struct Alloy {
    /// Its id.
    pub id: String,
    /// In words.
    pub title: String,
    /// Its family.
    pub family: FamilyKey,
    /// Other words.
    pub synonyms: Vec<String>,
    /// Mass fractions.
    pub composition: Composition,
    /// Where melting begins.
    pub solidus: Celsius,
    /// Where melting ends.
    pub liquidus: Celsius,
    /// Published density; computed from the composition when not given.
    pub density: Option<GramsPerCm3>,
    /// Melt temperatures by section.
    pub melt: BTreeMap<Section, Window>,
    /// Flask temperatures by section.
    pub flask: BTreeMap<Section, Window>,
    /// Kinds of mould that suit, as values of the fact `binder`.
    pub binder: Vec<usize>,
    /// Covers over the melt that suit, as values of the fact `cover`.
    pub cover: Vec<usize>,
    /// Most revert that stays sound.
    pub revert_limit: Option<f64>,
    /// Earliest and latest advised quench after the pour.
    pub quench_after: Option<(Seconds, Seconds)>,
    /// Where sources disagree.
    pub notes: Option<String>,
    /// Where the record comes from.
    pub basis: Basis,
    /// Where single fields come from, when it is not the record's basis.
    pub basis_of: BTreeMap<String, Basis>,
}

impl Alloy {
    /// Where one field's figure comes from.
    pub fn basis_of(&self, field: &str) -> &Basis {
        self.basis_of.get(field).unwrap_or(&self.basis)
    }
}

/// A chance by alloy family, such as the prior of a cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Base {
    /// For families not named.
    pub default: Strength,
    /// For families named.
    pub by_family: BTreeMap<FamilyKey, Strength>,
}

/// How a quantity shifts the odds of a cause.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetRule {
    /// Which quantity.
    pub quantity: QuantityKey,
    /// Value and factor, values rising.
    pub knots: Vec<(f64, f64)>,
    /// When it holds: a figure that is too much for one kind of mould is right for another.
    pub condition: Condition,
    /// Where it comes from.
    pub basis: Basis,
}

impl SheetRule {
    /// The natural logarithm of the factor at a value: linear between knots, flat beyond the ends.
    /// Minus infinity where the factor is 0: the cause cannot be.
    pub fn ln_factor(&self, value: f64) -> f64 {
        let after = self.knots.iter().position(|(v, _)| *v >= value);
        let (Some(first), Some(last)) = (self.knots.first(), self.knots.last()) else { return 0.0 };
        match after {
            Some(0) => first.1.ln(),
            None => last.1.ln(),
            Some(at) => {
                let ((v0, f0), (v1, f1)) = (self.knots[at - 1], self.knots[at]);
                let part = (value - v0) / (v1 - v0);
                if part >= 1.0 {
                    f1.ln()
                } else if f0 == 0.0 || f1 == 0.0 {
                    // No logarithm to interpolate towards: impossible only at the knot itself.
                    if part == 0.0 { f0.ln() } else { (f0 + part * (f1 - f0)).ln() }
                } else {
                    f0.ln() + part * (f1.ln() - f0.ln())
                }
            }
        }
    }
}

/// How a fact shifts the odds of a cause.
#[derive(Debug, Clone, PartialEq)]
pub struct GivenRule {
    /// Which fact.
    pub fact: FactKey,
    /// Value and factor; values not named have factor 1.
    pub factors: BTreeMap<usize, f64>,
    /// Where it comes from.
    pub basis: Basis,
}

/// What the caster can change.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    /// Its id.
    pub id: String,
    /// In words.
    pub title: String,
    /// The file it stands in: melt-temperature, atmosphere, ...
    pub group: String,
    /// Other words.
    pub synonyms: Vec<String>,
    /// Chance in any bad cast.
    pub base: Base,
    /// Causes with the same setting exclude each other.
    pub setting: Option<String>,
    /// Shifts by quantities.
    pub sheet: Vec<SheetRule>,
    /// Shifts by facts.
    pub given: Vec<GivenRule>,
    /// Defects it brings.
    pub produces: Vec<Link<DefectKey>>,
    /// Signs it shows by itself.
    pub shows: Vec<Link<SignKey>>,
    /// The mechanism.
    pub because: String,
    /// How the shop can check it.
    pub check: Option<String>,
    /// Where it comes from.
    pub basis: Basis,
}

/// The seven kinds of fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Class {
    /// Holes.
    Cavity,
    /// Missing metal.
    Incomplete,
    /// Extra metal.
    Projection,
    /// Cracks and breaks.
    Discontinuity,
    /// Skin and colour.
    Surface,
    /// Foreign matter and structure.
    Inclusion,
    /// Size and shape.
    Shape,
}

impl Class {
    /// All, with the word each is written as.
    pub const WORDS: [(&'static str, Self); 7] = [
        ("cavity", Self::Cavity),
        ("incomplete", Self::Incomplete),
        ("projection", Self::Projection),
        ("discontinuity", Self::Discontinuity),
        ("surface", Self::Surface),
        ("inclusion", Self::Inclusion),
        ("shape", Self::Shape),
    ];
    /// Its word.
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, c)| *c == self).map_or("", |(w, _)| w)
    }
}

/// Another defect that people call by this one's name.
#[derive(Debug, Clone, PartialEq)]
pub struct LookAlike {
    /// The other defect.
    pub defect: DefectKey,
    /// How often it is called so.
    pub called_so: Strength,
    /// How to tell them apart.
    pub apart: String,
}

/// What physically went wrong.
#[derive(Debug, Clone, PartialEq)]
pub struct Defect {
    /// Its id.
    pub id: String,
    /// In words.
    pub title: String,
    /// Kind of fault.
    pub class: Class,
    /// Other words.
    pub synonyms: Vec<String>,
    /// Chance without any cause listed.
    pub leak: Strength,
    /// Chance that whoever sees it calls it so.
    pub named: Strength,
    /// Plain description.
    pub what: String,
    /// Where it sits.
    pub place: Option<String>,
    /// When it shows.
    pub when: Option<String>,
    /// What else is called so.
    pub look_alikes: Vec<LookAlike>,
    /// How it shows.
    pub shows: Vec<Link<SignKey>>,
    /// Facts of the job that follow from its being there.
    pub implies: Vec<(FactKey, usize)>,
    /// Jobs in which it can be at all: no gypsum gas without gypsum, no broken stone without stones.
    pub condition: Condition,
    /// Where it comes from.
    pub basis: Basis,
}

/// What can be seen, felt, weighed or remembered.
#[derive(Debug, Clone, PartialEq)]
pub struct Sign {
    /// Its id.
    pub id: String,
    /// In words.
    pub title: String,
    /// Other words.
    pub synonyms: Vec<String>,
    /// How to look.
    pub look: String,
    /// Chance that it is reported for nothing.
    pub leak: Strength,
    /// Signs that cannot be there together with it.
    pub excludes: Vec<SignKey>,
    /// Facts of the job that follow from its being seen.
    pub implies: Vec<(FactKey, usize)>,
    /// Where it comes from.
    pub basis: Basis,
}

/// What it takes to answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum By {
    /// Bare eye.
    Look,
    /// Loupe.
    Loupe,
    /// File or graver.
    File,
    /// Saw.
    Saw,
    /// Balance.
    Weigh,
    /// A log or a memory.
    Log,
    /// Somebody who knows.
    Ask,
    /// A small trial.
    Test,
}

impl By {
    /// All, with the word each is written as.
    pub const WORDS: [(&'static str, Self); 8] = [
        ("look", Self::Look),
        ("loupe", Self::Loupe),
        ("file", Self::File),
        ("saw", Self::Saw),
        ("weigh", Self::Weigh),
        ("log", Self::Log),
        ("ask", Self::Ask),
        ("test", Self::Test),
    ];
    /// Its word.
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, b)| *b == self).map_or("", |(w, _)| w)
    }
}

/// A defect or a sign: what a question waits for, what evidence is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Finding {
    /// A defect, as named by eye or as certain.
    Defect(DefectKey),
    /// A sign.
    Sign(SignKey),
}

/// One answer and what it implies.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// In words.
    pub say: String,
    /// Other words that mean it, such as yes or no: the question decides which answer a yes is.
    pub also: Vec<String>,
    /// Signs it sets.
    pub present: Vec<SignKey>,
    /// Signs it rules out.
    pub absent: Vec<SignKey>,
}

/// What a question fills in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reveals {
    /// Signs, by one or several of these answers.
    Signs {
        /// The answers.
        answers: Vec<Answer>,
        /// Several at once?
        many: bool,
    },
    /// A recorded quantity of the sheet.
    Quantity(QuantityKey),
    /// A fact of the sheet.
    Fact(FactKey),
    /// The alloy.
    Alloy,
}

/// Something to ask.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// Its id.
    pub id: String,
    /// The question.
    pub ask: String,
    /// How to look.
    pub look: String,
    /// Work to answer it.
    pub effort: Seconds,
    /// With what.
    pub by: By,
    /// Asked only when one of these is in play; empty: always.
    pub needs: Vec<Finding>,
    /// Questions that come before.
    pub after: Vec<QuestionKey>,
    /// Defects whose name answers it.
    pub told_by: Vec<DefectKey>,
    /// What it fills in.
    pub reveals: Reveals,
    /// Where it comes from.
    pub basis: Basis,
}

/// What kind of work a remedy is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// A setting at the next cast.
    Setting,
    /// A habit or timing.
    Practice,
    /// A new tree or gate layout.
    Tree,
    /// A new wax, model or rubber.
    Wax,
    /// New investment.
    Investment,
    /// New or refined metal.
    Metal,
    /// Service or purchase.
    Equipment,
}

impl Kind {
    /// All, with the word each is written as.
    pub const WORDS: [(&'static str, Self); 7] = [
        ("setting", Self::Setting),
        ("practice", Self::Practice),
        ("tree", Self::Tree),
        ("wax", Self::Wax),
        ("investment", Self::Investment),
        ("metal", Self::Metal),
        ("equipment", Self::Equipment),
    ];
    /// Its word.
    pub fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, k)| *k == self).map_or("", |(w, _)| w)
    }
}

/// How far a remedy moves a recorded quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Move {
    /// Which quantity.
    pub quantity: QuantityKey,
    /// By or to.
    pub change: Change,
    /// Which way it helps.
    pub way: Way,
    /// Not below.
    pub least: Option<f64>,
    /// Not above.
    pub most: Option<f64>,
}

/// By how much, or to what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Change {
    /// Added to the sheet's figure.
    By(f64),
    /// Instead of the sheet's figure.
    To(f64),
}

/// Which way a move to a named value helps: a sheet that is past the value already has nothing to gain from it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// From either side.
    Either,
    /// Only upward.
    Up,
    /// Only downward.
    Down,
}

/// A change, its effect and its price.
#[derive(Debug, Clone, PartialEq)]
pub struct Remedy {
    /// Its id.
    pub id: String,
    /// In words.
    pub title: String,
    /// Other words.
    pub synonyms: Vec<String>,
    /// The step in numbers.
    pub change: String,
    /// The sheet's figure it moves.
    pub moves: Option<Move>,
    /// Work, without the re-cast.
    pub effort: Seconds,
    /// Kind of work.
    pub kind: Kind,
    /// Chance that a cause is gone at the next cast.
    pub cures: Vec<Link<CauseKey>>,
    /// Chance that a cause is brought in.
    pub spoils: Vec<Link<CauseKey>>,
    /// Hazards.
    pub cautions: Vec<CautionKey>,
    /// When it makes sense.
    pub condition: Condition,
    /// Why it works.
    pub because: String,
    /// Where it comes from.
    pub basis: Basis,
}

/// A hazard of an operation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// Its id.
    pub id: String,
    /// The operation.
    pub operation: String,
    /// What can hurt.
    pub hazard: String,
    /// What to do.
    pub advice: String,
    /// Where it comes from.
    pub basis: Basis,
}

/// One change that helps one fault and hurts another.
#[derive(Debug, Clone, PartialEq)]
pub struct TradeOff {
    /// Its id.
    pub id: String,
    /// The change.
    pub change: String,
    /// The remedy that makes it.
    pub remedy: RemedyKey,
    /// What it helps.
    pub helps: Vec<DefectKey>,
    /// What it hurts.
    pub hurts: Vec<DefectKey>,
    /// For which jobs.
    pub condition: Condition,
    /// Remark.
    pub note: Option<String>,
    /// Where it comes from.
    pub basis: Basis,
}

/// All that the program knows of the trade.
#[derive(Debug, Clone, Default)]
pub struct RuleBase {
    /// Words for numbers.
    pub strengths: Vec<(String, f64)>,
    /// Published sources.
    pub sources: Vec<Source>,
    /// Facts; the first is the alloy family.
    pub facts: Vec<Fact>,
    /// Alloy families.
    pub families: Vec<Family>,
    /// Alloys.
    pub alloys: Vec<Alloy>,
    /// Causes.
    pub causes: Vec<Cause>,
    /// Defects.
    pub defects: Vec<Defect>,
    /// Signs.
    pub signs: Vec<Sign>,
    /// Questions.
    pub questions: Vec<Question>,
    /// Remedies.
    pub remedies: Vec<Remedy>,
    /// Cautions.
    pub cautions: Vec<Caution>,
    /// Trade-offs.
    pub trade_offs: Vec<TradeOff>,
    /// The catalogue of quantities the rules were read with.
    pub quantities: Vec<Quantity>,
}

macro_rules! lookups {
    ($($list:ident, $key:ident, $record:ident, $one:ident, $keys:ident, $find:ident;)*) => {
        impl RuleBase {$(
            /// The record of a key.
            pub fn $one(&self, key: $key) -> &$record {
                &self.$list[key.index()]
            }
            /// All keys in order.
            pub fn $keys(&self) -> impl Iterator<Item = $key> + use<> {
                (0..self.$list.len()).map($key::new)
            }
            /// The key of an id.
            pub fn $find(&self, id: &str) -> Option<$key> {
                self.$list.iter().position(|r| r.id == id).map($key::new)
            }
        )*}
    };
}

lookups! {
    causes, CauseKey, Cause, cause, cause_keys, find_cause;
    defects, DefectKey, Defect, defect, defect_keys, find_defect;
    signs, SignKey, Sign, sign, sign_keys, find_sign;
    questions, QuestionKey, Question, question, question_keys, find_question;
    remedies, RemedyKey, Remedy, remedy, remedy_keys, find_remedy;
    cautions, CautionKey, Caution, caution, caution_keys, find_caution;
    families, FamilyKey, Family, family, family_keys, find_family;
    alloys, AlloyKey, Alloy, alloy, alloy_keys, find_alloy;
    facts, FactKey, Fact, fact, fact_keys, find_fact;
    sources, SourceKey, Source, source, source_keys, find_source;
    quantities, QuantityKey, Quantity, quantity, quantity_keys, find_quantity;
}
