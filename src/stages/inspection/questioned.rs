//! Questioned readings are confirmed by name, or measured again.

use crate::judgement::{Judgement, Question};
use crate::shop::{Condition, Job};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use std::collections::BTreeMap;

pub(in crate::stages) fn blockers(job: &Job, judgement: &Judgement) -> Vec<Blocker> {
    let mut by_surface: BTreeMap<_, Vec<&Question>> = BTreeMap::new();
    for question in judgement.questions.iter().filter(|question| question.stands) {
        by_surface.entry(question.surface).or_default().push(question);
    }
    by_surface
        .into_iter()
        .filter_map(|(surface, questions)| {
            let first = questions.first()?;
            let more = match questions.len() {
                1 => String::new(),
                n => format!(" (and {} more)", n - 1),
            };
            let was = if first.was.is_empty() { String::new() } else { format!("; {}", first.was) };
            let stage = match first.set.condition {
                Condition::AsReceived | Condition::Cleaned => Stage::Inspection,
                Condition::AfterWork(_) => Stage::Machining,
                Condition::AtAssembly(_) => Stage::Reassembly,
            };
            let about = job.surface_name(surface);
            let place = first.name.strip_prefix(&about).unwrap_or(&first.name).trim_start();
            let what = format!(
                "{place} read {}{more}: {}; measure again, or confirm by name{was}",
                first.digits, first.why
            );
            Some(Line::of(stage, BlockerRule::Questioned).one(Actor::Bench, about, what))
        })
        .collect()
}
