//! A process sheet from YAML, with every slip reported at its place.

use super::field::{FACTS, Field, SECTIONS};
use super::model::{JobAlloy, Recorded, Sheet};
use crate::document::{
    Code, Diagnostic, Diagnostics, Entry, Node, Record, SourceId, Sources, Span, Value, entries,
    nearest_help, read, text_of,
};
use crate::rules::names::{find_alloy, near_alloys, normal};
use crate::rules::{Alloy, Basis, Fact, FactKey, RuleBase, composition, quantity, range, windows};
use crate::units::{Celsius, Dimension, GramsPerCm3, Seconds};
use std::collections::BTreeMap;

/// A sheet with the text it came from and what is wrong with it.
#[derive(Debug)]
pub struct ReadSheet {
    /// What could be read; whole only when `problems` holds no error.
    pub sheet: Sheet,
    /// The text, for showing places.
    pub sources: Sources,
    /// What is wrong.
    pub problems: Diagnostics,
}

/// Reads a sheet; `name` is what messages call it. Never fails: what cannot be read is in `problems`.
pub fn read_sheet(rules: &RuleBase, name: &str, bytes: &[u8]) -> ReadSheet {
    let mut sources = Sources::default();
    let mut problems = Diagnostics::default();
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(error) => {
            let source = sources.add(name, String::from_utf8_lossy(bytes).into_owned());
            let at = error.valid_up_to();
            let span = Span { source, range: at..at + 1 };
            problems.push(
                Diagnostic::error(Code::Unreadable, span, "not UTF-8 text")
                    .label("this byte")
                    .help("save the file as UTF-8"),
            );
            return ReadSheet { sheet: Sheet::default(), sources, problems };
        }
    };
    let source = sources.add(name, text.clone());
    let mut sheet = Sheet::default();
    match read(source, &text) {
        Ok(Node { value: Value::Empty, .. }) => {}
        Ok(tree) => sheet = sheet_of(rules, source, &tree, &mut problems),
        Err(problem) => problems.push(*problem),
    }
    problems.sort();
    ReadSheet { sheet, sources, problems }
}

/// Reads a sheet that stands inside another file, such as a case; what is wrong is added to `problems`.
pub fn sheet_of(rules: &RuleBase, source: SourceId, tree: &Node, problems: &mut Diagnostics) -> Sheet {
    let before = problems.errors();
    let sheet = SheetReader { rules, source, problems }.sheet(tree);
    if problems.errors() == before {
        contradictions(&sheet, source, problems);
    }
    for unusual in sheet.unusual() {
        let span = place(&sheet, source, unusual.field);
        problems.push(Diagnostic::warning(Code::Unusual, span, unusual.message).help(unusual.help));
    }
    sheet
}

/// Where a figure stands.
fn place(sheet: &Sheet, source: SourceId, field: Field) -> Span {
    let span = sheet.figures.get(&field).and_then(|r| r.span.clone());
    span.unwrap_or(Span { source, range: 0..0 })
}

/// Sets what is typed as `path=value` on a sheet: a figure such as `flask.temperature=580 C`, a fact such as
/// `mould.binder=phosphate`, or `alloy=14k-yellow`.
///
/// # Errors
/// What is wrong, in words for the caster.
pub fn apply_setting(rules: &RuleBase, sheet: &mut Sheet, text: &str) -> Result<(), String> {
    let Some((path, value)) = text.split_once('=').map(|(p, v)| (p.trim(), v.trim())) else {
        return read_setting(text).map(|_| ());
    };
    if path == "alloy" {
        let near = || near_alloys(rules, value, 3).join(", ");
        let name = find_alloy(rules, value)
            .ok_or_else(|| format!("there is no alloy `{value}`; nearest: {}", near()))?;
        sheet.name_alloy(rules, name);
        return Ok(());
    }
    let written =
        |section: &Option<&str>, name: &str| section.map_or(name.to_owned(), |s| format!("{s}.{name}"));
    if let Some((_, _, id)) = FACTS.iter().find(|(section, name, _)| written(section, name) == path)
        && let Some(key) = rules.find_fact(id)
    {
        let fact = rules.fact(key);
        let at = value_of(fact, value).ok_or_else(|| {
            let all: Vec<&str> = fact.values.iter().map(|v| v.id.as_str()).collect();
            format!("`{path}` is never `{value}`; it is one of {}", all.join(", "))
        })?;
        sheet.facts.insert(key, at);
        return Ok(());
    }
    let (field, number) = read_setting(text)?;
    sheet.set(field, number);
    Ok(())
}

/// One figure typed as `path=value`, such as `flask.temperature=580 C`.
///
/// # Errors
/// What is wrong, in words for the caster.
pub fn read_setting(text: &str) -> Result<(Field, f64), String> {
    let (path, value) = text
        .split_once('=')
        .ok_or_else(|| format!("`{text}` is no setting; write for instance `flask.temperature=580 C`"))?;
    let field = Field::find(path.trim()).ok_or_else(|| {
        let help = nearest_help(path.trim(), Field::ALL.iter().map(|f| f.id()));
        format!("a sheet has no figure `{}`{}", path.trim(), help.map_or(String::new(), |h| format!("; {h}")))
    })?;
    let number = field.dimension().parse(value).map_err(|e| e.to_string())?;
    let (low, high) = field.limits().possible;
    if !(low..=high).contains(&number) {
        return Err(impossible(field, number));
    }
    Ok((field, number))
}

fn impossible(field: Field, value: f64) -> String {
    let d = field.dimension();
    let (low, high) = field.limits().possible;
    format!(
        "a {} of {} cannot be; possible is {} to {}",
        field.title(),
        d.show(value),
        d.show(low),
        d.show(high)
    )
}

/// The value of a fact that a text names: by its id letter by letter, else by any of its names as they come.
fn value_of(fact: &Fact, text: &str) -> Option<usize> {
    fact.values.iter().position(|v| v.id == text).or_else(|| {
        let wanted = normal(text);
        let is = |t: &str| normal(t) == wanted;
        fact.values.iter().position(|v| is(&v.id) || is(&v.title) || v.synonyms.iter().any(|s| is(s)))
    })
}

struct SheetReader<'a> {
    rules: &'a RuleBase,
    source: SourceId,
    problems: &'a mut Diagnostics,
}

impl SheetReader<'_> {
    fn span(&self, node: &Node) -> Span {
        Span { source: self.source, range: node.range.clone() }
    }

    fn sheet(&mut self, tree: &Node) -> Sheet {
        let mut sheet = Sheet::default();
        let Some(top) = entries(self.source, tree, "process sheet", self.problems) else { return sheet };
        for entry in top {
            match entry.key {
                "alloy" => sheet.alloy = self.alloy(entry.value),
                "note" => sheet.note = text_of(self.source, entry.value, self.problems).map(str::to_owned),
                name => match SECTIONS.iter().find(|s| **s == name) {
                    Some(section) => self.section(section, entry.value, &mut sheet),
                    None => self.line(None, &entry, &mut sheet),
                },
            }
        }
        sheet
    }

    fn section(&mut self, name: &'static str, node: &Node, sheet: &mut Sheet) {
        if node.value == Value::Empty {
            return;
        }
        for entry in entries(self.source, node, "section of the sheet", self.problems).unwrap_or_default() {
            self.line(Some(name), &entry, sheet);
        }
    }

    fn line(&mut self, section: Option<&'static str>, entry: &Entry<'_>, sheet: &mut Sheet) {
        let field = Field::ALL.iter().copied().find(|f| f.split() == (section, entry.key));
        let fact = FACTS.iter().find(|(s, name, _)| *s == section && *name == entry.key);
        match (field, fact) {
            (Some(field), _) => {
                if let Some(recorded) = self.figure(field, entry.value) {
                    sheet.figures.insert(field, recorded);
                }
            }
            (None, Some((_, _, id))) => {
                let key = self.rules.find_fact(id);
                if let Some((key, value)) = key.and_then(|k| Some((k, self.fact(k, entry.value)?))) {
                    sheet.facts.insert(key, value);
                }
            }
            (None, None) => self.unknown(section, entry),
        }
    }

    fn unknown(&mut self, section: Option<&'static str>, entry: &Entry<'_>) {
        let here: Vec<&str> = match section {
            None => {
                ["alloy", "note"].into_iter().chain(SECTIONS.iter().copied()).chain(names_in(None)).collect()
            }
            Some(s) => names_in(Some(s)).collect(),
        };
        let elsewhere = Field::ALL.iter().find(|f| f.split().1 == entry.key).map(|f| f.id());
        let place = section.map_or_else(String::new, |s| format!("`{s}` of "));
        let mut problem = Diagnostic::error(
            Code::UnknownField,
            self.span(entry.key_node),
            format!("{place}a process sheet has no `{}`", entry.key),
        )
        .label("unknown field");
        if self.problems.is_flood() {
            self.problems.push(problem);
            return;
        }
        problem.help = match elsewhere {
            Some(id) => Some(format!("it belongs to `{id}`")),
            None => nearest_help(entry.key, here.iter().copied())
                .or_else(|| Some(format!("allowed here: {}", here.join(", ")))),
        };
        self.problems.push(problem);
    }

    fn figure(&mut self, field: Field, node: &Node) -> Option<Recorded> {
        if node.value == Value::Empty {
            return None;
        }
        let text = text_of(self.source, node, self.problems)?;
        let value =
            match field.dimension().parse(text) {
                Ok(value) => value,
                Err(error) => {
                    self.problems.push(
                        Diagnostic::error(Code::BadQuantity, self.span(node), error.to_string()).label(
                            format!("the {}: {} is wanted here", field.title(), field.dimension().name()),
                        ),
                    );
                    return None;
                }
            };
        let (low, high) = field.limits().possible;
        if !(low..=high).contains(&value) {
            self.problems.push(
                Diagnostic::error(Code::OutOfRange, self.span(node), impossible(field, value))
                    .label("cannot be"),
            );
            return None;
        }
        Some(Recorded { value, written: text.to_owned(), span: Some(self.span(node)) })
    }

    fn fact(&mut self, key: FactKey, node: &Node) -> Option<usize> {
        if node.value == Value::Empty {
            return None;
        }
        let text = text_of(self.source, node, self.problems)?;
        let fact = self.rules.fact(key);
        let found = value_of(fact, text);
        if found.is_none() {
            let ids: Vec<&str> = fact.values.iter().map(|v| v.id.as_str()).collect();
            let mut problem = Diagnostic::error(
                Code::BadChoice,
                self.span(node),
                format!("`{text}` is no value of `{}` ({})", fact.id, fact.title),
            );
            problem.help = nearest_help(text, ids.iter().copied())
                .or_else(|| Some(format!("allowed here: {}", ids.join(", "))));
            self.problems.push(problem);
        }
        found
    }

    fn alloy(&mut self, node: &Node) -> Option<JobAlloy> {
        if node.value == Value::Empty {
            return None;
        }
        if matches!(node.value, Value::Map(_)) {
            return self.own_alloy(node).map(|a| JobAlloy::Known(Box::new(a)));
        }
        let text = text_of(self.source, node, self.problems)?;
        let Some(name) = find_alloy(self.rules, text) else {
            let near = near_alloys(self.rules, text, 5);
            let help = if near.is_empty() {
                "name an alloy of the table, a family, or write its composition: `alloy: {composition: {Ag: 92.5 %, Cu: 7.5 %}, solidus: 802 C, liquidus: 893 C}`".to_owned()
            } else {
                format!("nearest: {}", near.join(", "))
            };
            self.problems.push(
                Diagnostic::error(Code::UnknownId, self.span(node), format!("there is no alloy `{text}`"))
                    .help(help),
            );
            return None;
        };
        let mut sheet = Sheet::default();
        sheet.name_alloy(self.rules, name);
        sheet.alloy
    }

    /// A shop's own alloy: a composition with its melting range, windows where the shop knows them.
    fn own_alloy(&mut self, node: &Node) -> Option<Alloy> {
        let mut record = Record::open(self.source, node, "shop's own alloy", self.problems)?;
        let title = record.text("title", self.problems).unwrap_or("the shop's own alloy").to_owned();
        let family = record.need("family", self.problems);
        let shares = record.need("composition", self.problems);
        let solidus = record.need("solidus", self.problems);
        let liquidus = record.need("liquidus", self.problems);
        let density = record.take("density");
        let revert = record.take("revert-limit");
        let quench = record.take("quench-after");
        let melt = record.take("melt");
        let flask = record.take("flask");
        record.finish(self.problems);
        let family = family.and_then(|n| {
            let text = text_of(self.source, n, self.problems)?;
            let found = self.rules.find_family(text);
            if found.is_none() {
                let ids = self.rules.families.iter().map(|f| f.id.as_str());
                let mut problem = Diagnostic::error(
                    Code::UnknownId,
                    self.span(n),
                    format!("there is no alloy family `{text}`"),
                );
                problem.help = Some(
                    nearest_help(text, ids)
                        .unwrap_or_else(|| "`alloys/families.yaml` of the rules lists them".to_owned()),
                );
                self.problems.push(problem);
            }
            found
        });
        let composition = shares.and_then(|n| composition(self.source, n, self.problems));
        let solidus = solidus.and_then(|n| quantity(self.source, n, Dimension::Temperature, self.problems));
        let liquidus_value =
            liquidus.and_then(|n| quantity(self.source, n, Dimension::Temperature, self.problems));
        if let (Some(s), Some(l), Some(n)) = (solidus, liquidus_value, liquidus)
            && s > l
        {
            self.problems.push(
                Diagnostic::error(Code::Contradiction, self.span(n), "the liquidus is below the solidus")
                    .help("melting ends at the liquidus: it is the higher of the two"),
            );
        }
        let density = density.and_then(|n| quantity(self.source, n, Dimension::Density, self.problems));
        let revert_limit = revert.and_then(|n| quantity(self.source, n, Dimension::Share, self.problems));
        let quench_after = quench.and_then(|n| range(self.source, n, Dimension::Duration, self.problems));
        let melt = melt.map(|n| windows(self.source, n, self.problems)).unwrap_or_default();
        let flask = flask.map(|n| windows(self.source, n, self.problems)).unwrap_or_default();
        Some(Alloy {
            id: "own".to_owned(),
            title,
            family: family?,
            synonyms: Vec::new(),
            composition: composition?,
            solidus: Celsius::new(solidus?),
            liquidus: Celsius::new(liquidus_value?),
            density: density.map(GramsPerCm3::new),
            melt,
            flask,
            binder: Vec::new(),
            cover: Vec::new(),
            revert_limit,
            quench_after: quench_after.map(|(a, b)| (Seconds::new(a), Seconds::new(b))),
            notes: None,
            basis: Basis::CommonPractice,
            basis_of: BTreeMap::new(),
        })
    }
}

fn names_in(section: Option<&'static str>) -> impl Iterator<Item = &'static str> {
    let figures = Field::ALL.iter().filter(move |f| f.split().0 == section).map(|f| f.split().1);
    let facts = FACTS.iter().filter(move |(s, _, _)| *s == section).map(|(_, name, _)| *name);
    figures.chain(facts)
}

/// Figures that cannot hold together on one sheet.
fn contradictions(sheet: &Sheet, source: SourceId, problems: &mut Diagnostics) {
    let place = |field: Field| place(sheet, source, field);
    if let Some(alloy) = sheet.alloy() {
        let celsius = |field: Field| sheet.get(field).map(Celsius::new);
        let show = |t: Celsius| Dimension::Temperature.show(t.get());
        if let Some(flask) = celsius(Field::FlaskTemperature)
            && flask > alloy.solidus
        {
            problems.push(
                Diagnostic::error(
                    Code::Contradiction,
                    place(Field::FlaskTemperature),
                    format!(
                        "the flask is hotter than the solidus of {} ({})",
                        alloy.title,
                        show(alloy.solidus)
                    ),
                )
                .label("the metal would never freeze")
                .help("check the digits, the unit and the alloy"),
            );
        }
        if let Some(melt) = celsius(Field::MeltTemperature)
            && melt < alloy.solidus
        {
            problems.push(
                Diagnostic::error(
                    Code::Contradiction,
                    place(Field::MeltTemperature),
                    format!(
                        "the melt is colder than the solidus of {} ({})",
                        alloy.title,
                        show(alloy.solidus)
                    ),
                )
                .label("nothing would melt")
                .help("check the digits, the unit and the alloy"),
            );
        }
    }
    for (small, large, words) in [
        (Field::Thinnest, Field::Heaviest, "the thinnest section is thicker than the heaviest"),
        (Field::Pieces, Field::TreeWax, "the pieces weigh more than the whole tree"),
    ] {
        if let (Some(a), Some(b)) = (sheet.get(small), sheet.get(large))
            && a > b
        {
            problems.push(Diagnostic::error(Code::Contradiction, place(small), words).help(format!(
                "check `{}` against `{}`",
                small.id(),
                large.id()
            )));
        }
    }
}
