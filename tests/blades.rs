//! A gap between two blades: one goes in, the next does not. The value lies anywhere between (a rectangle: JCGM 100, 4.3.7),
//! and each end is as sure as its blade. Probabilities were computed apart from the program in Python, by drawing both
//! blades and counting the share of what lies between them; the rest is by hand.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/plain.rs"]
mod plain;
mod support;

use benchdrop::facts::{Refusal, decode};
use benchdrop::judgement::{Judged, Judgement, Note, Proof};
use benchdrop::shop::Job;
use plain::*;
use serde_json::{Value, json};
use support::{drop_at, folded, gauge, look, standing};

/// A deck with one line under a straightedge, within this.
fn shop(limit: &str) -> Vec<Value> {
    let rows = vec![row(1, "flatness", &format!("/{limit}"), "/", "/")];
    engine("in", vec![feature("deck", "grows", "1; long; gap", rows)], vec![])
}

fn between(minute: u32, gauge: &str, goes_in: &str, not_in: &str) -> Value {
    drop_at(
        "measurements",
        minute,
        json!({"condition": "as received", "unit": "in", "gauge": gauge, "readings": [{"feature": "deck",
            "position": "1", "station": "long", "direction": "gap",
            "blades": {"goes-in": goes_in, "not-in": not_in}}]}),
    )
}

fn judged(drops: &[Value]) -> (Judged, Job, Judgement) {
    let (_, job, judgement) = folded(drops);
    assert!(
        job.held.is_empty() && judgement.questions.is_empty(),
        "{:?} {:?}",
        job.held,
        judgement.questions
    );
    (standing(&judgement, "deck", word("flatness")).judged.clone().unwrap(), job, judgement)
}

fn of(limit: &str, goes_in: &str, not_in: &str) -> Judged {
    judged(&[&shop(limit)[..], &[between(20, "FEELER", goes_in, not_in)]].concat()).0
}

/// Blades that nobody says more of are within 0.0004 in (common practice): 0.000231 as a standard uncertainty.
#[test]
fn how_surely_a_gap_between_two_blades_is_inside() {
    for (goes_in, not_in, limit, value, band, proof, probability) in [
        ("0.003", "0.004", "0.0040", "0.0035", "new", Proof::NotProven, 0.924_78),
        ("0.003", "0.004", "0.0045", "0.0035", "new", Proof::Proven, 0.999_23),
        ("0.003", "0.004", "0.0042", "0.0035", "new", Proof::Proven, 0.981_93),
        ("0.003", "0.004", "0.0036", "0.0035", "new", Proof::NotProven, 0.607_22),
        ("0.003", "0.004", "0.0030", "0.0035", "beyond", Proof::NotProven, 0.075_22),
        ("0.003", "0.004", "0.0025", "0.0035", "beyond", Proof::Proven, 0.000_77),
        ("0.0035", "0.004", "0.0030", "0.00375", "beyond", Proof::Proven, 0.001_14),
        // The blade of the limit does not go in, and a gap is never less than nothing: one answer proves it.
        ("0", "0.003", "0.0030", "0.0015", "new", Proof::Proven, 0.971_93),
        ("0.0015", "0.002", "0.0020", "0.00175", "new", Proof::NotProven, 0.857_69),
    ] {
        let judged = of(limit, goes_in, not_in);
        let what = format!("{goes_in} {not_in} against {limit}");
        assert!((judged.probability.unwrap() - probability).abs() < 2e-5, "{what}: {:?}", judged.probability);
        assert_eq!((judged.band.word(), judged.proof), (band, proof), "{what}");
        assert_eq!(judged.value.show(benchdrop::metrology::Unit::Inch), value, "{what}");
    }
}

/// Half of 0.001 over the root of three, and a third of the variance of each blade: 0.000289, 0.000133 twice, in all
/// 0.000345. Each line says what it rests on.
#[test]
fn the_budget_has_what_lies_between_and_each_blade() {
    let drops = [&shop("0.0045")[..], &[between(20, "FEELER", "0.003", "0.004")]].concat();
    let (judged, job, _) = judged(&drops);
    let lines = judged.budget(Some(&job)).unwrap();
    let inches = |mm: f64| (mm / 25.4 * 1e6).round();
    let found: Vec<(String, f64)> = lines
        .lines
        .iter()
        .map(|line| (line.what.split(", reading").next().unwrap().to_owned(), inches(line.effect)))
        .collect();
    let expected = [
        ("anywhere between the blades", 289.0),
        ("blade of FEELER that goes in", 133.0),
        ("blade of FEELER that does not", 133.0),
    ];
    assert_eq!(found, expected.map(|(what, u)| (what.to_owned(), u)));
    assert!((judged.u.unwrap() / 25.4 - 0.000_344_8).abs() < 5e-8, "{:?}", judged.u);
    assert!((lines.u - judged.u.unwrap()).abs() < 1e-15);
    // The blade itself is known to 0.0004 over the root of three.
    assert!((lines.lines[1].u / 25.4 - 0.000_230_94).abs() < 1e-8, "{:?}", lines.lines[1]);
    let from = |line: usize| &lines.lines[line].from[0];
    assert_eq!(from(0).drop, Some(support::fact(drops.last().unwrap()).id), "what was typed");
    assert!(from(1).words.starts_with("common practice") && from(1).drop.is_none(), "{}", from(1).words);
    assert!(matches!(judged.notes.as_slice(), [Note::BetweenBlades { .. }]), "{:?}", judged.notes);
    let said = judged.notes[0].words(benchdrop::metrology::Unit::Inch);
    assert_eq!(said, "the middle between two blades: 0.0030 goes in, 0.0040 in does not");
}

/// A certificate with U 0.0001 in goes before what the house says of blades, and that before what blades are. Without a blade
/// below there is none to be off: only the upper end has one.
#[test]
fn a_blade_is_as_sure_as_what_is_known_of_it() {
    let reading = between(20, "FEELER", "0.003", "0.004");
    let blade = |drops: &[Value], lines: usize| {
        let (judged, job, _) = judged(drops);
        let budget = judged.budget(Some(&job)).unwrap();
        assert_eq!(budget.lines.len(), lines, "{:?}", budget.lines);
        let line = budget.lines.last().unwrap().clone();
        // A third of its variance is in the value.
        (line.effect / 25.4 * 3_f64.sqrt(), line.from[0].words.clone())
    };
    let mut house = shop("0.0040");
    house[0]["body"]["instruments"][0]["blade"] = "0.0002".into();
    let (u, from) = blade(&[&house[..], std::slice::from_ref(&reading)].concat(), 3);
    assert!((u - 0.0002 / 3_f64.sqrt()).abs() < 1e-12 && from == "house rules", "{u} {from}");
    let mut certified = gauge(2, "FEELER", "feeler", None);
    certified["body"]["calibrated"] =
        json!({"due": "2027-01-10", "certificate": "C-9", "expanded": "0.0001", "unit": "in"});
    let with = [&house[..], &[certified, reading]].concat();
    let (u, from) = blade(&with, 3);
    assert!((u - 0.00005).abs() < 1e-12 && from == "certificate C-9 of FEELER", "{u} {from}");
    // Computed as above with blades of that certificate.
    assert!((judged(&with).0.probability.unwrap() - 0.981_17).abs() < 2e-5);
    let none = [&house[..], &[between(20, "FEELER", "0", "0.004")]].concat();
    blade(&none, 2);
}

/// Of a gauge nobody has a figure for the band is told and nothing proven; by pins that are no feeler, each is as sure as the
/// figure of their kind: U 0.001 in, a standard uncertainty of 0.0005.
#[test]
fn pins_and_gauges_nobody_knows() {
    let strange =
        [&shop("0.0045")[..], &[gauge(2, "ODD", "odd strips", None), between(20, "ODD", "0.003", "0.004")]];
    let (odd, ..) = judged(&strange.concat());
    assert_eq!((odd.band.word(), odd.proof, odd.u), ("new", Proof::NoFigure, None));
    let (pins, job, _) = judged(&[&shop("0.0045")[..], &[between(20, "DIAL", "0.003", "0.004")]].concat());
    let lines = pins.budget(Some(&job)).unwrap();
    let pin = lines.lines.last().unwrap();
    assert!((pin.effect / 25.4 * 3_f64.sqrt() - 0.0005).abs() < 1e-12, "{pin:?}");
    assert_eq!(pin.from[0].words, "house rules");
}

/// The same two blades three times, by three people: the gap is where it was.
#[test]
fn looking_again_does_not_bring_blades_closer() {
    let once = of("0.0040", "0.003", "0.004");
    let again: Vec<Value> = (0..3).map(|n| between(20 + n, "FEELER", "0.003", "0.004")).collect();
    let (thrice, ..) = judged(&[&shop("0.0040")[..], &again].concat());
    assert_eq!(thrice.readings.len(), 3);
    assert_eq!((thrice.value, thrice.u, thrice.probability), (once.value, once.u, once.probability));
}

/// By table and by JSON it is one statement, and the cells have the traps of other readings: thousandths as whole numbers,
/// blades the wrong way round, one blade alone.
#[test]
fn a_table_says_the_same() {
    let table = |goes_in: &str, not_in: &str| {
        format!(
            "kind;measurements\njob;24-017\nwho;LM\nrecorded;2026-03-02T09:20:00+01:00\ncondition;as received\nunit;in\n\
             gauge;FEELER\n\nfeature;position;station;direction;blades.goes-in;blades.not in\n\
             deck;1;long;gap;{goes_in};{not_in}\nend\n"
        )
    };
    let by_table = decode(table("0,003", "0,004").as_bytes(), "main").unwrap();
    let json = json!({"kind": "measurements", "version": 1, "job": "24-017", "who": "LM",
        "recorded": "2026-03-02T09:20:00+01:00", "body": {"condition": "as received", "unit": "in", "gauge": "FEELER",
        "readings": [{"feature": "deck", "position": "1", "station": "long", "direction": "gap",
        "blades": {"goes-in": "0.003", "not-in": "0.004"}}]}});
    let by_json = decode(json.to_string().as_bytes(), "main").unwrap();
    assert_eq!(by_table.id, by_json.id);
    for (goes_in, not_in, said) in [
        ("3", "4", "thousandths"),
        ("0,004", "0,003", "thicker than the one that goes in"),
        ("0,003", "", "does not go in"),
        ("", "0,003", "0 where the thinnest does not"),
        ("-0,001", "0,003", "the thickest blade that goes in"),
        ("0,003", "OK", "follows from the readings"),
    ] {
        let Err(Refusal::Faults(faults)) = decode(table(goes_in, not_in).as_bytes(), "main") else {
            panic!("{goes_in} {not_in} is taken")
        };
        let words: Vec<String> =
            faults.iter().map(|fault| format!("{} {}", fault.at, fault.expected)).collect();
        assert!(words.iter().any(|words| words.contains(said)), "{goes_in} {not_in}: {words:?}");
    }
}

/// What was typed is what pages, forms and programs show.
#[test]
fn both_blades_are_shown() {
    let drops = [&shop("0.0040")[..], &[between(20, "FEELER", "0.0030", "0.0040")]].concat();
    let view = look(&drops);
    let json = benchdrop::pages::job_json(&view);
    let read = &json["surfaces"][0]["sets"][0]["readings"][0];
    assert_eq!((read["digits"].as_str(), read["unit"].as_str()), (Some("0.0030 to 0.0040"), Some("in")));
    let (set, shop) = support::sets(&drops);
    let form = benchdrop::pages::bench_form(&view, &set, &shop, "main");
    assert!(form.contains("measured 0.0030 to 0.0040 in"), "the form");
    let page = benchdrop::pages::job_page(&view);
    assert!(page.contains("0.0030 goes in, 0.0040 in does not"), "the page of the engine");
}

/// What a signature on the reading rests on has the blades in it: with a certificate that says more of them it is another.
#[test]
fn a_signature_rests_on_the_blades_too() {
    let drops = [&shop("0.0035")[..], &[between(20, "FEELER", "0.003", "0.004")]].concat();
    let code = |drops: &[Value]| {
        let view = look(drops);
        let signable = benchdrop::pages::job_json(&view)["signable"].to_string();
        assert!(signable.contains("inspection"), "{signable}");
        signable
    };
    let mut tighter = drops.clone();
    tighter[0]["body"]["instruments"][0]["blade"] = "0.0003".into();
    assert_ne!(code(&drops), code(&tighter));
    // House rules are grounds of a job themselves; a certificate is of the gauge alone.
    let mut certified = gauge(1, "FEELER", "feeler", None);
    certified["body"]["calibrated"] =
        json!({"due": "2027-01-10", "certificate": "C-9", "expanded": "0.0003", "unit": "in"});
    let mut sure = drops.clone();
    sure[1] = certified;
    assert_ne!(code(&drops), code(&sure));
}
