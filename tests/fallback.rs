//! The general wear rules, where a sheet has no service limit: shown beside a value, labelled, and deciding nothing.
//!
//! Expected bounds are the rules of the trade notes (end of section B3) worked by hand. Guards promises 5 and 6: it is
//! nobody's limit, so nothing may come of it.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/plain.rs"]
mod plain;
mod support;

use benchdrop::facts::{Refusal, decode};
use benchdrop::judgement::{Beside, Fallback, Note, Proof};
use benchdrop::metrology::{Exact, Length, Unit};
use benchdrop::pages::{job_json, job_page};
use benchdrop::sheets::Side;
use plain::*;
use serde_json::{Value, json};
use support::{look, measured, reading, standing};

fn inches(digits: &str) -> Exact {
    Length::parse(digits, Unit::Inch).unwrap().exact()
}

/// A feature of one place that is this to the general rules, judged by a size row and one more.
fn worn(wears: &str, shape: &str, places: &str, rows: Vec<Value>) -> Value {
    let mut thing = feature("thing", shape, places, rows);
    thing["wears-as"] = wears.into();
    thing
}

fn offered(thing: &Value, values: &str, characteristic: &str) -> Option<Fallback> {
    let line = format!("thing 1: {values}");
    let (_, judgement) = as_received(engine("in", vec![thing.clone()], vec![]), "in", "", &[&line]);
    let verdict = standing(&judgement, "thing", word(characteristic));
    assert!(verdict.judged.is_some(), "{characteristic} {values}: {:?}", judgement.questions);
    verdict.fallback.clone()
}

/// Each rule: what it is, shape, new limits of the size, the row, its new limits; a value and the bound it is held to.
#[test]
fn every_rule_gives_the_bound_of_the_notes() {
    let table = [
        // Bore wear 0.001 in/in: of 3.6000, 0.0036; over the largest new, 3.6010.
        ("cylinder bore", "bore", "3.6000/3.6010", "size", "/", "3.6050", "3.6046", true),
        ("cylinder bore", "bore", "3.6000/3.6010", "wear", "/", "3.6030", "0.0036", false),
        // Piston diameter 0.0005 in/in: of 3.6000, 0.0018.
        ("piston skirt", "shaft", "3.6000/3.6010", "size", "/", "3.5981", "3.5982", true),
        // Pin total wear 0.001 in; pin bores 0.0005 in/in.
        ("piston pin", "shaft", "0.9270/0.9272", "size", "/", "0.9260", "0.9260", false),
        ("pin bore", "bore", "2.0000/2.0002", "size", "/", "2.0013", "2.0012", true),
        // Crank end play 0.005 in over the high limit, cam 0.010.
        ("crankshaft end play", "grows", "", "end play", "0.003/0.008", "0.0131", "0.0130", true),
        ("cam end play", "grows", "", "end play", "0.002/0.006", "0.0160", "0.0160", false),
        // Cam journal 0.0005 in/in under the low limit, bush over the high one.
        ("cam journal", "shaft", "2.0000/2.0010", "size", "/", "1.9989", "1.9990", true),
        ("cam bush", "bore", "2.0000/2.0010", "size", "/", "2.0021", "2.0020", true),
        // Stem 0.001 in, guide 0.0015 in, seat width original plus 15 percent.
        ("valve stem", "shaft", "0.3410/0.3415", "size", "/", "0.3399", "0.3400", true),
        ("valve guide", "bore", "0.3430/0.3435", "size", "/", "0.3451", "0.3450", true),
        ("valve seat width", "grows", "", "width", "0.060/0.080", "0.0920", "0.0920", false),
    ];
    for (wears, shape, size, characteristic, new, value, bound, past) in table {
        let mut rows = Vec::new();
        if !size.is_empty() {
            rows.push(row(1, "size", size, "/", "/"));
        }
        if characteristic != "size" {
            rows.push(row(2, characteristic, new, "/", "/"));
        }
        let found = offered(&worn(wears, shape, "1; a; read", rows), value, characteristic).unwrap();
        let side = if shape == "shaft" { Side::Below } else { Side::Above };
        assert_eq!(
            (found.bound, found.past, found.side),
            (inches(bound), past, side),
            "{wears} {characteristic}"
        );
        assert!(found.words(Unit::Inch).starts_with("no engine data: generic wear rule"));
    }
}

/// Journals: out of round 0.0004 in per inch of diameter, taper twice a new shaft's.
#[test]
fn form_of_journals() {
    let rows = vec![
        row(1, "size", "2.5000/2.5010", "/", "/"),
        row(2, "out-of-round", "/0.0005", "/", "/"),
        row(3, "taper", "/0.0003", "/", "/"),
    ];
    let thing = worn("journal", "shaft", "1; front,rear; X,Y", rows);
    let values = "2.5004 2.4993 2.5004 2.5000";
    let oval = offered(&thing, values, "out-of-round").unwrap();
    assert_eq!((oval.bound, oval.past), (inches("0.0010"), true));
    let taper = offered(&thing, values, "taper").unwrap();
    assert_eq!((taper.bound, taper.past), (inches("0.0006"), true));
    assert_eq!(offered(&thing, values, "size"), None, "the table has no rule for a journal's size");
}

fn stack() -> (Vec<Value>, Vec<Value>) {
    let mut shaft =
        feature("journal", "shaft", "1,2; front; read", vec![row(1, "size", "2.0000/2.0005", "/", "/")]);
    shaft["wears-as"] = "journal".into();
    let bore =
        feature("bore", "bore", "1,2; front; read", vec![row(2, "size", "2.0015/2.0025", "2.0045/", "/")]);
    let mut bore = bore;
    bore["rows"][0]["service"] = json!({"max": "2.0045"});
    let mut strip = feature(
        "strip",
        "grows",
        "1,2; crown; strip",
        vec![row(4, "clearance by strip", "0.0010/0.0025", "/0.0035", "/")],
    );
    strip["strip-of"] = "oil clearance".into();
    let pair = pair("oil clearance", "clearance", ["bore", "", "journal"], ["0.0010/0.0025", "/"], false);
    (vec![shaft, bore, strip], vec![pair])
}

/// Journal clearance 0.0005 in per inch over the high limit: of 2.0000 in and 0.0025, 0.0035.
#[test]
fn clearance_of_a_pair() {
    let (features, pairs) = stack();
    let lines = ["journal 1: 1.9995", "journal 2: 2.0000", "bore 1: 2.0032", "bore 2: 2.0020"];
    let (_, judgement) = as_received(engine("in", features, pairs), "in", "", &lines);
    let of = |name: &str| standing(&judgement, name, word("clearance"));
    let worn = of("oil clearance 1").fallback.clone().unwrap();
    assert_eq!((worn.bound, worn.past), (inches("0.0035"), true));
    assert!(!of("oil clearance 2").fallback.clone().unwrap().past);
    // 0.0037 and 0.0020: the engine's are 0.0017 apart, and each of the two says which the other is.
    let apart = |name: &str| {
        of(name).judged.as_ref().unwrap().notes.iter().find_map(|note| {
            if let Note::Beside(Beside::OverTheEngine { by, other, is_loosest }) = note {
                Some((*by, other.clone(), *is_loosest))
            } else {
                None
            }
        })
    };
    assert_eq!(apart("oil clearance 1"), Some((inches("0.0017"), "oil clearance 2".to_owned(), true)));
    assert_eq!(apart("oil clearance 2"), Some((inches("0.0017"), "oil clearance 1".to_owned(), false)));
}

/// A strip whose mark is good to 0.001 in either way (a rectangle: u 0.00058) and parts by a gauge with U 0.0002 in twice:
/// u together is 0.00060, so U is 0.0012. A strip that reads 0.0011 off is no wonder, one that reads 0.0013 off is.
#[test]
fn a_strip_is_held_against_the_parts() {
    let said = |strip: &str| {
        let (features, pairs) = stack();
        let mut drops = engine("in", features, pairs);
        let parts = ["journal 1: 2.0000", "bore 1: 2.0020"];
        drops.push(read(&the_sheet(&drops), 20, "as received", "in", "BORE", &parts));
        drops.push(read(&the_sheet(&drops), 21, "as received", "in", "FEELER", &[strip]));
        let (_, _, judgement) = support::folded(&drops);
        ["oil clearance 1", "strip 1"].map(|name| {
            let of = if name == "strip 1" { "clearance by strip" } else { "clearance" };
            let judged = standing(&judgement, name, word(of)).judged.as_ref().unwrap();
            let found = judged.notes.iter().find_map(|note| {
                if let Note::Beside(Beside::OtherStack { by, ends, apart, look_again }) = note {
                    Some((by.clone(), *ends, *apart, *look_again))
                } else {
                    None
                }
            });
            found.unwrap()
        })
    };
    // By common practice (B1) more than 0.0005 in apart is looked into, be it within what both may be off.
    let table = [
        ("0.0031", false, true),
        ("0.0033", true, true),
        ("0.0009", false, true),
        ("0.0007", true, true),
        ("0.0025", false, false),
        ("0.0015", false, false),
        ("0.002501", false, true),
    ];
    for (read, apart, look) in table {
        let look = look.then(|| inches("0.0005"));
        let [of_parts, of_strip] = said(&format!("strip 1: {read}"));
        assert_eq!(of_parts, ("strip 1".to_owned(), (inches(read), inches(read)), apart, look), "{read}");
        let computed = (inches("0.0020"), inches("0.0020"));
        assert_eq!(of_strip, ("oil clearance 1".to_owned(), computed, apart, look), "{read}");
    }
}

/// What is worn past every general rule, on a sheet without service limits and without limits at all: no alert, no
/// stage, no verdict changes by what the sheet calls the thing. Engine data, new parts and work keep the rules away.
#[test]
fn it_decides_nothing_and_goes_where_there_is_engine_data() {
    let rows =
        |service: &str| vec![row(1, "size", "3.6000/3.6010", service, "/"), row(2, "wear", "/", "/", "/")];
    let plain = feature("thing", "bore", "1; a; read", rows("/"));
    let thing = worn("cylinder bore", "bore", "1; a; read", rows("/"));
    let view = |thing: &Value| {
        let mut drops = engine("in", vec![thing.clone()], vec![]);
        drops.push(measured(20, "as received", "BORE", vec![reading("thing", "1", "a", "read", "3.6052")]));
        look(&drops)
    };
    let (without, with) = (view(&plain), view(&thing));
    let strip = |view| {
        let mut json = job_json(view);
        for verdict in json["verdicts"].as_array_mut().unwrap() {
            verdict.as_object_mut().unwrap().remove("fallback");
        }
        for moved in ["statements", "signable", "facts", "withdrawn"] {
            json.as_object_mut().unwrap().remove(moved);
        }
        json
    };
    assert_eq!(strip(&without), strip(&with), "the rules must not move anything");
    let evidence = |view: &benchdrop::pages::JobView| -> Vec<String> {
        view.judgement.verdicts.iter().filter_map(|v| v.evidence()).map(|e| e.hex()).collect()
    };
    assert_eq!(evidence(&without), evidence(&with), "signatures and letters rest on the evidence");
    let json = job_json(&with);
    let sizes: Vec<&Value> = json["verdicts"].as_array().unwrap().iter().collect();
    let shown = &sizes.iter().find(|v| v["characteristic"] == "wear").unwrap();
    assert_eq!(shown["judged-state"], "no limit on the sheet");
    assert_eq!(shown["fallback"]["label"], "no engine data: generic wear rule");
    assert_eq!(shown["fallback"]["bound"], "0.0036");
    assert_eq!(shown["fallback"]["past"], true);
    assert!(shown["fallback"]["source"].as_str().unwrap().contains("TM 10-3930"));
    assert!(shown["fallback"]["formula"].as_str().unwrap().contains("0.0010 in for each of 3.6000 in"));
    let page = job_page(&with);
    assert!(page.contains("no engine data: generic wear rule, max 0.00360 in"), "{page}");
    let judged = standing(&with.judgement, "thing", word("wear")).judged.as_ref().unwrap();
    assert_eq!((judged.deciding, judged.proof), (None, Proof::NoFigure));

    // A service limit of the size is engine data for wear as well.
    let known = worn("cylinder bore", "bore", "1; a; read", rows("/3.6040"));
    assert_eq!(offered(&known, "3.6052", "size"), None);
    assert_eq!(offered(&known, "3.6052", "wear"), None);
    // A part that is new has not worn.
    let mut drops = engine("in", vec![thing], vec![]);
    drops.push(support::drop_at(
        "part",
        15,
        json!({"part": "engine", "event": "replaced", "state": "new", "unit": "in"}),
    ));
    drops.push(measured(20, "as received", "BORE", vec![reading("thing", "1", "a", "read", "3.6052")]));
    let (_, _, judgement) = support::folded(&drops);
    assert!(judgement.standing().all(|verdict| verdict.fallback.is_none()), "{judgement:?}");
}

#[test]
fn a_word_no_rule_knows_or_of_another_shape_is_refused() {
    for (wears, shape, expected) in [
        ("crown", "bore", "what it is to the general wear rules"),
        ("valve stem", "bore", "a feature of shape shaft"),
    ] {
        let thing = worn(wears, shape, "1; a; read", vec![row(1, "size", "3.6000/3.6010", "/", "/")]);
        let drop = sheet("in", vec![thing], vec![]);
        let Err(Refusal::Faults(faults)) = decode(&serde_json::to_vec(&drop).unwrap(), "main") else {
            panic!()
        };
        assert!(format!("{faults:?}").contains(expected), "{faults:?}");
    }
    let (mut features, pairs) = stack();
    features[2]["strip-of"] = "side clearance".into();
    let drop = sheet("in", features, pairs);
    let Err(Refusal::Faults(faults)) = decode(&serde_json::to_vec(&drop).unwrap(), "main") else { panic!() };
    assert!(format!("{faults:?}").contains("a pair of this sheet with the same positions"), "{faults:?}");
}
