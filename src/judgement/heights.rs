//! Heights at places of a surface, a line or a turn: its flatness, straightness or roundness as the minimum zone that holds
//! them.
//!
//! The sheet says where the stations lie. Points with a place across are one surface; without, each direction is a
//! line of its own (a row of bores, an edge). Where it says at which angles the directions stand, each station is a turn, and
//! the zone a ring. The value is the width of the narrowest zone, which is what ISO 1101
//! asks; that of the least-squares surface, never narrower, is said beside it. In any stretch of a stated length it is
//! the worst window, never a share of the whole.
//!
//! Every height is over one setting, which lifts all of them and cancels; what is left are the repeats. Heights of two
//! gauges share no setting, and those of two people not what people differ by, so each then errs by all of its own.

use crate::judgement::beside::Beside;
use crate::judgement::deciding::Deciding;
use crate::judgement::errors::PlaceError;
use crate::judgement::form::{self, Deviation};
use crate::judgement::judged::{Judged, Note, PlaceShown};
use crate::judgement::plain::Plain;
use crate::judgement::rules::Bench;
use crate::judgement::scatter::Scatter;
use crate::judgement::values::{PlaceValue, Values};
use crate::metrology::form::flatness::{Point, flatness, least_flat};
use crate::metrology::form::straightness::{Station, least_straight, straightness};
use crate::metrology::{Exact, form::Form, form::FormFault, form::roundness};
use crate::sheets::{Characteristic, Feature, SurfacePoint};
use crate::shop::Place;
use std::f64::consts::SQRT_2;

/// One surface, line or turn of heights.
struct Heights<'a> {
    name: String,
    at: Vec<(At, Exact)>,
    of: Vec<&'a PlaceValue>,
    places: Vec<Place>,
}

/// Where a height is read.
#[derive(Clone, Copy)]
enum At {
    Point(SurfacePoint),
    /// Degrees.
    Angle(Exact),
}

/// What the fits of one surface or line give, millimetres.
struct Zones {
    /// Of the minimum zone: of the whole, or of the worst stretch.
    minimum: f64,
    /// Of least squares, of the whole.
    least_squares: f64,
    /// Height of each point over the middle of the minimum zone of the whole.
    off: Vec<f64>,
}

/// Judges the heights of one surface by minimum zone. `None` of too few, which the missing places say.
pub(super) fn judge(
    bench: &Bench<'_>,
    plain: &Plain,
    values: &Values,
    deciding: Option<Deciding>,
) -> Option<Judged> {
    let turned = bench.row.characteristic == Characteristic::Roundness;
    let (stations, directions) = (bench.feature.stations.len(), bench.feature.directions.len());
    let all: Vec<(Heights<'_>, Zones)> = (0..if turned { stations } else { directions })
        .map(|number| Heights::of(bench, values, turned, number))
        .filter_map(|heights| heights.zones(bench.row.any).ok().flatten().map(|zones| (heights, zones)))
        .collect();
    let deviations: Vec<Deviation<'_>> =
        all.iter().map(|(heights, zones)| heights.deviation(zones)).collect();
    let points = all.iter().map(|(heights, _)| heights.of.len()).max()?;
    let mut judged = form::judge(bench, &deviations, Scatter::Zone(points), deciding, plain)?;
    let (worst, zones) = all.iter().max_by(|a, b| a.1.minimum.total_cmp(&b.1.minimum))?;
    let told = Beside::Zones {
        minimum: Exact::nearest(zones.minimum),
        least_squares: Exact::nearest(zones.least_squares),
        of: worst.name.clone(),
        any: bench.row.any,
    };
    judged.notes.push(Note::Beside(told));
    judged.places = all.iter().flat_map(|(heights, zones)| heights.shown(bench, zones)).collect();
    Some(judged)
}

impl<'a> Heights<'a> {
    /// Of the direction of this number, or of the station of it that is `turned`.
    fn of(bench: &Bench<'_>, values: &'a Values, turned: bool, number: usize) -> Self {
        let Feature { stations, directions, points, angles, .. } = bench.feature;
        let names = if turned { stations } else { directions };
        let name = if names.len() > 1 { names.get(number).cloned() } else { None };
        let mut found =
            Self { name: name.unwrap_or_default(), at: Vec::new(), of: Vec::new(), places: Vec::new() };
        let at: Vec<(Place, At)> = if turned {
            let place = |direction| Place { station: number, direction };
            angles.iter().enumerate().map(|(at, angle)| (place(at), At::Angle(*angle))).collect()
        } else {
            let place = |station| Place { station, direction: number };
            points.iter().enumerate().map(|(at, point)| (place(at), At::Point(*point))).collect()
        };
        for (place, at) in at {
            let Some(value) = values.get(&place) else { continue };
            found.at.push((at, value.mean));
            found.of.push(value);
            found.places.push(place);
        }
        found
    }

    /// `None` where no stretch so short holds points enough.
    fn zones(&self, any: Option<Exact>) -> Result<Option<Zones>, FormFault> {
        let (mut surface, mut line, mut turn) = (Vec::new(), Vec::new(), Vec::new());
        for (at, height) in self.at.iter().copied() {
            match at {
                At::Point(SurfacePoint { along: x, across: Some(y) }) => {
                    surface.push(Point { x, y, z: height })
                }
                At::Point(SurfacePoint { along: at, across: None }) => line.push(Station { at, height }),
                At::Angle(angle) => turn.push(roundness::Point { angle, height }),
            }
        }
        if !turn.is_empty() {
            return Ok(zones(roundness::roundness(&turn)?, None));
        }
        if surface.is_empty() {
            let whole = straightness(&line)?.form;
            let stretch = any.map(|length| least_straight(&line, length)).transpose()?;
            return Ok(zones(whole, stretch.map(|found| found.map(|stretch| stretch.width))));
        }
        let whole = flatness(&surface)?;
        let patch = any.map(|length| least_flat(&surface, length)).transpose()?;
        Ok(zones(whole, patch.map(|found| found.map(|patch| patch.width))))
    }

    fn deviation(&self, zones: &Zones) -> Deviation<'a> {
        let shown = PlaceShown { name: self.name.clone(), value: Exact::nearest(zones.minimum) };
        let worst = self.worst();
        let u = worst.as_ref().map(|error| error.repeat * SQRT_2);
        Deviation { shown, of: self.of.clone(), u, weights: [0.0; 3], worst }
    }

    /// The worst error of the heights among each other; what one gauge in one person's hands shares cancels, of several
    /// nothing does.
    fn worst(&self) -> Option<PlaceError> {
        let errors: Vec<&PlaceError> =
            self.of.iter().map(|value| value.error.as_ref()).collect::<Option<_>>()?;
        let first = errors.first()?;
        let alike = errors.iter().all(|error| error.is_drawn_with(first));
        let own = |error: &&PlaceError| if alike { error.repeat } else { error.combined() };
        let worst = errors.iter().max_by(|a, b| own(a).total_cmp(&own(b)))?;
        Some(if alike { (*worst).clone() } else { worst.all_own() })
    }

    fn shown(&self, bench: &Bench<'_>, zones: &Zones) -> Vec<PlaceShown> {
        let each = self.places.iter().zip(&zones.off);
        // For the eye: a tenth of what is read, not the last digit of a fit.
        let rounded = |off: &f64| Exact::nearest(*off).rounded(bench.feature.unit);
        each.map(|(place, off)| PlaceShown { name: place.name(bench.feature), value: rounded(off) }).collect()
    }
}

/// `stretch` is the worst of a length, where one is asked: `None` in it where there is none so short.
fn zones<S>(whole: Form<S>, stretch: Option<Option<f64>>) -> Option<Zones> {
    let minimum = stretch.unwrap_or_else(|| Some(whole.minimum.width()))?;
    Some(Zones { minimum, least_squares: whole.least_squares.width(), off: whole.minimum.deviations })
}
