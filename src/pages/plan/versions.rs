//! Every version of what was agreed, kept: when, by whom, what, whether it stands, and what a later one changed.

use crate::facts::{Body, Decision, Digest};
use crate::pages::JobView;
use crate::pages::plan::lines::sentence;
use crate::pages::section::{Section, Table};
use crate::pages::sections::unit_of;
use crate::planning::Deed;
use crate::shop::{Piece, SurfaceKey};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// One drop that agreed to work.
struct Version {
    fact: Digest,
    by: String,
    written: String,
    option: String,
    pieces: Vec<Piece>,
    stands: &'static str,
    /// Against what was agreed before.
    changed: Vec<String>,
}

/// Something was agreed once.
pub(super) fn is_any(view: &JobView) -> bool {
    let agrees = |body: &Body| matches!(body, Body::Decision(Decision::AgreedWork(_)));
    view.job.statements().iter().any(|fact| agrees(&fact.body))
}

fn all(view: &JobView) -> Vec<Version> {
    let job = &view.job;
    let mut before: BTreeMap<SurfaceKey, Piece> = BTreeMap::new();
    let mut versions = Vec::new();
    for fact in job.statements() {
        let Body::Decision(Decision::AgreedWork(agreed)) = &fact.body else { continue };
        let pieces = job.pieces_agreed(fact.id);
        let same_as_before = |piece: &&Piece| before.get(&piece.surface).is_some_and(|was| was != *piece);
        let changes = pieces.iter().filter(same_as_before);
        let changes: Vec<(Piece, Piece)> =
            changes.filter_map(|piece| Some((before.get(&piece.surface)?.clone(), piece.clone()))).collect();
        versions.push(Version {
            fact: fact.id,
            by: agreed.agreed_by.clone(),
            written: fact.head.recorded.short(),
            option: agreed.option.clone(),
            stands: stands(view, fact.id),
            changed: told(view, &changes),
            pieces: pieces.clone(),
        });
        before.extend(pieces.into_iter().map(|piece| (piece.surface, piece)));
    }
    versions
}

fn stands(view: &JobView, fact: Digest) -> &'static str {
    if !view.job.agreed.values().any(|agreed| agreed.fact == fact) {
        return "a later one took its place";
    }
    let reopened = view.standing.statements.iter().any(|now| now.fact == fact && !now.stands());
    if reopened { "open again: what it rests on has changed" } else { "stands" }
}

/// `grind crankpin 1, 2 to 0.010 under`: what is the same on several places once.
fn in_words(view: &JobView, pieces: &[Piece]) -> Vec<String> {
    let mut same: BTreeMap<(usize, &str, String), Vec<SurfaceKey>> = BTreeMap::new();
    for piece in pieces {
        let key = (piece.surface.feature, piece.operation.as_str(), to(view, piece));
        same.entry(key).or_default().push(piece.surface);
    }
    let words =
        same.iter().map(|((_, operation, to), keys)| format!("{operation} {}{to}", places(view, keys)));
    words.collect()
}

fn to(view: &JobView, piece: &Piece) -> String {
    let unit = unit_of(&view.job);
    piece.finished.map_or_else(String::new, |size| format!(" to {}", size.show(unit)))
}

fn places(view: &JobView, keys: &[SurfaceKey]) -> String {
    let feature = keys.first().and_then(|key| view.job.feature(*key));
    let Some(feature) = feature else { return String::new() };
    if keys.len() == feature.positions.len() {
        return if keys.len() == 1 { feature.key.clone() } else { format!("every {}", feature.key) };
    }
    let positions = keys.iter().filter_map(|key| feature.positions.get(key.position));
    format!("{} {}", feature.key, positions.map(String::as_str).collect::<Vec<_>>().join(", "))
}

/// What was and what is, once where it is the same on several places.
fn told(view: &JobView, changes: &[(Piece, Piece)]) -> Vec<String> {
    let mut same: BTreeMap<(usize, String, String), Vec<SurfaceKey>> = BTreeMap::new();
    for (was, is) in changes {
        let words = |piece: &Piece| format!("{}{}", piece.operation, to(view, piece));
        same.entry((is.surface.feature, words(was), words(is))).or_default().push(is.surface);
    }
    let words =
        same.iter().map(|((_, was, is), keys)| format!("{}: was {was}, now {is}", places(view, keys)));
    words.collect()
}

/// Where agreed work does not stand any more: what would be done now.
fn against_today(view: &JobView) -> Vec<String> {
    let first = view.proposal().and_then(|proposal| proposal.alternatives.first());
    let Some(first) = first else { return Vec::new() };
    let gone = view.job.agreed.iter().filter(|(key, agreed)| {
        stands(view, agreed.fact) != "stands" && view.job.awaited_work(**key).is_some()
    });
    let proposed = |key: SurfaceKey| {
        first.lines.iter().find_map(|line| {
            let Deed::Work { surface, operation, to, .. } = &line.deed else { return None };
            let piece = || Piece { surface: key, operation: operation.clone(), finished: *to };
            (*surface == key).then(piece)
        })
    };
    let mut changes = Vec::new();
    let mut none = Vec::new();
    for (key, agreed) in gone {
        let was = Piece { surface: *key, operation: agreed.operation.clone(), finished: agreed.finished };
        match proposed(*key) {
            Some(is) if is != was => changes.push((was, is)),
            Some(_) => {}
            None => none.push(was),
        }
    }
    let mut words = told(view, &changes);
    words.extend(
        in_words(view, &none).into_iter().map(|was| format!("{was}: was agreed, and is not proposed now")),
    );
    words
}

/// As a section; empty where nothing was ever agreed.
pub(super) fn section(view: &JobView) -> Section {
    let mut section = Section::new("versions", "What was agreed, and when");
    let versions = all(view);
    if versions.is_empty() {
        return section;
    }
    let mut table = Table::of("Versions", &["Recorded", "By", "Option", "Work", "Changed", "Now"]);
    for version in &versions {
        table.row(vec![
            version.written.as_str().into(),
            version.by.as_str().into(),
            version.option.as_str().into(),
            in_words(view, &version.pieces).join("\n").into(),
            version.changed.join("\n").into(),
            version.stands.into(),
        ]);
    }
    section.table(table);
    for words in against_today(view) {
        section.line(sentence(&words));
    }
    section
}

/// The same for programs.
pub(super) fn json(view: &JobView) -> Vec<Value> {
    let versions = all(view);
    let one = |version: &Version| {
        json!({"drop": version.fact.hex(), "recorded": version.written, "by": version.by, "option": version.option,
            "work": in_words(view, &version.pieces), "changed": version.changed, "now": version.stands})
    };
    versions.iter().map(one).collect()
}
