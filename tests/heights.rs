//! Flatness and straightness from heights at places, as verdicts.
//!
//! Widths are those of `tests/checks/geometry.rs` (computed there with numpy and scipy) or worked by hand from the trade
//! notes' section B2; what is said of perfect and of just conforming surfaces is counted over simulated sets.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/chance.rs"]
mod chance;
#[path = "support/plain.rs"]
mod plain;
mod support;

use benchdrop::facts::{Refusal, decode};
use benchdrop::judgement::{Band, Judged, Note, Proof};
use benchdrop::metrology::form::flatness::{Point, flatness, least_flat};
use benchdrop::metrology::proof::{Certainty, decide, zone_conforms, zone_floor};
use benchdrop::metrology::{Exact, Length, Unit};
use chance::Chance;
use plain::*;
use serde_json::{Value, json};
use support::standing;

/// The deck of check P5.1d, millimetres: 5 stations along, 3 across.
const DECK: [(i32, [i32; 5]); 3] =
    [(0, [0, 12, 21, 18, 9]), (80, [-6, 10, 28, 22, 4]), (160, [-11, 3, 16, 13, -2])];

fn thousandth(value: i32) -> String {
    let sign = if value < 0 { "-" } else { "" };
    format!("{sign}0.{:03}", value.abs())
}

/// A feature whose stations lie at these points, `along across`, with one row.
fn surface(name: &str, points: &[String], directions: &str, row: Value) -> Value {
    let stations: Vec<String> = (1..=points.len()).map(|number| format!("p{number}")).collect();
    let mut feature = feature(name, "either", &format!("1; {}; {directions}", stations.join(",")), vec![row]);
    let written = points.iter().map(|point| match point.split_once(' ') {
        Some((along, across)) => json!({"along": along, "across": across}),
        None => json!({"along": point}),
    });
    feature["points"] = written.collect();
    feature
}

fn deck(max: &str) -> (Value, String) {
    let points: Vec<String> =
        DECK.iter().flat_map(|(y, _)| (0..5).map(move |x| format!("{} {y}", x * 110))).collect();
    let heights: Vec<String> = DECK.iter().flat_map(|(_, zs)| zs.map(thousandth)).collect();
    let row = row(57, "flatness", &format!("/{max}"), "/", "/");
    (surface("deck", &points, "height", row), format!("deck 1: {}", heights.join(" ")))
}

fn judged(unit: &str, feature: Value, gauge: &str, line: &str) -> Judged {
    let name = feature["feature"].as_str().unwrap().to_owned();
    let what = word(feature["rows"][0]["characteristic"].as_str().unwrap());
    let (_, judgement) = as_received(engine(unit, vec![feature], vec![]), unit, gauge, &[line]);
    assert!(judgement.questions.is_empty(), "{:?}", judgement.questions);
    let verdict = standing(&judgement, &name, what);
    assert!(!verdict.is_incomplete());
    verdict.judged.clone().unwrap()
}

fn words(judged: &Judged, unit: Unit) -> Vec<String> {
    judged.notes.iter().map(|note| note.words(unit)).collect()
}

/// P5.1d: minimum zone 0.02925, least squares 0.0315; exactly on a limit is inside by number and not proven.
#[test]
fn a_grid_is_judged_by_its_minimum_zone_with_least_squares_beside() {
    for (max, band) in [
        ("0.02925", Band::New),
        ("0.02924", Band::Beyond(benchdrop::sheets::Side::Above)),
        ("0.04", Band::New),
    ] {
        let (feature, line) = deck(max);
        let judged = judged("mm", feature, "", &line);
        assert_eq!(judged.value.show(Unit::Millimetre), "0.02925", "{max}");
        assert_eq!(judged.band, band, "{max}");
        assert_eq!(judged.notes.contains(&Note::OnLimit), max == "0.02925", "{max}");
        let said = words(&judged, Unit::Millimetre);
        // 0.02925 to four decimals is a tie in decimal and a little more or less as a double.
        assert!(
            said.iter().any(|w| w.starts_with("minimum zone 0.029") && w.ends_with("least squares 0.0315")),
            "{said:?}"
        );
        assert_eq!(judged.places.len(), 15);
        assert!(!judged.notes.contains(&Note::TooFineForFeeler));
    }
}

/// U of the dial is 0.001 mm in these rules, all of it its own: one height errs by 0.0005, a zone by no more than root
/// two of that. What lifts every height alike is no error of form.
#[test]
fn what_all_heights_share_cancels() {
    let (feature, line) = deck("0.04");
    let plain = judged("mm", feature.clone(), "DIAL", &line);
    assert_eq!(plain.proof, Proof::Proven);
    assert!((plain.u.unwrap() - 0.0005 * 2.0_f64.sqrt()).abs() < 1e-12, "{:?}", plain.u);
    let lifted: Vec<String> = DECK.iter().flat_map(|(_, zs)| zs.map(|z| thousandth(z + 500))).collect();
    let lifted = judged("mm", feature, "DIAL", &format!("deck 1: {}", lifted.join(" ")));
    assert_eq!((lifted.value, lifted.probability), (plain.value, plain.probability));
}

/// A row of five bores, 100 apart, the middle one 0.02 low on the vertical: by hand 0.02 out of line, since the others
/// lie on one line. Across, all lie on one slope.
#[test]
fn a_line_of_bores_is_a_line_for_each_direction() {
    let points: Vec<String> = (0..5).map(|n| (100 * n).to_string()).collect();
    let row = row(18, "alignment", "/0.013", "/0.025", "/");
    let feature = surface("main line", &points, "vertical,across", row);
    let line = "main line 1: 0.000 0.000 0.000 0.010 -0.020 0.020 0.000 0.030 0.000 0.040";
    let judged = judged("mm", feature, "DIAL", line);
    assert_eq!(judged.value.show(Unit::Millimetre), "0.020");
    assert_eq!(judged.band, Band::Serviceable);
    let said = words(&judged, Unit::Millimetre);
    assert!(
        said.iter().any(|w| w.starts_with("vertical: minimum zone 0.0200, least squares 0.0200")),
        "{said:?}"
    );
}

/// B2: a uniform bow of 0.006 in over 18 in is only 0.0007 in 6 in, a step does not shrink so.
#[test]
fn per_length_is_the_worst_window_and_never_a_share() {
    let points: Vec<String> = (0..=18).map(|n| n.to_string()).collect();
    let feature = |max: &str| {
        let mut row = row(57, "flatness per length", &format!("/{max}"), "/", "/");
        row["any"] = "6".into();
        surface("deck", &points, "height", row)
    };
    // 0.006 (1 - ((x - 9) / 9)^2) to a millionth.
    let bow: Vec<String> = (0..=18)
        .map(|x: i32| format!("0.{:06}", (6_000.0 * (1.0 - (f64::from(x - 9) / 9.0).powi(2))).round()))
        .collect();
    let bowed = judged("in", feature("0.003"), "", &format!("deck 1: {}", bow.join(" ")));
    assert!((bowed.value.to_mm() / 25.4 - 0.006 / 9.0).abs() < 2e-6, "{:?}", bowed.value);
    assert_eq!(bowed.band, Band::New);
    let said = words(&bowed, Unit::Inch);
    assert!(
        said.iter().any(|w| w.contains("in the worst 6.0000 in; least squares of the whole 0.006")),
        "{said:?}"
    );
    let step: Vec<&str> = (0..=18).map(|x| if x < 9 { "0" } else { "0.003" }).collect();
    let stepped = judged("in", feature("0.002"), "", &format!("deck 1: {}", step.join(" ")));
    // By hand: one station below the step and five above leave 0.003 less the slope of 0.0005 in 1.
    assert_eq!(stepped.value.show(Unit::Inch), "0.0025");
    assert!(matches!(stepped.band, Band::Beyond(_)));
}

fn mm(value: f64) -> Exact {
    Length::parse(&format!("{value:.5}"), Unit::Millimetre).unwrap().exact()
}

fn grid(chance: &mut Chance, along: u32, across: u32) -> Vec<Point> {
    let mut points = Vec::new();
    for x in 0..along {
        for y in 0..across {
            let z = f64::from(u32::try_from(chance.between(0, 4_000)).unwrap()) * 1e-5;
            points.push(Point { x: mm(f64::from(x) * 30.0), y: mm(f64::from(y) * 25.0), z: mm(z) });
        }
    }
    points
}

/// The slow way: every window that begins at a point's place along and another's across, each fitted.
#[test]
fn the_least_flat_patch_is_that_of_a_search_through_all() {
    let mut chance = Chance(20_261_126);
    for _ in 0..10 {
        let points = grid(&mut chance, 6, 4);
        for length in [30.0, 55.0, 75.0, 200.0] {
            let found = least_flat(&points, mm(length)).unwrap().unwrap();
            let mut worst = 0.0_f64;
            for left in &points {
                for low in &points {
                    let inside = |p: &&Point| {
                        let (x, y) = (p.x.to_mm() - left.x.to_mm(), p.y.to_mm() - low.y.to_mm());
                        (0.0..=length).contains(&x) && (0.0..=length).contains(&y)
                    };
                    let patch: Vec<Point> = points.iter().filter(inside).copied().collect();
                    worst = worst.max(flatness(&patch).map_or(0.0, |form| form.minimum.width()));
                }
            }
            assert!((found.width - worst).abs() < 1e-12, "{length}: {found:?}, not {worst}");
        }
    }
}

/// About normal: twelve dice, each of a fine grid, have deviation one.
fn noise(chance: &mut Chance) -> f64 {
    (0..12).map(|_| chance.between(0, 1_000_001) as f64 / 1e6).sum::<f64>() - 6.0
}

/// Height by place.
type Shape<'a> = &'a dyn Fn(f64, f64) -> f64;

/// Surfaces that are just as flat as the limit (perfect ones, bowls, one high corner) are called neither inside nor
/// beyond, proven, in more than 5 of 100 sets, however coarse the gauge.
#[test]
fn a_surface_at_its_limit_is_seldom_called_either() {
    const SETS: usize = 300;
    let (sigma, u) = (0.002, 0.002 * 2.0_f64.sqrt());
    let bowl = |x: f64, y: f64| x * x + y * y;
    let corner = |x: f64, y: f64| if x + y > 1.9 { 1.0 } else { 0.0 };
    let flat = |_: f64, _: f64| 0.0;
    let shapes: [(&str, Shape<'_>); 3] = [("flat", &flat), ("bowl", &bowl), ("corner", &corner)];
    let mut chance = Chance(7);
    for (name, shape) in shapes {
        for size in [0.5, 2.0, 10.0] {
            let place = |n: u32, of: u32| f64::from(n) / f64::from(of - 1) * 2.0 - 1.0;
            let made = |chance: &mut Chance, sigma: f64| -> Vec<Point> {
                let all = (0..6).flat_map(|x| (0..4).map(move |y| (place(x, 6), place(y, 4))));
                all.map(|(x, y)| Point {
                    x: mm(100.0 * x),
                    y: mm(60.0 * y),
                    z: mm(size * sigma.max(0.002) * shape(x, y) + sigma * noise(chance)),
                })
                .collect()
            };
            let truth = flatness(&made(&mut chance, 0.0)).unwrap().minimum.width();
            let (mut inside, mut beyond, mut over_floor) = (0, 0, 0);
            for _ in 0..SETS {
                let points = made(&mut chance, sigma);
                let width = flatness(&points).unwrap().minimum.width();
                match decide(zone_conforms(width, truth, u, points.len()), 0.95) {
                    Certainty::Inside => inside += 1,
                    Certainty::Beyond => beyond += 1,
                    Certainty::Neither => {}
                }
                over_floor += usize::from(width > zone_floor(points.len()) * u);
            }
            assert!(
                inside * 20 <= SETS && beyond * 20 <= SETS,
                "{name} {size}: {inside} and {beyond} of {SETS}"
            );
            assert!(name != "flat" || over_floor * 20 <= SETS, "{over_floor} over the floor");
        }
    }
}

/// What the sheet says of where heights are read is checked before anybody reads them.
#[test]
fn points_that_fix_nothing_are_refused() {
    let faults = |feature: Value| match decode(
        &serde_json::to_vec(&sheet("mm", vec![feature], vec![])).unwrap(),
        "main",
    ) {
        Err(Refusal::Faults(faults)) => format!("{faults:?}"),
        Ok(_) => String::new(),
        Err(other) => panic!("{other:?}"),
    };
    let made = |points: &[&str]| {
        let points: Vec<String> = points.iter().map(|point| (*point).to_owned()).collect();
        surface("deck", &points, "height", row(57, "flatness", "/0.05", "/", "/"))
    };
    assert_eq!(faults(made(&["0 0", "100 0", "0 80", "100 80"])), "");
    assert!(faults(made(&["0 0", "100 0", "0 80"])).contains("measure at 4 or more"));
    assert!(faults(made(&["0 0", "1 1", "2 2", "3 3"])).contains("in one line"));
    assert!(faults(made(&["0 0", "100 0", "0 80", "100"])).contains("across at every point or at none"));
    assert!(faults(made(&["0", "100", "100"])).contains("where an earlier one does"));
    let mut short = made(&["0 0", "100 0", "0 80", "100 80"]);
    short["points"].as_array_mut().unwrap().pop();
    assert!(faults(short).contains("one for each of the 4 stations"));
    let mut per = made(&["0", "100", "200"]);
    per["rows"][0]["characteristic"] = "flatness per length".into();
    assert!(faults(per.clone()).contains("a length above zero"));
    // No 150 mm hold three of the points, so nothing could ever be said of any of them.
    per["rows"][0]["any"] = "150".into();
    assert!(faults(per.clone()).contains("a length in which points of the feature fix a plane"));
    per["rows"][0]["any"] = "200".into();
    assert_eq!(faults(per.clone()), "");
    per.as_object_mut().unwrap().remove("points");
    assert!(faults(per).contains("a feature with points"));
}
