//! Machining: plugs in are plugs out are the sheet's. A gallery plug left out behind a cover is no oil pressure at the
//! first start.

use crate::facts::PieceState;
use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::bags::{Group, plugs};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Machining, BlockerRule::PlugsIn);
    let open = plugs(job).into_iter().filter_map(|group| {
        let faults = faults(&group);
        (!faults.is_empty()).then(|| line.one(Actor::Bench, group.name, faults.join("; ")))
    });
    open.collect()
}

fn faults(group: &Group<'_>) -> Vec<String> {
    let mut faults = Vec::new();
    for (size, (name, has)) in group.sizes.iter().enumerate() {
        let (used, back) = (group.count(size, PieceState::Used), group.back_in(size));
        if back != *has {
            faults.push(format!(
                "{back} of {has} {name} counted in: look where one is missing and count again"
            ));
        }
        if group.renewed && used > 0 {
            faults.push(format!("{used} old {name} back in: these are always new"));
        }
    }
    faults
}
