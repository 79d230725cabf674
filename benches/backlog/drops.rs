//! The drops of the backlog: invented readings of the invented engine, the same in every run.

use jiff::{Timestamp, ToSpan as _};
use serde_json::{Value, json};

/// Engines that the drops are spread over.
pub(super) const JOBS: usize = 200;

/// The sheet of the engine.
pub(super) const SHEET: &str = include_str!("../../schemas/examples/sheet.v1/pass/ov-24.json");

/// Readings in one drop.
const READINGS: usize = 20;

/// A feature that is measured: its positions, its places, a sound size in millionths of an inch and the step that
/// leads out of its limits.
struct Measured {
    feature: &'static str,
    gauge: &'static str,
    positions: usize,
    places: &'static [(&'static str, &'static str)],
    sound: i64,
    out: i64,
}

const JOURNAL: &[(&str, &str)] = &[("front", "X"), ("front", "Y"), ("rear", "X"), ("rear", "Y")];
const BORE: &[(&str, &str)] = &[
    ("top", "X"),
    ("top", "Y"),
    ("middle", "X"),
    ("middle", "Y"),
    ("bottom", "X"),
    ("bottom", "Y"),
    ("unworn", "X"),
];
const HOUSING: &[(&str, &str)] = &[
    ("front", "vertical"),
    ("front", "60 left"),
    ("front", "60 right"),
    ("rear", "vertical"),
    ("rear", "60 left"),
    ("rear", "60 right"),
];

const FEATURES: [Measured; 5] = [
    Measured {
        feature: "main journal",
        gauge: "MIC",
        positions: 5,
        places: JOURNAL,
        sound: 2_249_200,
        out: -2_000,
    },
    Measured { feature: "bore", gauge: "BORE", positions: 4, places: BORE, sound: 3_611_000, out: 5_000 },
    Measured {
        feature: "crankpin",
        gauge: "MIC",
        positions: 4,
        places: JOURNAL,
        sound: 1_999_200,
        out: -2_000,
    },
    Measured {
        feature: "main housing",
        gauge: "BORE",
        positions: 5,
        places: HOUSING,
        sound: 2_401_700,
        out: 1_500,
    },
    Measured {
        feature: "rod housing",
        gauge: "BORE",
        positions: 4,
        places: HOUSING,
        sound: 2_125_100,
        out: 1_500,
    },
];

/// When the first of them was recorded.
fn begin() -> Timestamp {
    "2026-03-02T08:00:00Z".parse().unwrap()
}

/// A drop of the shop, or of the engine with this number, so many minutes after the first.
pub(super) fn drop(minute: i64, kind: &str, job: Option<usize>, body: Value) -> Value {
    let recorded = begin().checked_add(minute.minutes()).unwrap().to_string();
    let mut drop = json!({"kind": kind, "version": 1, "who": "LM", "recorded": recorded, "device": "tablet 1", "body": body});
    if let Some(job) = job {
        drop["job"] = format!("26-{job:03}").into();
    }
    drop
}

/// The shop and its engines, which are there before the backlog.
pub(super) fn beforehand() -> Vec<String> {
    let check_ins = (0..JOBS).map(|job| check_in(job, "complete"));
    shop()
        .iter()
        .chain(&check_ins.collect::<Vec<_>>())
        .map(Value::to_string)
        .chain([SHEET.to_owned()])
        .collect()
}

/// An engine comes.
pub(super) fn check_in(job: usize, scope: &str) -> Value {
    let engine = json!({"sheet": "OV-24", "customer": {"name": "Ferrowmere Mill"}, "engine": {"serial": format!("OV24-{job:05}")}, "scope": [scope]});
    drop(10, "check-in", Some(job), engine)
}

/// House rules, people and gauges; the sheet is [`SHEET`].
pub(super) fn shop() -> Vec<Value> {
    let figure = |instrument: &str, expanded: &str, setting: &str, transfer: &str| json!({"instrument": instrument, "unit": "in", "expanded": expanded, "setting": setting, "transfer": transfer});
    let person = |name: &str, initials: &str, role: &str| json!({"name": name, "initials": initials, "roles": [role], "mail": format!("{role}@shop.example")});
    vec![
        drop(
            0,
            "house-rules",
            None,
            json!({"revision": 1, "probability": "0.95", "instruments": [
            figure("micrometer", "0.00025", "0.000075", "0"),
            figure("dial bore gauge", "0.00035", "0.000075", "0.000122474"),
        ], "stock": [{"shape": "bore", "unit": "in", "stock": "0.003"}, {"shape": "shaft", "unit": "in", "stock": "0.001"}]}),
        ),
        drop(
            0,
            "people",
            None,
            json!({"revision": 1, "people": [person("Rowan Holt", "RH", "owner"), person("Lin Marr", "LM", "bench")]}),
        ),
        drop(1, "gauge", None, json!({"gauge": "MIC", "instrument": "micrometer"})),
        drop(1, "gauge", None, json!({"gauge": "BORE", "instrument": "dial bore gauge", "set-by": "MIC"})),
    ]
}

/// So many drops, by name. Every engine gets its features measured in turn, so that places have repeats.
pub(super) fn backlog(count: usize) -> Vec<(String, String)> {
    let one = |index: usize| {
        let (job, turn) = (index % JOBS, index / JOBS);
        let feature = turn % FEATURES.len();
        let is_out = |position| scatter(&[job, position, feature]).is_multiple_of(20);
        (format!("{index:05}.json"), measurements(job, turn, feature, &is_out).to_string())
    };
    (0..count).map(one).collect()
}

/// 20 readings of a feature of an engine; `turn` counts the drops of that engine.
pub(super) fn measurements(job: usize, turn: usize, feature: usize, is_out: &dyn Fn(usize) -> bool) -> Value {
    let measured = &FEATURES[feature];
    let minute = 20 + i64::try_from(turn).unwrap();
    let body = json!({"condition": "as received", "gauge": measured.gauge, "unit": "in", "readings": readings(measured, job, turn, is_out)});
    drop(minute, "measurements", Some(job), body)
}

fn readings(measured: &Measured, job: usize, turn: usize, is_out: &dyn Fn(usize) -> bool) -> Vec<Value> {
    let all = measured.positions * measured.places.len();
    // Where a feature has more places than a drop has readings, the next drop of it goes on behind.
    let first = turn / FEATURES.len() * READINGS;
    let one = |n: usize| {
        let at = (first + n) % all;
        let (position, (station, direction)) =
            (at / measured.places.len() + 1, measured.places[at % measured.places.len()]);
        let noise = i64::try_from(scatter(&[job, turn, n]) % 100).unwrap() - 50;
        let size = measured.sound + noise + if is_out(position) { measured.out } else { 0 };
        let value = format!("{}.{:06}", size / 1_000_000, size % 1_000_000);
        json!({"feature": measured.feature, "position": position.to_string(), "station": station, "direction": direction, "value": value})
    };
    (0..READINGS).map(one).collect()
}

/// A number that looks like chance and is the same in every run (FNV-1a, recalled).
pub(super) fn scatter(of: &[usize]) -> u64 {
    let mix = |hash: u64, number: &usize| (hash ^ *number as u64).wrapping_mul(0x0000_0100_0000_01b3);
    let hash = of.iter().fold(0xcbf2_9ce4_8422_2325, mix);
    (hash ^ hash >> 29) >> 7
}
