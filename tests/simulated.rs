//! Simulated perfect parts: no more than 5 in 100 sets may be called beyond and proven, or the shop would grind
//! metal away for the noise of its gauges. Guards promise 4.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test stops at what it did not expect")]

#[path = "support/plain.rs"]
mod plain;
mod support;

use benchdrop::judgement::Band;
use benchdrop::sheets::Characteristic;
use plain::{as_received, engine, feature, row};
use serde_json::{Value, json};
use support::*;

/// Normal numbers by the sum of twelve uniform ones less six (variance one exactly, tails cut at six), from a
/// multiplicative congruential generator (Lehmer, 2^31 - 1, 48271). Good enough for a rate, and always the same.
struct Noise(u64);

impl Noise {
    fn next(&mut self) -> f64 {
        let uniform = || {
            self.0 = self.0 * 48_271 % 2_147_483_647;
            #[allow(clippy::cast_precision_loss, reason = "31 bits fit a double")]
            let value = self.0 as f64 / 2_147_483_647.0;
            value
        };
        std::iter::repeat_with(uniform).take(12).sum::<f64>() - 6.0
    }
}

/// Sets of five mains and four pins of a perfect ground crank, read by the micrometer of the house rules: repeat
/// 0.0001 in each reading, shared 0.000075 in a set. True sizes lie ON the limit that decides, the hardest case.
fn perfect_crank(noise: &mut Noise) -> Vec<Value> {
    let mut drops = shop_with_engine();
    drops.push(drop_at("operation", 12, json!({"operation": "grind", "unit": "in", "finished": "0.010 under",
        "places": [{"feature": "main journal", "positions": ["all"]}, {"feature": "crankpin", "positions": ["all"]}]})));
    let mut minute = 20;
    for (feature, true_size, positions) in [("main journal", 2.2390, 5), ("crankpin", 1.9890, 4)] {
        for position in 1..=positions {
            let shared = 0.000_075 * noise.next();
            let values: Vec<String> =
                (0..4).map(|_| format!("{:.6}", true_size + shared + 0.0001 * noise.next())).collect();
            let set =
                journal(feature, &position.to_string(), [&values[0], &values[1], &values[2], &values[3]]);
            drops.push(measured(minute, "after work", "MIC", set));
            minute += 1;
        }
    }
    drops
}

#[test]
fn perfect_parts_are_rarely_called_beyond() {
    const CRANKS: usize = 120;
    let mut noise = Noise(20_261_125);
    let (mut sets, mut proven, mut by_number) = ([0_usize; 2], [0_usize; 2], [0_usize; 2]);
    for _ in 0..CRANKS {
        let (_, _, judgement) = folded(&perfect_crank(&mut noise));
        for verdict in judgement.standing().filter(|v| v.judged.is_some()) {
            let judged = verdict.key.characteristic;
            let form = usize::from(matches!(judged, Characteristic::OutOfRound | Characteristic::Taper));
            if form == 0 && judged != Characteristic::Size {
                continue;
            }
            sets[form] += 1;
            proven[form] += usize::from(verdict.is_proven_beyond());
            by_number[form] += usize::from(matches!(verdict.judged.as_ref().unwrap().band, Band::Beyond(_)));
        }
    }
    assert_eq!(sets, [CRANKS * 9, CRANKS * 18]);
    // Four readings of one true size on the limit all lie inside only by luck: "all places conform" is asked, so
    // the size of a part exactly on its limit is where the rule is strictest; form is judged at zero deviation.
    assert!(proven[1] * 100 <= sets[1] * 5, "form: {proven:?} of {sets:?}");
    // The numbers alone would condemn a part far more often: the test is not vacuous.
    assert!(by_number[1] * 100 > sets[1] * 5, "form by number: {by_number:?} of {sets:?}");
    assert!(
        by_number[0] > 0 && proven[0] < by_number[0],
        "size: {proven:?} against {by_number:?} of {sets:?}"
    );
}

/// The engine of `plain` with a micrometer of repeat 0.0001 and shared 0.000075 beside its gauges.
fn with_a_micrometer(features: Vec<Value>) -> Vec<Value> {
    let mut drops = engine("in", features, vec![]);
    let figure = json!({"instrument": "micrometer", "unit": "in", "expanded": "0.00025", "setting": "0.000075", "transfer": "0"});
    drops[0]["body"]["instruments"].as_array_mut().unwrap().push(figure);
    drops.push(gauge(1, "MIC", "micrometer", None));
    drops
}

/// Parts of one size all over, `each` a true size: sets of `places` readings with what each set shares.
fn perfect(
    noise: &mut Noise,
    key: &str,
    positions: u32,
    places: usize,
    size: f64,
    shared: f64,
) -> Vec<String> {
    let set = |position| {
        let shift = size + shared * noise.next();
        let values: Vec<String> =
            (0..places).map(|_| format!("{:.6}", shift + 0.0001 * noise.next())).collect();
        format!("{key} {position}: {}", values.join(" "))
    };
    (1..=positions).map(set).collect()
}

/// Four features alike of fifty positions each, and readings of their perfect parts.
fn two_hundred(
    noise: &mut Noise,
    shape: &str,
    (stations, directions): (&str, &str),
    row: &Value,
    (size, shared): (f64, f64),
) -> (Vec<Value>, Vec<String>) {
    let positions: Vec<String> = (1..=50).map(|n| n.to_string()).collect();
    let places = format!("{}; {stations}; {directions}", positions.join(","));
    let each = stations.split(',').count() * directions.split(',').count();
    let keys = ["one", "two", "three", "four"];
    let features = keys.iter().map(|key| feature(key, shape, &places, vec![row.clone()])).collect();
    let lines = keys.iter().flat_map(|key| perfect(noise, key, 50, each, size, shared)).collect();
    (features, lines)
}

/// Of the verdicts of a characteristic: how many, how many beyond by number, how many proven so.
fn counted(drops: Vec<Value>, gauge: &str, lines: &[String], of: Characteristic) -> [usize; 3] {
    let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
    let (_, judgement) = as_received(drops, "in", gauge, &lines);
    let all: Vec<_> =
        judgement.standing().filter(|v| v.key.characteristic == of && v.judged.is_some()).collect();
    let beyond = all.iter().filter(|v| matches!(v.judged.as_ref().unwrap().band, Band::Beyond(_)));
    [all.len(), beyond.count(), all.iter().filter(|v| v.is_proven_beyond()).count()]
}

fn rarely_proven([sets, beyond, proven]: [usize; 3], least: usize, what: &str) {
    assert!(sets >= least, "{what}: only {sets} sets judged");
    assert!(proven * 100 <= sets * 5, "{what}: {proven} of {sets} proven beyond, {beyond} beyond by number");
}

/// Round, straight, alike: whatever shows is noise. Limits of one, two and three times the repeat of a gauge that is too
/// coarse for them, in two and three planes.
#[test]
fn form_that_is_only_noise_is_rarely_beyond() {
    let mut noise = Noise(20_261_127);
    for stations in ["front,rear", "front,middle,rear"] {
        for limit in ["0.0001", "0.0002", "0.0003"] {
            for characteristic in ["out-of-round", "taper"] {
                let row = row(1, characteristic, &format!("/{limit}"), "/", "/");
                let (journals, lines) =
                    two_hundred(&mut noise, "shaft", (stations, "X,Y"), &row, (2.25, 0.0));
                let counts =
                    counted(engine("in", journals, vec![]), "BORE", &lines, plain::word(characteristic));
                rarely_proven(counts, 180, &format!("{characteristic}, {stations}, limit {limit}"));
                assert!(
                    limit == "0.0003" || counts[1] * 10 > counts[0],
                    "by number far more would be condemned: {counts:?}"
                );
            }
        }
    }
}

#[test]
fn sets_that_differ_only_by_noise_are_rarely_beyond() {
    let mut noise = Noise(20_261_128);
    for limit in ["0.0001", "0.0002", "0.0003"] {
        let limits = format!("/{limit}");
        let names: Vec<String> = (1..=150).map(|n| format!("set {n}")).collect();
        let of_a_set = |name: &String| {
            feature(name, "either", "1,2,3,4,5,6; a; read", vec![row(1, "spread", &limits, "/", "/")])
        };
        let sets = names.iter().map(of_a_set).collect();
        let lines: Vec<String> =
            names.iter().flat_map(|name| perfect(&mut noise, name, 6, 1, 1.5, 0.0)).collect();
        let counts = counted(engine("in", sets, vec![]), "BORE", &lines, Characteristic::Spread);
        rarely_proven(counts, 130, &format!("spread, limit {limit}"));
        assert!(limit == "0.0003" || counts[1] * 10 > counts[0], "{counts:?}");

        let row = row(1, "unevenness", &limits, "/", "/");
        let (decks, lines) = two_hundred(&mut noise, "either", ("a,b,c,d", "read"), &row, (9.25, 0.0));
        let counts = counted(engine("in", decks, vec![]), "BORE", &lines, Characteristic::Unevenness);
        rarely_proven(counts, 180, &format!("unevenness, limit {limit}"));
    }
}

/// A part of one size is rarely beyond with a narrow tolerance about it, and on the very limit that decides.
#[test]
fn sizes_inside_and_on_the_limit_are_rarely_beyond() {
    let mut noise = Noise(20_261_129);
    // Limits, and true sizes that lie in the middle, 0.0001 inside and on a limit.
    let cases = [
        ("2.2490/2.2495", 2.24925),
        ("2.2490/2.2495", 2.2491),
        ("2.2490/2.2495", 2.2490),
        ("2.2490/2.2600", 2.2490),
    ];
    for stations in ["front", "front,rear", "front,middle,rear"] {
        for (limits, size) in cases {
            let row = row(1, "size", limits, "/", "/");
            let (journals, lines) =
                two_hundred(&mut noise, "shaft", (stations, "X,Y"), &row, (size, 0.000_075));
            let counts = counted(with_a_micrometer(journals), "MIC", &lines, Characteristic::Size);
            rarely_proven(counts, 170, &format!("{stations}, {size} of {limits}"));
        }
    }
}

/// A drop of sets of readings with one gauge.
fn drop_of(minute: u32, gauge: &str, readings: Vec<Value>) -> Value {
    measured(minute, "as received", gauge, readings)
}

/// Places of one surface.
const PLACES: [(&str, &str); 4] = [("front", "X"), ("front", "Y"), ("rear", "X"), ("rear", "Y")];

/// Readings of fifty perfect surfaces of this size at these places: each its own noise of 0.0001, each surface `shared`.
fn fifty(noise: &mut Noise, key: &str, places: &[(&str, &str)], size: f64, shared: &[f64]) -> Vec<Value> {
    let mut all = Vec::new();
    for (position, shared) in (1..=50).zip(shared) {
        for (station, direction) in places {
            let value = format!("{:.6}", size + shared + 0.0001 * noise.next());
            all.push(reading(key, &position.to_string(), station, direction, &value));
        }
    }
    all
}

fn fifty_positions(stations: &str) -> String {
    let positions: Vec<String> = (1..=50).map(|n| n.to_string()).collect();
    format!("{}; {stations}; X,Y", positions.join(","))
}

/// How many of eight times fifty verdicts of perfect parts are beyond by number, and proven so.
fn of_eight(one: impl Fn(u32) -> Vec<Value>, of: Characteristic) -> [usize; 3] {
    let mut counts = [0; 3];
    for group in 0..8 {
        let (_, _, judgement) = folded(&one(group));
        for verdict in judgement.standing().filter(|v| v.key.characteristic == of) {
            let Some(judged) = &verdict.judged else { continue };
            counts[0] += 1;
            counts[1] += usize::from(matches!(judged.band, Band::Beyond(_)));
            counts[2] += usize::from(verdict.is_proven_beyond());
        }
    }
    counts
}

/// A hole of 1.0020 and a pin of 1.0000, round and straight, leave 0.0020, the very most that is allowed: the loosest of four
/// places by four is a tenth past it in nearly every set, and must not be proven so. One gauge whose setting cancels, and two.
/// Two tenths further, most are proven, which a rule that proves nothing would not do.
#[test]
fn the_loosest_of_many_pairs_of_places_is_rarely_beyond() {
    for (by, shared) in [("MIC", 0.000_075), ("BORE", 0.0)] {
        for (more, gone) in [(0.0, false), (0.0006, true)] {
            let noise = std::cell::RefCell::new(Noise(20_261_130));
            let one = |_| {
                let mut noise = noise.borrow_mut();
                let features = vec![
                    feature("hole", "bore", &fifty_positions("front,rear"), vec![]),
                    feature("pin", "shaft", &fifty_positions("front,rear"), vec![]),
                ];
                let mut drops = with_a_micrometer(features);
                let sheet = drops.iter_mut().find(|drop| drop["kind"] == "sheet").unwrap();
                sheet["body"]["pairs"] = json!([plain::pair(
                    "play",
                    "clearance",
                    ["hole", "", "pin"],
                    ["0.0005/0.0015", "/0.0020"],
                    false
                )]);
                let settings: Vec<f64> = (0..50).map(|_| 0.000_075 * noise.next()).collect();
                let of_hole: Vec<f64> =
                    settings.iter().map(|set| if by == "MIC" { *set } else { shared }).collect();
                drops.push(drop_of(20, by, fifty(&mut noise, "hole", &PLACES, 1.0020 + more, &of_hole)));
                drops.push(drop_of(21, "MIC", fifty(&mut noise, "pin", &PLACES, 1.0, &settings)));
                drops
            };
            let counts = of_eight(one, Characteristic::Clearance);
            let [sets, beyond, proven] = counts;
            if gone {
                assert!(proven * 10 > sets * 9, "{by}: {counts:?}");
            } else {
                rarely_proven(counts, 380, &format!("hole by {by}"));
                assert!(beyond * 10 > sets * 8, "by number nearly all: {counts:?}");
            }
        }
    }
}

/// A shaft of 2.24902 that was 2.2500, worn by nearly all of the 0.0010 that is allowed: against a band that was read, and
/// against the new limit where none was. On the very limit the rule lets just 5 in 100 pass; here it is a fifth of a repeat off.
/// Without a band it may have been made at 2.2495 as well: then most are proven only 0.0005 further.
#[test]
fn the_wear_of_the_worst_of_many_places_is_rarely_beyond() {
    for (band, more, gone) in
        [(true, 0.0, false), (false, 0.0, false), (true, 0.0006, true), (false, 0.0011, true)]
    {
        let noise = std::cell::RefCell::new(Noise(20_261_131));
        let one = |_| {
            let mut noise = noise.borrow_mut();
            let rows = vec![
                row(1, "size", "2.2495/2.2500", "2.2400/", "/"),
                row(2, "wear", "/0.0002", "/0.0010", "/"),
            ];
            let mut shaft = feature("main", "shaft", &fifty_positions("front,rear"), rows);
            shaft["unworn"] = json!(["seal track"]);
            let mut drops = with_a_micrometer(vec![shaft]);
            let settings: Vec<f64> = (0..50).map(|_| 0.000_075 * noise.next()).collect();
            let mut readings = fifty(&mut noise, "main", &PLACES, 2.24902 - more, &settings);
            if band {
                readings.extend(fifty(
                    &mut noise,
                    "main",
                    &[("seal track", "X"), ("seal track", "Y")],
                    2.25,
                    &settings,
                ));
            }
            drops.push(drop_of(20, "MIC", readings));
            drops
        };
        let counts = of_eight(one, Characteristic::Wear);
        let [sets, beyond, proven] = counts;
        if gone {
            assert!(proven * 10 > sets * 9, "band {band}: {counts:?}");
        } else {
            rarely_proven(counts, 380, &format!("band {band}"));
            assert!(beyond * 10 > sets * 7, "by number most: {counts:?}");
        }
    }
}

/// Shafts new from 2.2490 to 2.2500 that were made at the small end, as many are, and have worn by 0.0002 of the 0.0006 that
/// is allowed. From the large end, which stands in where no band was read, they seem worn by 0.0012: beyond by number, and
/// nothing proves it, since nobody knows how large they were.
#[test]
fn an_unworn_size_that_nobody_read_proves_no_wear() {
    let mut noise = Noise(20_261_132);
    let rows = || vec![row(1, "size", "2.2490/2.2500", "2.2400/", "/"), row(2, "wear", "/", "/0.0006", "/")];
    for (size, few) in [(2.2488, true), (2.2478, false)] {
        let shafts = vec![feature("main", "shaft", &fifty_positions("front,rear"), rows())];
        let lines = perfect(&mut noise, "main", 50, 4, size, 0.000_075);
        let counts = counted(with_a_micrometer(shafts), "MIC", &lines, Characteristic::Wear);
        assert!(counts[1] == counts[0] && counts[0] > 45, "by number all are beyond: {counts:?}");
        if few {
            rarely_proven(counts, 45, "made at the small end");
        } else {
            // Worn by 0.0012 at least, wherever it was made.
            assert!(counts[2] * 10 > counts[0] * 9, "{counts:?}");
        }
    }
}
