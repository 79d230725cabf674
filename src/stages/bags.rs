//! Groups of bolts, plugs and pins beside their bags.

use crate::facts::PieceState;
use crate::sheets::{Plugs, fold_name};
use crate::shop::{Bag, Job};

/// A group of the sheet and what was counted of it.
pub(super) struct Group<'a> {
    /// `G01 Main caps`.
    pub(super) name: String,
    /// Sizes and how many of each the engine has.
    pub(super) sizes: Vec<(&'a str, u32)>,
    /// Where each size goes, as far as the sheet says it.
    places: Vec<&'a [String]>,
    bag: Option<&'a Bag>,
    /// Always new when they go back in.
    pub(super) renewed: bool,
}

impl Group<'_> {
    pub(super) fn count(&self, size: usize, state: PieceState) -> u32 {
        self.bag.map_or(0, |bag| bag.count(size, state))
    }

    /// Has anybody counted what came out?
    pub(super) fn is_counted_out(&self) -> bool {
        self.bag.is_some_and(Bag::is_counted_out)
    }

    /// Sizes of which fewer came out, or are known lost or broken, than the engine has: `8 of 10 1/2-13 x 3.75`.
    pub(super) fn short(&self) -> Vec<String> {
        let out = |size| self.bag.map_or(0, |bag| bag.out(size));
        let short = self.sizes.iter().enumerate().filter(|(size, (_, has))| out(*size) < *has);
        short.map(|(size, (name, has))| format!("{} of {has} {name}", out(size))).collect()
    }

    /// More of a size came out than the engine has places for: `4 of 3 5/16-18 x 3.00 (places 1, 2, 3)`.
    pub(super) fn over(&self) -> Vec<String> {
        let bagged = |size| self.count(size, PieceState::Bagged);
        let over = self.sizes.iter().enumerate().filter(|(size, (_, has))| bagged(*size) > *has);
        over.map(|(size, (name, has))| {
            let places = self.places.get(size).map_or(&[][..], |places| places).join(", ");
            let places = if places.is_empty() { places } else { format!(" (places {places})") };
            format!("{} of {has} {name}{places}", bagged(size))
        })
        .collect()
    }

    /// Old pieces of a size are back in though they came out unfit: too few are left that are good.
    pub(super) fn unfit(&self, size: usize) -> Option<String> {
        let bagged = self.bag?.counts.get(&(size, PieceState::Bagged))?;
        let (trouble, count) = bagged.trouble?;
        let used = self.count(size, PieceState::Used);
        let (name, _) = self.sizes.get(size)?;
        (used > bagged.count.saturating_sub(count)).then(|| {
            format!(
                "{used} old {name} back in, and {count} of {} came out {} ({}): put new ones in for those, and count them \
                 replaced",
                bagged.count,
                trouble.word(),
                bagged.said.words()
            )
        })
    }

    /// Pieces that are back in, old or new.
    pub(super) fn back_in(&self, size: usize) -> u32 {
        self.bag.map_or(0, |bag| bag.back_in(size))
    }

    /// More of a size is said to be back in or gone than came out of the engine.
    pub(super) fn too_many(&self, size: usize) -> Option<String> {
        let has = self.sizes.get(size).map_or(0, |(_, has)| *has);
        let said = [PieceState::Used, PieceState::Scrapped, PieceState::Spare]
            .map(|state| (state.word(), self.count(size, state)));
        let gone =
            [PieceState::Lost, PieceState::Broken].map(|state| (state.word(), self.count(size, state)));
        let bagged = self.count(size, PieceState::Bagged);
        let all_gone: u32 = gone.iter().map(|(_, count)| count).sum();
        let gone_from_bag = (bagged + all_gone).saturating_sub(has).min(all_gone);
        let sum = said.iter().map(|(_, count)| count).sum::<u32>() + gone_from_bag;
        if bagged == 0 || sum <= bagged {
            return None;
        }
        let counts = said.iter().chain(&gone).filter(|(_, count)| *count > 0);
        let counts: Vec<String> = counts.map(|(word, count)| format!("{count} {word}")).collect();
        Some(format!("{} of {bagged} bagged", counts.join(" and ")))
    }

    /// Pieces of a size in the bag that are neither back in nor explained. One that was bagged and then lost or broken
    /// is gone from the bag; one that never came was not in it. A new one goes first for a lost one, then for one of
    /// the bag.
    pub(super) fn left_over(&self, size: usize) -> u32 {
        let has = self.sizes.get(size).map_or(0, |(_, has)| *has);
        let bagged = self.count(size, PieceState::Bagged);
        let gone = self.count(size, PieceState::Lost) + self.count(size, PieceState::Broken);
        let gone_from_bag = (bagged + gone).saturating_sub(has).min(gone);
        let taken = self.count(size, PieceState::Used)
            + self.count(size, PieceState::Scrapped)
            + self.count(size, PieceState::Spare)
            + self.count(size, PieceState::Replaced).saturating_sub(gone);
        bagged.saturating_sub(gone_from_bag + taken)
    }
}

/// The fastener groups in scope.
pub(super) fn fasteners(job: &Job) -> Vec<Group<'_>> {
    let Some(sheet) = job.sheet.as_deref() else { return Vec::new() };
    let asked = sheet.fasteners.iter().filter(|group| job.concerns(&group.scopes));
    asked
        .map(|group| Group {
            name: named(&group.group, &group.name),
            sizes: group.sizes.iter().map(|size| (size.size.as_str(), size.count)).collect(),
            places: group.sizes.iter().map(|size| size.places.as_slice()).collect(),
            bag: job.bags.get(&fold_name(&group.group)),
            renewed: group.single_use,
        })
        .collect()
}

/// The groups of sealing plugs in scope.
pub(super) fn plugs(job: &Job) -> Vec<Group<'_>> {
    job.sheet.as_deref().map_or_else(Vec::new, |sheet| of_plugs(job, &sheet.plugs))
}

/// The groups of locking pins in scope.
pub(super) fn pins(job: &Job) -> Vec<Group<'_>> {
    job.sheet.as_deref().map_or_else(Vec::new, |sheet| of_plugs(job, &sheet.pins))
}

fn of_plugs<'a>(job: &'a Job, all: &'a [Plugs]) -> Vec<Group<'a>> {
    let asked = all.iter().filter(|group| job.concerns(&group.scopes));
    asked
        .map(|group| Group {
            name: named(&group.group, &group.name),
            sizes: group.sizes.iter().map(|size| (size.size.as_str(), size.count)).collect(),
            places: Vec::new(),
            bag: job.bags.get(&fold_name(&group.group)),
            renewed: group.renewed,
        })
        .collect()
}

/// Label and name of a group.
pub(super) fn named(group: &str, name: &str) -> String {
    format!("{group} {name}").trim_end().to_owned()
}
