//! What must be known now, item by item.

use crate::facts::{Digest, Role};
use crate::judgement::{Judgement, Question, Verdict, words};
use crate::metrology::Unit;
use crate::planning::GroupPlan;
use crate::shop::Job;
use crate::stages::{BlockerRule, Standing};
use std::collections::BTreeMap;

/// Something people must know at once.
#[derive(Clone, Debug)]
pub struct AlertItem {
    /// One name for it, whatever its evidence.
    pub key: String,
    /// Digest of what it rests on and of what came out.
    pub evidence: Digest,
    /// Whose business it is.
    pub role: Role,
    /// In a few words, for subject lines: `main journal 3 too small`.
    pub headline: String,
    /// First line: what and where, reading against limit.
    pub first: String,
    /// Further lines: by how much and how sure, what it means for the plan, what to do next.
    pub lines: Vec<String>,
    /// It rests on a named correction.
    pub corrected: bool,
}

/// Everything that must be known of a job as it is now, in the sheet's order.
#[must_use]
pub fn standing_alerts(
    job: &Job,
    judgement: &Judgement,
    plans: &[GroupPlan],
    standing: &Standing,
) -> Vec<AlertItem> {
    let Some(unit) = job.sheet.as_ref().map(|sheet| sheet.unit) else { return Vec::new() };
    let beyond = judgement.standing().filter(|v| v.is_beyond()).filter_map(|v| beyond(job, v, plans, unit));
    let mut items: Vec<AlertItem> = beyond.collect();
    items.extend(questions(job, judgement));
    items.extend(standing.blockers.iter().filter(|b| b.rule == BlockerRule::Agreed).map(|blocker| {
        AlertItem {
            key: format!("agreed/{}", blocker.about),
            evidence: Digest::of(blocker.what.as_bytes()),
            role: Role::Owner,
            headline: format!("{} not as agreed", blocker.about),
            first: format!("{}: {}", blocker.about, blocker.what),
            lines: Vec::new(),
            corrected: false,
        }
    }));
    items
}

fn beyond(job: &Job, verdict: &Verdict, plans: &[GroupPlan], unit: Unit) -> Option<AlertItem> {
    let (judged, sheet_unit) = (verdict.judged.as_ref()?, unit);
    let unit = verdict.unit;
    let shape = job.feature(verdict.key.surface).map(|feature| feature.shape);
    let mut lines = vec![format!("{}; {}", judged.margin_words(unit), sureness(verdict))];
    lines.extend(readings_line(job, verdict));
    lines.extend(judged.notes.iter().map(|note| note.words(unit)));
    if !verdict.missing.is_empty() {
        lines.push(format!("not measured yet: {}", verdict.missing.join(", ")));
    }
    lines.extend(plan_line(verdict, plans, sheet_unit));
    lines.push(format!("next: {}", next_step(job, verdict)));
    Some(AlertItem {
        key: verdict.told_key(),
        evidence: judged.evidence(),
        role: Role::Owner,
        headline: format!("{} {}", verdict.name, verdict.side_words(shape)),
        first: format!("{}: {}, {}", verdict.title(), judged.value_words(unit), judged.limit_words(unit)),
        lines,
        corrected: judged.corrected,
    })
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

fn next_step(job: &Job, verdict: &Verdict) -> &'static str {
    match (verdict.is_proven_beyond(), verdict.key.condition.operations() > 0) {
        (true, false) if job.agreed.contains_key(&verdict.key.surface) => "work on it is agreed",
        (true, false) => "decide what is done and drop the agreed work",
        (true, true) => "it goes back to the machinist",
        (false, _) => "measure each place three times; nothing is ordered or sent back on this",
    }
}

/// One item a surface: twenty swapped digits are one slip.
fn questions(job: &Job, judgement: &Judgement) -> Vec<AlertItem> {
    let mut by_surface: BTreeMap<_, Vec<&Question>> = BTreeMap::new();
    for question in judgement.questions.iter().filter(|question| question.stands) {
        by_surface.entry((question.surface, question.set)).or_default().push(question);
    }
    let item = |((surface, set), questions): ((_, crate::shop::SetKey), Vec<&Question>)| {
        let name = job.surface_name(surface);
        let mut evidence = String::new();
        let mut lines = Vec::new();
        for question in &questions {
            evidence.push_str(&format!(
                "{}:{}:{}|",
                question.reading.fact.hex(),
                question.reading.row,
                question.why
            ));
            lines.push(format!(
                "{} read {} by {}: {}",
                question.name, question.digits, question.who, question.why
            ));
        }
        let first = lines.remove(0);
        lines.push("kept out of every verdict until then".to_owned());
        lines.push("next: measure again and drop a correction, or confirm the reading by name".to_owned());
        AlertItem {
            key: format!("question/{name}/{}/{}", set.instance, set.condition.word()),
            evidence: Digest::of(evidence.as_bytes()),
            role: Role::Bench,
            headline: format!("{name} questioned"),
            first,
            lines,
            corrected: false,
        }
    };
    by_surface.into_iter().map(item).collect()
}

/// What holds now of something that no longer alarms; for letters that clear.
pub(super) fn now_words(judgement: &Judgement, key: &str) -> String {
    // A question is about a surface; what answers it is what the surface is now, its size before its form.
    let asked = key.strip_prefix("question/").and_then(|rest| rest.split('/').next());
    let about = |verdict: &&Verdict| match asked {
        Some(name) => verdict.stands && verdict.name == name,
        None => verdict.told_key() == key,
    };
    let Some(verdict) = judgement.verdicts.iter().filter(about).min_by_key(|v| v.key.characteristic) else {
        return "cleared: what it rested on is withdrawn, replaced or answered".to_owned();
    };
    match (&verdict.judged, verdict.stands) {
        (_, false) => "cleared: history now; worked on, replaced or measured again since".to_owned(),
        (None, true) => "cleared: no reading that counts any more; measure it again".to_owned(),
        (Some(judged), true) => {
            let word = if judged.corrected { "corrected" } else { "cleared" };
            let (value, limit) =
                (words::length(judged.value, verdict.unit), judged.limit_words(verdict.unit));
            format!("{word}: now {value}, {limit} ({})", judged.state())
        }
    }
}
