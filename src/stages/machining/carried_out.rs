//! Machining and reassembly: what was decided about a part is carried out.

use crate::facts::PartState;
use crate::judgement::Judgement;
use crate::sheets::Part;
use crate::shop::{Disposed, Job, PartLife};
use crate::stages::asked::parts;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let open = |stage: Stage, actor: Actor, is_open: fn(&Part, &PartLife, &Disposed) -> Option<String>| {
        let items = parts(job, |_| true).filter_map(move |(place, part, life)| {
            let word = job.decided_on(place).filter(|word| concerns_it(life, word))?;
            Some((place, actor, is_open(part, life, word)?))
        });
        Line::of(stage, BlockerRule::CarriedOut).parts(job, items)
    };
    let mut blockers = open(Stage::Machining, Actor::Machinist, unworked);
    blockers.extend(open(Stage::Reassembly, Actor::Bench, unreplaced));
    blockers
}

/// A decision on a piece that is not there any more is history.
fn concerns_it(life: &PartLife, word: &Disposed) -> bool {
    life.renewed.as_ref().is_none_or(|new| new.order() < word.said.order())
}

fn unworked(_: &Part, life: &PartLife, word: &Disposed) -> Option<String> {
    let asks = word.what.asks_for_work() && life.worked.is_empty();
    asks.then(|| format!("{} by {}'s word: nothing was done to it yet", word.what.word(), word.by))
}

/// What is new at every rebuild is fitted new; of anything else only a word that it was replaced says that what was read of the
/// first piece is not this one's.
fn unreplaced(part: &Part, life: &PartLife, word: &Disposed) -> Option<String> {
    let is_new = || life.fitted.as_ref().is_some_and(|fitted| fitted.state == Some(PartState::New));
    let fitted_new = part.renewed && is_new();
    let asks = word.what.gives_up() && !fitted_new;
    asks.then(|| {
        format!(
            "{} by {}'s word: say that it was replaced, by a new one or a used one",
            word.what.word(),
            word.by
        )
    })
}
