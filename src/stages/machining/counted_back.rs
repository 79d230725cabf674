//! Machining: as many parts came back as went out, caps and bolts too.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use crate::stages::machining::out::late;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Machining, BlockerRule::CountedBack);
    let open = job.orders.values().filter_map(|order| {
        let rest = order.rest_out();
        (!rest.is_empty()).then(|| {
            let late = late(job, order);
            let what = format!(
                "{rest} still out with {}, due {}{late}: count again, or get the rest",
                order.out.to, order.out.due
            );
            line.one(Actor::Machinist, format!("work order {}", order.number), what)
        })
    });
    open.collect()
}
