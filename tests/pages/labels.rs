//! Each bag that was counted and each part that is off has a label that says what `job --json` says.

use super::*;
use serde_json::json;

fn off(part: &str, position: &str, at: u32) -> Value {
    drop_at(
        "part",
        at,
        json!({"part": part, "positions": [position], "event": "off", "where": format!("tray {position}"),
        "way-round": "arrow to the front"}),
    )
}

#[test]
fn bags_and_parts_have_their_labels() {
    let mut shop = TempShop::new();
    let mut drops = shop_with_engine();
    let pieces = json!([{"size": "1/4-20 x 1.00", "count": 7}, {"size": "5/16-18 x 2.50", "count": 2, "bag": "B-12 long"}]);
    drops.push(drop_at(
        "hardware",
        20,
        json!({"group": "G11", "state": "bagged", "bag": "B-12", "place": "tray 4", "pieces": pieces}),
    ));
    drops.extend([off("piston", "1", 21), off("piston", "2", 22)]);
    drops.push(drop_at(
        "part",
        23,
        json!({"part": "piston", "positions": ["2"], "event": "scrapped", "why": "cracked"}),
    ));
    shop.take(&drops);
    assert!(shop.papers("returned").is_empty(), "{:?}", shop.arrivals());
    let job = shop.job(JOB);
    let labels = job["labels"].as_array().unwrap();
    let named: Vec<(&str, &str)> = labels
        .iter()
        .map(|label| (label["kind"].as_str().unwrap(), label["label"].as_str().unwrap()))
        .collect();
    // What was scrapped comes back to nobody.
    assert_eq!(named, [("job", JOB), ("bag", "B-12"), ("bag", "B-12 long"), ("part", "piston 1")]);
    let slug = JobKey::of(JOB, SITE).unwrap().slug();
    let page = shop.page(&format!("labels/{slug}.html"));
    assert_eq!(page.matches("<svg class=\"code\"").count(), labels.len());
    let page = text_of(&page);
    for label in labels {
        says(&page, &[label["label"].as_str().unwrap(), label["text"].as_str().unwrap()]);
        for line in label["lines"].as_array().unwrap() {
            says(&page, &[line.as_str().unwrap()]);
        }
    }
    says(
        &page,
        &[
            "G11, Timing cover",
            "7 of 1/4-20 x 1.00, tray 4",
            "2 of 5/16-18 x 2.50",
            "way round: arrow to the front",
        ],
    );
}

/// Two labels that differ in signs alone would have one short text; it would lead to one of them.
#[test]
fn a_text_that_could_be_of_two_has_no_code() {
    let mut shop = TempShop::new();
    let mut drops = shop_with_engine();
    let pieces = json!([{"size": "1/4-18 NPT", "count": 4, "bag": "7-A"}, {"size": "1/8-27 NPT", "count": 3, "bag": "7/A"}]);
    drops.push(drop_at("hardware", 20, json!({"group": "G20", "state": "bagged", "pieces": pieces})));
    shop.take(&drops);
    let job = shop.job(JOB);
    let texts: Vec<&str> = job["labels"]
        .as_array()
        .unwrap()
        .iter()
        .skip(1)
        .map(|label| label["text"].as_str().unwrap())
        .collect();
    assert_eq!(texts, ["", ""]);
}
