//! Reassembly: every joint went through all its stages, at every bolt.

use crate::judgement::Judgement;
use crate::sheets::Fasteners;
use crate::shop::{Job, Joint};
use crate::stages::bags::named;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use crate::stages::reassembly::stages_of::joints;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Reassembly, BlockerRule::Torqued);
    let open = joints(job).filter_map(|(group, joint)| {
        let what = missing(group, joint)?;
        Some(line.one(Actor::Bench, named(&group.group, &group.name), what))
    });
    open.collect()
}

fn missing(group: &Fasteners, joint: Option<&Joint>) -> Option<String> {
    let stages = group.stage_count().max(1);
    let Some(joint) = joint else {
        return Some(match stages {
            1 => "not tightened: tighten it and say with what lubricant and bolts".to_owned(),
            _ => format!("not tightened: {stages} stages, and say with what lubricant and bolts"),
        });
    };
    let open: Vec<String> = joint
        .missing(group)
        .into_iter()
        .map(|(stage, places)| {
            let at = if places.is_empty() { String::new() } else { format!(" at {}", places.join(", ")) };
            format!("stage {stage} of {stages}{at}")
        })
        .collect();
    (!open.is_empty()).then(|| format!("not recorded: {}", open.join("; ")))
}
