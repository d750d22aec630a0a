//! The known name nearest to a misspelt one.

/// The best match among `known`, if any is near enough to be what was meant.
pub fn nearest<'a>(written: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // Nobody misspells an id at this length, and comparing costs the product of the lengths.
    const LONGEST: usize = 100;
    if written.len() > LONGEST {
        return None;
    }
    let written = written.to_lowercase();
    known
        .into_iter()
        .map(|name| (likeness(&written, &name.to_lowercase()), name))
        .filter(|(score, _)| *score >= 0.6)
        .max_by(|a, b| a.0.total_cmp(&b.0).then_with(|| b.1.cmp(a.1)))
        .map(|(_, name)| name)
}

/// A help line: the nearest name if there is one, else the whole list when it is short.
pub fn nearest_help<'a>(written: &str, known: impl IntoIterator<Item = &'a str> + Clone) -> Option<String> {
    const LISTED: usize = 16;
    if let Some(name) = nearest(written, known.clone()) {
        return Some(format!("did you mean `{name}`?"));
    }
    let all: Vec<&str> = known.into_iter().collect();
    (!all.is_empty() && all.len() <= LISTED).then(|| format!("allowed here: {}", all.join(", ")))
}

/// 0 to 1: edit distance over length, or the share of words in common, whichever is kinder.
fn likeness(a: &str, b: &str) -> f64 {
    let letters = strsim::normalized_damerau_levenshtein(a, b);
    let words = |t: &str| -> Vec<String> { t.split(['-', ' ', '.']).map(str::to_owned).collect() };
    let (wa, wb) = (words(a), words(b));
    let shared = wa.iter().filter(|w| w.len() > 2 && wb.contains(w)).count();
    #[expect(clippy::cast_precision_loss, reason = "a handful of words")]
    let by_words = shared as f64 / wa.len().max(wb.len()).max(1) as f64;
    letters.max(by_words)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn finds_the_slip_and_refuses_the_stranger() {
        let known = ["flask-too-hot", "flask-too-cold", "gate-undersized"];
        assert_eq!(nearest("flask-to-hot", known), Some("flask-too-hot"));
        assert_eq!(nearest("hot-flask-too", known), Some("flask-too-hot"));
        assert_eq!(nearest("quench", known), None);
    }
}
