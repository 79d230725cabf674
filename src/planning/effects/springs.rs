//! Valve springs over a seat that was cut: installed height with the shim that brings it back, load, coil bind.

use super::bench::Bench;
use super::effect::{Amount, Deciding, Effect, Range, Rule, What, shown};
use super::known::Known;
use super::linked::practice;
use crate::metrology::{Exact, Unit};
use crate::sheets::{Characteristic, Feature, Geometry, Limits, Role, Springs, Valve};

const HEIGHT: Rule = Rule(
    "higher by what the seat loses; the shim that lands nearest the target inside the window, none where none is nearer",
    "trade notes E8",
);
const LOAD: Rule = Rule("rate x (free length - installed height)", "trade notes E8");
const GAP: Rule = Rule("installed height - gross lift - solid height", "trade notes E8");
/// Least gap between the coils at full lift, inches (trade notes E8).
const LEAST_GAP: &str = "0.060";

pub(super) fn effects(bench: &Bench<'_>, geometry: &Geometry) -> Vec<Effect> {
    let mut found = Vec::new();
    for name in bench.cylinders(geometry) {
        for valve in &geometry.valves {
            let sunk = bench.sunk(geometry, name, valve);
            if sunk > Exact::ZERO {
                found.extend(over_seat(bench, geometry, (name, valve), sunk));
            }
        }
    }
    found
}

fn over_seat(
    bench: &Bench<'_>,
    geometry: &Geometry,
    (cylinder, valve): (&str, &Valve),
    sunk: Exact,
) -> Vec<Effect> {
    let (Some((_, feature)), Some(springs)) = (bench.role(geometry, Role::SpringHeight), &geometry.springs)
    else {
        let lacks = "the sheet does not say installed height, rate and solid height of the valve springs: set them up \
                     with a gauge and ask the maker for the window";
        return vec![Effect::missing(What::SpringHeight, lacks, HEIGHT)];
    };
    let name = format!("{cylinder} {}", valve.name);
    let position = Bench::valve_position(feature, cylinder, &valve.name);
    let known = position.and_then(|position| bench.known(geometry, Role::SpringHeight, position));
    let (Some(known), Some(target)) = (known, crate::sheets::nominal(feature, Role::SpringHeight.judged()))
    else {
        let lacks = "the sheet does not say the installed height aimed at: ask the maker";
        return vec![Effect::missing(What::SpringHeight, lacks, HEIGHT)];
    };
    let raw = known.value + sunk;
    let row = feature.row(Characteristic::Height);
    let window = row.and_then(|row| row.new);
    let shim = shim(springs, raw, target, window);
    let height = raw - shim;
    let deciding = row.and_then(Deciding::of);
    let range = (Range::one(height), feature.unit);
    let effect = Effect::ranged(What::SpringHeight, &name, range, deciding.as_ref(), HEIGHT)
        .from(known.words(feature.unit))
        .step(laid_under(raw, shim, feature.unit));
    let mut all = vec![effect];
    let free =
        position_of(bench, geometry, &name).and_then(|at| bench.known(geometry, Role::SpringLength, at));
    all.extend(free.map(|free| load(bench, springs, (&name, feature), (known.value, height, free))));
    all.extend(gap(springs, valve, (&name, feature), height));
    all
}

fn position_of(bench: &Bench<'_>, geometry: &Geometry, name: &str) -> Option<usize> {
    let (_, feature) = bench.role(geometry, Role::SpringLength)?;
    Bench::valve_position(feature, name, "")
}

/// The shim that lands nearest the target inside the window, of equal ones the thinner; none where it is nought. Where
/// nothing lands inside, what lands nearest is told, and that it is outside.
pub(super) fn shim(springs: &Springs, raw: Exact, target: Exact, window: Option<Limits>) -> Exact {
    let off = |shim: Exact| {
        let height = raw - shim;
        let outside = window.is_some_and(|window| window.outside(height).is_some());
        (outside, (height - target).abs(), shim)
    };
    let all = std::iter::once(Exact::ZERO).chain(springs.shims.iter().copied());
    all.map(off).min().map_or(Exact::ZERO, |(_, _, shim)| shim)
}

fn laid_under(raw: Exact, shim: Exact, unit: Unit) -> String {
    if shim == Exact::ZERO {
        format!("{} with no shim", shown(raw, unit))
    } else {
        format!("{} without; a shim of {} under the spring", shown(raw, unit), shown(shim, unit))
    }
}

fn load(
    bench: &Bench<'_>,
    springs: &Springs,
    (name, _): (&str, &Feature),
    (before, height, free): (Exact, Exact, Known),
) -> Effect {
    let [(now, unit), (then, _)] =
        [before, height].map(|height| springs.load(free.value, height, bench.sheet.unit));
    Effect::new(What::SpringLoad, name, shown(then, unit), LOAD)
        .from(shown(now, unit))
        .worth(Amount::Exact(then, unit))
        .step(format!("free length {}", free.words(bench.sheet.unit)))
        .step("the sheet's loads are limits at its own height: the spring itself is judged there")
}

fn gap(springs: &Springs, valve: &Valve, (name, feature): (&str, &Feature), height: Exact) -> Option<Effect> {
    let Some(lift) = valve.lift else {
        let lacks = "the sheet does not say the gross lift of the valve: check for coil bind by hand";
        return Some(Effect::missing(What::CoilGap, lacks, GAP));
    };
    let limits = Limits { min: Some(practice(LEAST_GAP)), max: None };
    let deciding = Deciding { limits, source: "common practice".to_owned() };
    let left = (Range::one(height - lift - springs.solid), feature.unit);
    let effect = Effect::ranged(What::CoilGap, name, left, Some(&deciding), GAP);
    Some(effect.step("at gross lift, as if there were no lash"))
}
