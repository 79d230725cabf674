//! Parts to order: what the engine takes new, in the sizes that are agreed, less what is on its way or here.

use crate::facts::{PieceState, SizeWord, Step, SupplyState};
use crate::sheets::{Fasteners, Part, Sheet, fold_name, same_name};
use crate::shop::{Job, SupplyNow, SurfaceKey};
use std::collections::BTreeMap;

/// Something to order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToOrder {
    /// Part kind or group of the sheet.
    pub item: String,
    /// Its size class, where it has one.
    pub size: Option<SizeWord>,
    /// How many pieces.
    pub count: u32,
    /// What was last said of it; `None` when nobody has asked yet.
    pub state: Option<SupplyState>,
    /// From whom, where it was said.
    pub supplier: String,
}

impl ToOrder {
    /// What is known, in words.
    #[must_use]
    pub fn known(&self) -> String {
        let state = self.state.map_or("nobody has asked yet", SupplyState::word);
        if self.supplier.is_empty() { state.to_owned() } else { format!("{state}, {}", self.supplier) }
    }
}

/// What must be ordered for an engine. Nothing before its sizes are agreed or its inspection is signed: until then
/// nobody knows what it takes; and nothing for an engine that is together.
#[must_use]
pub fn to_order(job: &Job) -> Vec<ToOrder> {
    let Some(sheet) = &job.sheet else { return Vec::new() };
    let known = !job.agreed.is_empty() || job.signed.contains_key(&Step::Inspection);
    if !known || job.is_together_or_aside() {
        return Vec::new();
    }
    let mut wanted: BTreeMap<(String, Option<SizeWord>), u32> = BTreeMap::new();
    for (kind, part) in sheet.parts.iter().enumerate().filter(|(_, part)| job.concerns(&part.scopes)) {
        for (size, count) in pieces(job, sheet, kind, part) {
            *wanted.entry((part.key.clone(), size)).or_default() += count;
        }
    }
    let bought = wanted.into_iter().filter_map(|((item, size), count)| {
        let supply = supplied(job, &item, size);
        missing(item, size, count, supply)
    });
    let groups = groups(job, sheet).into_iter().filter_map(|(group, item, count)| {
        // People name the bolts of a head by the group; where a part has that name too, it is the part.
        let is_part = sheet.parts.iter().any(|part| same_name(&part.key, group));
        let by_group = || supplied(job, group, None).filter(|_| !is_part);
        missing(item.clone(), None, count, supplied(job, &item, None).or_else(by_group))
    });
    bought.chain(groups).collect()
}

/// What was last said of an item.
fn supplied<'a>(job: &'a Job, item: &str, size: Option<SizeWord>) -> Option<&'a SupplyNow> {
    // A part that is bought in one size only is often named without it.
    let standard = size.is_none_or(|size| size == SizeWord::Standard);
    job.books
        .supply(item, size)
        .or_else(|| job.books.supply(item, None).filter(|_| standard))
        .or_else(|| job.books.supply(item, Some(SizeWord::Standard)).filter(|_| standard))
}

/// Less what is on its way or here.
fn missing(item: String, size: Option<SizeWord>, count: u32, supply: Option<&SupplyNow>) -> Option<ToOrder> {
    let coming = supply.filter(|now| is_coming(now)).map_or(0, |now| now.supply.count);
    let count = count.saturating_sub(coming);
    (count > 0).then(|| ToOrder {
        item,
        size,
        count,
        state: supply.map(|now| now.supply.state),
        supplier: supply.map_or_else(String::new, |now| now.supply.supplier.clone()),
    })
}

fn is_coming(now: &SupplyNow) -> bool {
    now.is_here()
        || matches!(now.supply.state, SupplyState::Ordered | SupplyState::BackOrdered | SupplyState::Late)
}

/// Pieces of a part kind that are not in yet, by size.
fn pieces(job: &Job, sheet: &Sheet, kind: usize, part: &Part) -> BTreeMap<Option<SizeWord>, u32> {
    let mut sizes = BTreeMap::new();
    let resized = part.sized_by.as_ref().is_some_and(|group| agreed_size(job, sheet, group, 0, 1).is_some());
    let positions = part.positions.len().max(1);
    for position in 0..positions {
        let place = (kind, position);
        let life = job.parts.get(&place);
        let is_in = life.is_some_and(|life| life.fitted.is_some() || life.state.is_some());
        let wanted = part.renewed || resized || job.is_given_up(place);
        if wanted && !is_in {
            let size = part.sized_by.as_ref().and_then(|group| {
                agreed_size(job, sheet, group, position, positions)
                    .or_else(|| size_in_hand(job, sheet, group))
            });
            *sizes.entry(size).or_default() += 1;
        }
    }
    sizes
}

/// The agreed size of the surface of a group that a position of a part goes to: the one at the same share of the
/// way along (upper and lower shells of one main lie side by side).
fn agreed_size(job: &Job, sheet: &Sheet, group: &str, position: usize, of: usize) -> Option<SizeWord> {
    let surfaces = surfaces(job, sheet, group);
    let key = surfaces.get(position * surfaces.len() / of.max(1))?;
    job.agreed.get(key).and_then(|agreed| agreed.finished)
}

/// The size the group has now, where nothing is agreed on it.
fn size_in_hand(job: &Job, sheet: &Sheet, group: &str) -> Option<SizeWord> {
    let first = surfaces(job, sheet, group).into_iter().next()?;
    Some(job.surfaces.get(&first)?.basis.unwrap_or(SizeWord::Standard))
}

fn surfaces(job: &Job, sheet: &Sheet, group: &str) -> Vec<SurfaceKey> {
    let of_group = |key: &&SurfaceKey| {
        sheet.features.get(key.feature).is_some_and(|f| !f.group.is_empty() && same_name(&f.group, group))
    };
    // Several features may share a group; those of the first one stand for it.
    let all: Vec<SurfaceKey> = job.surfaces.keys().filter(of_group).copied().collect();
    let first = all.first().map(|key| key.feature);
    all.into_iter().filter(|key| Some(key.feature) == first).collect()
}

/// Bolts that are thrown away once tightened, what is always new of other joints, and plugs that are always new, less the new
/// ones that are in: the group, its words on an order, and how many. The bolts of a head must not read as heads.
pub(super) fn groups<'a>(job: &Job, sheet: &'a Sheet) -> Vec<(&'a String, String, u32)> {
    let bolts =
        sheet.fasteners.iter().filter(|group| group.single_use && job.concerns(&group.scopes)).map(|group| {
            (
                &group.group,
                format!("{} bolts", called(&group.group, &group.name)),
                group.count(),
                group.sizes.len(),
            )
        });
    let plugs = sheet
        .plugs
        .iter()
        .filter(|group| group.renewed && job.concerns(&group.scopes))
        .map(|group| (&group.group, called(&group.group, &group.name), group.count(), group.sizes.len()));
    let left = |(group, item, count, sizes): (&'a String, String, u32, usize)| {
        let new = job
            .bags
            .get(&fold_name(group))
            .map_or(0, |bag| (0..sizes).map(|size| bag.count(size, PieceState::Replaced)).sum::<u32>());
        (group, item, count.saturating_sub(new))
    };
    let all = bolts.chain(plugs).map(left).chain(always_new(job, sheet));
    all.filter(|(_, _, count)| *count > 0).collect()
}

/// Nuts, washers and sizes that are always new in a joint whose other pieces go back in, less those that are in.
fn always_new<'a>(job: &Job, sheet: &'a Sheet) -> Vec<(&'a String, String, u32)> {
    let joints = sheet.fasteners.iter().filter(|group| !group.single_use && job.concerns(&group.scopes));
    let of_joint = |group: &'a Fasteners| {
        let bag = job.bags.get(&fold_name(&group.group));
        let new = group.always_new.iter().map(move |new| {
            let index = group.counted().position(|(what, _)| same_name(what, &new.what));
            let there = index.zip(bag).map_or(0, |(index, bag)| bag.count(index, PieceState::Replaced));
            let item = format!("{} {}", called(&group.group, &group.name), new.what);
            (&group.group, item, new.count.saturating_sub(there))
        });
        new.collect::<Vec<_>>()
    };
    joints.flat_map(of_joint).collect()
}

/// The group with its name, where that says more.
fn called(group: &str, name: &str) -> String {
    if name.is_empty() || same_name(group, name) { group.to_owned() } else { format!("{group} {name}") }
}
