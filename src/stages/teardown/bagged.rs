//! Teardown: every bag is counted. How a joint is let go is said before its bolts are out: nobody reads it afterwards.

use crate::judgement::Judgement;
use crate::sheets::Fasteners;
use crate::shop::Job;
use crate::stages::bags::{fasteners, named};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Teardown, BlockerRule::Bagged);
    let joints = job.sheet.as_deref().map_or(&[][..], |sheet| sheet.fasteners.as_slice());
    let open = fasteners(job).into_iter().filter_map(|group| {
        let joint = joints.iter().find(|joint| named(&joint.group, &joint.name) == group.name);
        let (short, over) = (group.short(), group.over());
        let mut faults = Vec::new();
        if !short.is_empty() {
            let short = short.join("; ");
            faults
                .push(format!("{short} counted: bag and count what came out; say which are lost or broken"));
        }
        if !over.is_empty() {
            let over = over.join("; ");
            faults.push(format!(
                "{over} counted, more than it has places for: count again, one may belong elsewhere"
            ));
        }
        faults.extend(joint.filter(|_| !group.is_counted_out()).and_then(|joint| let_go(job, joint)));
        (!faults.is_empty()).then(|| line.one(Actor::Bench, group.name, faults.join("; ")))
    });
    open.collect()
}

/// How a joint with an order is let go (trade notes D): cold, in rounds, in the reverse of tightening; what springs push
/// evenly.
fn let_go(job: &Job, joint: &Fasteners) -> Option<String> {
    let springs = job.sheet.as_deref().is_some_and(|sheet| joint.is_pushed_by_springs(sheet));
    if springs {
        return Some(
            "let them go evenly, a little at a time: valve springs push on what they hold".to_owned(),
        );
    }
    let order = joint.has_order().then(|| joint.loosening())?;
    let places = if order.places.is_empty() { order.words.clone() } else { order.places.join(", ") };
    let source = if order.own { "" } else { " (a general order, not the maker's)" };
    Some(format!(
        "let them go cold, in {} rounds, in the reverse of tightening{source}: {places}",
        joint.loosening_rounds()
    ))
}
