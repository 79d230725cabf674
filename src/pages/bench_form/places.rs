//! The places of an engine to type readings into: feature by feature, position by position, plane by plane, as a
//! person walks along it with one gauge.

use crate::judgement::{Question, words};
use crate::pages::JobView;
use crate::sheets::{Characteristic, Feature, Limits, Row, Shape};
use crate::shop::{Place, Surface, SurfaceKey};
use maud::{Markup, html};
use serde_json::Value;

/// What is known of one place.
enum Known<'a> {
    Questioned(&'a Question),
    Measured(String),
    Missing,
    NotAsked,
}

/// All features of the sheet with all their places.
pub(super) fn places(view: &JobView, readings: &Value) -> Markup {
    let text = |path: &str| readings.pointer(path).and_then(Value::as_str).unwrap_or_default();
    html! {
        @if let Some(sheet) = &view.job.sheet {
            div data-key="readings" data-shape="grid" data-needed="yes"
                data-pattern=(text("/items/properties/value/pattern"))
                data-deviation-pattern=(text("/items/properties/deviation/pattern"))
                data-blades-pattern=(text("/items/properties/blades/properties/not-in/pattern")) {
                @for (index, feature) in sheet.features.iter().enumerate() { (of_feature(view, index, feature)) }
                em.bad {}
            }
        }
    }
}

fn of_feature(view: &JobView, index: usize, feature: &Feature) -> Markup {
    let keys = (0..feature.positions.len()).map(|position| SurfaceKey { feature: index, position });
    let states: Vec<(SurfaceKey, Vec<(Place, Known<'_>)>)> = keys
        .map(|key| (key, all_places(feature).map(|place| (place, known(view, key, place))).collect()))
        .collect();
    let count = |wanted: fn(&Known<'_>) -> bool| {
        states.iter().flat_map(|(_, places)| places).filter(|(_, known)| wanted(known)).count()
    };
    let measured = count(|known| matches!(known, Known::Measured(_)));
    let missing = count(|known| matches!(known, Known::Missing));
    let questioned = count(|known| matches!(known, Known::Questioned(_)));
    // The unit of lengths is chosen once a set; what is no length has the sheet's.
    let own = (!feature.unit.is_length()).then(|| feature.unit.symbol());
    html! {
        @let (least, most) = around(feature).map_or((None, None), |(least, most)| (Some(least), Some(most)));
        details.feature data-feature=(feature.key) data-unit=[own] data-least=[least] data-most=[most] data-in=(feature.unit.symbol()) {
            summary {
                strong { (feature.key) }
                @if feature.name != feature.key { ", " (feature.name) }
                span.quiet { ": " (measured) " measured, " (missing) " missing, " (questioned) " questioned" }
            }
            (limits(feature))
            @if feature.stations.len() + feature.unworn.len() == 1 {
                (table(feature, &feature.key, states.iter().map(|(key, places)| {
                    row(view, feature, *key, &view.job.surface_name(*key), places)
                })))
            } @else {
                @for (key, places) in &states {
                    (table(feature, &view.job.surface_name(*key), places.chunks(feature.directions.len().max(1)).map(|places| {
                        let station = places.first().map_or("", |(place, _)| feature.station_name(place.station));
                        row(view, feature, *key, station, places)
                    })))
                }
            }
        }
    }
}

/// The smallest and largest limit of its size, at the first size, for the form to see what is far from both; `None` for what has
/// no size of its own, or limits on one side alone.
fn around(feature: &Feature) -> Option<(String, String)> {
    let rows = feature.rows.iter().filter(|row| row.characteristic == Characteristic::Size);
    let limits: Vec<Limits> = rows.flat_map(|row| [row.new, row.service]).flatten().collect();
    let least = limits.iter().filter_map(|limits| limits.min).min()?;
    let most = limits.iter().filter_map(|limits| limits.max).max()?;
    (least < most).then(|| (least.show(feature.unit), most.show(feature.unit)))
}

fn all_places(feature: &Feature) -> impl Iterator<Item = Place> {
    let stations = feature.stations.len() + feature.unworn.len();
    let directions = feature.directions.len();
    (0..stations).flat_map(move |station| (0..directions).map(move |direction| Place { station, direction }))
}

fn table(feature: &Feature, caption: &str, rows: impl Iterator<Item = Markup>) -> Markup {
    html! {
        table.places data-down=[(feature.shape == Shape::Bore).then_some("yes")] {
            caption { (caption) }
            thead { tr { th {} @for direction in &feature.directions { th { (direction) } } } }
            tbody { @for row in rows { (row) } }
        }
    }
}

/// What a place has no name for is left out of it; what is the same for every place stands once above them.
fn row(
    view: &JobView,
    feature: &Feature,
    key: SurfaceKey,
    name: &str,
    places: &[(Place, Known<'_>)],
) -> Markup {
    let named = |word: &'_ str| (!word.is_empty()).then(|| word.to_owned());
    let direction = |place: &Place| named(feature.directions.get(place.direction)?);
    let position = feature.positions.get(key.position).and_then(|position| named(position));
    html! { tr data-position=[position] {
        th { (name) }
        @for (place, known) in places {
            td data-station=[named(feature.station_name(place.station))] data-direction=[direction(place)]
                class=[matches!(known, Known::NotAsked).then_some("aside")] {
                input aria-label={ (view.job.surface_name(key)) " " (place.name(feature)) };
                span.unit { (feature.unit.symbol()) }
                (state(known))
            }
        }
    } }
}

fn state(known: &Known<'_>) -> Markup {
    html! { small { @match known {
        Known::Questioned(question) => { strong { "questioned" } " " (question.digits) ": " (question.why) }
        Known::Measured(words) => { "measured " (words) }
        Known::Missing => { strong { "missing" } }
        Known::NotAsked => { "not asked for" }
    } } }
}

fn known(view: &JobView, key: SurfaceKey, place: Place) -> Known<'_> {
    let mut questions = view.judgement.questions.iter();
    if let Some(asked) = questions.find(|q| q.stands && q.surface == key && q.place == place) {
        return Known::Questioned(asked);
    }
    let feature = view.job.sheet.as_ref().and_then(|sheet| sheet.features.get(key.feature));
    if let Some(words) = view.job.surfaces.get(&key).and_then(|surface| present(surface, place)) {
        return Known::Measured(words);
    }
    // The band that never wore says more where it can be read; no verdict waits for it.
    let is_unworn = feature.is_some_and(|feature| place.station >= feature.stations.len());
    let asked = view.judgement.standing().any(|verdict| verdict.asked && verdict.key.surface == key);
    if asked && !is_unworn { Known::Missing } else { Known::NotAsked }
}

/// `2.2488 in, as received`: the latest reading of the place in the set that speaks for the surface as it is.
fn present(surface: &Surface, place: Place) -> Option<String> {
    let (set, readings) = surface.present()?;
    let latest = readings.readings.get(&place)?.last()?;
    Some(format!("{} {}, {}", latest.digits, latest.unit.symbol(), set.condition.word()))
}

/// Every row of the feature with its limits.
fn limits(feature: &Feature) -> Markup {
    let columns = |row: &Row| {
        let unit = row.unit;
        let columns = [("new", row.new), ("service", row.service), ("after work", row.after_work)];
        let words = columns
            .into_iter()
            .filter_map(|(name, limits)| Some(format!("{name} {}", words::limits(&limits?, unit))));
        let words = words.collect::<Vec<_>>().join(", ");
        if words.is_empty() { "no limit of its own".to_owned() } else { format!("{words} {}", unit.symbol()) }
    };
    html! {
        ul.quiet { @for row in &feature.rows {
            li { (row.characteristic.word()) " (row " (row.number) "): " (columns(row)) @if !row.note.is_empty() { ". " (row.note) } }
        } }
    }
}
