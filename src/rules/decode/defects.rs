//! Defects and the signs they show.

use super::common::Reader;
use crate::document::Node;
use crate::rules::model::{Class, Defect, LookAlike, Sign};

/// How often a caster who has a defect calls it by its name, unless the record says otherwise.
const NAMED: f64 = 0.75;

pub(super) fn defect(r: &mut Reader<'_>, node: &Node) -> Option<Defect> {
    let mut record = r.open(node, "defect")?;
    let id = r.need(&mut record, "id");
    let title = r.need(&mut record, "title");
    let class = r.choice(&mut record, "class", &Class::WORDS);
    let synonyms = r.texts(&mut record, "synonyms");
    let leak = r.strength_field(&mut record, "leak", None);
    let named = r.strength_field(&mut record, "named", Some(NAMED));
    let what = r.need(&mut record, "what");
    let place = r.text(&mut record, "where");
    let when = r.text(&mut record, "when");
    let basis = r.record_basis(&mut record);
    let of_links = r.links_basis(&mut record, basis.as_ref());
    let alike = record.take("look-alikes");
    let look_alikes = alike.map_or(&[][..], |n| r.list(n)).iter().filter_map(|n| look_alike(r, n)).collect();
    let shows = r.links(&mut record, "shows", of_links.as_ref(), Reader::sign);
    let implies = r.implies(&mut record);
    let condition = r.condition(&mut record);
    record.finish(r.problems);
    Some(Defect {
        id: id?,
        title: title?,
        class: class?,
        synonyms,
        leak: leak?,
        named: named?,
        what: what?,
        place,
        when,
        look_alikes,
        shows,
        implies,
        condition,
        basis: basis?,
    })
}

fn look_alike(r: &mut Reader<'_>, node: &Node) -> Option<LookAlike> {
    let mut record = r.open(node, "look-alike")?;
    let defect = record.need("defect", r.problems).and_then(|n| {
        let text = r.scalar(n)?;
        let span = r.span(n);
        r.defect(text, span)
    });
    let called_so = r.strength_field(&mut record, "called-so", None);
    let apart = r.need(&mut record, "apart");
    record.finish(r.problems);
    Some(LookAlike { defect: defect?, called_so: called_so?, apart: apart? })
}

pub(super) fn sign(r: &mut Reader<'_>, node: &Node) -> Option<Sign> {
    let mut record = r.open(node, "sign")?;
    let id = r.need(&mut record, "id");
    let title = r.need(&mut record, "title");
    let synonyms = r.texts(&mut record, "synonyms");
    let look = r.need(&mut record, "look");
    let leak = r.strength_field(&mut record, "leak", None);
    let excludes =
        record.texts("excludes", r.problems).into_iter().filter_map(|(t, span)| r.sign(t, span)).collect();
    let implies = r.implies(&mut record);
    let basis = r.record_basis(&mut record);
    record.finish(r.problems);
    Some(Sign {
        id: id?,
        title: title?,
        synonyms,
        look: look?,
        leak: leak?,
        excludes,
        implies,
        basis: basis?,
    })
}
