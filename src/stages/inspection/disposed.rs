//! Inspection: a finding that matters has a decision.
//!
//! Severity 3 and more asks what becomes of the part: a disposition, or agreed work on it. Severity 5 stops the job or
//! is a hazard: the owner decides by name.

use crate::facts::DispositionWord;
use crate::judgement::Judgement;
use crate::shop::{FindingNow, Job, PartPlace};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

/// From here on a finding asks for a decision.
const MATTERS: u8 = 3;
/// Stops the job or is a hazard.
const STOPS: u8 = 5;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let serious = job.findings.iter().filter(|finding| finding.stands && finding.severity >= MATTERS);
    let items = serious.flat_map(|finding| {
        let open = finding.places.iter().filter_map(move |place| Some((*place, open(job, finding, *place)?)));
        open.map(|(place, (actor, what))| (place, actor, what))
    });
    Line::of(Stage::Inspection, BlockerRule::Disposed).parts(job, items)
}

fn open(job: &Job, finding: &FindingNow, place: PartPlace) -> Option<(Actor, String)> {
    let stops = finding.severity >= STOPS;
    let seen = format!("{}, severity {}", finding.defect.word(), finding.severity);
    match job.decided_on(place) {
        Some(word) if word.what == DispositionWord::HoldForOwner => Some((
            Actor::Owner,
            format!("{seen}, held for the owner by {}: decide what becomes of it", word.by),
        )),
        Some(_) => None,
        None if stops => Some((Actor::Owner, format!("{seen}: the owner decides what becomes of it"))),
        None if has_agreed_work(job, place) => None,
        None => Some((Actor::Bench, format!("{seen}: say what becomes of it, or agree work on it"))),
    }
}

fn has_agreed_work(job: &Job, place: PartPlace) -> bool {
    job.agreed.keys().any(|key| job.part_of(*key) == place)
}
