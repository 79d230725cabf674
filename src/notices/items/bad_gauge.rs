//! A gauge found bad that readings of the engine rest on.
//!
//! Told once a gauge, whatever is read with it later; to the bench, which measures again, or to the owner where nothing
//! is open any more and the engine may be gone.

use crate::facts::{Digest, Role};
use crate::judgement::Doubt;
use crate::notices::items::AlertItem;
use crate::pages::JobView;
use crate::shop::{FlagKind, GaugeFlag};
use crate::stages::{BlockerRule, Stage};
use std::collections::{BTreeMap, BTreeSet};

pub(super) fn items(view: &JobView) -> Vec<AlertItem> {
    let mut by_gauge: BTreeMap<&str, Vec<&Doubt>> = BTreeMap::new();
    for doubt in view.judgement.doubts.iter().filter(|doubt| doubt.stands && bad(doubt).next().is_some()) {
        by_gauge.entry(&doubt.gauge.mark).or_default().push(doubt);
    }
    by_gauge.into_iter().map(|(mark, doubts)| item(view, mark, &doubts)).collect()
}

fn bad(doubt: &Doubt) -> impl Iterator<Item = &GaugeFlag> {
    doubt.flags.iter().filter(|flag| flag.kind == FlagKind::FoundBad)
}

fn item(view: &JobView, mark: &str, doubts: &[&Doubt]) -> AlertItem {
    let why: BTreeSet<&str> =
        doubts.iter().flat_map(|doubt| bad(doubt)).map(|flag| flag.words.as_str()).collect();
    let why = why.into_iter().collect::<Vec<_>>().join("; ");
    let places: BTreeSet<String> = doubts.iter().map(|d| view.job.surface_name(d.surface)).collect();
    let places: Vec<String> = places.into_iter().collect();
    let gone = view.standing.stage == Stage::Released;
    let next = if gone {
        "next: decide whether the engine can go out, or must come back"
    } else {
        "next: measure these again with a good gauge, as corrections; or the owner accepts or waives them"
    };
    let open = |about: &str| {
        let own = |b: &crate::stages::Blocker| b.rule == BlockerRule::Gauged && b.about == about;
        view.standing.blockers.iter().any(own)
    };
    AlertItem {
        key: format!("gauge/{mark}"),
        evidence: Digest::of(format!("{mark}|{why}").as_bytes()),
        role: if gone { Role::Owner } else { Role::Bench },
        heading: "Gauge found bad",
        headline: format!("{mark} found bad, readings rest on it"),
        first: format!("{mark}: {why}"),
        lines: vec![
            format!("read with it: {}", places.join(", ")),
            "bands stand as read; what rests on these readings is not proven, and is asked for again"
                .to_owned(),
            next.to_owned(),
        ],
        corrected: false,
        waits: places.iter().any(|about| open(about)),
        cautions: Vec::new(),
    }
}
