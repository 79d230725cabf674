//! Machining: pistons are in hand before boring, shells before the final grind; the cut follows the part.

use crate::judgement::Judgement;
use crate::shop::{Job, SupplyNow};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::inspection::wanted;
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let Some(unit) = job.sheet.as_ref().map(|sheet| sheet.unit) else { return Vec::new() };
    let line = Line::of(Stage::Machining, BlockerRule::InHand);
    let mut blockers = Vec::new();
    for wanted in wanted(job) {
        let pieces =
            wanted.work.iter().filter(|(_, agreed)| wanted.part.is_needed_before(&agreed.operation)).count();
        if pieces > 0
            && let Some(what) = not_here(wanted.supply, pieces, &wanted.part.before.join(" or "))
        {
            blockers.push(line.one(Actor::Supplier, wanted.name(unit), what));
        }
    }
    blockers
}

fn not_here(supply: Option<&SupplyNow>, pieces: usize, before: &str) -> Option<String> {
    match supply {
        None => Some(format!("not ordered: have them in hand before you {before}")),
        Some(now) if !now.is_here() => {
            let due = now.supply.due.map_or_else(String::new, |day| format!(", due {day}"));
            Some(format!(
                "{} ({}{due}): have them in hand before you {before}",
                now.supply.state.word(),
                now.said.words()
            ))
        }
        Some(now) if now.is_unread() => Some(format!(
            "received ({}), and nobody read its stamp: read it, and drop it again with what is stamped, before you {before}",
            now.said.words()
        )),
        Some(now) if u64::from(now.supply.count) < pieces as u64 => {
            Some(format!("{} of {pieces} here: the rest before you {before}", now.supply.count))
        }
        Some(_) => None,
    }
}
