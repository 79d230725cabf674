//! Machining: what was ground, welded or straightened is crack tested again, since grinding and pressing make cracks.

use crate::judgement::Judgement;
use crate::sheets::Part;
use crate::shop::{Job, PartLife, Worked};
use crate::stages::asked::parts;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::inspection::is_cracked;
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let items = parts(job, |_| true).filter_map(|(place, part, life)| {
        let work = last_that_cracks(part, life)?;
        let again = life.tests.iter().rfind(|test| test.kind.finds_cracks() && test.said.at >= work.said.at);
        // A test that failed has its own blocker.
        (again.is_none() && !is_cracked(life)).then(|| {
            (place, Actor::Bench, format!("{} ({}): crack test it again", work.operation, work.said.written))
        })
    });
    Line::of(Stage::Machining, BlockerRule::TestedAgain).parts(job, items)
}

fn last_that_cracks<'a>(part: &Part, life: &'a PartLife) -> Option<&'a Worked> {
    life.worked.iter().rfind(|work| part.is_tested_again_after(&work.operation))
}
