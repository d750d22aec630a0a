//! `aftercast rules show`: everything about one record, with its neighbours and where it comes from.

use crate::casebook::learn::Counts;
use crate::casebook::{Sketch, sketch};
use crate::cli::casebook::shelf::Place;
use crate::cli::failure::{Failure, Outcome};
use crate::cli::output::Out;
use crate::cli::sketch::lay_out;
use crate::cli::style::{HEADING, paint};
use crate::cli::{Format, rule_base};
use crate::document::nearest;
use crate::rules::graph::{Edge, Rule, RuleGraph};
use crate::rules::{
    Alloy, AlloyKey, Base, Basis, CauseKey, CautionKey, Change, Condition, DefectKey, FactKey, Finding, Link,
    QuestionKey, RemedyKey, Reveals, RuleBase, SheetRule, SignKey, Strength, Way,
};
use crate::units::Dimension;
use serde::Serialize;
use std::path::Path;

const SCHEMA: u32 = 1;

/// Show everything about one cause, defect, sign, question, remedy, alloy or caution
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: aftercast rules show flask-too-hot")]
pub(in crate::cli) struct Arguments {
    /// Its id
    #[arg(value_name = "ID")]
    id: String,

    /// Leave out what the shop's closed cases say of a cause
    #[arg(long)]
    untuned: bool,

    /// How to print the answer
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Debug, Serialize)]
struct Answer {
    schema: u32,
    records: Vec<Record>,
}

/// One record of the rules in words.
#[derive(Debug, Serialize)]
struct Record {
    id: String,
    kind: &'static str,
    /// Group of a cause, class of a defect, family of an alloy, kind of a remedy.
    class: Option<String>,
    title: String,
    synonyms: Vec<String>,
    /// What a defect or a sign looks like, where its shape tells.
    sketch: Option<Sketch>,
    parts: Vec<Part>,
}

#[derive(Debug, Serialize)]
struct Part {
    name: String,
    lines: Vec<String>,
    /// The lines stand below the name and not behind it.
    #[serde(skip)]
    list: bool,
}

impl Record {
    fn print(&self, out: &mut Out) {
        let class = self.class.as_ref().map_or_else(String::new, |c| format!(", {c}"));
        out.line(paint(HEADING, &format!("{}: {}{class}", self.id, self.kind)));
        out.hang_whole("", &self.title);
        if !self.synonyms.is_empty() {
            out.hang_whole("  also called: ", &self.synonyms.join(", "));
        }
        if let Some(sketch) = &self.sketch {
            lay_out(sketch, "  ", out);
        }
        for part in &self.parts {
            let lead = if part.list {
                out.line(format!("  {}:", part.name));
                "    ".to_owned()
            } else {
                format!("  {}: ", part.name)
            };
            part.lines.iter().for_each(|line| out.hang_whole(&lead, line));
        }
    }
}

pub(super) fn run(
    arguments: &Arguments,
    folder: Option<&Path>,
    casebook: Option<&Path>,
    out: &mut Out,
) -> Result<Outcome, Failure> {
    let rules = rule_base::sound(folder)?;
    let id = arguments.id.as_str();
    let graph = RuleGraph::new(&rules);
    let counts = if arguments.untuned || rules.find_cause(id).is_none() {
        Counts::default()
    } else {
        Place::of(casebook).counts(&rules)?
    };
    let mut page = Page { rules: &rules, graph: &graph, counts, records: Vec::new() };
    // One id may stand for several kinds of record; all of them are shown.
    rules.find_cause(id).into_iter().for_each(|k| page.cause(k));
    rules.find_defect(id).into_iter().for_each(|k| page.defect(k));
    rules.find_sign(id).into_iter().for_each(|k| page.sign(k));
    rules.find_question(id).into_iter().for_each(|k| page.question(k));
    rules.find_remedy(id).into_iter().for_each(|k| page.remedy(k));
    rules.find_alloy(id).into_iter().for_each(|k| page.alloy(k));
    rules.find_caution(id).into_iter().for_each(|k| page.caution(k));
    let records = page.records;
    if records.is_empty() {
        return Err(unknown(&rules, id));
    }
    match arguments.format {
        Format::Json => out.json(&Answer { schema: SCHEMA, records })?,
        Format::Text => {
            for (at, record) in records.iter().enumerate() {
                if at > 0 {
                    out.gap();
                }
                record.print(out);
            }
        }
    }
    Ok(Outcome::Done)
}

/// Every id that can be shown.
fn ids(rules: &RuleBase) -> Vec<&str> {
    let mut all: Vec<&str> = rules.causes.iter().map(|r| r.id.as_str()).collect();
    all.extend(rules.defects.iter().map(|r| r.id.as_str()));
    all.extend(rules.signs.iter().map(|r| r.id.as_str()));
    all.extend(rules.questions.iter().map(|r| r.id.as_str()));
    all.extend(rules.remedies.iter().map(|r| r.id.as_str()));
    all.extend(rules.alloys.iter().map(|r| r.id.as_str()));
    all.extend(rules.cautions.iter().map(|r| r.id.as_str()));
    all
}

/// No record has this id.
pub(super) fn unknown(rules: &RuleBase, id: &str) -> Failure {
    let failure = Failure::usage(format!("no rule has the id `{}`", crate::document::visible(id)));
    match nearest(id, ids(rules)) {
        Some(near) => failure.with_help(format!("did you mean `{near}`?")),
        None => {
            failure.with_help("`aftercast rules graph` lists ids; `aftercast diagnose` takes plain words")
        }
    }
}

struct Page<'a> {
    rules: &'a RuleBase,
    graph: &'a RuleGraph,
    /// Of the shop's closed cases.
    counts: Counts,
    records: Vec<Record>,
}

impl Page<'_> {
    fn head(&mut self, id: &str, kind: &'static str, class: Option<&str>, title: &str, synonyms: &[String]) {
        let drawn = matches!(kind, "defect" | "sign");
        self.records.push(Record {
            sketch: drawn.then(|| sketch(self.rules, id)).flatten(),
            id: id.to_owned(),
            kind,
            class: class.map(str::to_owned),
            title: title.to_owned(),
            synonyms: synonyms.to_vec(),
            parts: Vec::new(),
        });
    }

    fn part(&mut self, name: &str, lines: Vec<String>, list: bool) {
        if let Some(record) = self.records.last_mut() {
            record.parts.push(Part { name: name.to_owned(), lines, list });
        }
    }

    fn text(&mut self, name: &str, text: &str) {
        self.part(name, vec![text.to_owned()], false);
    }

    fn maybe(&mut self, lead: &str, text: Option<&String>) {
        if let Some(text) = text {
            self.text(lead, text);
        }
    }

    fn basis(&mut self, basis: &Basis) {
        let words = basis.words(self.rules);
        self.text("basis", &words);
    }

    fn list(&mut self, name: &str, lines: Vec<String>) {
        if !lines.is_empty() {
            self.part(name, lines, true);
        }
    }

    /// Links of one record, strongest first.
    fn links<'l, T: Copy + 'l>(
        &mut self,
        lead: &str,
        links: impl IntoIterator<Item = &'l Link<T>>,
        name: impl Fn(T) -> String,
        own: &Basis,
    ) {
        let mut links: Vec<&Link<T>> = links.into_iter().collect();
        links.sort_by(|a, b| b.strength.value.total_cmp(&a.strength.value));
        let lines = links.into_iter().map(|l| self.link(&name(l.to), l, own)).collect();
        self.list(lead, lines);
    }

    fn link<T>(&self, name: &str, link: &Link<T>, own: &Basis) -> String {
        let mut line = format!("{name}: {}", strength(&link.strength));
        let condition = self.condition(&link.condition);
        if !condition.is_empty() {
            line.push_str(&format!(", {condition}"));
        }
        if link.basis != *own {
            line.push_str(&format!(" ({})", link.basis.words(self.rules)));
        }
        line
    }

    fn condition(&self, condition: &Condition) -> String {
        let part = |word: &str, (fact, values): &(FactKey, Vec<usize>)| {
            let fact = self.rules.fact(*fact);
            let values: Vec<&str> =
                values.iter().filter_map(|v| fact.values.get(*v)).map(|v| v.id.as_str()).collect();
            format!("{word} {} {}", fact.id, values.join(" or "))
        };
        let only = condition.only.iter().map(|c| part("only with", c));
        let unless = condition.unless.iter().map(|c| part("not with", c));
        only.chain(unless).collect::<Vec<_>>().join(", ")
    }

    fn base(&self, base: &Base) -> String {
        let mut text = strength(&base.default);
        for (family, value) in &base.by_family {
            text.push_str(&format!("; {} {}", self.rules.family(*family).id, strength(value)));
        }
        text
    }

    fn shift(&self, rule: &SheetRule, own: &Basis) -> String {
        let quantity = self.rules.quantity(rule.quantity);
        let knots: Vec<String> =
            rule.knots.iter().map(|(v, f)| format!("{} times {f}", quantity.dimension.show(*v))).collect();
        let basis =
            if rule.basis == *own { String::new() } else { format!(" ({})", rule.basis.words(self.rules)) };
        let when = self.condition(&rule.condition);
        let when = if when.is_empty() { when } else { format!(", {when}") };
        format!("by {} ({}): {}{when}{basis}", quantity.id, quantity.title, knots.join(", "))
    }

    fn neighbours(&self, rule: Rule, wanted: impl Fn(Edge) -> Option<f64>) -> Vec<String> {
        let mut found: Vec<(String, f64)> = self
            .graph
            .into(rule)
            .into_iter()
            .filter_map(|(from, edge)| Some((from.id(self.rules).to_owned(), wanted(edge)?)))
            .collect();
        found.sort_by(|a, b| b.1.total_cmp(&a.1));
        found.into_iter().map(|(id, s)| if s > 0.0 { format!("{id} {s}") } else { id }).collect()
    }

    fn into(&mut self, lead: &str, rule: Rule, wanted: impl Fn(Edge) -> Option<f64>) {
        let found = self.neighbours(rule, wanted);
        if !found.is_empty() {
            self.text(lead, &found.join(", "));
        }
    }

    fn cause(&mut self, key: CauseKey) {
        let rules = self.rules;
        let c = rules.cause(key);
        self.head(&c.id, "cause", Some(&c.group), &c.title, &c.synonyms);
        self.text("why", &c.because);
        self.maybe("check", c.check.as_ref());
        let base = self.base(&c.base);
        self.text("chance in any bad cast", &base);
        if let Some(words) = self.counts.words_of(rules, key) {
            self.text("in your casebook", &words);
        }
        if let Some(setting) = &c.setting {
            let others: Vec<&str> = rules
                .causes
                .iter()
                .filter(|o| o.setting.as_ref() == Some(setting) && o.id != c.id)
                .map(|o| o.id.as_str())
                .collect();
            self.text(&format!("one setting, {setting}, with"), &others.join(", "));
        }
        let mut shifts: Vec<String> = c.sheet.iter().map(|r| self.shift(r, &c.basis)).collect();
        shifts.extend(c.given.iter().map(|g| {
            let fact = rules.fact(g.fact);
            let values: Vec<String> = g
                .factors
                .iter()
                .filter_map(|(v, f)| Some(format!("{} times {f}", fact.values.get(*v)?.id)))
                .collect();
            format!("by {} ({}): {}", fact.id, fact.title, values.join(", "))
        }));
        self.list("odds shifted", shifts);
        self.links("produces", &c.produces, |d: DefectKey| rules.defect(d).id.clone(), &c.basis);
        self.links("shows by itself", &c.shows, |s: SignKey| rules.sign(s).id.clone(), &c.basis);
        self.into("cured by", Rule::Cause(key), |e| match e {
            Edge::Cures(s) => Some(s),
            _ => None,
        });
        self.into("brought in by", Rule::Cause(key), |e| match e {
            Edge::Spoils(s) => Some(s),
            _ => None,
        });
        self.basis(&c.basis);
    }

    fn defect(&mut self, key: DefectKey) {
        let rules = self.rules;
        let d = rules.defect(key);
        self.head(&d.id, "defect", Some(d.class.word()), &d.title, &d.synonyms);
        self.text("what", &d.what);
        self.maybe("where", d.place.as_ref());
        self.maybe("when", d.when.as_ref());
        self.text("chance without a cause listed", &strength(&d.leak));
        self.text("called so by who sees it", &strength(&d.named));
        if !d.condition.is_open() {
            self.text("can be", &self.condition(&d.condition));
        }
        let alikes = d
            .look_alikes
            .iter()
            .map(|a| format!("{}: {}. {}", rules.defect(a.defect).id, strength(&a.called_so), a.apart))
            .collect();
        self.list("others called so, how often, and how to tell them apart", alikes);
        self.into("produced by", Rule::Defect(key), |e| match e {
            Edge::Produces(s) => Some(s),
            _ => None,
        });
        self.links("shows as", &d.shows, |s: SignKey| rules.sign(s).id.clone(), &d.basis);
        self.implied(&d.implies);
        let helps: Vec<String> = rules
            .trade_offs
            .iter()
            .filter(|t| t.helps.contains(&key))
            .map(|t| format!("{} helps it and hurts {}", t.change, defects(rules, &t.hurts)))
            .chain(
                rules
                    .trade_offs
                    .iter()
                    .filter(|t| t.hurts.contains(&key))
                    .map(|t| format!("{} hurts it and helps {}", t.change, defects(rules, &t.helps))),
            )
            .collect();
        self.list("trade-offs", helps);
        self.basis(&d.basis);
    }

    fn implied(&mut self, implies: &[(FactKey, usize)]) {
        let words: Vec<String> = implies
            .iter()
            .map(|(fact, value)| {
                let fact = self.rules.fact(*fact);
                format!("{} {}", fact.id, fact.values.get(*value).map_or("", |v| v.id.as_str()))
            })
            .collect();
        if !words.is_empty() {
            self.text("implies", &words.join(", "));
        }
    }

    fn sign(&mut self, key: SignKey) {
        let rules = self.rules;
        let s = rules.sign(key);
        self.head(&s.id, "sign", None, &s.title, &s.synonyms);
        self.text("look", &s.look);
        self.text("reported for nothing", &strength(&s.leak));
        self.into("shown by", Rule::Sign(key), |e| match e {
            Edge::Shows(s) => Some(s),
            _ => None,
        });
        self.into("revealed by", Rule::Sign(key), |e| matches!(e, Edge::Reveals).then_some(0.0));
        let excluded: Vec<&str> = s.excludes.iter().map(|e| rules.sign(*e).id.as_str()).collect();
        if !excluded.is_empty() {
            self.text("never together with", &excluded.join(", "));
        }
        self.implied(&s.implies);
        self.basis(&s.basis);
    }

    fn question(&mut self, key: QuestionKey) {
        let rules = self.rules;
        let q = rules.question(key);
        self.head(&q.id, "question", None, &q.ask, &[]);
        self.text("look", &q.look);
        self.text("effort", &format!("{}, by {}", Dimension::Duration.show(q.effort.get()), q.by.word()));
        let needs: Vec<&str> = q
            .needs
            .iter()
            .map(|n| match n {
                Finding::Defect(d) => rules.defect(*d).id.as_str(),
                Finding::Sign(s) => rules.sign(*s).id.as_str(),
            })
            .collect();
        self.text(
            "asked when in play",
            &if needs.is_empty() { "always".to_owned() } else { needs.join(", ") },
        );
        let after: Vec<&str> = q.after.iter().map(|a| rules.question(*a).id.as_str()).collect();
        if !after.is_empty() {
            self.text("after", &after.join(", "));
        }
        let told: Vec<&str> = q.told_by.iter().map(|d| rules.defect(*d).id.as_str()).collect();
        if !told.is_empty() {
            self.text("told by", &told.join(", "));
        }
        match &q.reveals {
            Reveals::Signs { answers, many } => {
                let signs = |keys: &[SignKey]| {
                    keys.iter().map(|s| rules.sign(*s).id.as_str()).collect::<Vec<_>>().join(", ")
                };
                let lines = answers
                    .iter()
                    .map(|a| {
                        let mut line = a.say.clone();
                        if !a.present.is_empty() {
                            line.push_str(&format!(": there {}", signs(&a.present)));
                        }
                        if !a.absent.is_empty() {
                            let lead = if a.present.is_empty() { ":" } else { ";" };
                            line.push_str(&format!("{lead} not there {}", signs(&a.absent)));
                        }
                        line
                    })
                    .collect();
                self.list(if *many { "answers, several at once" } else { "answers" }, lines);
            }
            Reveals::Quantity(quantity) => {
                let quantity = rules.quantity(*quantity);
                self.text("fills in", &format!("{} ({})", quantity.id, quantity.title));
            }
            Reveals::Fact(fact) => {
                let fact = rules.fact(*fact);
                self.text("fills in", &format!("{} ({})", fact.id, fact.title));
            }
            Reveals::Alloy => self.text("fills in", "the alloy"),
        }
        self.basis(&q.basis);
    }

    fn remedy(&mut self, key: RemedyKey) {
        let rules = self.rules;
        let r = rules.remedy(key);
        self.head(&r.id, "remedy", Some(r.kind.word()), &r.title, &r.synonyms);
        self.text("change", &r.change);
        if let Some(moves) = &r.moves {
            let quantity = rules.quantity(moves.quantity);
            let d = quantity.dimension;
            let step = match moves.change {
                Change::By(by) => {
                    let size =
                        if d == Dimension::Temperature { Dimension::Span.show(by) } else { d.show(by) };
                    format!("by {size}")
                }
                Change::To(to) => {
                    let way = match moves.way {
                        Way::Either => "to",
                        Way::Up => "up to",
                        Way::Down => "down to",
                    };
                    format!("{way} {}", d.show(to))
                }
            };
            let least = moves.least.map_or_else(String::new, |v| format!(", not below {}", d.show(v)));
            let most = moves.most.map_or_else(String::new, |v| format!(", not above {}", d.show(v)));
            self.text("moves", &format!("{} {step}{least}{most}", quantity.id));
        }
        self.text("effort", &Dimension::Duration.show(r.effort.get()));
        self.links("cures", &r.cures, |c: CauseKey| rules.cause(c).id.clone(), &r.basis);
        self.links("may bring in", &r.spoils, |c: CauseKey| rules.cause(c).id.clone(), &r.basis);
        let condition = self.condition(&r.condition);
        if !condition.is_empty() {
            self.text("holds", &condition);
        }
        self.text("why", &r.because);
        let trades = rules
            .trade_offs
            .iter()
            .filter(|t| t.remedy == key)
            .map(|t| format!("helps {}, hurts {}", defects(rules, &t.helps), defects(rules, &t.hurts)))
            .collect();
        self.list("trade-offs", trades);
        for caution in &r.cautions {
            let c = rules.caution(*caution);
            self.text(&format!("caution, {}", c.id), &format!("{} {}", c.hazard, c.advice));
        }
        self.basis(&r.basis);
    }

    fn alloy(&mut self, key: AlloyKey) {
        let rules = self.rules;
        let a = rules.alloy(key);
        self.head(&a.id, "alloy", Some(&rules.family(a.family).id), &a.title, &a.synonyms);
        let shares: Vec<String> = crate::physics::Element::ALL
            .iter()
            .map(|e| (e.symbol(), a.composition.share(*e) * 100.0))
            .filter(|(_, percent)| *percent > 0.0)
            .map(|(symbol, percent)| format!("{symbol} {percent:.1} %"))
            .collect();
        self.text("composition", &shares.join(", "));
        let celsius = |t: crate::units::Celsius| Dimension::Temperature.show(t.get());
        self.figure(a, "solidus", celsius(a.solidus));
        self.figure(a, "liquidus", celsius(a.liquidus));
        if let Some(density) = a.density {
            self.figure(a, "density", Dimension::Density.show(density.get()));
        }
        for (field, windows) in [("melt", &a.melt), ("flask", &a.flask)] {
            let parts: Vec<String> = windows
                .iter()
                .map(|(s, w)| format!("{} {} to {}", s.word(), celsius(w.low), celsius(w.high)))
                .collect();
            if !parts.is_empty() {
                self.figure(a, field, parts.join(", "));
            }
        }
        for (fact, values) in [("binder", &a.binder), ("cover", &a.cover)] {
            let fact_values = rules.find_fact(fact).map(|f| &rules.fact(f).values);
            let words: Vec<&str> =
                values.iter().filter_map(|v| Some(fact_values?.get(*v)?.id.as_str())).collect();
            if !words.is_empty() {
                self.figure(a, fact, words.join(", "));
            }
        }
        if let Some(limit) = a.revert_limit {
            self.figure(a, "revert-limit", Dimension::Share.show(limit));
        }
        if let Some((from, to)) = a.quench_after {
            let show = |s: crate::units::Seconds| Dimension::Duration.show(s.get());
            self.figure(a, "quench-after", format!("{} to {}", show(from), show(to)));
        }
        self.maybe("notes", a.notes.as_ref());
        self.basis(&a.basis);
    }

    fn figure(&mut self, alloy: &Alloy, field: &str, value: String) {
        let basis = alloy.basis_of(field);
        let basis =
            if *basis == alloy.basis { String::new() } else { format!(" ({})", basis.words(self.rules)) };
        self.text(field, &format!("{value}{basis}"));
    }

    fn caution(&mut self, key: CautionKey) {
        let rules = self.rules;
        let c = rules.caution(key);
        self.head(&c.id, "caution", None, &format!("When {}", c.operation), &[]);
        self.text("hazard", &c.hazard);
        self.text("advice", &c.advice);
        let remedies: Vec<&str> =
            rules.remedies.iter().filter(|r| r.cautions.contains(&key)).map(|r| r.id.as_str()).collect();
        if !remedies.is_empty() {
            self.text("named by", &remedies.join(", "));
        }
        self.basis(&c.basis);
    }
}

fn defects(rules: &RuleBase, keys: &[DefectKey]) -> String {
    keys.iter().map(|d| rules.defect(*d).id.as_str()).collect::<Vec<_>>().join(", ")
}

fn strength(strength: &Strength) -> String {
    match &strength.word {
        Some(word) => format!("{word} ({})", strength.value),
        None => strength.value.to_string(),
    }
}
