//! What goes along with an order: as it was typed, else as the sheet has it; and the fillets of a ground journal.

use crate::judgement::words::limits;
use crate::pages::sections::size_words;
use crate::sheets::{
    Characteristic, Fasteners, Feature, Part, RemedyKind, Shape, Sheet, fold_name, same_name,
};
use crate::shop::{Job, Order};
use std::collections::BTreeSet;

/// What was typed; where nobody typed anything, what the sheet asks for, said to be so.
pub(super) fn words(job: &Job, order: &Order) -> String {
    if !order.out.supplied.is_empty() {
        return order.out.supplied.join(", ");
    }
    let mut lines = proposed(job, order);
    if !lines.is_empty() {
        lines.push("(from the sheet: nobody wrote what goes with it)".to_owned());
    }
    lines.join("\n")
}

fn proposed(job: &Job, order: &Order) -> Vec<String> {
    let Some(sheet) = job.sheet.as_deref() else { return Vec::new() };
    let features: BTreeSet<usize> = order.surfaces.iter().map(|key| key.feature).collect();
    let features: Vec<&Feature> = features.iter().filter_map(|index| sheet.features.get(*index)).collect();
    let mut lines = new_parts(job, sheet, order, &features);
    if is_bored(order, &features) {
        lines.extend(clamped(job, sheet, order));
        let bored = |feature: &&Feature| {
            sheet.parts.iter().any(|part| is_sized_by(part.sized_by.as_deref(), feature))
        };
        let restored = RemedyKind::of(&order.out.operation) == RemedyKind::Restore;
        if sheet.engine.torque_plate && !restored && features.iter().any(bored) {
            lines.push("the torque plate, with a head gasket and the head bolts".to_owned());
        }
    }
    lines
}

fn is_sized_by(sized_by: Option<&str>, feature: &Feature) -> bool {
    sized_by.is_some_and(|group| same_name(group, &feature.group))
}

/// The new parts that this cut is made for: pistons for boring, shells for grinding.
fn new_parts(job: &Job, sheet: &Sheet, order: &Order, features: &[&Feature]) -> Vec<String> {
    let size = size_words(job, order.out.finished);
    let wanted = sheet.parts.iter().filter(|part| {
        job.concerns(&part.scopes)
            && part.is_needed_before(&order.out.operation)
            && features.iter().any(|feature| is_sized_by(part.sized_by.as_deref(), feature))
    });
    let line = |part: &Part| {
        let own = order.surfaces.iter().filter(|key| {
            let cut = sheet.features.get(key.feature);
            cut.is_some_and(|cut| is_sized_by(part.sized_by.as_deref(), cut))
        });
        format!("the new {}, {size}, {}", part.key, own.count())
    };
    wanted.map(line).collect()
}

/// A bore is cut to a size.
fn is_bored(order: &Order, features: &[&Feature]) -> bool {
    let kind = RemedyKind::of(&order.out.operation);
    let is_round = matches!(kind, RemedyKind::ToSize | RemedyKind::Sleeve | RemedyKind::Restore);
    is_round && features.iter().any(|feature| feature.shape == Shape::Bore)
}

/// The groups that are tight while it is cut: those that clamp what is cut, and, where a bore is, the bores of the same part.
pub(super) fn tight_meanwhile<'s>(job: &Job, sheet: &'s Sheet, order: &Order) -> Vec<&'s Fasteners> {
    let own: BTreeSet<usize> = order.surfaces.iter().map(|key| key.feature).collect();
    let features: Vec<&Feature> = own.iter().filter_map(|index| sheet.features.get(*index)).collect();
    let is_bored = is_bored(order, &features);
    let is_tight = |index: &usize| {
        let of_its_part = sheet.features.get(*index).is_some_and(|clamped| {
            clamped.shape == Shape::Bore && features.iter().any(|feature| feature.part == clamped.part)
        });
        own.contains(index) || (is_bored && of_its_part)
    };
    let groups = sheet.fasteners.iter().filter(|group| job.concerns(&group.scopes));
    groups.filter(|group| group.clamps.iter().any(is_tight)).collect()
}

/// What is tightened on while it is cut: the caps of its own housings, or those of its block, and the bolts that will be
/// used.
fn clamped(job: &Job, sheet: &Sheet, order: &Order) -> Vec<String> {
    let mut lines = Vec::new();
    for group in tight_meanwhile(job, sheet, order) {
        lines.extend(caps(sheet, order, group).map(|(part, count)| format!("{part}, {count}")));
        let count: u32 = group.sizes.iter().map(|size| size.count).sum();
        let which = if group.single_use {
            "new ones, the kind that will be used"
        } else {
            "the ones that will be used"
        };
        lines.push(format!("bolts {} {}, {count}: {which}", group.group, group.name));
    }
    lines
}

/// The parts that bolts hold over their housings: at the same positions, not thrown away, and not on the order already.
fn caps<'s>(
    sheet: &'s Sheet,
    order: &'s Order,
    group: &'s Fasteners,
) -> impl Iterator<Item = (&'s str, usize)> {
    group.holds.iter().filter_map(move |index| {
        let part = sheet.parts.get(*index).filter(|part| !part.renewed && !part.positions.is_empty())?;
        let clamped = || group.clamps.iter().filter_map(|feature| sheet.features.get(*feature));
        let is_over = clamped().any(|f| f.part != *index && f.positions == part.positions);
        let goes = order.parts.iter().any(|(kind, _)| kind == index);
        (is_over && !goes).then_some((part.key.as_str(), part.positions.len()))
    })
}

/// The fillets at both ends of the journals that are ground, where the sheet has limits for them.
pub(super) fn fillets(job: &Job, order: &Order) -> String {
    let Some(sheet) = job.sheet.as_deref() else { return String::new() };
    if RemedyKind::of(&order.out.operation) != RemedyKind::ToSize {
        return String::new();
    }
    let mut lines: Vec<String> = Vec::new();
    for key in &order.surfaces {
        let Some(journal) = sheet.features.get(key.feature).filter(|f| f.shape == Shape::Shaft) else {
            continue;
        };
        for line in of_journal(sheet, journal) {
            if !lines.contains(&line) {
                lines.push(line);
            }
        }
    }
    lines.join("\n")
}

fn of_journal(sheet: &Sheet, journal: &Feature) -> Vec<String> {
    let radius =
        |feature: &Feature| feature.rows.iter().find(|row| row.characteristic == Characteristic::Radius)?.new;
    let on_part =
        sheet.features.iter().filter(|f| f.part == journal.part && f.positions == journal.positions);
    let all: Vec<(&Feature, _)> = on_part.filter_map(|f| Some((f, radius(f)?))).collect();
    // Mains and pins may have as many positions: the name then says whose they are.
    let names_it = |feature: &Feature| {
        let name = fold_name(&format!("{} {}", feature.key, feature.name));
        !journal.group.is_empty() && name.contains(&fold_name(&journal.group))
            || name.contains(&fold_name(&journal.key))
    };
    let is_named = all.iter().any(|(feature, _)| names_it(feature));
    let own = all.iter().filter(|(feature, _)| !is_named || names_it(feature));
    own.map(|(feature, new)| {
        format!(
            "{} {} {}, at both ends of each",
            feature.key,
            limits(new, feature.unit),
            feature.unit.symbol()
        )
    })
    .collect()
}
