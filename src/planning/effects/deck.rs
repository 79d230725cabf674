//! Piston to deck, piston to head, and the gasket that the highest piston takes.

use super::bench::Bench;
use super::effect::{Amount, Deciding, Effect, Range, Rule, What, shown};
use super::known::Known;
use crate::judgement::{GasketLeaves, gaskets_for};
use crate::metrology::{Exact, Unit};
use crate::sheets::{Feature, Geometry, Limits, Role, ValveGear};
use crate::shop::SurfaceKey;

const DECK: Rule = Rule(
    "deck cut off what lies below the deck; a line bore lifts the crank by up to half of what comes off the caps, a \
     resized rod lowers the piston by up to half of what comes off its faces: measure",
    "trade notes E7, E17",
);
const SQUISH: Rule =
    Rule("gasket and what lies below the deck, less what stands above it", "trade notes E7, H2");
const GASKET: Rule =
    Rule("the highest piston decides; within U of a band's edge both are shown", "trade notes E14");

/// How far below the deck a piston lies now; below zero where it stands proud.
pub(super) fn now(bench: &Bench<'_>, geometry: &Geometry, cylinder: usize) -> Option<Known> {
    let (_, feature) = bench.role(geometry, Role::PistonAtDeck)?;
    let known = bench.known(geometry, Role::PistonAtDeck, cylinder)?;
    let value = if Geometry::is_proud(feature) { -known.value } else { known.value };
    let position = Bench::bank(geometry, cylinder);
    let deck = geometry.of(Role::DeckHeight).map(|feature| SurfaceKey { feature, position });
    let done = deck.filter(|_| !known.read).map_or(Exact::ZERO, |deck| bench.done(deck));
    Some(Known { value: value - done, ..known })
}

/// And after the cuts.
pub(super) fn then(bench: &Bench<'_>, geometry: &Geometry, cylinder: usize) -> Option<Range> {
    let cut = bench.off(geometry, Role::DeckHeight, Bench::bank(geometry, cylinder));
    let left = now(bench, geometry, cylinder)?.value - cut;
    Some(Range { low: left - bench.rise(geometry), high: left + bench.shorter(geometry, cylinder) })
}

/// The gasket's thickness now (`None`), or at one end of what the cuts leave.
pub(super) fn gasket(
    bench: &Bench<'_>,
    geometry: &Geometry,
    end: Option<fn(Range) -> Exact>,
) -> Option<Exact> {
    let chosen = bench.role(geometry, Role::PistonAtDeck).filter(|(_, feature)| !feature.gaskets.is_empty());
    match chosen {
        Some((_, feature)) => {
            let (highest, expanded) = highest(bench, geometry, end)?;
            gaskets_for(feature, highest, expanded).first().map(|gasket| gasket.thickness)
        }
        None => geometry.head_gasket.map(|gasket| gasket.thickness),
    }
}

/// How far the highest piston stands above the deck, and U of that where it was read.
fn highest(
    bench: &Bench<'_>,
    geometry: &Geometry,
    end: Option<fn(Range) -> Exact>,
) -> Option<(Exact, Option<f64>)> {
    let below = |cylinder| match end {
        Some(end) => then(bench, geometry, cylinder).map(end),
        None => now(bench, geometry, cylinder).map(|known| known.value),
    };
    let all = (0..bench.cylinders(geometry).len()).map(below).collect::<Option<Vec<_>>>()?;
    let feature = geometry.of(Role::PistonAtDeck)?;
    let read = bench.judgement.gaskets.iter().find(|choice| choice.highest.feature == feature);
    Some((-all.into_iter().min()?, read.and_then(|choice| choice.expanded)))
}

pub(super) fn effects(bench: &Bench<'_>, geometry: &Geometry) -> Vec<Effect> {
    let Some((_, feature)) = bench.role(geometry, Role::PistonAtDeck) else {
        let moved =
            (0..Bench::banks(geometry).len()).any(|bank| bench.closer(geometry, bank).high > Exact::ZERO);
        let lacks = "the sheet does not say how far pistons lie below the deck: measure each";
        return if moved { vec![Effect::missing(What::PistonToDeck, lacks, DECK)] } else { Vec::new() };
    };
    let mut found = Vec::new();
    for (cylinder, name) in bench.cylinders(geometry).iter().enumerate() {
        found.extend(to_deck(bench, geometry, feature, (cylinder, name)));
        found.extend(squish(bench, geometry, feature, (cylinder, name)));
    }
    found.extend(choice(bench, geometry, feature));
    found
}

fn moves(bench: &Bench<'_>, geometry: &Geometry, cylinder: usize) -> bool {
    let cut = bench.off(geometry, Role::DeckHeight, Bench::bank(geometry, cylinder));
    let all = [cut, bench.rise(geometry), bench.shorter(geometry, cylinder)];
    all.iter().any(|move_by| *move_by > Exact::ZERO)
}

fn to_deck(
    bench: &Bench<'_>,
    geometry: &Geometry,
    feature: &Feature,
    (cylinder, name): (usize, &String),
) -> Option<Effect> {
    if !moves(bench, geometry, cylinder) {
        return None;
    }
    let (known, below) = (now(bench, geometry, cylinder)?, then(bench, geometry, cylinder)?);
    let proud = Geometry::is_proud(feature);
    // Shown as the sheet reads it.
    let as_read = if proud { Range { low: -below.high, high: -below.low } } else { below };
    let before = Known { value: if proud { -known.value } else { known.value }, ..known };
    let row = Role::PistonAtDeck.judged().iter().find_map(|c| feature.row(*c));
    let deciding = row.and_then(Deciding::of);
    let effect = Effect::ranged(What::PistonToDeck, name, (as_read, feature.unit), deciding.as_ref(), DECK);
    let side = if proud { "above the deck" } else { "below the deck" };
    Some(effect.from(before.words(feature.unit)).step(format!("{}, {side}", feature.name)))
}

fn squish(
    bench: &Bench<'_>,
    geometry: &Geometry,
    feature: &Feature,
    (cylinder, name): (usize, &String),
) -> Option<Effect> {
    // Where the sheet reckons it from gasket and protrusion alone, the head is flat and a skim moves nothing.
    let bank = Bench::bank(geometry, cylinder);
    let flat = !feature.gaskets.is_empty() || feature.squish.is_some();
    let skim = if flat { Exact::ZERO } else { bench.off(geometry, Role::HeadThickness, bank) };
    if !moves(bench, geometry, cylinder) && skim == Exact::ZERO {
        return None;
    }
    let Some(before) = gasket(bench, geometry, None) else {
        let lacks =
            "the sheet does not say the thickness of a head gasket that fits: measure with soft metal";
        return Some(Effect::missing(What::Squish, lacks, SQUISH));
    };
    let (Some(high), Some(low)) =
        (gasket(bench, geometry, Some(|range| range.low)), gasket(bench, geometry, Some(|range| range.high)))
    else {
        let lacks = "no gasket of the sheet fits the highest piston then: ask";
        return Some(Effect::missing(What::Squish, lacks, SQUISH));
    };
    let (known, below) = (now(bench, geometry, cylinder)?, then(bench, geometry, cylinder)?);
    let (one, other) = (high + below.low, low + below.high);
    let range = Range { low: one.min(other) - skim, high: one.max(other) };
    let deciding = least_squish(geometry, feature);
    let effect = Effect::ranged(What::Squish, name, (range, feature.unit), deciding.as_ref(), SQUISH);
    let effect = effect.from(Known { value: before + known.value, ..known }.words(feature.unit));
    let effect = if skim > Exact::ZERO {
        effect
            .step("a skim brings only that part of the head closer that lies above the gasket face: measure")
    } else {
        effect
    };
    Some(if deciding.is_none() {
        effect.step(format!(
            "the sheet does not say the least; common practice with steel rods is {}",
            practice(feature.unit)
        ))
    } else {
        effect
    })
}

fn least_squish(geometry: &Geometry, feature: &Feature) -> Option<Deciding> {
    let least = geometry.least_squish.map(|least| Limits { min: Some(least), max: None });
    let limits = feature.squish.or(least)?;
    Some(Deciding { limits, source: "the sheet's".to_owned() })
}

const fn practice(unit: Unit) -> &'static str {
    if matches!(unit, Unit::Inch) { "0.035 to 0.040 in" } else { "0.9 to 1.0 mm" }
}

/// The gaskets the highest piston takes after the cuts, at both ends of what they leave.
fn choice(bench: &Bench<'_>, geometry: &Geometry, feature: &Feature) -> Option<Effect> {
    let any = (0..bench.cylinders(geometry).len()).any(|cylinder| moves(bench, geometry, cylinder));
    if feature.gaskets.is_empty() || !any {
        return None;
    }
    let (before, expanded) = highest(bench, geometry, None)?;
    let mut all: Vec<GasketLeaves> = Vec::new();
    let mut ends = Vec::new();
    for end in [(|range| range.low) as fn(Range) -> Exact, |range| range.high] {
        let (highest, _) = highest(bench, geometry, Some(end))?;
        let fits = gaskets_for(feature, highest, expanded);
        ends.push((highest, fits.is_empty()));
        all.extend(
            fits.into_iter()
                .filter(|gasket| !all.iter().any(|known| known.name == gasket.name))
                .collect::<Vec<_>>(),
        );
    }
    let (unit, highest) = (feature.unit, ends.first()?.0);
    let words = |gasket: &GasketLeaves| {
        format!("{} ({}) leaves {}", shown(gasket.thickness, unit), gasket.name, shown(gasket.squish, unit))
    };
    let then = all.iter().map(words).collect::<Vec<_>>().join("; or ");
    let then = if all.is_empty() { "outside every gasket of the sheet: ask".to_owned() } else { then };
    let now = gaskets_for(feature, before, expanded).iter().map(words).collect::<Vec<_>>().join("; or ");
    let mut effect =
        Effect::new(What::Gasket, "", then, GASKET).from(now).worth(Amount::Exact(highest, unit));
    effect.inside = match ends.as_slice() {
        [(_, false), (_, false)] => Some(true),
        [(_, true), (_, true)] => Some(false),
        _ => None,
    };
    let effect =
        effect.step(format!("the highest piston would stand {} above the deck", shown(highest, unit)));
    Some(if bench.judgement.gaskets.is_empty() {
        effect.step("not every piston was read: measure before a gasket is bought")
    } else {
        effect
    })
}

/// Has the engine its cam on the head?
pub(super) const fn is_overhead(geometry: &Geometry) -> bool {
    matches!(geometry.valve_gear, Some(ValveGear::OverheadCam { .. }))
}
