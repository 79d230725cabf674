//! Run-out of neighbours: how far neighbouring main journals are out against each other, from their swings (TIR) and the clock
//! angles of their high spots.
//!
//! Each journal is off the axis by half its swing, towards its high spot. Two of them are apart by the length of the
//! difference of these two arrows; twice that is the swing an indicator on the one would show with the other on the axis:
//! root of (a^2 + b^2 - 2 a b cos of the angle between). High spots on one side, that is the difference of the swings;
//! opposite, their sum; a bend all in one plane with the same swing at each does nothing here. The swing of an oval journal
//! holds some of its out-of-round, which this takes for being off the axis. Rounded once to the grid.
//!
//! An arrow errs along itself and across, and the shorter it is the more of its length is error: two alike are never seen less
//! than nothing apart. So it is sure by the plane, as an oval is, not by its length alone.

use crate::judgement::deciding::Deciding;
use crate::judgement::errors::combined_of;
use crate::judgement::judged::{Judged, PlaceShown};
use crate::judgement::plain::{self, Counts, Plain};
use crate::judgement::rules::Bench;
use crate::judgement::set::Set;
use crate::judgement::values::{PlaceValue, Values};
use crate::judgement::worked::weighed;
use crate::metrology::Exact;
use crate::metrology::oval::{in_disc, oval_conforms};
use crate::shop::Place;

pub(in crate::judgement) const PLAIN: Plain = Plain {
    counts: Counts::Largest,
    below: "",
    above: "out against its neighbour",
    rule: "swings of neighbours taken as arrows by their clock angles: sum where opposite, difference on one side",
    source: "geometry of two eccentric circles; limits as the sheet states; JCGM 106 decision at the house level",
};

pub(in crate::judgement) fn judge(
    set: &Set<'_>,
    bench: &Bench<'_>,
    deciding: Option<Deciding>,
) -> Option<Judged> {
    let read: Vec<&PlaceValue> = set.read().filter_map(|(_, values)| values.values().next()).collect();
    let (swings, clocks) = read.split_at_checked(set.feature.positions.len())?;
    let journals: Vec<(&PlaceValue, &PlaceValue)> =
        swings.iter().copied().zip(clocks.iter().copied()).collect();
    let mut values = Values::new();
    let (mut places, mut arrows) = (Vec::new(), Vec::new());
    for (index, (one, next)) in journals.iter().zip(journals.iter().skip(1)).enumerate() {
        let value = apart(*one, *next);
        arrows.push(Arrow::of(*one, *next));
        let name = |at: usize| set.feature.positions.get(at).cloned().unwrap_or_default();
        places
            .push(PlaceShown { name: format!("{} and {}", name(index), name(index + 1)), value: value.mean });
        values.insert(Place { station: index, direction: 0 }, value);
    }
    let mut judged = plain::judge(bench, &PLAIN, &values, deciding)?;
    judged.places = places;
    let arrows: Option<Vec<Arrow>> = arrows.into_iter().collect();
    let known = arrows.zip(judged.deciding.and_then(|deciding| deciding.proof.max).map(Exact::to_mm));
    let of_all = |conforms: fn(&[Arrow], f64) -> Option<f64>| {
        known.as_ref().and_then(|(arrows, most)| conforms(arrows, *most))
    };
    let (conforms, shows) = (of_all(Arrow::conform), of_all(Arrow::show));
    Some(judged.no_surer(conforms, bench.level).unless_noise(bench.level, || shows))
}

/// The difference of two swings as an arrow in the plane, in the two directions in which it errs apart from itself.
struct Arrow {
    seen: [f64; 2],
    /// Standard uncertainties there, the smaller first.
    u: [f64; 2],
}

impl Arrow {
    /// `None` where an uncertainty is not known.
    fn of(one: (&PlaceValue, &PlaceValue), next: (&PlaceValue, &PlaceValue)) -> Option<Self> {
        let errors = [one.0, next.0, one.1, next.1].map(|value| value.error.as_ref());
        let [Some(swing), Some(other), Some(clock), Some(other_clock)] = errors else { return None };
        let (a, b) = (one.0.mean.to_mm(), next.0.mean.to_mm());
        let (at, to) = (one.1.mean.to_mm().to_radians(), next.1.mean.to_mm().to_radians());
        // What each reading moves the arrow by in a direction.
        let moved = |right: f64, up: f64| {
            let along = |angle: f64| right * angle.cos() + up * angle.sin();
            let turned = |angle: f64| (up * angle.cos() - right * angle.sin()).to_radians();
            combined_of(&[
                (along(at), swing),
                (-along(to), other),
                (a * turned(at), clock),
                (-b * turned(to), other_clock),
            ])
            .powi(2)
        };
        let (right, up) = (moved(1.0, 0.0), moved(0.0, 1.0));
        let both = moved(0.5_f64.sqrt(), 0.5_f64.sqrt()) - (right + up) / 2.0;
        // The ellipse of errors turned to its axes.
        let (middle, half) = ((right + up) / 2.0, ((right - up) / 2.0).hypot(both));
        let wide = 0.5 * (2.0 * both).atan2(right - up);
        let arrow = (a * at.cos() - b * to.cos(), a * at.sin() - b * to.sin());
        let (sine, cosine) = wide.sin_cos();
        let seen = [arrow.1 * cosine - arrow.0 * sine, arrow.0 * cosine + arrow.1 * sine];
        let larger = (middle + half).sqrt();
        // One that is hardly off in a direction is that for sure.
        let smaller = (middle - half).max(0.0).sqrt().max(1e-4 * larger);
        (larger > 0.0).then_some(Self { seen, u: [smaller, larger] })
    }

    /// Probability that all are truly no longer than `most`.
    fn conform(all: &[Self], most: f64) -> Option<f64> {
        Some(all.iter().map(|arrow| in_disc(arrow.seen, most, arrow.u)).product())
    }

    /// Probability, at least, that arrows truly as long as `most` are seen no further out than the worst of these.
    fn show(all: &[Self], most: f64) -> Option<f64> {
        let out = |arrow: &Self| (arrow.seen[0].hypot(arrow.seen[1]) - most) / arrow.u[1];
        let worst = all.iter().map(out).reduce(f64::max).filter(|worst| *worst > 0.0)?;
        Some(all.iter().map(|arrow| oval_conforms(most, most + worst * arrow.u[1], arrow.u[1])).product())
    }
}

/// Of two journals, each a swing and the angle of its high spot.
fn apart(one: (&PlaceValue, &PlaceValue), next: (&PlaceValue, &PlaceValue)) -> PlaceValue {
    let (a, b) = (one.0.mean.to_mm(), next.0.mean.to_mm());
    let between = (one.1.mean - next.1.mean).to_mm().to_radians();
    let (sine, cosine) = between.sin_cos();
    let value = (a * a + b * b - 2.0 * a * b * cosine).max(0.0).sqrt();
    // Where both are alike any error is one of the arrow's length.
    let (of_a, of_b, of_angle) = if value > 0.0 {
        ((a - b * cosine) / value, (b - a * cosine) / value, a * b * sine / value)
    } else {
        (1.0, -1.0, a)
    };
    let turned = of_angle.to_radians();
    let parts = [(of_a, one.0), (of_b, next.0), (turned, one.1), (-turned, next.1)];
    weighed(Exact::nearest(value), &parts)
}
