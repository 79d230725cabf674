//! The budget of every judged value, against a second, slow and obvious way: every cause is moved by its standard
//! uncertainty, the readings are worked out anew, and the changes of the result are squared and added.
//!
//! Certificates, studies and shared settings against figures worked by hand from trade notes F1. The engine and the
//! shop are invented. Guards promise 5 (no verdict without its reasons).
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "budgets/every.rs"]
mod every;
#[path = "budgets/gauges.rs"]
mod gauges;
#[path = "support/histories.rs"]
mod histories;
#[path = "support/plain.rs"]
mod plain;
#[path = "budgets/slowly.rs"]
mod slowly;
mod support;

use benchdrop::judgement::{Judged, Judgement, Lines};
use benchdrop::sheets::Characteristic;
use benchdrop::shop::Job;
use plain::{feature, pair, row};
use serde_json::{Value, json};
use support::*;

const INCH: f64 = 25.4;

/// A crank of steel in a block of iron, with shells of steel.
fn small_engine() -> Vec<Value> {
    let of = |part: &str, mut feature: Value| {
        feature["part"] = part.into();
        feature
    };
    let journal = vec![
        row(1, "size", "2.2485/2.2490", "2.2470/", "/"),
        row(2, "out-of-round", "/0.0002", "/0.0010", "/"),
    ];
    let features = vec![
        of("crank", feature("journal", "shaft", "1; front,rear; X,Y", journal)),
        of(
            "block",
            feature(
                "housing",
                "bore",
                "1; read; read",
                vec![row(3, "size", "2.4015/2.4020", "/2.4025", "/")],
            ),
        ),
        of(
            "shells",
            feature(
                "shell",
                "wall",
                "1; upper,lower; crown",
                vec![row(4, "size", "0.0755/0.0757", "0.0750/", "/")],
            ),
        ),
    ];
    let pair =
        pair("clearance", "clearance", ["housing", "shell", "journal"], ["0.0011/0.0025", "/0.0040"], false);
    let part = |key: &str, material: &str| json!({"part": key, "material": material});
    let sheet = shop_drop(
        "sheet",
        0,
        json!({"sheet": "BU-1", "revision": 1, "name": "invented", "unit": "in",
        "scopes": [{"scope": "complete", "name": "Complete engine"}],
        "materials": [{"material": "iron", "expansion": "10.5", "uncertainty": "1"},
            {"material": "steel", "expansion": "11.5", "uncertainty": "1"}],
        "parts": [part("block", "iron"), part("crank", "steel"), part("shells", "steel")],
        "features": features, "pairs": [pair]}),
    );
    let check_in = json!({"sheet": "BU-1", "customer": {"name": "Ferrowmere Mill"}, "engine": {"serial": "1"},
        "scope": ["complete"]});
    let mut drops = support::gauges();
    drops.extend([
        gauge(4, "MIC2", "micrometer", None),
        sheet,
        house_rules(0),
        drop_at("check-in", 10, check_in),
    ]);
    drops
}

fn by(mut drop: Value, who: &str) -> Value {
    drop["who"] = who.into();
    drop
}

fn certificate(minute: u32, mark: &str, instrument: &str, expanded: &str, due: &str) -> Value {
    let calibrated = json!({"due": due, "certificate": "C-118", "expanded": expanded, "unit": "in"});
    shop_drop("gauge", minute, json!({"gauge": mark, "instrument": instrument, "calibrated": calibrated}))
}

/// Ten pins twice: half of them differ by a tenth. Squares 5 x 0.0001^2 / 2, ten degrees of freedom: s 0.00005.
fn study(minute: u32, who: &str, gauge: &str, bias: i32) -> Value {
    let pin = |pin: i32, tenths: i32| json!({"feature": "pin", "position": pin, "value": format!("2.{:04}", 2400 + pin * 3 + tenths + bias)});
    let readings: Vec<Value> = (1..=10).flat_map(|n| [pin(n, 0), pin(n, n % 2)]).collect();
    let body = json!({"study": "ten pins", "condition": "cleaned", "gauge": gauge, "unit": "in", "readings": readings});
    by(shop_drop("measurements", minute, body), who)
}

fn warm(mut drop: Value, part: &str, gauge: &str) -> Value {
    let mut given = json!({});
    for (key, degrees) in [("part", part), ("gauge", gauge)] {
        if !degrees.is_empty() {
            given[key] = degrees.into();
        }
    }
    if !part.is_empty() {
        drop["body"]["temperatures"] = given;
    }
    drop
}

fn budget(job: &Job, judgement: &Judgement, name: &str, characteristic: &str) -> (Judged, Lines) {
    let characteristic = Characteristic::from_word(characteristic).unwrap();
    let judged = standing(judgement, name, characteristic).judged.clone().unwrap();
    let budget = judged.budget(Some(job)).unwrap();
    // The lines come to what was judged with, and lose nothing.
    let of_lines: f64 = budget.lines.iter().map(|line| line.effect.powi(2)).sum();
    let u = judged.u.unwrap();
    assert!((budget.u - u).abs() < 1e-12 && (of_lines.sqrt() - u).abs() < 1e-12, "{budget:#?} {u}");
    (judged, budget)
}

fn size_of(drops: &[Value]) -> Lines {
    let (_, job, judgement) = folded(drops);
    budget(&job, &judgement, "journal", "size").1
}

fn line<'a>(budget: &'a Lines, start: &str) -> Option<&'a benchdrop::judgement::Line> {
    budget.lines.iter().find(|line| line.what.starts_with(start))
}

fn near(got_mm: f64, expected_in: f64) {
    assert!((got_mm / INCH - expected_in).abs() < 5e-9, "{} against {expected_in}", got_mm / INCH);
}

/// A journal read once a place by this gauge.
fn journal_by(gauge: &str) -> Value {
    measured(300, "as received", gauge, journal("journal", "1", ["2.2488", "2.2488", "2.2488", "2.2486"]))
}

fn with(more: &[Value]) -> Vec<Value> {
    small_engine().into_iter().chain(more.iter().cloned()).collect()
}

/// The figure of the house: repeat sqrt(0.000125^2 - 0.000075^2) = 0.0001, setting 0.000075. A certificate of U
/// 0.0001 puts 0.00005 in the place of the setting, from its time to its due day, unless the gauge is found bad.
#[test]
fn a_certificate_takes_the_place_of_the_setting() {
    let house = size_of(&with(&[journal_by("MIC")]));
    near(house.u, 0.000_125);
    assert_eq!(line(&house, "setting").unwrap().from[0].words, "house rules");
    assert!(house.lines.iter().all(|line| line.from.iter().all(|from| from.drop.is_some())), "{house:#?}");
    let certified = |minute, due: &str| certificate(minute, "MIC", "micrometer", "0.0001", due);
    let own = size_of(&with(&[journal_by("MIC"), certified(100, "2027-01-10")]));
    near(own.u, (0.0001_f64.powi(2) + 0.000_05_f64.powi(2)).sqrt());
    assert_eq!(line(&own, "setting").unwrap().from[0].words, "certificate C-118 of MIC");
    let bad = shop_drop(
        "gauge",
        5000,
        json!({"gauge": "MIC", "instrument": "micrometer",
        "bad-since": "2026-03-02T11:00:00Z", "why": "dropped"}),
    );
    for (name, more) in [
        ("after the reading", vec![certified(400, "2027-01-10")]),
        ("run out", vec![certified(100, "2026-03-01")]),
        ("of another gauge", vec![certificate(100, "MIC2", "micrometer", "0.0001", "2027-01-10")]),
        ("found bad since", vec![certified(100, "2027-01-10"), bad]),
    ] {
        let drops: Vec<Value> = with(&[journal_by("MIC")]).into_iter().chain(more).collect();
        assert!((size_of(&drops).u - house.u).abs() < 1e-15, "{name}");
    }
}

/// s 0.00005 of ten degrees of freedom, widened by sqrt(10 / 8): 0.0000559 in the place of 0.0001, in these hands.
#[test]
fn a_study_takes_the_place_of_the_repeat() {
    let repeat = 0.000_05 * 1.25_f64.sqrt();
    let own = size_of(&with(&[journal_by("MIC"), study(100, "LM", "MIC", 0)]));
    near(own.u, repeat.hypot(0.000_075));
    let found = line(&own, "repeat of MIC in the hands of LM").unwrap();
    assert!((found.freedom - 10.0).abs() < 1e-12 && !found.shared);
    // Welch and Satterthwaite: u^4 over repeat^4 / 10.
    let freedom = 10.0 * (repeat.hypot(0.000_075) / repeat).powi(4);
    assert!((own.freedom - freedom).abs() < 1e-3, "{} {freedom}", own.freedom);
    for more in [study(400, "LM", "MIC", 0), study(100, "AK", "MIC", 0), study(100, "LM", "MIC2", 0)] {
        near(size_of(&with(&[journal_by("MIC"), more])).u, 0.000_125);
    }
    // Three repeats: the repeat over the root of three, the setting as it was.
    let thrice =
        (0..3).flat_map(|_| journal("journal", "1", ["2.2488", "2.2488", "2.2488", "2.2486"])).collect();
    let three = size_of(&with(&[measured(300, "as received", "MIC", thrice), study(100, "LM", "MIC", 0)]));
    near(three.u, (repeat / 3_f64.sqrt()).hypot(0.000_075));
}

/// Two hands that read the same pins 0.0010 in apart: half of that squared twice over (the variance of two means) is 0.00071 in
/// between people. A later study of one of them alone says nothing of people, and takes none of it away.
#[test]
fn a_study_of_one_person_leaves_what_people_differ_by() {
    let both = [journal_by("MIC"), study(100, "LM", "MIC", 0), study(101, "AK", "MIC", 10)];
    let mut alone = study(110, "LM", "MIC", 0);
    alone["body"]["study"] = "ten pins again".into();
    let people = |drops: &[Value]| line(&size_of(&with(drops)), "what people differ by").map(|line| line.u);
    let before = people(&both).unwrap();
    assert!((before / INCH - 0.0010 / 2_f64.sqrt()).abs() < 0.000_02, "{}", before / INCH);
    // Two people are one degree of freedom, and hardly less for what repeats: (1000 - 5/29)^2 over 1000^2 + (5/29)^2 / 29.
    let freedom = line(&size_of(&with(&both)), "what people differ by").unwrap().freedom;
    assert!((freedom - 0.999_655).abs() < 1e-5, "{freedom}");
    let after = people(&[&both[..], std::slice::from_ref(&alone)].concat()).unwrap();
    assert!((before - after).abs() < 1e-12, "{before} {after}");
    // Together again and alike: nothing is left between them.
    let mut other = study(111, "AK", "MIC", 0);
    other["body"]["study"] = "ten pins again".into();
    assert_eq!(people(&[&both[..], &[alone, other]].concat()), None);
}

/// AK reads the odd pins 0.0004 in more than LM and the even ones as much less: on the whole they read alike, and from pin
/// to pin by no means. Worked by hand in tenths: of 40 readings the interaction is 2 x 20 x 2^2 = 160 on 9 degrees of freedom,
/// the repeat 5 on 20, so the variance from pin to pin is (160/9 - 5/20) / 2 = 8.764, 0.000296 in of each place's own
/// (JCGM 100 wants every cause that a study finds; the AIAG manual counts it with what people differ by, recalled).
#[test]
fn what_people_differ_by_from_part_to_part_is_in_the_budget() {
    let pin = |pin: i32, tenths: i32| json!({"feature": "pin", "position": pin, "value": format!("2.{:04}", 2400 + pin * 3 + tenths)});
    let by_parts = |n: i32| if n % 2 == 1 { 4 } else { -4 };
    let mut other = by(study(101, "AK", "MIC", 0), "AK");
    other["body"]["readings"] =
        (1..=10).flat_map(|n| [pin(n, by_parts(n)), pin(n, by_parts(n) + n % 2)]).collect();
    let known = [study(100, "LM", "MIC", 0), other];
    let (repeat, parts) = (0.000_05 * 1.25_f64.sqrt(), 0.0001 * ((160.0 / 9.0 - 0.25) / 2.0_f64).sqrt());
    let own = size_of(&with(&[&[journal_by("MIC")], &known[..]].concat()));
    near(own.u, repeat.hypot(parts).hypot(0.000_075));
    let found = line(&own, "what people differ by from part to part with MIC in the hands of LM").unwrap();
    near(found.u, parts);
    // Welch and Satterthwaite over both mean squares: (160/9 - 1/4)^2 over (160/9)^2 / 9 + (1/4)^2 / 20.
    let freedom =
        (160.0 / 9.0 - 0.25_f64).powi(2) / ((160.0 / 9.0_f64).powi(2) / 9.0 + 0.25_f64.powi(2) / 20.0);
    assert!((found.freedom - freedom).abs() < 1e-6, "{} against {freedom}", found.freedom);
    assert!(!found.shared && found.from[0].words.starts_with("study"), "{found:?}");
    assert!(line(&own, "what people differ by with").is_none(), "on the whole they read alike");
    // Repeats by one person narrow the repeat alone: they meet the same draw.
    let places = ["2.2488", "2.2488", "2.2488", "2.2486"];
    let thrice = (0..3).flat_map(|_| journal("journal", "1", places)).collect();
    let thrice = measured(300, "as received", "MIC", thrice);
    let three = size_of(&with(&[&[thrice], &known[..]].concat()));
    near(three.u, (repeat / 3_f64.sqrt()).hypot(parts).hypot(0.000_075));
    // Each place has its own, so it does not cancel out-of-round.
    let (_, job, judgement) = folded(&with(&[&[journal_by("MIC")], &known[..]].concat()));
    near(budget(&job, &judgement, "journal", "out-of-round").1.u, repeat.hypot(parts) * 2_f64.sqrt());
    // And two readings of one place by one person lie no further apart for it: 2.77 x 0.0000559 is 0.000155.
    let again = |value: &str| {
        let two =
            [journal_by("MIC"), measured(301, "as received", "MIC", journal("journal", "1", [value; 4]))];
        folded(&with(&[&two[..], &known[..]].concat())).2.questions.len()
    };
    assert!(again("2.2490") > 0, "0.0002 apart");
    // Nothing differs at all, of people who are 0.0001 in apart everywhere: no more than the sums' last digits do.
    let alike = |minute: u32, who: &str, more: i32| {
        let mut drop = by(study(minute, who, "MIC", 0), who);
        drop["body"]["readings"] = (1..=10).flat_map(|n| [pin(n, more), pin(n, more)]).collect();
        drop
    };
    let step =
        json!({"gauge": "MIC", "instrument": "micrometer", "resolution": {"step": "0.0001", "unit": "in"}});
    let more = [journal_by("MIC"), alike(100, "LM", 0), alike(101, "AK", 1), shop_drop("gauge", 90, step)];
    let exact = size_of(&with(&more));
    assert!(line(&exact, "rounding of MIC").is_some(), "{exact:#?}");
    assert!(line(&exact, "what people differ by from part to part").is_none(), "{exact:#?}");
}

/// A step of a tenth (0.0000289) is in the scatter of the study; one of half a thousandth (0.000144) hides it.
#[test]
fn rounding_counts_only_where_the_study_does_not_hold_it() {
    let step = |step: &str| {
        let resolution = json!({"step": step, "unit": "in"});
        shop_drop("gauge", 90, json!({"gauge": "MIC", "instrument": "micrometer", "resolution": resolution}))
    };
    let repeat = 0.000_05 * 1.25_f64.sqrt();
    let fine = size_of(&with(&[journal_by("MIC"), study(100, "LM", "MIC", 0), step("0.0001")]));
    assert!(line(&fine, "rounding").is_none());
    let coarse = size_of(&with(&[journal_by("MIC"), study(100, "LM", "MIC", 0), step("0.0005")]));
    near(line(&coarse, "rounding").unwrap().u, 0.0005 / 12_f64.sqrt());
    near(coarse.u, (repeat.powi(2) + 0.0005_f64.powi(2) / 12.0 + 0.000_075_f64.powi(2)).sqrt());
    // Two repeats by LM and one by AK, who read alike: those of one person round alike, so only their scatter is narrowed.
    let places = ["2.2485", "2.2485", "2.2485", "2.2485"];
    let twice = (0..2).flat_map(|_| journal("journal", "1", places)).collect();
    let [by_lm, by_ak] =
        [twice, journal("journal", "1", places)].map(|set| measured(300, "as received", "MIC", set));
    let studies = [study(100, "LM", "MIC", 0), by(study(101, "AK", "MIC", 0), "AK")];
    let mixed = size_of(&with(&[&[by_lm, by(by_ak, "AK"), step("0.0005")], &studies[..]].concat()));
    let rounding = 0.0005_f64.powi(2) / 12.0;
    let own = (repeat.powi(2) / 2.0 + rounding) * 4.0 / 9.0 + (repeat.powi(2) + rounding) / 9.0;
    near(mixed.u, (own + 0.000_075_f64.powi(2)).sqrt());
    // The figure of the house holds it already.
    near(size_of(&with(&[journal_by("MIC"), step("0.0005")])).u, 0.000_125);
}

/// Trade notes F1: one micrometer that set the bore gauge and read the journal 0.00046, two 0.00050.
#[test]
fn what_one_micrometer_set_and_read_cancels() {
    let stack = |of_journal: &str| {
        let shells = ["upper", "lower"].map(|s| reading("shell", "1", s, "crown", "0.0756")).to_vec();
        let (_, job, judgement) = folded(&with(&[
            journal_by(of_journal),
            measured(301, "as received", "BORE", vec![reading("housing", "1", "read", "read", "2.4018")]),
            measured(302, "as received", "BALL", shells),
        ]));
        budget(&job, &judgement, "clearance 1", "clearance").1
    };
    let (one, two) = (stack("MIC"), stack("MIC2"));
    assert_eq!(format!("{:.5} {:.5}", 2.0 * one.u / INCH, 2.0 * two.u / INCH), "0.00046 0.00050");
    let enters = |budget: &Lines, of: &str| {
        line(budget, &format!("setting and scale of {of}")).unwrap().enters.clone()
    };
    assert_eq!(enters(&one, "MIC"), "2 times, cancels".replace("2 times", "twice"));
    assert_eq!(enters(&two, "MIC"), "once");
    assert_eq!(enters(&one, "BALL"), "twice, adds");
}

#[test]
fn two_gauges_two_people_and_two_temperatures_give_different_budgets() {
    let known = [
        study(100, "LM", "MIC", 0),
        by(study(101, "AK", "MIC", 2), "AK"),
        certificate(102, "MIC2", "micrometer", "0.0001", "2027-01-10"),
    ];
    let said = |reading: Value| {
        let drops: Vec<Value> = with(&known).into_iter().chain([reading]).collect();
        let budget = size_of(&drops);
        budget
            .lines
            .iter()
            .map(|line| format!("{} {:.9} {:?}", line.what, line.u, line.from))
            .collect::<Vec<_>>()
    };
    let budgets = [
        said(journal_by("MIC")),
        said(journal_by("MIC2")),
        said(by(journal_by("MIC"), "AK")),
        said(warm(journal_by("MIC"), "31", "20")),
        said(warm(journal_by("MIC"), "31", "24")),
        said(warm(journal_by("MIC"), "31", "")),
    ];
    for (index, one) in budgets.iter().enumerate() {
        assert!(budgets.iter().skip(index + 1).all(|other| other != one), "{one:#?}");
    }
}

/// A study is the shop's, and what was said of a gauge is part of what a signer saw.
#[test]
fn a_study_is_no_reading_of_an_engine() {
    assert!(fact(&study(100, "LM", "MIC", 0)).job.is_none());
    let (shop, job, judgement) = folded(&with(&[
        study(100, "LM", "MIC", 0),
        by(study(101, "AK", "MIC", 2), "AK"),
        study(102, "LM", "MIC2", 1),
    ]));
    assert!(job.surfaces.values().all(|surface| surface.sets.is_empty()));
    assert!(judgement.questions.is_empty());
    let studies = shop.studies();
    let [ten] = studies.as_slice() else { panic!("{studies:#?}") };
    let mic = ten.gauges.iter().find(|gauge| gauge.gauge == "MIC").unwrap();
    near(mic.hands[0].1.deviation().unwrap(), 0.000_05);
    // AK reads two tenths more than LM, so each is one off the mean of both.
    let bias: Vec<(String, String)> = mic
        .variance
        .as_ref()
        .unwrap()
        .bias
        .iter()
        .map(|bias| (bias.person.clone(), format!("{:+.5}", bias.by / INCH)))
        .collect();
    assert_eq!(bias, [("AK".to_owned(), "+0.00010".to_owned()), ("LM".to_owned(), "-0.00010".to_owned())]);
    // LM reads a tenth more with MIC2.
    let between: Vec<String> = ten
        .between_gauges
        .iter()
        .map(|(who, gauge, by)| format!("{who} {gauge} {:+.5}", by / INCH))
        .collect();
    assert_eq!(between, ["LM MIC -0.00005", "LM MIC2 +0.00005"]);
}
