//! What people call things: ids, titles and synonyms, spelt as they come.

use super::keys::{AlloyKey, FamilyKey};
use super::model::{Finding, Metal, RuleBase};
use rust_stemmers::{Algorithm, Stemmer};
use std::collections::HashMap;
use std::sync::LazyLock;

/// A phrase brought to the form in which phrases are compared: small letters, no apostrophes, every other mark a
/// space, every word cut to its stem, so that `Pin-holes` meets `pinhole`.
pub fn normal(phrase: &str) -> String {
    static STEMMER: LazyLock<Stemmer> = LazyLock::new(|| Stemmer::create(Algorithm::English));
    let stemmer = &*STEMMER;
    let plain: String = phrase
        .to_lowercase()
        .chars()
        .filter(|c| !matches!(c, '\'' | '’'))
        .map(|c| if c.is_alphanumeric() { c } else { ' ' })
        .collect();
    plain.split_whitespace().map(|w| stemmer.stem(w).into_owned()).collect::<Vec<_>>().join(" ")
}

/// All spoken names of defects and signs.
#[derive(Debug)]
pub struct FindingNames {
    by_phrase: HashMap<String, Finding>,
    spoken: Vec<String>,
}

impl FindingNames {
    /// Gathers them from the rules. An id wins over a title, a title over a synonym, defects over signs.
    pub fn new(rules: &RuleBase) -> Self {
        let mut names = Self { by_phrase: HashMap::new(), spoken: Vec::new() };
        let defects = || rules.defect_keys().map(|k| (Finding::Defect(k), rules.defect(k)));
        let signs = || rules.sign_keys().map(|k| (Finding::Sign(k), rules.sign(k)));
        for (finding, defect) in defects() {
            names.add(&defect.id, finding);
        }
        for (finding, sign) in signs() {
            names.add(&sign.id, finding);
        }
        for (finding, defect) in defects() {
            names.add(&defect.title, finding);
            defect.synonyms.iter().for_each(|s| names.add(s, finding));
        }
        for (finding, sign) in signs() {
            names.add(&sign.title, finding);
            sign.synonyms.iter().for_each(|s| names.add(s, finding));
        }
        names
    }

    fn add(&mut self, phrase: &str, finding: Finding) {
        self.by_phrase.entry(normal(phrase)).or_insert(finding);
        self.spoken.push(phrase.to_owned());
    }

    /// What a phrase means, if it is a name of something.
    pub fn find(&self, phrase: &str) -> Option<Finding> {
        self.by_phrase.get(&normal(phrase)).copied()
    }

    /// The names nearest to a phrase that is none, best first.
    pub fn near(&self, phrase: &str, most: usize) -> Vec<&str> {
        near(phrase, self.spoken.iter().map(String::as_str), most)
    }
}

/// What an alloy's name stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AlloyName {
    /// One alloy of the table.
    Alloy(AlloyKey),
    /// A family, the alloy not known.
    Family(FamilyKey),
    /// Only the metal is known.
    Metal(Metal),
}

/// What an alloy's name stands for, by id, title or synonym of an alloy, then of a family, then the metal's word.
pub fn find_alloy(rules: &RuleBase, phrase: &str) -> Option<AlloyName> {
    let wanted = normal(phrase);
    let is = |text: &str| normal(text) == wanted;
    let metal = Metal::WORDS.iter().find(|(w, _)| is(w)).map(|(_, m)| AlloyName::Metal(*m));
    let alloy = |by: &dyn Fn(AlloyKey) -> bool| rules.alloy_keys().find(|k| by(*k)).map(AlloyName::Alloy);
    let family = |by: &dyn Fn(FamilyKey) -> bool| rules.family_keys().find(|k| by(*k)).map(AlloyName::Family);
    metal
        .or_else(|| alloy(&|k| is(&rules.alloy(k).id)))
        .or_else(|| family(&|k| is(&rules.family(k).id)))
        .or_else(|| alloy(&|k| is(&rules.alloy(k).title) || rules.alloy(k).synonyms.iter().any(|s| is(s))))
        .or_else(|| family(&|k| is(&rules.family(k).title) || rules.family(k).synonyms.iter().any(|s| is(s))))
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
