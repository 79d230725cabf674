//! Drawings of what was measured: bores from above and down their length, journals along theirs, faces as maps of heights,
//! clearances side by side, and the days of the job.
//!
//! Each is made from the same verdicts as the words and `job --json`, says in words what it shows, and tells by shape alone what is
//! beyond. Nothing is judged here and nothing is left out because it looks odd: what does not fit is drawn at the edge and
//! said to be so.

mod above;
mod clearances;
mod days;
mod face;
mod form;
mod marks;
mod profile;
mod scale;

pub(super) use days::{days_json, days_of_job};

use crate::pages::JobView;
use maud::{Markup, html};

/// Small drawings of one kind under one heading.
#[derive(Default)]
struct Figure {
    title: String,
    /// How to read it, one line each.
    notes: Vec<String>,
    panels: Vec<Panel>,
}

/// One small drawing and what stands below it.
struct Panel {
    drawings: Vec<Markup>,
    caption: String,
    beyond: bool,
}

impl Figure {
    fn html(&self) -> Markup {
        html! {
            figure {
                figcaption { strong { (self.title) } @for note in &self.notes { br; (note) } }
                div.panels { @for panel in &self.panels { div {
                    @for drawing in &panel.drawings { (drawing) }
                    p { (panel.caption) @if panel.beyond { ", " strong.out { "beyond" } } }
                } } }
            }
        }
    }
}

/// Everything that can be drawn of an engine.
fn figures(view: &JobView) -> Vec<Figure> {
    let mut all = form::forms(view);
    all.extend(face::faces(view));
    all.extend(clearances::clearances(view));
    all
}

/// The section of drawings; nothing where nothing was measured that is drawn.
pub(super) fn drawings(view: &JobView) -> Markup {
    let figures = figures(view);
    html! { @if !figures.is_empty() { section id="drawings" {
        h2 { "Drawn as measured" }
        p.quiet { (LEGEND) }
        @for figure in &figures { (figure.html()) }
    } } }
}

/// What people are told once above the drawings.
const LEGEND: &str = "Full lines are the limits that decide, dashed lines the new limits. A place beyond its limit is a cross. \
    Drawings of one kind have one scale.";
