//! A case in words, for the terminal and for the book.

use super::case::{Case, CaseSource, Origin};
use crate::advice::findings::lower_first;
use crate::rules::RuleBase;

/// The publication that a case is retold from.
pub fn source(rules: &RuleBase, case: &Case) -> Option<String> {
    match case.source.as_ref()? {
        CaseSource::Text(text) => Some(text.clone()),
        CaseSource::Listed { source, at } => {
            let s = rules.source(*source);
            let who: Vec<&str> = [s.author.as_deref(), s.year.as_deref()].into_iter().flatten().collect();
            let who = if who.is_empty() { String::new() } else { format!("{}: ", who.join(", ")) };
            Some(format!("{who}{}; {}; {at}", s.title, s.place))
        }
    }
}

/// Where a case comes from, in words.
pub fn origin(rules: &RuleBase, case: &Case) -> String {
    let mut text = match case.origin {
        Origin::Invented => "Invented for teaching".to_owned(),
        Origin::Published => "Retold from a publication".to_owned(),
        Origin::Practice => "Retold from a practitioner's account".to_owned(),
        Origin::Shop => "The shop's own".to_owned(),
    };
    if let Some(source) = source(rules, case) {
        text.push_str(&format!(" ({source})"));
    }
    if let Some(date) = case.date {
        text.push_str(&format!("; {date}"));
    }
    if let Some(level) = case.level {
        text.push_str(&format!("; level {level}"));
    }
    text
}

/// What a sheet says, each figure in words.
pub fn sheet_words(rules: &RuleBase, sheet: &crate::sheet::Sheet) -> Vec<String> {
    let mut words: Vec<String> = sheet.alloy_words(rules).into_iter().collect();
    for (_, _, id) in crate::sheet::FACTS {
        let Some(fact) = rules.find_fact(id) else { continue };
        if let Some(value) = sheet.facts.get(&fact).and_then(|v| rules.fact(fact).values.get(*v)) {
            words.push(lower_first(&value.title));
        }
    }
    words.extend(sheet.figures.iter().map(|(f, r)| format!("{} {}", f.title(), r.written)));
    words
}
