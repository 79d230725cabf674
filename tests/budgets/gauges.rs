//! What is known of a gauge is used whole: by the questions, for one person however the name is typed, and from one unit
//! to another.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use super::plain::{engine, feature, read, row, spring_load, the_sheet};
use super::support::{folded, journal, measured, reading, shop_drop, shop_with_engine, standing};
use super::{budget, by, line, near, study, with};
use benchdrop::judgement::QuestionWhy;
use benchdrop::planning::plan;
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
    let load = |spring: i32, more: i32| json!({"feature": "spring", "position": spring, "value": format!("{}", 300 + 5 * spring + more)});
    let loads: Vec<Value> = (1..=10).flat_map(|n| [load(n, 0), load(n, n % 2)]).collect();
    let studied = json!({"study": "ten springs", "condition": "cleaned", "gauge": "TESTER", "unit": "N", "readings": loads});
    let u = |more: &[Value]| {
        let mut drops = engine("in", vec![spring_load("lbf")], vec![]);
        let loads = read(&the_sheet(&drops), 20, "as received", "lbf", "TESTER", &["spring load 1: 86"]);
        drops.push(loads);
        drops.extend(more.iter().cloned());
        let (_, _, judgement) = folded(&drops);
        standing(&judgement, "spring load", Characteristic::Load).judged.as_ref().unwrap().u.unwrap()
    };
    assert!((u(&[]) - 1.0).abs() < 1e-9);
    let in_pounds = 0.5 * 1.25_f64.sqrt() / 4.448_221_6;
    let studied = shop_drop("measurements", 5, studied);
    let found = u(std::slice::from_ref(&studied));
    assert!((found - in_pounds).abs() < 1e-6, "{found} against {in_pounds}");
    // Ten more in pounds, half of them apart by an eighth, are pooled with them: 5 squares of 1 N over two and 5 of
    // 0.125 lbf over two, on twenty degrees of freedom.
    let eighths = |n: i32| format!("{}.{}", 60 + n, if n % 2 == 1 { "125" } else { "000" });
    let again = |n: i32| {
        [
            json!({"feature": "spring", "position": n, "value": format!("{}", 60 + n)}),
            json!({"feature": "spring", "position": n, "value": eighths(n)}),
        ]
    };
    let more = json!({"study": "ten more", "condition": "cleaned", "gauge": "TESTER", "unit": "lbf",
        "readings": (1..=10).flat_map(again).collect::<Vec<_>>()});
    let pooled = (2.5 / 4.448_221_6_f64.powi(2) + 5.0 * 0.125_f64.powi(2) / 2.0) / 20.0;
    let expected = (pooled * 20.0 / 18.0).sqrt();
    let found = u(&[studied, shop_drop("measurements", 6, more)]);
    assert!((found - expected).abs() < 1e-6, "{found} against {expected}");
}

/// A tester is a gauge as well: its certificate of 8.8964432 N is 1 lbf of standard uncertainty in the place of its setting,
/// beside the 1 lbf by which the house says it repeats. Its zero, its step and its figure (12 psi) may be of any size.
#[test]
fn a_certificate_in_newtons_is_used_for_a_figure_in_pounds() {
    let calibrated = json!({"due": "2027-01-10", "certificate": "C-7", "expanded": "8.896443", "unit": "N"});
    let tester = |what: &str, value: Value| {
        let mut body = json!({"gauge": "TESTER", "instrument": "tester"});
        body[what] = value;
        shop_drop("gauge", 15, body)
    };
    let mut drops = engine("in", vec![spring_load("lbf")], vec![]);
    drops[0]["body"]["instruments"]
        .as_array_mut()
        .unwrap()
        .push(json!({"instrument": "compression gauge", "unit": "psi",
        "expanded": "12", "setting": "2.5", "transfer": "0"}));
    let loads = read(&the_sheet(&drops), 20, "as received", "lbf", "TESTER", &["spring load 1: 86"]);
    drops.extend([
        loads,
        tester("calibrated", calibrated),
        tester("zero", json!({"error": "1.5", "unit": "lbf"})),
    ]);
    drops.push(tester("resolution", json!({"step": "0.5", "unit": "lbf"})));
    let (_, _, judgement) = folded(&drops);
    let u = standing(&judgement, "spring load", Characteristic::Load).judged.as_ref().unwrap().u.unwrap();
    assert!((u - 2.0_f64.sqrt()).abs() < 1e-6, "{u}");
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

/// Mean of `f` over a standard normal draw: Simpson's rule from -8 to 8.
fn over(f: impl Fn(f64) -> f64) -> f64 {
    const STEPS: i32 = 160;
    let h = 16.0 / f64::from(STEPS);
    let at = |i: i32| {
        let z = -8.0 + f64::from(i) * h;
        f(z) * (-z * z / 2.0).exp() / std::f64::consts::TAU.sqrt()
    };
    let weight = |i: i32| match i {
        0 | STEPS => 1.0,
        i if i % 2 == 1 => 4.0,
        _ => 2.0,
    };
    (0..=STEPS).map(|i| weight(i) * at(i)).sum::<f64>() * h / 3.0
}

/// Chance that a normal error of one is under x, by the same rule.
fn under(x: f64) -> f64 {
    let density = |z: f64| (-z * z / 2.0).exp() / std::f64::consts::TAU.sqrt();
    let h = x / 100.0;
    let inner: f64 = (1..100).map(|i| f64::from(2 + 2 * (i % 2)) * density(f64::from(i) * h)).sum();
    0.5 + (density(0.0) + inner + density(x)) * h / 3.0
}

/// Four places 0.0001 over the least size for reuse, the front ones by LM and the rear ones by AK: one draw of the
/// micrometer's setting for all four, one of each person's hands for two. Two micrometers: a setting for two each.
#[test]
fn a_setting_is_drawn_once_however_many_people_read_with_it() {
    let at = |station: &str| ["X", "Y"].map(|d| reading("journal", "1", station, d, "2.2471")).to_vec();
    let found = |gauge: &str, who: &str| {
        let front = measured(300, "as received", "MIC", at("front"));
        let rear = by(measured(301, "as received", gauge, at("rear")), who);
        let (_, _, judgement) = folded(&[with(&[front, rear]), two_people()].concat());
        standing(&judgement, "journal", Characteristic::Size).judged.as_ref().unwrap().probability.unwrap()
    };
    let (own, setting) = (0.000_05 * 1.25_f64.sqrt(), 0.000_075);
    let people = (2.0 * 0.0001_f64.powi(2) - 0.000_05_f64.powi(2) / 29.0_f64).sqrt();
    let two = |own: f64, by: f64| under((0.0001 + by) / own).powi(2);
    let in_hands = |by: f64| over(|hands| two(own, by + people * hands));
    let slowly = over(|draw| in_hands(setting * draw).powi(2));
    assert!((found("MIC", "AK") - slowly).abs() < 1e-5, "{} against {slowly}", found("MIC", "AK"));
    // Both are one pair of hands where the name is typed otherwise.
    let one = over(|draw| over(|hands| two(own, setting * draw + people * hands).powi(2)));
    assert!((found("MIC", "lm") - one).abs() < 1e-5, "{} against {one}", found("MIC", "lm"));
    // Nothing is known of AK with the other one but the figure of the house.
    let other = over(|draw| two(0.0001, setting * draw));
    let apart = over(|draw| in_hands(setting * draw)) * other;
    assert!((found("MIC2", "AK") - apart).abs() < 1e-5, "{} against {apart}", found("MIC2", "AK"));
    assert!(apart < slowly && slowly < one);
}

/// A line read by two people is off by what people differ by as well as by what repeats.
#[test]
fn heights_of_two_people_do_not_cancel_what_people_differ_by() {
    let mut deck =
        feature("deck", "either", "1; a,b,c,d; line", vec![row(3, "flatness", "/0.004", "/", "/")]);
    deck["points"] = json!(["0", "2", "4", "6"].map(|along| json!({"along": along})));
    let heights = |who: &str| {
        let mut drops = engine("in", vec![deck.clone()], vec![]);
        let study = |minute: u32, more: i32, who: &str| {
            let value = |n: i32, more: i32| format!("{:.4}", 0.1 + f64::from(10 * n + more) / 10_000.0);
            let each = (1..=10).flat_map(|n| [value(n, more), value(n, more + n % 2)].map(|v| (n, v)));
            let readings: Vec<Value> =
                each.map(|(n, v)| json!({"feature": "block", "position": n, "value": v})).collect();
            let body = json!({"study": "ten blocks", "condition": "cleaned", "gauge": "DIAL", "unit": "in", "readings": readings});
            by(shop_drop("measurements", minute, body), who)
        };
        drops.extend([study(5, 0, "LM"), study(6, 2, "AK")]);
        let sheet = the_sheet(&drops);
        drops.push(read(&sheet, 20, "as received", "in", "DIAL", &["deck 1: 0.0010 0.0012 - -"]));
        drops.push(by(read(&sheet, 21, "as received", "in", "DIAL", &["deck 1: - - 0.0011 0.0010"]), who));
        let (_, job, judgement) = folded(&drops);
        budget(&job, &judgement, "deck", "flatness").1.u
    };
    let own = 0.000_05 * 1.25_f64.sqrt();
    let people = (2.0 * 0.0001_f64.powi(2) - 0.000_05_f64.powi(2) / 29.0_f64).sqrt();
    near(heights("LM"), own * 2.0_f64.sqrt());
    near(heights("AK"), own.hypot(people) * 2.0_f64.sqrt());
}

/// What a crank must be ground to counts what people differ by: by the house 2 x 0.000125 for the worn axis and, with the
/// new limit standing in for the unworn size, twice that for the axis it was first made on; by the study 0.00017 each.
#[test]
fn what_cleans_up_counts_what_people_differ_by() {
    let expanded = |known: Vec<Value>| {
        let mut drops = shop_with_engine();
        drops.push(measured(
            300,
            "as received",
            "MIC",
            journal("main journal", "3", ["2.2479", "2.2471", "2.2480", "2.2472"]),
        ));
        drops.extend(known);
        let (_, job, judgement) = folded(&drops);
        let plans = plan(&job, &judgement);
        plans
            .iter()
            .flat_map(|plan| &plan.needs)
            .find(|need| need.name == "main journal 3")
            .unwrap()
            .expanded
            .unwrap()
    };
    let (safe, optimistic) = expanded(vec![]);
    near(optimistic, 2.0 * 0.000_125);
    near(safe, 4.0 * 0.000_125);
    let people = (2.0 * 0.0001_f64.powi(2) - 0.000_05_f64.powi(2) / 29.0_f64).sqrt();
    let one = (0.000_05 * 1.25_f64.sqrt()).hypot(0.000_075).hypot(people);
    let (safe, optimistic) = expanded(two_people());
    near(optimistic, 2.0 * one);
    near(safe, 4.0 * one);
}
