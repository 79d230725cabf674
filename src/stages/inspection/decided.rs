//! Inspection: whatever is beyond its limit has a decision.
//!
//! Proven beyond needs agreed work, or a word that another piece takes its place. Not proven asks for repeats, sends nothing back and orders no work; it
//! blocks until repeats move it, a named person accepts it, or work on the surface is agreed anyway.

use crate::judgement::{Judgement, Verdict};
use crate::shop::{Job, SurfaceKey};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::inspection::measured::{is_as_found, is_given_up};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, judgement: &Judgement) -> Vec<Blocker> {
    let as_found = |verdict: &&Verdict| is_as_found(verdict.key.condition);
    judgement.standing().filter(as_found).filter_map(|verdict| undecided(job, verdict)).collect()
}

fn undecided(job: &Job, verdict: &Verdict) -> Option<Blocker> {
    if !verdict.is_beyond() || has_agreed_work(job, verdict) || is_given_up(job, verdict) {
        return None;
    }
    blocker_for(
        job,
        verdict,
        Stage::Inspection,
        BlockerRule::Decided,
        (Actor::Owner, "decide what is done about it"),
    )
}

/// The blocker of a verdict beyond its limit: to whoever decides when it is proven, to the bench for repeats
/// when it is not and nobody has accepted it.
pub(in crate::stages) fn blocker_for(
    job: &Job,
    verdict: &Verdict,
    stage: Stage,
    rule: BlockerRule,
    proven: (Actor, &str),
) -> Option<Blocker> {
    let unit = verdict.unit;
    let judged = verdict.judged.as_ref()?;
    let seen = format!(
        "{} {} against {}",
        verdict.key.characteristic.word(),
        judged.value_words(unit),
        judged.limit_words(unit)
    );
    let (actor, what) = if verdict.is_proven_beyond() {
        (proven.0, format!("{seen}: {}", proven.1))
    } else if verdict.is_accepted(job) {
        return None;
    } else {
        let how = if verdict.is_in_doubt() {
            "its gauge is in doubt: measure again with a good one".to_owned()
        } else {
            let without = verdict.without_figure();
            without.unwrap_or_else(|| "not proven: measure each place three times".to_owned())
        };
        (Actor::Bench, format!("{seen}, {how}, or a named person accepts it"))
    };
    Some(Line::of(stage, rule).one(actor, verdict.name.as_str(), what))
}

/// Work is agreed on the surface, or on one whose machining moves it; for a pair, on one of its members there.
fn has_agreed_work(job: &Job, verdict: &Verdict) -> bool {
    let position = verdict.key.surface.position;
    let pair = job.sheet.as_ref().and_then(|sheet| sheet.pair(&verdict.feature));
    match pair {
        Some(pair) if verdict.key.characteristic.is_of_pairs() => pair
            .members()
            .any(|member| job.agreed.contains_key(&SurfaceKey { feature: member.feature, position })),
        Some(_) | None => {
            let moved = job.feature(verdict.key.surface).map_or(&[][..], |feature| &feature.moved_by);
            job.agreed.contains_key(&verdict.key.surface)
                || job.agreed.keys().any(|agreed| moved.contains(&agreed.feature))
        }
    }
}
