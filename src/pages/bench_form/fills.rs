//! Choices that fill several fields: blockers that stand, readings that are questioned, values that may be accepted,
//! drops that can be withdrawn or corrected.

use crate::pages::JobView;
use crate::pages::bench_form::knows::Fill;
use crate::shop::{FactSet, Job};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// By the group of fields they fill, or by the kind where they fill its body.
pub(super) fn of(view: &JobView, set: &FactSet) -> BTreeMap<&'static str, Vec<Fill>> {
    BTreeMap::from([
        ("waiver", waivers(view)),
        ("confirm-reading", questions(view)),
        ("accept", not_proven(view)),
        ("corrects", drops(&view.job, set, "measurements")),
        ("withdrawal", drops(&view.job, set, "")),
    ])
}

fn waivers(view: &JobView) -> Vec<Fill> {
    let fill = |blocker: &crate::stages::Blocker| {
        let about = if blocker.about.is_empty() { "the whole engine" } else { &blocker.about };
        Fill {
            words: format!("{}, {about}: {}", blocker.stage.word(), blocker.what),
            values: json!({ "gate": blocker.stage.word(), "rule": blocker.rule.word(), "about": blocker.about }),
        }
    };
    view.standing.blockers.iter().map(fill).collect()
}

fn questions(view: &JobView) -> Vec<Fill> {
    let standing = view.judgement.questions.iter().filter(|question| question.stands);
    let fill = |question: &crate::judgement::Question| {
        let feature = view.job.feature(question.surface)?;
        let text = |list: &[String], index: usize| list.get(index).cloned().unwrap_or_default();
        Some(Fill {
            words: format!("{} {} by {}: {}", question.name, question.digits, question.who, question.why),
            values: json!({
                "drop": question.reading.fact.hex(),
                "feature": feature.key,
                "position": text(&feature.positions, question.surface.position),
                "station": feature.station_name(question.place.station),
                "direction": text(&feature.directions, question.place.direction),
            }),
        })
    };
    standing.filter_map(fill).collect()
}

/// Values that are beyond by number but not proven: a named person may accept them.
fn not_proven(view: &JobView) -> Vec<Fill> {
    let open = view.judgement.standing().filter(|verdict| verdict.is_beyond() && !verdict.is_proven_beyond());
    let fill = |verdict: &crate::judgement::Verdict| {
        let feature = view.job.feature(verdict.key.surface)?;
        let position = feature.positions.get(verdict.key.surface.position)?;
        Some(Fill {
            words: verdict.title(),
            values: json!({
                "feature": verdict.feature,
                "positions": [position],
                "characteristic": verdict.key.characteristic.word(),
            }),
        })
    };
    open.filter_map(fill).collect()
}

/// The job's drops that are not void, newest first; of one kind, or of any where it is empty.
fn drops(job: &Job, set: &FactSet, kind: &str) -> Vec<Fill> {
    let facts = set.in_order().into_iter().rev();
    let wanted = facts
        .filter(|fact| !job.withdrawn.contains(&fact.id) && (kind.is_empty() || fact.body.kind() == kind));
    let fill = |fact: &std::sync::Arc<crate::facts::Fact>| {
        let head = &fact.head;
        let words =
            format!("{} {} by {} ({})", fact.body.kind(), head.recorded.short(), head.who, fact.id.short());
        let values: Value = json!({ "drop": fact.id.hex() });
        Fill { words, values }
    };
    wanted.map(fill).collect()
}
