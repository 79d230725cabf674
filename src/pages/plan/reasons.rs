//! Why a line stands in a plan: the readings, the findings, the rule.

use crate::judgement::{ReadingRef, Verdict};
use crate::pages::JobView;
use crate::pages::plan::lines::{SameWork, small, surface};
use crate::pages::sections::unit_of;
use crate::planning::{CRACK_TEST, How, PlanLine};
use crate::shop::{PartPlace, SurfaceKey};

/// Why something is done to a part when the work on it is.
const AFTERWARDS: &str = "goes with the work on it";

/// Why something goes with the work on a part; how a crack test is made where magnetic particles show nothing.
pub(super) fn of_afterwards(view: &JobView, (kind, _): PartPlace, operation: &str) -> String {
    let metal = view.job.sheet.as_deref().and_then(|sheet| sheet.parts.get(kind)?.metal);
    match metal.filter(|metal| operation == CRACK_TEST && !metal.is_magnetic()) {
        Some(metal) => format!("{AFTERWARDS}; with dye penetrant: {} is not magnetic", metal.word()),
        None => AFTERWARDS.to_owned(),
    }
}

/// What is mended still has to be proven.
pub(super) const MENDED: &str = "sound again: by a specialist, and tested";

/// Standing verdicts of a surface beyond their limit.
pub(super) fn beyond(view: &JobView, key: SurfaceKey) -> impl Iterator<Item = &Verdict> {
    view.judgement.standing().filter(move |verdict| verdict.key.surface == key && verdict.is_beyond())
}

fn beyond_words(verdict: &Verdict) -> Option<String> {
    let judged = verdict.judged.as_ref()?;
    let (value, limit) = (judged.value_words(verdict.unit), judged.limit_words(verdict.unit));
    Some(format!("{} {value}, {limit}: {}", verdict.title(), judged.state()))
}

/// Why work is done on these places.
pub(super) fn of_work(view: &JobView, work: &SameWork<'_>) -> Vec<String> {
    let keys: Vec<SurfaceKey> = work.lines.iter().filter_map(|line| surface(line)).collect();
    let mut why: Vec<String> = keys.iter().flat_map(|key| of_surface(view, *key)).collect();
    if why.is_empty() && !work.feature.group.is_empty() && work.to.is_some() {
        why.push(format!("{} are machined alike", work.feature.group));
    }
    match work.how {
        How::NotMeasured => why.push("not measured yet: the size may still grow".to_owned()),
        How::Again => why.push("metal is left at the size it has".to_owned()),
        How::BuiltUp => why.push("machining alone does not clean it up at this size".to_owned()),
        How::CleansUp | How::Cut(_) | How::Otherwise => {}
    }
    why
}

/// What is wrong with one surface, and what it needs.
pub(super) fn of_surface(view: &JobView, key: SurfaceKey) -> Vec<String> {
    let mut why: Vec<String> = beyond(view, key).filter_map(beyond_words).collect();
    let need = view.proposal().and_then(|proposal| proposal.needs.get(&key));
    let Some(need) = need.filter(|need| need.score.is_some() || !why.is_empty()) else { return why };
    let unit = unit_of(&view.job);
    let score = need.score.map_or_else(String::new, |depth| format!(", scored {} deep", depth.show(unit)));
    let far = need.expanded.map_or_else(String::new, |(safe, _)| format!(" ± {}", small(safe, unit)));
    why.push(format!("{} cleans up safely at {}{far}{score}", need.name, need.clean_up.safe.show(unit)));
    why
}

/// Why a part is mended, and what another one would be.
pub(super) fn of_mended(view: &JobView, line: &PlanLine, place: PartPlace) -> Vec<String> {
    let mut why = found_on(view, place);
    if let Some(another) = &line.obtainable {
        let price = another.price.money.map_or_else(|| "no price".to_owned(), |money| view.money(money));
        let days = another.price.days.map_or_else(String::new, |days| format!(", {days} days"));
        why.push(format!("or another one: {price}{days}; the owner decides"));
    }
    why
}

/// Why a part is given up for another.
pub(super) fn of_part(view: &JobView, place: PartPlace) -> Vec<String> {
    let mut why = found_on(view, place);
    if view.job.decided_on(place).is_none() && !why.is_empty() {
        why.push("or somebody decides to repair it".to_owned());
    }
    let on_it = view.job.surfaces.keys().filter(|key| view.job.part_of(**key) == place);
    why.extend(on_it.flat_map(|key| of_surface(view, *key)));
    why
}

/// What is wrong with a part, and what was decided about it.
fn found_on(view: &JobView, place: PartPlace) -> Vec<String> {
    let job = &view.job;
    let findings = job.found_on(place).filter(|f| f.severity >= 4);
    let mut why: Vec<String> = findings
        .map(|f| format!("{}, severity {} ({})", f.defect.word(), f.severity, f.said.words()))
        .collect();
    let last = job.decided_on(place);
    why.extend(
        last.map(|disposed| format!("{}: {} (by {})", disposed.what.word(), disposed.why, disposed.by)),
    );
    why
}

/// The readings a line rests on.
pub(super) fn readings(view: &JobView, line: &PlanLine) -> Vec<ReadingRef> {
    let Some(key) = surface(line) else { return Vec::new() };
    let judged = view.judgement.standing().filter(|verdict| verdict.key.surface == key);
    let mut all: Vec<ReadingRef> =
        judged.filter_map(|v| v.judged.as_ref()).flat_map(|judged| judged.readings.iter().copied()).collect();
    let need = view.proposal().and_then(|proposal| proposal.needs.get(&key));
    all.extend(need.into_iter().flat_map(|need| need.readings.iter().copied()));
    all.sort_unstable();
    all.dedup();
    all
}
