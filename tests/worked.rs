//! Values worked out from several readings of one position, as verdicts.
//!
//! Expected values are worked by hand from the trade notes' formulas (B1 to B3, E8, E11, E12); uncertainties are found a
//! second, slow way: each reading is moved a little and the whole engine judged again, and what comes out is squared.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/plain.rs"]
mod plain;
mod support;
#[path = "support/worked.rs"]
mod worked;

use benchdrop::metrology::{Length, Unit};
use plain::*;
use serde_json::json;
use worked::*;

/// Valve, what is read, the angles, and what comes of them: duration, centreline, and against what is intended the advance.
type Lobe =
    (&'static str, &'static str, &'static str, &'static str, &'static str, (&'static str, &'static str));
const LOBES: [Lobe; 6] = [
    (
        "intake",
        "opening and closing",
        "5 37",
        "222.0 deg; new",
        "106.0 deg; new",
        ("108", "2.0 deg; service"),
    ),
    (
        "exhaust",
        "opening and closing",
        "45 1",
        "226.0 deg; beyond; too long",
        "112.0 deg; new",
        ("110", "2.0 deg; service"),
    ),
    (
        "exhaust",
        "opening and closing",
        "40 2",
        "222.0 deg; new",
        "109.0 deg; new",
        ("112", "-3.0 deg; beyond; retarded"),
    ),
    (
        "intake",
        "opening and closing",
        "2 64",
        "246.0 deg; beyond; too long",
        "121.0 deg; beyond; too far from top dead centre",
        ("121", "0.0 deg; new"),
    ),
    (
        "exhaust",
        "equal lifts",
        "60 136",
        "",
        "98.0 deg; beyond; too near top dead centre",
        ("98.5", "-0.5 deg; new"),
    ),
    ("intake", "equal lifts", "75 137", "", "106.0 deg; new", ("109.5", "3.5 deg; beyond; advanced")),
];

/// E12. Opens 5 before top and closes 37 after bottom: 5 + 180 + 37 = 222, its middle (180 + 37 - 5) / 2 = 106 after top, two
/// degrees before an intended 108. An exhaust that opens 45 before bottom and closes 1 after top: 226 and 112 before top, two
/// before an intended 110. Equal lifts at 75 and 137 after top: 106.
#[test]
fn events_of_a_lobe_give_duration_centreline_and_advance() {
    let advance = |intended: &str| {
        let mut row = row(3, "advance", "-1/1", "-2/2", "/");
        row["nominal"] = intended.into();
        row
    };
    let lobe = |valve: &str, read: &str, intended: &str, duration: bool| {
        let mut rows = vec![row(2, "centreline", "100/115", "/", "/"), advance(intended)];
        if duration {
            rows.insert(0, row(1, "duration", "220/224", "/", "/"));
        }
        let lobe = feature("lobe", "either", "1; wheel; one,other", rows);
        with(lobe, json!({"unit": "deg", "timing": {"valve": valve, "read": read}}))
    };
    for (valve, read, angles, duration, centreline, (intended, advance)) in LOBES {
        let lobe = lobe(valve, read, intended, !duration.is_empty());
        let read = [("deg", "WHEEL", lines(&[&format!("lobe 1: {angles}")]))];
        let of = |what| verdict_of("in", std::slice::from_ref(&lobe), &read, ("lobe", what));
        if !duration.is_empty() {
            assert_eq!(says(&of("duration")), duration, "{valve}");
            // U of the wheel is 1 degree: 0.5, of which 0.4 is its zero and 0.3 is left. The zero cancels.
            near(judged_of(&of("duration")).u, 0.3 * 2_f64.sqrt(), "duration");
        }
        assert_eq!(says(&of("centreline")), centreline, "{valve} {angles}");
        assert_eq!(says(&of("advance")), advance, "{valve} {angles}");
        // Here all of the zero is left.
        for what in ["centreline", "advance"] {
            near(judged_of(&of(what)).u, (0.3_f64.powi(2) / 2.0 + 0.4_f64.powi(2)).sqrt(), what);
        }
    }
}

/// E12: stop at 21.5 after and 20.5 before: the wheel stands half a degree late, and its own zero is no error of that.
#[test]
fn a_positive_stop_finds_top_dead_centre() {
    let stop = feature(
        "stop",
        "either",
        "1; wheel; after,before",
        vec![row(1, "top dead centre", "-0.5/0.5", "/", "/")],
    );
    let stop = with(stop, json!({"unit": "deg"}));
    for (angles, says_so) in [
        ("21.5 -20.5", "0.5 deg; new"),
        ("22 -20", "1.0 deg; beyond; wheel set late"),
        ("19 -21.5", "-1.25 deg; beyond; wheel set early"),
    ] {
        let read = [("deg", "WHEEL", lines(&[&format!("stop 1: {angles}")]))];
        let found = verdict_of("in", std::slice::from_ref(&stop), &read, ("stop", "top dead centre"));
        assert_eq!(says(&found), says_so);
        near(judged_of(&found).u, 0.3 / 2_f64.sqrt(), "stop");
    }
}

/// E12: lift over a turn is the largest less the smallest, the base circle runs out by the spread over the heel.
#[test]
fn a_dial_over_a_turn_gives_lift_and_base_circle() {
    let rows = vec![
        row(34, "lift", "0.298/0.302", "0.293/", "/"),
        row(35, "base-circle run-out", "/0.0005", "/0.0010", "/"),
    ];
    let lobe = feature("lobe", "shrinks", "1; 0,60,120,150,180,210,240,300; dial", rows);
    let lobe = with(lobe, json!({"heel": ["120", "150", "180", "210", "240"]}));
    for (turn, lift, base) in [
        ("0.3002 0.1500 0.0003 0.0000 0.0006 0.0004 0.0002 0.1500", "0.3002 in; new", "0.0006 in; service"),
        (
            "0.2930 0.1500 0.0003 0.0000 0.0011 0.0004 0.0002 0.1500",
            "0.2930 in; service",
            "0.0011 in; beyond; runs out on its base circle",
        ),
        (
            "-0.0100 -0.2000 -0.3029 -0.3029 -0.3029 -0.3029 -0.3029 -0.2",
            "0.2929 in; beyond; worn low",
            "0.0000 in; new",
        ),
    ] {
        let read = [("in", "DIAL", lines(&[&format!("lobe 1: {turn}")]))];
        let of = |what| verdict_of("in", std::slice::from_ref(&lobe), &read, ("lobe", what));
        assert_eq!(says(&of("lift")), lift);
        assert_eq!(says(&of("base-circle run-out")), base);
        near(of("lift").judged.unwrap().u, 25.4 * 0.0005 * 2_f64.sqrt(), "lift");
    }
}

/// A guide that is wider at an end is bell-mouthed there; one that is tighter at the ends is not.
#[test]
fn a_guide_is_bell_mouthed_at_its_ends_only() {
    let guide = feature(
        "guide",
        "bore",
        "1; top,middle,bottom; along,across",
        vec![
            row(1, "size", "0.3438/0.3443", "/0.3458", "/"),
            row(2, "bell-mouth", "/0.0005", "/0.0010", "/"),
        ],
    );
    for (read, expected) in [
        ("0.3440 0.3441 0.3440 0.3440 0.3444 0.3450", "0.0010 in; service"),
        ("0.3440 0.3441 0.3440 0.3440 0.3444 0.3451", "0.0011 in; beyond; bell-mouthed"),
        ("0.3440 0.3440 0.3442 0.3441 0.3440 0.3440", "0.0000 in; new"),
    ] {
        let read = [("in", "", lines(&[&format!("guide 1: {read}")]))];
        assert_eq!(
            says(&verdict_of("in", std::slice::from_ref(&guide), &read, ("guide", "bell-mouth"))),
            expected
        );
    }
}

/// A sheet that asks for what cannot be worked out is told what it lacks.
#[test]
fn a_sheet_says_what_a_worked_out_row_needs() {
    let all = [
        "ratio",
        "rate",
        "base-circle run-out",
        "duration",
        "centreline",
        "advance",
        "top dead centre",
        "unevenness",
        "bell-mouth",
        "spread percent",
        "lowest of highest",
        "step to the next",
        "run-out of neighbours",
    ];
    for what in all {
        let thing = feature("thing", "either", "1; one; read", vec![row(1, what, "/5", "/", "/")]);
        let sheet = sheet("in", vec![thing], vec![]);
        let written = serde_json::from_value(sheet["body"].clone()).unwrap();
        let faults = benchdrop::sheets::Sheet::read(&written).unwrap_err();
        assert!(
            faults.iter().any(|fault| fault.found == what && fault.expected.starts_with("a feature ")),
            "{what}: {faults:?}"
        );
    }
    assert_eq!(Length::parse("5", Unit::Percent).unwrap().exact().show(Unit::Percent), "5.0");
}

/// Places that read alike are still two readings: u of their difference is root two of one (0.0001 each), and where one of
/// those that tie was read by a coarser gauge (0.0005) it is that one's. Whatever was looked at to find the largest and the
/// smallest is what the verdict rests on, so that a bad gauge in the middle is not overlooked.
#[test]
fn equal_places_are_two_readings_and_all_that_was_looked_at_counts() {
    let mm = |inch: f64| inch * 25.4;
    let rows =
        vec![row(1, "taper", "/0.0005", "/0.0040", "/"), row(2, "unevenness", "/0.0005", "/0.0040", "/")];
    let bore = feature("bore", "bore", "1; top,middle,bottom; X", rows);
    let by_one = [("in", "BORE", lines(&["bore 1: 3.6110 3.6110 3.6110"]))];
    let by_two =
        [("in", "BORE", lines(&["bore 1: 3.6110 - 3.6110"])), ("in", "DIAL", lines(&["bore 1: - 3.6110 -"]))];
    let ends_by_one =
        [("in", "BORE", lines(&["bore 1: 3.6112 - 3.6110"])), ("in", "DIAL", lines(&["bore 1: - 3.6111 -"]))];
    let cases: [(&[Read<'_>], f64, &[&str]); 3] = [
        (&by_one, 0.0001_f64.hypot(0.0001), &["BORE"]),
        (&by_two, 0.0001_f64.hypot(0.0005), &["BORE", "DIAL"]),
        (&ends_by_one, 0.0001_f64.hypot(0.0001), &["BORE", "DIAL"]),
    ];
    for (read, u, gauges) in cases {
        for what in ["taper", "unevenness"] {
            let verdict = verdict_of("in", std::slice::from_ref(&bore), read, ("bore", what));
            let judged = judged_of(&verdict);
            near(judged.u, mm(u), what);
            assert_eq!(judged.rests.len(), 2, "{what}");
            let [one, other] = [&judged.rests[0].1.reading, &judged.rests[1].1.reading];
            assert_ne!(one, other, "{what}: one reading twice");
            assert_eq!(
                (judged.readings.len(), judged.gauges.iter().map(String::as_str).collect::<Vec<_>>()),
                (3, gauges.to_vec()),
                "{what}"
            );
        }
    }
}

/// Of equal smallest readings by two gauges the printed U is of one of them, the less sure.
#[test]
fn of_gauges_that_tie_the_less_sure_is_printed() {
    let journal = feature(
        "journal",
        "shaft",
        "1; front,rear; X",
        vec![row(1, "size", "2.2490/2.2500", "2.2400/", "/")],
    );
    for order in [["BORE", "DIAL"], ["DIAL", "BORE"]] {
        let read = [
            ("in", order[0], lines(&["journal 1: 2.2495 -"])),
            ("in", order[1], lines(&["journal 1: - 2.2495"])),
        ];
        let verdict = verdict_of("in", std::slice::from_ref(&journal), &read, ("journal", "size"));
        near(judged_of(&verdict).u, 0.0005 * 25.4, "size");
        assert_eq!(judged_of(&verdict).rests[0].1.gauge.mark, "DIAL");
    }
}

/// Without a largest a compression or a margin may be anything above its smallest; a slip past that is still asked about.
#[test]
fn what_has_only_a_smallest_may_be_larger() {
    let cases = [
        ("pressure", "psi", "140/", &["138", "150", "185", "230", "560"][..], &["1500", "15"][..]),
        ("margin", "in", "0.055/", &["0.050", "0.058", "0.070", "0.110"], &["0.60", "1.5", "0.006"]),
    ];
    for (characteristic, unit, limits, honest, slips) in cases {
        let asked = |value: &str| {
            let thing = with(
                feature("thing", "shrinks", "1; a; read", vec![row(1, characteristic, limits, "/", "/")]),
                json!({"unit": unit}),
            );
            let (_, judgement) =
                as_received(engine("in", vec![thing], vec![]), unit, "", &[&format!("thing 1: {value}")]);
            !judgement.questions.is_empty()
        };
        for value in honest {
            assert!(!asked(value), "{characteristic} {value}");
        }
        for value in slips {
            assert!(asked(value), "{characteristic} {value}");
        }
    }
}
