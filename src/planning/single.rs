//! Surfaces that stand in no group: their remedies one by one.

use crate::facts::HouseRules;
use crate::judgement::Judged;
use crate::metrology::{Exact, Length, Unit};
use crate::planning::line::{Deed, How, PlanLine};
use crate::planning::search::Ways;
use crate::planning::ways::{Builder, beside};
use crate::sheets::{Characteristic, Feature, Remedy, RemedyKind, Role};
use crate::shop::{Surface, SurfaceKey};

/// What can be done about surfaces that one piece of work puts right. (That their part can be replaced is looked at with the
/// part.)
pub(super) fn ways(builder: &mut Builder<'_>, keys: &[SurfaceKey]) -> Ways {
    let first = keys.first().and_then(|key| Some((*key, builder.sheet.features.get(key.feature)?)));
    let Some((key, feature)) = first else { return Ways::All(Vec::new()) };
    let mut ways = Vec::new();
    let mut why = Vec::new();
    // What was agreed is done, and nothing else.
    let agreed = keys.iter().find_map(|key| builder.job.awaited_work(*key)).map(|agreed| &agreed.operation);
    let is_asked = |remedy: &&Remedy| agreed.is_none_or(|agreed| *agreed == remedy.operation);
    for remedy in feature.remedies.iter().filter(is_asked) {
        match line(builder, key, feature, remedy) {
            Ok(mut line) => {
                line.cost.patched =
                    u32::from(matches!(remedy.kind, RemedyKind::BuildUp | RemedyKind::Sleeve));
                ways.push(builder.one(line));
            }
            Err(because) => why.push(because),
        }
    }
    if ways.is_empty() {
        let about = builder.job.surface_name(key);
        let why = if why.is_empty() { "the sheet has no work for it".to_owned() } else { why.join("; ") };
        ways.push(builder.nothing(about, why));
    }
    Ways::Any(ways)
}

fn line(
    builder: &Builder<'_>,
    key: SurfaceKey,
    feature: &Feature,
    remedy: &Remedy,
) -> Result<PlanLine, String> {
    let price = builder.work(&remedy.operation, feature);
    let work = |how: How| Deed::Work { surface: key, operation: remedy.operation.clone(), to: None, how };
    match remedy.kind {
        RemedyKind::Cut => {
            let cut = flat_after(builder, key).ok_or("how much must come off was not measured")?;
            // No machinist stops at the last thousandth the indicator showed.
            let cut = (cut + face_stock(builder)).up_to(feed(builder.sheet.unit));
            left_after(builder, key, remedy, cut)?;
            Ok(PlanLine::of(work(How::Cut(cut)), price).with_metal(cut))
        }
        RemedyKind::ToSize => Err("it stands in no group of sizes".to_owned()),
        RemedyKind::Restore if is_under_bedplate(builder, key, remedy) => {
            Err("a bedplate is one part: its housings are not cut one by one, ask the machinist".to_owned())
        }
        RemedyKind::Sleeve
        | RemedyKind::BuildUp
        | RemedyKind::Restore
        | RemedyKind::Straighten
        | RemedyKind::Dress => Ok(PlanLine::of(work(How::Otherwise), price)),
    }
}

/// Would the work cut single main housings that a bedplate holds together?
fn is_under_bedplate(builder: &Builder<'_>, key: SurfaceKey, remedy: &Remedy) -> bool {
    let mains = builder.sheet.geometry.as_ref().and_then(|geometry| geometry.of(Role::MainHousing));
    let cut = [Some(key.feature), remedy.takes_from];
    builder.sheet.engine.bedplate && mains.is_some_and(|mains| cut.contains(&Some(mains)))
}

/// What the house rules add for the face to come out whole.
fn face_stock(builder: &Builder<'_>) -> Exact {
    let rules = builder.job.rules.as_deref();
    rules.and_then(HouseRules::stock_of_faces).map_or(Exact::ZERO, Length::exact)
}

/// What is fed at a time: five ten-thousandths of an inch, a hundredth of a millimetre (common practice).
fn feed(unit: Unit) -> Exact {
    if unit == Unit::Inch { Exact::nearest(0.0127) } else { Exact::nearest(0.01) }
}

/// The least that must come off a face: the most it is out of flat by any row that judges it, those too that are inside, at
/// the far end of its uncertainty.
fn flat_after(builder: &Builder<'_>, key: SurfaceKey) -> Option<Exact> {
    let of_face = builder
        .judgement
        .standing()
        .filter(|verdict| verdict.key.surface == key || builder.is_one_face(key, verdict.key.surface))
        .filter(|verdict| {
            matches!(verdict.key.characteristic, Characteristic::Flatness | Characteristic::FlatnessPerLength)
        });
    let far = |judged: &Judged| judged.value + Exact::nearest(2.0 * judged.u.unwrap_or(0.0));
    of_face.filter_map(|verdict| verdict.judged.as_ref().map(far)).max()
}

/// What is left must hold, and so must the total that was ever taken off.
fn left_after(builder: &Builder<'_>, face: SurfaceKey, remedy: &Remedy, cut: Exact) -> Result<(), String> {
    let Some((index, from)) = remedy.takes_from.and_then(|i| Some((i, builder.sheet.features.get(i)?)))
    else {
        return Ok(());
    };
    let key = beside(builder.sheet, face, index);
    let unit = from.unit;
    let thinnest = builder.readings.ends(key).map(|(thinnest, _)| thinnest);
    let least = from.thickness_row().and_then(|row| row.after_work).and_then(|limits| limits.min);
    if let (Some(thinnest), Some(least)) = (thinnest, least)
        && thinnest - cut < least
    {
        let left = (thinnest - cut).show(unit);
        return Err(format!("{} would be {left}, less than {}", from.key, least.show(unit)));
    }
    let most = from.row(Characteristic::Removed).and_then(|row| row.after_work).and_then(|limits| limits.max);
    // What is thinner than a new one was cut before, whoever said so.
    let said = builder.job.surfaces.get(&key).map_or(Exact::ZERO, Surface::removed);
    let gone = thinnest.and_then(|thinnest| from.gone_at(thinnest)).unwrap_or(Exact::ZERO);
    let before = said.max(gone);
    match most {
        Some(most) if most < before + cut => Err(format!(
            "{} would have lost {} in all, more than {}",
            from.key,
            (before + cut).show(unit),
            most.show(unit)
        )),
        Some(_) | None => Ok(()),
    }
}
