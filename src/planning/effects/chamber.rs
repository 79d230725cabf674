//! Chamber volume after a skim: a skim takes its depth times the chamber's area at the gasket face.

use super::bench::Bench;
use super::effect::{Deciding, Effect, Range, Rule, What, shown};
use super::known::Known;
use crate::metrology::{Exact, Unit};
use crate::sheets::{Geometry, Role};
use crate::shop::SurfaceKey;

const RULE: Rule = Rule("volume less area at the gasket face times skim", "trade notes E7");
pub(super) const NO_FOOTPRINT: &str = "the sheet does not say the chamber's area at the gasket face: measure the \
                                       volume after the skim";

/// A cylinder's chamber as it is; nought where the engine has none that is measured.
pub(super) fn now(bench: &Bench<'_>, geometry: &Geometry, cylinder: usize) -> Option<Known> {
    let Some(known) = bench.known(geometry, Role::Chamber, cylinder) else {
        return geometry.of(Role::Chamber).is_none().then_some(Known { value: Exact::ZERO, read: true });
    };
    let head =
        SurfaceKey { feature: geometry.of(Role::HeadThickness)?, position: Bench::bank(geometry, cylinder) };
    match lost(geometry, bench.done(head)) {
        Some(lost) if !known.read => Some(Known::nominal(known.value - lost)),
        Some(_) | None => Some(known),
    }
}

/// What a skim takes from a chamber, cc; nothing takes nothing, and without the footprint nobody knows.
pub(super) fn lost(geometry: &Geometry, skim: Exact) -> Option<Exact> {
    if skim == Exact::ZERO {
        return Some(Exact::ZERO);
    }
    // A square centimetre by a millimetre is a tenth of a cc.
    Some(skim.times(geometry.footprint?).part(1, 10))
}

pub(super) fn effects(bench: &Bench<'_>, geometry: &Geometry) -> Vec<Effect> {
    let Some((_, feature)) = bench.role(geometry, Role::Chamber) else { return Vec::new() };
    let deciding = feature.row(crate::sheets::Characteristic::Volume).and_then(Deciding::of);
    let mut found = Vec::new();
    for (cylinder, name) in bench.cylinders(geometry).iter().enumerate() {
        let skim = bench.off(geometry, Role::HeadThickness, Bench::bank(geometry, cylinder));
        if skim == Exact::ZERO {
            continue;
        }
        let (Some(known), Some(lost)) = (now(bench, geometry, cylinder), lost(geometry, skim)) else {
            found.push(Effect::missing(What::ChamberVolume, NO_FOOTPRINT, RULE));
            continue;
        };
        let unit = Unit::CubicCentimetre;
        let then = Range::one(known.value - lost);
        let effect = Effect::ranged(What::ChamberVolume, name, (then, unit), deciding.as_ref(), RULE);
        let (area, skim) =
            (geometry.footprint.map_or_else(String::new, |a| a.show(unit)), shown(skim, bench.sheet.unit));
        found.push(effect.from(known.words(unit)).step(format!(
            "{area} cm2 x {skim} = {}; {} less that",
            shown(lost, unit),
            shown(known.value, unit)
        )));
    }
    found
}
