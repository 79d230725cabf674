//! Everything that could be done about an engine, as a tree for the search.
//!
//! A part is kept or given up. Of one that is kept, each size-class group comes to one size: any that its positions have
//! or that is still before them; each position is machined to it, is brought to it by a sleeve or new metal, or nothing
//! helps. What stands in no group is looked at alone. Parts that are renewed at every rebuild are bought, not looked at.

use crate::facts::{DispositionWord, Money, PriceList, SizeWord};
use crate::judgement::{Judgement, Verdict};
use crate::planning::at_size::Group;
use crate::planning::line::{Deed, PlanLine};
use crate::planning::need::Need;
use crate::planning::prices::{Price, Prices};
use crate::planning::search::Ways;
use crate::planning::single;
use crate::planning::to_order;
use crate::sheets::{Feature, Part, Sheet, same_name};
use crate::shop::{Job, PartPlace, SurfaceKey};
use std::collections::{BTreeMap, BTreeSet};

/// The tree, its lines, and what each measured surface of a group needs.
pub(super) struct Built {
    pub(super) ways: Ways,
    pub(super) lines: Vec<PlanLine>,
    pub(super) needs: BTreeMap<SurfaceKey, Need>,
}

/// What all pieces of the tree are built from.
pub(super) struct Builder<'a> {
    pub(super) job: &'a Job,
    pub(super) judgement: &'a Judgement,
    pub(super) sheet: &'a Sheet,
    pub(super) prices: Prices<'a>,
    pub(super) needs: BTreeMap<SurfaceKey, Need>,
    /// Surfaces with a standing verdict beyond its limit that nobody accepted, or with a score.
    needy: BTreeSet<SurfaceKey>,
    lines: Vec<PlanLine>,
}

/// `None` of a job without a sheet.
pub(super) fn build(job: &Job, judgement: &Judgement, list: Option<&PriceList>) -> Option<Built> {
    let sheet = job.sheet.as_deref()?;
    let mut builder = Builder {
        job,
        judgement,
        sheet,
        prices: Prices::of(job, sheet, list),
        needs: BTreeMap::new(),
        needy: needy(job, judgement, sheet),
        lines: Vec::new(),
    };
    let mut all = builder.always(list);
    for kind in 0..sheet.parts.len() {
        all.extend(builder.part(kind));
    }
    Some(Built { ways: Ways::All(all), lines: builder.lines, needs: builder.needs })
}

impl<'a> Builder<'a> {
    /// A leaf of its own.
    pub(super) fn one(&mut self, line: PlanLine) -> Ways {
        let cost = line.cost;
        self.lines.push(line);
        Ways::One(cost, self.lines.len() - 1)
    }

    pub(super) fn is_needy(&self, key: SurfaceKey) -> bool {
        self.needy.contains(&key)
    }

    /// What is bought and done whatever the plan: hours, gaskets and seals, bolts that are used once.
    fn always(&mut self, list: Option<&PriceList>) -> Vec<Ways> {
        let mut all = Vec::new();
        let labour = list.into_iter().flat_map(|list| list.labour.iter().map(move |labour| (list, labour)));
        let came = |scope: &Option<String>| {
            scope.as_ref().is_none_or(|scope| self.job.concerns(std::slice::from_ref(scope)))
        };
        let hours: Vec<PlanLine> = labour
            .filter(|(_, labour)| came(&labour.scope))
            .map(|(list, labour)| {
                let hundredths = labour.hundredths();
                let money = Some(list.hour.for_hundredths(hundredths));
                PlanLine::of(
                    Deed::Hours { what: labour.what.clone(), hundredths },
                    Price { money, days: Some(0) },
                )
            })
            .collect();
        all.extend(hours.into_iter().map(|line| self.one(line)));
        let sheet = self.sheet;
        let renewed = sheet.parts.iter().filter(|part| part.renewed && part.sized_by.is_none());
        for part in renewed.filter(|part| self.job.concerns(&part.scopes)) {
            let count = count_of(part);
            all.extend(self.buy(&part.key, None, count));
        }
        for (group, item, count) in to_order::groups(self.job, sheet) {
            // A price list names the bolts of a head by their group; where a part has that name too, it is the part.
            let is_part = sheet.parts.iter().any(|part| same_name(&part.key, group));
            let priced = self.prices.part(group, None, count).filter(|_| !is_part);
            if let Some(found) = priced.filter(|found| found.price.money.is_some()) {
                let line = PlanLine::of(Deed::Buy { item, size: None, count }, found.price);
                all.push(self.one(PlanLine { obtainable: Some(found), ..line }));
            } else {
                all.extend(self.buy(&item, None, count));
            }
        }
        all
    }

    /// Parts in a size; `None` where they cannot be had.
    pub(super) fn buy(&mut self, item: &str, size: Option<SizeWord>, count: u32) -> Option<Ways> {
        let found = self.prices.part(item, size, count)?;
        let line = PlanLine::of(Deed::Buy { item: item.to_owned(), size, count }, found.price);
        Some(self.one(PlanLine { obtainable: Some(found), ..line }))
    }

    fn part(&mut self, kind: usize) -> Option<Ways> {
        let part = self.sheet.parts.get(kind).filter(|part| !part.renewed)?;
        let features = || self.sheet.features.iter().enumerate().filter(move |(_, f)| f.part == kind);
        let groups: Vec<usize> = features().filter(|(_, f)| is_grouped(f)).map(|(index, _)| index).collect();
        let groups: Vec<usize> = groups.into_iter().filter(|index| self.is_measured(*index)).collect();
        let mut all = Vec::new();
        if part.positions.is_empty() {
            return self.place((kind, 0), part, &groups);
        }
        for feature in groups {
            all.push(Group { feature }.ways(self));
        }
        for position in 0..part.positions.len() {
            all.extend(self.place((kind, position), part, &[]));
        }
        (!all.is_empty()).then_some(Ways::All(all))
    }

    /// One piece: kept with all that is done to it, or given up for another.
    fn place(&mut self, place: PartPlace, part: &Part, groups: &[usize]) -> Option<Ways> {
        let keys = self.needy.iter().copied().filter(|key| self.job.part_of(*key) == place);
        let grouped = |key: &SurfaceKey| self.sheet.features.get(key.feature).is_some_and(is_grouped);
        let singles: Vec<SurfaceKey> = keys.filter(|key| !grouped(key)).collect();
        let (decided, spoilt) = (self.decided(place), self.spoilt(place));
        let group_needs = groups.iter().any(|feature| Group { feature: *feature }.is_needy(self));
        if singles.is_empty()
            && !group_needs
            && decided != Some(true)
            && spoilt.is_none()
            && groups.is_empty()
        {
            return None;
        }
        let mut ways = Vec::new();
        if decided != Some(true) {
            let mut kept: Vec<Ways> = groups.iter().map(|f| Group { feature: *f }.ways(self)).collect();
            kept.extend(singles.iter().map(|key| single::ways(self, *key)));
            if let Some(why) = spoilt.as_ref().filter(|_| decided.is_none()) {
                let about = self.job.parts_name(&[place]);
                kept.push(self.nothing(about, why.clone()));
            }
            ways.push(Ways::All(kept));
        }
        let needs_it = group_needs || !singles.is_empty() || spoilt.is_some() || decided == Some(true);
        // What is bought by size comes with its group; a part is given up only for what is wrong with it.
        if needs_it && part.sized_by.is_none() {
            ways.extend(self.another(place, part, groups));
        }
        (!ways.is_empty()).then_some(Ways::Any(ways))
    }

    /// Another piece takes its place, and its groups are standard again.
    fn another(&mut self, place: PartPlace, part: &Part, groups: &[usize]) -> Option<Ways> {
        let found = self.prices.part(&part.key, None, 1)?;
        let mut line = PlanLine::of(Deed::Replace(place), found.price);
        line.cost.lost = 1;
        line.obtainable = Some(found);
        let mut all = vec![self.one(line)];
        for feature in groups {
            all.extend(Group { feature: *feature }.bought(self, SizeWord::Standard, false)?);
        }
        Some(Ways::All(all))
    }

    pub(super) fn nothing(&mut self, about: String, why: String) -> Ways {
        let mut line = PlanLine::free(Deed::Nothing { about, why });
        line.cost.unsolved = 1;
        self.one(line)
    }

    /// What a person has decided of a piece: it is replaced, it is not, nothing yet.
    pub(super) fn decided(&self, place: PartPlace) -> Option<bool> {
        let last = self.job.decided_on(place)?;
        if matches!(last.what, DispositionWord::HoldForOwner | DispositionWord::OpenProblem) {
            return None;
        }
        let in_already = self.job.parts.get(&place).is_some_and(|life| life.state.is_some());
        Some(last.what.gives_up() && !in_already)
    }

    /// Why a piece cannot be used as it is: a finding that asks for another one.
    fn spoilt(&self, place: PartPlace) -> Option<String> {
        let findings = self.job.findings.iter().filter(|f| f.stands && f.places.contains(&place));
        let worst = findings.filter(|finding| finding.severity >= 4).max_by_key(|f| f.severity)?;
        Some(format!(
            "{} of severity {}: somebody decides what becomes of it",
            worst.defect.word(),
            worst.severity
        ))
    }

    /// Was any position of the feature measured?
    fn is_measured(&self, feature: usize) -> bool {
        let mut surfaces = self.job.surfaces.iter().filter(|(key, _)| key.feature == feature);
        surfaces.any(|(_, surface)| surface.present().is_some())
    }

    /// The work of an operation on one place.
    pub(super) fn work(&self, operation: &str, feature: &Feature) -> Price {
        self.prices.work(operation, &feature.key)
    }

    /// The line for what an operation costs once; `None` where that is nothing and says nothing.
    pub(super) fn once(&mut self, feature: usize, operation: &str, unkept: u32) -> Option<Ways> {
        let key = &self.sheet.features.get(feature)?.key;
        let money = self.prices.once(operation, key);
        if money.is_none() && unkept == 0 {
            return None;
        }
        let deed = Deed::Once { feature, operation: operation.to_owned() };
        let mut line = PlanLine::of(deed, Price { money: Some(money.unwrap_or(Money::NONE)), days: Some(0) });
        line.cost.unkept = unkept;
        Some(self.one(line))
    }
}

/// How many pieces of a part kind an engine has.
pub(super) fn count_of(part: &Part) -> u32 {
    u32::try_from(part.positions.len().max(1)).unwrap_or(u32::MAX)
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
