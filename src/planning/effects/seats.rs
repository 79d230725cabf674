//! Where valves come to lie: cutting a seat sinks the valve, skimming the head lifts its face towards it.

use super::bench::Bench;
use super::effect::{Deciding, Effect, Range, Rule, What, shown};
use crate::metrology::{Exact, Unit};
use crate::sheets::{Characteristic, Geometry, Role, Valve};

const TIP: Rule = Rule("higher by what the seat loses; measure it, do not compute it", "trade notes E9");
const RECESSION: Rule = Rule("deeper by what the seat loses, less what the face loses", "trade notes E9, H2");

pub(super) fn effects(bench: &Bench<'_>, geometry: &Geometry) -> Vec<Effect> {
    let mut found = Vec::new();
    for (cylinder, name) in bench.cylinders(geometry).iter().enumerate() {
        for valve in &geometry.valves {
            let sunk = bench.sunk(geometry, name, valve);
            let skim = bench.off(geometry, Role::HeadThickness, Bench::bank(geometry, cylinder));
            found.extend(tip(bench, geometry, (name, valve), sunk));
            found.extend(recession(bench, geometry, (name, valve), (sunk, skim)));
        }
    }
    found
}

fn tip(
    bench: &Bench<'_>,
    geometry: &Geometry,
    (cylinder, valve): (&str, &Valve),
    sunk: Exact,
) -> Option<Effect> {
    if sunk == Exact::ZERO {
        return None;
    }
    let (_, feature) = bench.role(geometry, Role::ValveTip)?;
    let position = Bench::valve_position(feature, cylinder, &valve.name)?;
    let known = bench.known(geometry, Role::ValveTip, position)?;
    let row = feature.row(Characteristic::Height)?;
    let height = known.value + sunk;
    let unit = feature.unit;
    let range = (Range::one(height), unit);
    let effect = Effect::ranged(
        What::ValveTip,
        format!("{cylinder} {}", valve.name),
        range,
        Deciding::of(row).as_ref(),
        TIP,
    );
    let effect =
        effect.from(known.words(unit)).step("an estimate: measure the new height before the tip is ground");
    Some(match row.new.and_then(|new| new.max).filter(|max| *max < height) {
        Some(max) => effect.step(grind(feature, height - max, unit)),
        None => effect,
    })
}

/// What must come off the tip to bring it back, against the total that may.
fn grind(feature: &crate::sheets::Feature, needed: Exact, unit: Unit) -> String {
    let most =
        feature.row(Characteristic::Removed).and_then(|row| row.after_work).and_then(|limits| limits.max);
    let words = format!("{} off the tip brings it back inside new", shown(needed, unit));
    match most {
        Some(most) if most < needed => {
            format!("{words}, more than the {} the sheet allows in all", shown(most, unit))
        }
        Some(most) => format!("{words}; the sheet allows {} in all", shown(most, unit)),
        None => words,
    }
}

fn recession(
    bench: &Bench<'_>,
    geometry: &Geometry,
    (cylinder, valve): (&str, &Valve),
    (sunk, skim): (Exact, Exact),
) -> Option<Effect> {
    if sunk == Exact::ZERO && skim == Exact::ZERO {
        return None;
    }
    let (_, feature) = bench.role(geometry, Role::Recession)?;
    let position = Bench::valve_position(feature, cylinder, &valve.name)?;
    let known = bench.known(geometry, Role::Recession, position)?;
    let deciding = Role::Recession.judged().iter().find_map(|c| feature.row(*c)).and_then(Deciding::of);
    let range = (Range::one(known.value + sunk - skim), feature.unit);
    let name = format!("{cylinder} {}", valve.name);
    Some(
        Effect::ranged(What::Recession, name, range, deciding.as_ref(), RECESSION)
            .from(known.words(feature.unit)),
    )
}
