//! Plain characteristics against the tables of the trade notes (B1 to B3, H1, H2).
//!
//! The engines are invented; limits and expected answers are written here as the notes print them, computed
//! there apart from this project. Guards promise 4 (exact at the limit).
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/plain.rs"]
mod plain;
mod support;

use benchdrop::judgement::{Band, Note, Proof};
use benchdrop::metrology::{Length, Unit};
use benchdrop::sheets::{Characteristic, Side};
use benchdrop::shop::HeldWhy;
use plain::*;
use proptest::prelude::*;
use serde_json::json;
use support::*;

/// One surface, one set as received, one row: which reading counts, which limit decides, which word is said.
/// Limits are rows of the invented OV-24 (H1).
#[test]
fn which_reading_counts_and_what_it_is_called() {
    let table = include_str!("data/plain_values.txt");
    for case in table.lines().filter(|line| !line.starts_with('#')) {
        let cells: Vec<&str> = case.split(';').map(str::trim).collect();
        let [characteristic, shape, unit, new, service, values, value, band, words] = cells[..] else {
            panic!("{case}")
        };
        let mut thing =
            feature("thing", shape, "1; a,b; read", vec![row(1, characteristic, new, service, "/")]);
        thing["unit"] = unit.into();
        let line = format!("thing 1: {values}");
        let (job, judgement) = as_received(engine("in", vec![thing], vec![]), unit, "", &[&line]);
        let verdict = standing(&judgement, "thing", word(characteristic));
        let what = format!("{characteristic} {values}");
        assert!(judgement.questions.is_empty(), "{what}: {:?}", judgement.questions);
        assert_eq!(outcome(verdict, &job), (value.to_owned(), band, words), "{what}");
        assert!(verdict.asked && !verdict.is_incomplete(), "{what}");
    }
}

#[test]
fn on_the_limit_is_inside_exactly_in_either_unit() {
    let play = || {
        feature(
            "end play",
            "grows",
            "1; nose; read",
            vec![row(28, "end play", "0.0030/0.0070", "/0.0120", "/")],
        )
    };
    // 0.3048 mm is 0.0120 in exactly.
    for (unit, value, band) in
        [("in", "0.0120", "service"), ("mm", "0.3048", "service"), ("mm", "0.30481", "beyond")]
    {
        let (_, judgement) =
            as_received(engine("in", vec![play()], vec![]), unit, "", &[&format!("end play 1: {value}")]);
        let judged = standing(&judgement, "end play", Characteristic::EndPlay).judged.as_ref().unwrap();
        assert_eq!(judged.band.word(), band, "{value}");
        assert_eq!(judged.notes.contains(&Note::OnLimit), value != "0.30481", "{value}");
    }
}

/// 74 lbf is 329.17 N; a load in another unit of force is brought over, one in inches waits.
#[test]
fn units_of_one_quantity_meet_and_others_are_held() {
    for (value, band) in [("330", "service"), ("329", "beyond")] {
        let line = format!("spring load 1: {value}");
        let (_, judgement) =
            as_received(engine("in", vec![spring_load("lbf")], vec![]), "N", "TESTER", &[&line]);
        let judged = standing(&judgement, "spring load", Characteristic::Load).judged.as_ref().unwrap();
        assert_eq!(judged.band.word(), band, "{value} N");
        // The tester's U is 2 lbf, whatever the reading was written in.
        assert!((judged.u.unwrap() - 1.0).abs() < 1e-9);
    }
    let (job, judgement) =
        as_received(engine("in", vec![spring_load("lbf")], vec![]), "in", "DIAL", &["spring load 1: 1.660"]);
    let wrong = HeldWhy::WrongUnit { feature: "spring load".into(), unit: "in", wanted: "lbf" };
    assert_eq!(job.held.iter().map(|held| &held.why).collect::<Vec<_>>(), [&wrong]);
    assert!(standing(&judgement, "spring load", Characteristic::Load).is_incomplete());
}

/// Row 27: TIR 0.0030 is twice the bend; straightened it is judged by its own limit, 0.0020.
#[test]
fn a_swing_is_twice_the_bend_and_a_straightened_shaft_has_its_own_limit() {
    let crank = feature(
        "centre main",
        "grows",
        "1; middle; dial",
        vec![
            row(27, "run-out", "/0.0015", "/0.0030", "/0.0020"),
            row(27, "bend", "/0.00075", "/0.0015", "/0.0010"),
        ],
    );
    let mut drops = engine("in", vec![crank], vec![]);
    drops.push(read(&the_sheet(&drops), 20, "as received", "in", "", &["centre main 1: 0.0025"]));
    let (_, job, judgement) = folded(&drops);
    let run_out = standing(&judgement, "centre main", Characteristic::RunOut);
    let bend = standing(&judgement, "centre main", Characteristic::Bend);
    assert_eq!(outcome(run_out, &job), ("0.0025".to_owned(), "service", ""));
    assert_eq!(outcome(bend, &job), ("0.00125".to_owned(), "service", ""));
    drops.push(work(30, "centre main", ""));
    drops.push(read(&the_sheet(&drops), 40, "after work", "in", "", &["centre main 1: 0.0021"]));
    let (_, job, judgement) = folded(&drops);
    let run_out = standing(&judgement, "centre main", Characteristic::RunOut);
    assert_eq!(outcome(run_out, &job), ("0.0021".to_owned(), "beyond", "runs out"));
    assert_eq!(run_out.judged.as_ref().unwrap().limit_words(Unit::Inch), "after work max 0.0020 in");
}

/// Rows 34 and E12: lift by nose and base circle, or by dial; either answers.
#[test]
fn lift_is_nose_less_base_circle_or_a_dial() {
    let lobe = || {
        let mut lift = row(34, "lift", "0.2640/0.2640", "0.2590/", "/");
        lift["nominal"] = "0.2640".into();
        feature("lobe", "shrinks", "1,2; lobe; nose,base circle,dial", vec![lift])
    };
    let lines = ["lobe 1: 1.5590 1.3000 -", "lobe 2: - - 0.2589"];
    let (job, judgement) = as_received(engine("in", vec![lobe()], vec![]), "in", "DIAL", &lines);
    let one = standing(&judgement, "lobe 1", Characteristic::Lift);
    let two = standing(&judgement, "lobe 2", Characteristic::Lift);
    assert_eq!(outcome(one, &job), ("0.2590".to_owned(), "service", ""));
    assert_eq!(outcome(two, &job), ("0.2589".to_owned(), "beyond", "worn low"));
    assert!(!one.is_incomplete() && !two.is_incomplete());
    let (_, judgement) = as_received(engine("in", vec![lobe()], vec![]), "in", "", &["lobe 1: 1.5590 - -"]);
    let one = standing(&judgement, "lobe 1", Characteristic::Lift);
    assert!(one.judged.is_none());
    assert_eq!(one.missing, ["lobe base circle", "lobe dial"]);
}

/// Row 55: overall passes where a step inside 6 in does not; measured, never scaled. B2: a feeler of U 0.001
/// cannot decide 0.002.
#[test]
fn flatness_in_six_inches_is_a_row_of_its_own() {
    let head = feature(
        "head face",
        "grows",
        "1; long,cross; gap",
        vec![row(55, "flatness", "/0.002", "/0.006", "/")],
    );
    let six = feature(
        "head face in 6 in",
        "grows",
        "1; worst; gap",
        vec![row(55, "flatness", "/0.002", "/0.003", "/")],
    );
    let lines = ["head face 1: 0.003 0.005", "head face in 6 in 1: 0.004"];
    let (job, judgement) = as_received(engine("in", vec![head, six], vec![]), "in", "FEELER", &lines);
    let whole = standing(&judgement, "head face", Characteristic::Flatness);
    let step = standing(&judgement, "head face in 6 in", Characteristic::Flatness);
    assert_eq!(outcome(whole, &job), ("0.0050".to_owned(), "service", ""));
    assert_eq!(outcome(step, &job), ("0.0040".to_owned(), "beyond", "not flat"));
    // An interval of 0.001 to either side of 0.004 just touches 0.003: all of it is beyond.
    assert_eq!(step.judged.as_ref().unwrap().proof, Proof::Proven);
    assert_eq!(step.judged.as_ref().unwrap().probability, Some(0.0));
    assert_eq!(whole.judged.as_ref().unwrap().probability, Some(1.0));

    let fine = feature("deck", "grows", "1; line; gap", vec![row(57, "flatness", "/0.001", "/0.002", "/")]);
    let (_, judgement) = as_received(engine("in", vec![fine], vec![]), "in", "FEELER", &["deck 1: 0.001"]);
    let judged = standing(&judgement, "deck", Characteristic::Flatness).judged.as_ref().unwrap();
    assert!(judged.notes.contains(&Note::TooFineForFeeler));
}

/// Rows 56 and 65: after a skim both the thickness and the total hold, and the chambers it moved are measured
/// again, by their after-work limits.
#[test]
fn metal_lost_for_good() {
    let face = feature(
        "head thickness",
        "shrinks",
        "1; front,rear; read",
        vec![row(56, "thickness", "3.948/3.952", "3.938/", "3.938/"), row(56, "removed", "/", "/", "/0.010")],
    );
    let mut chamber = feature(
        "chamber",
        "either",
        "1,2; chamber; read",
        vec![row(65, "volume", "57.0/59.0", "/", "55.8/59.0")],
    );
    chamber["unit"] = "cc".into();
    chamber["moved-by"] = json!(["head thickness"]);
    let mut drops = engine("in", vec![face, chamber], vec![]);
    let paper = the_sheet(&drops);
    drops.push(read(&paper, 20, "as received", "cc", "", &["chamber 1: 58.0", "chamber 2: 56.5"]));
    let (_, job, judgement) = folded(&drops);
    assert_eq!(
        outcome(standing(&judgement, "chamber 2", Characteristic::Volume), &job),
        ("56.5".to_owned(), "beyond", "too small")
    );

    drops.push(work(30, "head thickness", "0.006"));
    let (_, _, judgement) = folded(&drops);
    let chamber = standing(&judgement, "chamber 1", Characteristic::Volume);
    assert!(chamber.is_incomplete() && chamber.judged.is_none(), "a skim moves the chambers");

    drops.push(work(35, "head thickness", "0.004"));
    drops.push(read(&paper, 40, "after work", "in", "", &["head thickness 1: 3.938 3.9385"]));
    drops.push(read(&paper, 41, "after work", "cc", "", &["chamber 1: 56.8", "chamber 2: 55.7"]));
    let (_, job, judgement) = folded(&drops);
    let of = |name: &str, c: Characteristic| outcome(standing(&judgement, name, c), &job);
    assert_eq!(of("head thickness", Characteristic::Thickness), ("3.9380".to_owned(), "service", ""));
    assert_eq!(of("head thickness", Characteristic::Removed), ("0.0100".to_owned(), "service", ""));
    assert_eq!(of("chamber 1", Characteristic::Volume), ("56.8".to_owned(), "service", ""));
    assert_eq!(of("chamber 2", Characteristic::Volume), ("55.7".to_owned(), "beyond", "too small"));

    drops.push(work(50, "head thickness", "0.0001"));
    let (_, job, judgement) = folded(&drops);
    let removed = standing(&judgement, "head thickness", Characteristic::Removed);
    assert_eq!(outcome(removed, &job), ("0.0101".to_owned(), "beyond", "too much removed"));
    drops.push(work(55, "head thickness", ""));
    let (_, _, judgement) = folded(&drops);
    let removed = standing(&judgement, "head thickness", Characteristic::Removed);
    assert_eq!(removed.missing, ["what skim took off"], "silence is not nought");
}

/// H1: weights match within 2 g, all rods within 0.001 in. One position unread, and nothing is known.
#[test]
fn a_set_is_matched_when_all_of_it_is_known() {
    let pistons = || {
        let mut pistons = feature(
            "piston weight",
            "either",
            "1,2,3,4; scale; read",
            vec![row(1, "spread", "/2", "/", "/")],
        );
        pistons["unit"] = "g".into();
        pistons
    };
    let spread = |lines: &[&str]| {
        let (_, judgement) = as_received(engine("in", vec![pistons()], vec![]), "g", "", lines);
        standing(&judgement, "piston weight", Characteristic::Spread).clone()
    };
    let four = [
        "piston weight 1: 501.0",
        "piston weight 2: 503.0",
        "piston weight 3: 502.5",
        "piston weight 4: 501.2",
    ];
    let judged = spread(&four).judged.unwrap();
    assert_eq!((judged.value.show(Unit::Gram).as_str(), judged.band.word()), ("2.0", "new"));
    assert_eq!(judged.places[0].name, "2 less 1");
    let heavy = spread(&[four[0], "piston weight 2: 503.1", four[2], four[3]]);
    assert_eq!(heavy.judged.unwrap().band, Band::Beyond(Side::Above));
    let three = spread(&four[..3]);
    assert!(three.judged.is_none() && three.is_incomplete());
    assert_eq!(three.missing, ["piston weight 4"]);
}

/// H2 row 26: the highest piston chooses for all; 0.555 takes 1.30 and leaves 0.745.
#[test]
fn the_highest_piston_chooses_the_gasket() {
    let mut pistons = feature(
        "piston protrusion",
        "either",
        "1,2,3; crown; read",
        vec![row(26, "protrusion", "0.45/0.75", "/", "0.45/0.75")],
    );
    pistons["gaskets"] = json!([{"gasket": "1 notch", "up-to": "0.55", "thickness": "1.20"},
        {"gasket": "2 notches", "up-to": "0.65", "thickness": "1.30"},
        {"gasket": "3 notches", "up-to": "0.75", "thickness": "1.40"}]);
    let lines = ["piston protrusion 1: 0.500", "piston protrusion 2: 0.555", "piston protrusion 3: 0.530"];
    let drops = engine("mm", vec![pistons], vec![]);
    let (_, judgement) = as_received(drops.clone(), "mm", "", &lines);
    assert_eq!(
        judgement.gaskets[0].words(),
        "the highest stands 0.555 mm: gasket 1.300 mm (2 notches) leaves 0.745 mm"
    );
    let highest =
        standing(&judgement, "piston protrusion 2", Characteristic::Protrusion).judged.as_ref().unwrap();
    assert!(highest.notes.iter().any(|note| matches!(note, Note::Gasket(_))));
    let (_, judgement) = as_received(drops, "mm", "", &lines[..2]);
    assert!(judgement.gaskets.is_empty(), "a piston that is not measured may be the highest");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// A second, obvious way: of limits with both sides the smallest and the largest decide, in integers of tenths.
    #[test]
    fn both_ends_are_judged(
        two in proptest::collection::vec(20_i64..136, 2),
        more in proptest::collection::vec(0_i64..4, 2),
        turn in 0_usize..4,
    ) {
        // Each gap has one nearly like it: one of six times its three like neighbours would be asked about first.
        let mut values: Vec<i64> = two.iter().zip(&more).flat_map(|(value, more)| [*value, value + more]).collect();
        values.rotate_left(turn);
        let play = feature("gap", "grows", "1; a,b,c,d; read", vec![row(6, "end gap", "0.0030/0.0070", "/0.0120", "/")]);
        let digits: Vec<String> = values.iter().map(|v| format!("0.{v:04}")).collect();
        let line = format!("gap 1: {}", digits.join(" "));
        let (_, judgement) = as_received(engine("in", vec![play], vec![]), "in", "", &[&line]);
        prop_assert!(judgement.questions.is_empty(), "{:?}", judgement.questions);
        let judged = standing(&judgement, "gap", Characteristic::EndGap).judged.clone().unwrap();
        let (least, most) = (values.iter().min().copied().unwrap(), values.iter().max().copied().unwrap());
        let expected = if most > 120 { Band::Beyond(Side::Above) }
            else if least < 30 { Band::Beyond(Side::Below) }
            else if most > 70 { Band::Serviceable }
            else { Band::New };
        prop_assert_eq!(judged.band, expected);
        let worst = if expected == Band::Beyond(Side::Below) { least } else { most };
        let worst = Length::parse(&format!("0.{worst:04}"), Unit::Inch).unwrap().exact();
        prop_assert_eq!(judged.value, worst);
    }
}

/// Trade notes F: a reading unlike its neighbours is taken again; springs of one engine are neighbours.
#[test]
fn one_of_several_alike_is_held_against_the_others() {
    let springs = || {
        let rows = vec![row(1, "length", "2.010/2.020", "1.957/", "/")];
        feature("spring", "shrinks", "1,2,3,4; coil; free", rows)
    };
    let asked = |values: &[&str]| {
        let lines = values.iter().enumerate().map(|(at, value)| format!("spring {}: {value}", at + 1));
        let lines: Vec<String> = lines.collect();
        let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
        let (_, judgement) = as_received(engine("in", vec![springs()], vec![]), "in", "", &lines);
        let said = judgement.questions.iter().map(|asked| (asked.surface.position, asked.why.to_string()));
        said.collect::<Vec<_>>()
    };
    let why = "the other ones of its kind read 2.0120 to 2.0140 in: read this one again";
    assert_eq!(asked(&["2.012", "2.013", "1.900", "2.014"]), [(2, why.to_owned())]);
    // By itself it may be flat, and where all are it is.
    assert_eq!(asked(&["1.900"]), []);
    assert_eq!(asked(&["1.930", "1.925", "1.900", "1.935"]), []);
    // Two of them say the same of it, one does not.
    assert_eq!(asked(&["2.012", "1.900"]), []);
    assert_eq!(asked(&["2.012", "1.900", "2.014"]).len(), 1);
}
