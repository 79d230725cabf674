//! Damage that stops the job, and tests that were not passed.

use crate::facts::{Digest, Role, TestKind, TestResult};
use crate::notices::items::AlertItem;
use crate::pages::JobView;
use crate::shop::{Disposed, FindingNow, PartPlace, Said, TestNow};
use crate::stages::cautions::{Doing, cautions};
use crate::stages::undecided;
use std::collections::BTreeMap;

/// From here on a finding stops the job: it was the word for it on the form.
const STOPS_THE_JOB: u8 = 5;

/// Over what stops the job in a letter.
pub(super) const STOPS: &str = "Stops the job";

pub(super) fn items(view: &JobView) -> Vec<AlertItem> {
    let mut found = findings(view);
    found.extend(failed_tests(view));
    found
}

/// One item a part and defect: the same crack seen twice is one crack.
fn findings(view: &JobView) -> Vec<AlertItem> {
    let mut by_key: BTreeMap<String, Vec<&FindingNow>> = BTreeMap::new();
    for finding in view.job.findings.iter().filter(|f| f.stands && f.severity >= STOPS_THE_JOB) {
        let key = format!("finding/{}/{}", finding.about, finding.defect.word());
        by_key.entry(key).or_default().push(finding);
    }
    by_key.into_iter().filter_map(|(key, findings)| finding_item(view, key, &findings)).collect()
}

fn finding_item(view: &JobView, key: String, findings: &[&FindingNow]) -> Option<AlertItem> {
    let last = findings.last()?;
    let rests_on: Vec<String> =
        findings.iter().map(|f| format!("{}:{}:{}", f.said.fact.hex(), f.item, f.severity)).collect();
    let place = if last.r#where.is_empty() { String::new() } else { format!(", {}", last.r#where) };
    let mut lines = vec![format!("seen by {}", last.said.words())];
    if !last.note.is_empty() {
        lines.push(last.note.clone());
    }
    if let Some(suggested) = last.suggested {
        lines.push(format!("suggested at the bench: {}", suggested.word()));
    }
    lines
        .push("for the plan: it can end the job; nothing is paid for or cut before it is decided".to_owned());
    lines.push(format!(
        "next: decide what becomes of {}, and ask the customer before money is spent",
        last.about
    ));
    Some(AlertItem {
        key,
        evidence: Digest::of(rests_on.join("|").as_bytes()),
        role: Role::Owner,
        heading: STOPS,
        headline: format!("{}: {}", last.about, last.defect.word()),
        first: format!("{}: {}{place}, severity {} of 5", last.about, last.defect.word(), last.severity),
        lines,
        corrected: false,
        waits: !is_disposed(&view.job.disposed, &last.places, &last.said),
        cautions: Vec::new(),
    })
}

/// A test that was failed: on which parts, and what was said against it since.
struct Failed<'v> {
    places: Vec<PartPlace>,
    test: &'v TestNow,
    against: Option<String>,
}

/// The latest test of a kind on a part counts, but for one that was failed before with nothing done between; places of one
/// drop are one item.
fn failed_tests(view: &JobView) -> Vec<AlertItem> {
    let mut failed: BTreeMap<(TestKind, Digest), Failed<'_>> = BTreeMap::new();
    for (place, life) in &view.job.parts {
        let mut latest: BTreeMap<TestKind, &TestNow> = BTreeMap::new();
        for test in &life.tests {
            latest.insert(test.kind, test);
        }
        for (kind, last) in latest {
            let found = match last.result {
                TestResult::Failed => Some((last, None)),
                TestResult::Passed => denied(view, *place, &life.tests, kind),
            };
            if let Some((test, against)) = found {
                let known = failed.entry((kind, test.said.fact)).or_insert_with(|| Failed {
                    places: Vec::new(),
                    test,
                    against,
                });
                known.places.push(*place);
            }
        }
    }
    failed.into_values().map(|failed| test_item(view, &failed)).collect()
}

/// A test that was failed and then passed, and nobody has said yet which of the two is wrong.
fn denied<'v>(
    view: &'v JobView,
    place: PartPlace,
    tests: &'v [TestNow],
    kind: TestKind,
) -> Option<(&'v TestNow, Option<String>)> {
    let job = &view.job;
    let failed = job.found_on(place).filter(|finding| finding.test == Some((kind, TestResult::Failed)));
    let (finding, words) =
        failed.filter_map(|finding| Some((finding, undecided(job, finding, place)?))).last()?;
    let test = tests.iter().find(|test| test.kind == kind && test.said == finding.said)?;
    Some((test, Some(words)))
}

fn test_item(view: &JobView, failed: &Failed<'_>) -> AlertItem {
    let Failed { places, test, against } = failed;
    let (about, kind) = (view.job.parts_name(places), test.kind.word());
    let parts = places.iter().map(|place| place.0).collect();
    let how = if test.how.is_empty() { String::new() } else { format!(" ({})", test.how) };
    AlertItem {
        key: format!("test/{about}/{kind}/{}", test.said.fact.short()),
        evidence: Digest::of(
            format!("{about}|{}{}", test.said.fact.hex(), against.as_deref().unwrap_or_default()).as_bytes(),
        ),
        role: Role::Owner,
        heading: STOPS,
        headline: format!("{about} failed its {kind} test"),
        first: format!("{about}: {kind} test failed{how}"),
        lines: against
            .iter()
            .cloned()
            .chain([
                format!("tested by {}", test.said.words()),
                "for the plan: it can end the job; nothing is paid for or cut before it is decided"
                    .to_owned(),
                format!("next: decide what becomes of {about}; a repaired or another part is tested again"),
            ])
            .collect(),
        corrected: false,
        waits: against.is_some() || !is_disposed(&view.job.disposed, places, &test.said),
        cautions: cautions(view.job.sheet.as_deref(), &[(Doing::Test(test.kind), parts)]),
    }
}

/// Somebody has said, since, what becomes of every one of these parts.
fn is_disposed(disposed: &[Disposed], places: &[PartPlace], seen: &Said) -> bool {
    let since = || disposed.iter().filter(|disposed| seen.at <= disposed.said.at);
    places.iter().all(|place| since().any(|disposed| disposed.places.contains(place)))
}
