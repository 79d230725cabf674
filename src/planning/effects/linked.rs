//! What is linked across the joint of head and block: pushrods, valves over pistons, and the manifold of a vee.

use super::bench::Bench;
use super::deck::is_overhead;
use super::effect::{Amount, Effect, Range, Rule, What, shown};
use crate::metrology::{Exact, Length, Unit};
use crate::sheets::{Geometry, Role, ValveGear, nominal};

const PUSHRODS: Rule = Rule("too long by what head and deck lose", "trade notes E7");
const VALVES: Rule =
    Rule("closer by what head and deck lose and by what a line bore lifts the crank", "trade notes E7");
const MANIFOLD: Rule = Rule("times what the heads come down, by the angle of the faces", "trade notes E7");

pub(super) fn effects(bench: &Bench<'_>, geometry: &Geometry) -> Vec<Effect> {
    let mut found = Vec::new();
    for (bank, name) in Bench::banks(geometry).iter().enumerate() {
        let down = bench.down(geometry, bank);
        if down > Exact::ZERO {
            found.extend(pushrods(bench, geometry, down, name));
            found.extend(manifold(bench, geometry, down, name));
        }
        let closer = bench.closer(geometry, bank);
        if closer.high > Exact::ZERO {
            found.push(valves(bench, closer, name));
        }
    }
    found
}

fn pushrods(bench: &Bench<'_>, geometry: &Geometry, down: Exact, bank: &str) -> Option<Effect> {
    let unit = bench.sheet.unit;
    match geometry.valve_gear {
        Some(ValveGear::Pushrods) => {}
        Some(ValveGear::OverheadCam { .. }) => return None,
        None => {
            let lacks = "the sheet does not say where the cam lies: pushrods become too long by what head and deck \
                         lose, an overhead cam runs later";
            return Some(Effect::missing(What::Pushrods, lacks, PUSHRODS));
        }
    }
    let then = format!("too long by {}", shown(down, unit));
    let effect = Effect::new(What::Pushrods, bank, then, PUSHRODS).worth(Amount::Exact(down, unit));
    let aimed = bench.role(geometry, Role::Pushrods).and_then(|(_, f)| nominal(f, Role::Pushrods.judged()));
    let effect = match aimed {
        Some(length) => effect
            .from(shown(length, unit))
            .step(format!("the length that then fits is {}", shown(length - down, unit))),
        None => effect.step("the sheet does not say their length"),
    };
    Some(effect.step(
        "shorter pushrods, shims under the rocker stands, or the adjusters take it up: check the sweep",
    ))
}

fn valves(bench: &Bench<'_>, closer: Range, bank: &str) -> Effect {
    let unit = bench.sheet.unit;
    let then = format!("less by {}", closer.words(unit));
    let effect = Effect::new(What::PistonToValve, bank, then, VALVES);
    effect
        .worth(Amount::Exact(-closer.high, unit))
        .step("the sheet does not say the clearance: measure it with a soft spring or clay before the cut is agreed")
        .step("what a thicker gasket, a sunk valve or a resized rod gives back is not counted")
}

fn manifold(bench: &Bench<'_>, geometry: &Geometry, down: Exact, bank: &str) -> Option<Effect> {
    if geometry.banks.len() < 2 {
        return None;
    }
    let unit = bench.sheet.unit;
    let cut = match geometry.manifold_factor {
        Some(factor) => Range::one(down.times(factor)),
        // About 1.0 to 1.4 times, where the sheet does not say the angle.
        None => Range { low: down, high: down.part(7, 5) },
    };
    let effect = Effect::new(What::ManifoldFaces, bank, format!("cut by {}", cut.words(unit)), MANIFOLD);
    let effect = effect.worth(Amount::Exact(cut.high, unit));
    Some(match geometry.manifold_factor {
        Some(_) => effect,
        None => effect
            .step("the sheet does not say its factor: 1.0 to 1.4 is usual, the angle of the faces decides"),
    })
}

/// Slack and timing both follow the distance of the shafts: what moves it, of an overhead cam or one in the block.
pub(super) fn shafts_closer(bench: &Bench<'_>, geometry: &Geometry, bank: usize) -> Range {
    let lifted = Range { low: Exact::ZERO, high: bench.rise(geometry) };
    if is_overhead(geometry) { lifted.plus(bench.down(geometry, bank)) } else { lifted }
}

/// A length that common practice gives in inches.
pub(super) fn practice(digits: &str) -> Exact {
    Length::parse(digits, Unit::Inch).map(Length::exact).unwrap_or(Exact::ZERO)
}
