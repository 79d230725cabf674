//! Inspection: the parts for each agreed size can be had, before anyone cuts to it.

use crate::facts::SizeWord;
use crate::judgement::Judgement;
use crate::metrology::Unit;
use crate::sheets::{Part, same_name};
use crate::shop::{Agreed, Job, SupplyNow, SurfaceKey};
use crate::stages::blocker::{Actor, Blocker, BlockerRule, Stage};
use crate::stages::lines::Line;
use std::collections::BTreeMap;

/// A part that an agreed size asks for.
pub(in crate::stages) struct Wanted<'a> {
    /// Its kind.
    pub(in crate::stages) part: &'a Part,
    /// In which size.
    pub(in crate::stages) size: SizeWord,
    /// For which work.
    pub(in crate::stages) work: Vec<(SurfaceKey, &'a Agreed)>,
    /// How it stands.
    pub(in crate::stages) supply: Option<&'a SupplyNow>,
}

impl Wanted<'_> {
    /// `piston, 0.030 over`.
    pub(in crate::stages) fn name(&self, unit: Unit) -> String {
        format!("{}, {}", self.part.key, self.size.show(unit))
    }
}

/// Every part in scope that is bought in the size of an agreed cut.
pub(in crate::stages) fn wanted(job: &Job) -> Vec<Wanted<'_>> {
    let Some(sheet) = job.sheet.as_deref() else { return Vec::new() };
    let mut all = Vec::new();
    for part in sheet.parts.iter().filter(|part| job.concerns(&part.scopes)) {
        let Some(group) = &part.sized_by else { continue };
        let mut sizes: BTreeMap<SizeWord, Vec<(SurfaceKey, &Agreed)>> = BTreeMap::new();
        for (key, agreed) in &job.agreed {
            let in_group = job.feature(*key).is_some_and(|feature| same_name(&feature.group, group));
            if let Some(size) = agreed.finished.filter(|_| in_group) {
                sizes.entry(size).or_default().push((*key, agreed));
            }
        }
        all.extend(sizes.into_iter().map(|(size, work)| Wanted {
            part,
            size,
            work,
            supply: job.books.supply(&part.key, Some(size)),
        }));
    }
    all
}

pub(in crate::stages) fn blockers(job: &Job, _: &Judgement) -> Vec<Blocker> {
    let Some(unit) = job.sheet.as_ref().map(|sheet| sheet.unit) else { return Vec::new() };
    let line = Line::of(Stage::Inspection, BlockerRule::Obtainable);
    let open = wanted(job).into_iter().filter_map(|wanted| {
        let (actor, what) = match wanted.supply {
            None => (
                Actor::Owner,
                "nobody asked whether it can be had: ask before anything is cut to it".to_owned(),
            ),
            Some(now) if !now.is_obtainable() => (
                Actor::Supplier,
                format!(
                    "{} ({}): find it elsewhere, or agree another size",
                    now.supply.state.word(),
                    now.said.words()
                ),
            ),
            Some(_) => return None,
        };
        Some(line.one(actor, wanted.name(unit), what))
    });
    open.collect()
}
