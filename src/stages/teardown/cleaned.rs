//! Teardown: what goes back in, or is looked at, is clean and out of the bath.

use crate::facts::PartState;
use crate::judgement::Judgement;
use crate::sheets::Part;
use crate::shop::{Job, PartLife, PartPlace};
use crate::stages::asked::parts;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::cautions::{DISSOLVING, is_dissolving};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let asked = parts(job, |part| (part.strip || part.look) && !part.renewed);
    let items =
        asked.filter_map(|(place, part, life)| Some((place, Actor::Bench, dirty(job, (place, part), life)?)));
    Line::of(Stage::Teardown, BlockerRule::Cleaned).parts(job, items)
}

fn dirty(job: &Job, (place, part): (PartPlace, &Part), life: &PartLife) -> Option<String> {
    if let Some((said, bath)) = &life.in_bath {
        if is_dissolving(part, bath) {
            return Some(format!("in {bath} since {}: {DISSOLVING}", said.written));
        }
        let bath = if bath.is_empty() { "the bath" } else { bath };
        return Some(format!("in {bath} since {}: take it out", said.written));
    }
    let gone = life.missing.is_some() || life.scrapped.is_some() || life.state == Some(PartState::New);
    let clean = gone || life.cleaned.is_some() || job.is_given_up(place);
    (!clean).then(|| "not cleaned: clean it and say how".to_owned())
}
