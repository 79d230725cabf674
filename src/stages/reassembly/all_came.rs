//! Reassembly: of everything that was ordered as many came as were ordered.
//!
//! What a cut waits for is asked before the cut; a gasket set that is short shows here, before the engine is open and
//! waits for it.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let unit = job.sheet.as_ref().map(|sheet| sheet.unit);
    let short = job.books.supplies.iter().filter_map(|now| Some((now, now.is_short_of()?)));
    let blocker = |(now, ordered): (&crate::shop::SupplyNow, u32)| {
        let size = now
            .supply
            .size
            .zip(unit)
            .map_or_else(String::new, |(size, unit)| format!(", {}", size.show(unit)));
        let what = format!(
            "{} of {ordered} ordered are here ({}): get the rest, or say how many are ordered now",
            now.supply.count,
            now.said.words()
        );
        Line::of(Stage::Reassembly, BlockerRule::AllCame).one(
            Actor::Supplier,
            format!("{}{size}", now.supply.item),
            what,
        )
    };
    short.map(blocker).collect()
}
