//! The keypad: what its keys write is what is saved, and it goes on in the order of a hand.

use crate::bench::Bench;
use crate::support::reading;
use serde_json::json;

fn press(bench: &Bench, keys: &str) {
    for key in keys.chars() {
        let name = match key {
            '.' => "point".to_owned(),
            '>' => "next place".to_owned(),
            '<' => "take back one digit".to_owned(),
            digit => digit.to_string(),
        };
        bench.browser.click(&format!("//div[@class='keypad']//button[@aria-label='{name}']"));
    }
}

#[test]
#[ignore = "needs Chromium; tests/run runs it"]
fn what_is_pressed_is_saved_and_the_next_place_is_the_next_of_a_hand() {
    let bench = Bench::of_job();
    // With a mouse it waits to be asked for.
    let set = bench.section("measurements");
    set.choose("condition", "as received").write("gauge", "MIC").unfold("bore");
    bench.browser.click(&set.place("bore 1 top X"));
    assert_eq!(bench.browser.count("//div[@class='keypad'][not(@hidden)]"), 0);
    bench.browser.click("//button[@id='keypad']");
    bench.browser.click(&set.place("bore 1 top X"));
    // Down the bore at X first.
    press(&bench, "3.6129<8>3.6126>");
    assert_eq!(bench.browser.value(&set.place("bore 1 top X")), "3.6128");
    assert_eq!(bench.browser.value(&set.place("bore 1 middle X")), "3.6126");
    let focused = || bench.browser.run("return document.activeElement.getAttribute('aria-label')");
    assert_eq!(focused(), "bore 1 bottom X");
    // A slip is said while it is typed, as from a keyboard.
    press(&bench, "36114>");
    let said = |place: &str| bench.browser.text(&format!("{}/../em[@class='odd']", set.place(place)));
    assert!(said("bore 1 bottom X").starts_with("far from every limit"), "{}", said("bore 1 bottom X"));
    bench.browser.click(&set.place("bore 1 bottom X"));
    press(&bench, "<<<<<3.1614>");
    assert!(said("bore 1 bottom X").starts_with("unlike its neighbours"), "{}", said("bore 1 bottom X"));
    bench.browser.click(&set.place("bore 1 bottom X"));
    press(&bench, "<<<<<.6114>");
    assert_eq!(said("bore 1 bottom X"), "");
    let readings = [("top", "3.6128"), ("middle", "3.6126"), ("bottom", "3.6114")]
        .map(|(at, digits)| reading("bore", "1", at, "X", digits));
    set.save().says(
        "measurements",
        &json!({"condition": "as received", "gauge": "MIC", "unit": "in", "readings": readings}),
    );
}
