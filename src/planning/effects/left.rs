//! What is left of a face that is cut, and everything ever taken off it: both must hold.

use super::bench::Bench;
use super::effect::{Deciding, Effect, Range, Rule, What};
use super::known::judged;
use crate::metrology::Exact;
use crate::sheets::{Characteristic, Feature, Role, Row, THICKNESS};
use crate::shop::SurfaceKey;

const LEFT: Rule = Rule("what is there less the cut", "trade notes E7");
const EVER: Rule = Rule("everything said to have been taken off, and the cut", "trade notes E7");
/// What becomes less by what is taken off.
const LESS: [Characteristic; 5] = [
    Characteristic::Thickness,
    Characteristic::Height,
    Characteristic::Length,
    Characteristic::Width,
    Characteristic::Margin,
];

pub(super) fn effects(bench: &Bench<'_>) -> Vec<Effect> {
    let mut found = Vec::new();
    let mut cut: Vec<(SurfaceKey, Range)> =
        bench.removed.iter().map(|(key, off)| (*key, Range::one(*off))).collect();
    lifted(bench, &mut cut);
    for (key, off) in cut {
        let Some(feature) = bench.feature(key.feature) else { continue };
        let name = bench.job.surface_name(key);
        for row in feature.rows.iter().filter(|row| row.after_work.is_some()) {
            if LESS.contains(&row.characteristic) {
                found.extend(left(bench, feature, (key, &name), row, off));
            } else if row.characteristic == Characteristic::Removed {
                found.extend(ever(bench, feature, (key, &name), row));
            }
        }
    }
    found
}

/// A line bore brings the crank closer to every deck, cut or not.
fn lifted(bench: &Bench<'_>, cut: &mut Vec<(SurfaceKey, Range)>) {
    let Some(geometry) = &bench.sheet.geometry else { return };
    let (rise, deck) = (bench.rise(geometry), geometry.of(Role::DeckHeight));
    let Some((deck, feature)) = deck.and_then(|deck| Some((deck, bench.feature(deck)?))) else { return };
    if rise == Exact::ZERO {
        return;
    }
    for position in 0..feature.positions.len() {
        let key = SurfaceKey { feature: deck, position };
        match cut.iter_mut().find(|(known, _)| *known == key) {
            Some((_, off)) => off.high = off.high + rise,
            None => cut.push((key, Range { low: Exact::ZERO, high: rise })),
        }
    }
}

fn left(
    bench: &Bench<'_>,
    feature: &Feature,
    (key, name): (SurfaceKey, &str),
    row: &Row,
    off: Range,
) -> Option<Effect> {
    let deciding = Deciding::of(row)?;
    let read = judged(bench.judgement, key, &[row.characteristic]).map(|judged| Range::one(judged.value));
    // What nobody measured lies somewhere inside new, less what was taken off before.
    let aimed = || Some(Range { low: row.new?.min?, high: row.new?.max? }.plus(-bench.done(key)));
    let Some(now) = read.or_else(aimed) else {
        return Some(Effect::new(What::Left, name, format!("less by {}", off.words(feature.unit)), LEFT));
    };
    let then = Range { low: now.low - off.high, high: now.high - off.low };
    let effect = Effect::ranged(What::Left, name, (then, feature.unit), Some(&deciding), LEFT);
    let origin = if read.is_some() { "read" } else { "not read: inside new" };
    Some(effect.from(format!("{}, {origin}", now.words(feature.unit))))
}

fn ever(bench: &Bench<'_>, feature: &Feature, (key, name): (SurfaceKey, &str), row: &Row) -> Option<Effect> {
    let off = bench.removed.get(&key).copied()?;
    let deciding = Deciding::of(row)?;
    let read = judged(bench.judgement, key, &THICKNESS);
    let (said, gone) = (bench.done(key), read.and_then(|read| feature.gone_at(read.value)));
    let done = gone.map_or(said, |gone| gone.max(said));
    let range = (Range::one(done + off), feature.unit);
    let effect = Effect::ranged(What::EverRemoved, name, range, Some(&deciding), EVER);
    let mut effect = effect.from(Range::one(done).words(feature.unit));
    let surface = bench.job.surfaces.get(&key)?;
    if gone.is_none() && surface.done_now().next().is_none() {
        effect.inside = effect.inside.filter(|inside| !inside);
        effect = effect.step("what was taken off before it came is not known: measure it".to_owned());
    }
    for silent in surface.done_now().filter(|done| done.removed.is_none()) {
        // What was not said can only add to it.
        effect.inside = effect.inside.filter(|inside| !inside);
        effect = effect.step(format!("what {} took off is not said: measure, and ask", silent.operation));
    }
    Some(effect)
}
