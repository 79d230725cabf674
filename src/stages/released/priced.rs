//! Released: the final price is said, and no more than was approved.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::asked::comes_apart;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    if !comes_apart(job) {
        return Vec::new();
    }
    let what = match (&job.books.price, job.books.last_approval()) {
        (None, _) => "no final price".to_owned(),
        (Some((_, price)), Some((said, Some(approved)))) if price.amount > approved => format!(
            "the price {} is more than the {approved} approved on {}: have the difference approved, or lower it",
            price.amount, said.written
        ),
        (Some(_), _) => return Vec::new(),
    };
    vec![Line::of(Stage::Released, BlockerRule::Priced).one(Actor::Owner, "", what)]
}
