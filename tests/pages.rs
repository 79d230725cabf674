//! Pages say what the shop knows: each number of `job --json` that matters stands on the page, and nobody's row is
//! missing. Guards promise 5.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "pages/drawings.rs"]
mod drawings;
#[path = "pages/labels.rs"]
mod labels;
mod support;
#[path = "support/temp_shop.rs"]
mod temp_shop;

use benchdrop::facts::JobKey;
use benchdrop::pages::{build_record, job_page, order_file, work_order};
use benchdrop::respond::view;
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

/// Everything that can be typed of parts, bags, orders and money is text on every page of the job, and is there.
#[test]
fn whatever_is_typed_is_text_on_every_page_of_a_job() {
    const BAD: &str = "<script>alert(1)</script>\"><img src=x>";
    let mut drops = shop_with_engine();
    drops.pop();
    drops.push(drop_at(
        "check-in",
        10,
        serde_json::json!({"sheet": "OV-24", "customer": {"name": BAD, "reach": BAD}, "engine": {"serial": BAD},
            "scope": ["complete"], "complaint": BAD, "approver": BAD, "missing": [BAD], "place": BAD}),
    ));
    let bodies = serde_json::json!([
        ["part", {"part": "crankshaft", "event": "off", "where": BAD, "marks": BAD, "trouble": "seized", "why": BAD}],
        ["finding", {"findings": [{"part": "crankshaft", "defect": "scoring", "severity": 3, "note": BAD, "pictures": [BAD]}]}],
        ["hardware", {"group": "G03", "bag": BAD, "place": BAD, "state": "spare", "why": BAD, "pieces": [{"count": 1}]}],
        ["work-order", {"order": BAD, "out": {"to": BAD, "operation": "grind", "parts": [{"part": "crankshaft", "count": 1}],
            "tolerance": BAD, "finish": BAD, "untouched": BAD, "supplied": [BAD], "due": "2026-04-01", "carried-by": BAD}}],
        ["supply", {"item": BAD, "count": 1, "state": "ordered", "supplier": BAD}],
        ["assembly", {"torque": [{"group": "G03", "lubricant": BAD, "wrench": BAD, "bolts": "new", "final": BAD}]}],
        ["assembly", {"checks": [{"check": "rags out", "result": "no", "why": BAD}]}],
        ["account", {"estimate": {"lines": [{"what": BAD, "amount": "1.00"}], "not-to-exceed": "2.00", "expires": "2026-04-01", "option": BAD}}],
        ["sign-off", {"step": "teardown", "name": BAD, "note": BAD}],
    ]);
    for (minute, body) in (20..).zip(bodies.as_array().unwrap()) {
        drops.push(drop_at(body[0].as_str().unwrap(), minute, body[1].clone()));
    }
    let (job, shop) = sets(&drops);
    let view = view(&JobKey::of(JOB, SITE).unwrap(), &job, &shop);
    assert_eq!(view.job.held.len(), 0, "{:?}", view.job.held);
    let order = view.job.orders.values().next().unwrap();
    for (name, page, least) in [
        ("job page", job_page(&view), 25),
        ("record", build_record(&view), 15),
        ("order", work_order(&view, order), 9),
    ] {
        assert!(!page.contains("<script") && !page.contains("<img"), "{name}");
        let shown = page.matches("&lt;script&gt;alert(1)").count();
        assert!(shown >= least, "{name} shows {shown} of what was typed");
    }
    assert!(
        order_file(order).chars().all(|c| c.is_ascii_alphanumeric() || c == '-'),
        "{}",
        order_file(order)
    );
}
