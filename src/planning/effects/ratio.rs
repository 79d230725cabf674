//! Compression ratio of each cylinder from its own volumes, before and after, and how far the engine's differ.

use super::bench::Bench;
use super::effect::{Amount, Effect, Range, Rule, What};
use super::{chamber, deck, pistons};
use crate::metrology::Exact;
use crate::sheets::{Geometry, Role};
use crate::workbench::compression::{Cylinder, round};

const RULE: Rule = Rule(
    "CR = (Vs + Vc) / Vc; Vc = chamber + recess + gasket + what lies below the deck + dish, each cylinder from its own \
     volumes, bores at their lower finished limit",
    "trade notes E6, E7",
);

/// A ratio with how far its arithmetic may be off.
#[derive(Clone, Copy)]
struct Ratio {
    value: f64,
    error: f64,
}

impl Ratio {
    /// `None` where nothing is left above the piston.
    fn of(cylinder: &Cylinder) -> Option<Self> {
        let left = cylinder.clearance();
        if left <= 0.0 {
            return None;
        }
        let terms = cylinder.chamber.abs()
            + round(cylinder.gasket.0, cylinder.gasket.1)
            + round(cylinder.bore, cylinder.deck).abs()
            + cylinder.dish.abs();
        let value = cylinder.ratio();
        // A dozen roundings, each felt as much as the terms are larger than what they leave.
        Some(Self { value, error: 64.0 * f64::EPSILON * value * (1.0 + terms / left) })
    }

    const fn amount(self) -> Amount {
        Amount::Computed { value: self.value, error: self.error, unit: "to 1", places: 3 }
    }
}

/// One cylinder now and at both ends of what the cuts leave.
struct Ends {
    now: Cylinder,
    low: Cylinder,
    high: Cylinder,
}

fn ends(bench: &Bench<'_>, geometry: &Geometry, cylinder: usize) -> Result<Ends, &'static str> {
    let lacks_gasket =
        "the sheet does not say a head gasket that fits: work the ratio out with the one in hand";
    let lacks_deck = "the sheet does not say how far pistons lie below the deck: measure each";
    let lacks_chamber = "the sheet does not say the volume of the chambers: measure each";
    let skim = bench.off(geometry, Role::HeadThickness, Bench::bank(geometry, cylinder));
    let lost = chamber::lost(geometry, skim).ok_or(chamber::NO_FOOTPRINT)?;
    let volume = chamber::now(bench, geometry, cylinder).ok_or(lacks_chamber)?.value + geometry.recess;
    let (before, after) = bench.bore_steps(geometry, cylinder).ok_or(lacks_chamber)?;
    let hole = geometry.head_gasket.ok_or(lacks_gasket)?.hole;
    let at = |step: Exact, volume: Exact, below: Exact, gasket: Option<Exact>| {
        let across =
            pistons::bore(bench, geometry, step).ok_or("the sheet does not have a bore of that size")?;
        Ok::<_, &'static str>(Cylinder {
            bore: across.to_mm(),
            stroke: geometry.stroke.to_mm(),
            chamber: volume.to_mm(),
            gasket: (hole.to_mm(), gasket.ok_or(lacks_gasket)?.to_mm()),
            deck: below.to_mm(),
            dish: geometry.dish.to_mm(),
            crevice: 0.0,
        })
    };
    let known = deck::now(bench, geometry, cylinder).ok_or(lacks_deck)?;
    let below = deck::then(bench, geometry, cylinder).ok_or(lacks_deck)?;
    let gasket = |end: Option<fn(Range) -> Exact>| deck::gasket(bench, geometry, end);
    Ok(Ends {
        now: at(before, volume, known.value, gasket(None))?,
        low: at(after, volume - lost, below.high, gasket(Some(|range| range.high)))?,
        high: at(after, volume - lost, below.low, gasket(Some(|range| range.low)))?,
    })
}

fn touched(bench: &Bench<'_>, geometry: &Geometry) -> bool {
    let closer =
        (0..Bench::banks(geometry).len()).any(|bank| bench.closer(geometry, bank).high > Exact::ZERO);
    let rods = (0..bench.cylinders(geometry).len()).any(|c| bench.shorter(geometry, c) > Exact::ZERO);
    closer || rods || !bench.bored(geometry).is_empty()
}

pub(super) fn effects(bench: &Bench<'_>, geometry: &Geometry) -> Vec<Effect> {
    if !touched(bench, geometry) {
        return Vec::new();
    }
    let (mut found, mut ratios) = (Vec::new(), Vec::new());
    let cylinders = bench.cylinders(geometry);
    for (cylinder, name) in cylinders.iter().enumerate() {
        let ends = match ends(bench, geometry, cylinder) {
            Ok(ends) => ends,
            Err(lacks) => {
                found.push(Effect::missing(What::CompressionRatio, lacks, RULE));
                continue;
            }
        };
        let all = [&ends.now, &ends.low, &ends.high].map(Ratio::of);
        let [Some(now), Some(low), Some(high)] = all else {
            let nothing = "nothing is left above the piston: the volumes are wrong, or it would hit the head";
            found.push(Effect::new(What::CompressionRatio, name, nothing.to_owned(), RULE));
            continue;
        };
        ratios.push((low, high));
        found.push(one(bench, geometry, (cylinder, name), &ends, (now, low, high)));
    }
    if ratios.len() == cylinders.len() {
        found.extend(spread(&ratios));
    }
    found
}

fn words(low: Ratio, high: Ratio) -> String {
    let (least, most) = (low.amount().words(), high.amount().words());
    if least == most { most } else { format!("{:.3} to {most}", low.value) }
}

fn one(
    bench: &Bench<'_>,
    geometry: &Geometry,
    (cylinder, name): (usize, &String),
    ends: &Ends,
    (now, low, high): (Ratio, Ratio, Ratio),
) -> Effect {
    let effect = Effect::new(What::CompressionRatio, name, words(low, high), RULE)
        .from(now.amount().words())
        .worth(high.amount());
    let cylinder_then = &ends.high;
    let mut effect = effect.step(format!(
        "Vs = {:.3} cc; Vc = chamber and recess {:.3} + gasket {:.3} + deck {:.3} + dish {:.3} = {:.3} cc",
        cylinder_then.swept(),
        cylinder_then.chamber,
        round(cylinder_then.gasket.0, cylinder_then.gasket.1),
        round(cylinder_then.bore, cylinder_then.deck),
        cylinder_then.dish,
        cylinder_then.clearance()
    ));
    let origins = [
        ("chamber", chamber::now(bench, geometry, cylinder).filter(|_| geometry.of(Role::Chamber).is_some())),
        ("piston at the deck", deck::now(bench, geometry, cylinder)),
    ];
    for (what, known) in origins.iter().filter_map(|(what, known)| Some((what, known.as_ref()?))) {
        effect = effect.step(format!("{what} {}", known.origin()));
    }
    effect
}

/// Least, most and their difference.
fn spread(ratios: &[(Ratio, Ratio)]) -> Option<Effect> {
    let least = ratios.iter().map(|(low, _)| *low).min_by(|a, b| a.value.total_cmp(&b.value))?;
    let most = ratios.iter().map(|(_, high)| *high).max_by(|a, b| a.value.total_cmp(&b.value))?;
    let apart = most.value - least.value;
    let then = format!("{:.3} to {}, {apart:.3} apart", least.value, most.amount().words());
    let error = least.error + most.error;
    let value = Amount::Computed { value: apart, error, unit: "", places: 3 };
    Some(Effect::new(What::RatioSpread, "", then, RULE).worth(value))
}
