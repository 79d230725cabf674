//! Of every gate that asks for readings: what was read with a gauge that proves nothing is read again with a good one.
//!
//! The old readings stay until a correction or a withdrawal names them: a later reading never wins for being later. An
//! accepted value needs no other reading, where it was accepted with the gauge as it is known now.

use crate::judgement::{Doubt, Judgement};
use crate::shop::{Condition, Job, SurfaceKey};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use std::collections::{BTreeMap, BTreeSet};

pub(super) fn blockers(job: &Job, judgement: &Judgement) -> Vec<Blocker> {
    let mut by_surface: BTreeMap<(SurfaceKey, Stage), Vec<&Doubt>> = BTreeMap::new();
    for doubt in judgement.doubts.iter().filter(|doubt| doubt.stands && doubt.proves_nothing()) {
        if !accepted(job, judgement, doubt) {
            by_surface.entry((doubt.surface, gate(doubt.set.condition))).or_default().push(doubt);
        }
    }
    let blocker = |((surface, stage), doubts): ((SurfaceKey, Stage), Vec<&Doubt>)| {
        let line = Line::of(stage, BlockerRule::Gauged);
        line.one(Actor::Bench, job.surface_name(surface), what(&doubts))
    };
    by_surface.into_iter().map(blocker).collect()
}

const fn gate(condition: Condition) -> Stage {
    match condition {
        Condition::AsReceived | Condition::Cleaned => Stage::Inspection,
        Condition::AfterWork(_) => Stage::Machining,
        Condition::AtAssembly(_) => Stage::Reassembly,
    }
}

/// Every verdict of the surface that rests on it was accepted by a named person.
fn accepted(job: &Job, judgement: &Judgement, doubt: &Doubt) -> bool {
    let rests = |judged: &crate::judgement::Judged| judged.readings.iter().any(|r| r.fact == doubt.fact);
    let mut own = judgement
        .standing()
        .filter(|v| v.key.surface == doubt.surface && v.judged.as_ref().is_some_and(rests))
        .peekable();
    own.peek().is_some() && own.all(|verdict| verdict.is_accepted(job))
}

fn what(doubts: &[&Doubt]) -> String {
    let why: BTreeSet<String> = doubts.iter().map(|d| format!("{}: {}", d.gauge.mark, d.why())).collect();
    let drops: BTreeSet<String> = doubts.iter().map(|doubt| doubt.fact.short()).collect();
    let list = |all: BTreeSet<String>| all.into_iter().collect::<Vec<_>>();
    format!(
        "read with {}; measure again with a good gauge, as a correction of drop {}",
        list(why).join("; and with "),
        list(drops).join(", ")
    )
}
