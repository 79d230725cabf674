//! A face as a map: at each point its height above or below the even face through them, tinted by how far it is off.

use crate::judgement::{Judged, PlaceShown};
use crate::pages::JobView;
use crate::pages::drawings::scale::{Scale, point};
use crate::pages::drawings::{Figure, Panel};
use crate::sheets::{Characteristic, Feature, SurfacePoint};
use crate::shop::Place;
use maud::{Markup, html};

const WIDTH: f64 = 340.0;
const HEIGHT: f64 = 150.0;
/// Room at the sides for half a number, and above and below.
const EDGE: (f64, f64) = (34.0, 22.0);
const RADIUS: f64 = 9.0;

/// One figure for each face whose sheet says where its heights are read.
pub(super) fn faces(view: &JobView) -> Vec<Figure> {
    let verdicts = view.judgement.standing().filter(|verdict| {
        matches!(verdict.key.characteristic, Characteristic::Flatness | Characteristic::FlatnessPerLength)
    });
    let figures = verdicts.filter_map(|verdict| {
        let feature = view.job.feature(verdict.key.surface)?;
        let judged = verdict.judged.as_ref()?;
        let unit = verdict.unit;
        let drawing = map(feature, judged, &verdict.name)?;
        let title = format!("{}, {}", verdict.name, verdict.key.characteristic.word());
        let note = format!(
            "Seen from above, to scale only along each side. Numbers are {} above (+) or below (-) the face; the darker, the further off; \
             the ring is the worst.",
            unit.symbol()
        );
        let caption = format!("{}, limit {}", judged.value_words(unit), judged.limit_words(unit));
        let panels = vec![Panel { drawings: vec![drawing], caption, beyond: verdict.is_beyond() }];
        Some(Figure { title, notes: vec![note], panels })
    });
    figures.collect()
}

fn map(feature: &Feature, judged: &Judged, name: &str) -> Option<Markup> {
    let unit = feature.unit;
    let stations = feature.points.iter().enumerate().filter(|(_, at)| at.across.is_some());
    let spots: Vec<(&SurfacePoint, &PlaceShown)> = stations
        .filter_map(|(station, at)| {
            let names =
                (0..feature.directions.len()).map(|direction| Place { station, direction }.name(feature));
            let shown = names.filter_map(|name| judged.places.iter().find(|place| place.name == name));
            Some((at, shown.max_by_key(|place| place.value.abs())?))
        })
        .collect();
    let along = Scale::over(spots.iter().map(|(at, _)| at.along.to_mm()), (EDGE.0, WIDTH - EDGE.0))?;
    let across = spots.iter().filter_map(|(at, _)| Some(at.across?.to_mm()));
    let across = Scale::over(across, (EDGE.1, HEIGHT - EDGE.1))?;
    let most = spots.iter().map(|(_, shown)| shown.value.abs()).max()?;
    let tint = |shown: &PlaceShown| shown.value.abs().to_mm() / most.to_mm();
    let words: Vec<String> = spots
        .iter()
        .map(|(_, shown)| format!("{} {}", shown.name, signed(&shown.value.show(unit))))
        .collect();
    let worst = spots.iter().position(|(_, shown)| shown.value.abs() == most);
    Some(html! {
        svg.fits role="img" aria-label={ (name) ": " (words.join(", ")) } width=(WIDTH) height=(HEIGHT)
            viewBox={ "0 0 " (WIDTH) " " (HEIGHT) } fill="currentColor" stroke="none" {
            @for (index, (at, shown)) in spots.iter().enumerate() {
                @let x = along.at(at.along.to_mm());
                @let y = across.at(at.across.map_or(0.0, crate::metrology::Exact::to_mm));
                circle cx=(point(x)) cy=(point(y)) r=(RADIUS) fill-opacity=(opacity(tint(shown))) {}
                @if worst == Some(index) { circle cx=(point(x)) cy=(point(y)) r=(RADIUS + 3.0) fill="none" stroke="currentColor" stroke-width="2" {} }
                text x=(point(x)) y=(point(y + RADIUS + 11.0)) font-size="10" text-anchor="middle" { (signed(&shown.value.show(unit))) }
            }
        }
    })
}

/// From a breath to three quarters: words are read beside it, never on it.
fn opacity(share: f64) -> String {
    let share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.0 };
    format!("{:.2}", 0.05 + 0.7 * share)
}

fn signed(digits: &str) -> String {
    if digits.starts_with('-') { digits.to_owned() } else { format!("+{digits}") }
}
