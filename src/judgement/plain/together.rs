//! How sure it is that every place lies inside at once: places that share a draw of an error stand or fall together.
//!
//! Draws lie within each other: the coefficient of the part is one for all places, a setting one for all gauges set from
//! it, what was carried over one for a gauge, what people differ by one for a gauge in these hands, and a temperature
//! that nobody took one for a drop. Places that share all of it are one set. Two of the draws that hold several sets are
//! followed; where a third would be, each set below takes it for its own, which makes "inside" no surer than it is.
//!
//! The more places, the smaller that probability, on good parts too: with four readings of a journal exactly on its limit
//! it is under 0.05 in half of all sets. So beyond is proven only of what noise seldom makes of a good part (`shows`).
//! Of a part of one size, inside its limits or on one, no more than 5 in 100 sets are then proven beyond, whatever the
//! number of places. Of one that truly has form and has several places exactly on the limit it may be more: there each
//! place is held to be unknown until it was read, as JCGM 106 does.

use crate::judgement::errors::PlaceError;
use crate::judgement::values::{PlaceValue, Values};
use crate::metrology::Exact;
use crate::metrology::noise::range_within;
use crate::metrology::proof::{PlaceMargin, all_places_conform, over_a_draw};
use crate::sheets::Limits;

/// Does one draw of the level reach both?
type Reaches = fn(&PlaceError, &PlaceError) -> bool;

/// Its standard deviation in a place, millimetres.
type Amount = fn(&PlaceError) -> f64;

/// From what reaches furthest.
const LEVELS: [(Reaches, Amount); 5] = [
    (|a, b| a.warmth.of == b.warmth.of, |error| error.warmth.part),
    (|a, b| a.gauge.setting_of == b.gauge.setting_of, |error| error.setting.hypot(error.warmth.gauge)),
    (|a, b| a.gauge.is(&b.gauge), |error| error.transfer),
    (|a, b| a.gauge.is_in_hands_of(&b.gauge), |error| error.hands),
    (PlaceError::is_drawn_with, |error| error.warmth.of_drop()),
];

/// So many draws are followed one within the other.
const MOST_WITHIN: usize = 2;

/// Places that share every draw.
struct Set<'a> {
    first: &'a PlaceError,
    shared: f64,
    places: Vec<PlaceMargin>,
}

/// Probability that every place lies inside these limits; `None` where an uncertainty is not known.
pub(super) fn conformity(values: &Values, limits: &Limits) -> Option<f64> {
    let from_limits = |value: &PlaceValue, error: &PlaceError| PlaceMargin {
        low: limits.min.map(|min| (value.mean - min).to_mm()),
        high: limits.max.map(|max| (max - value.mean).to_mm()),
        repeat: error.repeat,
    };
    all_inside(values, from_limits)
}

/// Probability that a good part shows its worst place no further out than these values, for what is to be called beyond;
/// `None` where no place is out or an uncertainty is not known. A good part is of one size all over and inside, at worst
/// just so.
///
/// Two things tell a part that is not good from noise, and each has half of what may be said wrongly: the worst place is
/// further out, in its own uncertainty, than the worst of so many; or the places lie further apart than readings of one
/// size do, and then each truly has a size of its own and stands for itself. A single place has only the first.
pub(super) fn shows(values: &Values, limits: &Limits) -> Option<f64> {
    let errors: Vec<&PlaceError> =
        values.values().map(|value| value.error.as_ref()).collect::<Option<_>>()?;
    let out = |(value, error): (&PlaceValue, &&PlaceError)| {
        let below = limits.min.map(|min| (min - value.mean).to_mm());
        let above = limits.max.map(|max| (value.mean - max).to_mm());
        Some(below.into_iter().chain(above).reduce(f64::max)? / error.combined())
    };
    let worst = values.values().zip(&errors).filter_map(out).reduce(f64::max).filter(|worst| *worst > 0.0)?;
    let between = limits.width().map(Exact::to_mm);
    let from_worst = |_: &PlaceValue, error: &PlaceError| {
        let by = worst * error.combined();
        PlaceMargin { low: Some(by), high: between.map(|width| width + by), repeat: error.repeat }
    };
    let worst_seldom = 1.0 - all_inside(values, from_worst)?;
    if values.len() < 2 {
        return Some(1.0 - worst_seldom);
    }
    let apart_seldom = 1.0 - one_size_shows(values, &errors)?;
    Some((1.0 - 2.0 * worst_seldom.min(apart_seldom)).max(0.0))
}

/// Probability that readings of one size lie no further apart than these.
fn one_size_shows(values: &Values, errors: &[&PlaceError]) -> Option<f64> {
    let (smallest, largest) =
        (values.values().map(|v| v.mean).min()?, values.values().map(|v| v.mean).max()?);
    let first = errors.first()?;
    let alike = errors.iter().all(|error| is_one_set(first, error));
    let own = errors.iter().map(|error| if alike { error.repeat } else { error.combined() });
    let sigma = own.reduce(f64::max)?;
    Some(range_within((largest - smallest).to_mm() / sigma, errors.len(), 0, 0.0))
}

/// Probability that every place errs by no more than its margins.
fn all_inside(values: &Values, margin: impl Fn(&PlaceValue, &PlaceError) -> PlaceMargin) -> Option<f64> {
    let mut sets: Vec<Set<'_>> = Vec::new();
    let mut chance = 1.0;
    for value in values.values() {
        let error = value.error.as_ref()?;
        let margin = margin(value, error);
        let shared = error.shared();
        if let Some(interval) = error.interval {
            chance *= interval.conforms(margin.low, margin.high);
        } else if shared == 0.0 {
            chance *= all_places_conform(&[margin], 0.0);
        } else if let Some(set) = sets.iter_mut().find(|set| is_one_set(set.first, error)) {
            set.shared = set.shared.max(shared);
            set.places.push(margin);
        } else {
            sets.push(Set { first: error, shared, places: vec![margin] });
        }
    }
    let sets: Vec<(&Set<'_>, f64)> = sets.iter().map(|set| (set, 0.0)).collect();
    Some(chance * from_level(&sets, 0, 0))
}

/// One draw of everything that is not each one's own reaches both.
pub(in crate::judgement) fn is_one_set(a: &PlaceError, b: &PlaceError) -> bool {
    LEVELS.iter().all(|(reaches, _)| reaches(a, b))
}

/// Of sets that an outer draw has moved by so much each, whose draws from this level on are still open.
fn from_level(sets: &[(&Set<'_>, f64)], level: usize, within: usize) -> f64 {
    let Some((reaches, _)) = LEVELS.get(level).filter(|_| within < MOST_WITHIN && sets.len() > 1) else {
        return sets.iter().map(|(set, by)| set.alone(level, *by)).product();
    };
    let mut left = sets.to_vec();
    let mut chance = 1.0;
    while let Some((first, _)) = left.first().copied() {
        let (group, rest): (Vec<_>, Vec<_>) =
            left.into_iter().partition(|(s, _)| reaches(first.first, s.first));
        chance *= of_group(&group, level, within);
        left = rest;
    }
    chance
}

/// Of sets that one draw of this level reaches.
fn of_group(group: &[(&Set<'_>, f64)], level: usize, within: usize) -> f64 {
    if group.iter().all(|(set, _)| set.draw(level) == 0.0) || group.len() == 1 {
        return from_level_of(group, level, within);
    }
    let steepness = group.iter().map(|(set, _)| set.steepness(set.draw(level))).sum();
    over_a_draw(steepness, |draw| {
        let moved: Vec<_> = group.iter().map(|(set, by)| (*set, by + draw * set.draw(level))).collect();
        from_level(&moved, level + 1, within + 1)
    })
}

/// Nothing is drawn here for several: one set keeps the draw for itself.
fn from_level_of(group: &[(&Set<'_>, f64)], level: usize, within: usize) -> f64 {
    match group {
        [(set, by)] => set.alone(level, *by),
        _ => from_level(group, level + 1, within),
    }
}

impl Set<'_> {
    fn draw(&self, level: usize) -> f64 {
        LEVELS.get(level).map_or(0.0, |(_, amount)| amount(self.first))
    }

    /// With the draws from this level on as its own.
    fn alone(&self, level: usize, by: f64) -> f64 {
        let open = (level..LEVELS.len()).map(|level| self.draw(level));
        let shared = if level == 0 { self.shared } else { open.fold(0.0, f64::hypot) };
        if by == 0.0 {
            return all_places_conform(&self.places, shared);
        }
        let moved: Vec<PlaceMargin> = self.places.iter().map(|place| place.shifted(by)).collect();
        all_places_conform(&moved, shared)
    }

    fn steepness(&self, draw: f64) -> f64 {
        let near = self.places.iter().filter(|place| place.near(self.shared).is_some());
        near.map(|place| (draw / place.repeat).powi(2)).sum()
    }
}
