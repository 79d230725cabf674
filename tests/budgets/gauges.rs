//! What is known of a gauge is used whole: by the questions, for one person however the name is typed, and from one unit
//! to another.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use super::plain::{engine, feature, read, row, the_sheet};
use super::support::{folded, journal, measured, reading, shop_drop, shop_with_engine, standing};
use super::{budget, by, line, near, study, with};
use benchdrop::judgement::QuestionWhy;
use benchdrop::sheets::Characteristic;
use serde_json::{Value, json};

/// LM and AK read ten pins twice and differ by two tenths: 0.000056 of each reading's own, 0.00014 between them.
fn two_people() -> Vec<Value> {
    vec![study(100, "LM", "MIC", 0), by(study(101, "AK", "MIC", 2), "AK")]
}

fn whys(drops: &[Value]) -> Vec<QuestionWhy> {
    let (_, _, judgement) = folded(drops);
    judgement.questions.into_iter().map(|question| question.why).collect()
}

fn all_at(minute: u32, value: &str) -> Value {
    let places = [("front", "X"), ("front", "Y"), ("rear", "X"), ("rear", "Y")];
    let readings = places.map(|(station, direction)| reading("journal", "1", station, direction, value));
    measured(minute, "as received", "MIC", readings.to_vec())
}

/// 0.0003 past new: more than the 0.00025 of the house, less than 2 root(0.000056^2 + 0.000075^2 + 0.00014^2) = 0.00034.
#[test]
fn past_new_allows_what_people_differ_by() {
    let house = whys(&with(&[all_at(300, "2.2493")]));
    assert_eq!(house.len(), 4, "{house:?}");
    assert!(house.iter().all(|why| matches!(why, QuestionWhy::PastNew { larger: true, .. })), "{house:?}");
    let studied = |value: &str| whys(&[with(&[all_at(300, value)]), two_people()].concat());
    assert_eq!(studied("2.2493"), []);
    assert_eq!(studied("2.2494").len(), 4);
}

/// Two repeats by LM differ by more than 2.77 x 0.000056 = 0.000155; one by LM and one by AK by more than 2.77 x
/// root(0.000056^2 + 0.00014^2) = 0.00042.
#[test]
fn repeats_of_two_people_may_differ_by_what_people_differ_by() {
    let asked = |second: &str, who: &str| {
        let again = by(all_at(301, second), who);
        whys(&[with(&[all_at(300, "2.2486"), again]), two_people()].concat()).len()
    };
    assert_eq!([asked("2.2487", "LM"), asked("2.2488", "LM")], [0, 8]);
    assert_eq!([asked("2.2490", "AK"), asked("2.2491", "AK")], [0, 8]);
    // One person, however the name is typed.
    assert_eq!([asked("2.2487", "lm"), asked("2.2488", "lm")], [0, 8]);
}

/// What LM is off by is in X and Y alike.
#[test]
fn a_name_typed_otherwise_is_the_same_pair_of_hands() {
    let of = |direction: &str, value: &str| {
        ["front", "rear"].map(|station| reading("journal", "1", station, direction, value)).to_vec()
    };
    let round = |who: &str| {
        let x = measured(300, "as received", "MIC", of("X", "2.2486"));
        let y = by(measured(301, "as received", "MIC", of("Y", "2.2485")), who);
        let (_, job, judgement) = folded(&[with(&[x, y]), two_people()].concat());
        budget(&job, &judgement, "journal", "out-of-round").1
    };
    let own = 0.000_05 * 2.5_f64.sqrt();
    near(round("LM").u, own);
    near(round("lm").u, own);
    // AK's own draw and LM's: twice the variance between people, 2 x 0.0001^2 less what 20 readings leave open.
    let between = 2.0 * 0.0001_f64.powi(2) - 0.000_05_f64.powi(2) / 29.0;
    near(round("AK").u, (own.powi(2) + 2.0 * between).sqrt());
    assert!(line(&round("lm"), "repeat of MIC in the hands of LM").is_some());
}

/// The house knows a tester by 2 lbf; a study in newtons takes the place of its repeat: ten springs twice, half of them
/// apart by 1 N, are 0.5 N of ten degrees of freedom, and 1 lbf is 4.4482216 N.
#[test]
fn a_study_in_newtons_is_used_for_a_figure_in_pounds() {
    let spring = |unit: &str| {
        let mut spring = feature(
            "spring load",
            "shrinks",
            "1; installed; read",
            vec![row(52, "load", "82/90", "74/", "/")],
        );
        spring["unit"] = unit.into();
        spring
    };
    let load = |spring: i32, more: i32| json!({"feature": "spring", "position": spring, "value": format!("{}", 300 + 5 * spring + more)});
    let loads: Vec<Value> = (1..=10).flat_map(|n| [load(n, 0), load(n, n % 2)]).collect();
    let studied = json!({"study": "ten springs", "condition": "cleaned", "gauge": "TESTER", "unit": "N", "readings": loads});
    let u = |more: &[Value]| {
        let mut drops = engine("in", vec![spring("lbf")], vec![]);
        let loads = read(&the_sheet(&drops), 20, "as received", "lbf", "TESTER", &["spring load 1: 86"]);
        drops.push(loads);
        drops.extend(more.iter().cloned());
        let (_, _, judgement) = folded(&drops);
        standing(&judgement, "spring load", Characteristic::Load).judged.as_ref().unwrap().u.unwrap()
    };
    assert!((u(&[]) - 1.0).abs() < 1e-9);
    let in_pounds = 0.5 * 1.25_f64.sqrt() / 4.448_221_6;
    let found = u(&[shop_drop("measurements", 5, studied)]);
    assert!((found - in_pounds).abs() < 1e-6, "{found} against {in_pounds}");
}

/// The code that the program of rule set 1 (certificates and studies did not count) printed beside this reading: who
/// quoted it then is believed now.
#[test]
fn a_reading_confirmed_by_the_figure_of_the_house_alone_stays_confirmed() {
    let mut drops = shop_with_engine();
    let slip = journal("main journal", "4", ["2.4288", "2.2488", "2.2488", "2.2486"]);
    drops.push(measured(300, "as received", "MIC", slip));
    let (_, _, judgement) = folded(&drops);
    let codes: Vec<String> = judgement.questions.iter().map(|asked| asked.code.to_string()).collect();
    assert_eq!(codes, ["544aa7e215-e3e667ef34"]);
}
