//! Nothing that can be written brings the program down: any bytes as rules or sheet give a value or a list of problems
//! with places, soon; and what does not matter, such as the order of files, changes nothing.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test ends by panicking"
)]

use aftercast::advice::{Model, Observation, Sureness, diagnose};
use aftercast::document::{Diagnostics, Excerpt, Sources, render};
use aftercast::rules::names::FindingNames;
use aftercast::rules::{RuleBase, from_texts, lint, shipped};
use aftercast::sheet::{FACTS, Field, Sheet, catalogue, read_sheet};
use aftercast::units::{Dimension, figures};
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::LazyLock;
use std::time::{Duration, Instant};

static RULES: LazyLock<RuleBase> = LazyLock::new(|| shipped(&catalogue()).rules);
static FILES: LazyLock<Vec<(String, String)>> = LazyLock::new(|| {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("rules");
    let mut found = Vec::new();
    let mut folders = vec![root.clone()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "yaml") {
                let name = path.strip_prefix(&root).unwrap().to_string_lossy().into_owned();
                found.push((name, std::fs::read_to_string(&path).unwrap()));
            }
        }
    }
    found.sort();
    found
});

/// Every problem has a place inside its text, and can be shown.
fn placed(sources: &Sources, problems: &Diagnostics) {
    for problem in problems.iter() {
        let span = problem.span.as_ref().expect("a problem with a place");
        assert!(span.range.start <= sources.text(span.source).len(), "{problem:?}");
        assert!(!problem.message.is_empty());
    }
    let text = render(sources, problems, Excerpt::Plain);
    assert!(!text.contains(|c: char| c.is_control() && c != '\n'), "{text:?}");
}

fn as_rules(name: &str, bytes: &[u8]) {
    let loaded = from_texts("", vec![(name.to_owned(), bytes.to_vec())], &catalogue());
    placed(&loaded.sources, &loaded.problems);
    if loaded.problems.errors() == 0 {
        placed(&loaded.sources, &lint(&loaded.rules, &loaded.places));
    }
}

fn as_sheet(bytes: &[u8]) {
    let read = read_sheet(&RULES, "sheet", bytes);
    placed(&read.sources, &read.problems);
    if read.problems.errors() == 0 {
        Model::new(&RULES, &read.sheet).unwrap();
    }
}

const TOPICS: &[&str] = &[
    "strengths.yaml",
    "sources.yaml",
    "facts.yaml",
    "alloys/families.yaml",
    "alloys/x.yaml",
    "causes.yaml",
    "defects.yaml",
    "signs.yaml",
    "questions.yaml",
    "remedies.yaml",
    "cautions.yaml",
    "trade-offs.yaml",
    "x.yaml",
];

fn hostile() -> Vec<(&'static str, Vec<u8>)> {
    let mut bomb = "a0: &a0 [x,x,x,x,x,x,x,x,x]\n".to_owned();
    for n in 1..12 {
        bomb.push_str(&format!("a{n}: &a{n} [{}]\n", vec![format!("*a{}", n - 1); 9].join(",")));
    }
    let deep = |open: &str, n: usize| open.repeat(n).into_bytes();
    let indents: String = (0..3000).map(|n| format!("{}a:\n", " ".repeat(n))).collect();
    let keys: String = (0..100_000).map(|n| format!("k{n}: 1\n")).collect();
    let records: String = (0..20_000).map(|n| format!("- {{id: c{n}, produces: {{d{n}: 0.5}}}}\n")).collect();
    vec![
        ("alias bomb", bomb.into_bytes()),
        ("a loop of aliases", b"a: &a [*a]\n".to_vec()),
        ("brackets", deep("[", 100_000)),
        ("braces", deep("{a: ", 100_000)),
        ("dashes", deep("- ", 100_000)),
        ("question marks", deep("? ", 100_000)),
        ("mixed brackets", deep("[{a: ", 50_000)),
        ("closed brackets", [deep("[", 100_000), deep("]", 100_000)].concat()),
        ("block maps", indents.into_bytes()),
        (
            "huge numbers",
            b"charge: 1e999 g\nflask: {temperature: 999999999999999999999999999999 C}\nrevert: -1e308 %\n"
                .to_vec(),
        ),
        ("not a number", b"charge: .nan\nrevert: .inf\nmelt: {temperature: NaN C, power: -.inf}\n".to_vec()),
        ("a long number", ["charge: ".as_bytes(), &b"9".repeat(1_000_000), b" g\n"].concat()),
        ("doubles", "charge: 10 g\n".repeat(100_000).into_bytes()),
        ("many keys", keys.into_bytes()),
        ("many records", records.into_bytes()),
        ("not UTF-8", vec![b'a', b':', b' ', 0xff, 0xfe, 0x80]),
        ("only bytes above", vec![0xff; 100_000]),
        ("zeros", vec![0; 100_000]),
        ("UTF-16", "a: b\n".encode_utf16().flat_map(u16::to_le_bytes).collect()),
        ("a long text", ["alloy: ".as_bytes(), &b"x".repeat(1_000_000)].concat()),
        ("a long key", [&b"x".repeat(1_000_000)[..], b": 1\n"].concat()),
        ("a long quoted text", ["note: \"".as_bytes(), &b"\\n".repeat(500_000), b"\"\n"].concat()),
        ("an open quote", ["note: \"".as_bytes(), &b"x\n".repeat(500_000)].concat()),
        ("many documents", b"---\na: 1\n".repeat(50_000)),
        ("tags", b"!!binary aGVsbG8=\n".to_vec()),
        ("merge keys", b"a: &a {b: 1}\nc: {<<: *a}\n".to_vec()),
        ("larger than allowed", vec![b'#'; 9 * 1024 * 1024]),
    ]
}

#[test]
fn hostile_files_are_answered_soon() {
    let most = Duration::from_secs(2);
    LazyLock::force(&RULES);
    for (what, bytes) in hostile() {
        let started = Instant::now();
        as_sheet(&bytes);
        assert!(started.elapsed() < most, "{what} as a sheet took {:?}", started.elapsed());
        for topic in ["causes.yaml", "strengths.yaml"] {
            let started = Instant::now();
            as_rules(topic, &bytes);
            assert!(started.elapsed() < most, "{what} as {topic} took {:?}", started.elapsed());
        }
    }
}

/// All the same, whatever stands where: posteriors by cause.
fn posteriors(rules: &RuleBase, words: &[(&str, Sureness)], sheet: &str) -> BTreeMap<String, f64> {
    let names = FindingNames::new(rules);
    let observations: Vec<Observation> =
        words.iter().map(|(w, how)| Observation { finding: names.find(w).unwrap(), how: *how }).collect();
    let read = read_sheet(rules, "sheet", sheet.as_bytes());
    assert_eq!(read.problems.errors(), 0);
    let model = Model::focused(rules, &read.sheet, &observations).unwrap();
    let found = diagnose(&model, &read.sheet, &observations).unwrap();
    found.causes.iter().map(|c| (rules.cause(c.cause).id.clone(), c.probability)).collect()
}

const SAID: &[(&str, Sureness)] = &[
    ("pinholes", Sureness::Seen),
    ("pores-round-smooth", Sureness::Seen),
    ("misrun", Sureness::Absent),
    ("grey-or-black-mould", Sureness::Probably),
    ("white-smoke", Sureness::Absent),
];
const JOB: &str = "{alloy: sterling-925, flask: {temperature: 600 C}, melt: {purge-cycles: 1}}";

fn same(a: &BTreeMap<String, f64>, b: &BTreeMap<String, f64>) {
    assert_eq!(a.len(), b.len());
    for (id, p) in a {
        assert!((p - b[id]).abs() < 1e-12, "{id}: {p} and {}", b[id]);
        assert!((0.0..=1.0).contains(p));
    }
}

/// The records of a file, each with the lines that belong to it.
fn records(text: &str) -> (String, Vec<String>) {
    let mut head = String::new();
    let mut found: Vec<String> = Vec::new();
    for line in text.split_inclusive('\n') {
        if line.starts_with("- ") {
            found.push(line.to_owned());
        } else if let Some(last) = found.last_mut() {
            last.push_str(line);
        } else {
            head.push_str(line);
        }
    }
    (head, found)
}

#[test]
fn order_of_files_and_records_does_not_matter() {
    let plain = posteriors(&RULES, SAID, JOB);
    let mut state = 1_u64;
    let mut random = move |below: usize| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(state >> 33).unwrap() % below
    };
    for _ in 0..3 {
        let mut files = FILES.clone();
        for at in (1..files.len()).rev() {
            files.swap(at, random(at + 1));
        }
        for (_, text) in &mut files {
            let (head, mut all) = records(text);
            for at in (1..all.len()).rev() {
                all.swap(at, random(at + 1));
            }
            if !all.is_empty() {
                *text = head + &all.concat();
            }
        }
        let texts = files.into_iter().map(|(n, t)| (n, t.into_bytes())).collect();
        let loaded = from_texts("", texts, &catalogue());
        assert_eq!(loaded.problems.errors(), 0);
        same(&plain, &posteriors(&loaded.rules, SAID, JOB));
    }
}

#[test]
fn order_of_findings_does_not_matter() {
    let plain = posteriors(&RULES, SAID, JOB);
    for turn in 1..SAID.len() {
        let mut said = SAID.to_vec();
        said.rotate_left(turn);
        same(&plain, &posteriors(&RULES, &said, JOB));
        said.reverse();
        same(&plain, &posteriors(&RULES, &said, JOB));
    }
}

/// What is said of stones moves no cause that has to do with purging: they meet nowhere.
#[test]
fn a_sign_that_cannot_depend_on_a_cause_leaves_it_alone() {
    let text = |extra: &str| {
        let causes = format!(
            "- {{id: a, title: A, base: 0.1, produces: {{d: 0.5}}, because: B., basis: memory}}\n\
             - {{id: b, title: B, base: 0.2, produces: {{e: 0.7}}, because: B., basis: memory}}\n{extra}"
        );
        let defects = "- {id: d, title: D, class: cavity, leak: 0.01, what: W., shows: {s: 0.8}, basis: memory}\n\
             - {id: e, title: E, class: surface, leak: 0.02, what: W., shows: {t: 0.6}, basis: memory}\n";
        let signs = "- {id: s, title: S, look: L., leak: 0.03, basis: memory}\n\
             - {id: t, title: T, look: L., leak: 0.04, basis: memory}\n";
        let files = [("causes.yaml", causes.as_str()), ("defects.yaml", defects), ("signs.yaml", signs)];
        let texts = files.iter().map(|(n, t)| ((*n).to_owned(), t.as_bytes().to_vec())).collect();
        let loaded = from_texts("", texts, &catalogue());
        assert_eq!(loaded.problems.errors(), 0);
        loaded.rules
    };
    let rules = text("");
    let without = posteriors(&rules, &[("s", Sureness::Seen)], "{}");
    for how in [Sureness::Seen, Sureness::Absent, Sureness::Probably] {
        let with = posteriors(&rules, &[("s", Sureness::Seen), ("t", how)], "{}");
        assert!((with["a"] - without["a"]).abs() < 1e-12, "t says nothing of a");
        assert!((with["b"] - without["b"]).abs() > 1e-4, "{how:?}: {} and {}", with["b"], without["b"]);
    }
}

/// Every field of the sheet in every unit that may be written, alone, and all of them left out.
#[test]
fn every_field_takes_every_unit_and_may_be_left_out() {
    for field in Field::ALL {
        let dimension = field.dimension();
        let (low, high) = field.limits().usual;
        let written = dimension.show((low + high) / 2.0);
        let units = dimension.allowed();
        let units = if dimension.is_bare() { "" } else { &units };
        let mut tried = 0;
        for unit in units.split(", ").filter(|u| !u.starts_with("and ")) {
            // One unit says 1 for what another says 25.4; only the reading matters here, not the limits.
            let read = dimension
                .parse(&format!("1 {unit}{}", if dimension == Dimension::Pressure { " abs" } else { "" }));
            // A column of mercury may be a vacuum: it is read where the word behind it says which.
            let mercury = unit.ends_with("Hg");
            assert!(read.is_ok() || mercury, "{dimension:?} {unit}: {read:?}");
            tried += 1;
        }
        assert!(tried > 0);
        let (section, name) = field.split();
        let text = match section {
            Some(section) => format!("{section}:\n  {name}: {written}\n"),
            None => format!("{name}: {written}\n"),
        };
        let read = read_sheet(&RULES, "sheet", text.as_bytes());
        let said: Vec<&str> = read.problems.iter().map(|p| p.message.as_str()).collect();
        assert_eq!(read.problems.errors(), 0, "{text}: {said:?}");
        assert_eq!(read.sheet.figures.len(), 1, "{text}");
        Model::new(&RULES, &read.sheet).unwrap();
    }
    for (section, name, id) in FACTS {
        let fact = RULES.fact(RULES.find_fact(id).unwrap());
        for value in &fact.values {
            for word in std::iter::once(&value.id).chain(&value.synonyms) {
                let line = format!("{name}: \"{}\"", word.replace('"', "\\\""));
                let text = section.map_or_else(|| format!("{line}\n"), |s| format!("{s}: {{{line}}}\n"));
                let read = read_sheet(&RULES, "sheet", text.as_bytes());
                assert_eq!(read.problems.errors(), 0, "{text}");
                assert_eq!(read.sheet.facts.len(), 1, "{text}");
            }
        }
    }
    Model::new(&RULES, &Sheet::default()).unwrap();
}

const DIMENSIONS: &[Dimension] = &[
    Dimension::Temperature,
    Dimension::Span,
    Dimension::HeatingRate,
    Dimension::Pressure,
    Dimension::OverPressure,
    Dimension::Mass,
    Dimension::Length,
    Dimension::Duration,
    Dimension::Share,
    Dimension::WaterRatio,
    Dimension::Density,
    Dimension::Power,
    Dimension::Speed,
    Dimension::LeakRate,
    Dimension::Volume,
    Dimension::Count,
    Dimension::Ratio,
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..400), at in 0..TOPICS.len()) {
        as_rules(TOPICS[at], &bytes);
        as_sheet(&bytes);
    }

    /// Text that looks like YAML goes deeper than bytes do.
    #[test]
    fn any_text_is_read_or_refused(
        text in "([ \\n]|- |: |\\[|\\]|\\{|\\}|,|id|title|base|alloy|flask|temperature|[0-9]|\\.|C|%|&a|\\*a|'|\"|\\||#|é){0,80}",
        at in 0..TOPICS.len(),
    ) {
        as_rules(TOPICS[at], text.as_bytes());
        as_sheet(text.as_bytes());
    }

    #[test]
    fn what_is_printed_is_read_back(value in -1e6..1e6_f64, at in 0..DIMENSIONS.len()) {
        let dimension = DIMENSIONS[at];
        let value = if dimension == Dimension::Temperature { value.abs() } else { value };
        let value = if matches!(dimension, Dimension::Pressure) { value.abs() } else { value };
        let shown = dimension.show(value);
        let back = dimension.parse(&shown);
        prop_assert!(back.is_ok(), "{shown}: {back:?}");
        let back = back.unwrap();
        // To about three figures; temperatures to the degree, small things to what is shown of them.
        let close = (back - value).abs() <= 0.0051 * value.abs().max(100.0) || (back / value - 1.0).abs() < 0.06;
        prop_assert!(close, "{value} -> {shown} -> {back}");
    }

    #[test]
    fn figures_prints_no_more_than_asked(value in prop::num::f64::NORMAL, count in 1..7_usize) {
        // Rounded up, the largest numbers would be beyond what a number can be.
        prop_assume!(value.abs() < 1e308);
        let text = figures(value, count);
        let mantissa = text.split('e').next().unwrap_or("");
        let digits: String = mantissa.chars().filter(char::is_ascii_digit).collect();
        let meant = digits.trim_start_matches('0').trim_end_matches('0');
        // Whole numbers keep the digits before the point; those behind it are what is asked for.
        let whole = mantissa.trim_start_matches('-').split('.').next().unwrap_or("").len();
        prop_assert!(meant.len() <= count.max(whole), "{value} in {count} figures: {text}");
        let back: f64 = text.parse().unwrap();
        let off = if value.is_normal() { (back / value - 1.0).abs() } else { 0.0 };
        prop_assert!(off <= 0.51 * 10f64.powi(1 - i32::try_from(count).unwrap()), "{value}: {text}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    /// A shipped rule file with some damage: bytes flipped, lines lost or exchanged.
    #[test]
    fn damaged_rule_files_are_reported_with_places(
        which in any::<prop::sample::Index>(),
        damage in prop::collection::vec((0..3_u8, any::<prop::sample::Index>(), any::<prop::sample::Index>(), any::<u8>()), 1..6),
    ) {
        let at = which.index(FILES.len());
        let (name, text) = &FILES[at];
        let mut bytes = text.clone().into_bytes();
        for (kind, one, two, byte) in damage {
            if bytes.is_empty() {
                break;
            }
            if kind == 0 {
                let at = one.index(bytes.len());
                bytes[at] ^= byte;
                continue;
            }
            let mut lines: Vec<&[u8]> = bytes.split_inclusive(|b| *b == b'\n').collect();
            let (a, b) = (one.index(lines.len()), two.index(lines.len()));
            if kind == 1 {
                lines.remove(a);
            } else {
                lines.swap(a, b);
            }
            bytes = lines.concat();
        }
        as_rules(name, &bytes);
    }
}
