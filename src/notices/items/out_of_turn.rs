//! Assembly that was recorded while a gate before it is open, or under one that opened again, and a cut that hangs on a questioned reading.

use crate::facts::{Digest, Role};
use crate::notices::items::AlertItem;
use crate::pages::JobView;
use crate::shop::Said;
use crate::stages::{Blocker, Stage, gate_of_step};

pub(super) fn items(view: &JobView) -> Vec<AlertItem> {
    let mut items: Vec<AlertItem> = assembly(view).into_iter().collect();
    items.extend(cuts(view));
    items
}

/// Something was tightened or fitted although the engine does not stand at reassembly.
fn assembly(view: &JobView) -> Option<AlertItem> {
    let standing = &view.standing;
    if standing.stage >= Stage::Reassembly {
        return None;
    }
    let joints = view.job.joints.values().flat_map(|joint| &joint.entries);
    let tightened = joints.map(|entry| &entry.said);
    let fitted = view.job.parts.values().filter_map(|life| life.fitted.as_ref()).map(|fitted| &fitted.said);
    let mut recorded: Vec<&Said> = tightened.chain(fitted).collect();
    recorded.sort_by_key(|said| (said.at, said.fact));
    recorded.dedup();
    let first = recorded.first()?;
    let missing: Vec<&Blocker> = standing.here().collect();
    let rests_on: Vec<String> = recorded.iter().map(|said| said.fact.hex()).collect();
    let mut lines = vec![format!("first recorded by {}", first.words())];
    lines.extend(missing.iter().take(5).map(|blocker| {
        let about = if blocker.about.is_empty() { "the engine" } else { blocker.about.as_str() };
        format!("still missing: {about}: {}", blocker.what)
    }));
    if missing.len() > 5 {
        lines.push(format!("and {} more, on the engine's page", missing.len() - 5));
    }
    lines.push(
        "next: close the gate before anything more goes together, or waive what is missing by name"
            .to_owned(),
    );
    // Who assembled behind signed gates did nothing out of turn: what came since opened one. Where one was not signed they did.
    let was_signed = |gate: &Stage| {
        let mut own = view.job.signed.iter().filter(|(step, _)| gate_of_step(**step) == Some(*gate));
        own.any(|(_, signed)| signed.recorded < first.at)
    };
    let mut gates = [Stage::Teardown, Stage::Inspection, Stage::Machining]
        .into_iter()
        .filter(|gate| *gate >= standing.stage);
    let was_closed = standing.stage >= Stage::Teardown && gates.all(|gate| was_signed(&gate));
    let gate = standing.stage.word();
    let (heading, headline, words) = if was_closed {
        let words = format!("the gate of {gate} was signed, assembly had begun, and it is open again");
        ("A gate is open again", format!("{gate} is open again under assembly"), words)
    } else {
        let words = format!("assembly is recorded, and the gate of {gate} is still open");
        ("Assembled with a gate open", format!("assembled while {gate} is open"), words)
    };
    Some(AlertItem {
        key: "out of turn".to_owned(),
        evidence: Digest::of(format!("{gate}|{}", rests_on.join("|")).as_bytes()),
        role: Role::Owner,
        heading,
        headline,
        first: words,
        lines,
        corrected: false,
        waits: true,
        cautions: Vec::new(),
    })
}

/// Work is agreed, not done, and a reading it rests on is questioned.
fn cuts(view: &JobView) -> Vec<AlertItem> {
    let job = &view.job;
    let is_to_do = |key| job.surfaces.get(key).is_some_and(|surface| surface.done_now().next().is_none());
    let agreed = job.agreed.keys().filter(|key| is_to_do(key));
    let item = |key: &crate::shop::SurfaceKey| {
        let questions = view.judgement.questions.iter().filter(|q| q.stands && q.surface == *key);
        let rests_on: Vec<String> =
            questions.map(|q| format!("{}:{}", q.reading.fact.hex(), q.reading.row)).collect();
        let name = job.surface_name(*key);
        (!rests_on.is_empty()).then(|| AlertItem {
            key: format!("cut/{name}"),
            evidence: Digest::of(rests_on.join("|").as_bytes()),
            role: Role::Owner,
            heading: "Hold the cut",
            headline: format!("hold the cut on {name}"),
            first: format!("{name}: work is agreed, and a reading it rests on is questioned"),
            lines: vec![
                "what is cut does not grow back".to_owned(),
                "next: nothing is cut until it is measured again or the reading is confirmed by name"
                    .to_owned(),
            ],
            corrected: false,
            waits: true,
            cautions: Vec::new(),
        })
    };
    agreed.filter_map(item).collect()
}
