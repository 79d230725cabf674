//! An engine that ran before it was ready for it: without oil its bearings are wiped in seconds, and running it on makes it
//! worse.

use crate::facts::{Digest, Role};
use crate::notices::items::AlertItem;
use crate::pages::JobView;
use crate::stages::{Blocker, BlockerRule};

pub(super) fn items(view: &JobView) -> Vec<AlertItem> {
    let ran = view.standing.blockers.iter().filter(|blocker| blocker.rule == BlockerRule::BeforeStart);
    ran.map(item).collect()
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
