//! The shipped rules are sound, clean and sourced.

use aftercast::document::{Excerpt, render};
use aftercast::rules::basis::uses;
use aftercast::rules::{lint, shipped};
use aftercast::sheet::catalogue;
use std::collections::HashSet;

#[test]
fn the_check_finds_no_fault() {
    let loaded = shipped(&catalogue());
    assert_eq!(render(&loaded.sources, &loaded.problems, Excerpt::Plain), "");
    let found = lint(&loaded.rules, &loaded.places);
    assert_eq!(render(&loaded.sources, &found, Excerpt::Plain), "");
}

#[test]
fn the_breadth_is_there() {
    let r = shipped(&catalogue()).rules;
    for (what, count, least) in [
        ("defects", r.defects.len(), 36),
        ("causes", r.causes.len(), 70),
        ("signs", r.signs.len(), 110),
        ("questions", r.questions.len(), 45),
        ("remedies", r.remedies.len(), 65),
        ("trade-offs", r.trade_offs.len(), 20),
    ] {
        assert!(count >= least, "{what}: {count}");
    }
}

/// Every key that a rule cites stands in sources.yaml, looked for in the texts and not through the loader.
#[test]
fn every_published_source_cited_exists_and_every_one_is_used() {
    let texts = rule_texts();
    let (_, sources) = texts.iter().find(|(name, _)| name == "sources.yaml").expect("sources.yaml");
    let keys: HashSet<&str> = sources.lines().filter_map(|l| between(l, "{key: ", ",")).collect();
    assert!(keys.len() >= 30);
    let mut cited = HashSet::new();
    for (name, text) in texts.iter().filter(|(name, _)| name != "sources.yaml") {
        for part in text.split("{source: ").skip(1) {
            let key = part.split([',', '}']).next().unwrap_or("").trim();
            assert!(keys.contains(key), "{name} cites `{key}`, which sources.yaml does not have");
            cited.insert(key.to_owned());
        }
    }
    let loaded = shipped(&catalogue()).rules;
    assert_eq!(uses(&loaded).len(), cited.len());
}

/// Marks of makers of machines, powders, alloys and programs have no place in the rules: what a rule says must hold
/// for everybody's. Societies, authorities and authors of what was published stand in sources.yaml alone.
#[test]
fn no_brand_and_no_company_stands_in_the_rules() {
    const LEGAL: &[&str] = &[
        " GmbH", " Inc.", " Inc ", " Ltd", " LLC", " S.p.A", " Corp", " & Co", " Pty", "\u{ae}", "\u{2122}",
    ];
    for (name, text) in rule_texts().iter().filter(|(name, _)| name != "sources.yaml") {
        for (at, line) in text.lines().enumerate() {
            for mark in LEGAL {
                assert!(!line.contains(mark), "{name}:{}: `{}`", at + 1, mark.trim());
            }
            assert!(!line.contains("http") && !line.contains("www."), "{name}:{}: an address", at + 1);
            for word in line.split(|c: char| !c.is_alphanumeric() && c != '-').filter(|w| w.len() > 2) {
                assert!(!is_coined(word), "{name}:{}: `{word}` is spelt like a product's name", at + 1);
            }
        }
    }
}

/// `SuperCast`, `iMelt`: a capital after a small letter. Chemical formulas and units are no such words.
fn is_coined(word: &str) -> bool {
    let letters: Vec<char> = word.chars().collect();
    let humps = letters.windows(2).filter(|w| w[0].is_lowercase() && w[1].is_uppercase()).count();
    let formula = word.chars().any(|c| c.is_ascii_digit())
        || letters.len() <= 4
        || word.starts_with("Au")
        || word.contains('-');
    humps > 0 && !formula && word != "OSHwiki"
}

fn between<'t>(text: &'t str, from: &str, to: &str) -> Option<&'t str> {
    text.split_once(from)?.1.split_once(to).map(|(found, _)| found)
}

fn rule_texts() -> Vec<(String, String)> {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("rules");
    let mut found = Vec::new();
    let mut open = vec![root.clone()];
    while let Some(dir) = open.pop() {
        for entry in std::fs::read_dir(&dir).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|e| e == "yaml") {
                let name = path.strip_prefix(&root).expect("inside").display().to_string();
                found.push((name, std::fs::read_to_string(&path).expect("text")));
            }
        }
    }
    found
}
