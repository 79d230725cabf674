//! What is usual and pictures on the form: one is offered and fills nothing by itself, the others are made small and go into
//! the drop as they are shown.

use crate::bench::Bench;
use benchdrop::facts::{Body, Media};
use serde_json::json;
use std::path::Path;

#[test]
#[ignore = "needs Chromium; tests/run runs it"]
fn what_is_usual_is_offered_and_fills_nothing_by_itself() {
    let bench = Bench::of_job();
    let seen = bench.section("finding");
    seen.choose("findings[1]/part", "piston").choose("findings[1]/defect", "galling");
    let words = bench.browser.text(&format!("{}/small[@class='usual']", seen.at("findings[1]/disposition")));
    assert!(words.starts_with("usual here: replace as a set"), "{words}");
    seen.choose("findings[1]/severity", "4");
    let scored = |disposition: Option<&str>| {
        let mut one = json!({"part": "piston", "defect": "galling", "severity": 4});
        if let Some(word) = disposition {
            one["disposition"] = word.into();
        }
        json!({"findings": [one]})
    };
    seen.save().says("finding", &scored(None));
    seen.choose("findings[1]/part", "piston").choose("findings[1]/defect", "galling");
    seen.choose("findings[1]/severity", "4").press("findings[1]/disposition", "fill in");
    seen.save().says("finding", &scored(Some("replace as a set")));
    // What a person chooses stays, and a defect without a usual word offers none.
    seen.choose("findings[1]/part", "piston").choose("findings[1]/defect", "galling");
    seen.choose("findings[1]/severity", "4").choose("findings[1]/disposition", "clean");
    seen.choose("findings[1]/defect", "nothing found").choose("findings[1]/defect", "galling");
    seen.save().says("finding", &scored(Some("clean")));
}

#[test]
#[ignore = "needs Chromium; tests/run runs it"]
fn a_picture_is_made_small_and_goes_into_the_drop() {
    let bench = Bench::of_job();
    let seen = bench.section("finding");
    seen.choose("findings[1]/part", "piston").choose("findings[1]/defect", "scoring");
    seen.choose("findings[1]/severity", "3");
    // A picture is of the finding that is chosen, which need not be the last.
    seen.press("findings", "Add one finding").choose("findings[2]/part", "crankshaft");
    seen.choose("findings[2]/defect", "crack").choose("findings[2]/severity", "4");
    let shows = "//fieldset[@data-key='embedded']//select/option";
    assert_eq!(bench.browser.text(&format!("{shows}[2]")), "2: crankshaft, crack");
    bench.browser.click(&format!("{shows}[1]"));
    let picture = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/pictures/plain.png");
    bench.browser.type_in("//fieldset[@data-key='embedded']/input", picture.to_str().unwrap());
    bench.browser.wait("the picture's name", |browser| {
        (browser.count("//fieldset[@data-key='embedded']//li") == 1).then_some(())
    });
    assert!(seen.shown("findings[1]/pictures").ends_with("-plain.jpg"));
    let saved = seen.save();
    let Body::Finding(finding) = saved.says_kind("finding") else { panic!("another kind") };
    let picture = finding.embedded[0].picture.clone().unwrap();
    assert_eq!(
        (picture.media, picture.width, picture.height),
        (Media::Jpeg, 37, 23),
        "no larger than it was"
    );
    assert_eq!(finding.findings[0].pictures, [picture.name]);
    // The next finding begins without it.
    seen.choose("findings[1]/part", "piston").choose("findings[1]/defect", "worn");
    seen.choose("findings[1]/severity", "2");
    let body = json!({"findings": [{"part": "piston", "defect": "worn", "severity": 2}]});
    seen.save().says("finding", &body);
}
