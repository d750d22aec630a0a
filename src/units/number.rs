//! Numbers as they are written and said: `640`, `1/2`, `1 1/2`, `½`, `half an`, `two and a half`, `nine hundred`.

/// A number at the start of a text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Number<'a> {
    pub(super) value: f64,
    /// A part of a whole (`half`, `1/2`) or all or none of it: a share without a unit.
    pub(super) part: bool,
    /// What stands behind it.
    pub(super) rest: &'a str,
}

/// Numbers in words. Those from a hundred on multiply what stands before them.
const WORDS: &[(&str, f64)] = &[
    ("one", 1.0),
    ("two", 2.0),
    ("three", 3.0),
    ("four", 4.0),
    ("five", 5.0),
    ("six", 6.0),
    ("seven", 7.0),
    ("eight", 8.0),
    ("nine", 9.0),
    ("ten", 10.0),
    ("eleven", 11.0),
    ("twelve", 12.0),
    ("fifteen", 15.0),
    ("eighteen", 18.0),
    ("twenty", 20.0),
    ("thirty", 30.0),
    ("forty", 40.0),
    ("fifty", 50.0),
    ("sixty", 60.0),
    ("seventy", 70.0),
    ("eighty", 80.0),
    ("ninety", 90.0),
    ("hundred", 100.0),
    ("thousand", 1000.0),
];
const PARTS: &[(&str, f64)] =
    &[("half", 0.5), ("third", 1.0 / 3.0), ("thirds", 1.0 / 3.0), ("quarter", 0.25), ("quarters", 0.25)];
const SIGNS: &[(char, f64)] = &[
    ('½', 0.5),
    ('¼', 0.25),
    ('¾', 0.75),
    ('⅓', 1.0 / 3.0),
    ('⅔', 2.0 / 3.0),
    ('⅛', 0.125),
    ('⅜', 0.375),
    ('⅝', 0.625),
    ('⅞', 0.875),
];
/// All or nothing of it.
const WHOLES: &[(&str, f64)] = &[("all", 1.0), ("none", 0.0), ("nothing", 0.0), ("nil", 0.0), ("zero", 0.0)];

fn known(list: &[(&str, f64)], word: &str) -> Option<f64> {
    list.iter().find(|(said, _)| said.eq_ignore_ascii_case(word)).map(|(_, value)| *value)
}

/// The number that a small word is: `one`, `two`, up to `twelve`.
pub fn small_number(word: &str) -> Option<usize> {
    let at = WORDS.iter().take(12).position(|(said, _)| said.eq_ignore_ascii_case(word))?;
    Some(at + 1)
}

/// The first word of a text, and what stands behind it.
fn word(text: &str) -> (&str, &str) {
    let text = text.trim_start();
    text.split_at(text.find(|c: char| !c.is_alphabetic()).unwrap_or(text.len()))
}

/// `text` behind a word, if that comes first.
pub(super) fn behind<'a>(text: &'a str, wanted: &str) -> Option<&'a str> {
    let (first, rest) = word(text);
    first.eq_ignore_ascii_case(wanted).then_some(rest)
}

/// The number at the start of a text. `fractions`: a stroke between two whole numbers parts them.
pub(super) fn leading(text: &str, fractions: bool) -> Option<Number<'_>> {
    let text = text.trim_start();
    let end = number_end(text);
    if end == 0 {
        return sign(text).or_else(|| spoken(text));
    }
    let (digits, rest) = text.split_at(end);
    let value: f64 = digits.replace('−', "-").parse().ok()?;
    let whole = digits.bytes().all(|b| b.is_ascii_digit());
    if let Some(below) = rest.strip_prefix('/').filter(|_| whole && fractions).and_then(whole_number) {
        return Some(Number { value: value / below.value, part: true, rest: below.rest });
    }
    let number = Number { value, part: value == 0.0, rest };
    if !whole {
        return Some(number);
    }
    let more = sign(rest.trim_start()).or_else(|| {
        let above = whole_number(rest.trim_start()).filter(|_| fractions)?;
        let below = whole_number(above.rest.strip_prefix('/')?)?;
        Some(Number { value: above.value / below.value, part: true, rest: below.rest })
    });
    Some(match more {
        Some(more) => Number { value: value + more.value, part: false, rest: more.rest },
        None => and_a_part(number),
    })
}

/// Digits and nothing else, and not zero.
fn whole_number(text: &str) -> Option<Number<'_>> {
    let (digits, rest) = text.split_at(text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len()));
    let value = digits.parse().ok().filter(|v| *v > 0.0)?;
    (!rest.starts_with('.')).then_some(Number { value, part: false, rest })
}

fn sign(text: &str) -> Option<Number<'_>> {
    let first = text.chars().next()?;
    let (_, value) = SIGNS.iter().find(|(sign, _)| *sign == first)?;
    Some(Number { value: *value, part: true, rest: &text[first.len_utf8()..] })
}

/// A number in words.
fn spoken(text: &str) -> Option<Number<'_>> {
    let (first, rest) = word(text);
    if let Some(value) = known(WHOLES, first) {
        return Some(Number { value, part: true, rest: behind_of_it(rest) });
    }
    let article = first.eq_ignore_ascii_case("a") || first.eq_ignore_ascii_case("an");
    let (count, rest) = match (article, cardinal(text)) {
        (true, _) => match word(rest).0 {
            "hundred" | "thousand" => cardinal(rest)?,
            _ => (1.0, rest),
        },
        (false, Some(found)) => found,
        (false, None) => (1.0, text),
    };
    if let Some(part) = part(rest) {
        return Some(Number { value: count * part.value, ..part });
    }
    let counted = article || known(WORDS, first).is_some();
    counted.then(|| and_a_part(Number { value: count, part: false, rest }))
}

/// `half a`, `quarters of an`, `half`.
fn part(text: &str) -> Option<Number<'_>> {
    let (first, rest) = word(text);
    let value = known(PARTS, first)?;
    Some(Number { value, part: true, rest: behind_of_it(rest) })
}

/// What stands behind `of an` in `half of an hour`.
fn behind_of_it(text: &str) -> &str {
    let rest = behind(text, "of").unwrap_or(text);
    ["a", "an", "one", "the", "it"].iter().find_map(|w| behind(rest, w)).unwrap_or(rest)
}

/// The share that `and a half` or `and three quarters` adds, and what stands behind it.
pub(super) fn and_part(text: &str) -> Option<(f64, &str)> {
    let rest = behind(text, "and")?;
    let (count, rest) = behind(rest, "a").map(|rest| (1.0, rest)).or_else(|| cardinal(rest))?;
    let (name, rest) = word(rest);
    Some((count * known(PARTS, name)?, rest))
}

fn and_a_part(number: Number<'_>) -> Number<'_> {
    match and_part(number.rest) {
        Some((more, rest)) => Number { value: number.value + more, part: false, rest },
        None => number,
    }
}

/// `six`, `twenty five`, `nine hundred and fifty`; `nine fifty` is only nine.
fn cardinal(text: &str) -> Option<(f64, &str)> {
    let (mut total, mut rest) = (0.0, text);
    // What may be added still is smaller than this.
    let mut room = f64::INFINITY;
    loop {
        let next = if room == 100.0 { behind(rest, "and").unwrap_or(rest) } else { rest };
        let next = next.strip_prefix('-').filter(|_| room == 10.0).unwrap_or(next);
        let (name, behind) = word(next);
        let Some(value) = known(WORDS, name) else { break };
        if value >= 100.0 && (1.0..100.0).contains(&total) {
            total *= value;
            room = 100.0;
        } else if value < room && value < 100.0 {
            total += value;
            room = if value >= 20.0 { 10.0 } else { 1.0 };
        } else if value >= 100.0 && total == 0.0 {
            total = value;
            room = 100.0;
        } else {
            break;
        }
        rest = behind;
    }
    (total > 0.0).then_some((total, rest))
}

/// Byte length of the leading number: sign, digits, one dot, exponent.
fn number_end(text: &str) -> usize {
    let mut end = 0;
    let mut seen_digit = false;
    let mut seen_dot = false;
    for (at, c) in text.char_indices() {
        match c {
            '+' | '-' | '−' if at == 0 => {}
            '0'..='9' => seen_digit = true,
            '.' if !seen_dot => seen_dot = true,
            _ => break,
        }
        end = at + c.len_utf8();
    }
    if !seen_digit {
        return 0;
    }
    // An exponent only when digits follow: `1e3`, not the `e` of a word.
    let tail = &text[end..];
    if tail.starts_with(['e', 'E']) {
        let after = tail[1..].strip_prefix(['+', '-']).unwrap_or(&tail[1..]);
        let digits = after.chars().take_while(char::is_ascii_digit).count();
        if digits > 0 {
            end += tail.len() - after.len() + digits;
        }
    }
    end
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_as_they_are_said() {
        let cases = [
            ("640 C", 640.0, " C"),
            ("1/2 h", 0.5, " h"),
            ("1 1/2 h", 1.5, " h"),
            ("1½ h", 1.5, " h"),
            ("half an hour", 0.5, " hour"),
            ("half of it", 0.5, ""),
            ("a quarter of an hour", 0.25, " hour"),
            ("three quarters of an hour", 0.75, " hour"),
            ("an hour", 1.0, " hour"),
            ("two and a half hours", 2.5, " hours"),
            ("2 and a half hours", 2.5, " hours"),
            ("twenty-five minutes", 25.0, " minutes"),
            ("nine hundred and fifty C", 950.0, " C"),
            ("a hundred grams", 100.0, " grams"),
            ("a thousand C", 1000.0, " C"),
            // Nobody can tell whether 59 or 950 is meant.
            ("nine fifty C", 9.0, " fifty C"),
            ("1/min", 1.0, "/min"),
            ("1e3 g", 1000.0, " g"),
        ];
        for (text, value, rest) in cases {
            let read = leading(text, true).unwrap_or_else(|| panic!("{text}"));
            assert!((read.value - value).abs() < 1e-12 && read.rest == rest, "{text}: {read:?}");
        }
        assert_eq!(leading("40/100", false).map(|n| (n.value, n.rest)), Some((40.0, "/100")));
        for text in ["", "heavy", "abc 3", "-", "/2", "hour"] {
            assert_eq!(leading(text, true), None, "{text}");
        }
    }
}
