//! The invented shop and engine of the demonstration, as drops. Every name and number here is invented and must
//! never be used on a real engine.

use super::prices;
use jiff::{Timestamp, ToSpan as _};
use serde_json::{Map, Value, json};

/// The sheet of the first invented engine, Ostervane OV-24.
pub(super) const OV24: &str = include_str!("../../../schemas/examples/sheet.v1/pass/ov-24.json");

/// The sheet of the second invented engine, KD-3.
pub(super) const KD3: &str = include_str!("../../../schemas/examples/sheet.v1/pass/kd-3.json");

/// The job that goes all the way.
pub(super) const JOB: &str = "24-017";

/// The job that stands half way.
pub(super) const SECOND: &str = "24-018";

/// Makes drops recorded at chosen minutes after a beginning.
pub(super) struct Scribe {
    begin: Timestamp,
    /// Who says what concerns the shop.
    owner: String,
    device: &'static str,
}

impl Scribe {
    pub(super) fn from(begin: Timestamp) -> Self {
        Self { begin, owner: "RH".to_owned(), device: "demo tablet" }
    }

    fn drop(&self, minute: i64, kind: &str, who: &str, body: &Value) -> Map<String, Value> {
        let recorded = self.begin.checked_add(minute.minutes()).unwrap_or(self.begin);
        let recorded = recorded.strftime("%Y-%m-%dT%H:%M:%SZ").to_string();
        let head = json!({ "kind": kind, "version": 1, "who": who, "recorded": recorded, "device": self.device, "body": body });
        match head {
            Value::Object(head) => head,
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) | Value::Array(_) => {
                Map::new()
            }
        }
    }

    /// A drop about the shop.
    pub(super) fn shop(&self, minute: i64, kind: &str, body: &Value) -> String {
        pretty(&Value::Object(self.drop(minute, kind, &self.owner, body)))
    }

    /// A sheet, recorded at the beginning.
    pub(super) fn sheet(&self, text: &str) -> String {
        let sheet: Value = serde_json::from_str(text).unwrap_or_default();
        self.shop(0, "sheet", sheet.get("body").unwrap_or(&Value::Null))
    }
}

fn pretty(value: &Value) -> String {
    format!("{value:#}\n")
}

/// A new shop's first drops: the demonstration sheet, house rules with the upper end of what gauges do in a
/// careful shop (common practice, no source), its owner, and two gauges.
pub(in crate::cli) fn first_drops(
    now: Timestamp,
    owner: &str,
    mail: Option<&str>,
) -> Vec<(&'static str, String)> {
    let initials = initials(owner);
    let scribe = Scribe { begin: now, owner: initials.clone(), device: "benchdrop init" };
    let mut person = json!({ "name": owner, "initials": initials, "roles": ["owner", "bench"] });
    if let (Some(mail), Some(person)) = (mail, person.as_object_mut()) {
        person.insert("mail".to_owned(), mail.into());
    }
    vec![
        ("sheet-ov-24.json", scribe.sheet(OV24)),
        ("house-rules.json", scribe.shop(0, "house-rules", &house_rules())),
        ("people.json", scribe.shop(0, "people", &json!({ "revision": 1, "people": [person] }))),
        ("gauge-mic-12.json", scribe.shop(0, "gauge", &json!({ "gauge": "MIC-12", "instrument": "micrometer 1-2 in", "note": "replace by your own" }))),
        ("gauge-mic-23.json", scribe.shop(0, "gauge", &json!({ "gauge": "MIC-23", "instrument": "micrometer 2-3 in", "note": "replace by your own" }))),
    ]
}

/// `RH` of Rowan Holt: what the owner will write on drops. A name of one word gives its first two letters.
fn initials(name: &str) -> String {
    let first: String = name.split_whitespace().filter_map(|word| word.chars().next()).take(4).collect();
    let letters = if first.chars().count() > 1 { first } else { name.trim().chars().take(2).collect() };
    letters.to_uppercase()
}

fn house_rules() -> Value {
    json!({
        "revision": 1,
        "probability": "0.95",
        "instruments": practice(),
        "stock": [
            { "shape": "bore", "unit": "in", "stock": "0.003" },
            { "shape": "shaft", "unit": "in", "stock": "0.001" },
        ],
    })
}

/// Upper end of the everyday figures, of which 0.6 of u is shared; a gauge set from a micrometer carries that
/// micrometer's shared part as its setting. What is read by feel is an interval. They are common practice and say so in
/// every budget, until the shop puts its own in their place.
fn practice() -> Vec<Value> {
    let practice = "common practice, until the shop has its own";
    let interval = |instrument: &str, half: &str| json!({ "instrument": instrument, "unit": "in", "expanded": half, "setting": "0", "transfer": "0", "interval": true, "source": practice });
    let other = |instrument: &str, unit: &str, expanded: &str, setting: &str, source: &str| json!({ "instrument": instrument, "unit": unit, "expanded": expanded, "setting": setting, "transfer": "0", "source": source });
    let set_from = |instrument: &str, expanded: &str, setting: &str, transfer: &str| json!({ "instrument": instrument, "unit": "in", "expanded": expanded, "setting": setting, "transfer": transfer, "source": practice });
    let figure =
        |instrument: &str, expanded: &str, setting: &str| set_from(instrument, expanded, setting, "0");
    let of_load = |load: u32| format!("common practice, 3 percent of {load} lbf, until the shop has its own");
    vec![
        figure("micrometer 0-1 in", "0.0002", "0.00006"),
        figure("micrometer 1-2 in", "0.0003", "0.00009"),
        figure("micrometer 2-3 in", "0.0003", "0.00009"),
        figure("micrometer 3-4 in", "0.0003", "0.00009"),
        figure("ball micrometer", "0.0002", "0.00006"),
        figure("dial bore gauge on a ring", "0.0003", "0.00009"),
        set_from("dial bore gauge set from a micrometer", "0.0004", "0.00009", "0.000079"),
        figure("small-hole gauge and micrometer", "0.0005", "0.00015"),
        figure("telescoping gauge and micrometer", "0.001", "0.0003"),
        figure("inside micrometer", "0.001", "0.0003"),
        figure("calliper", "0.002", "0.0006"),
        figure("depth micrometer", "0.0005", "0.00015"),
        figure("dial indicator", "0.001", "0.0003"),
        figure("ultrasonic thickness gauge", "0.005", "0.0015"),
        interval("feeler", "0.001"),
        interval("straightedge and feeler", "0.001"),
        interval("plastic strip", "0.0005"),
        other("spring tester", "lbf", "6", "1.8", &of_load(200)),
        other("spring tester up to 100 lbf", "lbf", "3", "0.9", &of_load(100)),
        other("burette", "cc", "0.3", "0.09", practice),
        other("scale", "g", "1", "0.3", practice),
        other("degree wheel", "deg", "1", "0.3", practice),
    ]
}

/// What the demonstration reads with beside micrometers and bore gauge: mark, kind, and the directions that are read with it.
pub(super) const OTHER_GAUGES: [(&str, &str, &[&str]); 10] = [
    ("FEELER-1", "feeler", &["feeler", "diametral"]),
    ("EDGE-1", "straightedge and feeler", &["straightedge", "6 in straightedge"]),
    ("DIAL-1", "dial indicator", &["full swing", "indicator", "dial", "per 6 in", "length"]),
    ("BALL-1", "ball micrometer for shells", &["crown"]),
    ("DEPTH-1", "depth micrometer", &["depth", "height", "above deck", "below face"]),
    ("WALL-1", "ultrasonic thickness gauge", &["ultrasonic"]),
    ("SPRING-1", "spring tester", &["tester"]),
    ("BURETTE-1", "burette", &["burette"]),
    ("SCALE-1", "scale", &["weight"]),
    ("CAL-1", "calliper", &[]),
];

/// The demonstration's own shop: its figures are the facts the expected answers were computed with; what they say nothing of is
/// common practice.
pub(super) fn demo_shop(scribe: &Scribe) -> Vec<(String, String)> {
    let figure = |instrument: &str, expanded: &str, setting: &str, transfer: &str| json!({ "instrument": instrument, "unit": "in", "expanded": expanded, "setting": setting, "transfer": transfer });
    let own = vec![
        figure("micrometer", "0.00025", "0.000075", "0"),
        figure("dial bore gauge", "0.00035", "0.000075", "0.000122474"),
        figure("ball micrometer for shells", "0.00015", "0.000055", "0"),
    ];
    let instruments = [own, practice()].concat();
    let rules = json!({
        "revision": 1, "probability": "0.95",
        "instruments": instruments,
        "stock": [
            { "shape": "bore", "unit": "in", "stock": "0.003" },
            { "shape": "shaft", "unit": "in", "stock": "0.001" },
        ],
        "customer": {
            "ask": "Rowan Holt, telephone 555 0117, owner@shop.example",
            "break-in": [
                "Before the first start after standing, turn the engine over without ignition until the oil lamp is out.",
                "Look for leaks, and at oil and coolant, after the first hour and then every day of the first week.",
            ],
            "warranty": [
                "Parts and work named on this page: twelve months from the day of delivery, if it was broken in as said here.",
                "Not covered: overheating, running without oil, and what somebody else changed inside the engine.",
            ],
        },
    });
    let person = |name: &str, initials: &str, role: &str, mail: &str| json!({ "name": name, "initials": initials, "roles": [role], "mail": mail });
    let people = json!({ "revision": 1, "people": [
        person("Rowan Holt", "RH", "owner", "owner@shop.example"),
        person("Lin Marr", "LM", "bench", "bench@shop.example"),
        person("Odd Stenning", "OS", "machinist", "machinist@shop.example"),
        person("Sol Kerrin", "SK", "checker", "checker@shop.example"),
        person("Stenning Grinding", "SG", "machinist", "orders@grinding.example"),
    ] });
    let due =
        scribe.begin.checked_add((24 * 9).hours()).unwrap_or(scribe.begin).strftime("%Y-%m-%d").to_string();
    let calibrated = json!({ "gauge": "MIC-23", "instrument": "micrometer", "set-by": "MIC-23",
        "calibrated": { "due": due, "certificate": "H-118" } });
    let gauge =
        |mark: &str, instrument: &str| json!({ "gauge": mark, "instrument": instrument, "set-by": "MIC-23" });
    let wrench = |mark: &str, from: &str, to: &str| json!({ "gauge": mark, "instrument": "torque wrench", "range": { "from": from, "to": to, "unit": "lbf ft" } });
    let others = OTHER_GAUGES.map(|(mark, instrument, _)| {
        let name = format!("gauge-{}.json", mark.to_lowercase());
        (name, scribe.shop(1, "gauge", &json!({ "gauge": mark, "instrument": instrument })))
    });
    let drops = [
        ("sheet-ov-24.json", scribe.sheet(OV24)),
        ("sheet-kd-3.json", scribe.sheet(KD3)),
        ("house-rules.json", scribe.shop(0, "house-rules", &rules)),
        ("people.json", scribe.shop(0, "people", &people)),
        ("price-list.json", scribe.shop(0, "price-list", &prices::list())),
        ("gauge-mic-23-calibrated.json", scribe.shop(2, "gauge", &calibrated)),
        ("gauge-mic-23.json", scribe.shop(1, "gauge", &gauge("MIC-23", "micrometer"))),
        ("gauge-mic-12.json", scribe.shop(1, "gauge", &gauge("MIC-12", "micrometer"))),
        ("gauge-bore-1.json", scribe.shop(1, "gauge", &gauge("BORE-1", "dial bore gauge"))),
        ("gauge-tw-1.json", scribe.shop(1, "gauge", &wrench("TW-1", "20", "150"))),
        ("gauge-tw-2.json", scribe.shop(1, "gauge", &wrench("TW-2", "2", "25"))),
    ]
    .map(|(name, drop)| (name.to_owned(), drop));
    drops.into_iter().chain(others).collect()
}

/// A set of readings in the trade's table form: position, then one value a place.
pub(super) fn readings(feature: &str, places: &[(&str, &str)], table: &[(&str, &[&str])]) -> Vec<Value> {
    let row = |(position, values): &(&str, &[&str])| {
        let one = |((station, direction), value): (&(&str, &str), &&str)| json!({ "feature": feature, "position": position, "station": station, "direction": direction, "value": value });
        places.iter().zip(values.iter()).map(one).collect::<Vec<_>>()
    };
    table.iter().flat_map(row).collect()
}

/// Features of the first engine.
pub(super) const THRUST: &str = "wall on the thrust side";
pub(super) const OTHERS: &str = "wall on other sides";

/// Walls of its bores 1 to 4, and the same less half of 0.030.
pub(super) const WALLS: [&str; 4] = ["0.205", "0.198", "0.201", "0.204"];
pub(super) const OTHER_WALLS: [&str; 4] = ["0.199", "0.196", "0.198", "0.200"];
pub(super) const WALLS_BORED: [&str; 4] = ["0.190", "0.183", "0.186", "0.189"];
pub(super) const OTHER_WALLS_BORED: [&str; 4] = ["0.184", "0.181", "0.183", "0.185"];

/// The places of a journal in the order of the tables below.
pub(super) const JOURNAL: [(&str, &str); 4] = [("front", "X"), ("front", "Y"), ("rear", "X"), ("rear", "Y")];

/// The places of a bore: three levels and an unworn band.
pub(super) const BORE: [(&str, &str); 7] = [
    ("top", "X"),
    ("top", "Y"),
    ("middle", "X"),
    ("middle", "Y"),
    ("bottom", "X"),
    ("bottom", "Y"),
    ("unworn", "X"),
];

/// Bores as received.
pub(super) const BORES: [(&str, &[&str]); 4] = [
    ("1", &["3.6138", "3.6128", "3.6126", "3.6120", "3.6114", "3.6112", "3.6110"]),
    ("2", &["3.6140", "3.6130", "3.6127", "3.6121", "3.6114", "3.6112", "3.6110"]),
    ("3", &["3.6155", "3.6134", "3.6139", "3.6125", "3.6115", "3.6112", "3.6110"]),
    ("4", &["3.6136", "3.6127", "3.6125", "3.6120", "3.6113", "3.6111", "3.6110"]),
];

/// Main journals as received, without the fourth, which is typed with its digits swapped first.
pub(super) const MAINS: [(&str, &[&str]); 4] = [
    ("1", &["2.2488", "2.2487", "2.2488", "2.2487"]),
    ("2", &["2.2489", "2.2488", "2.2488", "2.2488"]),
    ("3", &["2.2479", "2.2471", "2.2480", "2.2472"]),
    ("5", &["2.2490", "2.2489", "2.2489", "2.2489"]),
];

/// The fourth main journal as typed.
pub(super) const MAIN_4_SWAPPED: [(&str, &[&str]); 1] = [("4", &["2.4288", "2.4288", "2.4288", "2.4288"])];

/// The fourth main journal as it is.
pub(super) const MAIN_4: [(&str, &[&str]); 1] = [("4", &["2.2488", "2.2487", "2.2487", "2.2487"])];

/// Crankpins as received.
pub(super) const PINS: [(&str, &[&str]); 4] = [
    ("1", &["1.9987", "1.9986", "1.9986", "1.9985"]),
    ("2", &["1.9983", "1.9979", "1.9982", "1.9978"]),
    ("3", &["1.9988", "1.9987", "1.9987", "1.9987"]),
    ("4", &["1.9986", "1.9985", "1.9986", "1.9985"]),
];

/// Main journals after grinding to 0.010 under.
pub(super) const MAINS_GROUND: [(&str, &[&str]); 5] = [
    ("1", &["2.2393", "2.2392", "2.2393", "2.2392"]),
    ("2", &["2.2393", "2.2393", "2.2393", "2.2393"]),
    ("3", &["2.2392", "2.2392", "2.2392", "2.2391"]),
    ("4", &["2.2393", "2.2392", "2.2393", "2.2393"]),
    ("5", &["2.2393", "2.2393", "2.2392", "2.2392"]),
];

/// Crankpins after grinding to 0.020 under; the third was left tapered.
pub(super) const PINS_GROUND: [(&str, &[&str]); 4] = [
    ("1", &["1.9793", "1.9792", "1.9793", "1.9793"]),
    ("2", &["1.9793", "1.9793", "1.9792", "1.9792"]),
    ("3", &["1.9795", "1.9795", "1.9791", "1.9791"]),
    ("4", &["1.9792", "1.9792", "1.9793", "1.9792"]),
];

/// The third crankpin when it is back again.
pub(super) const PIN_3_AGAIN: [(&str, &[&str]); 1] = [("3", &["1.9793", "1.9792", "1.9793", "1.9793"])];
