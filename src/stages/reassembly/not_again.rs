//! Reassembly: bolts that are tightened past yield are never tightened once more (trade notes D). A wrench set on them
//! again stretches them further, and says nothing of their clamp: they are loosened, and new ones go through all stages.

use crate::judgement::Judgement;
use crate::sheets::Fasteners;
use crate::shop::{Job, Joint};
use crate::stages::bags::named;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use crate::stages::reassembly::stages_of::{at, joints};

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Reassembly, BlockerRule::NotAgain);
    let open = joints(job).filter(|(group, _)| group.single_use || !group.angles.is_empty());
    open.filter_map(|(group, joint)| {
        Some(line.one(Actor::Bench, named(&group.group, &group.name), again(group, joint?)?))
    })
    .collect()
}

fn again(group: &Fasteners, joint: &Joint) -> Option<String> {
    let places =
        group.bolt_places().into_iter().filter_map(|place| Some((place, joint.again(group, place)?)));
    let places: Vec<_> = places.collect();
    let (_, entry) = places.first()?;
    Some(format!(
        "tightened once more{} ({}) and never loosened between: loosen it, say so (\"slackened\", or that what it \
         holds came off or was fitted anew), and take new bolts through all stages; what was written twice is withdrawn",
        at(&places.iter().map(|(place, _)| *place).collect()),
        entry.said.words()
    ))
}
