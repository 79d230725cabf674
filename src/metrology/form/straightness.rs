//! Straightness of a line from heights at stations, however far apart these are: an edge, a shaft, a row of bores.

use crate::metrology::form::{self, Form, FormFault, Reference};
use crate::metrology::length::Exact;
use crate::metrology::statistics::from_first;
use std::collections::BTreeSet;

/// A height at a station of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Station {
    /// Along the line.
    pub at: Exact,
    /// Height there.
    pub height: Exact,
}

/// The line `height = slope at + intercept`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Millimetres per millimetre.
    pub slope: f64,
    /// Height at station 0, millimetres.
    pub intercept: f64,
}

/// A line by three references.
#[derive(Clone, Debug, PartialEq)]
pub struct Straightness {
    /// Least squares and minimum zone.
    pub form: Form<Line>,
    /// The line through the first and the last station, as a straightedge or a stretched wire lies.
    pub ends: Reference<Line>,
}

/// The straightness of these stations, in any order.
///
/// # Errors
/// [`FormFault`] of fewer than three or too many stations, or of two at one place.
pub fn straightness(stations: &[Station]) -> Result<Straightness, FormFault> {
    form::counted(stations.len(), 3)?;
    let places: Vec<_> = stations.iter().map(|station| station.at).collect();
    let heights: Vec<_> = stations.iter().map(|station| station.height).collect();
    if let Some(point) = repeated(&places) {
        return Err(FormFault::SamePlace { point: point + 1 });
    }
    let (scaled, middle, half) = form::scaled(&places).ok_or(FormFault::NoShape)?;
    let rows: Vec<_> = scaled.iter().map(|at| [1.0, *at]).collect();
    let first = heights.first().map_or(0.0, |first| first.to_mm());
    let line = |[height, rise]: [f64; 2]| {
        let slope = rise / half;
        Line { slope, intercept: first + height - slope * middle }
    };
    let form = form::fit(&rows, &heights, line)?;
    let ends = through_the_ends(&places, &heights).ok_or(FormFault::NoShape)?;
    Ok(Straightness { form, ends })
}

/// The first place that an earlier one has too.
fn repeated(places: &[Exact]) -> Option<usize> {
    let mut met = BTreeSet::new();
    places.iter().position(|place| !met.insert(*place))
}

/// The line through the first and the last station.
fn through_the_ends(places: &[Exact], heights: &[Exact]) -> Option<Reference<Line>> {
    let along = from_first(places);
    let over = from_first(heights);
    let points = || along.iter().zip(&over);
    let (start, low) = points().min_by(|(a, _), (b, _)| a.total_cmp(b))?;
    let (end, high) = points().max_by(|(a, _), (b, _)| a.total_cmp(b))?;
    let slope = (high - low) / (end - start);
    let intercept = heights.first()?.to_mm() + low - slope * (places.first()?.to_mm() + start);
    let deviations = points().map(|(at, height)| height - low - slope * (at - start)).collect();
    Some(Reference { shape: Line { slope, intercept }, deviations })
}

/// A stretch of a line and how straight it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// First station of it.
    pub from: Exact,
    /// Last station of it.
    pub to: Exact,
    /// Width of its minimum zone, millimetres.
    pub width: f64,
}

/// The least straight stretch no longer than `length`, from one station to another: what a sheet limits "in any 150
/// mm". `None` where no stretch so short holds three stations. The first of those alike.
///
/// # Errors
/// As [`straightness`].
pub fn least_straight(stations: &[Station], length: Exact) -> Result<Option<Stretch>, FormFault> {
    straightness(stations)?;
    let mut sorted = stations.to_vec();
    sorted.sort_by_key(|station| station.at);
    let mut worst: Option<Stretch> = None;
    for (index, first) in sorted.iter().enumerate() {
        let within = sorted.iter().skip(index).take_while(|station| station.at - first.at <= length);
        let window: Vec<Station> = within.copied().collect();
        let Some(last) = window.last().filter(|_| window.len() > 2) else { continue };
        let width = straightness(&window)?.form.minimum.width();
        if worst.is_none_or(|worst| width > worst.width) {
            worst = Some(Stretch { from: first.at, to: last.at, width });
        }
    }
    Ok(worst)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metrology::{Length, Unit};

    fn stations(points: &[(&str, &str)]) -> Vec<Station> {
        let mm = |digits| Length::parse(digits, Unit::Millimetre).expect("digits").exact();
        points.iter().map(|(at, height)| Station { at: mm(at), height: mm(height) }).collect()
    }

    #[test]
    fn says_what_is_missing() {
        let two = stations(&[("0", "0"), ("1", "0")]);
        assert_eq!(straightness(&two), Err(FormFault::TooFew { are: 2, needed: 3 }));
        let twice = stations(&[("0", "0"), ("1", "0"), ("0", "1")]);
        assert_eq!(straightness(&twice), Err(FormFault::SamePlace { point: 3 }));
    }

    /// A kink of 0.010 in the middle of a line otherwise straight: worked by hand. Over 100 mm it is 0.005 about its
    /// own ends; over all of it 0.010 of a straight line with one station off.
    #[test]
    fn finds_the_stretch_with_the_kink() {
        let line =
            stations(&[("0", "0"), ("50", "0"), ("100", "0"), ("150", "0.010"), ("200", "0"), ("250", "0")]);
        let hundred = line[2].at;
        let worst = least_straight(&line, hundred).expect("stations").expect("three within");
        assert!((worst.width - 0.010).abs() < 1e-15, "{worst:?}");
        assert_eq!((worst.from, worst.to), (line[2].at, line[4].at));
        assert_eq!(least_straight(&line, line[1].at), Ok(None), "no three stations in 50 mm");
    }
}
