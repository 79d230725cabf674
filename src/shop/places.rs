//! From the words of a drop to surfaces, places, parts and sizes of a sheet.

use crate::facts::{Digits, PartBody, ReadingBody, SizeWord, Stamp, unit_of};
use crate::metrology::{Exact, Length};
use crate::sheets::{Feature, Sheet, find_position, fold_name, same_name};
use crate::shop::held::HeldWhy;
use crate::shop::surfaces::{Place, SurfaceKey};
use std::collections::BTreeSet;

/// Where a reading was taken.
pub(super) type Spot = (SurfaceKey, Place);

/// A part kind and the index of its position, 0 where it has one.
pub type PartPlace = (usize, usize);

/// The surfaces a feature name and positions mean; `all` means every one.
pub(super) fn surfaces_of(
    sheet: &Sheet,
    written: &str,
    positions: &[Digits],
) -> Result<Vec<SurfaceKey>, HeldWhy> {
    let (index, feature) =
        sheet.feature(written).ok_or_else(|| HeldWhy::NoSuchPlace(format!("feature {written}")))?;
    let mut keys = BTreeSet::new();
    for position in positions {
        if same_name(&position.0, "all") {
            keys.extend((0..feature.positions.len()).map(|position| SurfaceKey { feature: index, position }));
        } else {
            let found = feature.position(&position.0);
            let position =
                found.ok_or_else(|| HeldWhy::NoSuchPlace(format!("{} {position}", feature.key)))?;
            keys.insert(SurfaceKey { feature: index, position });
        }
    }
    Ok(keys.into_iter().collect())
}

/// Where a reading was taken. What may be left out is what the feature has only one of.
pub(super) fn spot_of(sheet: &Sheet, body: &ReadingBody) -> Result<Spot, HeldWhy> {
    let (index, feature) = sheet
        .feature(&body.feature)
        .ok_or_else(|| HeldWhy::NoSuchPlace(format!("feature {}", body.feature)))?;
    let pick =
        |written: Option<&str>, count: usize, what: &str, find: &dyn Fn(&str) -> Option<usize>| match written
        {
            Some(text) => {
                find(text).ok_or_else(|| HeldWhy::NoSuchPlace(format!("{} {what} {text:?}", feature.key)))
            }
            None if count == 1 => Ok(0),
            None => Err(HeldWhy::NoSuchPlace(format!("{} without a {what}: there are several", feature.key))),
        };
    let position = body.position.as_ref().map(|p| p.0.as_str());
    let position = pick(position, feature.positions.len(), "position", &|t| feature.position(t))?;
    let station = pick(body.station.as_deref(), feature.stations.len(), "station", &|t| feature.station(t))?;
    let direction =
        pick(body.direction.as_deref(), feature.directions.len(), "direction", &|t| feature.direction(t))?;
    Ok((SurfaceKey { feature: index, position }, Place { station, direction }))
}

/// The part a surface belongs to.
pub(super) fn part_of(sheet: &Sheet, key: SurfaceKey) -> PartPlace {
    let Some(feature) = sheet.features.get(key.feature) else { return (0, 0) };
    let positions = sheet.parts.get(feature.part).map_or(&[][..], |part| part.positions.as_slice());
    let name = feature.positions.get(key.position);
    let position = name.and_then(|name| positions.iter().position(|p| p == name)).unwrap_or(0);
    (feature.part, position)
}

/// The parts a part drop is about. Where there are several, it must say which.
pub(super) fn part_places(sheet: &Sheet, body: &PartBody) -> Result<Vec<PartPlace>, HeldWhy> {
    let (index, part) = sheet.part(&body.part).ok_or_else(|| no_such_part(sheet, &body.part))?;
    if part.positions.is_empty() {
        return Ok(vec![(index, 0)]);
    }
    let written: Vec<Digits> = body.position.iter().chain(&body.positions).cloned().collect();
    if written.is_empty() && part.positions.len() > 1 && !body.may_mean_all() {
        let all = part.positions.join(", ");
        let words =
            format!("{} without a position: name which of {all}, or all of them by \"all\"", part.key);
        return Err(HeldWhy::NoSuchPlace(words));
    }
    places_of_part(sheet, &body.part, &written)
}

/// The places a part name and positions mean; every one where no position is written or one is `all`.
pub(super) fn places_of_part(
    sheet: &Sheet,
    written: &str,
    positions: &[Digits],
) -> Result<Vec<PartPlace>, HeldWhy> {
    let (index, part) = sheet.part(written).ok_or_else(|| no_such_part(sheet, written))?;
    let every = || (0..part.positions.len().max(1)).map(|position| (index, position));
    if positions.is_empty() || part.positions.is_empty() {
        return Ok(every().collect());
    }
    let mut places = BTreeSet::new();
    for position in positions {
        if same_name(&position.0, "all") {
            places.extend(every());
        } else {
            let found = find_position(&part.positions, &position.0);
            let found = found
                .ok_or_else(|| HeldWhy::NoSuchPlace(format!("{} at position {:?}", part.key, position.0)))?;
            places.insert((index, found));
        }
    }
    Ok(places.into_iter().collect())
}

/// `piston 2, 3`; every position of a part is just its name.
pub(super) fn places_words(sheet: &Sheet, places: &[PartPlace]) -> String {
    let Some(part) = places.first().and_then(|(kind, _)| sheet.parts.get(*kind)) else {
        return String::new();
    };
    let positions: Vec<&str> =
        places.iter().filter_map(|(_, position)| part.positions.get(*position)).map(String::as_str).collect();
    if positions.len() == part.positions.len() {
        part.key.clone()
    } else {
        format!("{} {}", part.key, positions.join(", "))
    }
}

/// A length as written in a drop, exact; `None` for what is no length.
pub(super) fn exact_of(digits: &Digits, unit_symbol: &str) -> Option<Exact> {
    Length::parse(&digits.0, unit_of(unit_symbol)).ok().map(Length::exact)
}

/// Does the sheet have the group of this stamp, and every feature of it this size?
pub(super) fn stamp_fits(sheet: &Sheet, stamp: &Stamp) -> Result<(), HeldWhy> {
    let of_group =
        || sheet.features.iter().filter(|f| !f.group.is_empty() && same_name(&f.group, &stamp.group));
    if of_group().next().is_none() {
        return Err(HeldWhy::NoSuchPlace(format!("size-class group {}", stamp.group)));
    }
    let fits = of_group().all(|feature| has_size(feature, stamp.size));
    if fits { Ok(()) } else { Err(HeldWhy::NoSuchSize(stamp.written.clone())) }
}

/// Can all these surfaces be finished to this size class?
pub(super) fn fits_all(
    sheet: &Sheet,
    keys: &[SurfaceKey],
    finished: Option<SizeWord>,
) -> Result<(), HeldWhy> {
    let fits =
        |key: &SurfaceKey| sheet.features.get(key.feature).is_some_and(|feature| has_size(feature, finished));
    if keys.iter().all(fits) {
        return Ok(());
    }
    Err(HeldWhy::NoSuchSize(finished.map_or_else(String::new, |size| size.show(sheet.unit))))
}

fn has_size(feature: &Feature, size: Option<SizeWord>) -> bool {
    let series = feature.sizes.as_ref();
    match size {
        None | Some(SizeWord::Standard) => true,
        Some(SizeWord::Under(step)) => series.is_some_and(|s| s.has(step) && (s.sign < 0 || s.halved)),
        Some(SizeWord::Over(step)) => series.is_some_and(|s| s.has(step) && s.sign > 0 && !s.halved),
    }
}

/// The name of a part's position; `None` for one without.
pub fn position_of(sheet: &Sheet, (kind, position): PartPlace) -> Option<&str> {
    sheet.parts.get(kind)?.positions.get(position).map(String::as_str)
}

/// The parts of a kind that belong to something at a position: the one of that name where there is one, else all.
pub(super) fn those_at(
    sheet: &Sheet,
    kind: usize,
    position: Option<&str>,
) -> impl Iterator<Item = PartPlace> + use<> {
    let positions = sheet.parts.get(kind).map_or(&[][..], |part| part.positions.as_slice());
    let own = positions.iter().position(|name| position == Some(name.as_str()));
    let there = own.map_or(0..positions.len().max(1), |own| own..own + 1);
    there.map(move |position| (kind, position))
}

/// Everything that these parts carry, and what that carries.
pub(super) fn carried_by(sheet: &Sheet, parts: &[PartPlace]) -> Vec<PartPlace> {
    let (mut open, mut found) = (parts.to_vec(), Vec::new());
    while let Some(base) = open.pop() {
        let carried = sheet.parts.iter().enumerate().filter(|(_, part)| part.sits_on.contains(&base.0));
        for (kind, _) in carried {
            let there = those_at(sheet, kind, position_of(sheet, base));
            let new: Vec<PartPlace> = there.filter(|place| !found.contains(place)).collect();
            found.extend(new.iter().copied());
            open.extend(new);
        }
    }
    found
}

fn no_such_part(sheet: &Sheet, written: &str) -> HeldWhy {
    let known = sheet.parts.iter().map(|part| part.key.as_str());
    HeldWhy::NoSuchPlace(format!("part {written}{}", likely(written, known)))
}

/// ` (is rod or rod cap meant?)`: names a person may have meant, whose words stand in what was written (`conrod` has the rod in
/// it) or that are written nearly so. What has more words of a name comes first; two letters stand in anything.
fn likely<'s>(written: &str, known: impl Iterator<Item = &'s str>) -> String {
    let folded = fold_name(written);
    let met = |name: &str| {
        let words = name.split(' ').map(fold_name);
        words.filter(|word| word.len() > 2 && folded.contains(word)).count()
    };
    let like = |name: &str| strsim::jaro_winkler(&folded, &fold_name(name));
    let mut found: Vec<(usize, f64, &str)> = known
        .map(|name| (met(name), like(name), name))
        .filter(|(met, like, _)| *met > 0 || *like > 0.8)
        .collect();
    found.sort_by(|a, b| b.0.cmp(&a.0).then(b.1.total_cmp(&a.1)).then(a.2.cmp(b.2)));
    let names: Vec<&str> = found.into_iter().take(3).map(|(_, _, name)| name).collect();
    if names.is_empty() { String::new() } else { format!(" (is {} meant?)", names.join(" or ")) }
}
