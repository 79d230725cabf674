//! Whatever is measured, a drawing holds numbers alone and nothing lies outside it.

use crate::plain::{engine, feature, read, row, the_sheet};
use crate::support::{confirmed, look};
use crate::svg::svgs;
use benchdrop::pages::job_page;
use proptest::prelude::*;
use serde_json::{Value, json};

/// Sizes as people type them: equal, near, far out, absent.
fn size() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => Just("2.0000".to_owned()),
        3 => (0_u32..40).prop_map(|off| format!("2.{off:04}")),
        1 => Just("-".to_owned()),
        1 => Just("50.8000".to_owned()),
        1 => Just("0.000001".to_owned()),
    ]
}

fn round(shape: &str, stations: usize, directions: usize, limits: (&str, &str)) -> Value {
    let names = |letter: &str, count: usize| {
        (0..count).map(|at| format!("{letter}{at}")).collect::<Vec<_>>().join(",")
    };
    let mut rows = vec![row(1, "size", limits.0, limits.1, "/")];
    if stations > 1 {
        rows.push(row(2, "taper", "/0.0005", "/", "/"));
    }
    if (2..4).contains(&directions) {
        rows.push(row(3, "out-of-round", "/0.0005", "/", "/"));
    }
    feature("round", shape, &format!("1,2; {}; {}", names("s", stations), names("d", directions)), rows)
}

fn face(points: &[(u32, u32)]) -> Value {
    let stations: Vec<String> = (0..points.len()).map(|at| format!("p{at}")).collect();
    let places = format!("1; {}; height", stations.join(","));
    let mut face = feature("face", "either", &places, vec![row(4, "flatness", "/0.0020", "/", "/")]);
    face["points"] =
        points.iter().map(|(x, y)| json!({"along": x.to_string(), "across": y.to_string()})).collect();
    face
}

fn stays_inside(drops: &[Value]) -> Result<usize, TestCaseError> {
    let page = job_page(&look(drops));
    let drawings = svgs(&page);
    for drawing in &drawings {
        for (along, at) in drawing.reach() {
            let most = if along { drawing.width } else { drawing.height };
            prop_assert!(
                at.is_finite() && (-0.05..=most + 0.05).contains(&at),
                "{at} of {most}: {}",
                drawing.words
            );
        }
    }
    prop_assert!(!page.contains("NaN") && !page.contains("inf\""), "numbers alone");
    Ok(drawings.len())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn nothing_lies_outside_a_drawing_of_a_bore_or_journal(
        values in proptest::collection::vec(size(), 32),
        stations in 1_usize..5, directions in 1_usize..5, is_bore in any::<bool>(), limits in 0_usize..2, is_sure in any::<bool>(),
    ) {
        let service = if is_bore { "/2.0050" } else { "1.9980/" };
        let limits = [("2.0000/2.0010", "/"), ("2.0000/2.0010", service)][limits];
        let shape = if is_bore { "bore" } else { "shaft" };
        let mut drops = engine("in", vec![round(shape, stations, directions, limits)], vec![]);
        let (one, two) = values.split_at(16);
        let lines = [format!("round 1: {}", one.join(" ")), format!("round 2: {}", two.join(" "))];
        let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
        let set = read(&the_sheet(&drops), 20, "as received", "in", "BORE", &lines);
        // A paper without one reading is refused at the door: nothing of it comes to be drawn.
        prop_assume!(set["body"]["readings"] != json!([]));
        if is_sure {
            drops.push(confirmed(30, &set, "round"));
        }
        drops.push(set);
        stays_inside(&drops)?;
    }

    #[test]
    fn nothing_lies_outside_a_map_of_a_face(
        heights in proptest::collection::vec(-2000_i32..2000, 16), scale in 0_usize..3,
    ) {
        let points: Vec<(u32, u32)> = (0..16).map(|at| (at % 4 * 3, at / 4 * 2)).collect();
        let mut drops = engine("in", vec![face(&points)], vec![]);
        let most = [1, 20, 2001][scale];
        let digits = |height: &i32| { let h = height % most; format!("{}0.{:04}", if h < 0 { "-" } else { "" }, h.abs()) };
        let line = format!("face 1: {}", heights.iter().map(digits).collect::<Vec<_>>().join(" "));
        let set = read(&the_sheet(&drops), 20, "as received", "in", "DIAL", &[&line]);
        drops.push(set);
        let drawn = stays_inside(&drops)?;
        prop_assert!(drawn > 0, "a map is drawn");
    }
}

/// The map has its worst place ringed, and each number stands there with its sign.
#[test]
fn a_face_is_a_map_of_its_heights() {
    let points: Vec<(u32, u32)> = (0..9).map(|at| (at % 3 * 4, at / 3 * 3)).collect();
    let mut drops = engine("in", vec![face(&points)], vec![]);
    let line = "face 1: 0.0000 0.0000 0.0000 0.0000 0.0030 0.0000 0.0000 0.0000 0.0000";
    let set = read(&the_sheet(&drops), 20, "as received", "in", "DIAL", &[line]);
    drops.push(set);
    let view = look(&drops);
    let (page, job) = (job_page(&view), benchdrop::pages::job_json(&view));
    let maps: Vec<_> = svgs(&page).into_iter().filter(|svg| svg.words.starts_with("face")).collect();
    let verdict =
        job["verdicts"].as_array().unwrap().iter().find(|v| v["characteristic"] == "flatness").unwrap();
    assert_eq!(maps.len(), 1);
    for place in verdict["places"].as_array().unwrap() {
        let value = place["value"].as_str().unwrap();
        let sign = if value.starts_with('-') { "" } else { "+" };
        let words = format!("{} {sign}{value}", place["place"].as_str().unwrap());
        assert!(maps[0].words.contains(&words), "{words:?} is missing from {}", maps[0].words);
        assert!(page.contains(&format!(">{sign}{value}</text>")), "{value}");
    }
    // Nine places and one ring.
    assert_eq!(maps[0].marks().len(), 10);
}
