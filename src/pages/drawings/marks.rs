//! Marks for values: one shape a direction, a cross for what is beyond.

use crate::pages::drawings::scale::point;
use maud::{Markup, html};

/// The shapes in their order, as they are called in words.
pub(super) const NAMES: [&str; 4] = ["full dots", "rings", "full squares", "open squares"];

const RADIUS: f64 = 3.2;

/// A mark of a direction's shape; crossed where it is beyond.
pub(super) fn mark(x: f64, y: f64, direction: usize, beyond: bool) -> Markup {
    let fill = if direction.is_multiple_of(2) { "currentColor" } else { "none" };
    let (left, right, top, bottom) = (x - RADIUS, x + RADIUS, y - RADIUS, y + RADIUS);
    html! {
        @if beyond { (cross(x, y)) }
        @else if direction % NAMES.len() < 2 { circle cx=(point(x)) cy=(point(y)) r=(RADIUS) fill=(fill) {} }
        @else {
            path fill=(fill) d={ "M" (point(left)) " " (point(top)) "H" (point(right)) "V" (point(bottom)) "H" (point(left)) "z" } {}
        }
    }
}

fn cross(x: f64, y: f64) -> Markup {
    const ARM: f64 = 4.0;
    html! {
        line stroke-width="2.5" x1=(point(x - ARM)) x2=(point(x + ARM)) y1=(point(y - ARM)) y2=(point(y + ARM)) {}
        line stroke-width="2.5" x1=(point(x - ARM)) x2=(point(x + ARM)) y1=(point(y + ARM)) y2=(point(y - ARM)) {}
    }
}

/// `full dots X, rings Y`.
pub(super) fn key(directions: &[String]) -> String {
    let named = directions.iter().enumerate();
    let named = named.filter_map(|(index, name)| Some(format!("{} {name}", NAMES.get(index % NAMES.len())?)));
    named.collect::<Vec<_>>().join(", ")
}
