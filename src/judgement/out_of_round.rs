//! Out-of-round: in each plane the difference of its directions.
//!
//! Two directions, X the largest and Y the smallest by turning: their signed difference. Inside one set by one
//! gauge the error of its setting is in both and cancels. A range of noisy readings is biased high, so the
//! probability is taken plane by plane from the signed difference, never from the largest magnitude.
//!
//! Three directions 60 degrees apart find any oval: the value is the oval through them, or their range where
//! the sheet says so; then the oval is said beside it. A housing with its caps torqued may be larger on the
//! vertical, never across: wider across by more than U is a wrong, reversed or filed cap or a spread saddle,
//! and is beyond whatever the size.

use crate::judgement::beside::Beside;
use crate::judgement::deciding::Deciding;
use crate::judgement::errors::difference_error;
use crate::judgement::form::{self, Deviation};
use crate::judgement::judged::{Band, Judged, Note, PlaceShown, Proof};
use crate::judgement::plain::{Counts, Plain};
use crate::judgement::rules::Bench;
use crate::judgement::scatter::Scatter;
use crate::judgement::values::{PlaceValue, Values};
use crate::metrology::normal::phi;
use crate::metrology::oval::{OVAL_FACTOR, ThreeDiameters};
use crate::metrology::{Exact, Unit, form::vee};
use crate::sheets::{Feature, Shape, Side, Vee, same_name};
use crate::shop::Place;

pub(super) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "",
    above: "out of round",
    rule: "largest difference of the directions in one plane; of three directions the oval through them",
    source: "common practice: signed differences plane by plane; JCGM 106 decision at the house level",
};

const IN_VEE: Plain = Plain {
    rule: "largest swing in the vee over its factor for so many lobes",
    source: "ISO 4292 (recalled), factor worked out from the contacts; JCGM 106 decision at the house level",
    ..PLAIN
};

pub(super) fn judge(bench: &Bench<'_>, values: &Values, deciding: Option<Deciding>) -> Option<Judged> {
    if let Some(vee) = &bench.feature.vee {
        return in_vee(bench, vee, values, deciding);
    }
    if bench.feature.directions.len() > 2 {
        return of_three(bench, values, deciding);
    }
    let differences: Vec<Deviation<'_>> = (0..bench.feature.stations.len())
        .filter_map(|station| {
            let x = values.get(&Place { station, direction: 0 })?;
            let y = values.get(&Place { station, direction: 1 })?;
            Some(Deviation::between(bench.feature.station_name(station).to_owned(), x, y))
        })
        .collect();
    let mut judged = form::judge(bench, &differences, Scatter::Difference, deciding, &PLAIN)?;
    // Of a shaft found by turning, X is the largest and Y the smallest; a Y larger than X shows fixed directions. In a
    // bore X lies across the crank and Y along it, and on both they may miss an oval between.
    let bore = bench.feature.shape == Shape::Bore;
    if bore || differences.iter().any(|d| d.shown.value.is_negative()) {
        judged.notes.push(Note::FixedDirections);
    }
    Some(judged)
}

/// Swings of an indicator over a part that is turned in a vee: each is its factor times the out-of-round of the radius.
/// A swing has no setting to share.
fn in_vee(bench: &Bench<'_>, vee: &Vee, values: &Values, deciding: Option<Deciding>) -> Option<Judged> {
    let factor = vee::factor(vee.angle.to_mm(), vee.lobes);
    let deviations: Vec<Deviation<'_>> = values
        .iter()
        .map(|(place, swing)| {
            let value = Exact::nearest(swing.mean.to_mm() / factor);
            let shown = PlaceShown { name: place.name(bench.feature), value };
            let u = swing.error.as_ref().map(|error| error.repeat / factor);
            // A swing is a difference of two readings of the dial: what they share cancels.
            let worst =
                swing.error.as_ref().map(|error| error.scaled(1.0 / (factor * std::f64::consts::SQRT_2)));
            Deviation { shown, of: vec![swing], u, weights: [0.0; 3], worst }
        })
        .collect();
    let mut judged = form::judge(bench, &deviations, Scatter::Difference, deciding, &IN_VEE)?;
    let words = format!(
        "of the radius: a vee of {} degrees swings {factor:.2} times as much for {} lobes",
        vee.angle.show(Unit::Degree),
        vee.lobes
    );
    judged.notes.push(Note::Beside(Beside::InVee(words)));
    Some(judged)
}

/// One plane read in three directions.
struct Plane<'a> {
    name: String,
    of: [&'a PlaceValue; 3],
    three: ThreeDiameters,
    /// Standard deviation of one reading inside the plane, and the readings that say so; `None` without a figure.
    sigma: Option<([f64; 3], f64)>,
}

impl<'a> Plane<'a> {
    fn at(bench: &Bench<'_>, values: &'a Values, station: usize) -> Option<Self> {
        let read = |direction| values.get(&Place { station, direction });
        let of = [read(0)?, read(1)?, read(2)?];
        let name = bench.feature.station_name(station).to_owned();
        let three = ThreeDiameters { at: of.map(|place| place.mean) };
        Some(Self { name, of, three, sigma: sigma(of) })
    }

    fn deviation(&self, by_range: bool) -> Deviation<'a> {
        let (value, factor) = if by_range {
            (self.three.range(), std::f64::consts::SQRT_2)
        } else {
            (self.three.ovality(), OVAL_FACTOR)
        };
        let shown = PlaceShown { name: self.name.clone(), value };
        let per_difference = factor / std::f64::consts::SQRT_2;
        let weights = self.sigma.map_or([0.0; 3], |(signs, _)| signs.map(|sign| sign * per_difference));
        Deviation {
            shown,
            of: self.of.to_vec(),
            u: self.sigma.map(|(_, sigma)| sigma * factor),
            weights,
            worst: None,
        }
    }
}

/// The two of the three that say most, so that a second gauge in the plane is not forgotten: their factors, and the
/// standard uncertainty of one reading that they come to.
fn sigma(of: [&PlaceValue; 3]) -> Option<([f64; 3], f64)> {
    let [a, b, c] = [of[0].error.as_ref()?, of[1].error.as_ref()?, of[2].error.as_ref()?];
    let pairs = [(a, b, [1.0, -1.0, 0.0]), (b, c, [0.0, 1.0, -1.0]), (c, a, [-1.0, 0.0, 1.0])];
    let pairs = pairs.map(|(one, other, signs)| (signs, difference_error(one, other)));
    let (signs, largest) =
        pairs.into_iter().reduce(|most, next| if next.1 > most.1 { next } else { most })?;
    Some((signs, largest / std::f64::consts::SQRT_2))
}

fn of_three(bench: &Bench<'_>, values: &Values, deciding: Option<Deciding>) -> Option<Judged> {
    let planes: Vec<Plane<'_>> =
        (0..bench.feature.stations.len()).filter_map(|station| Plane::at(bench, values, station)).collect();
    let by_range = bench.row.by_range;
    let deviations: Vec<Deviation<'_>> = planes.iter().map(|plane| plane.deviation(by_range)).collect();
    let scatter = if by_range { Scatter::Range(3) } else { Scatter::Oval };
    let mut judged = form::judge(bench, &deviations, scatter, deciding, &PLAIN)?;
    let worst = planes.iter().max_by_key(|plane| plane.three.ovality());
    judged.notes.extend(worst.and_then(|plane| oval_note(bench.feature, &plane.three)));
    if has_parting_line(bench.feature) {
        refuse_wider_across(&mut judged, &planes);
    }
    Some(judged)
}

fn oval_note(feature: &Feature, three: &ThreeDiameters) -> Option<Note> {
    let axis = three.long_axis()?;
    let direction = |index: usize| feature.directions.get(index).map_or("", String::as_str);
    // Nearer than a right angle, on the side of the second direction or of the third.
    let (degrees, towards) = if axis <= 90.0 { (axis, direction(1)) } else { (180.0 - axis, direction(2)) };
    let axis = format!("{degrees:.0} degrees from {} towards {towards}", direction(0));
    Some(Note::Oval { ovality: three.ovality(), axis })
}

/// Housings split by caps: read vertically first, in three directions.
fn has_parting_line(feature: &Feature) -> bool {
    feature.shape == Shape::Bore && feature.directions.first().is_some_and(|name| same_name(name, "vertical"))
}

fn refuse_wider_across(judged: &mut Judged, planes: &[Plane<'_>]) {
    // More than U, and of many planes more than the widest of as many good ones shows.
    let least = Scatter::OneSided.floor(planes.len()).max(2.0);
    let beyond_u = planes.iter().filter_map(|plane| {
        let (wider, u) = (plane.three.wider_across(), plane.sigma?.1 * OVAL_FACTOR);
        (wider.to_mm() > least * u).then_some((wider, u))
    });
    let Some((wider, u)) = beyond_u.max_by_key(|(wider, _)| *wider) else { return };
    let chance = phi(-wider.to_mm() / u);
    judged.band = Band::Beyond(Side::Above);
    judged.proof = Proof::Proven;
    judged.probability = Some(judged.probability.map_or(chance, |p| p.min(chance)));
    judged.notes.push(Note::WiderAcross(wider));
}
