//! Everything that could be done about an engine, as a tree for the search.
//!
//! A part is kept or given up. Of one that is kept, each size-class group comes to one size: any that its positions have
//! or that is still before them; each position is machined to it, is brought to it by a sleeve or new metal, or nothing
//! helps. What stands in no group is looked at alone. Parts that are renewed at every rebuild are bought (`buying`), not looked
//! at.

use crate::facts::{PriceList, SizeWord};
use crate::judgement::{Judgement, Verdict};
use crate::planning::at_size::{Group, Refused, Sized};
use crate::planning::line::{Deed, PlanLine};
use crate::planning::need::Need;
use crate::planning::prices::{Price, Prices};
use crate::planning::readings::Readings;
use crate::planning::search::Ways;
use crate::planning::single;
use crate::sheets::{Feature, Part, RemedyKind, Sheet, same_name};
use crate::shop::{Job, PartPlace, SurfaceKey};
use std::collections::{BTreeMap, BTreeSet};

/// The tree, its lines, and what each measured surface of a group needs.
pub(super) struct Built {
    pub(super) ways: Ways,
    pub(super) lines: Vec<PlanLine>,
    pub(super) needs: BTreeMap<SurfaceKey, Need>,
    pub(super) refused: Vec<Refused>,
    pub(super) open: Vec<String>,
}

/// What all pieces of the tree are built from.
pub(super) struct Builder<'a> {
    pub(super) job: &'a Job,
    pub(super) judgement: &'a Judgement,
    pub(super) sheet: &'a Sheet,
    pub(super) prices: Prices<'a>,
    pub(super) readings: &'a Readings<'a>,
    pub(super) needs: BTreeMap<SurfaceKey, Need>,
    pub(super) refused: Vec<Refused>,
    /// Surfaces with a standing verdict beyond its limit that nobody accepted, or with a score.
    needy: BTreeSet<SurfaceKey>,
    pub(super) lines: Vec<PlanLine>,
}

/// `None` of a job without a sheet.
pub(super) fn build(
    readings: &Readings<'_>,
    judgement: &Judgement,
    list: Option<&PriceList>,
) -> Option<Built> {
    let mut builder = Builder::of(readings, judgement, list)?;
    let sheet = builder.sheet;
    let mut all = builder.always();
    for kind in 0..sheet.parts.len() {
        all.extend(builder.part(kind));
    }
    let open = builder.not_measured();
    for group in &open {
        all.extend(builder.of_any_size(group));
    }
    Some(Built {
        ways: Ways::All(all),
        lines: builder.lines,
        needs: builder.needs,
        refused: builder.refused,
        open,
    })
}

impl<'a> Builder<'a> {
    /// With nothing built yet; `None` of a job without a sheet.
    pub(super) fn of(
        readings: &'a Readings<'a>,
        judgement: &'a Judgement,
        list: Option<&'a PriceList>,
    ) -> Option<Self> {
        let job = readings.job;
        let sheet = job.sheet.as_deref()?;
        Some(Self {
            job,
            judgement,
            sheet,
            prices: Prices::of(job, sheet, list),
            readings,
            needs: BTreeMap::new(),
            refused: Vec::new(),
            needy: needy(job, judgement, sheet),
            lines: Vec::new(),
        })
    }

    /// A leaf of its own.
    pub(super) fn one(&mut self, line: PlanLine) -> Ways {
        let cost = line.cost;
        self.lines.push(line);
        Ways::One(cost, self.lines.len() - 1)
    }

    pub(super) fn is_needy(&self, key: SurfaceKey) -> bool {
        self.needy.contains(&key)
    }

    /// The size class a surface has.
    pub(super) fn in_hand(&self, key: SurfaceKey) -> SizeWord {
        self.job.surfaces.get(&key).and_then(|surface| surface.basis).unwrap_or(SizeWord::Standard)
    }

    fn part(&mut self, kind: usize) -> Option<Ways> {
        let part = self.sheet.parts.get(kind).filter(|part| !part.renewed)?;
        let features = self.sheet.features.iter().enumerate();
        let own = features.filter(|(index, f)| f.part == kind && is_grouped(f) && self.is_measured(*index));
        let groups: Vec<Group> = own.map(|(feature, _)| Group { feature }).collect();
        if part.positions.is_empty() {
            return self.place((kind, 0), part, &groups);
        }
        let mut all: Vec<Ways> = groups.iter().map(|group| group.ways(self)).collect();
        for position in 0..part.positions.len() {
            all.extend(self.place((kind, position), part, &[]));
        }
        (!all.is_empty()).then(|| self.with_setting_up(Ways::All(all)))
    }

    /// One piece: kept with all that is done to it, or given up for another.
    fn place(&mut self, place: PartPlace, part: &Part, groups: &[Group]) -> Option<Ways> {
        // What is bought by size, pistons, comes with its group.
        if part.sized_by.as_deref().is_some_and(|group| self.is_planned(group)) {
            return None;
        }
        let (decided, spoilt) = (self.decided(place), self.spoilt(place));
        let work = self.single_work(place, part);
        let is_needy = groups.iter().any(|group| group.is_needy(self)) || !work.is_empty();
        if groups.is_empty() && !is_needy && decided != Some(true) && spoilt.is_none() {
            return None;
        }
        let mut ways = Vec::new();
        if decided != Some(true) {
            let mut kept: Vec<Ways> = groups.iter().map(|group| group.ways(self)).collect();
            kept.extend(work.iter().map(|piece| single::ways(self, piece)));
            if let Some(why) = &spoilt {
                kept.push(self.mended(place, part, why));
            }
            let mut kept = Ways::All(kept);
            // Parts with positions share it, and the kind sees to it.
            if part.positions.is_empty() {
                kept = self.with_setting_up(kept);
            }
            ways.push(self.with_afterwards(place, part, kept));
        }
        // A piece is given up only for what is wrong with it.
        let may_go = decided.is_none() && (spoilt.is_some() || (is_needy && !self.is_agreed_on(place)));
        if may_go || decided == Some(true) {
            ways.extend(self.another(place, part, groups));
        }
        if ways.is_empty() {
            let about = self.job.parts_name(&[place]);
            ways.push(self.nothing(about, "it is to be replaced, and no other can be had".to_owned()));
        }
        let given_up_or_kept = Ways::Any(ways);
        // What the sheet has no work for is asked about whether or not: another casting does not put a gap right.
        let mut all = vec![given_up_or_kept];
        let open = self.without_work(place, part).into_iter().filter(|_| decided != Some(true));
        for key in open {
            let about = self.job.surface_name(key);
            all.push(self.nothing(about, "the sheet has no work for it: say what is done".to_owned()));
        }
        Some(Ways::All(all))
    }

    /// What is to be done on a piece beside its groups, each piece of work once: two rows that judge one face are cut in
    /// one go.
    fn single_work(&self, place: PartPlace, part: &Part) -> Vec<Vec<SurfaceKey>> {
        let mut work: Vec<Vec<SurfaceKey>> = Vec::new();
        for key in self.singles(place).filter(|key| !self.is_without_work(*key, part)) {
            let same = work
                .iter_mut()
                .find(|known| known.first().is_some_and(|first| self.is_one_face(*first, key)));
            match same {
                Some(known) => known.push(key),
                None => work.push(vec![key]),
            }
        }
        work
    }

    /// Surfaces of a piece that stand in no group and are needy, or wait for work that was agreed.
    fn singles(&self, place: PartPlace) -> impl Iterator<Item = SurfaceKey> {
        let awaited = self.job.agreed.keys().filter(|key| self.job.awaited_work(**key).is_some());
        let all: BTreeSet<SurfaceKey> = self.needy.iter().chain(awaited).copied().collect();
        let own = all.into_iter().filter(move |key| self.job.part_of(*key) == place);
        own.filter(|key| !self.sheet.features.get(key.feature).is_some_and(is_grouped))
    }

    /// Work was agreed on the piece and is not done yet, so that it is kept.
    fn is_agreed_on(&self, place: PartPlace) -> bool {
        let mut own = self.job.agreed.keys().filter(|key| self.job.part_of(**key) == place);
        own.any(|key| self.job.awaited_work(*key).is_some())
    }

    fn without_work(&self, place: PartPlace, part: &Part) -> Vec<SurfaceKey> {
        self.singles(place).filter(|key| self.is_without_work(*key, part)).collect()
    }

    /// Of a valve or a spring another one is the work; of a casting it is the last thing anybody does.
    fn is_without_work(&self, key: SurfaceKey, part: &Part) -> bool {
        let remedies = self.sheet.features.get(key.feature).map_or(&[][..], |feature| &feature.remedies);
        remedies.is_empty() && part.positions.is_empty()
    }

    /// Both are judged of one face, which one cut puts right.
    pub(super) fn is_one_face(&self, one: SurfaceKey, other: SurfaceKey) -> bool {
        let cut = |key: SurfaceKey| {
            let remedies = &self.sheet.features.get(key.feature)?.remedies;
            let cut = remedies.iter().find(|remedy| remedy.kind == RemedyKind::Cut)?;
            let thinner = cut.takes_from.map(|from| beside(self.sheet, key, from));
            Some((cut.operation.as_str(), thinner))
        };
        cut(one).is_some_and(|cut_of_one| cut(other) == Some(cut_of_one))
    }

    /// Another piece takes its place, and its groups are standard again.
    fn another(&mut self, place: PartPlace, part: &Part, groups: &[Group]) -> Option<Ways> {
        let found = self.prices.part(&part.key, None, 1)?;
        let mut line = PlanLine::of(Deed::Replace(place), found.price);
        line.cost.lost = 1;
        // Another block has standard bores, but that is not what anybody means by keeping them.
        line.cost.unkept = u32::from(groups.iter().any(|group| group.is_bore(self)));
        line.obtainable = Some(found);
        let mut all = vec![self.one(line)];
        for group in groups {
            all.extend(group.bought(self, &Sized::alike(SizeWord::Standard), &BTreeSet::new())?.ways);
        }
        Some(Ways::All(all))
    }

    /// Groups of parts that came and stay, of which nothing was measured: nobody knows what they need.
    fn not_measured(&self) -> Vec<String> {
        let features = self.sheet.features.iter().enumerate();
        let open = features.filter(|(index, feature)| {
            let part = self.sheet.parts.get(feature.part).filter(|part| !part.renewed);
            is_grouped(feature)
                && !self.is_measured(*index)
                && part.is_some_and(|part| self.job.concerns(&part.scopes))
                && !feature.remedies.is_empty()
        });
        open.map(|(_, feature)| feature.group.clone()).collect()
    }

    /// Is the group of this name looked at in this plan?
    fn is_planned(&self, group: &str) -> bool {
        let features = self.sheet.features.iter().enumerate();
        let mut own = features.filter(|(_, f)| is_grouped(f) && same_name(&f.group, group));
        own.any(|(index, _)| self.is_measured(index))
    }

    /// Something on the piece is beyond its limit, or a finding asks for another.
    pub(super) fn is_worn_out(&self, place: PartPlace) -> bool {
        self.singles(place).next().is_some()
            || (self.spoilt(place).is_some() && self.decided(place).is_none())
    }

    pub(super) fn nothing(&mut self, about: String, why: String) -> Ways {
        self.one(PlanLine::nothing(about, why))
    }

    /// Is anything known of the feature: a position that was measured, or that was worked on and is to be measured again?
    fn is_measured(&self, feature: usize) -> bool {
        let mut surfaces = self.job.surfaces.iter().filter(|(key, _)| key.feature == feature);
        surfaces.any(|(_, surface)| surface.present().is_some() || surface.done_now().next().is_some())
    }

    /// The work of an operation on one place.
    pub(super) fn work(&self, operation: &str, feature: &Feature) -> Price {
        self.prices.work(operation, &feature.key)
    }

    /// The line for what an operation costs once; `None` where the list does not say.
    pub(super) fn once(&self, feature: usize, operation: &str) -> Option<PlanLine> {
        let key = &self.sheet.features.get(feature)?.key;
        let money = self.prices.once(operation, key)?;
        let deed = Deed::Once { feature, operation: operation.to_owned() };
        Some(PlanLine::of(deed, Price { money: Some(money), days: Some(0) }))
    }
}

/// The surface of another feature at the same position; where that has one only, it is that one.
pub(super) fn beside(sheet: &Sheet, key: SurfaceKey, feature: usize) -> SurfaceKey {
    let name = sheet.features.get(key.feature).and_then(|own| own.positions.get(key.position));
    let position = name.and_then(|name| sheet.features.get(feature)?.position(name)).unwrap_or(0);
    SurfaceKey { feature, position }
}

fn is_grouped(feature: &Feature) -> bool {
    !feature.group.is_empty() && feature.sizes.is_some()
}

/// Surfaces that something must be done about: beyond a limit that nobody accepted, or scored. Of pairs the parts are
/// looked at where they are kept.
fn needy(job: &Job, judgement: &Judgement, sheet: &Sheet) -> BTreeSet<SurfaceKey> {
    let beyond = |verdict: &&Verdict| {
        verdict.is_beyond()
            && verdict.key.characteristic.is_of_features()
            && !verdict.key.condition.is_at_assembly()
            && (verdict.is_proven_beyond() || !verdict.is_accepted(job))
            && !holds_after_work(sheet, verdict)
    };
    let mut needy: BTreeSet<SurfaceKey> =
        judgement.standing().filter(beyond).map(|verdict| verdict.key.surface).collect();
    let findings = job.findings.iter().filter(|finding| finding.stands);
    for score in findings.filter_map(|finding| finding.score.as_ref()) {
        let untouched = |key| job.surfaces.get(key).is_some_and(|s| s.done_now().next().is_none());
        if untouched(&score.surface) && sheet.features.get(score.surface.feature).is_some() {
            needy.insert(score.surface);
        }
    }
    needy
}

/// What has no limit for reuse and is only thinner than new, as a wall with some core shift, is kept while it holds what
/// it must hold after work.
fn holds_after_work(sheet: &Sheet, verdict: &Verdict) -> bool {
    let feature = sheet.features.get(verdict.key.surface.feature);
    let row = feature.and_then(|feature| feature.row(verdict.key.characteristic));
    let limits = row.filter(|row| row.service.is_none()).and_then(|row| row.after_work);
    let value = verdict.judged.as_ref().map(|judged| judged.value);
    limits.zip(value).is_some_and(|(limits, value)| limits.outside(value).is_none())
}
