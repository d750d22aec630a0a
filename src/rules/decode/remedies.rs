//! Remedies and trade-offs.

use super::common::Reader;
use crate::document::{Code, Diagnostic, Node, Record};
use crate::rules::model::{Change, Kind, Move, Remedy, TradeOff, Way};
use crate::units::{Dimension, Seconds};

pub(super) fn remedy(r: &mut Reader<'_>, node: &Node) -> Option<Remedy> {
    let mut record = r.open(node, "remedy")?;
    let id = r.need(&mut record, "id");
    let title = r.need(&mut record, "title");
    let synonyms = r.texts(&mut record, "synonyms");
    let change = r.need(&mut record, "change");
    let moves = record.take("moves").and_then(|n| step(r, n));
    let effort = record.need("effort", r.problems).and_then(|n| r.quantity(n, Dimension::Duration));
    let kind = r.choice(&mut record, "kind", &Kind::WORDS);
    let basis = r.record_basis(&mut record);
    let of_links = r.links_basis(&mut record, basis.as_ref());
    let cures = r.links(&mut record, "cures", of_links.as_ref(), Reader::cause);
    let spoils = r.links(&mut record, "spoils", of_links.as_ref(), Reader::cause);
    let cautions =
        record.texts("cautions", r.problems).into_iter().filter_map(|(t, s)| r.caution_key(t, s)).collect();
    let condition = r.condition(&mut record);
    let because = r.need(&mut record, "because");
    record.finish(r.problems);
    Some(Remedy {
        id: id?,
        title: title?,
        synonyms,
        change: change?,
        moves,
        effort: Seconds::new(effort?),
        kind: kind?,
        cures,
        spoils,
        cautions,
        condition,
        because: because?,
        basis: basis?,
    })
}

fn step(r: &mut Reader<'_>, node: &Node) -> Option<Move> {
    let mut record = r.open(node, "move")?;
    let quantity = record.need("field", r.problems).and_then(|n| r.quantity_key(n));
    let (by, to) = (record.take("step"), record.take("to"));
    let (up, down) = (record.take("up-to"), record.take("down-to"));
    let (least, most) = (record.take("least"), record.take("most"));
    let head = record.head();
    record.finish(r.problems);
    let quantity = quantity?;
    let dimension = r.dimension(quantity);
    // A step of temperature is a difference: `-40 K`, and never `-40 C`.
    let difference = if dimension == Dimension::Temperature { Dimension::Span } else { dimension };
    let (change, way) = match (by, to, up, down) {
        (Some(n), None, None, None) => (Change::By(step_of(r, n, difference)?), Way::Either),
        (None, Some(n), None, None) => (Change::To(r.quantity(n, dimension)?), Way::Either),
        (None, None, Some(n), None) => (Change::To(r.quantity(n, dimension)?), Way::Up),
        (None, None, None, Some(n)) => (Change::To(r.quantity(n, dimension)?), Way::Down),
        _ => {
            r.problems.push(
                Diagnostic::error(
                    Code::WrongShape,
                    head,
                    "a move has one of `step`, `to`, `up-to`, `down-to`",
                )
                .help(
                    "write `step: -40 K` for a change by so much, `to: 540 C` for a change to a value, \
                     `up-to` or `down-to` when only the one way helps",
                ),
            );
            return None;
        }
    };
    let least = least.and_then(|n| r.quantity(n, dimension));
    let most = most.and_then(|n| r.quantity(n, dimension));
    Some(Move { quantity, change, way, least, most })
}

/// A signed step. A pressure's step may be negative, which a pressure may not.
fn step_of(r: &mut Reader<'_>, node: &Node, dimension: Dimension) -> Option<f64> {
    let dimension = if dimension == Dimension::Pressure { Dimension::OverPressure } else { dimension };
    r.quantity(node, dimension)
}

pub(super) fn trade_off(r: &mut Reader<'_>, node: &Node) -> Option<TradeOff> {
    let mut record = r.open(node, "trade-off")?;
    let id = r.need(&mut record, "id");
    let change = r.need(&mut record, "change");
    let remedy = record.need("remedy", r.problems).and_then(|n| {
        let text = r.scalar(n)?;
        let span = r.span(n);
        r.remedy_key(text, span)
    });
    let helps = defects(r, &mut record, "helps");
    let hurts = defects(r, &mut record, "hurts");
    let condition = r.condition(&mut record);
    let note = r.text(&mut record, "note");
    let basis = r.record_basis(&mut record);
    record.finish(r.problems);
    Some(TradeOff { id: id?, change: change?, remedy: remedy?, helps, hurts, condition, note, basis: basis? })
}

fn defects(
    r: &mut Reader<'_>,
    record: &mut Record<'_>,
    field: &'static str,
) -> Vec<crate::rules::keys::DefectKey> {
    record.texts(field, r.problems).into_iter().filter_map(|(t, s)| r.defect(t, s)).collect()
}
