//! Inspection: crack and pressure tests, before anything is paid for. A used part that replaces another is tested anew.
//! Magnetic particles show nothing on what is not magnetic: such a test counts as none, and says why.

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
    // What makes room for another piece is not tested any more; the one that comes is.
    let gone = |place, life: &PartLife| life.gone().is_some() || job.is_given_up(place);
    let here = asked.filter(|(place, _, life)| !gone(*place, life));
    let items = here.flat_map(|(place, part, life)| {
        faults(part, life).into_iter().map(move |(actor, what)| (place, actor, what))
    });
    Line::of(Stage::Inspection, BlockerRule::Tested).parts(job, items)
}

fn faults(part: &Part, life: &PartLife) -> Vec<(Actor, String)> {
    let new = life.state == Some(PartState::New);
    let crack = (part.crack_test && !new)
        .then(|| fault(crack_test(part, life), "crack", &how_to_find_cracks(part, life)));
    let pressure = (part.pressure_test && !new)
        .then(|| fault(pressure_test(life), "pressure", ", and say the pressure and how long"));
    crack.into_iter().chain(pressure).flatten().collect()
}

fn how_to_find_cracks(part: &Part, life: &PartLife) -> String {
    let why = by_another_way(part, life);
    format!("{why}, before anything is paid for or cut")
}

/// How a part that is not magnetic is tested, and why what was made with magnetic particles is no test; empty for what
/// is magnetic, or may be.
pub(in crate::stages) fn by_another_way(part: &Part, life: &PartLife) -> String {
    let Some(metal) = part.metal.filter(|metal| !metal.is_magnetic()) else { return String::new() };
    let vain = life.tests.iter().rfind(|test| test.shows_nothing_on(part));
    let vain = vain.map_or_else(String::new, |test| {
        format!(
            " ({} is not magnetic: the magnetic particle test by {} shows nothing)",
            metal.word(),
            test.said.words()
        )
    });
    format!(" with dye penetrant{vain}")
}

fn fault(last: Option<&TestNow>, name: &str, how: &str) -> Option<(Actor, String)> {
    match last {
        None => Some((Actor::Bench, format!("{name} test it{how}"))),
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
    (part.crack_test && crack_test(part, life).is_none())
        || (part.pressure_test && pressure_test(life).is_none())
}

fn crack_test<'l>(part: &Part, life: &'l PartLife) -> Option<&'l TestNow> {
    life.tests.iter().rfind(|test| test.finds_cracks_in(part))
}

fn pressure_test(life: &PartLife) -> Option<&TestNow> {
    life.tests.iter().rfind(|test| test.kind == TestKind::PressureTest)
}

/// It passed a test for cracks up to a time.
pub(in crate::stages) fn passed_before(part: &Part, life: &PartLife, until: Timestamp) -> bool {
    let passed = |test: &&TestNow| test.finds_cracks_in(part) && test.result == TestResult::Passed;
    life.tests.iter().filter(passed).any(|test| test.said.at <= until)
}

/// Its last test for cracks failed.
pub(in crate::stages) fn is_cracked(part: &Part, life: &PartLife) -> bool {
    crack_test(part, life).is_some_and(|test| test.result == TestResult::Failed)
}
