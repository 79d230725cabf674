//! Reassembly: every part is fitted, at its position, new where it is always new, in the size of what it sits on.

use crate::facts::{PartState, SizeWord};
use crate::judgement::Judgement;
use crate::metrology::Unit;
use crate::sheets::{Part, same_name};
use crate::shop::{FittedNow, Job, PartLife, PartPlace};
use crate::stages::asked::parts;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let items = parts(job, |part| part.fitted).filter_map(|(place, part, life)| {
        let what = match &life.fitted {
            None => "say that it is fitted, new or used".to_owned(),
            Some(fitted) => back_from_nowhere(life, fitted).or_else(|| fault(job, place, part, fitted))?,
        };
        Some((place, Actor::Bench, what))
    });
    Line::of(Stage::Reassembly, BlockerRule::Fitted).parts(job, items)
}

/// What was scrapped or missing cannot be fitted; what took its place was not looked at or tested before that is said.
fn back_from_nowhere(life: &PartLife, fitted: &FittedNow) -> Option<String> {
    let (how, said) = life.gone().filter(|_| fitted.state != Some(PartState::New))?;
    Some(format!(
        "{how} ({}), and fitted as if it were here ({}): say what took its place, or withdraw what is wrong",
        said.words(),
        fitted.said.words()
    ))
}

fn fault(job: &Job, place: PartPlace, part: &Part, fitted: &FittedNow) -> Option<String> {
    if part.renewed && fitted.state != Some(PartState::New) {
        let words = fitted.state.map_or("without saying new or used", |_| "used");
        return Some(format!("fitted {words} ({}): it is always new", fitted.said.words()));
    }
    let unit = job.sheet.as_ref().map_or(Unit::Inch, |sheet| sheet.unit);
    let (wanted, select_fit) = size_there(job, place, part)?;
    let said = fitted.size.unwrap_or(SizeWord::Standard);
    let fits = said == wanted || (wanted == SizeWord::Standard && select_fit.contains(&said));
    (!fits).then(|| {
        let said = fitted.size.map_or_else(|| "without a size".to_owned(), |size| size.show(unit));
        format!("fitted {said} ({}), it sits on {}: fit that size", fitted.said.words(), wanted.show(unit))
    })
}

/// Size class of what a part sits on, and the sizes that are fitted to it without machining.
fn size_there(job: &Job, place: PartPlace, part: &Part) -> Option<(SizeWord, Vec<SizeWord>)> {
    let group = part.sized_by.as_ref()?;
    let position = part.positions.get(place.1)?;
    let (key, surface) = job.surfaces.iter().find(|(key, _)| {
        job.feature(**key).is_some_and(|feature| {
            same_name(&feature.group, group) && feature.positions.get(key.position) == Some(position)
        })
    })?;
    let series = job.feature(*key)?.sizes.as_ref();
    let step = |step: &crate::metrology::Exact| match series {
        Some(series) if series.sign > 0 => SizeWord::Over(*step),
        Some(_) | None => SizeWord::Under(*step),
    };
    let select_fit = series.map_or_else(Vec::new, |series| series.select_fit.iter().map(step).collect());
    Some((surface.basis.unwrap_or(SizeWord::Standard), select_fit))
}
