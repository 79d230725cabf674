//! What a bigger bore takes: pistons and rings, more displacement, and a gasket whose hole still clears it.

use super::bench::Bench;
use super::effect::{Amount, Deciding, Effect, Range, Rule, What};
use crate::facts::show_step;
use crate::metrology::Exact;
use crate::sheets::{Characteristic, Geometry, Limits, Role};
use crate::workbench::compression::round;

const PISTONS: Rule = Rule(
    "a bigger bore takes piston and ring set of its size; a bigger piston weighs otherwise",
    "trade notes E3 to E5, point 9 of the first section",
);
const HOLE: Rule =
    Rule("hole of the gasket less the largest finished bore", "trade notes, point 9 of the first section");
const DISPLACEMENT: Rule =
    Rule("pi/4 x bore^2 x stroke x cylinders, bores at their lower finished limit", "trade notes E6");

/// Lower finished limit of the bore at a step from standard.
pub(super) fn bore(bench: &Bench<'_>, geometry: &Geometry, step: Exact) -> Option<Exact> {
    limits(bench, geometry, step)?.min
}

fn limits(bench: &Bench<'_>, geometry: &Geometry, step: Exact) -> Option<Limits> {
    let (_, feature) = bench.role(geometry, Role::Bore)?;
    feature.new_limits(Some(step).filter(|step| *step != Exact::ZERO))
}

pub(super) fn effects(bench: &Bench<'_>, geometry: &Geometry) -> Vec<Effect> {
    let bored = bench.bored(geometry);
    if bored.is_empty() {
        return Vec::new();
    }
    let mut found: Vec<Effect> = bored
        .iter()
        .filter_map(|(cylinder, now, then)| pistons(bench, geometry, (*cylinder, *now, *then)))
        .collect();
    found.extend(
        bored
            .iter()
            .map(|(cylinder, _, then)| hole(bench, geometry, *cylinder, *then))
            .min_by(tightest)
            .flatten(),
    );
    found.extend(displacement(bench, geometry));
    found
}

/// Of two bores the one that leaves less to the gasket's hole comes first.
fn tightest(one: &Option<Effect>, other: &Option<Effect>) -> std::cmp::Ordering {
    let left = |effect: &Option<Effect>| {
        effect.as_ref().and_then(|e| e.value).map_or(f64::INFINITY, |value| value.to_f64())
    };
    left(one).total_cmp(&left(other))
}

fn pistons(
    bench: &Bench<'_>,
    geometry: &Geometry,
    (cylinder, now, then): (usize, Exact, Exact),
) -> Option<Effect> {
    let unit = bench.sheet.unit;
    let word = |step: Exact| match step == Exact::ZERO {
        true => "standard".to_owned(),
        false => format!("{} {} over", show_step(step, unit), unit.symbol()),
    };
    let name = bench.cylinders(geometry).get(cylinder)?;
    let effect = Effect::new(What::Pistons, name, word(then), PISTONS).from(word(now));
    let spread = bench
        .role(geometry, Role::PistonWeight)
        .and_then(|(_, feature)| Some((feature.unit, feature.row(Characteristic::Spread)?.new?.max?)));
    let match_to = spread.map_or_else(
        || "weigh the set and match it to the lightest; the sheet does not say how close".to_owned(),
        |(unit, most)| format!("weigh the set and match it to within {} {}", most.show(unit), unit.symbol()),
    );
    let effect = effect.step(match_to);
    let others = (0..bench.cylinders(geometry).len()).filter_map(|other| bench.bore_steps(geometry, other));
    let alike = others.map(|(_, step)| step).all(|step| step == then);
    Some(if alike {
        effect
    } else {
        effect.step("the engine would have pistons of several sizes: they cannot weigh alike")
    })
}

fn hole(bench: &Bench<'_>, geometry: &Geometry, cylinder: usize, then: Exact) -> Option<Effect> {
    let name = bench.cylinders(geometry).get(cylinder)?;
    let hole = geometry.head_gasket?.hole;
    let left = |step: Exact| Some(hole - limits(bench, geometry, step)?.max?);
    let deciding = Deciding {
        limits: Limits { min: Some(Exact::ZERO), max: None },
        source: "a gasket never stands into the bore".to_owned(),
    };
    let (_, now) = (cylinder, bench.bore_steps(geometry, cylinder)?.0);
    let unit = bench.sheet.unit;
    let effect =
        Effect::ranged(What::GasketHole, name, (Range::one(left(then)?), unit), Some(&deciding), HOLE);
    Some(effect.from(Range::one(left(now)?).words(unit)))
}

/// Displacement of the engine, before and after.
fn displacement(bench: &Bench<'_>, geometry: &Geometry) -> Option<Effect> {
    let of = |pick: fn((Exact, Exact)) -> Exact| {
        let each = (0..bench.cylinders(geometry).len()).map(|cylinder| {
            let across = bore(bench, geometry, pick(bench.bore_steps(geometry, cylinder)?))?;
            Some(round(across.to_mm(), geometry.stroke.to_mm()))
        });
        each.sum::<Option<f64>>()
    };
    let amount =
        |value: f64| Amount::Computed { value, error: value * 64.0 * f64::EPSILON, unit: "cc", places: 0 };
    let (now, then) = (amount(of(|(now, _)| now)?), amount(of(|(_, then)| then)?));
    Some(Effect::new(What::Displacement, "", then.words(), DISPLACEMENT).from(now.words()).worth(then))
}
