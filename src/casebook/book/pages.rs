//! What stands on each page.

use super::{BookError, drawing};
use crate::advice::findings::lower_first;
use crate::casebook::case::{Case, Status};
use crate::casebook::words::{origin, sheet_words};
use crate::document::visible;
use crate::rules::{Basis, Class, Condition, FactKey, Link, RuleBase, Strength};
use crate::units::Dimension;
use minijinja::{Environment, Value, context};
use serde::Serialize;

/// A link to another page.
#[derive(Debug, Clone)]
struct To {
    id: String,
    title: String,
    strength: String,
    note: String,
}

impl From<To> for Value {
    fn from(to: To) -> Self {
        context! { id => to.id, title => to.title, strength => to.strength, note => to.note }
    }
}

fn to(id: &str, title: &str) -> To {
    To { id: id.to_owned(), title: title.to_owned(), strength: String::new(), note: String::new() }
}

/// One page for the search.
#[derive(Debug, Serialize)]
struct Found {
    file: String,
    kind: &'static str,
    title: String,
    text: String,
}

/// Classes in the order of the book.
const CLASSES: [(Class, &str); 7] = [
    (Class::Cavity, "Holes"),
    (Class::Incomplete, "Metal missing"),
    (Class::Projection, "Metal too much"),
    (Class::Discontinuity, "Cracks and breaks"),
    (Class::Surface, "Skin and colour"),
    (Class::Inclusion, "Foreign matter and patches"),
    (Class::Shape, "Shape and size"),
];

fn strength(strength: &Strength) -> String {
    match &strength.word {
        Some(word) => word.replace('-', " "),
        None => format!("{:.0} in 100", strength.value * 100.0),
    }
}

/// How strong a link is and when it holds, in words.
fn force<T>(rules: &RuleBase, link: &Link<T>) -> String {
    let condition = when(rules, &link.condition);
    let gap = if condition.is_empty() { "" } else { "; " };
    format!("{}{gap}{condition}", strength(&link.strength))
}

fn when(rules: &RuleBase, condition: &Condition) -> String {
    let part = |word: &str, (fact, values): &(FactKey, Vec<usize>)| {
        let fact = rules.fact(*fact);
        let values: Vec<String> =
            values.iter().filter_map(|v| fact.values.get(*v)).map(|v| lower_first(&v.title)).collect();
        format!("{word} {}: {}", lower_first(&fact.title), values.join(", "))
    };
    let only = condition.only.iter().map(|c| part("only with", c));
    let unless = condition.unless.iter().map(|c| part("not with", c));
    only.chain(unless).collect::<Vec<_>>().join("; ")
}

fn basis(rules: &RuleBase, basis: &Basis) -> String {
    match basis {
        Basis::CommonPractice => "common practice".to_owned(),
        Basis::Memory => "memory".to_owned(),
        Basis::Published { source, at } => {
            let s = rules.source(*source);
            let who = s.author.as_deref().map_or_else(String::new, |a| format!("{a}, "));
            format!("{who}{} ({at})", s.title)
        }
    }
}

/// All pages with the search data: name and text.
pub(super) fn all(
    rules: &RuleBase,
    cases: &[&Case],
    environment: &Environment<'_>,
) -> Result<Vec<(String, String)>, BookError> {
    let mut book = Book { rules, cases, environment, files: Vec::new(), found: Vec::new() };
    book.defects()?;
    book.causes()?;
    book.lists()?;
    book.cases()?;
    // Text that ends the script or a line of it would end the page's script.
    let data = serde_json::to_string(&book.found)?
        .replace('<', "\\u003c")
        .replace('\u{2028}', "\\u2028")
        .replace('\u{2029}', "\\u2029");
    book.files.push((super::MARK.to_owned(), format!("var PAGES = {data};\n")));
    Ok(book.files)
}

struct Book<'a> {
    rules: &'a RuleBase,
    cases: &'a [&'a Case],
    environment: &'a Environment<'a>,
    files: Vec<(String, String)>,
    found: Vec<Found>,
}

impl Book<'_> {
    fn page(&mut self, template: &str, file: String, values: Value) -> Result<(), BookError> {
        let text = self.environment.get_template(template)?.render(values)?;
        self.files.push((file, text));
        Ok(())
    }

    fn find(&mut self, file: &str, kind: &'static str, title: &str, text: &[&str]) {
        let plain: String = text
            .join(" ")
            .to_lowercase()
            .chars()
            .map(|c| if c.is_alphanumeric() { c } else { ' ' })
            .collect();
        let words: Vec<&str> = plain.split_whitespace().collect();
        self.found.push(Found { file: file.to_owned(), kind, title: visible(title), text: words.join(" ") });
    }

    fn defects(&mut self) -> Result<(), BookError> {
        let rules = self.rules;
        for key in rules.defect_keys() {
            let defect = rules.defect(key);
            let alike: Vec<Value> = defect
                .look_alikes
                .iter()
                .filter(|a| a.defect != key)
                .map(|a| {
                    let other = rules.defect(a.defect);
                    context! { id => other.id.clone(), title => other.title.clone(), apart => a.apart.clone(),
                    drawing => drawing(&other.id).unwrap_or_default() }
                })
                .collect();
            let mut shows: Vec<&Link<crate::rules::SignKey>> = defect.shows.iter().collect();
            shows.sort_by(|a, b| b.strength.value.total_cmp(&a.strength.value));
            let signs: Vec<Value> = shows
                .iter()
                .map(|l| {
                    let sign = rules.sign(l.to);
                    context! { id => sign.id.clone(), title => sign.title.clone(), look => sign.look.clone(),
                    strength => force(rules, l) }
                })
                .collect();
            let mut causes: Vec<(f64, To)> = Vec::new();
            for cause in &rules.causes {
                for link in cause.produces.iter().filter(|l| l.to == key) {
                    let to = To { strength: force(rules, link), ..to(&cause.id, &cause.title) };
                    causes.push((link.strength.value, to));
                }
            }
            causes.sort_by(|a, b| b.0.total_cmp(&a.0));
            let causes: Vec<To> = causes.into_iter().map(|(_, t)| t).collect();
            let cases: Vec<To> =
                self.cases.iter().filter(|c| c.what.contains(&key)).map(|c| to(&c.id, &c.title)).collect();
            let file = format!("defect-{}.html", defect.id);
            let synonyms = defect.synonyms.join(", ");
            self.find(&file, "defect", &defect.title, &[&defect.what, &synonyms, &defect.id]);
            let values = context! {
                title => defect.title.clone(), drawing => drawing(&defect.id).unwrap_or_default(), what => defect.what.clone(),
                where => defect.place.clone().unwrap_or_else(|| "not told".to_owned()),
                when => defect.when.clone().unwrap_or_else(|| "not told".to_owned()),
                synonyms, alike, signs, causes, cases
            };
            self.page("defect.html", file, values)?;
        }
        let groups: Vec<Value> = CLASSES
            .iter()
            .map(|(class, title)| {
                let defects: Vec<Value> = rules
                    .defects
                    .iter()
                    .filter(|d| d.class == *class)
                    .map(|d| {
                        context! { id => d.id.clone(), title => d.title.clone(), drawing => drawing(&d.id).unwrap_or_default() }
                    })
                    .collect();
                context! { title => *title, defects }
            })
            .collect();
        self.page("index.html", "index.html".to_owned(), context! { title => "Casting defects", groups })
    }

    fn causes(&mut self) -> Result<(), BookError> {
        let rules = self.rules;
        for key in rules.cause_keys() {
            let cause = rules.cause(key);
            let mut produces: Vec<&Link<crate::rules::DefectKey>> = cause.produces.iter().collect();
            produces.sort_by(|a, b| b.strength.value.total_cmp(&a.strength.value));
            let defects: Vec<To> = produces
                .iter()
                .map(|l| {
                    let defect = rules.defect(l.to);
                    To { strength: force(rules, l), ..to(&defect.id, &defect.title) }
                })
                .collect();
            let mut helps: Vec<(f64, To)> = Vec::new();
            for remedy in &rules.remedies {
                for link in remedy.cures.iter().filter(|l| l.to == key) {
                    let to = To { strength: force(rules, link), ..to(&remedy.id, &remedy.title) };
                    helps.push((link.strength.value, to));
                }
            }
            helps.sort_by(|a, b| b.0.total_cmp(&a.0));
            let remedies: Vec<To> = helps.into_iter().map(|(_, t)| t).collect();
            let cases: Vec<To> =
                self.cases.iter().filter(|c| c.causes.contains(&key)).map(|c| to(&c.id, &c.title)).collect();
            let file = format!("cause-{}.html", cause.id);
            let synonyms = cause.synonyms.join(" ");
            self.find(&file, "cause", &cause.title, &[&cause.because, &synonyms, &cause.id]);
            let values = context! {
                title => cause.title.clone(), because => cause.because.clone(),
                check => cause.check.clone().unwrap_or_else(|| "not told".to_owned()),
                basis => basis(rules, &cause.basis), defects, remedies, cases
            };
            self.page("cause.html", file, values)?;
        }
        let causes: Vec<To> = rules.causes.iter().map(|c| to(&c.id, &c.title)).collect();
        self.page("causes.html", "causes.html".to_owned(), context! { title => "Causes", causes })
    }

    fn lists(&mut self) -> Result<(), BookError> {
        let rules = self.rules;
        let mut signs: Vec<Value> = Vec::new();
        for key in rules.sign_keys() {
            let sign = rules.sign(key);
            let shown = |d: &&crate::rules::Defect| d.shows.iter().any(|l| l.to == key);
            let defects: Vec<To> = rules.defects.iter().filter(shown).map(|d| to(&d.id, &d.title)).collect();
            self.find(&format!("signs.html#{}", sign.id), "sign", &sign.title, &[&sign.look, &sign.id]);
            signs.push(context! { id => sign.id.clone(), title => sign.title.clone(), look => sign.look.clone(), defects });
        }
        self.page("signs.html", "signs.html".to_owned(), context! { title => "Signs", signs })?;
        let mut remedies: Vec<Value> = Vec::new();
        for remedy in &rules.remedies {
            let causes = |links: &[Link<crate::rules::CauseKey>]| -> Vec<To> {
                links.iter().map(|l| to(&rules.cause(l.to).id, &rules.cause(l.to).title)).collect()
            };
            let cautions: Vec<String> = remedy
                .cautions
                .iter()
                .map(|c| {
                    let c = rules.caution(*c);
                    format!("{}: {}", c.hazard.trim_end_matches('.'), c.advice)
                })
                .collect();
            let file = format!("remedies.html#{}", remedy.id);
            self.find(&file, "remedy", &remedy.title, &[&remedy.change, &remedy.because, &remedy.id]);
            remedies.push(context! {
                id => remedy.id.clone(), title => remedy.title.clone(), change => remedy.change.clone(), because => remedy.because.clone(),
                effort => Dimension::Duration.show(remedy.effort.get()),
                cures => causes(&remedy.cures), spoils => causes(&remedy.spoils), cautions
            });
        }
        self.page("remedies.html", "remedies.html".to_owned(), context! { title => "Remedies", remedies })?;
        let cautions: Vec<Value> = rules
            .cautions
            .iter()
            .map(|c| {
                context! { id => c.id.clone(), operation => c.operation.clone(), hazard => c.hazard.clone(), advice => c.advice.clone(),
                basis => basis(rules, &c.basis) }
            })
            .collect();
        self.page("cautions.html", "cautions.html".to_owned(), context! { title => "Cautions", cautions })
    }

    fn cases(&mut self) -> Result<(), BookError> {
        let rules = self.rules;
        for case in self.cases {
            let file = format!("case-{}.html", case.id);
            self.find(&file, "case", &case.title, &[&case.story, &case.id]);
            let links = |ids: Vec<(&String, &String)>| -> Vec<To> {
                ids.into_iter().map(|(id, title)| to(id, title)).collect()
            };
            let what = case.what.iter().map(|d| (&rules.defect(*d).id, &rules.defect(*d).title)).collect();
            let causes = case.causes.iter().map(|c| (&rules.cause(*c).id, &rules.cause(*c).title)).collect();
            let change =
                case.change.iter().map(|r| (&rules.remedy(*r).id, &rules.remedy(*r).title)).collect();
            let seen: Vec<String> = case.observations.iter().map(|o| o.words(rules)).collect();
            let values = context! {
                title => case.title.clone(), origin => origin(rules, case), story => case.story.clone(),
                sheet => sheet_words(rules, &case.sheet).join("; "), seen, asked => case.asked.clone(),
                what => links(what), causes => links(causes), change => links(change),
                confidence => case.confidence.map(crate::casebook::Confidence::word),
                proof => case.proof.clone(), result => case.result.clone(), lesson => case.lesson.clone()
            };
            self.page("case.html", file, values)?;
        }
        let cases: Vec<To> = self
            .cases
            .iter()
            .map(|c| {
                let level = c.level.map_or_else(String::new, |l| format!("level {l}, "));
                let open = if c.status == Status::Open { "open, " } else { "" };
                To { note: format!("{level}{open}{}", c.origin.word()), ..to(&c.id, &c.title) }
            })
            .collect();
        self.page("cases.html", "cases.html".to_owned(), context! { title => "Cases", cases })
    }
}
