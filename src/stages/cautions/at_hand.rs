//! What is to be done next on an engine, told from what its gate waits for.

use crate::facts::{PartEvent, TestKind};
use crate::planning::{CRACK_TEST, Deed};
use crate::sheets::{Metal, Part, RemedyKind, Sheet};
use crate::shop::{Job, Order, Problem};
use crate::stages::blocker::Blocker;
use crate::stages::cautions::doing::Doing;
use crate::stages::cautions::kinds::{Handled, Look, Work};
use crate::stages::cautions::lifts::Lifts;
use crate::stages::{Stage, Standing};

/// Something that is done next.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// What is done.
    pub doing: Doing,
    /// To these part kinds, as indices of the sheet; to the whole engine where empty.
    pub parts: Vec<usize>,
    /// The kind of drop that says it was done.
    pub kind: &'static str,
}

/// What the gate in hand waits for.
#[must_use]
pub fn at_hand(job: &Job, standing: &Standing) -> Vec<Step> {
    steps(job, standing.waits())
}

/// What the first gate behind it will wait for.
#[must_use]
pub fn asked_next(job: &Job, standing: &Standing) -> Vec<Step> {
    let next: Option<Stage> =
        standing.blockers.iter().map(|blocker| blocker.stage).find(|s| *s > standing.stage);
    let own = standing.blockers.iter().filter(|blocker| Some(blocker.stage) == next);
    steps(job, own.filter(|blocker| !standing.is_waited_for(blocker)))
}

/// Work in the words of a price list or an order, on these part kinds.
#[must_use]
pub fn of_work(operation: &str, parts: &[usize]) -> Vec<(Doing, Vec<usize>)> {
    let works = Work::all_of(operation);
    if works == [Work::Other] {
        return vec![(Doing::Remedy(RemedyKind::of(operation)), parts.to_vec())];
    }
    works.into_iter().map(|work| (Doing::Work(work), parts.to_vec())).collect()
}

/// What a line of a plan asks somebody to do.
#[must_use]
pub fn of_deed(job: &Job, deed: &Deed) -> Vec<(Doing, Vec<usize>)> {
    match deed {
        Deed::Work { surface, operation, .. } => of_work(operation, &[job.part_of(*surface).0]),
        Deed::Afterwards { part, operation } if operation == CRACK_TEST => {
            job.sheet.as_deref().map_or_else(Vec::new, |sheet| crack_tests(sheet, &[part.0]))
        }
        Deed::Afterwards { part, operation } | Deed::Mend { part, operation } => {
            of_work(operation, &[part.0])
        }
        // Setting up goes with the work; the others are bought, kept or only counted.
        Deed::Once { .. }
        | Deed::Keep(_)
        | Deed::Replace(_)
        | Deed::Buy { .. }
        | Deed::Hours { .. }
        | Deed::Nothing { .. } => Vec::new(),
    }
}

/// The work of an order, on its parts.
#[must_use]
pub fn of_order(job: &Job, order: &Order) -> Vec<(Doing, Vec<usize>)> {
    let surfaces = order.surfaces.iter().map(|key| job.part_of(*key).0);
    let mut parts: Vec<usize> = order.parts.iter().map(|place| place.0).chain(surfaces).collect();
    parts.sort_unstable();
    parts.dedup();
    of_work(&order.out.operation, &parts)
}

fn steps<'b>(job: &Job, blockers: impl Iterator<Item = &'b Blocker>) -> Vec<Step> {
    let Some(sheet) = job.sheet.as_deref() else { return Vec::new() };
    let mut steps: Vec<Step> = Vec::new();
    for blocker in blockers {
        let kind = blocker.rule.lifted_by().first().copied().unwrap_or_default();
        let found = done_for(job, sheet, blocker).into_iter();
        for step in found.map(|(doing, parts)| Step { doing, parts, kind }) {
            if !steps.contains(&step) {
                steps.push(step);
            }
        }
    }
    steps
}

/// What is done to lift a blocker; empty where that is a word on paper, or a gauge on a part that lies still.
fn done_for(job: &Job, sheet: &Sheet, blocker: &Blocker) -> Vec<(Doing, Vec<usize>)> {
    let parts = parts_named(sheet, &blocker.about);
    let one = |doing: Doing| vec![(doing, parts.clone())];
    match Lifts::of(blocker.rule) {
        Lifts::By(Doing::Tightening) => {
            let springs =
                pushed_by_springs(sheet, &blocker.about).then_some((Doing::Part(Handled::Cam), Vec::new()));
            one(Doing::Tightening).into_iter().chain(springs).collect()
        }
        Lifts::By(doing) => one(doing),
        Lifts::Looks => looks(sheet, &blocker.about),
        Lifts::TakingOff => {
            let first = !job.parts.values().any(|life| life.off.is_some());
            let mount = first.then_some((Doing::Mounting, Vec::new()));
            let off = (Doing::Event(PartEvent::Off), parts.clone());
            mount.into_iter().chain([off]).chain(handled(sheet, &parts)).collect()
        }
        Lifts::Fitting => {
            let fitted = (Doing::Event(PartEvent::Fitted), parts.clone());
            [fitted].into_iter().chain(handled(sheet, &parts)).collect()
        }
        Lifts::Tests => tests(sheet, &parts),
        Lifts::CrackTest => crack_tests(sheet, &parts),
        Lifts::Readings => readings(sheet, &blocker.about),
        Lifts::AgreedWork => work_open(job, sheet, &blocker.about),
        Lifts::Disposition => {
            let given_up = job.parts.keys().any(|p| parts.contains(&p.0) && job.is_given_up(*p));
            let mended = Doing::Remedy(RemedyKind::Dress);
            one(if given_up { Doing::Event(PartEvent::Scrapped) } else { mended })
        }
        Lifts::Troubles => {
            let about = |problem: &&Problem| problem.about == blocker.about;
            let troubles = job.open_problems().filter(about).filter_map(|problem| problem.trouble);
            troubles.map(|trouble| (Doing::Trouble(trouble), parts.clone())).collect()
        }
        Lifts::Words => Vec::new(),
    }
}

/// What a check of the sheet looks at: told by its key, else by its words.
fn looks(sheet: &Sheet, check: &str) -> Vec<(Doing, Vec<usize>)> {
    let Some(check) = sheet.check(check) else { return Vec::new() };
    let mut looks = Look::all_of(&check.key);
    if looks == [Look::Other] {
        looks = Look::all_of(&check.words);
    }
    looks.into_iter().map(|look| (Doing::Look(look), Vec::new())).collect()
}

/// The part kinds that the words of a blocker are about; of a feature that it lies on.
fn parts_named(sheet: &Sheet, about: &str) -> Vec<usize> {
    let part = named(about, sheet.parts.iter().map(|part| part.key.as_str()));
    let of_feature = || feature_named(sheet, about).and_then(|index| Some(sheet.features.get(index)?.part));
    part.or_else(of_feature).into_iter().collect()
}

fn feature_named(sheet: &Sheet, about: &str) -> Option<usize> {
    named(about, sheet.features.iter().map(|feature| feature.key.as_str()))
}

/// Which of these keys the words of a blocker begin with: `main cap 2, 3`, `rocker 1 intake`. The longest, since a `rod cap`
/// is no `rod`.
fn named<'k>(about: &str, keys: impl Iterator<Item = &'k str>) -> Option<usize> {
    let begins =
        |key: &str| about.strip_prefix(key).is_some_and(|rest| rest.is_empty() || rest.starts_with(' '));
    let found = keys.enumerate().filter(|(_, key)| begins(key));
    found.max_by_key(|(_, key)| key.len()).map(|(index, _)| index)
}

/// The joint that a blocker begins with holds what valve springs push away.
fn pushed_by_springs(sheet: &Sheet, about: &str) -> bool {
    let group = named(about, sheet.fasteners.iter().map(|group| group.group.as_str()));
    group.and_then(|index| sheet.fasteners.get(index)).is_some_and(|group| group.is_pushed_by_springs(sheet))
}

/// What it is to take these parts off or to fit them.
fn handled(sheet: &Sheet, parts: &[usize]) -> Vec<(Doing, Vec<usize>)> {
    let named = parts.iter().filter_map(|index| Some((*index, sheet.parts.get(*index)?)));
    named.map(|(index, part)| (Doing::Part(Handled::of(&part.key)), vec![index])).collect()
}

fn tests(sheet: &Sheet, parts: &[usize]) -> Vec<(Doing, Vec<usize>)> {
    let asks = |index: &&usize, which: fn(&Part) -> bool| sheet.parts.get(**index).is_some_and(which);
    let crack: Vec<usize> =
        parts.iter().filter(|index| asks(index, |part| part.crack_test)).copied().collect();
    let pressure: Vec<usize> =
        parts.iter().filter(|index| asks(index, |part| part.pressure_test)).copied().collect();
    let under = (!pressure.is_empty()).then_some((Doing::Test(TestKind::PressureTest), pressure));
    let mut all = if crack.is_empty() { Vec::new() } else { crack_tests(sheet, &crack) };
    all.extend(under);
    all
}

/// With particles what is magnetic, with dye what is not; either where the sheet does not say.
fn crack_tests(sheet: &Sheet, parts: &[usize]) -> Vec<(Doing, Vec<usize>)> {
    let metal = |index: &usize| sheet.parts.get(*index).and_then(|part| part.metal);
    let is_magnetic = |index: &usize| metal(index).is_none_or(Metal::is_magnetic);
    let (iron, other): (Vec<usize>, Vec<usize>) = parts.iter().copied().partition(is_magnetic);
    let by = |kind: TestKind, parts: Vec<usize>| (!parts.is_empty()).then_some((Doing::Test(kind), parts));
    let all = [by(TestKind::MagneticParticle, iron), by(TestKind::DyePenetrant, other)];
    all.into_iter().flatten().collect()
}

/// What is read of the feature that a blocker names.
fn readings(sheet: &Sheet, about: &str) -> Vec<(Doing, Vec<usize>)> {
    let feature = feature_named(sheet, about).and_then(|index| sheet.features.get(index));
    let rows = feature.into_iter().flat_map(|feature| feature.rows.iter().map(|row| (row, feature.part)));
    rows.map(|(row, part)| (Doing::Reading(row.characteristic), vec![part])).collect()
}

/// Agreed work that is not done, on the feature a blocker names.
fn work_open(job: &Job, sheet: &Sheet, about: &str) -> Vec<(Doing, Vec<usize>)> {
    let feature = feature_named(sheet, about);
    let own = job.agreed.keys().filter(|key| Some(key.feature) == feature);
    let open = own.filter_map(|key| Some((key, job.awaited_work(*key)?)));
    open.flat_map(|(key, agreed)| of_work(&agreed.operation, &[job.part_of(*key).0])).collect()
}
