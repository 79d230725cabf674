//! Pages say what the shop knows: each number of `job --json` that matters stands on the page, and nobody's row is
//! missing. Guards promise 5.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

mod support;
#[path = "support/temp_shop.rs"]
mod temp_shop;

use benchdrop::facts::JobKey;
use serde_json::Value;
use support::*;
use temp_shop::TempShop;

/// Main journal 3 is worn, main journal 4 was typed with swapped digits, one paper is refused.
fn shop() -> TempShop {
    let mut shop = TempShop::new();
    let mut drops = shop_with_engine();
    drops.push(measured(
        20,
        "as received",
        "MIC",
        journal("main journal", "3", ["2.2479", "2.2471", "2.2480", "2.2472"]),
    ));
    drops.push(measured(21, "as received", "MIC", journal("main journal", "4", ["2.4288"; 4])));
    shop.take(&drops);
    shop.put("broken.json", b"{\"kind\": \"measurements\", \"version\": 7}");
    shop.settle();
    shop
}

fn text_of(html: &str) -> String {
    // Tags out, spaces folded: what a person reads.
    let mut text = String::new();
    let mut inside = false;
    for c in html.chars() {
        match c {
            '<' => inside = true,
            '>' => {
                inside = false;
                text.push(' ');
            }
            c if !inside => text.push(c),
            _ => {}
        }
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn says(page: &str, all: &[&str]) {
    for words in all {
        assert!(page.contains(words), "{words:?} is missing from: {page}");
    }
}

#[test]
fn the_board_has_a_row_for_each_engine() {
    let shop = shop();
    let html = shop.page("board.html");
    let slug = JobKey::of(JOB, SITE).unwrap().slug();
    assert!(html.contains(&format!("href=\"jobs/{slug}.html\"")), "the row leads to the engine's page");
    says(
        &text_of(&html),
        &[
            JOB,
            "Ferrowmere Mill",
            "Ostervane OV-24",
            "inspection",
            "2 beyond",
            "4 questioned",
            "owner : main journal 3",
        ],
    );
}

#[test]
fn arrivals_say_what_became_of_each_paper() {
    let shop = shop();
    let page = text_of(&shop.page("arrivals.html"));
    says(&page, &["broken.json", "returned", "/version", "filed", "measurements, MAIN/24-17"]);
    for arrival in shop.arrivals() {
        says(&page, &[&arrival.name, &arrival.place, &arrival.hash.unwrap().short()]);
    }
}

#[test]
fn the_job_page_has_every_number_of_the_json() {
    let shop = shop();
    let slug = JobKey::of(JOB, SITE).unwrap().slug();
    let page = text_of(&shop.page(&format!("jobs/{slug}.html")));
    let job = shop.job(JOB);
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let mut compared = 0;
    for verdict in job["verdicts"].as_array().unwrap() {
        let title = format!(
            "{}, {} (row {})",
            text(&verdict["name"]),
            text(&verdict["characteristic"]),
            verdict["row"]
        );
        says(&page, &[&title]);
        if verdict.get("value").is_some() {
            says(
                &page,
                &[
                    &text(&verdict["value"]),
                    &text(&verdict["limit"]["words"]),
                    &text(&verdict["judged-state"]),
                ],
            );
            says(&page, &[&text(&verdict["margin"]), &text(&verdict["rule"]), &text(&verdict["source"])]);
            compared += 1;
        }
    }
    assert!(compared >= 3, "{compared}");
    for blocker in job["blockers"].as_array().unwrap() {
        says(&page, &[&text(&blocker["what"]).replace('"', "&quot;")]);
    }
    for question in job["questions"].as_array().unwrap() {
        says(&page, &[&text(&question["why"])]);
    }
    says(&page, &["mains: all to 0.010 under", "2.2437"]);
}
