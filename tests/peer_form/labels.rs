//! Labels on the form: what is scanned or typed is taken apart to what it is about, and what is wrong with it is said.

use crate::bench::{Bench, Section};
use crate::browser::{Browser, TAB};
use crate::support::{JOB, drop_at};
use benchdrop::facts::Body;
use serde_json::json;

const PART: &str = "//details[@id='part']//label[@data-label]";
const BAG: &str = "//details[@id='hardware']//label[@data-label]";

/// As a scanner does: all characters at once, and on.
fn scan(browser: &Browser, field: &str, text: &str) {
    browser.clear(&format!("{field}/input"));
    browser.type_in(&format!("{field}/input"), &format!("{text}{TAB}"));
}

/// The short text of a label of the engine.
fn text(bench: &Bench, label: &str) -> String {
    let job = bench.shop.job(JOB);
    let labels = job["labels"].as_array().unwrap();
    let found = labels.iter().find(|known| known["label"] == label).unwrap_or_else(|| panic!("{labels:#?}"));
    found["text"].as_str().unwrap().to_owned()
}

fn with_a_piston_off() -> Bench {
    let mut bench = Bench::of_job();
    bench.shop.take(&[drop_at(
        "part",
        40,
        json!({"part": "piston", "positions": ["3"], "event": "off", "where": "tray 3"}),
    )]);
    bench.browser.open(&bench.page);
    bench
}

#[test]
#[ignore = "needs Chromium; tests/run runs it"]
fn a_scanned_label_fills_what_it_is_about() {
    let bench = with_a_piston_off();
    let part: Section<'_> = bench.section("part");
    scan(&bench.browser, PART, &text(&bench, "piston 3").to_lowercase());
    assert_eq!(bench.browser.value(&format!("{PART}/input")), "piston 3");
    part.choose("event", "moved").write("where", "bench 2");
    let body = json!({"part": "piston", "positions": ["3"], "event": "moved", "where": "bench 2"});
    part.save().says("part", &body);

    let bags = bench.section("hardware");
    scan(&bench.browser, BAG, &text(&bench, "T01"));
    bags.choose("state", "used").write("pieces[2]/count", "2");
    let Body::Hardware(bag) = bags.save().says_kind("hardware") else { panic!("another kind") };
    assert_eq!((bag.group.as_str(), bag.bag.as_str()), ("T01", "T01"));
}

#[test]
#[ignore = "needs Chromium; tests/run runs it"]
fn a_label_of_another_engine_or_with_a_wrong_character_is_said_to_be_so() {
    let bench = with_a_piston_off();
    bench.section("part");
    let good = text(&bench, "piston 3");
    let said = |typed: &str| {
        scan(&bench.browser, PART, typed);
        bench.browser.text(&format!("{PART}/em"))
    };
    assert_eq!(said(&good), "");
    assert!(said(&good.replace("PISTON.3", "PISTON.2")).contains("a character of this label is wrong"));
    assert!(said("piston 3").contains("no label of ours"));
    // U is the check character of P24999PISTON3, reckoned apart from this program by ISO/IEC 7064, MOD 37,36.
    assert!(said("P 24.999 PISTON.3 U").contains("of job 24.999"), "{}", said("P 24.999 PISTON.3 U"));
    assert!(said(&text(&bench, "T01")).contains("of a bag"));
}

#[test]
#[ignore = "needs Chromium; tests/run runs it"]
fn a_label_typed_into_the_bags_field_is_taken_apart_there() {
    let bench = with_a_piston_off();
    let bags = bench.section("hardware");
    bags.choose("group", "T01").write("bag", &text(&bench, "T01"));
    assert_eq!(bags.shown("bag"), "T01");
    bench.browser.clear(&format!("{}/input", bags.at("bag")));
    bags.write("bag", &text(&bench, "piston 3"));
    assert!(bags.said("bag").contains("of a part"), "{}", bags.said("bag"));
    // What is no label of ours is a label of the shop's own, as typed.
    bench.browser.clear(&format!("{}/input", bags.at("bag")));
    bags.write("bag", "B-12");
    assert_eq!((bags.shown("bag").as_str(), bags.said("bag").as_str()), ("B-12", ""));
}

/// Debian's Chromium reads no codes; one that does is stood in for. What is asked of it is W3C's Shape Detection.
#[test]
#[ignore = "needs Chromium; tests/run runs it"]
fn a_label_is_read_from_a_picture_where_the_browser_can() {
    let picture = "//details[@id='part']//label[@data-label-picture]";
    let bench = with_a_piston_off();
    let part = bench.section("part");
    assert!(!bench.browser.is_shown(picture), "not offered where it cannot");
    let detector = format!(
        "window.BarcodeDetector = class {{ async detect(image) {{ return [{{ rawValue: image.width ? '{}' : '' }}]; }} }};",
        text(&bench, "piston 3")
    );
    bench.browser.devtools("Page.addScriptToEvaluateOnNewDocument", &json!({ "source": detector }));
    bench.browser.open(&bench.page);
    bench.section("part");
    let file = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/pictures/plain.png");
    bench.browser.type_in(&format!("{picture}/input"), file.to_str().unwrap());
    bench.browser.wait("the part", |_| (part.shown("part") == "piston").then_some(()));
    assert_eq!(bench.browser.value(&format!("{PART}/input")), "piston 3");
}
