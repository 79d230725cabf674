//! A value drawn against its limits: how far inside or beyond, how wide the uncertainty beside it, and where each place lies.
//!
//! All of a drawing comes from the numbers that stand in words beside it, on one scale from edge to edge. Lines are drawn in
//! the colour of the text; shape alone tells inside (a full mark) from beyond (a crossed one).

use crate::judgement::{Band, Judged};
use crate::metrology::{Exact, Unit};
use maud::{Markup, html};

/// Width and height, and the room left on either side, in points of the drawing.
const WIDTH: f64 = 220.0;
const HEIGHT: f64 = 34.0;
const EDGE: f64 = 10.0;

/// Where the box of the limit lies, and the line the value stands on.
const TOP: f64 = 8.0;
const BOTTOM: f64 = 26.0;
const MIDDLE: f64 = 17.0;

/// What people are told once above the drawings.
pub(super) const LEGEND: &str = "In each drawing the box is the limit that decides, open where there is none on that side, and \
    the dashed lines are the new limits. The mark is the value, crossed where it is beyond, with its uncertainty to both sides; \
    the short strokes are the places.";

/// A value and its limits along one line, millimetres.
struct Strip {
    value: f64,
    /// Expanded uncertainty, k = 2.
    u: f64,
    min: Option<f64>,
    max: Option<f64>,
    new: [Option<f64>; 2],
    places: Vec<f64>,
    is_beyond: bool,
    from: f64,
    to: f64,
}

impl Strip {
    /// `None` where no limit decides, or where all of it is one point.
    fn of(judged: &Judged) -> Option<Self> {
        let deciding = judged.deciding?;
        let (value, u) = (judged.value.to_mm(), 2.0 * judged.u.unwrap_or(0.0));
        let [min, max] = [deciding.limits.min, deciding.limits.max].map(|bound| bound.map(Exact::to_mm));
        let new = deciding.new.filter(|new| *new != deciding.limits);
        let new =
            [new.and_then(|new| new.min), new.and_then(|new| new.max)].map(|bound| bound.map(Exact::to_mm));
        // What each place gives is of the value's kind where the value is one of them.
        let is_one = judged.places.iter().any(|place| place.value == judged.value);
        let shown = judged.places.iter().filter(|_| is_one);
        let places: Vec<f64> = shown.map(|place| place.value.to_mm()).collect();
        let ends = [Some(value - u), Some(value + u), min, max, new[0], new[1]].into_iter().flatten();
        let all: Vec<f64> = ends.chain(places.iter().copied()).collect();
        let from = all.iter().copied().fold(f64::INFINITY, f64::min);
        let to = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let is_beyond = matches!(judged.band, Band::Beyond(_));
        (from < to).then_some(Self { value, u, min, max, new, places, is_beyond, from, to })
    }

    /// Where a value stands, in points from the left.
    fn x(&self, value: f64) -> String {
        format!("{:.1}", EDGE + (value - self.from) / (self.to - self.from) * (WIDTH - 2.0 * EDGE))
    }

    /// The edge of the drawing where a limit is missing.
    fn end(&self, bound: Option<f64>, edge: f64) -> String {
        bound.map_or_else(|| format!("{edge:.1}"), |bound| self.x(bound))
    }

    fn html(&self, words: &str) -> Markup {
        let (left, right) = (self.end(self.min, 0.0), self.end(self.max, WIDTH));
        html! {
            svg.strip role="img" aria-label=(words) width=(WIDTH) height=(HEIGHT)
                viewBox={ "0 0 " (WIDTH) " " (HEIGHT) } fill="none" stroke="currentColor" {
                @for y in [TOP, BOTTOM] { line x1=(left) x2=(right) y1=(y) y2=(y) {} }
                @for x in [self.min, self.max].into_iter().flatten() { (upright(&self.x(x), TOP, BOTTOM, "2")) }
                @for x in self.new.into_iter().flatten() {
                    line x1=(self.x(x)) x2=(self.x(x)) y1=(TOP) y2=(BOTTOM) stroke-dasharray="2 3" {}
                }
                @for place in &self.places { (upright(&self.x(*place), BOTTOM - 4.0, BOTTOM + 4.0, "1")) }
                line x1=(self.x(self.value - self.u)) x2=(self.x(self.value + self.u)) y1=(MIDDLE) y2=(MIDDLE) {}
                @for x in [self.value - self.u, self.value + self.u] { (upright(&self.x(x), MIDDLE - 3.0, MIDDLE + 3.0, "1")) }
                (self.mark())
            }
        }
    }

    /// The value: full inside, a cross beyond.
    fn mark(&self) -> Markup {
        const ARM: f64 = 6.0;
        let at = EDGE + (self.value - self.from) / (self.to - self.from) * (WIDTH - 2.0 * EDGE);
        let (left, right) = (format!("{:.1}", at - ARM), format!("{:.1}", at + ARM));
        html! {
            @if self.is_beyond {
                line x1=(left) x2=(right) y1=(MIDDLE - ARM) y2=(MIDDLE + ARM) stroke-width="3" {}
                line x1=(left) x2=(right) y1=(MIDDLE + ARM) y2=(MIDDLE - ARM) stroke-width="3" {}
            } @else {
                circle cx=(self.x(self.value)) cy=(MIDDLE) r="4.5" fill="currentColor" {}
            }
        }
    }
}

fn upright(x: &str, top: f64, bottom: f64, width: &str) -> Markup {
    html! { line x1=(x) x2=(x) y1=(top) y2=(bottom) stroke-width=(width) {} }
}

/// The drawing of a verdict; nothing where no limit decides.
pub(super) fn limit_strip(judged: &Judged, unit: Unit) -> Markup {
    let words = format!(
        "{}, {}, limit {}",
        judged.value_words(unit),
        judged.uncertainty_words(unit),
        judged.limit_words(unit)
    );
    html! { @if let Some(strip) = Strip::of(judged) { (strip.html(&words)) } }
}
