//! What an ordinary engine asks for and the two demonstration sheets do not: each as a shop would put it on a sheet, with
//! figures worked by hand from the trade notes B1 to B3. The engines and their limits are invented.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/plain.rs"]
mod plain;
mod support;

use benchdrop::judgement::{Judgement, Note, Proof};
use benchdrop::sheets::Characteristic;
use benchdrop::shop::Job;
use plain::*;
use serde_json::{Value, json};
use support::{folded, standing};

/// An engine with these features and pairs, all read as received in inches, with this gauge.
fn engine_read(features: Vec<Value>, pairs: Vec<Value>, gauge: &str, lines: &[&str]) -> (Job, Judgement) {
    let (job, judgement) = as_received(engine("in", features, pairs), "in", gauge, lines);
    assert!(job.sheet.is_some() && job.held.is_empty(), "{:?}", job.held);
    assert!(judgement.questions.is_empty(), "{:?}", judgement.questions);
    (job, judgement)
}

/// Value, band and word of a verdict, and the places that give it.
fn said((job, judgement): &(Job, Judgement), name: &str, what: &str) -> (String, &'static str, &'static str) {
    outcome(standing(judgement, name, word(what)), job)
}

/// A thing judged by one row.
fn thing(key: &str, shape: &str, places: &str, what: &str, new: &str, service: &str) -> Value {
    feature(key, shape, places, vec![row(1, what, new, service, "/")])
}

/// B1, deck flatness: the 0.003 blade goes in, the 0.004 does not. The gap lies anywhere between, 0.0035 give or take half a
/// blade: inside 0.004 for certain, beyond 0.003 for certain, and of 0.0036 six tenths of it lie inside.
#[test]
fn one_blade_goes_in_and_the_next_does_not() {
    for (limit, band, proof, probability) in [
        ("0.0040", "new", Proof::Proven, 1.0),
        ("0.0030", "beyond", Proof::Proven, 0.0),
        ("0.0036", "new", Proof::NotProven, 0.6),
        ("0.0034", "beyond", Proof::NotProven, 0.4),
    ] {
        let deck = thing("deck", "grows", "1; long; gap", "flatness", &format!("/{limit}"), "/");
        let mut drops = engine("in", vec![deck], vec![]);
        // Blades a thousandth apart: half of that either way.
        drops[0]["body"]["instruments"][0]["expanded"] = "0.0005".into();
        let (_, judgement) = as_received(drops, "in", "FEELER", &["deck 1: 0.0035"]);
        let judged = standing(&judgement, "deck", Characteristic::Flatness).judged.as_ref().unwrap();
        assert_eq!((judged.band.word(), judged.proof), (band, proof), "{limit}");
        assert!(
            (judged.probability.unwrap() - probability).abs() < 1e-9,
            "{limit}: {:?}",
            judged.probability
        );
        let noted = judged.notes.contains(&Note::TooFineForFeeler);
        assert!(!noted, "a gap over five times the blades is no fine limit");
    }
}

/// A ring gap of 0.013 to 0.018 in, reused up to 0.030: worn to 0.042 it is beyond, and judged; 0.041 is 0.014 with its digits
/// exchanged, and asked about though wear may lead there (half of two and a half times the 0.012 that reuse allows). 0.043 is
/// 0.018 and a turn of 0.025, which nobody misses on so little.
#[test]
fn a_worn_gap_is_asked_about_where_a_slip_leads_back_to_new() {
    let gap = || thing("gap", "grows", "1; top; read", "end gap", "0.013/0.018", "/0.030");
    for (read, gauge, asked) in [
        ("0.042", "DIAL", ""),
        ("0.041", "DIAL", "two digits swapped"),
        ("0.041", "FEELER", "two digits swapped"),
        ("0.043", "DIAL", ""),
        ("0.040", "FEELER", ""),
    ] {
        let (_, judgement) =
            as_received(engine("in", vec![gap()], vec![]), "in", gauge, &[&format!("gap 1: {read}")]);
        let said: String = judgement.questions.iter().map(|question| question.why.to_string()).collect();
        assert!(said.contains(asked) && said.is_empty() == asked.is_empty(), "{read} by {gauge}: {said}");
    }
    // A larger size is read by turns, but not with a feeler: 1.977 is 1.952 with one more.
    let tip = thing("tip", "either", "1; tip; read", "height", "1.935/1.955", "1.920/1.962");
    for (gauge, asked) in [("DIAL", true), ("FEELER", false)] {
        let (_, judgement) =
            as_received(engine("in", vec![tip.clone()], vec![]), "in", gauge, &["tip 1: 1.977"]);
        assert_eq!(judgement.questions.len(), usize::from(asked), "{gauge}: {:?}", judgement.questions);
    }
}

/// B2, wet liner: flange and shim less counterbore is what stands above the deck. Flange 0.3520 to 0.3522 with a shim of
/// 0.0030 in a counterbore 0.3500 to 0.3503 deep: 0.0047 to 0.0052. Inside both limits the least is shown, else what is out.
#[test]
fn a_liner_stands_proud_by_flange_and_shim_less_counterbore() {
    let bare = |key: &str, shape: &str, places: &str| feature(key, shape, places, vec![]);
    for (limits, value, band, word) in [
        ("0.0040/0.0055", "0.0047", "new", ""),
        ("0.0040/0.0050", "0.0052", "beyond", "too tight"),
        ("0.0048/0.0055", "0.0047", "beyond", "too loose"),
    ] {
        let proud =
            pair("liner proud", "interference", ["counterbore", "shim", "flange"], [limits, "/"], false);
        let features = vec![
            bare("counterbore", "grows", "1; 1,5; depth"),
            bare("shim", "wall", "1; shim; read"),
            bare("flange", "shrinks", "1; 1,5; height"),
        ];
        let lines = ["counterbore 1: 0.3500 0.3503", "shim 1: 0.0030", "flange 1: 0.3520 0.3522"];
        let found = engine_read(features, vec![proud], "", &lines);
        let (got, said_band, said_word) = said(&found, "liner proud 1", "interference");
        assert_eq!((got.as_str(), said_band, said_word), (value, band, word), "{limits}");
    }
}

/// B2: four places of each liner, proud by 0.0040 to 0.0055; within one liner no more than 0.0010 apart, and from the nearest
/// place of one to the nearest of the next no more than 0.0020. Liner 1 at 3 o'clock 0.0041, liner 2 at 9 o'clock 0.0054.
#[test]
fn liners_stand_proud_alike() {
    let rows = vec![
        row(1, "protrusion", "0.0040/0.0055", "/", "/"),
        row(2, "unevenness", "/0.0010", "/", "/"),
        row(3, "step to the next", "/0.0020", "/", "/"),
    ];
    let mut liner = feature("liner", "either", "1,2; 12,3,6,9; bridge", rows);
    liner["next"] = json!([{"here": "3", "there": "9"}]);
    let lines = ["liner 1: 0.0045 0.0041 0.0046 0.0049", "liner 2: 0.0050 0.0049 0.0056 0.0061"];
    let found = engine_read(vec![liner.clone()], vec![], "", &lines);
    assert_eq!(said(&found, "liner 1", "protrusion"), ("0.0041".to_owned(), "new", ""));
    assert_eq!(said(&found, "liner 2", "protrusion").0, "0.0061");
    assert_eq!(said(&found, "liner 2", "protrusion").1, "beyond");
    assert_eq!(said(&found, "liner 1", "unevenness"), ("0.0008".to_owned(), "new", ""));
    assert_eq!(said(&found, "liner 2", "unevenness").0, "0.0012");
    assert_eq!(said(&found, "liner 2", "unevenness").1, "beyond");
    // 0.0061 less 0.0041.
    assert_eq!(said(&found, "liner", "step to the next"), ("0.0020".to_owned(), "new", ""));
}

/// B1, bearing spread: across the free ends 2.4270 of a shell for a seat of 2.4020, so 0.0250 over it, and 0.0190 of one that
/// lost its spring.
#[test]
fn spread_of_a_shell_is_what_it_is_over_its_seat() {
    for (across, value, band) in [("2.4270", "0.0250", "new"), ("2.4210", "0.0190", "beyond")] {
        let spread = pair("spread", "interference", ["seat", "", "free ends"], ["0.0200/0.0300", "/"], false);
        let features = vec![
            feature("seat", "bore", "1; front; vertical", vec![]),
            feature("free ends", "shaft", "1; ends; across", vec![]),
        ];
        let line = format!("free ends 1: {across}");
        let found = engine_read(features, vec![spread], "", &["seat 1: 2.4020", &line]);
        let (got, said_band, _) = said(&found, "spread 1", "interference");
        assert_eq!((got.as_str(), said_band), (value, band));
    }
}

/// B2, wall thickness by ultrasound on four sides at two levels: 0.205 on the thrust side, 0.148 opposite. The least is judged
/// where it is, and the core stands off by half of what thickest and thinnest differ: 0.057, a shift of 0.0285.
#[test]
fn a_core_that_shifted_shows_in_the_wall() {
    let rows = vec![row(1, "thickness", "0.120/", "/", "/"), row(2, "unevenness", "/0.060", "/", "/")];
    let wall = feature("wall", "shrinks", "1,2; top,middle; thrust,front,other,rear", rows);
    let lines = [
        "wall 1: 0.205 0.180 0.150 0.181 0.203 0.179 0.148 0.180",
        "wall 2: 0.190 0.180 0.119 0.181 0.190 0.179 0.121 0.180",
    ];
    let found = engine_read(vec![wall], vec![], "", &lines);
    assert_eq!(said(&found, "wall 1", "thickness"), ("0.1480".to_owned(), "new", ""));
    assert_eq!(said(&found, "wall 1", "unevenness"), ("0.0570".to_owned(), "new", ""));
    assert_eq!(said(&found, "wall 2", "thickness").0, "0.1190");
    assert_eq!(said(&found, "wall 2", "thickness").1, "beyond");
    assert_eq!(said(&found, "wall 2", "unevenness").0, "0.0710");
}

/// B1, thrust width: from the datum of the crank to the front face 1.2490 where new is 1.2500, to the rear face 0.0005 less.
/// Each face has a verdict of its own, so the one that is worn is named, and the width between them another.
#[test]
fn the_worn_thrust_face_is_named() {
    let faces = thing(
        "thrust face",
        "shrinks",
        "front,rear; face; from the datum",
        "length",
        "1.2500/1.2510",
        "1.2495/",
    );
    let width = thing("thrust width", "grows", "1; face; across", "width", "1.1000/1.1010", "/1.1030");
    let lines = ["thrust face front: 1.2490", "thrust face rear: 1.2496", "thrust width 1: 1.1014"];
    let found = engine_read(vec![faces, width], vec![], "", &lines);
    assert_eq!(said(&found, "thrust face front", "length").0, "1.2490");
    assert_eq!(said(&found, "thrust face front", "length").1, "beyond");
    assert_eq!(said(&found, "thrust face rear", "length"), ("1.2496".to_owned(), "service", ""));
    assert_eq!(said(&found, "thrust width", "width"), ("1.1014".to_owned(), "service", ""));
}

/// B3, seat contact: the band 0.0620 wide where up to 0.0720 (new 0.0625 and 15 percent) is reused, and at least 1/64 in from
/// the edge of the valve's face on either side: 0.0160 outside, 0.0150 inside, which is too near.
#[test]
fn the_seat_stands_in_the_middle_of_the_face() {
    let width = thing("seat band", "grows", "1; band; across", "width", "0.0550/0.0625", "/0.0720");
    let position = thing("band to edge", "shrinks", "1; outer,inner; scale", "margin", "0.0156/", "/");
    let found = engine_read(
        vec![width, position],
        vec![],
        "",
        &["seat band 1: 0.0720", "band to edge 1: 0.0160 0.0150"],
    );
    assert_eq!(said(&found, "seat band", "width"), ("0.0720".to_owned(), "service", ""));
    let (value, band, _) = said(&found, "band to edge", "margin");
    assert_eq!((value.as_str(), band), ("0.0150", "beyond"));
    let places = &standing(&found.1, "band to edge", Characteristic::Margin).judged.as_ref().unwrap().places;
    assert_eq!(
        places.iter().map(|place| place.name.as_str()).collect::<Vec<_>>(),
        ["outer scale", "inner scale"]
    );
}

/// What nobody read is a gap and no pass: a liner of which one place is missing has no verdict on how it stands.
#[test]
fn a_liner_with_a_place_unread_is_incomplete() {
    let liner = feature(
        "liner",
        "either",
        "1; 12,3,6,9; bridge",
        vec![row(1, "protrusion", "0.0040/0.0055", "/", "/")],
    );
    let drops = engine("in", vec![liner], vec![]);
    let set = read(&the_sheet(&drops), 20, "as received", "in", "", &["liner 1: 0.0045 - 0.0046 0.0049"]);
    let (_, _, judgement) = folded(&[drops, vec![set]].concat());
    let verdict = standing(&judgement, "liner", Characteristic::Protrusion);
    assert!(verdict.is_incomplete());
    assert_eq!(verdict.missing, ["3 bridge"]);
}
