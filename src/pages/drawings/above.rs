//! A bore from above: the limits as circles and the oval through the directions of its worst station, its deviations drawn
//! many times too large and said by how much.

use crate::metrology::Exact;
use crate::pages::drawings::form::Measured;
use crate::pages::drawings::marks::mark;
use crate::pages::drawings::scale::point;
use maud::{Markup, html};
use std::f64::consts::PI;

const SIDE: f64 = 80.0;
/// Where the circle of reference lies, and how far from it anything is drawn.
const RADIUS: f64 = 26.0;
const ROOM: f64 = 10.0;
/// Points of an oval.
const STEPS: u8 = 48;
/// Larger than this is noise of the gauge blown up.
const MOST: f64 = 5000.0;

/// The scale of all bores of a feature.
pub(super) struct Oval {
    /// Diameter of the circle of reference: the smallest limit, or what else there is.
    reference: f64,
    /// So many times too large a deviation is drawn.
    times: f64,
    /// Some deviation is larger than there is room for.
    is_cut: bool,
}

impl Oval {
    /// `None` where not even one size tells where to begin.
    pub(super) fn of(all: &[Measured<'_>]) -> Option<Self> {
        let limit =
            |one: &Measured<'_>| one.limits().into_iter().chain(one.new_limits()).flatten().reduce(f64::min);
        let reference = all.iter().filter_map(limit).reduce(f64::min);
        let reference = reference.or_else(|| all.iter().flat_map(Measured::read).reduce(f64::min))?;
        let reference = (reference > 0.0).then_some(reference)?;
        let off =
            all.iter().flat_map(Measured::all).map(|size| (size - reference).abs() / reference * RADIUS);
        let off = off.fold(0.0, f64::max);
        let times = below(ROOM / off);
        Some(Self { reference, times, is_cut: times * off > ROOM * 1.001 })
    }

    pub(super) fn note(&self) -> String {
        let cut = if self.is_cut { "; what is further out lies at the edge" } else { "" };
        format!(
            "Beside it from above at its least round station, deviations drawn {} times too large{cut}.",
            self.times
        )
    }

    /// Points from the middle for a diameter.
    fn radius(&self, diameter: f64) -> f64 {
        let off = (diameter - self.reference) / self.reference * RADIUS * self.times;
        RADIUS + off.clamp(-ROOM, ROOM)
    }

    pub(super) fn drawing(&self, one: &Measured<'_>) -> Markup {
        let middle = SIDE / 2.0;
        let Some((station, sizes)) = least_round(one) else { return html! {} };
        let marks = sizes.iter().zip(0_u8..).map(|(size, index)| {
            let (x, y) = around(angle(index, sizes.len()), self.radius(size.to_mm()));
            mark(x, y, usize::from(index), one.is_beyond(*size))
        });
        let words = format!("{} from above at {station}", one.verdict.name);
        html! {
            svg.above role="img" aria-label=(words) width=(SIDE) height=(SIDE) viewBox={ "0 0 " (SIDE) " " (SIDE) }
                fill="none" stroke="currentColor" {
                @for bound in one.limits().into_iter().flatten() {
                    circle cx=(middle) cy=(middle) r=(point(self.radius(bound))) {}
                }
                @for bound in one.new_limits().into_iter().flatten() {
                    circle cx=(middle) cy=(middle) r=(point(self.radius(bound))) stroke-dasharray="2 3" {}
                }
                path stroke-width="1.5" fill="currentColor" fill-opacity="0.12" d=(self.path(&sizes)) {}
                @for mark in marks { (mark) }
            }
        }
    }

    /// The smooth curve through a diameter for each direction, and round again.
    fn path(&self, sizes: &[Exact]) -> String {
        let sizes: Vec<f64> = sizes.iter().map(|size| size.to_mm()).collect();
        let points = (0..STEPS).map(|step| {
            let turn = f64::from(step) / f64::from(STEPS) * 2.0 * PI;
            let (x, y) = around(turn, self.radius(diameter_at(&sizes, turn)));
            format!("{} {}", point(x), point(y))
        });
        format!("M{}z", points.collect::<Vec<_>>().join("L"))
    }
}

/// The largest of 1, 2, 5, 10, 20 ... that is no more than this.
fn below(most: f64) -> f64 {
    let steps = [1000.0, 100.0, 10.0, 1.0].into_iter().flat_map(|ten| [5.0 * ten, 2.0 * ten, ten]);
    steps.into_iter().find(|step| *step <= most.min(MOST)).unwrap_or(1.0)
}

/// The station whose directions differ most, of those where each was read: its name and its diameters.
fn least_round<'m>(one: &'m Measured<'_>) -> Option<(&'m str, Vec<Exact>)> {
    let stations = one.feature.stations.iter().enumerate();
    let whole = stations.filter_map(|(station, name)| {
        let sizes: Option<Vec<Exact>> =
            one.sizes.iter().map(|along| along.get(station).copied().flatten()).collect();
        Some((name.as_str(), sizes?))
    });
    let apart =
        |sizes: &[Exact]| sizes.iter().max().zip(sizes.iter().min()).map(|(most, least)| *most - *least);
    whole.reduce(|worst, next| if apart(&next.1) > apart(&worst.1) { next } else { worst })
}

/// Directions stand evenly over half a turn, the first towards the top of the drawing.
fn angle(index: u8, count: usize) -> f64 {
    let count = u8::try_from(count).unwrap_or(u8::MAX).max(1);
    f64::from(index) / f64::from(count) * PI
}

/// A point so far from the middle, clockwise from the top.
fn around(turn: f64, radius: f64) -> (f64, f64) {
    let (sin, cos) = turn.sin_cos();
    (SIDE / 2.0 + radius * sin, SIDE / 2.0 - radius * cos)
}

/// Through neighbours by a cosine: of two directions an oval, of more a smooth ring.
fn diameter_at(sizes: &[f64], turn: f64) -> f64 {
    let count = u8::try_from(sizes.len()).unwrap_or(u8::MAX).max(1);
    let steps = turn.rem_euclid(PI) / PI * f64::from(count);
    let share = (1.0 - (steps.fract() * PI).cos()) / 2.0;
    let nearest = (0..count).rfind(|index| f64::from(*index) <= steps).unwrap_or(0);
    let here = sizes.get(usize::from(nearest)).copied();
    let next = sizes.get(usize::from((nearest + 1) % count)).copied();
    here.zip(next).map_or(0.0, |(here, next)| here + share * (next - here))
}
