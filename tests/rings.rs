//! Roundness of a turn from an indicator's heights at angles, as verdicts, and what lobes do to a diameter that was read
//! between two points.
//!
//! Widths are those of `tests/checks/geometry.rs` (P5.3, computed there with numpy and scipy, closed forms), or worked by hand;
//! what is said of perfect turns is counted over simulated sets.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/chance.rs"]
mod chance;
#[path = "support/plain.rs"]
mod plain;
mod support;

use benchdrop::facts::{Refusal, decode};
use benchdrop::judgement::{Band, Beside, Judged, Judgement, Note, Proof};
use benchdrop::metrology::Unit;
use benchdrop::sheets::Side;
use chance::Chance;
use plain::*;
use serde_json::{Value, json};
use support::standing;

/// A feature read by indicator at so many equal angles, in these planes.
fn turned(angles: u32, stations: &str, positions: &str, max: &str) -> Value {
    let degrees: Vec<String> = (0..angles).map(|step| (step * 360 / angles).to_string()).collect();
    let places = format!("{positions}; {stations}; {}", degrees.join(","));
    let mut turn =
        feature("turn", "either", &places, vec![row(1, "roundness", &format!("/{max}"), "/", "/")]);
    turn["angles"] = json!(degrees);
    turn
}

fn judged_of(unit: &str, features: Vec<Value>, gauge: &str, lines: &[&str]) -> Judgement {
    let (job, judgement) = as_received(engine(unit, features, vec![]), unit, gauge, lines);
    assert!(job.sheet.is_some() && job.held.is_empty(), "{:?}", job.held);
    assert!(judgement.questions.is_empty(), "{:?}", judgement.questions);
    judgement
}

fn of<'j>(judgement: &'j Judgement, name: &str, what: &str) -> &'j Judged {
    standing(judgement, name, word(what)).judged.as_ref().unwrap()
}

/// P5.3a: eight heights in micrometres, minimum zone 9 - 4 roots of two, least squares 1 + 2 roots of two. The largest plane
/// is the value, and both references are said.
#[test]
fn eight_heights_of_a_turn() {
    let line = "turn 1: 0.000 0.000 0.000 0.000 0.000 0.000 0.000 0.000 0.000 0.002 0.005 0.003 -0.001 -0.004 -0.003 0.001";
    for (max, band) in [("0.00335", Band::New), ("0.00334", Band::Beyond(Side::Above))] {
        let found = judged_of("mm", vec![turned(8, "front,rear", "1", max)], "", &[line]);
        let judged = of(&found, "turn", "roundness");
        assert!(
            (judged.value.to_mm() - (9.0 - 4.0 * 2_f64.sqrt()) / 1_000.0).abs() < 1e-7,
            "{:?}",
            judged.value
        );
        assert_eq!(judged.band, band, "against {max}");
        let told = judged.notes.iter().find_map(|note| {
            let Note::Beside(Beside::Zones { least_squares, of, .. }) = note else { return None };
            Some((least_squares.to_mm(), of.clone()))
        });
        let (least_squares, plane) = told.unwrap();
        assert!((least_squares - (1.0 + 2.0 * 2_f64.sqrt()) / 1_000.0).abs() < 1e-7, "{least_squares}");
        assert_eq!(plane, "rear");
    }
}

/// Three lobes of 0.005 mm either way, and 0.02 off centre: two points see nothing of it, the turn all of it. By hand: at
/// 30 degrees apart the lobes read 5, 0, -5, 0 and so on, a ring of 10 micrometres, and the centre goes with the cosine.
#[test]
fn three_lobes_are_seen_by_a_turn_and_not_between_two_points() {
    let lobes = |step: i32| 5.0 * (f64::from(step * 90)).to_radians().cos();
    let height = |step: i32| lobes(step) + 20.0 * f64::from(step * 30).to_radians().cos();
    let heights: Vec<String> = (0..12).map(|step| format!("{:.5}", height(step) / 1_000.0)).collect();
    // What lies opposite: 57.000 mm and the two heights, off centre or not.
    let across = |step: i32| format!("{:.5}", 57.0 + (height(step) + height(step + 6)) / 1_000.0);
    let shaft = feature("shaft", "shaft", "1; front; X,Y", vec![row(2, "out-of-round", "/0.005", "/", "/")]);
    let lines = [format!("turn 1: {}", heights.join(" ")), format!("shaft 1: {} {}", across(0), across(3))];
    let lines = lines.each_ref().map(String::as_str);
    let found = judged_of("mm", vec![turned(12, "front", "1", "0.008"), shaft], "", &lines);
    let (ring, two) = (of(&found, "turn", "roundness"), of(&found, "shaft", "out-of-round"));
    // Heights are read to a hundredth of a micrometre.
    assert!((ring.value.to_mm() - 0.010).abs() < 2e-5, "{:?}", ring.value);
    assert_eq!((ring.band, two.band), (Band::Beyond(Side::Above), Band::New));
    assert!(two.value.to_mm() < 2e-5);
}

/// Perfect turns of eight heights, each with a noise of 0.0001 in, against limits of one to three times that: beyond is seldom
/// proven, though by number most are. One that is out by ten times the noise is.
#[test]
fn perfect_turns_are_rarely_beyond() {
    let mut chance = Chance(31);
    let mut noise = || (0..12).map(|_| chance.between(0, 1_000_001) as f64 / 1e6).sum::<f64>() - 6.0;
    let positions: Vec<String> = (1..=50).map(|number| number.to_string()).collect();
    for (max, oval, least, most) in
        [("0.0001", 0.0, 0, 10), ("0.0003", 0.0, 0, 10), ("0.0003", 0.001, 180, 200)]
    {
        let (mut sets, mut beyond, mut proven) = (0, 0, 0);
        for _ in 0..4 {
            let of_one = |position: &String| {
                let mut height =
                    |step: i32| oval * f64::from(step * 90).to_radians().cos() + 0.0001 * noise();
                let heights: Vec<String> = (0..8).map(|step| format!("{:.6}", height(step))).collect();
                format!("turn {position}: {}", heights.join(" "))
            };
            let lines: Vec<String> = positions.iter().map(of_one).collect();
            let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
            let found = judged_of("in", vec![turned(8, "front", &positions.join(","), max)], "BORE", &lines);
            for verdict in found.standing().filter(|verdict| verdict.judged.is_some()) {
                sets += 1;
                beyond += u32::from(verdict.is_beyond());
                proven += u32::from(verdict.is_proven_beyond());
            }
        }
        assert!(sets == 200 && (least..=most).contains(&proven), "{max}, {oval}: {proven} of {sets}");
        assert!(max == "0.0003" || beyond > 180, "{beyond}");
    }
}

/// Fewer than four angles show no shape; each direction has its own, all round; lobes are declared of diameters between two
/// points.
#[test]
fn sheets_that_cannot_show_a_ring_are_refused() {
    let faults = |feature: Value| {
        let sheet = sheet("in", vec![feature], vec![]);
        match decode(&serde_json::to_vec(&sheet).unwrap(), "main") {
            Err(Refusal::Faults(faults)) => format!("{faults:?}"),
            Ok(_) => String::new(),
            Err(other) => panic!("{other:?}"),
        }
    };
    assert_eq!(faults(turned(4, "front", "1", "0.001")), "");
    assert!(faults(turned(3, "front", "1", "0.001")).contains("four or more"));
    let mut bare = turned(6, "front", "1", "0.001");
    bare.as_object_mut().unwrap().remove("angles");
    assert!(faults(bare).contains("with angles"));
    for (angles, why) in [
        (json!(["0", "90", "180"]), "an angle for every direction"),
        (json!(["0", "90", "0", "90"]), "all round the turn"),
        (json!(["0", "90", "180", "360"]), "under 360"),
    ] {
        let mut turn = turned(4, "front", "1", "0.001");
        turn["angles"] = angles;
        assert!(faults(turn).contains(why), "{why}");
    }
    let mut pin = pin("0.0001");
    assert_eq!(faults(pin.clone()), "");
    pin["lobed"] = false.into();
    assert!(faults(pin).contains("lobed and read between two points"));
}

/// A centreless-ground pin whose sheet declares what its lobes may do.
fn pin(lobing: &str) -> Value {
    let rows = vec![row(1, "size", "0.9270/0.9280", "/", "/"), row(2, "out-of-round", "/0.0010", "/", "/")];
    let mut pin = feature("pin", "shaft", "1; front; X,Y", rows);
    pin["lobed"] = true.into();
    if !lobing.is_empty() {
        pin["lobing"] = lobing.into();
    }
    pin
}

/// By hand, in tenths: a gauge of U 0.0002 with nothing shared errs by 1; lobes of 0.000173 either way, a rectangle, by 1 as
/// well, so a size by the root of 2 and a difference by 2. A size 0.0002 inside its limit is proven without them
/// (2 standard deviations) and not with them (1.41). Three repeats a place narrow the gauge's part only: root of 1/3 + 1.
#[test]
fn declared_lobes_are_in_the_budget_of_a_diameter() {
    let tenths = |judged: &Judged| judged.u.unwrap() / 25.4 / 0.0001;
    let line = "pin 1: 0.9272 0.9272";
    let without = judged_of("in", vec![pin("")], "BORE", &[line]);
    let with = judged_of("in", vec![pin("0.000173")], "BORE", &[line]);
    let (plain, lobed) = (of(&without, "pin", "size"), of(&with, "pin", "size"));
    assert!((tenths(plain) - 1.0).abs() < 1e-3 && (tenths(lobed) - 2_f64.sqrt()).abs() < 2e-3);
    assert!((tenths(of(&with, "pin", "out-of-round")) - 2.0).abs() < 2e-3);
    let one = |line: &str, pin: Value| {
        let found = judged_of("in", vec![pin], "BORE", &[line]);
        of(&found, "pin", "size").proof
    };
    let far = "pin 1: 0.9272 0.9275";
    assert_eq!((one(far, pin("")), one(far, pin("0.000173"))), (Proof::Proven, Proof::NotProven));
    let lines = lobed.budget(None).unwrap();
    let said: Vec<_> =
        lines.lines.iter().map(|line| (line.what.as_str(), line.from[0].words.as_str())).collect();
    assert!(
        said.iter()
            .any(|(what, from)| what.starts_with("lobes that two points do not see") && *from == "sheet"),
        "{said:?}"
    );
    assert!((lines.u - lobed.u.unwrap()).abs() < 1e-12);
    let drops = engine("in", vec![pin("0.000173")], vec![]);
    let sets = (20..23).map(|minute| read(&the_sheet(&drops), minute, "as received", "in", "BORE", &[line]));
    let (_, _, thrice) = support::folded(&drops.iter().cloned().chain(sets).collect::<Vec<_>>());
    assert!((tenths(of(&thrice, "pin", "size")) - (4_f64 / 3.0).sqrt()).abs() < 2e-3);
    assert_eq!(lobed.value.show(Unit::Inch), "0.9272");
}
