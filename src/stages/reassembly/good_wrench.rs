//! Reassembly: how tight a joint is rests on its wrench. One that nobody described, that was overdue or found bad, or that
//! is not made for such a torque proves nothing, whenever that came out: the joint is tightened again with a good one.

use crate::judgement::Judgement;
use crate::sheets::Fasteners;
use crate::shop::{Job, Joint, Tightened, WrenchNow, torques_that_count};
use crate::stages::bags::named;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use crate::stages::reassembly::stages_of::{at, joints, standing};
use std::collections::{BTreeMap, BTreeSet};

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Reassembly, BlockerRule::GoodWrench);
    let doubted = joints(job).filter_map(|(group, joint)| {
        let what = doubted(group, joint?)?;
        Some(line.one(Actor::Bench, named(&group.group, &group.name), what))
    });
    let unknown = unknown(job).into_iter().map(|(mark, groups)| {
        let groups = groups.into_iter().collect::<Vec<_>>().join(", ");
        let what = format!(
            "{groups} tightened with it, and nobody said what it is: drop it as a gauge, with its range and when its \
             calibration is due"
        );
        line.one(Actor::Bench, mark, what)
    });
    doubted.chain(unknown).collect()
}

/// Wrenches that nobody described, with the groups they tightened.
fn unknown(job: &Job) -> BTreeMap<&str, BTreeSet<&str>> {
    let mut found: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for (group, joint) in joints(job) {
        let entries = joint.map_or_else(Vec::new, |joint| standing(group, joint));
        for (entry, _) in entries.into_iter().filter(|(entry, _)| entry.wrench_now == WrenchNow::Unknown) {
            found.entry(&entry.wrench).or_default().insert(&group.group);
        }
    }
    found
}

fn doubted(group: &Fasteners, joint: &Joint) -> Option<String> {
    let mut faults = Vec::new();
    for (entry, places) in standing(group, joint) {
        if entry.wrench_now != WrenchNow::Unknown {
            let why = why(group, entry, &places);
            if !why.is_empty() {
                let seen = format!("tightened{} with {}", at(&places), entry.wrench);
                faults.push(format!(
                    "{seen} ({}): {}",
                    entry.said.words(),
                    why.into_iter().collect::<Vec<_>>().join("; ")
                ));
            }
        }
    }
    let again = if group.single_use || !group.angles.is_empty() {
        "loosen it, say so (\"slackened\", or that what it holds came off or was fitted anew), and take new bolts through all stages"
    } else {
        "tighten it again with a good one"
    };
    (!faults.is_empty()).then(|| {
        let faults = faults.join("; ");
        format!("{faults}: {again}, or say by name that it may stay")
    })
}

/// What is the matter with the wrench at these places, each once.
fn why(group: &Fasteners, entry: &Tightened, places: &BTreeSet<&str>) -> BTreeSet<String> {
    let places: Vec<String> =
        places.iter().filter(|place| !place.is_empty()).map(|place| (*place).to_owned()).collect();
    let torques = torques_that_count(group, &entry.stages, &places);
    let outside = torques.into_iter().flat_map(|torque| entry.wrench_now.faults(Some(torque)));
    entry.wrench_now.faults(None).into_iter().chain(outside).collect()
}
