//! The last tightening of each stage at each place of a joint: what speaks for it as it is now.

use crate::sheets::{Fasteners, fold_name};
use crate::shop::{Job, Joint, Tightened};
use std::collections::BTreeSet;

/// Fastener groups in scope with their joint, where anything was tightened.
pub(super) fn joints(job: &Job) -> impl Iterator<Item = (&Fasteners, Option<&Joint>)> {
    let groups = job.sheet.as_deref().map_or(&[][..], |sheet| sheet.fasteners.as_slice());
    let asked = groups.iter().filter(|group| job.concerns(&group.scopes));
    asked.map(|group| (group, job.joints.get(&fold_name(&group.group))))
}

/// The entries that speak for a joint as it is now, each with the places it speaks for; all places where a group names
/// none.
pub(super) fn standing<'a>(
    group: &'a Fasteners,
    joint: &'a Joint,
) -> Vec<(&'a Tightened, BTreeSet<&'a str>)> {
    let places = group.bolt_places();
    let mut found: Vec<(&Tightened, BTreeSet<&str>)> = Vec::new();
    for place in &places {
        for entry in joint.by_stage(group, place).into_iter().flatten() {
            match found.iter_mut().find(|(known, _)| std::ptr::eq(*known, entry)) {
                Some((_, places)) => {
                    places.insert(place);
                }
                None => found.push((entry, BTreeSet::from([*place]))),
            }
        }
    }
    found
}

/// The entries whose tightening is in the joint still, each with the places where it was not let go since.
pub(super) fn in_place<'a>(
    group: &'a Fasteners,
    joint: &'a Joint,
) -> impl Iterator<Item = (&'a Tightened, BTreeSet<&'a str>)> {
    let tight = |entry: &Tightened, place: &str| {
        entry.is_at(place) && !entry.loosened.contains_key(&fold_name(place))
    };
    let places = move |entry| group.bolt_places().into_iter().filter(|place| tight(entry, place)).collect();
    let all = joint.entries.iter().map(move |entry| (entry, places(entry)));
    all.filter(|(_, places): &(_, BTreeSet<&str>)| !places.is_empty())
}

/// ` at 1, 2`; nothing where a group names no places.
pub(super) fn at(places: &BTreeSet<&str>) -> String {
    let named: Vec<&str> = places.iter().copied().filter(|place| !place.is_empty()).collect();
    if named.is_empty() { String::new() } else { format!(" at {}", named.join(", ")) }
}
