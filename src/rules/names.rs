//! What people call things: ids, titles and synonyms, spelt as they come.

use super::keys::{AlloyKey, FamilyKey};
use super::model::{Finding, Metal, RuleBase};
use rust_stemmers::{Algorithm, Stemmer};
use std::collections::HashMap;
use std::sync::{LazyLock, OnceLock};

/// A phrase brought to the form in which phrases are compared: small letters, no apostrophes, every other mark a
/// space, every word cut to its stem, so that `Pin-holes` meets `pinhole`.
pub fn normal(phrase: &str) -> String {
    plain(phrase).split_whitespace().map(stem).collect::<Vec<_>>().join(" ")
}

/// The first half of it: small letters, no apostrophes, every other mark a space.
pub fn plain(phrase: &str) -> String {
    phrase
        .to_lowercase()
        .chars()
        .filter(|c| !matches!(c, '\'' | '’'))
        .map(|c| if c.is_alphanumeric() { c } else { ' ' })
        .collect()
}

/// The second half of it: the stem of a plain word.
pub fn stem(word: &str) -> String {
    static STEMMER: LazyLock<Stemmer> = LazyLock::new(stemmer);
    STEMMER.stem(&spelling(word)).into_owned()
}

/// Cuts English words to their stems.
pub(super) fn stemmer() -> Stemmer {
    Stemmer::create(Algorithm::English)
}

/// A word in small letters, spelt the British way, with irregular forms of the trade's verbs brought to one.
pub(super) fn spelling(word: &str) -> String {
    const FORMS: [(&str, &str); 48] = [
        ("broke", "break"),
        ("broken", "break"),
        ("froze", "freeze"),
        ("frozen", "freeze"),
        ("tore", "tear"),
        ("torn", "tear"),
        ("burnt", "burn"),
        ("ran", "run"),
        ("sank", "sunk"),
        ("sunken", "sunk"),
        ("spat", "spit"),
        ("swollen", "swell"),
        ("came", "come"),
        ("fell", "fall"),
        ("fallen", "fall"),
        ("went", "go"),
        ("gone", "go"),
        ("goes", "go"),
        ("became", "become"),
        ("blew", "blow"),
        ("blown", "blow"),
        ("thickest", "thick"),
        ("thinnest", "thin"),
        ("heaviest", "heavy"),
        ("biggest", "big"),
        ("sapphire", "stone"),
        ("sapphires", "stone"),
        ("ruby", "stone"),
        ("rubies", "stone"),
        ("emeralds", "stone"),
        ("opal", "stone"),
        ("opals", "stone"),
        ("garnets", "stone"),
        ("topaz", "stone"),
        ("cz", "stone"),
        ("czs", "stone"),
        ("thru", "through"),
        ("stank", "stink"),
        ("stunk", "stink"),
        ("smelt", "smell"),
        ("cu", "copper"),
        ("vac", "vacuum"),
        ("lil", "little"),
        ("bust", "break"),
        ("busted", "break"),
        ("whenever", "when"),
        ("deepest", "deep"),
        ("smallest", "small"),
    ];
    if let Some((_, form)) = FORMS.iter().find(|(w, _)| *w == word) {
        return (*form).to_owned();
    }
    let mut word = word.replace("color", "colour").replace("sulf", "sulph").replace("gray", "grey");
    if word.starts_with("mold") {
        word.replace_range(..4, "mould");
    }
    for (american, british) in [("izing", "ising"), ("ized", "ised"), ("izes", "ises"), ("ize", "ise")] {
        if let Some(head) = word.strip_suffix(american).filter(|h| h.chars().count() > 2) {
            return format!("{head}{british}");
        }
    }
    word
}

/// Names with what each stands for, in order of precedence.
#[derive(Debug)]
struct Names<'a, T> {
    all: Vec<(&'a str, T)>,
    /// By the form in which phrases are compared; made when a phrase is not a name letter by letter.
    by_form: OnceLock<HashMap<String, T>>,
}

impl<'a, T: Copy> Names<'a, T> {
    fn new(all: Vec<(&'a str, T)>) -> Self {
        Self { all, by_form: OnceLock::new() }
    }

    fn find(&self, phrase: &str) -> Option<T> {
        if let Some((_, known)) = self.all.iter().find(|(name, _)| name.eq_ignore_ascii_case(phrase)) {
            return Some(*known);
        }
        let by_form = self.by_form.get_or_init(|| {
            let mut by_form = HashMap::new();
            for (name, known) in &self.all {
                by_form.entry(normal(name)).or_insert(*known);
            }
            by_form
        });
        by_form.get(&normal(phrase)).copied()
    }
}

/// All spoken names of defects and signs.
#[derive(Debug)]
pub struct FindingNames<'a>(Names<'a, Finding>);

impl<'a> FindingNames<'a> {
    /// Gathers them from the rules. An id wins over a title, a title over a synonym, defects over signs.
    pub fn new(rules: &'a RuleBase) -> Self {
        let defects = || rules.defect_keys().map(|k| (Finding::Defect(k), rules.defect(k)));
        let signs = || rules.sign_keys().map(|k| (Finding::Sign(k), rules.sign(k)));
        let mut all: Vec<(&str, Finding)> = Vec::new();
        all.extend(defects().map(|(finding, defect)| (defect.id.as_str(), finding)));
        all.extend(signs().map(|(finding, sign)| (sign.id.as_str(), finding)));
        for (finding, defect) in defects() {
            all.push((&defect.title, finding));
            all.extend(defect.synonyms.iter().map(|s| (s.as_str(), finding)));
        }
        for (finding, sign) in signs() {
            all.push((&sign.title, finding));
            all.extend(sign.synonyms.iter().map(|s| (s.as_str(), finding)));
        }
        Self(Names::new(all))
    }

    /// What a phrase means, if it is a name of something.
    pub fn find(&self, phrase: &str) -> Option<Finding> {
        self.0.find(phrase)
    }

    /// The names nearest to a phrase that is none, best first.
    pub fn near(&self, phrase: &str, most: usize) -> Vec<&'a str> {
        near(phrase, self.0.all.iter().map(|(name, _)| *name), most)
    }
}

/// What an alloy's name stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AlloyName {
    /// One alloy of the table.
    Alloy(AlloyKey),
    /// A family, the alloy not known.
    Family(FamilyKey),
    /// Only the metal is known.
    Metal(Metal),
}

/// All spoken names of alloys.
#[derive(Debug)]
pub struct AlloyNames<'a>(Names<'a, AlloyName>);

impl<'a> AlloyNames<'a> {
    /// Gathers them from the rules. An alloy's id wins over the metal's word, that over a family's id, ids over titles
    /// and synonyms, alloys over families.
    pub fn new(rules: &'a RuleBase) -> Self {
        let alloys = || rules.alloy_keys().map(|k| (AlloyName::Alloy(k), rules.alloy(k)));
        let families = || rules.family_keys().map(|k| (AlloyName::Family(k), rules.family(k)));
        let mut all: Vec<(&str, AlloyName)> = Vec::new();
        all.extend(alloys().map(|(name, alloy)| (alloy.id.as_str(), name)));
        all.extend(Metal::WORDS.iter().map(|(word, metal)| (*word, AlloyName::Metal(*metal))));
        all.extend(families().map(|(name, family)| (family.id.as_str(), name)));
        for (name, alloy) in alloys() {
            all.push((&alloy.title, name));
            all.extend(alloy.synonyms.iter().map(|s| (s.as_str(), name)));
        }
        for (name, family) in families() {
            all.push((&family.title, name));
            all.extend(family.synonyms.iter().map(|s| (s.as_str(), name)));
        }
        Self(Names::new(all))
    }

    /// What a phrase stands for, if it is the name of an alloy, a family or a metal.
    pub fn find(&self, phrase: &str) -> Option<AlloyName> {
        self.0.find(phrase)
    }
}

/// What an alloy's name stands for; for many names at once build [`AlloyNames`].
pub fn find_alloy(rules: &RuleBase, phrase: &str) -> Option<AlloyName> {
    // Sheets and cases name alloys by id, and to gather all names takes longer than to read the rest of a case.
    let metal = || Metal::WORDS.iter().find(|(word, _)| *word == phrase).map(|(_, m)| AlloyName::Metal(*m));
    let family = || rules.find_family(phrase).map(AlloyName::Family);
    let by_id = rules.find_alloy(phrase).map(AlloyName::Alloy).or_else(metal).or_else(family);
    by_id.or_else(|| AlloyNames::new(rules).find(phrase))
}

/// The alloy names nearest to a phrase that is none.
pub fn near_alloys<'a>(rules: &'a RuleBase, phrase: &str, most: usize) -> Vec<&'a str> {
    let alloys = rules.alloys.iter().flat_map(|a| std::iter::once(&a.id).chain(&a.synonyms));
    let families = rules.families.iter().flat_map(|f| std::iter::once(&f.id).chain(&f.synonyms));
    near(phrase, alloys.chain(families).map(String::as_str), most)
}

/// The phrases nearest to one, best first: letters in common, or whole words in common.
fn near<'a>(phrase: &str, spoken: impl Iterator<Item = &'a str>, most: usize) -> Vec<&'a str> {
    const NEAR_ENOUGH: f64 = 0.45;
    // Comparing costs the product of the lengths; nothing longer than this is a misspelt name.
    const LONGEST: usize = 200;
    if phrase.len() > LONGEST {
        return Vec::new();
    }
    let wanted = normal(phrase);
    let words: Vec<&str> = wanted.split(' ').collect();
    let mut scored: Vec<(f64, &str)> = spoken
        .map(|name| {
            let other = normal(name);
            let letters = strsim::normalized_damerau_levenshtein(&wanted, &other);
            let shared = other.split(' ').filter(|w| w.len() > 2 && words.contains(w)).count();
            #[expect(clippy::cast_precision_loss, reason = "a handful of words")]
            let by_words = 2.0 * shared as f64 / (words.len() + other.split(' ').count()) as f64;
            (letters.max(by_words), name)
        })
        .filter(|(score, _)| *score >= NEAR_ENOUGH)
        .collect();
    scored.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(b.1)));
    scored.dedup_by(|a, b| a.1 == b.1);
    scored.into_iter().take(most).map(|(_, name)| name).collect()
}
