//! Everything that the rules have a name for, as sequences of stems.

use super::super::keys::{CauseKey, FactKey};
use super::super::model::{Finding, Metal, RuleBase};
use super::super::names::{AlloyName, AlloyNames, stemmer};
use super::kin::Kin;
use super::kinds::Kinds;
use super::speech::{Cutter, Token, is_denial, is_empty_word, is_linking, is_opening, is_talk};
use super::subject::is_tool;
use std::collections::{BTreeMap, HashMap, HashSet};

/// What a name stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Target {
    Finding(Finding),
    Cause(CauseKey),
    Alloy(AlloyName),
    Fact(FactKey, usize),
}

impl Target {
    /// Names of one kind hide shorter ones inside them; names of different kinds stand side by side.
    pub(super) fn kind(self) -> u8 {
        match self {
            Self::Finding(_) => 0,
            Self::Cause(_) => 1,
            Self::Alloy(_) => 2,
            Self::Fact(..) => 3,
        }
    }
}

/// A kind of fault that some signs cannot be without.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fault {
    Hole,
    Crack,
    /// A black skin, of which the pickle can be spoken.
    Black,
    /// A fault of a stone that was cast in place.
    Stone,
}

impl Fault {
    pub(super) const ALL: [Self; 4] = [Self::Hole, Self::Crack, Self::Black, Self::Stone];

    /// The fault that a title is about.
    pub(super) fn of_title(title: &[Token]) -> Option<Self> {
        if title.iter().any(|t| is_tool(&t.stem)) {
            return None;
        }
        let says = |fault: Self| title.iter().any(|t| fault.is_in(&t.stem) && !t.word.ends_with("ing"));
        let pickle = title.iter().any(|t| t.stem == "pickl");
        [Self::Stone, Self::Hole, Self::Crack]
            .into_iter()
            .find(|f| says(*f))
            .or((pickle && says(Self::Black)).then_some(Self::Black))
    }

    /// Whether a stem speaks of it.
    pub(super) fn is_in(self, stem: &str) -> bool {
        match self {
            Self::Hole => [
                "hole", "pit", "pore", "poros", "porous", "pin", "void", "bubbl", "caviti", "crater",
                "spong", "spongi", "gas", "hollow", "pock", "pepper", "shrinkag", "froth", "divot", "prick",
                "pinprick", "strainer", "siev", "coland", "daylight",
            ]
            .contains(&stem),
            Self::Crack => [
                "crack", "break", "split", "fractur", "snap", "tear", "brittl", "shatter", "breakag",
                "crumbl", "fragil", "weak", "chip", "stretch", "hairlin",
            ]
            .contains(&stem),
            Self::Stone => ["stone", "diamond", "gem", "emerald", "garnet", "pearl"].contains(&stem),
            Self::Black => {
                ["black", "dark", "grey", "blacken", "scale", "soot", "sooti", "oxid", "oxidis", "crust"]
                    .contains(&stem)
            }
        }
    }
}

/// One name.
#[derive(Debug)]
pub(super) struct Phrase {
    pub(super) target: Target,
    /// Stems of the words that carry meaning.
    pub(super) stems: Vec<String>,
    /// Their numbers.
    pub(super) numbers: Vec<u32>,
    /// How many other words may stand before the word of the same place.
    pub(super) open: Vec<usize>,
    /// Whether a "that" leads to the word of the same place: "flakes (in the gold) that smear".
    pub(super) led: Vec<bool>,
    /// Too common a word to mean this for sure when it stands alone.
    pub(super) common: bool,
    /// Says that something is not: `did not fill`.
    pub(super) denies: bool,
    /// Has an "and" or an "or" in it.
    pub(super) joined: bool,
    /// Met only word for word: with kin in it, it would mean too much.
    pub(super) literal: bool,
    /// A bare word for holes or for cracks: `porosity`.
    pub(super) a_kind: bool,
    /// Found on the piece, and there with faults of more than one kind.
    pub(super) of_the_piece: bool,
    pub(super) of_several: bool,
    /// The fault that must be spoken of somewhere for the name to mean this.
    pub(super) needs: Option<Fault>,
}

/// Names of one word that mean many other things in free speech.
const COMMON: &[&str] = &[
    "colour",
    "color",
    "draw",
    "seam",
    "pipe",
    "piping",
    "ordering",
    "random",
    "lap",
    "gap",
    "gaps",
    "short",
    "dark",
    "washes",
    "trails",
    "streaks",
    "peel",
    "feathers",
    "pearls",
    "uncured",
    "sporadic",
    "dull",
    "tear",
    "splashes",
    "comets",
    "depression",
    "growths",
    "shrink",
    "shrank",
    "shrunk",
];

/// Words that may stand at an open place inside a name.
const GAP: usize = 3;

/// Names that kin would make too wide: a pinhole in the surface need not have been open from the first, and holes that are
/// filed are no sand holes.
const LITERAL: &[&str] = &["pitted surface", "surface pitting", "sand holes", "wax pit", "thick metal"];

/// Names of metals that in free speech are more often a colour, a tool or a stain than the alloy that was cast.
const NOT_THE_ALLOY: &[&str] = &["copper", "steel", "ss", "rich", "casting brass"];

/// Facts that free words may state. The rest have names that are too common ("open", "fine", "none").
const SPOKEN_FACTS: &[&str] = &["method", "heat", "pattern", "binder", "cover", "crucible", "stones"];
/// Of those, the words that mean too many other things.
const NOT_A_FACT: &[&str] = &[
    "air",
    "none",
    "open",
    "carbon",
    "flame",
    "poured",
    "plaster",
    "leaf",
    "seed",
    "wood",
    "bone",
    "insect",
    "plastic",
    "wax",
    "gypsum",
    "vacuum",
    "suction",
    "coil",
    "salt",
    "ar",
    "flux",
    "charcoal",
    "borax",
    "gravity",
    "organic",
    "spin",
    "phosphate",
    "resin",
    "graphite chips",
    "graphite",
    "clay",
    "fireclay",
    "silica",
    "quartz",
    "fused quartz",
    "zirconia",
    "alumina",
    "zirconium oxide",
    "aluminium oxide",
    "corundum",
    "in-place",
    "no stones",
    "without stones",
];

/// The index of all names.
#[derive(Debug)]
pub(super) struct Lexicon {
    pub(super) phrases: Vec<Phrase>,
    /// Phrases by their first stem.
    pub(super) by_first: HashMap<String, Vec<usize>>,
    /// Phrases by each of their stems.
    pub(super) by_any: HashMap<String, Vec<usize>>,
    /// Phrases of two or three words without preposition or "not", by [`Kin::key`].
    pub(super) by_sorted: HashMap<String, Vec<usize>>,
    /// A number for every stem of a name, to compare them by.
    pub(super) numbers: HashMap<String, u32>,
    /// Which words may stand for which.
    pub(super) kin: Kin,
    /// One word that is two: `pinhole`.
    compounds: HashMap<String, (String, String)>,
    /// Words of names, for correcting slips; sorted, by first letter.
    spellings: BTreeMap<char, Vec<String>>,
    /// Every word that the rules use anywhere: no slip of another.
    known: HashSet<String>,
}

impl Lexicon {
    pub(super) fn new(rules: &RuleBase, kinds: &Kinds) -> Self {
        let names = names(rules);
        let mut cutter = Cutter::default();
        let cut: Vec<(Target, &str, Vec<Token>)> =
            names.iter().map(|(target, name)| (*target, name.as_str(), cutter.tokens(name))).collect();
        let vocabulary: HashSet<String> =
            cut.iter().flat_map(|(_, _, words)| words.iter().map(|t| t.word.clone())).collect();
        let compounds = compounds(&vocabulary);
        let mut spellings: BTreeMap<char, Vec<String>> = BTreeMap::new();
        let mut sorted: Vec<&String> = vocabulary.iter().filter(|w| w.chars().count() >= 4).collect();
        sorted.sort();
        for word in sorted.into_iter().filter(|w| !is_empty_word(w)) {
            spellings.entry(word.chars().next().unwrap_or('a')).or_default().push(word.clone());
        }
        let mut known: HashSet<String> =
            prose(rules).flat_map(|text| cutter.tokens(text)).map(|t| t.word).collect();
        known.extend(vocabulary);
        known.extend(rules.quantities.iter().flat_map(|q| q.spoken).map(|w| (*w).to_owned()));
        let mut lexicon = Self {
            phrases: Vec::new(),
            by_first: HashMap::new(),
            by_any: HashMap::new(),
            by_sorted: HashMap::new(),
            numbers: HashMap::new(),
            kin: Kin::new(),
            compounds,
            spellings,
            known,
        };
        let mut seen = HashSet::new();
        for (target, name, words) in cut {
            lexicon.add(target, name, words, &mut seen);
        }
        lexicon.mark_kinds(kinds);
        lexicon
    }

    fn add(
        &mut self,
        target: Target,
        name: &str,
        words: Vec<Token>,
        seen: &mut HashSet<(Vec<String>, Target)>,
    ) {
        let several = words.len() > 1;
        // An id or a compound stands for one thought: nothing comes between its words.
        let compound = name.contains('-') && !name.contains(' ');
        let words = self.split_compounds(words);
        let mut stems = Vec::new();
        let mut open = Vec::new();
        let mut led = Vec::new();
        let mut leads = false;
        let mut denies = false;
        let joined = words.iter().any(|t| matches!(t.word.as_str(), "and" | "or"));
        let mut linked = false;
        // "After (final) polishing".
        let mut behind_link = false;
        let mut last = String::new();
        for token in words {
            leads |= token.word == "that";
            linked |= leads || is_opening(&token.word);
            denies |= is_denial(&token.word) || token.word == "non";
            if !is_empty_word(&token.word) {
                let inside = !stems.is_empty() && !compound;
                open.push(match inside {
                    true if linked => GAP,
                    true if behind_link => 1,
                    _ => 0,
                });
                behind_link = is_linking(&token.word);
                led.push(leads);
                stems.push(token.stem);
                last = token.word;
                linked = false;
                leads = false;
            }
        }
        // Linking words stay behind a gap, so "after" itself need not follow at once what stands before it.
        let Some(first) = stems.first().cloned() else { return };
        // "always there" is only "always" when the empty words are gone: nothing to go by.
        if several && stems.len() == 1 && is_talk(&last) {
            return;
        }
        if !seen.insert((stems.clone(), target)) {
            return;
        }
        let common =
            stems.len() == 1 && (COMMON.contains(&name) || several && !self.compounds.contains_key(name));
        let at = self.phrases.len();
        for stem in stems.iter().collect::<HashSet<_>>() {
            self.by_any.entry(stem.clone()).or_default().push(at);
        }
        if matches!(stems.len(), 2 | 3)
            && !denies
            && open.iter().all(|gap| *gap == 0)
            && matches!(target, Target::Finding(_))
        {
            let key = self.kin.key(stems.iter().map(String::as_str));
            self.by_sorted.entry(key).or_default().push(at);
        }
        self.by_first.entry(first).or_default().push(at);
        let literal = LITERAL.contains(&name) || matches!(target, Target::Alloy(_) | Target::Fact(..));
        let (a_kind, of_the_piece, of_several, needs) = (false, false, false, None);
        let numbers = stems.iter().map(|s| self.number(s)).collect();
        self.phrases.push(Phrase {
            target,
            stems,
            numbers,
            open,
            led,
            common,
            denies,
            joined,
            literal,
            a_kind,
            of_the_piece,
            of_several,
            needs,
        });
    }

    fn number(&mut self, stem: &str) -> u32 {
        let next = u32::try_from(self.numbers.len()).unwrap_or(u32::MAX - 1);
        *self.numbers.entry(stem.to_owned()).or_insert(next)
    }

    /// Marks what the kinds of faults tell of names; among them those that leave out the fault they are about: `on the thick parts` means pores only where holes are
    /// spoken of.
    fn mark_kinds(&mut self, kinds: &Kinds) {
        for phrase in &mut self.phrases {
            let Target::Finding(finding) = phrase.target else { continue };
            let bare = [Fault::Hole, Fault::Crack].iter().any(|f| f.is_in(&phrase.stems[0]));
            phrase.a_kind = phrase.stems.len() == 1 && bare && kinds.is_a_kind(finding);
            phrase.of_the_piece = kinds.is_of_the_piece(finding);
            phrase.of_several = phrase.of_the_piece && kinds.common([finding]).is_none();
            let Finding::Sign(key) = finding else { continue };
            phrase.needs = kinds.fault(key).filter(|fault| !phrase.stems.iter().any(|s| fault.is_in(s)));
        }
    }

    /// Cuts compounds into their two words, so that `pin-hole`, `pin hole` and `pinhole` are one.
    pub(super) fn split_compounds(&self, words: Vec<Token>) -> Vec<Token> {
        let mut split = Vec::with_capacity(words.len());
        let stemmer = stemmer();
        for token in words {
            let parts = match self.compounds.get(&token.word) {
                Some((first, second)) => Some((first.as_str(), second.as_str())),
                None => self.written_together(&token.word),
            };
            let Some((first, second)) = parts else {
                split.push(token);
                continue;
            };
            for part in [first, second] {
                let stem = stemmer.stem(part).into_owned();
                split.push(Token { word: part.to_owned(), stem, ..token.clone() });
            }
        }
        split
    }

    /// An unknown word that is two words of names, each of at least four letters: `orangepeel`.
    fn written_together<'w>(&self, word: &'w str) -> Option<(&'w str, &'w str)> {
        const PART: usize = 4;
        const LONGEST: usize = 30;
        if self.known.contains(word) || !word.is_ascii() || !(2 * PART..=LONGEST).contains(&word.len()) {
            return None;
        }
        (PART..=word.len() - PART)
            .map(|at| word.split_at(at))
            .find(|(first, second)| self.is_spelling(first) && self.is_spelling(second))
    }

    fn is_spelling(&self, word: &str) -> bool {
        let of_letter = word.chars().next().and_then(|c| self.spellings.get(&c));
        of_letter.is_some_and(|all| all.binary_search_by(|w| w.as_str().cmp(word)).is_ok())
    }

    /// What a misspelt word was meant to be: one letter off from five letters on, two from eight; the first letter is
    /// taken to be right.
    pub(super) fn correct(&self, word: &str, stem: &str) -> Option<&str> {
        const LONGEST: usize = 30;
        let length = word.chars().count();
        let most = match length {
            8..=LONGEST => 2,
            5..8 => 1,
            _ => return None,
        };
        if self.known.contains(word)
            || self.by_any.contains_key(stem)
            || word.chars().any(|c| c.is_ascii_digit())
        {
            return None;
        }
        let candidates = self.spellings.get(&word.chars().next()?)?;
        let letters = letter_set(word);
        candidates
            .iter()
            .filter(|c| c.chars().count().abs_diff(length) <= most)
            .filter(|c| (letter_set(c) ^ letters).count_ones() as usize <= 2 * most)
            .map(|c| (strsim::osa_distance(word, c), c))
            .filter(|(distance, _)| *distance <= most)
            .min()
            .map(|(_, c)| c.as_str())
    }
}

/// Which letters a word has, as bits.
fn letter_set(word: &str) -> u32 {
    word.bytes().filter(u8::is_ascii_lowercase).fold(0, |set, b| set | 1 << (b - b'a'))
}

/// Words of names that are two other words of names written together.
fn compounds(vocabulary: &HashSet<String>) -> HashMap<String, (String, String)> {
    const PART: usize = 3;
    let usable = |part: &str| {
        vocabulary.contains(part) && !is_empty_word(part) && !is_denial(part) && part.len() >= PART
    };
    vocabulary
        .iter()
        .filter(|w| w.is_ascii() && w.len() >= 2 * PART)
        .filter_map(|word| {
            (PART..=word.len() - PART)
                .map(|at| word.split_at(at))
                .find(|(first, second)| usable(first) && usable(second))
                .map(|(first, second)| (word.clone(), (first.to_owned(), second.to_owned())))
        })
        .collect()
}

/// All names with what they stand for: ids, titles (what stands in brackets left out), synonyms.
fn names(rules: &RuleBase) -> Vec<(Target, String)> {
    let mut all = Vec::new();
    let mut add = |target: Target, id: Option<&str>, title: &str, synonyms: &[String]| {
        let short = title.split(" (").next().unwrap_or(title);
        all.push((target, short.to_owned()));
        all.extend(synonyms.iter().map(|s| (target, s.clone())));
        // The id last: said the same way by a title or a synonym, those hold, which other words may part.
        all.extend(id.map(|i| (target, i.to_owned())));
    };
    for key in rules.defect_keys() {
        let d = rules.defect(key);
        add(Target::Finding(Finding::Defect(key)), Some(&d.id), &d.title, &d.synonyms);
    }
    for key in rules.sign_keys() {
        let s = rules.sign(key);
        add(Target::Finding(Finding::Sign(key)), Some(&s.id), &s.title, &s.synonyms);
    }
    for key in rules.cause_keys() {
        let c = rules.cause(key);
        add(Target::Cause(key), None, &c.title, &c.synonyms);
    }
    for fact in rules.fact_keys().filter(|k| SPOKEN_FACTS.contains(&rules.fact(*k).id.as_str())) {
        for (at, value) in rules.fact(fact).values.iter().enumerate() {
            let spoken = |w: &String| !NOT_A_FACT.contains(&w.as_str());
            let words: Vec<String> =
                std::iter::once(&value.id).chain(&value.synonyms).filter(|w| spoken(w)).cloned().collect();
            all.extend(words.into_iter().map(|w| (Target::Fact(fact, at), w)));
        }
    }
    all.extend(alloy_names(rules));
    all
}

/// Names of alloys, each for what the flag `--alloy` takes it for; a colour with no carat is only gold.
fn alloy_names(rules: &RuleBase) -> Vec<(Target, String)> {
    let of_alloys =
        rules.alloys.iter().flat_map(|a| [&a.id, &a.title].into_iter().chain(&a.synonyms).cloned());
    let of_families = rules.families.iter().flat_map(|f| std::iter::once(&f.id).chain(&f.synonyms).cloned());
    let of_metals = Metal::WORDS.iter().map(|(w, _)| (*w).to_owned()).chain(trade_names());
    let spoken = |name: &String| {
        let bare_number = name.len() < 4 && name.bytes().all(|b| b.is_ascii_digit()) && name != "925";
        !bare_number && !NOT_THE_ALLOY.contains(&name.to_lowercase().as_str())
    };
    let index = AlloyNames::new(rules);
    of_alloys
        .chain(of_families)
        .chain(of_metals)
        .filter(spoken)
        .filter_map(|name| Some((index.find(&name)?, name)))
        .map(|(found, name)| (Target::Alloy(no_guess(rules, found, &name)), name))
        .collect()
}

/// Names of the trade that are put together from a carat or a fineness, a colour and a metal, whether or not the rules
/// spell them out.
fn trade_names() -> impl Iterator<Item = String> {
    const CARATS: [&str; 8] = ["8k", "9k", "10k", "14k", "18k", "20k", "21k", "22k"];
    const COLOURS: [&str; 6] = ["yellow", "white", "red", "rose", "pink", "green"];
    const STAMPS: [&str; 5] = ["925 silver", "950 platinum", "900 platinum", "950 palladium", "750 gold"];
    let golds = CARATS.iter().flat_map(|carat| {
        COLOURS.iter().flat_map(move |c| [format!("{carat} {c}"), format!("{carat} {c} gold")])
    });
    let turned = |stamp: &&str| stamp.split_once(' ').map(|(grade, metal)| format!("{metal} {grade}"));
    golds.chain(STAMPS.iter().map(|s| (*s).to_owned())).chain(STAMPS.iter().filter_map(turned))
}

/// `white gold` names no carat: not one alloy of the table then, but its family or the metal. Nor does `18k white` say
/// whether nickel or palladium makes it white.
fn no_guess(rules: &RuleBase, found: AlloyName, name: &str) -> AlloyName {
    let AlloyName::Alloy(key) = found else { return found };
    let metal = rules.family(rules.alloy(key).family).metal;
    let says = |words: &[&str]| words.iter().any(|w| name.to_lowercase().contains(w));
    if metal == Metal::Gold && says(&["white"]) && !says(&["nickel", "palladium", "pd"]) {
        return AlloyName::Metal(metal);
    }
    let colour_only = says(&["yellow", "rose", "red", "pink", "peach"]) && name.contains("gold");
    if !colour_only || name.bytes().any(|b| b.is_ascii_digit()) {
        return found;
    }
    rules
        .family_keys()
        .find(|k| rules.family(*k).synonyms.iter().any(|s| s == name))
        .map_or(AlloyName::Metal(metal), AlloyName::Family)
}

/// Everything the rules say in sentences.
fn prose(rules: &RuleBase) -> impl Iterator<Item = &str> {
    let defects = rules.defects.iter().flat_map(|d| {
        let apart = d.look_alikes.iter().map(|a| a.apart.as_str());
        [Some(d.what.as_str()), d.place.as_deref(), d.when.as_deref(), Some(d.title.as_str())]
            .into_iter()
            .flatten()
            .chain(apart)
    });
    let signs = rules.signs.iter().map(|s| s.look.as_str());
    let causes = rules
        .causes
        .iter()
        .flat_map(|c| [Some(c.because.as_str()), c.check.as_deref()].into_iter().flatten());
    let remedies =
        rules.remedies.iter().flat_map(|r| [r.title.as_str(), r.change.as_str(), r.because.as_str()]);
    let questions = rules.questions.iter().flat_map(|q| [q.ask.as_str(), q.look.as_str()]);
    let facts =
        rules.facts.iter().flat_map(|f| f.values.iter().flat_map(|v| v.synonyms.iter().map(String::as_str)));
    defects.chain(signs).chain(causes).chain(remedies).chain(questions).chain(facts)
}
