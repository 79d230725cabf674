//! What is left beside a bore: half of what the bore grows.

use super::bench::Bench;
use super::effect::{Deciding, Effect, Range, Rule, What};
use super::known::{Known, judged};
use crate::metrology::Exact;
use crate::sheets::{Characteristic, Geometry, Role};
use crate::shop::SurfaceKey;

const RULE: Rule = Rule("wall less half of what the bore grows", "trade notes H1 rows 66 and 67");

pub(super) fn effects(bench: &Bench<'_>, geometry: &Geometry) -> Vec<Effect> {
    let bored = bench.bored(geometry);
    if geometry.of(Role::Wall).is_none() && !bored.is_empty() {
        let lacks = "the sheet does not say the walls of the cylinders and what must be left: measure them by \
                     ultrasound and ask the maker";
        return vec![Effect::missing(What::Wall, lacks, RULE)];
    }
    let of_walls = geometry.all(Role::Wall).flat_map(|feature| {
        bored.iter().filter_map(move |(cylinder, now, then)| wall(bench, feature, *cylinder, (*now, *then)))
    });
    of_walls.collect()
}

fn wall(bench: &Bench<'_>, index: usize, cylinder: usize, (now, then): (Exact, Exact)) -> Option<Effect> {
    let feature = bench.feature(index)?;
    let row = feature.row(Characteristic::Thickness)?;
    let key = SurfaceKey { feature: index, position: cylinder };
    let read = judged(bench.judgement, key, Role::Wall.judged());
    // Of a wall nobody measured the thinnest new one is reckoned with, less what was bored before.
    let known = match read {
        Some(judged) => Known { value: judged.value, read: true },
        None => Known::nominal(row.new?.min? - now.part(1, 2)),
    };
    let left = known.value - (then - now).part(1, 2);
    let range = (Range::one(left), feature.unit);
    let name = bench.job.surface_name(key);
    let effect = Effect::ranged(What::Wall, name, range, Deciding::of(row).as_ref(), RULE);
    let effect = effect.from(known.words(feature.unit));
    Some(if known.read {
        effect
    } else {
        effect.step("nobody measured it: the thinnest new wall is reckoned with")
    })
}
