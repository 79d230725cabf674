//! Rods whose big ends are resized: shorter by up to half of what came off the faces, and alike over the engine.

use super::bench::Bench;
use super::effect::{Deciding, Effect, Range, Rule, What};
use crate::metrology::Exact;
use crate::sheets::{Characteristic, Geometry, Role};

const CENTRES: Rule = Rule(
    "shorter by half of what comes off rod and cap when honed self-centred, less down to nothing when bored on the \
     original centre: measure",
    "trade notes E17",
);
const SPREAD: Rule = Rule("all rods of an engine alike", "trade notes E17");

pub(super) fn effects(bench: &Bench<'_>, geometry: &Geometry) -> Vec<Effect> {
    let cylinders = bench.cylinders(geometry);
    let shorter: Vec<Exact> =
        (0..cylinders.len()).map(|cylinder| bench.shorter(geometry, cylinder)).collect();
    if shorter.iter().all(|shorter| *shorter == Exact::ZERO) {
        return Vec::new();
    }
    let Some((_, feature)) = bench.role(geometry, Role::RodCentres) else {
        let lacks =
            "the sheet does not say the centre distance of the rods: measure all of them after the work";
        return vec![Effect::missing(What::RodCentres, lacks, CENTRES)];
    };
    let deciding = feature.row(Characteristic::Length).and_then(Deciding::of);
    let (mut found, mut all) = (Vec::new(), Vec::new());
    for (cylinder, (name, shorter)) in cylinders.iter().zip(&shorter).enumerate() {
        let Some(known) = bench.known(geometry, Role::RodCentres, cylinder) else { continue };
        let range = Range { low: known.value - *shorter, high: known.value };
        all.push(range);
        if *shorter > Exact::ZERO {
            let effect =
                Effect::ranged(What::RodCentres, name, (range, feature.unit), deciding.as_ref(), CENTRES);
            found.push(effect.from(known.words(feature.unit)));
        }
    }
    let spread = feature.row(Characteristic::Spread).and_then(|row| {
        let deciding = Deciding::of(row)?;
        let range = (apart(&all)?, feature.unit);
        Some(Effect::ranged(What::RodSpread, "", range, Some(&deciding), SPREAD))
    });
    found.extend(
        spread.map(|effect| effect.step("from all honed self-centred to the worst of what may happen")),
    );
    found
}

/// How far the rods differ: all honed self-centred, and at worst.
fn apart(all: &[Range]) -> Option<Range> {
    let low = |pick: fn(&Range) -> Exact| all.iter().map(pick).min();
    let high = |pick: fn(&Range) -> Exact| all.iter().map(pick).max();
    let centred = high(|range| range.low)? - low(|range| range.low)?;
    let worst = high(|range| range.high)? - low(|range| range.low)?;
    Some(Range { low: centred, high: worst })
}
