//! What stands beside the verdicts of the invented engine: floors, barrels, what to do about a gauge, what a stamp was read as.

use super::*;

/// What the tables say of form beside its value: the floors of the facts, 0.0001 as 0 to 0.00033, and the barrel of X in the bores.
#[test]
fn floors_and_barrels_are_those_of_the_tables() {
    let truth = truth();
    let judgement = judged_engine(vec![]);
    let notes = |name: &str, characteristic| {
        let (_, judged) = judged(&judgement, name, characteristic);
        judged.notes.iter().map(|note| note.words(Unit::Inch)).collect::<Vec<_>>().join("; ")
    };
    for (name, characteristic, floor) in [
        ("main journal 1", Characteristic::OutOfRound, "noise_floor_two"),
        ("crankpin 1", Characteristic::Taper, "noise_floor_two"),
        ("bore 1", Characteristic::OutOfRound, "noise_floor_three"),
    ] {
        let floor = format!("a perfect surface shows up to {} with", truth["facts"][floor].as_str().unwrap());
        assert!(notes(name, characteristic).contains(&floor), "{name}: {}", notes(name, characteristic));
    }
    let (_, unresolved) = judged(&judgement, "main journal 1", Characteristic::OutOfRound);
    assert_eq!(unresolved.value_words(Unit::Inch), "0.0001 in, not resolved (0 to 0.00033)");
    // Bore 3 is 0.0004 larger in the middle by X, the others less than 0.00005.
    assert!(
        notes("bore 3", Characteristic::Taper)
            .contains("in the middle 0.00040 larger than the mean of the ends, X")
    );
}

/// What is shared does not narrow: of a ball micrometer with U 0.00015, 0.000055 of it shared, three readings leave 0.0000624, and
/// 2 Phi(0.0001 / 0.0000624) - 1 = 0.891 is the most that the wall's 0.0002 can be proven by. So it is told to get a
/// finer one at once, and not after three times the work.
#[test]
fn three_readings_are_asked_for_only_where_they_could_prove() {
    let said = |readings: u32| {
        let mut drops = shop_with_engine();
        let wall = |s: &str| reading("main shell", "1", s, "crown", "0.0753");
        let walls = vec![wall("upper"), wall("lower")];
        drops.extend((0..readings).map(|n| measured(22 + n, "at assembly", "BALL", walls.clone())));
        let judgement = folded(&drops).2;
        let (_, judged) = judged(&judgement, "main shell 1", Characteristic::Size);
        judged.notes.iter().map(|note| note.words(Unit::Inch)).collect::<Vec<_>>().join("; ")
    };
    for readings in [1, 3] {
        assert_eq!(
            said(readings),
            "this gauge cannot prove this limit, not with three readings a place either: take a finer one"
        );
    }
}

/// A stamp without its unit is not taken for another size in silence: `0.010` are millimetres then, which this crank is never
/// ground to, and the answer says that it was read so.
#[test]
fn a_stamp_without_its_unit_says_what_it_was_read_as() {
    let held = |unit: Option<&str>| {
        let stamps = json!([{"group": "mains", "size": "0.010 under"}]);
        let mut stamp =
            drop_at("part", 12, json!({"part": "crankshaft", "event": "stamp read", "stamps": stamps}));
        if let Some(unit) = unit {
            stamp["body"]["unit"] = unit.into();
        }
        let mut drops = shop_with_engine();
        drops.push(stamp);
        let (_, job, _) = folded(&drops);
        job.held.iter().map(|held| held.why.to_string()).collect::<String>()
    };
    assert_eq!(held(Some("in")), "");
    assert!(
        held(None).contains("0.010 under (read as millimetres, since it says no unit)"),
        "{}",
        held(None)
    );
    assert!(!held(Some("mm")).contains("no unit"));
}

/// Row 27: the swing of the centre main is twice the bend, less what is oval there: 0.0020 on a journal 0.0002 out of round is a
/// bend of (0.0020 - 0.0001) / 2 to 0.0020 / 2 (B1).
#[test]
fn the_swing_of_the_centre_main_tells_its_bend() {
    let mut drops = shop_with_engine();
    let main = journal("main journal", "3", ["2.2489", "2.2487", "2.2489", "2.2487"]);
    drops.push(measured(20, "as received", "MIC", main));
    let swing = reading("crankshaft run-out", "3", "centre", "full swing", "0.0020");
    drops.push(measured(21, "as received", "MIC", vec![swing]));
    let judgement = folded(&drops).2;
    let verdict = judgement.standing().find(|verdict| verdict.feature == "crankshaft run-out").unwrap();
    let notes: Vec<String> =
        verdict.judged.as_ref().unwrap().notes.iter().map(|note| note.words(Unit::Inch)).collect();
    assert!(notes.iter().any(|note| note.starts_with("bent by 0.00095 to 0.00100:")), "{notes:?}");
}
