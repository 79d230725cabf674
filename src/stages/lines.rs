//! Blockers in lines a person reads: positions that lack the same thing are one line.

use crate::shop::{Job, PartPlace, SurfaceKey};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use std::collections::BTreeMap;

/// Gate and rule of a blocker.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line {
    pub(super) stage: Stage,
    pub(super) rule: BlockerRule,
    is_wrong: bool,
}

impl Line {
    pub(super) const fn of(stage: Stage, rule: BlockerRule) -> Self {
        Self { stage, rule, is_wrong: false }
    }

    /// For what was done or seen and is not good.
    pub(super) const fn wrong(self) -> Self {
        Self { is_wrong: true, ..self }
    }

    /// One blocker.
    pub(super) fn one(self, actor: Actor, about: impl Into<String>, what: impl Into<String>) -> Blocker {
        let Self { stage, rule, is_wrong } = self;
        Blocker { stage, rule, actor, about: about.into(), what: what.into(), is_wrong }
    }

    /// A blocker for each part kind, actor and words, with its positions.
    pub(super) fn parts(
        self,
        job: &Job,
        items: impl IntoIterator<Item = (PartPlace, Actor, String)>,
    ) -> Vec<Blocker> {
        let mut lines: BTreeMap<(usize, Actor, String), Vec<PartPlace>> = BTreeMap::new();
        for (place, actor, what) in items {
            lines.entry((place.0, actor, what)).or_default().push(place);
        }
        lines
            .into_iter()
            .map(|((_, actor, what), places)| self.one(actor, job.parts_name(&places), what))
            .collect()
    }

    /// A blocker for each feature, actor and words, with its positions.
    pub(super) fn surfaces(
        self,
        job: &Job,
        items: impl IntoIterator<Item = (SurfaceKey, Actor, String)>,
    ) -> Vec<Blocker> {
        let mut lines: BTreeMap<(usize, Actor, String), Vec<SurfaceKey>> = BTreeMap::new();
        for (key, actor, what) in items {
            lines.entry((key.feature, actor, what)).or_default().push(key);
        }
        lines
            .into_iter()
            .map(|((_, actor, what), keys)| self.one(actor, surfaces_name(job, &keys), what))
            .collect()
    }
}

/// `main journal 1, 2, 3`; a feature with one position is just its name.
pub(super) fn surfaces_name(job: &Job, keys: &[SurfaceKey]) -> String {
    let name = keys.first().and_then(|key| job.feature(*key)).map_or("", |feature| &feature.key);
    format!("{name}{}", positions(job, keys))
}

/// ` 1, 2, 3`; nothing for a feature with one position.
pub(super) fn positions(job: &Job, keys: &[SurfaceKey]) -> String {
    let named = keys.iter().filter_map(|key| {
        let feature = job.feature(*key).filter(|feature| feature.positions.len() > 1)?;
        feature.positions.get(key.position).map(String::as_str)
    });
    let named: Vec<&str> = named.collect();
    if named.is_empty() { String::new() } else { format!(" {}", named.join(", ")) }
}
