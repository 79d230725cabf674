//! What temperatures leave open where the house rules say so, worked by hand; and that nothing is assumed where they do not.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/plain.rs"]
mod plain;
mod support;

use benchdrop::judgement::{Judged, Lines};
use benchdrop::sheets::Characteristic;
use plain::*;
use serde_json::{Value, json};
use support::{folded, standing};

/// A block whose length is judged, of a metal that grows by so much, within so much; and house rules with these temperatures.
fn shop(grows: &str, within: &str, house: Option<Value>) -> Vec<Value> {
    let rows = vec![row(1, "length", "99.000/101.000", "/", "/")];
    let bore = vec![
        row(2, "size", "89.990/90.010", "/90.050", "/"),
        row(3, "out-of-round", "/0.0100", "/0.0200", "/"),
    ];
    let mut drops = engine(
        "mm",
        vec![
            feature("block", "shrinks", "1; read; read", rows),
            feature("bore", "bore", "1; top; X,Y", bore),
        ],
        vec![],
    );
    let sheet = drops.iter_mut().find(|drop| drop["kind"] == "sheet").unwrap();
    sheet["body"]["materials"][0]["expansion"] = grows.into();
    sheet["body"]["materials"][0]["uncertainty"] = within.into();
    if let Some(house) = house {
        drops[0]["body"]["temperatures"] = house;
    }
    drops
}

/// The block read as 100 mm with the dial of U 0.001 mm, at these temperatures of part and gauge.
fn block(drops: &[Value], temperatures: Option<Value>) -> (Judged, Lines) {
    let mut set = read(&the_sheet(drops), 20, "as received", "mm", "DIAL", &["block 1: 100.000"]);
    if let Some(temperatures) = temperatures {
        set["body"]["temperatures"] = temperatures;
    }
    let (_, job, judgement) = folded(&[drops, &[set]].concat());
    let judged = standing(&judgement, "block", Characteristic::Length).judged.clone().unwrap();
    let lines = judged.budget(Some(&job)).unwrap();
    assert!((lines.u - judged.u.unwrap()).abs() < 1e-12, "the lines come to what was judged with");
    (judged, lines)
}

/// What the lines that begin like this put into the value, micrometres.
fn micrometres(lines: &Lines, what: &str) -> f64 {
    let found: Vec<f64> = lines
        .lines
        .iter()
        .filter(|line| line.what.starts_with(what))
        .map(|line| line.effect * 1_000.0)
        .collect();
    assert_eq!(found.len(), 1, "{what}: {:?}", lines.lines);
    found[0]
}

fn near(got: f64, expected: f64) {
    assert!((got - expected).abs() < 1e-5, "{got}, not {expected}");
}

/// P1.5e of the checks (JCGM 100:2008, 5.2, COMPUTED): 10.8 ppm per degree known to 0.5 as a standard uncertainty, 100 mm, 9
/// degrees over 20, a temperature known to half a degree: 0.702922 um. The gauge at 20 degrees has a thermometer of its own:
/// 11.5 ppm x 100 mm x 0.5 degree is 0.575 um. The dial errs by half of U 0.001 mm.
#[test]
fn thermometers_err_as_the_house_says() {
    // 0.866025 either way, a rectangle, is a standard uncertainty of 0.5.
    let drops = shop("10.8", "0.866", Some(json!({"thermometer": "1"})));
    let (judged, lines) = block(&drops, Some(json!({"part": "29", "gauge": "20"})));
    let (grows, taken) = (
        micrometres(&lines, "how the engine grows with heat"),
        micrometres(&lines, "thermometer on the engine in paper"),
    );
    assert!((grows.hypot(taken) - 0.702_922).abs() < 2e-4, "{grows} {taken}");
    near(taken.abs(), 0.54);
    near(micrometres(&lines, "thermometer on DIAL in paper").abs(), 0.575);
    let all = [0.702_922, 0.575, 0.5].into_iter().fold(0.0, f64::hypot);
    assert!((judged.u.unwrap() * 1_000.0 - all).abs() < 2e-4);
    // Without the house rule only the coefficient is left.
    let (_, bare) = block(&shop("10.8", "0.866", None), Some(json!({"part": "29", "gauge": "20"})));
    assert!(bare.lines.iter().all(|line| !line.what.contains("thermometer")));
    near(micrometres(&bare, "how the engine grows with heat").abs(), grows.abs());
}

/// The temperature of the part alone: the gauge may have had anything from 20 degrees to its 29, a rectangle of 9 degrees of 10.8
/// ppm on 100 mm, 9.72 um over the root of three, 5.611845; and the 29 themselves are half a degree off, 0.54 um. At 20 degrees
/// the rectangle is nothing and the half degree is left.
#[test]
fn a_thermometer_on_the_part_alone_errs_too() {
    for (part, rectangle) in [("29", Some(5.611_845)), ("20", None)] {
        let drops = shop("10.8", "1", Some(json!({"thermometer": "1"})));
        let (judged, lines) = block(&drops, Some(json!({"part": part})));
        near(micrometres(&lines, "thermometer on the engine in paper").abs(), 0.54);
        if let Some(rectangle) = rectangle {
            near(micrometres(&lines, "temperature of DIAL, which nobody took").abs(), rectangle);
        }
        let all = [0.54, 0.5, rectangle.unwrap_or(0.0)].into_iter().fold(0.0, f64::hypot);
        near(judged.u.unwrap() * 1_000.0, all);
        // Nobody's rule of thermometers, nothing assumed.
        let (_, bare) = block(&shop("10.8", "1", None), Some(json!({"part": part})));
        assert!(bare.lines.iter().all(|line| !line.what.contains("thermometer")));
    }
}

/// What a line rests on is named statement by statement: the temperatures of both papers of a mean and the sheet that says how
/// the part grows; and beside the house rules the paper whose thermometer it was.
#[test]
fn a_line_of_warmth_names_every_statement() {
    let drops = shop("10.8", "1", None);
    // Three degrees less are 3 um less.
    let sets: Vec<Value> = [(20, "29", "100.000"), (21, "26", "99.997")]
        .into_iter()
        .map(|(minute, part, value)| {
            let line = format!("block 1: {value}");
            let mut set = read(&the_sheet(&drops), minute, "as received", "mm", "DIAL", &[&line]);
            set["body"]["temperatures"] = json!({"part": part, "gauge": "24"});
            set
        })
        .collect();
    let (_, job, judgement) = folded(&[drops.as_slice(), &sets].concat());
    let judged = standing(&judgement, "block", Characteristic::Length).judged.clone().unwrap();
    let lines = judged.budget(Some(&job)).unwrap().lines;
    let from = |lines: &[benchdrop::judgement::Line], what: &str| {
        let line = lines.iter().find(|line| line.what.starts_with(what)).unwrap();
        line.from.iter().map(|source| source.drop).collect::<Vec<_>>()
    };
    let papers = sets.iter().map(|set| Some(support::fact(set).id));
    let sheet = Some(support::fact(&the_sheet(&drops)).id);
    assert_eq!(
        from(&lines, "how the engine grows with heat"),
        papers.clone().chain([sheet]).collect::<Vec<_>>()
    );
    assert_eq!(from(&lines, "how DIAL grows with heat"), papers.chain([None]).collect::<Vec<_>>());

    let drops = shop("10.8", "1", Some(json!({"thermometer": "1"})));
    let (_, lines) = block(&drops, Some(json!({"part": "29", "gauge": "20"})));
    let mut set = read(&the_sheet(&drops), 20, "as received", "mm", "DIAL", &["block 1: 100.000"]);
    set["body"]["temperatures"] = json!({"part": "29", "gauge": "20"});
    let both = [support::fact(&drops[0]).id, support::fact(&set).id].map(Some);
    assert_eq!(from(&lines.lines, "thermometer on the engine"), both);
}

/// No temperature, and a house that says 5 degrees: an aluminium of 20 ppm read by steel of 11.5 grows 8.5 ppm more, which of
/// 100 mm at 5 degrees is 4.25 um, a rectangle: 2.453739 um. Iron of 10.8 only 0.202073. Nobody's rule, nothing assumed.
#[test]
fn temperatures_that_nobody_took() {
    for (grows, expected) in [("20", 4.25), ("10.8", -0.35), ("11.5", 0.0)] {
        let drops = shop(grows, "1", Some(json!({"unsaid": "5"})));
        let (judged, lines) = block(&drops, None);
        let of_air = expected / 3_f64.sqrt();
        if expected == 0.0 {
            assert!(lines.lines.iter().all(|line| !line.what.contains("nobody took")));
        } else {
            near(micrometres(&lines, "temperature of part and gauge, which nobody took"), of_air);
            let line = lines.lines.iter().find(|line| line.what.contains("nobody took")).unwrap();
            assert!(line.from[0].words.starts_with("house rules") && line.from[0].drop.is_some(), "{line:?}");
        }
        near(judged.u.unwrap() * 1_000.0, of_air.hypot(0.5));
        let (plain, _) = block(&shop(grows, "1", None), None);
        near(plain.u.unwrap() * 1_000.0, 0.5);
    }
}

/// What all readings of a paper share cancels in what they differ by, whatever the house says of the room: the out-of-round of a
/// bore is as sure as before, its size is not.
#[test]
fn the_room_cancels_in_a_difference() {
    let found = |house: Option<Value>| {
        let drops = shop("20", "1", house);
        let set = read(&the_sheet(&drops), 20, "as received", "mm", "DIAL", &["bore 1: 90.000 90.004"]);
        let (_, _, judgement) = folded(&[drops.as_slice(), &[set]].concat());
        [Characteristic::Size, Characteristic::OutOfRound]
            .map(|what| standing(&judgement, "bore", what).judged.as_ref().unwrap().u.unwrap() * 1_000.0)
    };
    let (bare, warm) = (found(None), found(Some(json!({"unsaid": "5", "thermometer": "1"}))));
    near(bare[1], 0.5 * 2_f64.sqrt());
    assert!((warm[1] - bare[1]).abs() < 2e-4, "4 um of 90 mm grow by nothing: {warm:?} {bare:?}");
    near(warm[0], (8.5e-3 * 90.004 * 5.0 / 3_f64.sqrt()).hypot(0.5));
}

/// The mean of three readings from three papers names all three, and their gauge's repeat is divided by the root of three.
#[test]
fn a_mean_names_every_reading() {
    let drops = shop("10.8", "1", None);
    let sets: Vec<Value> = (20..23)
        .map(|minute| read(&the_sheet(&drops), minute, "as received", "mm", "DIAL", &["block 1: 100.000"]))
        .collect();
    let (_, job, judgement) = folded(&[drops.as_slice(), &sets].concat());
    let judged = standing(&judgement, "block", Characteristic::Length).judged.clone().unwrap();
    let lines = judged.budget(Some(&job)).unwrap().lines;
    for set in &sets {
        let named = format!("{}:1", support::fact(set).id.short());
        assert!(lines[0].what.contains(&named), "{named} in {}", lines[0].what);
    }
    assert!(lines[0].what.starts_with("repeat of DIAL, readings ") && lines[0].what.ends_with(", mean of 3"));
    near(lines[0].effect * 1_000.0, 0.5 / 3_f64.sqrt());
}
