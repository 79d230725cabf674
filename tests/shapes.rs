//! What a verdict says of shapes beside its value: bend in a swing, barrel beside taper, lobes, ovals between two
//! fixed directions, taper told by ring gaps.
//!
//! Expected values are worked by hand from the formulae of the trade notes' section B1 and B2; factors of a vee are those
//! of ISO 4292 (recalled); the floor of a barrel is counted over simulated straight shafts.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/chance.rs"]
mod chance;
#[path = "support/plain.rs"]
mod plain;
mod support;

use benchdrop::facts::{Refusal, decode};
use benchdrop::judgement::{Band, Beside, Judged, Judgement, Note, Proof};
use benchdrop::metrology::{Exact, Length, Unit};
use chance::Chance;
use plain::*;
use serde_json::{Value, json};
use support::standing;

fn judgement(unit: &str, features: Vec<Value>, gauge: &str, lines: &[&str]) -> Judgement {
    let (_, judgement) = as_received(engine(unit, features, vec![]), unit, gauge, lines);
    assert!(judgement.questions.is_empty(), "{:?}", judgement.questions);
    judgement
}

fn judged<'a>(judgement: &'a Judgement, name: &str, characteristic: &str) -> &'a Judged {
    standing(judgement, name, word(characteristic)).judged.as_ref().unwrap()
}

fn inches(digits: &str) -> Exact {
    Length::parse(digits, Unit::Inch).unwrap().exact()
}

fn journal(places: &str) -> Value {
    let rows = vec![
        row(13, "size", "2.2490/2.2500", "2.2480/", "/"),
        row(14, "out-of-round", "/0.0003", "/0.0020", "/"),
        row(15, "taper", "/0.0003", "/0.0020", "/"),
    ];
    feature("journal", "shaft", places, rows)
}

/// B1: the bend lies between (TIR - OOR/2)/2 and TIR/2. At 0.0020 and 0.0010: 0.00075 to 0.0010.
#[test]
fn a_swing_tells_a_bend_less_what_is_oval() {
    let mut swing = feature(
        "run-out",
        "grows",
        "2; centre; swing",
        vec![row(27, "run-out", "/0.0010", "/0.0030", "/"), row(28, "bend", "/0.0005", "/0.0015", "/")],
    );
    swing["swings-on"] = "journal".into();
    let features = vec![journal("1,2; front,rear; X,Y"), swing];
    let lines = ["journal 2: 2.2495 2.2485 2.2490 2.2490", "run-out 2: 0.0020"];
    let found = judgement("in", features.clone(), "", &lines);
    for characteristic in ["run-out", "bend"] {
        let note = judged(&found, "run-out", characteristic).notes.iter().find_map(|note| {
            if let Note::Beside(Beside::Bend { least, most, out_of_round }) = note {
                Some((*least, *most, *out_of_round))
            } else {
                None
            }
        });
        let expected = (inches("0.00075"), inches("0.0010"), Some(inches("0.0010")));
        assert_eq!(note, Some(expected), "{characteristic}");
    }
    // The journal of another position says nothing of this one; the bend that limits stays the most it can be.
    let found =
        judgement("in", features, "", &["journal 1: 2.2495 2.2485 2.2490 2.2490", "run-out 2: 0.0020"]);
    let bend = judged(&found, "run-out", "bend");
    assert_eq!(bend.value, inches("0.0010"));
    let said: Vec<String> = bend.notes.iter().map(|note| note.words(Unit::Inch)).collect();
    assert!(
        said.iter()
            .any(|w| w == "bent by 0.00100 if the journal is round; its out-of-round there is not known"),
        "{said:?}"
    );
}

/// B1, the same: with 0.0010 out of round a swing of 0.0034 is a bend of 0.00145 to 0.0017, and nothing proves that it is
/// over 0.0015; one of 0.0040 is 0.00175 at least. On a round journal 0.0034 is 0.0017, four of its uncertainties over.
#[test]
fn a_bend_that_an_oval_explains_is_not_proven() {
    let rows =
        vec![row(27, "run-out", "/0.0010", "/0.0090", "/"), row(28, "bend", "/0.0005", "/0.0015", "/")];
    let mut swing = feature("run-out", "grows", "2; centre; swing", rows);
    swing["swings-on"] = "journal".into();
    let of = |journal_reads: &str, swings: &str| {
        let features = vec![journal("2; front,rear; X,Y"), swing.clone()];
        let lines = [format!("journal 2: {journal_reads}"), format!("run-out 2: {swings}")];
        let found = judgement("in", features, "BORE", &[&lines[0], &lines[1]]);
        let bend = judged(&found, "run-out", "bend");
        assert!(matches!(bend.band, Band::Beyond(_)), "{bend:?}");
        (bend.value, bend.proof)
    };
    let (round, oval) = ("2.2490 2.2490 2.2490 2.2490", "2.2495 2.2485 2.2490 2.2490");
    assert_eq!(of(round, "0.0034"), (inches("0.0017"), Proof::Proven));
    assert_eq!(of(oval, "0.0034"), (inches("0.0017"), Proof::NotProven));
    assert_eq!(of(oval, "0.0040"), (inches("0.0020"), Proof::Proven));
}

/// Middle less the mean of the ends, signed, in the direction that shows most.
#[test]
fn a_barrel_is_said_beside_taper() {
    let found = |values: &str, gauge: &str| {
        let found = judgement(
            "in",
            vec![journal("1; front,middle,rear; X,Y")],
            gauge,
            &[&format!("journal 1: {values}")],
        );
        judged(&found, "journal", "taper").notes.iter().find_map(|note| {
            if let Note::Beside(Beside::Barrel { by, of, floor }) = note {
                Some((*by, of.clone(), *floor))
            } else {
                None
            }
        })
    };
    // X: 2.2492 less the mean of 2.2490 and 2.2489; Y: 2.2487 less the mean of 2.2490 and 2.2490.
    let both = found("2.2490 2.2490 2.2492 2.2487 2.2489 2.2490", "").unwrap();
    assert_eq!((both.0, both.1.as_str(), both.2), (-inches("0.0003"), "Y", None));
    let one = found("2.2490 2.2490 2.2492 2.2490 2.2489 2.2490", "").unwrap();
    assert_eq!((one.0, one.1.as_str()), (inches("0.00025"), "X"));
    let (_, _, floor) = found("2.2490 2.2490 2.2492 2.2490 2.2489 2.2490", "BORE").unwrap();
    // U 0.0002, all of it its own: one reading errs by 0.0001 in. How often does a straight shaft show more?
    let (floor, mut chance, mut over) = (floor.unwrap().to_mm() / 25.4 / 0.0001, Chance(11), 0);
    const SETS: usize = 20_000;
    for _ in 0..SETS {
        let mut noise = || (0..12).map(|_| chance.between(0, 1_000_001) as f64 / 1e6).sum::<f64>() - 6.0;
        let mut barrel = || noise() - (noise() + noise()) / 2.0;
        over += usize::from(barrel().abs().max(barrel().abs()) > floor);
    }
    assert!((over as f64 / SETS as f64 - 0.05).abs() < 0.006, "{over} of {SETS} over {floor}");
    assert_eq!(found("2.2490 2.2490 2.2492 2.2490 - -", ""), None, "no rear end was read");
}

/// ISO 4292: a vee of 90 degrees swings twice, one of 60 three times the out-of-round of three lobes.
#[test]
fn a_vee_sees_lobes_and_two_points_say_that_they_do_not() {
    for (angle, value) in [("90", "0.0003"), ("60", "0.0002")] {
        let mut swing = feature(
            "pin in a vee",
            "grows",
            "1; middle; swing",
            vec![row(2, "out-of-round", "/0.0004", "/", "/")],
        );
        swing["vee"] = json!({"angle": angle, "lobes": 3});
        let found = judgement("in", vec![swing], "", &["pin in a vee 1: 0.0006"]);
        let judged = judged(&found, "pin in a vee", "out-of-round");
        assert_eq!(judged.value.show(Unit::Inch), value, "{angle}");
        let Some(Note::Beside(Beside::InVee(said))) =
            judged.notes.iter().find(|note| matches!(note, Note::Beside(Beside::InVee(_))))
        else {
            panic!()
        };
        assert!(said.contains("of the radius") && said.ends_with("for 3 lobes"), "{said}");
    }
    let mut pin = feature("pin", "shaft", "1; front; read", vec![row(1, "size", "0.9270/0.9272", "/", "/")]);
    let said = |pin: &Value| {
        let found = judgement("in", vec![pin.clone()], "", &["pin 1: 0.9271"]);
        judged(&found, "pin", "size").notes.contains(&Note::Beside(Beside::UnseenLobes))
    };
    assert!(!said(&pin));
    pin["lobed"] = true.into();
    assert!(said(&pin));
}

/// A vee that does not swing with such lobes tells nothing of them: 60 degrees and five lobes by the table.
#[test]
fn a_blind_vee_and_an_unknown_journal_are_refused() {
    let faults = |feature: Value| match decode(
        &serde_json::to_vec(&sheet("in", vec![feature], vec![])).unwrap(),
        "main",
    ) {
        Err(Refusal::Faults(faults)) => format!("{faults:?}"),
        Ok(_) => String::new(),
        Err(other) => panic!("{other:?}"),
    };
    let mut swing =
        feature("pin", "grows", "1; middle; swing", vec![row(2, "out-of-round", "/0.0004", "/", "/")]);
    assert!(faults(swing.clone()).contains("or turned in a vee"));
    swing["vee"] = json!({"angle": "60", "lobes": 5});
    assert!(faults(swing.clone()).contains("in which so many lobes swing"), "{}", faults(swing.clone()));
    swing["vee"] = json!({"angle": "90", "lobes": 5});
    assert_eq!(faults(swing.clone()), "");
    swing["swings-on"] = "journal".into();
    assert!(faults(swing).contains("a feature of this sheet"));
}

/// X and Y of a bore are fixed, so an oval between them is not seen; of a shaft they are found by turning.
#[test]
fn two_fixed_directions_of_a_bore_say_so() {
    for (shape, said) in [("bore", true), ("shaft", false)] {
        let mut thing = journal("1; top; X,Y");
        thing["shape"] = shape.into();
        thing["rows"].as_array_mut().unwrap().truncate(2);
        thing["rows"].as_array_mut().unwrap().remove(0);
        let found = judgement("in", vec![thing], "", &["journal 1: 2.2495 2.2493"]);
        assert_eq!(
            judged(&found, "journal", "out-of-round").notes.contains(&Note::FixedDirections),
            said,
            "{shape}"
        );
    }
}

/// B2: the gap grows by 0.00314 per 0.001 of bore.
#[test]
fn gaps_along_the_travel_tell_taper() {
    let gap = feature(
        "ring gap",
        "grows",
        "1; top,bottom; feeler",
        vec![row(6, "end gap", "0.0130/0.0180", "/0.0350", "/")],
    );
    let found = judgement("in", vec![gap], "", &["ring gap 1: 0.01714 0.0140"]);
    let note = judged(&found, "ring gap", "end gap").notes.iter().find_map(|note| {
        if let Note::Beside(Beside::GapTells { apart, taper }) = note {
            Some((*apart, taper.to_mm() / 25.4))
        } else {
            None
        }
    });
    let (apart, taper) = note.unwrap();
    assert_eq!(apart, inches("0.00314"));
    assert!((taper - 0.001).abs() < 1e-6, "{taper}");
}

/// B1: fewest terms is the measured bore with the shells in, less the journal; it is said beside the computed one, and
/// more than both uncertainties apart it is to be found out why.
#[test]
fn a_bore_with_its_shells_in_is_said_beside_the_computed() {
    let features = || {
        vec![
            size("housing", "bore", "front", "2.4000/2.4010", "/2.4020"),
            size("shell", "wall", "upper,lower", "0.0740/0.0745", "0.0735/"),
            size("bore in shells", "bore", "front", "2.2505/2.2530", "/2.2540"),
            size("journal", "shaft", "front", "2.2490/2.2500", "2.2480/"),
        ]
    };
    let pairs = || {
        vec![
            pair(
                "clearance",
                "clearance",
                ["housing", "shell", "journal"],
                ["0.0010/0.0040", "/0.0050"],
                false,
            ),
            pair(
                "clearance in shells",
                "clearance",
                ["bore in shells", "", "journal"],
                ["0.0005/0.0040", "/0.0050"],
                false,
            ),
        ]
    };
    let said = |bore: &str| {
        let lines = [
            "housing 1: 2.4005",
            "shell 1: 0.0742 0.0742",
            &format!("bore in shells 1: {bore}"),
            "journal 1: 2.2500",
        ];
        let (_, found) = as_received(engine("in", features(), pairs()), "in", "BORE", &lines);
        let judged = judged(&found, "clearance 1", "clearance");
        assert_eq!(judged.value, inches("0.0021"));
        let told = judged.notes.iter().find_map(|note| {
            if let Note::Beside(Beside::OtherStack { by, ends, apart, look_again }) = note {
                Some((by.clone(), *ends, *apart, *look_again))
            } else {
                None
            }
        });
        told.unwrap()
    };
    // U is 0.0002 a reading: of four together 0.0004, of two 0.00028, of the difference 0.00049.
    assert_eq!(
        said("2.2523"),
        ("clearance in shells 1".to_owned(), (inches("0.0023"), inches("0.0023")), false, None)
    );
    assert!(!said("2.25257").2 && said("2.25261").2);
    // E1: more than 0.0003 in apart is looked at again, though the gauges would allow it.
    assert_eq!((said("2.2524").3, said("2.25241").3), (None, Some(inches("0.0003"))));
}

/// A pin that is loose in its bush as it should be is held against no bore of the piston: they are two clearances.
#[test]
fn a_pin_in_two_bores_has_two_clearances() {
    let features = vec![
        size("bush", "bore", "front", "0.9125/0.9130", "/0.9140"),
        size("boss", "bore", "front", "0.9121/0.9123", "/0.9130"),
        size("pin", "shaft", "front", "0.9118/0.9120", "0.9115/"),
    ];
    let fit = |name, bore, new| pair(name, "clearance", [bore, "", "pin"], [new, "/0.0050"], false);
    let pairs =
        vec![fit("pin in bush", "bush", "0.0005/0.0012"), fit("pin in boss", "boss", "0.0001/0.0005")];
    let lines = ["bush 1: 0.9128", "boss 1: 0.9122", "pin 1: 0.9119"];
    let (_, found) = as_received(engine("in", features, pairs), "in", "BORE", &lines);
    for name in ["pin in bush 1", "pin in boss 1"] {
        let judged = judged(&found, name, "clearance");
        assert_eq!(judged.notes, [], "{name}");
    }
}

#[test]
fn weights_of_a_set_are_added_up() {
    let mut piston =
        feature("piston weight", "either", "1,2,3; scale; weight", vec![row(4, "spread", "/6", "/", "/")]);
    piston["unit"] = "g".into();
    let lines = ["piston weight 1: 612.5", "piston weight 2: 611.0", "piston weight 3: 613.0"];
    let found = judgement_in("g", vec![piston], &lines);
    let judged = judged(&found, "piston weight", "spread");
    assert!(
        judged.notes.iter().any(|note| note.words(Unit::Gram) == "all of them together 1836.5 g"),
        "{:?}",
        judged.notes
    );
}

/// Readings in a unit other than the sheet's.
fn judgement_in(unit: &str, features: Vec<Value>, lines: &[&str]) -> Judgement {
    as_received(engine("in", features, vec![]), unit, "", lines).1
}
