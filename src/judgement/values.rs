//! Places with their values: repeats averaged, questioned readings kept out.

use crate::facts::Digest;
use crate::judgement::errors::{PlaceError, difference_error};
use crate::metrology::Exact;
use crate::shop::{Place, Reading};
use std::collections::BTreeMap;

/// Names one reading: its drop and its row there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ReadingRef {
    /// The drop.
    pub fact: Digest,
    /// Row in the drop, from 0.
    pub row: usize,
}

/// The value of one place: the exact mean of its repeats.
#[derive(Clone, Debug)]
pub(super) struct PlaceValue {
    pub(super) mean: Exact,
    pub(super) readings: Vec<ReadingRef>,
    pub(super) error: Option<PlaceError>,
    pub(super) corrected: bool,
}

/// The places of one surface in one condition.
pub(super) type Values = BTreeMap<Place, PlaceValue>;

/// Averages the repeats of a place; `None` of nothing.
pub(super) fn value_of(readings: &[&Reading]) -> Option<PlaceValue> {
    let lengths: Vec<Exact> = readings.iter().map(|reading| reading.value).collect();
    Some(PlaceValue {
        mean: Exact::mean(&lengths)?,
        readings: readings.iter().map(|r| ReadingRef { fact: r.fact, row: r.row }).collect(),
        error: PlaceError::of(readings),
        corrected: readings.iter().any(|r| r.is_correction),
    })
}

/// A value with what it is known by.
pub(super) type Known<'a, K> = (K, &'a PlaceValue);

/// Largest and smallest, two different ones; `None` of fewer than two. Among equals the pair whose difference is least
/// sure, so that no second gauge is forgotten, and of those the first.
pub(super) fn extremes<'a, K: Clone>(
    values: impl Iterator<Item = Known<'a, K>> + Clone,
) -> Option<(Known<'a, K>, Known<'a, K>)> {
    let most = values.clone().map(|(_, value)| value.mean).max()?;
    let least = values.clone().map(|(_, value)| value.mean).min()?;
    let at = |end: Exact| values.clone().enumerate().filter(move |(_, (_, value))| value.mean == end);
    let unsure = |a: &PlaceValue, b: &PlaceValue| {
        a.error.as_ref().zip(b.error.as_ref()).map_or(0.0, |(a, b)| difference_error(a, b))
    };
    let pairs = at(most).flat_map(|(largest, one)| {
        let others = at(least).filter(move |(smallest, _)| *smallest != largest);
        others.map(move |(_, other)| (unsure(one.1, other.1), one.clone(), other))
    });
    let (_, one, other) = pairs.reduce(|known, next| if next.0 > known.0 { next } else { known })?;
    Some((one, other))
}

/// The largest or the smallest; among equals the one that is least sure, and of those the first.
pub(super) fn end<'a>(values: impl Iterator<Item = &'a PlaceValue>, largest: bool) -> Option<&'a PlaceValue> {
    let unsure = |value: &PlaceValue| value.error.as_ref().map_or(0.0, PlaceError::combined);
    values.reduce(|known, next| {
        let further = if largest { next.mean.cmp(&known.mean) } else { known.mean.cmp(&next.mean) };
        if further.then(unsure(next).total_cmp(&unsure(known))).is_gt() { next } else { known }
    })
}

impl PlaceValue {
    /// A size that nobody read and that is taken as it is: an end of what the sheet allows.
    pub(super) fn at(size: Exact) -> Self {
        Self { mean: size, readings: Vec::new(), error: Some(PlaceError::nothing()), corrected: false }
    }

    /// The fraction `numer / denom` of it, with its errors.
    pub(super) fn part(&self, numer: i32, denom: i32) -> Self {
        let factor = f64::from(numer) / f64::from(denom);
        Self {
            mean: self.mean.part(i128::from(numer), i128::from(denom)),
            readings: self.readings.clone(),
            error: self.error.as_ref().map(|error| error.scaled(factor)),
            corrected: self.corrected,
        }
    }
}
