//! Step to the next: how much higher or lower one position stands than the next where they are nearest to each other, as
//! liners under one gasket.
//!
//! The sheet says which stations lie nearest. Differences inside one set, so what the gauge shares cancels.

use crate::judgement::deciding::Deciding;
use crate::judgement::form::{self, Deviation};
use crate::judgement::judged::Judged;
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::rules::Bench;
use crate::judgement::scatter::Scatter;
use crate::judgement::set::Set;
use crate::judgement::values::{PlaceValue, Values};
use crate::shop::{Place, SurfaceKey};

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "",
    above: "steps too far",
    rule: "largest difference between nearest places of neighbours",
    source: "common practice: liners that share a gasket; JCGM 106 decision at the house level",
};

pub(in crate::judgement) fn judge(
    set: &Set<'_>,
    bench: &Bench<'_>,
    deciding: Option<Deciding>,
) -> Option<Judged> {
    let read: Vec<(SurfaceKey, &Values)> = set.read().collect();
    let steps: Vec<Deviation<'_>> =
        read.iter().zip(read.iter().skip(1)).flat_map(|(one, next)| between(set, *one, *next)).collect();
    form::judge(bench, &steps, Scatter::Difference, deciding, &PLAIN)
}

fn between<'a>(
    set: &Set<'_>,
    (one, here): (SurfaceKey, &'a Values),
    (next, there): (SurfaceKey, &'a Values),
) -> Vec<Deviation<'a>> {
    let name = |key: SurfaceKey, station: usize| {
        format!("{} {}", set.position(key), set.feature.station_name(station))
    };
    let at = |values: &'a Values, station: usize, direction: usize| -> Option<&'a PlaceValue> {
        values.get(&Place { station, direction })
    };
    let mut found = Vec::new();
    for (from, to) in &set.feature.worked.next {
        for direction in 0..set.feature.directions.len() {
            let Some((read, other)) = at(here, *from, direction).zip(at(there, *to, direction)) else {
                continue;
            };
            found.push(Deviation::between(
                format!("{} less {}", name(one, *from), name(next, *to)),
                read,
                other,
            ));
        }
    }
    found
}
