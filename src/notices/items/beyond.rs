//! A reading beyond the limit that decides.

use crate::facts::Role;
use crate::judgement::Verdict;
use crate::metrology::Unit;
use crate::notices::items::AlertItem;
use crate::pages::JobView;
use crate::planning::GroupPlan;
use crate::shop::Job;
use crate::stages::BlockerRule;

pub(super) fn items(view: &JobView) -> Vec<AlertItem> {
    let unit = view.job.sheet.as_ref().map_or(Unit::Inch, |sheet| sheet.unit);
    let beyond = view.judgement.standing().filter(|verdict| verdict.is_beyond());
    beyond.filter_map(|verdict| item(view, verdict, unit)).collect()
}

fn item(view: &JobView, verdict: &Verdict, sheet_unit: Unit) -> Option<AlertItem> {
    let (job, judged, unit) = (&view.job, verdict.judged.as_ref()?, verdict.unit);
    let shape = job.feature(verdict.key.surface).map(|feature| feature.shape);
    let mut lines = vec![format!("{}; {}", judged.margin_words(unit), sureness(verdict))];
    lines.extend(readings_line(job, verdict));
    lines.extend(judged.notes.iter().map(|note| note.words(unit)));
    if !verdict.missing.is_empty() {
        lines.push(format!("not measured yet: {}", verdict.missing.join(", ")));
    }
    lines.extend(plan_line(verdict, &view.plans, sheet_unit));
    lines.push(format!("next: {}", next_step(view, verdict)));
    Some(AlertItem {
        key: verdict.told_key(),
        evidence: judged.evidence(),
        role: if verdict.is_proven_beyond() { Role::Owner } else { Role::Bench },
        heading: "Out of limits",
        headline: format!("{} {}", verdict.name, verdict.side_words(shape)),
        first: format!("{}: {}, {}", verdict.title(), judged.value_words(unit), judged.limit_words(unit)),
        lines,
        corrected: judged.corrected,
        waits: is_open(view, verdict),
        cautions: Vec::new(),
    })
}

/// Nobody has decided or accepted it yet, or it has not been measured again since.
fn is_open(view: &JobView, verdict: &Verdict) -> bool {
    let asks = |rule| matches!(rule, BlockerRule::Decided | BlockerRule::Remeasured);
    view.standing.blockers.iter().any(|blocker| asks(blocker.rule) && blocker.about == verdict.name)
}

fn sureness(verdict: &Verdict) -> String {
    let Some(judged) = &verdict.judged else { return String::new() };
    let p = judged.probability_words();
    if p.is_empty() { judged.state().to_owned() } else { format!("{} ({p})", judged.state()) }
}

/// Who read it, with what, when: `read 2026-03-03 08:40 by LM with MIC`.
fn readings_line(job: &Job, verdict: &Verdict) -> Option<String> {
    let judged = verdict.judged.as_ref()?;
    let surface = job.surfaces.get(&verdict.key.surface)?;
    let mut readers: Vec<String> = surface
        .sets
        .values()
        .flat_map(|set| set.readings.values().flatten())
        .filter(|reading| judged.readings.iter().any(|r| r.fact == reading.fact && r.row == reading.row))
        .map(|reading| reading.who.to_string())
        .collect();
    readers.sort();
    readers.dedup();
    let gauges =
        if judged.gauges.is_empty() { String::new() } else { format!(" with {}", judged.gauges.join(", ")) };
    (!readers.is_empty())
        .then(|| format!("{}, read by {}{gauges}", verdict.key.condition.word(), readers.join(", ")))
}

fn plan_line(verdict: &Verdict, plans: &[GroupPlan], unit: Unit) -> Option<String> {
    let plan = plans.iter().find(|plan| plan.feature == verdict.key.surface.feature)?;
    let so_far = if plan.unmeasured.is_empty() { "" } else { ", of those measured so far" };
    Some(match plan.step {
        Some(size) => format!("for the plan: {} all to {} clean up{so_far}", plan.group, size.show(unit)),
        None => format!(
            "for the plan: no size of the sheet cleans up all {}: sleeve, weld or replace",
            plan.group
        ),
    })
}

fn next_step(view: &JobView, verdict: &Verdict) -> String {
    if let Some(without) = verdict.without_figure() {
        return format!("{without}; nothing is ordered or sent back on this");
    }
    let step = match (verdict.is_proven_beyond(), verdict.key.condition.operations() > 0) {
        (true, false) if view.standing.is_agreed(&view.job, verdict.key.surface) => "work on it is agreed",
        (true, false) => "decide what is done and drop the agreed work",
        (true, true) if verdict.is_metal_gone(&view.job) => {
            "the metal is gone: decide on the next size, new metal or another part"
        }
        (true, true) => "it goes back to the machinist",
        (false, _) if verdict.is_in_doubt() => {
            "measure each place again with a good gauge; nothing is ordered or sent back on this"
        }
        (false, _) => "measure each place three times; nothing is ordered or sent back on this",
    };
    step.to_owned()
}
