//! Released: the price is paid, deposits counted.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let Some((_, price)) = &job.books.price else { return Vec::new() };
    let owed = price.amount.less(job.books.received());
    if owed.is_zero() {
        return Vec::new();
    }
    let what = format!("{owed} of {} still to pay", price.amount);
    vec![Line::of(Stage::Released, BlockerRule::Paid).one(Actor::Customer, "", what)]
}
