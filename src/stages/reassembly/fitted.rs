//! Reassembly: every part is fitted, at its position, new where it is always new, in the size of what it sits on.

use crate::facts::{PartState, SizeWord};
use crate::judgement::Judgement;
use crate::metrology::Unit;
use crate::sheets::{Part, fold_name, same_name};
use crate::shop::{FittedNow, Job, PartLife, PartPlace, Tightened, bolts_of, position_of};
use crate::stages::asked::parts;
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use std::collections::BTreeSet;

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let line = Line::of(Stage::Reassembly, BlockerRule::Fitted);
    let asked = || parts(job, |part| part.fitted);
    let open = asked().filter(|(_, _, life)| life.fitted.is_none());
    let open = open.map(|(place, ..)| (place, Actor::Bench, "say that it is fitted, new or used".to_owned()));
    let wrong = asked().filter_map(|(place, part, life)| {
        let fitted = life.fitted.as_ref()?;
        let what = back_from_nowhere(life, fitted).or_else(|| fault(job, place, part, life, fitted))?;
        Some((place, Actor::Bench, what))
    });
    let mut blockers = line.parts(job, open);
    blockers.extend(line.wrong().parts(job, wrong));
    blockers
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

fn fault(job: &Job, place: PartPlace, part: &Part, life: &PartLife, fitted: &FittedNow) -> Option<String> {
    if part.renewed && fitted.state != Some(PartState::New) {
        let words = fitted.state.map_or("without saying new or used", |_| "used");
        return Some(format!("fitted {words} ({}): it is always new", fitted.said.words()));
    }
    if let Some(other) = other_way_round(life, fitted) {
        return Some(format!(
            "fitted \"{}\" ({}), and it came off \"{other}\": turn it, or withdraw what was written wrong",
            fitted.way_round,
            fitted.said.words()
        ));
    }
    if let Some(entry) = part.crushed.then(|| clamped_and_let_go(job, place, fitted)).flatten() {
        return Some(format!(
            "it was clamped ({}) and let go since: pressed to shape once, it does not seal again, so fit a new one",
            entry.said.words()
        ));
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

/// How it came off, where it is in the other way: the words say opposite things. Anything else is for people to read.
fn other_way_round<'l>(life: &'l PartLife, fitted: &FittedNow) -> Option<&'l str> {
    const OPPOSITE: [(&str, &str); 6] = [
        ("front", "rear"),
        ("front", "back"),
        ("left", "right"),
        ("up", "down"),
        ("top", "bottom"),
        ("intake", "exhaust"),
    ];
    let words = |said: &str| -> BTreeSet<String> {
        said.to_lowercase().split(|c: char| !c.is_alphanumeric()).map(str::to_owned).collect()
    };
    let (off, now) = (words(&life.way_round), words(&fitted.way_round));
    let turned = |one: &str, other: &str| {
        off.contains(one) && now.contains(other) && !off.contains(other) && !now.contains(one)
    };
    let is_other = OPPOSITE.iter().any(|(one, other)| turned(one, other) || turned(other, one));
    is_other.then_some(life.way_round.as_str())
}

/// A tightening over a part that was let go as a whole since.
fn clamped_and_let_go<'j>(job: &'j Job, place: PartPlace, fitted: &FittedNow) -> Option<&'j Tightened> {
    let sheet = job.sheet.as_deref()?;
    let groups = sheet.fasteners.iter().filter(|group| group.holds.contains(&place.0));
    groups.filter_map(|group| job.joints.get(&fold_name(&group.group)).map(|joint| (group, joint))).find_map(
        |(group, joint)| {
            let own = bolts_of(group, position_of(sheet, place));
            // A bolt that is changed alone lets go of nothing else: all that hold it, at one time.
            let let_go = |entry: &&Tightened| {
                let times: Option<BTreeSet<usize>> =
                    own.iter().map(|bolt| entry.loosened.get(bolt).copied()).collect();
                times.is_some_and(|times| times.len() == 1)
            };
            joint.entries.iter().filter(|entry| entry.said.at >= fitted.said.at).find(let_go)
        },
    )
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
