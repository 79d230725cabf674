//! A bore down its length, a journal along its own: the size of each place, station by station, a line for each direction.

use crate::metrology::Exact;
use crate::pages::drawings::form::Measured;
use crate::pages::drawings::marks::mark;
use crate::pages::drawings::scale::{Scale, point, spread};
use crate::sheets::Shape;
use maud::{Markup, html};

/// Length along the part, and across it, in points of the drawing.
const ALONG: f64 = 80.0;
const ACROSS: f64 = 72.0;
const EDGE: f64 = 8.0;

/// Where sizes and stations lie: a bore stands, a journal lies.
struct Paper {
    stands: bool,
    scale: Scale,
}

impl Paper {
    /// Along and across as x and y. A larger bore is further to the right, a larger journal further up.
    fn xy(&self, along: f64, across: f64) -> (f64, f64) {
        if self.stands { (across, along) } else { (along, ACROSS - across) }
    }

    const fn size(&self) -> (f64, f64) {
        if self.stands { (ACROSS, ALONG) } else { (ALONG, ACROSS) }
    }

    /// A line of one size over all stations.
    fn level(&self, size: f64, dashes: Option<&str>) -> Markup {
        let across = self.scale.at(size);
        let ((x1, y1), (x2, y2)) = (self.xy(0.0, across), self.xy(ALONG, across));
        html! { line x1=(point(x1)) x2=(point(x2)) y1=(point(y1)) y2=(point(y2)) stroke-width="1.5" stroke-dasharray=[dashes] {} }
    }
}

/// The drawing of one surface on the scale of all of its kind.
pub(super) fn profile(one: &Measured<'_>, all: &[Measured<'_>]) -> Markup {
    let values = all.iter().flat_map(Measured::all);
    let Some(scale) = Scale::over(values, (EDGE, ACROSS - EDGE)) else { return html! {} };
    let paper = Paper { stands: one.feature.shape == Shape::Bore, scale };
    let (width, height) = paper.size();
    html! {
        svg.profile role="img" aria-label=(one.words()) width=(width) height=(height)
            viewBox={ "0 0 " (width) " " (height) } fill="none" stroke="currentColor" {
            @for bound in one.limits().into_iter().flatten() { (paper.level(bound, None)) }
            @for bound in one.new_limits().into_iter().flatten() { (paper.level(bound, Some("2 3"))) }
            @for (direction, sizes) in one.sizes.iter().enumerate() { (line_of(one, &paper, direction, sizes)) }
        }
    }
}

/// The places of one direction, joined where both neighbours were read.
fn line_of(one: &Measured<'_>, paper: &Paper, direction: usize, sizes: &[Option<Exact>]) -> Markup {
    let at = |station: usize, size: Exact| {
        paper.xy(spread(station, sizes.len(), 0.0, ALONG), paper.scale.at(size.to_mm()))
    };
    let joined = sizes.windows(2).enumerate().filter_map(|(station, pair)| match pair {
        [Some(here), Some(next)] => Some((at(station, *here), at(station + 1, *next))),
        _ => None,
    });
    let read = sizes.iter().enumerate().filter_map(|(station, size)| Some((station, (*size)?)));
    html! {
        @for ((x1, y1), (x2, y2)) in joined { line x1=(point(x1)) x2=(point(x2)) y1=(point(y1)) y2=(point(y2)) {} }
        @for (station, size) in read {
            @let (x, y) = at(station, size);
            (mark(x, y, direction, one.is_beyond(size)))
        }
    }
}
