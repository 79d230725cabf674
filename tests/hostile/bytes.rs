//! Contents that are no drop, or one that nobody could have meant.

use super::support::*;
use super::temp_shop::TempShop;
use serde_json::{Value, json};

/// A measurements drop as text, with this in place of its first value.
fn with_value(value: &str) -> String {
    let drop = measured(20, "as received", "MIC", vec![reading("main journal", "3", "front", "X", "VALUE")]);
    drop.to_string().replace("\"VALUE\"", value)
}

#[test]
fn what_is_no_json_is_returned_with_the_reason() {
    let good = gauges()[0].to_string();
    let utf16 = |big: bool| {
        let units = "\u{feff}".encode_utf16().chain(good.encode_utf16());
        units.flat_map(|unit| if big { unit.to_be_bytes() } else { unit.to_le_bytes() }).collect::<Vec<u8>>()
    };
    let nodes = format!("[{}]", vec!["0"; 200_001].join(","));
    let nested =
        good.replacen("\"micrometer\"", &format!("{}1{}", "[".repeat(100_000), "]".repeat(100_000)), 1);
    let cases: Vec<(&str, Vec<u8>, &str)> = vec![
        ("picture.json", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec(), "not UTF-8"),
        // A packed file with nothing in it: what opens a first file stands before the end of none.
        ("archive.json", [b"PK\x03\x04PK\x05\x06".as_slice(), &[0; 18]].concat(), "no spreadsheet"),
        ("page.json", b"<!DOCTYPE html><html></html>".to_vec(), "line 1, column 1"),
        ("rows.csv.json", b"place;value\nfront X;2,2488\n".to_vec(), "no \"kind\""),
        ("deep.json", "[".repeat(100_000).into_bytes(), "recursion"),
        ("deep-object.json", "{\"a\":".repeat(100_000).into_bytes(), "recursion"),
        ("deep-inside.json", nested.into_bytes(), "recursion"),
        ("nodes.json", nodes.into_bytes(), "too many values"),
        (
            "latin-1.json",
            good.replace("tablet", "t\u{e4}blet")
                .chars()
                .map(|c| u8::try_from(u32::from(c)).unwrap())
                .collect(),
            "not UTF-8",
        ),
        ("utf16-le.json", utf16(false), "UTF-16"),
        ("utf16-be.json", utf16(true), "UTF-16"),
        ("nul-inside.json", good.replace("micro", "mi\0cro").into_bytes(), "line 1"),
        ("nul-in-front.json", format!("\0{good}").into_bytes(), "line 1"),
        ("two.json", format!("{good}{good}").into_bytes(), "line 1"),
        ("twice.json", good.replacen("\"who\"", "\"kind\":\"people\",\"who\"", 1).into_bytes(), "twice"),
        ("not-a-number.json", with_value("NaN").into_bytes(), "line 1"),
        ("infinite.json", with_value("1e400").into_bytes(), "out of range"),
    ];
    let mut shop = TempShop::new();
    for (name, bytes, _) in &cases {
        shop.put(name, bytes);
    }
    let report = shop.once();
    assert_eq!((report.filed, report.returned, report.waiting.len()), (0, cases.len(), 0), "{report:?}");
    for (name, bytes, why) in &cases {
        let arrival = shop.arrival(name);
        assert!(arrival.slip.contains(why), "{name}: {}", arrival.slip);
        let kept = shop.ledger().bytes_of(&arrival.hash.unwrap()).unwrap();
        assert_eq!(kept.as_deref(), Some(bytes.as_slice()), "{name}: its bytes are kept");
    }
    assert_eq!(shop.left().len(), 0);
    assert!(shop.ledger().verify(&mut |_, _| {}).unwrap().is_sound());
}

/// Cut off, or in zeros where the rest should be: not refused, since the rest may follow.
#[test]
fn what_may_still_be_on_its_way_waits() {
    let good = gauges()[0].to_string();
    let mut reserved = good.as_bytes()[..40].to_vec();
    reserved.resize(4_096, 0);
    let mut shop = TempShop::new();
    shop.put("empty.json", "");
    shop.put("blank.json", "\r\n \t");
    shop.put("cut.json", &good[..good.len() - 1]);
    shop.put("cut.xlsx", b"PK\x03\x04\x14\0\x08\x08");
    shop.put("reserved.json", reserved);
    let report = shop.once();
    assert_eq!((report.returned, report.waiting.len()), (0, 5), "{report:?}");
    assert_eq!(shop.left().len(), 5);
}

#[test]
fn numbers_that_nobody_measures_are_returned_or_questioned() {
    let mut shop = TempShop::new();
    shop.take(&shop_with_engine());
    let refused = [
        "1e5",
        "1e300",
        "-1e300",
        "123456",
        "2.24881234",
        "\"1e400\"",
        "\"2,2488\"",
        "\"0x2\"",
        "\"\u{ff12}.2\"",
        "\"99999.9999999\"",
        "1e-9",
        "9007199254740993",
        "true",
        "null",
        "\"\"",
        "\" 2.2488\"",
        "\"2.2488\\n\"",
        "\"+2.2488\"",
    ];
    let questioned =
        ["99999.999999", "\"99999.999999\"", "\"-99999.999999\"", "0", "-0", "0.000001", "\"00000.0\"", "2"];
    for (index, value) in refused.iter().enumerate() {
        shop.put(format!("refused-{index}.json"), with_value(value));
    }
    shop.settle();
    for (index, value) in refused.iter().enumerate() {
        let arrival = shop.arrival(&format!("refused-{index}.json"));
        assert_eq!(arrival.outcome.word(), "returned", "{value}");
        assert!(arrival.slip.contains("/body/readings/0"), "{value}: {}", arrival.slip);
    }
    for value in questioned {
        let mut shop = TempShop::new();
        shop.take(&shop_with_engine());
        shop.put("value.json", with_value(value));
        shop.settle();
        assert_eq!(shop.outcome("value.json"), "filed", "{value}");
        let job = shop.job(JOB);
        assert_eq!(job["questions"].as_array().unwrap().len(), 1, "{value}: {:#}", job["questions"]);
        let judged = job["verdicts"].as_array().unwrap().iter().filter(|v| v["value"] != Value::Null).count();
        assert_eq!(judged, 0, "{value} is kept out of every verdict");
    }
}

/// The ends of what the schemas let through, all at once: nothing overflows on the way to the pages.
#[test]
fn extremes_of_everything_are_folded() {
    let mut shop = TempShop::new();
    shop.take(&shop_with_engine());
    let extreme = |part: Value, gauge: Value, setting: &str, deviation: &str| {
        let mut drop = measured(20, "as received", "MIC", vec![]);
        drop["body"]["temperatures"] = json!({"part": part, "gauge": gauge});
        drop["body"]["setting"] = setting.into();
        drop["body"]["readings"] = json!([{"feature": "bore", "position": "1", "station": "top", "direction": "X", "deviation": deviation}]);
        drop
    };
    for (index, (part, gauge)) in [
        (json!("99999.999"), json!("-99999.999")),
        (json!(9_007_199_254_740_991_i64), json!(1)),
        (json!(-1e15), json!(1e15)),
        (json!(1e300), json!("20")),
        (json!("20.1234"), json!("20")),
        (json!("-273.15"), json!("1000")),
    ]
    .into_iter()
    .enumerate()
    {
        shop.put(
            format!("warm-{index}.json"),
            extreme(part, gauge, "99999.999999", "+99999.999999").to_string(),
        );
    }
    let mut times = Vec::new();
    for recorded in [
        "0001-01-01T00:00:00Z",
        "-009999-01-02T00:00:00Z",
        "1969-12-31T23:59:59.999999999Z",
        "2016-12-31T23:59:60Z",
        "2026-03-02T08:00:00+14:00",
        "2026-02-30T00:00:00Z",
        "9999-12-31T23:59:59Z",
    ] {
        let mut drop = measured(20, "as received", "MIC", vec![reading("bore", "2", "top", "X", "3.6110")]);
        drop["recorded"] = recorded.into();
        times.push(drop);
    }
    shop.take(&times);
    assert_eq!(shop.left().len(), 0);
    assert!(shop.arrivals().iter().filter(|arrival| arrival.name.starts_with("warm")).count() == 6);
    shop.dump(JOB);
    // What was given and cannot be used is said, never passed over: 20 degrees are not 99,999.
    for (name, why) in
        [("warm-0.json", "temperatures"), ("warm-3.json", "temperatures"), ("warm-4.json", "temperatures")]
    {
        let arrival = shop.arrival(name);
        assert_eq!(arrival.outcome.word(), "returned", "{name}");
        assert!(arrival.slip.contains(why), "{}", arrival.slip);
    }
}

#[test]
fn two_thousand_readings_in_one_drop_are_taken_and_more_are_not() {
    let mut shop = TempShop::new();
    shop.take(&shop_with_engine());
    let many = |count: usize| {
        let places = [("front", "X"), ("front", "Y"), ("rear", "X"), ("rear", "Y")];
        let one = |n: usize| {
            let (station, direction) = places[n % 4];
            reading("main journal", &(n / 4 % 5 + 1).to_string(), station, direction, "2.2491")
        };
        measured(20, "as received", "MIC", (0..count).map(one).collect()).to_string()
    };
    shop.put("many.json", many(2_000));
    shop.put("more.json", many(2_001));
    shop.settle();
    assert_eq!([shop.outcome("many.json"), shop.outcome("more.json")], ["filed", "returned"]);
    let job = shop.job(JOB);
    // A hundred readings of each place: somebody's device sends them again.
    assert_eq!(job["questions"].as_array().unwrap().len(), 2_000);
    shop.put("fewer.json", many(1_980).replace(":20:00Z", ":30:00Z"));
    shop.settle();
    assert!(shop.page("board.html").contains("questioned"));
    let slip = &shop.arrival("more.json").slip;
    assert!(slip.contains("a list of 2001") && slip.len() < 2_000, "{slip}");
}

/// A slip stays a page, whatever it quotes.
#[test]
fn slips_stay_short() {
    let good = gauges()[0].to_string();
    let long = "x".repeat(900_000);
    let mut shop = TempShop::new();
    shop.put("long-text.json", good.replacen("micrometer", &long, 1));
    shop.put("long-key.json", good.replacen("\"instrument\"", &format!("\"{long}\":1,\"instrument\""), 1));
    shop.put("long-kind.json", good.replacen("gauge", &long, 1));
    let keys: Vec<String> = (0..50_000).map(|n| format!("\"k{n}\":1")).collect();
    shop.put(
        "many-keys.json",
        good.replacen("\"instrument\"", &format!("{},\"instrument\"", keys.join(",")), 1),
    );
    let row = json!({"feature": 1, "value": "two", "x": 1});
    shop.put("many-faults.json", measured(20, "as received", "MIC", vec![row; 2_000]).to_string());
    shop.settle();
    for arrival in shop.arrivals() {
        assert_eq!(arrival.outcome.word(), "returned", "{}", arrival.name);
        assert!(arrival.slip.len() < 8_000, "{}: a slip of {} bytes", arrival.name, arrival.slip.len());
        assert!(arrival.slip.lines().all(|line| line.len() < 400), "{}: {}", arrival.name, arrival.slip);
    }
    assert!(shop.page("arrivals.html").len() < 50_000);
}

/// Ten thousand papers of noise at once: each is returned with a slip, and the ledger keeps them all.
#[test]
fn ten_thousand_papers_of_garbage() {
    const PAPERS: usize = 10_000;
    let mut shop = TempShop::new();
    let mut noise = super::random::Noise::new(7);
    for n in 0..PAPERS {
        let mut bytes = noise.bytes(40 + n % 60);
        // A first byte that no JSON text and no UTF-16 mark begins with: broken, not cut short.
        bytes[0] = b'%';
        shop.put(format!("noise-{n}.json"), bytes);
    }
    shop.put("good.json", gauges()[0].to_string());
    let report = shop.once();
    assert_eq!((report.filed, report.returned, report.waiting.len()), (1, PAPERS, 0));
    assert_eq!(shop.left().len(), 0);
    assert_eq!(shop.papers("returned").len(), PAPERS);
    let verified = shop.ledger().verify(&mut |_, _| {}).unwrap();
    assert!(verified.is_sound(), "{:?}", verified.faults);
    assert_eq!(verified.arrivals, PAPERS as u64 + 1);
}
