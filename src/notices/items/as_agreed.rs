//! Work that was done to a size nobody agreed.

use crate::facts::{Digest, Role};
use crate::notices::items::AlertItem;
use crate::pages::JobView;
use crate::stages::BlockerRule;

pub(super) fn items(view: &JobView) -> Vec<AlertItem> {
    let blockers = view.standing.blockers.iter().filter(|blocker| blocker.rule == BlockerRule::Agreed);
    let item = |blocker: &crate::stages::Blocker| AlertItem {
        key: format!("agreed/{}", blocker.about),
        evidence: Digest::of(blocker.what.as_bytes()),
        role: Role::Owner,
        heading: "Not as agreed",
        headline: format!("{} not as agreed", blocker.about),
        first: format!("{}: {}", blocker.about, blocker.what),
        lines: Vec::new(),
        corrected: false,
        waits: true,
        cautions: Vec::new(),
    };
    blockers.map(item).collect()
}
