//! Single-use bolts that were used again: at assembly, or under what was measured.

use crate::facts::{BoltState, Digest, PieceState, Role};
use crate::notices::items::AlertItem;
use crate::pages::JobView;
use crate::sheets::{Fasteners, fold_name};
use std::collections::BTreeSet;

pub(super) fn items(view: &JobView) -> Vec<AlertItem> {
    let Some(sheet) = view.job.sheet.as_ref() else { return Vec::new() };
    let groups = sheet.fasteners.iter().filter(|group| group.single_use);
    groups.flat_map(|group| [at_assembly(view, group), measured_under(view, group)]).flatten().collect()
}

/// Old ones are in the engine again: the joint says so, or the bag does.
fn at_assembly(view: &JobView, group: &Fasteners) -> Option<AlertItem> {
    let key = fold_name(&group.group);
    let used = view.job.joints.get(&key).and_then(|joint| joint.used(group));
    let tightened = used.as_ref().map(|(entry, _)| &entry.said);
    let places: Vec<&str> =
        used.iter().flat_map(|(_, places)| places).copied().filter(|place| !place.is_empty()).collect();
    let at = if places.is_empty() { String::new() } else { format!(" at {}", places.join(", ")) };
    let counted = view.job.bags.get(&key).and_then(|bag| {
        let used =
            bag.counts.iter().filter(|((_, state), count)| *state == PieceState::Used && count.count > 0);
        used.map(|(_, count)| &count.said).max_by_key(|said| said.at)
    });
    let said = tightened.or(counted)?;
    let rests_on = [tightened, counted].map(|said| said.map_or_else(String::new, |said| said.fact.hex()));
    Some(AlertItem {
        key: format!("bolts/{}", group.group),
        evidence: Digest::of(rests_on.join("|").as_bytes()),
        role: Role::Owner,
        heading: "Single-use bolts used again",
        headline: format!("{} used again", group.name),
        first: format!(
            "{} {}: single use by the sheet, and recorded as used again{at}",
            group.group, group.name
        ),
        lines: vec![
            format!("recorded by {}", said.words()),
            "tightened once they are longer for good, and their clamp is not known".to_owned(),
            "next: let the joint go there, fit new ones, tighten all stages again, and say with that that the used ones are \
             out (\"slackened\"); never check such a joint with a wrench"
                .to_owned(),
        ],
        corrected: false,
        waits: true,
        cautions: Vec::new(),
    })
}

/// Readings of what the group clamps, taken with the old ones, in the condition that stands.
fn measured_under(view: &JobView, group: &Fasteners) -> Option<AlertItem> {
    let mut facts = BTreeSet::new();
    let mut names = Vec::new();
    for (key, surface) in view.job.surfaces.iter().filter(|(key, _)| group.clamps.contains(&key.feature)) {
        let readings = surface.sets.values().flat_map(|set| set.readings.values().flatten());
        let old: Vec<_> = readings.filter(|reading| reading.bolts == Some(BoltState::Old)).collect();
        if !old.is_empty() {
            names.push(view.job.surface_name(*key));
            facts.extend(old.iter().map(|reading| reading.fact.hex()));
        }
    }
    let first = names.first()?;
    let more = if names.len() > 1 { format!(" and {} more", names.len() - 1) } else { String::new() };
    let rests_on: Vec<String> = facts.into_iter().collect();
    Some(AlertItem {
        key: format!("bolts measured/{}", group.group),
        evidence: Digest::of(rests_on.join("|").as_bytes()),
        role: Role::Bench,
        heading: "Measured with old single-use bolts",
        headline: format!("{first}{more} measured with old bolts"),
        first: format!("{first}{more}: measured with the old {}, which are single use", group.name),
        lines: vec![
            "a housing is round only under the bolts that will hold it".to_owned(),
            "next: measure again with the new ones, or have the owner accept these readings".to_owned(),
        ],
        corrected: false,
        waits: true,
        cautions: Vec::new(),
    })
}
