//! A lobe read over the nose and across the base circle: the two must leave a lift that a lobe can have.
//!
//! A sheet limits the lift, not its parts, so neither can be asked about by itself; where their difference is further off
//! than wear takes it, one of them slipped, and nothing says which: both are asked about.

use super::past_new::expanded;
use super::reach::Reach;
use super::{Asking, QuestionWhy, Whys, far_off};
use crate::judgement::words;
use crate::shop::{Place, Reading, ReadingSet};

/// The nose and the base circle, by the order of the sheet's directions (`judgement::plain::lift`).
const PARTS: [usize; 2] = [0, 1];

/// Is this a reading over the nose or across the base circle?
pub(super) fn is_part(reach: &Reach, reading: &Reading) -> bool {
    reach.is_by_parts() && PARTS.contains(&reading.place.direction)
}

pub(super) fn add(asking: &Asking<'_>, reach: &Reach, set: &ReadingSet, whys: &mut Whys) {
    if !reach.is_by_parts() {
        return;
    }
    for station in 0..asking.feature.stations.len() {
        let [nose, base] = PARTS.map(|direction| Place { station, direction });
        let first = |place: &Place| set.readings.get(place).and_then(|readings| readings.first());
        let Some((over, across)) = first(&nose).zip(first(&base)) else { continue };
        let lift = over.value - across.value;
        if far_off::past(asking, reach, lift, expanded(over) + expanded(across)).is_some() {
            let why = QuestionWhy::LiftParts { lift: words::length(lift, asking.unit) };
            whys.add_place(set, nose, |_| why.clone());
            whys.add_place(set, base, |_| why.clone());
        }
    }
}
