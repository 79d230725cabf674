//! The one door of the pure half: a job's statements and what was told, in; state, letters and pages, out.
//!
//! [`respond`] never refuses and asks nobody anything: the time is an argument, and it never enters the state.
//! The state is the set of statements; everything else is computed from it anew, so that the answer cannot
//! depend on the way it came about. [`issue`](fn@issue) says which papers are issued then; what was issued before is an argument as
//! what was told is.

mod issue;

pub use issue::{Compared, hold_against, issue};

use crate::facts::{Fact, JobKey};
use crate::judgement::judge;
use crate::notices::{Letter, Told, alert, compare, next_date, ordered, recorded, standing_alerts};
use crate::pages::{BoardRow, JobView};
use crate::planning::plan;
use crate::shop::{FactSet, Job, Shop};
use crate::stages::standing;
use jiff::Timestamp;
use std::sync::{Arc, OnceLock};

/// What follows from a batch of drops of one job.
#[derive(Clone, Debug)]
pub struct Response {
    /// The new state.
    pub state: FactSet,
    /// Everything that follows from it.
    pub view: JobView,
    /// What people have now been told.
    pub told: Told,
    /// Letters to send.
    pub letters: Vec<Letter>,
    /// The row for the board.
    pub row: BoardRow,
    /// When to look at the job again without a drop, Unix milliseconds, always later than now: news that gathers,
    /// a reminder, something that falls due.
    pub next_look: Option<i64>,
}

/// Takes the new drops of one job in. `told` is what was told before; `now` dates what is told now.
#[must_use]
pub fn respond(
    key: &JobKey,
    mut state: FactSet,
    told: &Told,
    shop: &Shop,
    new: impl IntoIterator<Item = Arc<Fact>>,
    now: Timestamp,
) -> Response {
    for fact in new {
        state.insert(fact);
    }
    let view = view(key, &state, shop);
    let at = now.as_millisecond();
    let items = standing_alerts(&view, now);
    let changes = compare(&items, told, at);
    let gathers_until = told.gathers_until(at).filter(|_| !changes.is_empty());
    let mut letters = if changes.is_empty() || gathers_until.is_some() {
        Vec::new()
    } else {
        alert(&view, shop, &changes, told)
    };
    // When nobody can be reached nothing counts as told; it is told once somebody can.
    let mut told = if letters.is_empty() { told.clone() } else { told.after(&items, &changes, at) };
    let (mailed_back, remembered) = recorded(&view, shop, &told);
    letters.extend(mailed_back);
    let (orders, remembered) = ordered(&view, shop, &remembered);
    letters.extend(orders);
    told = remembered;
    let next_look = [gathers_until, told.next_reminder(&items), next_date(&view, now)];
    let next_look = next_look.into_iter().flatten().filter(|look| at < *look).min();
    let stage = view.standing.words();
    if told.stage != stage {
        stage.clone_into(&mut told.stage);
        told.since = at;
    }
    let row = BoardRow::of(&view, told.since);
    Response { state, view, told, letters, row, next_look }
}

/// Everything that follows from a job's statements and the shop's.
#[must_use]
pub fn view(key: &JobKey, state: &FactSet, shop: &Shop) -> JobView {
    let job = Job::fold(key, state, shop);
    let judgement = judge(&job);
    let plans = plan(&job, &judgement);
    let standing = standing(&job, &judgement);
    JobView {
        job,
        judgement,
        plans,
        standing,
        prices: shop.prices().cloned(),
        issued: Vec::new(),
        signable: OnceLock::new(),
        proposed: OnceLock::new(),
        fits: OnceLock::new(),
    }
}
