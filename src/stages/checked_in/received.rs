//! Checked in: the engine has a check-in, its sheet, the house rules, and something came.

use crate::judgement::Judgement;
use crate::shop::Job;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let missing = match &job.check_in {
        None => Some("not checked in: drop its check-in".to_owned()),
        Some(check_in) if job.sheet.is_none() => {
            Some(format!("the sheet {} is not here: drop it", check_in.sheet))
        }
        Some(_) if job.rules.is_none() => {
            Some("no house rules: drop them, nothing can be proven without".to_owned())
        }
        Some(_) if job.scopes.is_empty() => {
            Some("the sheet has none of the scopes that came: see what is held, withdraw the check-in and drop a new one".to_owned())
        }
        Some(_) => None,
    };
    let line = Line::of(Stage::CheckedIn, BlockerRule::Received);
    let blocker = |what: String| line.one(Actor::Owner, "", what);
    missing.map(blocker).into_iter().collect()
}
