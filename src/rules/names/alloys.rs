//! What people call alloys: by the names of the rules, and by carat or fineness, colour and metal in any order.

use super::{Names, near, plain};
use crate::document::visible;
use crate::rules::keys::{AlloyKey, FamilyKey};
use crate::rules::model::{Metal, RuleBase};
use std::cell::OnceCell;
use std::collections::BTreeSet;

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

/// An alloy's name as it was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AlloyRead {
    /// What it stands for.
    pub name: AlloyName,
    /// What was chosen where the words say too little, or say what is not in the table: a sentence for the caster.
    pub choice: Option<String>,
}

/// All spoken names of alloys.
#[derive(Debug)]
pub struct AlloyNames<'a> {
    rules: &'a RuleBase,
    names: Names<'a, AlloyName>,
    /// The names by their words of the trade, in the same order; made when a phrase is no name.
    trade: OnceCell<Vec<(BTreeSet<String>, AlloyName)>>,
}

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
        Self { rules, names: Names::new(all), trade: OnceCell::new() }
    }

    /// What a phrase stands for, if it is the name of an alloy, a family or a metal.
    pub fn find(&self, phrase: &str) -> Option<AlloyName> {
        self.read(phrase).map(|read| read.name)
    }

    /// The same, with the choice that was made.
    pub fn read(&self, phrase: &str) -> Option<AlloyRead> {
        let said = Trade::of(phrase);
        if let Some(name) = self.names.find(phrase) {
            return Some(self.chosen(phrase, &said, name));
        }
        if let Some((_, name)) = self.trade().iter().find(|(words, _)| *words == said.words) {
            return Some(self.chosen(phrase, &said, *name));
        }
        said.grade.as_ref()?;
        self.part(phrase, &said).or_else(|| self.nearest(phrase, &said))
    }

    fn trade(&self) -> &[(BTreeSet<String>, AlloyName)] {
        self.trade.get_or_init(|| {
            self.names.all.iter().map(|(name, known)| (Trade::of(name).words, *known)).collect()
        })
    }

    /// White gold is white by nickel or by palladium, and these melt a hundred degrees apart.
    fn chosen(&self, phrase: &str, said: &Trade, name: AlloyName) -> AlloyRead {
        let AlloyName::Alloy(key) = name else { return AlloyRead { name, choice: None } };
        let white =
            said.has("white") && !said.has("nickel") && !said.has("palladium") && !self.is_title(phrase);
        let family = self.rules.alloy(key).family;
        let others = self.with_all(&said.words).into_iter().filter(|k| self.rules.alloy(*k).family != family);
        let others: Vec<&str> = others.filter(|_| white).map(|k| self.rules.alloy(k).id.as_str()).collect();
        let choice = (!others.is_empty()).then(|| {
            format!("`{}` may be {} too; taken as {}", shown(phrase), others.join(" or "), self.words(name))
        });
        AlloyRead { name, choice }
    }

    fn is_title(&self, phrase: &str) -> bool {
        self.rules.alloys.iter().any(|a| a.id == phrase || a.title.eq_ignore_ascii_case(phrase))
    }

    /// The alloys of the table that have a name with all these words.
    fn with_all(&self, words: &BTreeSet<String>) -> Vec<AlloyKey> {
        let mut found = Vec::new();
        for (name, known) in self.trade() {
            if let AlloyName::Alloy(key) = known
                && words.is_subset(name)
                && !found.contains(key)
            {
                found.push(*key);
            }
        }
        found
    }

    /// `platinum 950` leaves open what else is in it: the family then, or the metal.
    fn part(&self, phrase: &str, said: &Trade) -> Option<AlloyRead> {
        let keys = self.with_all(&said.words);
        let family = |k: &AlloyKey| self.rules.alloy(*k).family;
        let metal = |k: &AlloyKey| self.rules.family(family(k)).metal;
        let first = keys.first()?;
        let name = if keys.len() == 1 {
            return Some(AlloyRead { name: AlloyName::Alloy(*first), choice: None });
        } else if keys.iter().all(|k| family(k) == family(first)) {
            AlloyName::Family(family(first))
        } else if keys.iter().all(|k| metal(k) == metal(first)) {
            AlloyName::Metal(metal(first))
        } else {
            return None;
        };
        let ids: Vec<&str> = keys.iter().map(|k| self.rules.alloy(*k).id.as_str()).collect();
        let choice =
            format!("`{}` may be {}; taken as {}", shown(phrase), ids.join(" or "), self.words(name));
        Some(AlloyRead { name, choice: Some(choice) })
    }

    /// A gold of a carat that the table does not have in this colour: the alloy next to it where that is hardly another
    /// metal, else its family alone.
    fn nearest(&self, phrase: &str, said: &Trade) -> Option<AlloyRead> {
        /// A gold is a colour first; of the others the carat tells more.
        const COLOURS: [(&str, bool); 5] =
            [("white", true), ("red", true), ("rose", true), ("yellow", true), ("green", false)];
        let wanted = said.carat()?;
        let colour = COLOURS.iter().find(|(colour, _)| said.has(colour));
        if said.words.len() != 1 + usize::from(colour.is_some()) {
            return None;
        }
        let (colour, keeps) = colour.copied().unwrap_or(("yellow", true));
        let near = |colour: &str| {
            let alloys = self.trade().iter().filter_map(|(words, name)| {
                let AlloyName::Alloy(key) = name else { return None };
                let carat = words.iter().find_map(|w| carat(w)).filter(|_| words.len() == 2)?;
                words.contains(colour).then_some((carat.abs_diff(wanted), *key))
            });
            alloys.min_by_key(|(off, _)| *off)
        };
        let (off, key) = near(colour).filter(|(off, _)| keeps || *off <= 1).or_else(|| near("yellow"))?;
        let name = if off <= 1 && keeps {
            AlloyName::Alloy(key)
        } else {
            AlloyName::Family(self.rules.alloy(key).family)
        };
        let choice = format!(
            "no alloy here is called `{}`; taken as the nearest, {}",
            shown(phrase),
            self.words(name)
        );
        Some(AlloyRead { name, choice: Some(choice) })
    }

    /// How it is called in a sentence.
    fn words(&self, name: AlloyName) -> String {
        match name {
            AlloyName::Alloy(key) => self.rules.alloy(key).title.clone(),
            AlloyName::Family(key) => format!("{}, the alloy not known", self.rules.family(key).title),
            AlloyName::Metal(metal) => format!("{}, the alloy not known", metal.word()),
        }
    }
}

/// An alloy's name by its words, in no order.
struct Trade {
    /// `14k`, `silver`, `925`, `white`; the gold beside a carat says nothing.
    words: BTreeSet<String>,
    /// The carat or the fineness among them.
    grade: Option<String>,
}

impl Trade {
    fn of(phrase: &str) -> Self {
        let phrase = plain(phrase);
        let runs = runs(&phrase);
        let mut words = BTreeSet::new();
        let mut at = 0;
        while let Some(word) = runs.get(at) {
            let number = word.parse::<u32>().ok();
            match (number.filter(|n| (1..=24).contains(n)), runs.get(at + 1)) {
                (Some(carat), Some(unit)) if CARAT.contains(unit) => {
                    words.insert(format!("{carat}k"));
                    at += 1;
                }
                // As stamped: `14ky`, `18kw`.
                (Some(carat), Some(unit)) if STAMPED.iter().any(|(s, _)| s == unit) => {
                    words.insert(format!("{carat}k"));
                    words.extend(STAMPED.iter().filter(|(s, _)| s == unit).map(|(_, w)| (*w).to_owned()));
                    at += 1;
                }
                _ => words.extend(meaning(word).iter().map(|w| (*w).to_owned())),
            }
            at += 1;
        }
        let gold = !["silver", "platinum"].iter().any(|other| words.contains(*other));
        for (fineness, carat) in FINENESS.iter().filter(|_| gold) {
            if words.remove(*fineness) {
                words.insert((*carat).to_owned());
            }
        }
        let has_carat = words.iter().any(|w| carat(w).is_some());
        if has_carat {
            words.remove("gold");
        }
        let fineness = |w: &&String| w.len() == 3 && w.bytes().all(|b| b.is_ascii_digit());
        let grade =
            words.iter().find(|w| carat(w).is_some()).or_else(|| words.iter().find(fineness)).cloned();
        Self { words, grade }
    }

    fn has(&self, word: &str) -> bool {
        self.words.contains(word)
    }

    fn carat(&self) -> Option<u32> {
        carat(self.grade.as_deref()?)
    }
}

const CARAT: [&str; 7] = ["k", "kt", "ct", "carat", "karat", "carats", "karats"];
const STAMPED: [(&str, &str); 3] = [("ky", "yellow"), ("kw", "white"), ("kr", "rose")];
/// What is stamped into gold in parts of a thousand.
const FINENESS: [(&str, &str); 8] = [
    ("333", "8k"),
    ("375", "9k"),
    ("416", "10k"),
    ("417", "10k"),
    ("583", "14k"),
    ("585", "14k"),
    ("750", "18k"),
    ("916", "22k"),
];

fn carat(word: &str) -> Option<u32> {
    word.strip_suffix('k')?.parse().ok()
}

/// What a word of a name says; nothing for those that say nothing.
fn meaning<'a>(word: &'a &str) -> &'a [&'a str] {
    match *word {
        "ag" => &["silver"],
        "au" => &["gold"],
        "pt" | "plat" => &["platinum"],
        "pd" => &["palladium"],
        "ni" => &["nickel"],
        "cu" => &["copper"],
        "ru" => &["ruthenium"],
        "co" => &["cobalt"],
        "ir" => &["iridium"],
        "sterling" => &["silver", "925"],
        "pink" => &["rose"],
        "alloy" | "metal" | "the" | "a" | "an" | "my" | "our" | "of" | "with" => &[],
        _ => std::slice::from_ref(word),
    }
}

/// The words of a plain phrase, letters and digits apart: `pt950ru` is three.
fn runs(phrase: &str) -> Vec<&str> {
    let mut all = Vec::new();
    for word in phrase.split_whitespace() {
        let mut rest = word;
        while let Some(first) = rest.chars().next() {
            let digit = first.is_ascii_digit();
            let end = rest.find(|c: char| c.is_ascii_digit() != digit).unwrap_or(rest.len());
            let (run, behind) = rest.split_at(end);
            all.push(run);
            rest = behind;
        }
    }
    all
}

fn shown(phrase: &str) -> String {
    visible(&phrase.trim().chars().take(40).collect::<String>())
}

/// What an alloy's name stands for, with the choice that was made; for many names at once build [`AlloyNames`].
pub fn read_alloy(rules: &RuleBase, phrase: &str) -> Option<AlloyRead> {
    // Sheets and cases name alloys by id, and to gather all names takes longer than to read the rest of a case.
    let metal = || Metal::WORDS.iter().find(|(word, _)| *word == phrase).map(|(_, m)| AlloyName::Metal(*m));
    let family = || rules.find_family(phrase).map(AlloyName::Family);
    let by_id = rules.find_alloy(phrase).map(AlloyName::Alloy).or_else(metal).or_else(family);
    by_id.map(|name| AlloyRead { name, choice: None }).or_else(|| AlloyNames::new(rules).read(phrase))
}

/// What an alloy's name stands for.
pub fn find_alloy(rules: &RuleBase, phrase: &str) -> Option<AlloyName> {
    read_alloy(rules, phrase).map(|read| read.name)
}

/// The alloy names nearest to a phrase that is none.
pub fn near_alloys<'a>(rules: &'a RuleBase, phrase: &str, most: usize) -> Vec<&'a str> {
    let alloys = rules.alloys.iter().flat_map(|a| std::iter::once(&a.id).chain(&a.synonyms));
    let families = rules.families.iter().flat_map(|f| std::iter::once(&f.id).chain(&f.synonyms));
    near(phrase, alloys.chain(families).map(String::as_str), most)
}
