//! Inspection: every part was looked at; "nothing found" is a record, silence is not.
//!
//! A used part that replaces another is looked at like the first. A new one is not: what was seen on the one before it
//! is the evidence, and must have been written down before it went.

use crate::facts::PartState;
use crate::judgement::Judgement;
use crate::shop::{Job, PartLife, PartPlace};
use crate::stages::asked::parts;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let open = parts(job, |part| part.look).filter(|(place, _, life)| !is_seen(job, *place, life));
    let items = open.map(|(place, _, _)| {
        (place, Actor::Bench, "look at it and drop a finding, be it \"nothing found\"".to_owned())
    });
    Line::of(Stage::Inspection, BlockerRule::LookedAt).parts(job, items)
}

fn is_seen(job: &Job, place: PartPlace, life: &PartLife) -> bool {
    let ever = || job.findings.iter().any(|finding| finding.places.contains(&place));
    life.missing.is_some() || life.looked.is_some() || (life.state == Some(PartState::New) && ever())
}
