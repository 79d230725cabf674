//! Inspection: crack and pressure tests, before anything is paid for. A used part that replaces another is tested anew.

use crate::facts::{PartState, TestKind, TestResult};
use crate::judgement::Judgement;
use crate::sheets::Part;
use crate::shop::{Job, PartLife, TestNow};
use crate::stages::asked::parts;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use jiff::Timestamp;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let asked = parts(job, |part| part.crack_test || part.pressure_test);
    let here = asked.filter(|(_, _, life)| life.missing.is_none() && life.scrapped.is_none());
    let items = here.flat_map(|(place, part, life)| {
        faults(part, life).into_iter().map(move |(actor, what)| (place, actor, what))
    });
    Line::of(Stage::Inspection, BlockerRule::Tested).parts(job, items)
}

fn faults(part: &Part, life: &PartLife) -> Vec<(Actor, String)> {
    let new = life.state == Some(PartState::New);
    let crack = (part.crack_test && !new)
        .then(|| fault(last(life, TestKind::finds_cracks), "crack", "before anything is paid for or cut"));
    let pressure = (part.pressure_test && !new).then(|| {
        fault(
            last(life, |kind| kind == TestKind::PressureTest),
            "pressure",
            "and say the pressure and how long",
        )
    });
    crack.into_iter().chain(pressure).flatten().collect()
}

fn fault(last: Option<&TestNow>, name: &str, how: &str) -> Option<(Actor, String)> {
    match last {
        None => Some((Actor::Bench, format!("{name} test it, {how}"))),
        Some(test) if test.result == TestResult::Failed => Some((
            Actor::Owner,
            format!(
                "failed its {name} test ({}): replace it, or have it repaired and tested again",
                test.said.words()
            ),
        )),
        Some(_) => None,
    }
}

/// A test that the sheet asks for was never made.
pub(in crate::stages) fn untested(part: &Part, life: &PartLife) -> bool {
    (part.crack_test && last(life, TestKind::finds_cracks).is_none())
        || (part.pressure_test && last(life, |kind| kind == TestKind::PressureTest).is_none())
}

fn last(life: &PartLife, which: fn(TestKind) -> bool) -> Option<&TestNow> {
    life.tests.iter().rfind(|test| which(test.kind))
}

/// It passed a test for cracks up to a time.
pub(in crate::stages) fn passed_before(life: &PartLife, until: Timestamp) -> bool {
    let passed = |test: &&TestNow| test.kind.finds_cracks() && test.result == TestResult::Passed;
    life.tests.iter().filter(passed).any(|test| test.said.at <= until)
}

/// Its last test for cracks failed.
pub(in crate::stages) fn is_cracked(life: &PartLife) -> bool {
    last(life, TestKind::finds_cracks).is_some_and(|test| test.result == TestResult::Failed)
}
