//! An engine that ran before it was ready for it, and one that does not run as it should: without oil its bearings are wiped in
//! seconds, and running it on makes it worse.

use crate::facts::{Digest, Role};
use crate::notices::items::AlertItem;
use crate::pages::JobView;
use crate::sheets::Reads;
use crate::stages::{Blocker, BlockerRule};

pub(super) fn items(view: &JobView) -> Vec<AlertItem> {
    let ran = view.standing.blockers.iter().filter(|blocker| blocker.rule == BlockerRule::BeforeStart);
    let both = [(Role::Owner, "owner"), (Role::Bench, "bench")];
    let runs_badly =
        runs_badly(view).flat_map(|blocker| both.map(|(role, to)| stop(view, blocker, role, to)));
    ran.map(item).chain(runs_badly).collect()
}

/// What was read or heard while it ran is not good.
fn runs_badly(view: &JobView) -> impl Iterator<Item = &Blocker> {
    let runs = |about: &str| {
        view.job.sheet.as_ref().and_then(|sheet| sheet.check(about)).is_some_and(|check| check.runs)
    };
    let checks = view.standing.blockers.iter().filter(|blocker| blocker.rule == BlockerRule::Checked);
    checks.filter(move |blocker| blocker.is_wrong && runs(&blocker.about))
}

/// Who stands beside it stops it, and the owner decides what is opened.
fn stop(view: &JobView, blocker: &Blocker, role: Role, to: &str) -> AlertItem {
    // A number past the sheet's limit; anything else is for who stands beside it to weigh.
    let check = view.job.sheet.as_ref().and_then(|sheet| sheet.check(&blocker.about));
    let outside = check.is_some_and(|check| check.reads.as_ref().is_some_and(Reads::has_limits));
    let (heading, word, next) = if outside {
        let next = "next: stop it and leave it; without oil pressure an engine is lost in minutes";
        ("Stop the engine", "stop the engine", next)
    } else {
        let next = "next: see whether it may run on at all: with a knock or without oil pressure it is stopped and left";
        ("First start not good", "first start", next)
    };
    AlertItem {
        key: format!("runs badly/{}/{to}", blocker.about),
        evidence: Digest::of(blocker.what.as_bytes()),
        role,
        heading,
        headline: format!("{word}: {}", blocker.about),
        first: format!("{}: {}", blocker.about, blocker.what),
        lines: vec![
            next.to_owned(),
            "for the job: neither sign-off nor hand-over before a finding says what was looked at and what it was"
                .to_owned(),
        ],
        corrected: false,
        waits: true,
        cautions: Vec::new(),
    }
}

fn item(blocker: &Blocker) -> AlertItem {
    AlertItem {
        key: format!("started/{}", blocker.about),
        evidence: Digest::of(blocker.what.as_bytes()),
        role: Role::Owner,
        heading: "Ran before it was ready",
        headline: format!("ran before {}", blocker.about),
        first: format!("{}: {}", blocker.about, blocker.what),
        lines: vec![
            "for the job: neither sign-off nor hand-over before it is looked into, or the owner sets it aside by name"
                .to_owned(),
        ],
        corrected: false,
        waits: true,
        cautions: Vec::new(),
    }
}
