//! Cases from YAML, with every slip reported at its place.

use super::case::{Case, CaseSource, Confidence, Grade, Origin, Scope, Status};
use crate::advice::findings::with_ruled_out;
use crate::advice::{Observation, Sureness};
use crate::document::{
    Code, Diagnostic, Diagnostics, Node, Record, SourceId, Sources, Span, Value, nearest_help, read, text_of,
};
use crate::rules::{CauseKey, Finding, RuleBase};
use crate::sheet::{Sheet, sheet_of};
use include_dir::{Dir, include_dir};
use jiff::civil::Date;
use std::path::{Path, PathBuf};

static SHIPPED: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/casebook");

/// The cases that could be read, and what is wrong with the others.
#[derive(Debug, Default)]
pub struct ReadCases {
    /// Cases without errors, by id.
    pub cases: Vec<Case>,
    /// The texts, for showing places.
    pub sources: Sources,
    /// What is wrong.
    pub problems: Diagnostics,
}

/// Why a casebook could not be read at all.
#[derive(Debug, thiserror::Error)]
#[error("cannot read {}: {source}", path.display())]
pub struct CasebookError {
    /// The folder or file.
    pub path: PathBuf,
    /// Why.
    pub source: std::io::Error,
}

/// The cases built into the program.
pub fn shipped(rules: &RuleBase) -> ReadCases {
    let texts = SHIPPED
        .files()
        .map(|f| (f.path().to_string_lossy().replace('\\', "/"), f.contents().to_vec()))
        .filter(|(name, _)| is_case(Path::new(name)))
        .collect();
    from_texts(rules, "casebook/", texts)
}

/// True for the id of a case built into the program.
pub fn is_shipped(id: &str) -> bool {
    SHIPPED.get_file(format!("{id}.yaml")).is_some()
}

/// The cases of a folder. A folder without cases is an empty casebook.
///
/// # Errors
/// [`CasebookError`] when the folder or a file in it cannot be read.
pub fn folder(rules: &RuleBase, root: &Path) -> Result<ReadCases, CasebookError> {
    let mut texts = Vec::new();
    for path in case_files(root)? {
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        texts.push((name, std::fs::read(&path).map_err(|source| CasebookError { path, source })?));
    }
    let prefix = format!("{}/", root.display().to_string().trim_end_matches('/'));
    Ok(from_texts(rules, &prefix, texts))
}

/// The case files of a folder, by name.
fn case_files(root: &Path) -> Result<Vec<PathBuf>, CasebookError> {
    let unreadable = |source| CasebookError { path: root.to_path_buf(), source };
    let mut paths = Vec::new();
    for entry in std::fs::read_dir(root).map_err(unreadable)? {
        let entry = entry.map_err(unreadable)?;
        let path = entry.path();
        if is_case(&path) && !entry.file_type().is_ok_and(|t| t.is_dir()) {
            paths.push(path);
        }
    }
    paths.sort();
    Ok(paths)
}

/// Files of one's own: `ID.yaml`, not hidden (an editor's or a half-written file).
pub(super) fn is_case(path: &Path) -> bool {
    path.extension().is_some_and(|e| e == "yaml")
        && !path.file_name().is_some_and(|n| n.to_string_lossy().starts_with('.'))
}

/// Cases from texts in memory, file name and bytes each; `prefix` stands before the names in messages.
pub fn from_texts(rules: &RuleBase, prefix: &str, mut texts: Vec<(String, Vec<u8>)>) -> ReadCases {
    texts.sort();
    let mut found = ReadCases::default();
    for (name, bytes) in texts {
        let shown = format!("{prefix}{name}");
        let (text, broken_at) = match String::from_utf8(bytes) {
            Ok(text) => (text, None),
            Err(error) => {
                let at = error.utf8_error().valid_up_to();
                (String::from_utf8_lossy(error.as_bytes()).into_owned(), Some(at))
            }
        };
        let source = found.sources.add(shown, text.clone());
        if let Some(at) = broken_at {
            let span = Span { source, range: at..at + 1 };
            found.problems.push(Diagnostic::error(Code::Unreadable, span, "not UTF-8 text"));
            continue;
        }
        let mut problems = Diagnostics::default();
        let stem = name.strip_suffix(".yaml").unwrap_or(&name);
        match read(source, &text) {
            Ok(tree) => {
                let case = Reader { rules, source, problems: &mut problems }.case(stem, &tree);
                if problems.errors() == 0 {
                    found.cases.extend(case);
                }
            }
            Err(problem) => problems.push(*problem),
        }
        problems.sort();
        found.problems.append(problems);
    }
    found
}

struct Reader<'a> {
    rules: &'a RuleBase,
    source: SourceId,
    problems: &'a mut Diagnostics,
}

impl Reader<'_> {
    fn span(&self, node: &Node) -> Span {
        Span { source: self.source, range: node.range.clone() }
    }

    fn case(&mut self, stem: &str, tree: &Node) -> Option<Case> {
        let mut record = Record::open(self.source, tree, "case", self.problems)?;
        let id = record.need("id", self.problems).and_then(|n| self.id(stem, n));
        let title = record.need_text("title", self.problems).map(str::to_owned);
        let status = record.need("status", self.problems).and_then(|n| self.word(n, "status", Status::WORDS));
        let origin = record.need("origin", self.problems).and_then(|n| self.word(n, "origin", Origin::WORDS));
        let source = record.take("source").and_then(|n| self.published(n));
        let level = record.take("level").and_then(|n| self.level(n));
        let date = record.take("date").and_then(|n| self.date(n));
        let story = record.need_text("story", self.problems).map(str::to_owned);
        let sheet = record.take("sheet").map(|n| sheet_of(self.rules, self.source, n, self.problems));
        let observations = record.need("seen", self.problems).map(|n| self.seen(n));
        let asked = record.texts("asked", self.problems).into_iter().map(|(t, _)| t.to_owned()).collect();
        // A settled case says what it was; an empty list says that it is none of the causes known here.
        let cause_node = match status {
            Some(Status::Closed) => record.need("cause", self.problems),
            _ => record.take("cause"),
        };
        let causes: Vec<CauseKey> = cause_node.map(|n| self.causes(n)).unwrap_or_default();
        let accepted = record.take("accepted").map(|n| self.causes(n)).unwrap_or_default();
        let what = record.take("what").map(|n| self.defects(n)).unwrap_or_default();
        let confidence =
            record.take("confidence").and_then(|n| self.word(n, "confidence", Confidence::WORDS));
        let proof = record.text("proof", self.problems).map(str::to_owned);
        let change = record.take("change").map(|n| self.remedies(n)).unwrap_or_default();
        let result = record.text("result", self.problems).map(str::to_owned);
        let lesson = record.text("lesson", self.problems).map(str::to_owned);
        let grade = record.take("grade").and_then(|n| self.word(n, "grade", Grade::WORDS));
        let scope = record.take("scope").and_then(|n| self.word(n, "scope", Scope::WORDS));
        record.finish(self.problems);
        Some(Case {
            id: id?,
            title: title?,
            status: status?,
            origin: origin?,
            source,
            level,
            date,
            story: story?,
            sheet: sheet.unwrap_or_else(Sheet::default),
            observations: observations?,
            asked,
            causes,
            accepted,
            what,
            confidence,
            proof,
            change,
            result,
            lesson,
            grade,
            scope: scope.unwrap_or(Scope::Inside),
        })
    }

    fn id(&mut self, stem: &str, node: &Node) -> Option<String> {
        let id = text_of(self.source, node, self.problems)?;
        let kebab = id.split('-').all(|part| {
            !part.is_empty() && part.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit())
        });
        if !kebab {
            self.problems.push(
                Diagnostic::error(Code::BadId, self.span(node), format!("`{id}` is no kebab-case id"))
                    .help("small letters, digits and single hyphens, such as heavy-signet-pores"),
            );
            return None;
        }
        if id != stem {
            self.problems.push(
                Diagnostic::error(Code::BadId, self.span(node), "the file's name and the id differ")
                    .label(format!("the file is called {stem}.yaml"))
                    .help("rename the one after the other"),
            );
        }
        Some(id.to_owned())
    }

    fn word<T: Copy>(&mut self, node: &Node, what: &str, words: &[(&str, T)]) -> Option<T> {
        let text = text_of(self.source, node, self.problems)?;
        let found = words.iter().find(|(w, _)| *w == text).map(|(_, v)| *v);
        if found.is_none() {
            let mut problem = Diagnostic::error(
                Code::BadChoice,
                self.span(node),
                format!("`{text}` is no {what} of a case"),
            );
            problem.help = nearest_help(text, words.iter().map(|(w, _)| *w));
            self.problems.push(problem);
        }
        found
    }

    fn published(&mut self, node: &Node) -> Option<CaseSource> {
        if matches!(node.value, Value::Scalar(_)) {
            return text_of(self.source, node, self.problems).map(|t| CaseSource::Text(t.to_owned()));
        }
        let mut record = Record::open(self.source, node, "source", self.problems)?;
        let key = record.need("source", self.problems);
        let at = record.need_text("at", self.problems).map(str::to_owned);
        record.finish(self.problems);
        let rules = self.rules;
        let known: Vec<&str> = rules.sources.iter().map(|s| s.id.as_str()).collect();
        let source = self.look_up(key?, "source", &known, |t| rules.find_source(t))?;
        Some(CaseSource::Listed { source, at: at? })
    }

    fn level(&mut self, node: &Node) -> Option<u8> {
        let text = text_of(self.source, node, self.problems)?;
        let level = text.parse::<u8>().ok().filter(|n| (1..=3).contains(n));
        if level.is_none() {
            self.problems.push(
                Diagnostic::error(Code::BadChoice, self.span(node), format!("`{text}` is no level"))
                    .help("allowed here: 1, 2, 3"),
            );
        }
        level
    }

    fn date(&mut self, node: &Node) -> Option<Date> {
        let text = text_of(self.source, node, self.problems)?;
        let date = text.parse::<Date>().ok();
        if date.is_none() {
            self.problems.push(
                Diagnostic::error(Code::BadQuantity, self.span(node), format!("`{text}` is no date"))
                    .help("write year-month-day, such as 2026-03-14"),
            );
        }
        date
    }

    /// What was seen; a finding may stand in one list only.
    fn seen(&mut self, node: &Node) -> Vec<Observation> {
        let mut found: Vec<Observation> = Vec::new();
        let Some(mut record) = Record::open(self.source, node, "list of what was seen", self.problems) else {
            return found;
        };
        let rules = self.rules;
        let defects: Vec<&str> = rules.defects.iter().map(|d| d.id.as_str()).collect();
        let signs: Vec<&str> = rules.signs.iter().map(|s| s.id.as_str()).collect();
        let both: Vec<&str> = defects.iter().chain(&signs).copied().collect();
        let defect = |t: &str| rules.find_defect(t).map(Finding::Defect);
        let sign = |t: &str| rules.find_sign(t).map(Finding::Sign);
        let either = |t: &str| defect(t).or_else(|| sign(t));
        type Lookup<'f> = &'f dyn Fn(&str) -> Option<Finding>;
        let lists: [(&'static str, &str, &[&str], Lookup<'_>, Sureness); 5] = [
            ("defects", "defect", &defects, &defect, Sureness::Seen),
            ("signs", "sign", &signs, &sign, Sureness::Seen),
            ("probably", "defect or sign", &both, &either, Sureness::Probably),
            ("absent", "defect or sign", &both, &either, Sureness::Absent),
            ("certain", "defect", &defects, &defect, Sureness::Certain),
        ];
        for (field, what, known, find, how) in lists {
            let Some(list) = record.take(field) else { continue };
            for item in crate::document::items(self.source, list, self.problems) {
                let Some(finding) = self.look_up(item, what, known, find) else { continue };
                if found.iter().any(|o| o.finding == finding) {
                    self.problems.push(
                        Diagnostic::error(
                            Code::Contradiction,
                            self.span(item),
                            "this finding stands here for the second time",
                        )
                        .help("keep it in the one list that fits best"),
                    );
                    continue;
                }
                found.push(Observation { finding, how });
            }
        }
        record.finish(self.problems);
        with_ruled_out(self.rules, found)
    }

    fn causes(&mut self, node: &Node) -> Vec<CauseKey> {
        let rules = self.rules;
        let known: Vec<&str> = rules.causes.iter().map(|c| c.id.as_str()).collect();
        self.ids(node, "cause", &known, |t| rules.find_cause(t))
    }

    fn defects(&mut self, node: &Node) -> Vec<crate::rules::DefectKey> {
        let rules = self.rules;
        let known: Vec<&str> = rules.defects.iter().map(|d| d.id.as_str()).collect();
        self.ids(node, "defect", &known, |t| rules.find_defect(t))
    }

    fn remedies(&mut self, node: &Node) -> Vec<crate::rules::RemedyKey> {
        let rules = self.rules;
        let known: Vec<&str> = rules.remedies.iter().map(|r| r.id.as_str()).collect();
        self.ids(node, "remedy", &known, |t| rules.find_remedy(t))
    }

    fn ids<T>(
        &mut self,
        node: &Node,
        what: &str,
        known: &[&str],
        find: impl Fn(&str) -> Option<T>,
    ) -> Vec<T> {
        crate::document::items(self.source, node, self.problems)
            .iter()
            .filter_map(|item| self.look_up(item, what, known, &find))
            .collect()
    }

    fn look_up<T>(
        &mut self,
        node: &Node,
        what: &str,
        known: &[&str],
        find: impl Fn(&str) -> Option<T>,
    ) -> Option<T> {
        let text = text_of(self.source, node, self.problems)?;
        let found = find(text);
        if found.is_none() {
            let mut problem =
                Diagnostic::error(Code::UnknownId, self.span(node), format!("there is no {what} `{text}`"));
            problem.help = nearest_help(text, known.iter().copied());
            self.problems.push(problem);
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::shipped as rules_shipped;
    use crate::sheet::{Field, catalogue};

    const GOOD: &str = "\
id: heavy-signet
title: A heavy signet full of pinholes
status: closed
origin: invented
level: 1
date: 2026-03-14
story: A heavy signet came out full of holes.
sheet:
  alloy: sterling-925
  flask: {temperature: 640 C}
seen:
  defects: [gas-porosity]
  signs: [pores-round-smooth]
  absent: [pores-at-gate-cut]
cause: [flask-too-hot]
confidence: confirmed
";

    fn cases(name: &str, text: &str) -> (Vec<Case>, String) {
        let rules = rules_shipped(&catalogue()).rules;
        let read = from_texts(&rules, "", vec![(name.to_owned(), text.as_bytes().to_vec())]);
        let shown = crate::document::render(&read.sources, &read.problems, crate::document::Excerpt::Plain);
        (read.cases, shown)
    }

    #[test]
    fn a_whole_case_is_read() {
        let (cases, problems) = cases("heavy-signet.yaml", GOOD);
        assert_eq!(problems, "");
        let case = &cases[0];
        assert_eq!(case.sheet.get(Field::FlaskTemperature), Some(640.0));
        // What a sign excludes may be added to what is written.
        assert!(case.observations.len() >= 3);
        assert_eq!(case.date.map(|d| d.to_string()), Some("2026-03-14".to_owned()));
        assert!(case.names(case.causes[0]));
    }

    #[test]
    fn every_slip_is_reported_at_its_place() {
        let text = GOOD
            .replace("[gas-porosity]", "[gas-porosty]")
            .replace("closed", "close")
            .replace("640 C", "6400 C")
            .replace("2026-03-14", "14 March")
            .replace("level: 1", "levle: 1")
            .replace("[flask-too-hot]", "[flask-to-hot]");
        let (cases, problems) = cases("heavy-signet.yaml", &text);
        assert!(cases.is_empty());
        for wanted in [
            "heavy-signet.yaml:3:9",
            "`gas-porosity`",
            "6400",
            "no date",
            "did you mean `level`",
            "did you mean `flask-too-hot`",
        ] {
            assert!(problems.contains(wanted), "{wanted} missing in:\n{problems}");
        }
    }

    #[test]
    fn rubbish_is_problems_and_never_a_panic() {
        for text in ["", "[]", "a", "id: x\nid: y", "seen: [1]", "\u{0}", "seen: {signs: {a: b}}"] {
            let (cases, problems) = cases("x.yaml", text);
            assert!(cases.is_empty() && !problems.is_empty(), "{text:?}");
        }
        let (_, problems) = cases("other.yaml", GOOD);
        assert!(problems.contains("the file is called other.yaml"), "{problems}");
    }

    #[test]
    fn a_finding_cannot_be_there_and_not() {
        let text = GOOD.replace("[pores-at-gate-cut]", "[pores-round-smooth]");
        let (cases, problems) = cases("heavy-signet.yaml", &text);
        assert!(cases.is_empty() && problems.contains("second time"), "{problems}");
    }
}
