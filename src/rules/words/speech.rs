//! A line of free words cut into words and clauses, and the small lists of English that this takes.

use super::super::names::{spelling, stemmer};
use rust_stemmers::Stemmer;
use std::collections::HashMap;

/// One word of a text.
#[derive(Debug, Clone)]
pub(super) struct Token {
    /// Bytes of the text it stands on.
    pub(super) start: usize,
    pub(super) end: usize,
    /// Small letters, spelt one way.
    pub(super) word: String,
    /// Cut to the stem.
    pub(super) stem: String,
    /// Which clause it belongs to.
    pub(super) clause: usize,
    /// A comma stands before its clause.
    pub(super) listed: bool,
    /// The clause ends in a question mark.
    pub(super) asked: bool,
}

/// Words that carry nothing in a name: dropped from names and text alike.
const EMPTY: &[&str] = &[
    "the",
    "a",
    "an",
    "my",
    "our",
    "your",
    "his",
    "her",
    "their",
    "its",
    "it",
    "this",
    "that",
    "these",
    "those",
    "there",
    "here",
    "is",
    "was",
    "are",
    "were",
    "be",
    "been",
    "being",
    "am",
    "has",
    "have",
    "had",
    "having",
    "do",
    "does",
    "did",
    "doing",
    "i",
    "we",
    "you",
    "they",
    "he",
    "she",
    "me",
    "us",
    "them",
    "to",
    "of",
    "in",
    "on",
    "at",
    "by",
    "for",
    "with",
    "from",
    "into",
    "onto",
    "so",
    "very",
    "really",
    "quite",
    "rather",
    "pretty",
    "completely",
    "fully",
    "totally",
    "properly",
    "also",
    "even",
    "some",
    "any",
    "which",
    "what",
    "who",
    "and",
    "or",
    "nor",
    "plus",
    "s",
    "then",
    "ive",
    "im",
    "theyre",
    "theres",
    "thats",
    "whats",
    "em",
    "kinda",
    "sorta",
    "kind",
    "sort",
    "bit",
    "oh",
    "well",
];

/// Before these, other words may stand inside a name: "holes (in my rings) after polishing".
const LINKING: &[&str] = &[
    "of",
    "in",
    "on",
    "at",
    "by",
    "with",
    "from",
    "into",
    "after",
    "when",
    "until",
    "near",
    "under",
    "below",
    "inside",
    "behind",
    "around",
    "round",
    "through",
    "all",
    "everywhere",
    "over",
    "where",
    "opposite",
    "before",
    "once",
    "while",
    "during",
];

/// Words of being, of becoming and of repeating. In a name other words may stand before them too: "stones (in the head) turned
/// milky", "worse (than before) each time".
const OPENING: &[&str] = &[
    "is", "are", "was", "were", "go", "come", "comes", "turned", "look", "looks", "looked", "each", "every",
];

/// Adjectives that may stand inside a name without changing it: "round (shiny) holes". So may the adverbs.
const ADJECTIVES: &[&str] = &[
    "already",
    "suddenly",
    "right",
    "occasionally",
    "small",
    "little",
    "tiny",
    "big",
    "large",
    "wee",
    "fine",
    "nice",
    "bad",
    "nasty",
    "ugly",
    "shiny",
    "smooth",
    "bright",
    "dark",
    "black",
    "white",
    "grey",
    "green",
    "brown",
    "horrible",
    "awful",
    "deep",
    "shallow",
    "badly",
];

/// Adverbs that change nothing, even where a name says "not": "stones (still) break", "prongs just did not fill".
const ADVERBS: &[&str] = &[
    "just",
    "still",
    "always",
    "sometimes",
    "often",
    "nearly",
    "almost",
    "usually",
    "mostly",
    "all",
    "now",
    "simply",
    "actually",
    "basically",
    "constantly",
    "consistently",
    "keep",
    "keeps",
];
/// As little as those, but part of a name where they stand inside one: "seems porous".
const SEEMING: &[&str] = &["seem", "seems"];

/// A comma or stop ends a clause, and so do these.
const TURNING: &[&str] = &[
    "but",
    "although",
    "though",
    "however",
    "whereas",
    "while",
    "because",
    "since",
    "yet",
    "except",
    "otherwise",
    "altho",
    "tho",
    "cos",
    "coz",
    "cuz",
];

/// Talk that is not worth reporting as not understood.
const TALK: &[&str] = &[
    "casting",
    "castings",
    "cast",
    "ring",
    "rings",
    "piece",
    "pieces",
    "problem",
    "problems",
    "issue",
    "issues",
    "help",
    "please",
    "get",
    "gets",
    "got",
    "getting",
    "see",
    "saw",
    "seen",
    "come",
    "comes",
    "came",
    "look",
    "looks",
    "looked",
    "looking",
    "like",
    "one",
    "ones",
    "two",
    "thing",
    "things",
    "why",
    "how",
    "hi",
    "hello",
    "thanks",
    "today",
    "again",
    "only",
    "just",
    "lot",
    "lots",
    "loads",
    "few",
    "now",
    "find",
    "found",
    "show",
    "shows",
    "showed",
    "showing",
    "can",
    "will",
    "would",
    "could",
    "if",
    "as",
    "when",
    "where",
    "after",
    "before",
    "all",
    "up",
    "out",
    "about",
    "around",
    "over",
    "still",
    "not",
    "no",
    "other",
    "others",
    "part",
    "parts",
    "keep",
    "keeps",
    "last",
    "time",
    "week",
    "month",
    "yesterday",
    "once",
    "always",
    "often",
    "every",
    "each",
    "more",
    "much",
    "many",
    "most",
    "think",
    "guess",
    "know",
    "too",
    "no",
    "than",
    "went",
    "go",
    "goes",
    "going",
    "seem",
    "seems",
    "maybe",
    "perhaps",
    "possibly",
    "probably",
    "might",
    "sure",
    "sign",
    "signs",
    "ok",
    "okay",
    "fine",
    "good",
    "bad",
    "full",
    "never",
    "without",
    "none",
    "neither",
    "free",
    "absent",
    "zero",
    "im",
    "metal",
    "such",
    "got",
    "either",
    "sometimes",
    "mostly",
    "apparently",
    "something",
    "anything",
    "everything",
    "them",
    "both",
    "side",
    "because",
    "off",
    "near",
];

pub(super) fn is_empty_word(word: &str) -> bool {
    EMPTY.contains(&word)
}
pub(super) fn is_linking(word: &str) -> bool {
    LINKING.contains(&word)
}
/// Other words may stand before it inside a name.
pub(super) fn is_opening(word: &str) -> bool {
    is_linking(word) || OPENING.contains(&word)
}
/// Over these no name reaches: what stands behind is another thought.
pub(super) fn is_parting(word: &str) -> bool {
    matches!(word, "and" | "with" | "that" | "which" | "so")
}
pub(super) fn is_adjective(word: &str) -> bool {
    ADJECTIVES.contains(&word) || ADVERBS.contains(&word)
}
/// A small number of things; "in one place" says more than how many.
pub(super) fn is_count(word: &str) -> bool {
    matches!(
        word,
        "two" | "three" | "four" | "five" | "six" | "seven" | "eight" | "nine" | "ten" | "dozen" | "hundred"
    ) || matches!(word.len(), 1 | 2) && word != "1" && word.bytes().all(|b| b.is_ascii_digit())
}
pub(super) fn is_adverb(word: &str) -> bool {
    ADVERBS.contains(&word) || SEEMING.contains(&word)
}
pub(super) fn is_talk(word: &str) -> bool {
    TALK.contains(&word)
}

/// Carries no meaning of its own in free speech.
pub(super) fn is_passing(word: &str) -> bool {
    is_empty_word(word) || is_talk(word)
}

/// Words that turn what follows into its opposite.
pub(super) fn is_denial(word: &str) -> bool {
    matches!(
        word,
        "no" | "not"
            | "never"
            | "without"
            | "none"
            | "nor"
            | "neither"
            | "zero"
            | "absent"
            | "lack"
            | "lacks"
            | "nope"
            | "nah"
            | "nil"
            | "nowt"
            | "zilch"
    )
}

/// After a "not", these make it no denial of a finding: "not only", "not sure".
pub(super) fn unmakes_denial(word: &str) -> bool {
    is_knowing(word)
        || matches!(word, "only" | "just" | "enough" | "much" | "matter" | "happy" | "good" | "great")
}

/// With a "not" before them these say that the caster is not sure.
pub(super) fn is_knowing(word: &str) -> bool {
    matches!(word, "sure" | "certain" | "idea" | "doubt" | "know" | "clue")
}

/// Words by which a caster says that he is not sure.
pub(super) fn is_doubt(word: &str) -> bool {
    matches!(
        word,
        "maybe"
            | "perhaps"
            | "possibly"
            | "probably"
            | "might"
            | "may"
            | "could"
            | "think"
            | "guess"
            | "suspect"
            | "seem"
            | "seems"
            | "wonder"
            | "wondering"
            | "unsure"
            | "supposedly"
            | "apparently"
    )
}

/// After "did not", what was not done to the finding: "cracks, not seen".
pub(super) fn is_noticing(word: &str) -> bool {
    matches!(
        word,
        "see"
            | "seen"
            | "found"
            | "find"
            | "visible"
            | "present"
            | "noticed"
            | "evident"
            | "there"
            | "showing"
    )
}

/// `didn't` and its kind, apostrophe gone, as the words they stand for.
fn denied(word: &str) -> Option<&'static [&'static str]> {
    Some(match word {
        "didnt" | "dident" | "doesnt" | "dosnt" | "dont" | "isnt" | "wasnt" | "arent" | "werent"
        | "hasnt" | "havent" | "hadnt" | "aint" => &["not"],
        "cant" | "cannot" | "couldnt" => &["can", "not"],
        "wont" | "wouldnt" => &["will", "not"],
        "non" => &["non"],
        _ => return None,
    })
}

fn is_mark(c: char) -> bool {
    matches!(
        c,
        ',' | '.' | ';' | ':' | '!' | '?' | '(' | ')' | '\n' | '\u{2013}' | '\u{2014}' | '\u{2026}' | '"'
    )
}

fn next_word(text: &str) -> &str {
    text.trim_start().split(|c: char| !c.is_alphabetic()).next().unwrap_or_default()
}

/// Cuts a text into its words. Every mark but a hyphen or a stroke inside a word ends the clause.
pub(super) fn tokens(text: &str) -> Vec<Token> {
    Cutter::default().tokens(text)
}

/// Cuts many texts into words; each word is spelt one way and cut to its stem once.
pub(super) struct Cutter {
    stemmer: Stemmer,
    /// By the word as written, small: how it is spelt, and its stem.
    seen: HashMap<String, (String, String)>,
}

impl Default for Cutter {
    fn default() -> Self {
        Self { stemmer: stemmer(), seen: HashMap::new() }
    }
}

impl Cutter {
    fn word_and_stem(&mut self, plain: &str) -> (String, String) {
        if let Some(known) = self.seen.get(plain) {
            return known.clone();
        }
        let word = spelling(plain);
        let both = (word.clone(), self.stemmer.stem(&word).into_owned());
        self.seen.insert(plain.to_owned(), both.clone());
        both
    }

    /// The words of a text.
    pub(super) fn tokens(&mut self, text: &str) -> Vec<Token> {
        carats(turns_of_speech(self.cut(text)))
    }

    fn cut(&mut self, text: &str) -> Vec<Token> {
        let mut found: Vec<Token> = Vec::new();
        let mut clause = 0;
        let mut listed = false;
        let mut first_of_clause = 0;
        let mut at = text.char_indices().peekable();
        while let Some((start, c)) = at.next() {
            if c.is_alphanumeric() {
                let mut end = start + c.len_utf8();
                while let Some(&(next, d)) = at.peek() {
                    let rest = &text[next + d.len_utf8()..];
                    let inner = matches!(d, '\'' | '\u{2019}') && rest.starts_with(char::is_alphabetic)
                        || matches!(d, '.' | ',')
                            && text[..next].ends_with(|p: char| p.is_ascii_digit())
                            && rest.starts_with(|p: char| p.is_ascii_digit());
                    if !d.is_alphanumeric() && !inner {
                        break;
                    }
                    end = next + d.len_utf8();
                    at.next();
                }
                let plain: String = text[start..end]
                    .to_lowercase()
                    .chars()
                    .filter(|c| !matches!(c, '\'' | '\u{2019}'))
                    .collect();
                let plain = match (plain.as_str(), text[end..].strip_prefix('/')) {
                    ("w", Some(rest))
                        if rest.starts_with('o') && !rest[1..].starts_with(char::is_alphanumeric) =>
                    {
                        end += "/o".len();
                        at.nth("/o".len() - 1);
                        "without".to_owned()
                    }
                    ("w", Some(_)) => "with".to_owned(),
                    _ => plain,
                };
                let beside = plain == "while" && next_word(&text[end..]).ends_with("ing");
                let plain = if beside { "when".to_owned() } else { plain };
                if TURNING.contains(&plain.as_str()) {
                    clause += 1;
                    listed = false;
                    first_of_clause = found.len();
                    continue;
                }
                let mut push = |plain: &str| {
                    let (word, stem) = self.word_and_stem(plain);
                    found.push(Token { start, end, word, stem, clause, listed, asked: false });
                };
                match denied(&plain) {
                    Some(words) => words.iter().for_each(|w| push(w)),
                    None => push(&plain),
                }
            } else if matches!(c, '&' | '+') {
                let (word, stem) = self.word_and_stem("and");
                found.push(Token { start, end: start + 1, word, stem, clause, listed, asked: false });
            } else if is_mark(c) || (c == '-' && text[..start].ends_with(' ')) {
                if c == '?' {
                    found[first_of_clause..].iter_mut().for_each(|t| t.asked = true);
                }
                clause += 1;
                listed = c == ',';
                first_of_clause = found.len();
            }
        }
        found
    }
}

/// `kind of jagged` is jagged, and `as soon as` is when.
fn turns_of_speech(tokens: Vec<Token>) -> Vec<Token> {
    let mut plain: Vec<Token> = Vec::with_capacity(tokens.len());
    for token in tokens {
        let before = |back: usize, word: &str| {
            plain
                .len()
                .checked_sub(back)
                .is_some_and(|at| plain[at].word == word && plain[at].clause == token.clause)
        };
        match token.word.as_str() {
            "of" if before(1, "kind") || before(1, "sort") => {}
            "as" if before(1, "soon") && before(2, "as") => {
                let soon = plain.pop();
                plain.pop();
                if let Some(soon) = soon {
                    plain.push(Token { word: "when".to_owned(), stem: "when".to_owned(), ..soon });
                }
            }
            _ => plain.push(token),
        }
    }
    plain
}

/// `18 ct`, `18ct` and `18 karat` are one word, `18k`.
fn carats(tokens: Vec<Token>) -> Vec<Token> {
    const UNITS: [&str; 7] = ["k", "kt", "ct", "carat", "karat", "carats", "karats"];
    let digits = |w: &str| matches!(w.len(), 1 | 2) && w.bytes().all(|b| b.is_ascii_digit());
    let mut joined: Vec<Token> = Vec::with_capacity(tokens.len());
    for mut token in tokens {
        if let Some(number) = UNITS.iter().find_map(|u| token.word.strip_suffix(u)).filter(|n| digits(n)) {
            token.word = format!("{number}k");
            token.stem = token.word.clone();
        } else if let Some(before) = joined.last_mut()
            && UNITS.contains(&token.word.as_str())
            && digits(&before.word)
            && before.clause == token.clause
        {
            before.word.push('k');
            before.stem.clone_from(&before.word);
            before.end = token.end;
            continue;
        }
        joined.push(token);
    }
    joined
}
