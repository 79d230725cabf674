//! What is drawn of an engine stands where `job --json` says it is, on both engines of the demonstration at several moments of
//! their lives; whatever was typed, every drawing stays inside its own edges.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/demo_shop.rs"]
mod demo_shop;
#[path = "drawn/edges.rs"]
mod edges;
#[path = "support/plain.rs"]
mod plain;
mod support;
#[path = "drawn/svg.rs"]
mod svg;
#[path = "support/temp_shop.rs"]
mod temp_shop;

use benchdrop::facts::{Fact, JobKey, decode};
use benchdrop::pages::{job_json, job_page};
use benchdrop::respond::view;
use benchdrop::shop::{FactSet, Shop};
use demo_shop::DemoShop;
use serde_json::Value;
use std::sync::Arc;
use support::text_of;
use svg::{Svg, svgs};
use temp_shop::files_below;

/// Everything the demonstration filed, in recorded order.
fn story(shop: &DemoShop) -> Vec<Arc<Fact>> {
    let papers = files_below(&shop.path("watch-folder/filed"));
    let facts = papers.values().filter_map(|bytes| decode(bytes, "main").ok()).map(Arc::new);
    let mut facts: Vec<Arc<Fact>> = facts.collect();
    facts.sort_by_key(|fact| fact.order());
    facts
}

/// Page and JSON of an engine when only these were recorded.
fn at(facts: &[Arc<Fact>], job: &str) -> (String, Value) {
    let key = JobKey::of(job, "main").unwrap();
    let (mut shop, mut own) = (FactSet::default(), FactSet::default());
    for fact in facts {
        match &fact.job {
            None => shop.insert(fact.clone()),
            Some(of) => *of == key && own.insert(fact.clone()),
        };
    }
    let view = view(&key, &own, &Shop::fold(&shop));
    (job_page(&view), job_json(&view))
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_default()
}

/// The verdict that a drawing says it shows: name, places and limit, word for word.
fn shown<'j>(job: &'j Value, words: &str) -> &'j Value {
    let says = |verdict: &Value| {
        let places: Vec<String> = verdict["places"]
            .as_array()
            .into_iter()
            .flatten()
            .map(|place| format!("{} {}", text(&place["place"]), text(&place["value"])))
            .collect();
        let limit = text(&verdict["limit"]["words"]);
        let limit = if limit.is_empty() { "no limit on the sheet" } else { limit };
        verdict["stands"] == true
            && words == format!("{}: {}; limit {limit}", text(&verdict["name"]), places.join(", "))
    };
    let all = job["verdicts"].as_array().unwrap();
    all.iter().find(|verdict| says(verdict)).unwrap_or_else(|| panic!("nothing in the JSON says {words}"))
}

fn number(value: &Value) -> Option<f64> {
    text(value).parse().ok()
}

/// Values and where they are drawn lie on one line; a coordinate is rounded to a tenth of a point, a cross to two of them.
fn on_one_line(mut pairs: Vec<(f64, f64)>, what: &str) {
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (Some(first), Some(last)) = (pairs.first().copied(), pairs.last().copied()) else { return };
    for (value, point) in pairs {
        let share = if last.0 > first.0 { (value - first.0) / (last.0 - first.0) } else { 0.0 };
        let wanted = first.1 + share * (last.1 - first.1);
        assert!((point - wanted).abs() <= 0.16, "{what}: {value} at {point}, not {wanted}");
    }
}

/// Marks and limit lines of one surface, each with its number in the JSON. Bores grow to the right, journals up.
fn profile(drawing: &Svg, job: &Value) -> Vec<(f64, f64)> {
    let verdict = shown(job, &drawing.words);
    let mut values: Vec<f64> =
        verdict["places"].as_array().unwrap().iter().filter_map(|place| number(&place["value"])).collect();
    values.sort_by(f64::total_cmp);
    let stands = drawing.height > drawing.width;
    let across = |(x, y): (f64, f64)| if stands { x } else { drawing.height - y };
    let sorted = |mut points: Vec<f64>| {
        points.sort_by(f64::total_cmp);
        points
    };
    let marks = sorted(drawing.marks().into_iter().map(|(at, _)| across(at)).collect());
    assert_eq!(marks.len(), values.len(), "a mark for each place: {}", drawing.words);
    let beyond = drawing.marks().iter().filter(|(_, crossed)| *crossed).count();
    let limit = &verdict["limit"];
    let (min, max) = (number(&limit["min"]), number(&limit["max"]));
    let out = |value: &&f64| min.is_some_and(|min| **value < min) || max.is_some_and(|max| **value > max);
    assert_eq!(beyond, values.iter().filter(out).count(), "crossed where it is beyond: {}", drawing.words);
    let bounds = sorted(drawing.levels().into_iter().map(across).collect());
    let wanted = sorted([min, max].into_iter().flatten().collect());
    assert_eq!(bounds.len(), wanted.len(), "a line for each limit: {}", drawing.words);
    values.into_iter().zip(marks).chain(wanted.into_iter().zip(bounds)).collect()
}

#[test]
fn drawings_show_the_numbers_of_the_json() {
    let shop = DemoShop::new();
    let facts = story(&shop);
    let (mut surfaces, mut pairs, mut crossed, mut spans) = (0, 0, 0, 0);
    for tenth in [3, 5, 7, 10] {
        let facts = &facts[..facts.len() * tenth / 10];
        for name in ["24-017", "24-018"] {
            let (page, job) = at(facts, name);
            for figure in page.split("<figure").skip(1) {
                let all = svgs(figure);
                let profiles: Vec<&Svg> = all.iter().filter(|svg| svg.class == "profile").collect();
                let points = profiles.iter().flat_map(|svg| profile(svg, &job)).collect();
                on_one_line(points, figure.split("</strong>").next().unwrap());
                surfaces += profiles.len();
                crossed +=
                    profiles.iter().flat_map(|svg| svg.marks()).filter(|(_, crossed)| *crossed).count();
                for svg in all.iter().filter(|svg| svg.class == "fits" && svg.words.contains("other end")) {
                    pairs += clearances(svg, &job);
                }
            }
            spans += days(&page, &job);
        }
    }
    assert!(surfaces > 60 && pairs > 20 && crossed > 5 && spans > 30, "{surfaces} {pairs} {crossed} {spans}");
}

/// How many positions of a pair were compared.
fn clearances(drawing: &Svg, job: &Value) -> usize {
    let mut points = Vec::new();
    let said: Vec<&str> = drawing.words.split("; ").collect();
    let marks = drawing.marks();
    assert_eq!(marks.len(), said.len(), "{}", drawing.words);
    for (words, (at, crossed)) in said.iter().zip(&marks) {
        let says = |verdict: &&Value| {
            let value = text(&verdict["value"]);
            verdict["stands"] == true
                && words.starts_with(&format!("{} {value} ", text(&verdict["name"])))
                && words.ends_with(&format!("limit {}", text(&verdict["limit"]["words"])))
        };
        let verdict = job["verdicts"].as_array().unwrap().iter().find(says);
        let verdict = verdict.unwrap_or_else(|| panic!("nothing in the JSON says {words}"));
        assert_eq!(*crossed, verdict["band"] == "beyond", "{words}");
        points.push((number(&verdict["value"]).unwrap(), drawing.height - at.1));
    }
    on_one_line(points, &drawing.words);
    said.len()
}

/// The spans of the page are those of the JSON, in words and below them.
fn days(page: &str, job: &Value) -> usize {
    let spans = job["days"].as_array().unwrap();
    let Some((_, section)) = page.split_once("<section id=\"days\">") else {
        assert!(spans.is_empty());
        return 0;
    };
    let section = section.split_once("</section>").unwrap().0;
    let rows: Vec<&str> = section.split("<tr>").skip(2).collect();
    assert_eq!(rows.len(), spans.len());
    for (row, span) in rows.iter().zip(spans) {
        let said = text_of(&format!("<tr>{row}"));
        let until = span["to"].as_str().unwrap_or("goes on");
        for words in [text(&span["what"]), text(&span["from"]), until, text(&span["wanted"])] {
            assert!(said.contains(&words.replace('&', "&amp;")), "{words:?} is missing from {said}");
        }
        assert!(svgs(row)[0].words.ends_with(&span["wanted"].as_str().map_or_else(
            || format!("{} to {until}", text(&span["from"])),
            |wanted| format!("wanted {wanted}")
        )));
    }
    spans.len()
}
