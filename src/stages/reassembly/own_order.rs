//! Reassembly: a joint that is drawn down in stages has the maker's order. Where the sheet has none, or a general one, the
//! owner is asked from the beginning, as the loosening order is its reverse; a named person may let the general one do.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::bags::named;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use crate::stages::reassembly::stages_of::joints;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Reassembly, BlockerRule::OwnOrder);
    let open = joints(job).filter(|(group, _)| group.lacks_order()).map(|(group, _)| {
        let what = format!(
            "the sheet has no order of the maker's for its {} bolts, only a general one: bring the maker's in a new \
             revision of the sheet, or say by name that the general one will do",
            group.count()
        );
        line.one(Actor::Owner, named(&group.group, &group.name), what)
    });
    open.collect()
}
