//! A whole rebuild, made from a sheet: every drop a shop would write from the check-in to the hand-over, each by a name,
//! in recorded order, with every asked place read at a good value.
//!
//! What is asked is read from the written sheet, not from the house's own understanding of it, and the values are worked
//! out in whole millionths. Everything is invented.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "rebuild_work.rs"]
mod work;

use crate::digits::{digits, inside, millionths};
use crate::support::OV24;
use jiff::{Timestamp, ToSpan};
use serde_json::{Value, json};

/// A drop and what this rebuild calls it.
pub type Named = (String, Value);

/// Work on all positions of a feature, to a size.
#[derive(Clone, Copy, Debug)]
pub struct Cut {
    /// Key of the feature.
    pub feature: &'static str,
    /// `grind`, `bore`.
    pub operation: &'static str,
    /// `0.010 under`.
    pub size: &'static str,
    /// Number of the order it goes out with; done in the house where there is none.
    pub order: Option<&'static str>,
}

/// What is rebuilt, and how.
#[derive(Clone, Copy, Debug)]
pub struct Plan {
    /// Text of the sheet's drop.
    pub sheet: &'static str,
    /// What came.
    pub scope: &'static str,
    /// What is cut.
    pub cuts: &'static [Cut],
}

/// The first invented engine, complete, with what a worn one of it is cut to.
pub const OV24_REBUILD: Plan = Plan {
    sheet: OV24,
    scope: "complete",
    cuts: &[
        Cut { feature: "main journal", operation: "grind", size: "0.010 under", order: Some("WO-1") },
        Cut { feature: "crankpin", operation: "grind", size: "0.020 under", order: Some("WO-2") },
        Cut { feature: "bore", operation: "bore and hone", size: "0.030 over", order: None },
    ],
};

/// The second invented engine, complete, with its mains ground in the house.
pub const KD3_REBUILD: Plan = Plan {
    sheet: include_str!("../../schemas/examples/sheet.v1/pass/kd-3.json"),
    scope: "complete",
    cuts: &[Cut { feature: "main journal", operation: "grind", size: "0.25 under", order: None }],
};

pub const JOB: &str = "24-017";
const APPROVER: &str = "Ines Ferrow";

/// Every drop of a rebuild that ends with the engine handed over.
pub fn rebuild(plan: &Plan) -> Vec<Named> {
    let sheet: Value = serde_json::from_str(plan.sheet).unwrap();
    let body = sheet["body"].clone();
    let mut rebuild =
        Rebuild { plan: *plan, sheet: body, at: "2026-03-02T07:00:00Z".parse().unwrap(), drops: Vec::new() };
    rebuild.drops.push(("sheet".to_owned(), sheet));
    rebuild.receive();
    rebuild.take_apart();
    rebuild.inspect();
    rebuild.agree();
    rebuild.machine();
    rebuild.plug();
    rebuild.measure_as_fitted();
    rebuild.assemble();
    rebuild.hand_over();
    rebuild.drops
}

struct Rebuild {
    plan: Plan,
    sheet: Value,
    at: Timestamp,
    drops: Vec<Named>,
}

fn list<'a>(value: &'a Value, key: &str) -> &'a [Value] {
    value[key].as_array().map_or(&[], Vec::as_slice)
}

fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or("")
}

fn is(value: &Value, key: &str) -> bool {
    value[key].as_bool().unwrap_or(false)
}

/// Tightened in stages, by more than two, and the sheet gives no order of the maker's.
fn lacks_order(group: &Value) -> bool {
    let stages = |of: &Value| list(of, "stages").len();
    let most = list(group, "sizes").iter().map(stages).max().unwrap_or(0).max(stages(group));
    let bolts: u64 = list(group, "sizes").iter().map(|size| size["count"].as_u64().unwrap()).sum();
    let said = !list(group, "pattern").is_empty() || !text(group, "pattern-words").is_empty();
    let own = said && text(group, "pattern-source") != "generic, not the maker's";
    most + list(group, "angles").len() > 1 && bolts > 2 && !own
}

impl Rebuild {
    fn write(&mut self, name: impl Into<String>, kind: &str, who: &str, body: Value) {
        self.at = self.at.checked_add(5.minutes()).unwrap();
        let drop = json!({"kind": kind, "version": 1, "job": JOB, "who": who, "recorded": self.at.to_string(),
            "device": "tablet 1", "body": body});
        self.drops.push((name.into(), drop));
    }

    fn write_shop(&mut self, name: &str, kind: &str, body: Value) {
        self.write(name, kind, "RH", body);
        self.drops.last_mut().unwrap().1.as_object_mut().unwrap().remove("job");
    }

    /// Rows of a list of the sheet that are for what came.
    fn asked(&self, key: &str) -> Vec<Value> {
        list(&self.sheet, key).iter().filter(|row| self.concerns(row)).cloned().collect()
    }

    fn concerns(&self, row: &Value) -> bool {
        let scopes = list(row, "scopes");
        scopes.is_empty() || scopes.iter().any(|scope| scope == self.plan.scope)
    }

    /// Features with a row that is asked in a condition.
    fn features(&self, condition: &str) -> Vec<Value> {
        let asked = |row: &Value| {
            list(row, "asked").iter().any(|asked| asked["condition"] == condition && self.concerns(asked))
        };
        let features = list(&self.sheet, "features");
        features.iter().filter(|feature| list(feature, "rows").iter().any(asked)).cloned().collect()
    }

    fn receive(&mut self) {
        self.write_shop(
            "house rules",
            "house-rules",
            json!({"revision": 1, "probability": "0.95", "instruments": [],
            "stock": []}),
        );
        let range = json!({"from": "2", "to": "200", "unit": "lbf ft"});
        self.write_shop(
            "wrench TW-1",
            "gauge",
            json!({"gauge": "TW-1", "instrument": "torque wrench", "range": range}),
        );
        let sheet = text(&self.sheet, "sheet").to_owned();
        self.write(
            "check-in",
            "check-in",
            "RH",
            json!({"sheet": sheet, "customer": {"name": "Ferrowmere Mill"},
            "engine": {"serial": "00317"}, "scope": [self.plan.scope], "approver": APPROVER}),
        );
        self.answer("checked in");
        self.write(
            "authority",
            "decision",
            "RH",
            json!({"authority": {"granted": true, "by": APPROVER,
            "how": "mail", "price": "180.00", "if-declined": "collected as it lies"}}),
        );
    }

    fn answer(&mut self, stage: &str) {
        for check in self.asked("checks").iter().filter(|check| check["stage"] == stage) {
            let key = text(check, "check");
            let who = if check["by"] == "checker" { "SK" } else { "LM" };
            let mut made = json!({"check": key, "result": "yes"});
            if let Some(reads) = check.get("reads") {
                // At its limit, which is inside; 50 where it has none.
                let value = reads["min"].as_str().or_else(|| reads["max"].as_str()).unwrap_or("50");
                made["value"] = value.into();
            }
            self.write(format!("check {key}"), "assembly", who, json!({"checks": [made]}));
        }
    }

    fn sign(&mut self, step: &str) {
        self.write(format!("sign {step}"), "sign-off", "RH", json!({"step": step, "name": "Rowan Holt"}));
    }

    fn part(&mut self, name: &str, part: &Value, more: Value) {
        let mut body = json!({"part": text(part, "part")});
        if !list(part, "positions").is_empty() {
            body["positions"] = json!(["all"]);
        }
        body.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        self.write(format!("{name} {}", text(part, "part")), "part", "LM", body);
    }

    fn take_apart(&mut self) {
        let parts = self.asked("parts");
        for group in self.asked("fasteners").iter().filter(|group| lacks_order(group)) {
            let about = format!("{} {}", text(group, "group"), text(group, "name"));
            let waiver = json!({"gate": "reassembly", "rule": "order of bolts", "about": about,
                "why": "the general order will do", "by": "Rowan Holt"});
            let name = format!("general order {}", text(group, "group"));
            self.write(name, "decision", "RH", json!({"waiver": waiver}));
        }
        for part in parts.iter().filter(|part| is(part, "strip")) {
            self.part("off", part, json!({"event": "off", "where": "rack A"}));
        }
        for (list, word) in [("fasteners", "bag"), ("plugs", "plugs out"), ("pins", "pins out")] {
            for group in self.asked(list) {
                self.count(word, &group, "bagged");
            }
        }
        self.answer("teardown");
        let kept = |part: &&Value| (is(part, "strip") || is(part, "look")) && !is(part, "renewed");
        for part in parts.iter().filter(kept) {
            self.part("clean", part, json!({"event": "cleaned", "method": "spray cabinet"}));
        }
        self.sign("teardown");
    }

    /// Counts every size of a group as the sheet has them.
    fn count(&mut self, word: &str, group: &Value, state: &str) {
        let pieces: Vec<Value> = list(group, "sizes")
            .iter()
            .map(|size| json!({"size": size["size"], "count": size["count"]}))
            .collect();
        let key = text(group, "group");
        self.write(
            format!("{word} {key}"),
            "hardware",
            "LM",
            json!({"group": key, "state": state, "pieces": pieces}),
        );
    }

    fn finding(&mut self, name: &str, part: &Value, test: Option<&str>) {
        let key = text(part, "part");
        let mut seen = json!({"part": key, "defect": "nothing found", "severity": 0});
        if let Some(kind) = test {
            seen["test"] = json!({"kind": kind, "result": "passed", "how": "as the sheet says"});
        }
        self.write(format!("{name} {key}"), "finding", "LM", json!({"findings": [seen]}));
    }

    /// Magnetic particles show nothing in aluminium (trade notes A8).
    fn shows_cracks(&self, part: &Value) -> &'static str {
        let alloy = text(part, "material").ends_with("alloy");
        if alloy { "dye penetrant" } else { "magnetic particle" }
    }

    fn inspect(&mut self) {
        self.answer("inspection");
        for part in self.asked("parts") {
            // A test looks too.
            if is(&part, "look") && !is(&part, "crack-test") && !is(&part, "pressure-test") {
                self.finding("look", &part, None);
            }
            if is(&part, "crack-test") {
                self.finding("crack test", &part, Some(self.shows_cracks(&part)));
            }
            if is(&part, "pressure-test") {
                self.finding("pressure test", &part, Some("pressure test"));
            }
        }
        for feature in self.features("as received") {
            self.measure("read", &feature, "as received", None);
        }
    }

    /// Reads every place of a feature at a good value.
    fn measure(&mut self, word: &str, feature: &Value, condition: &str, bolts: Option<&str>) {
        let key = text(feature, "feature");
        let value = digits(self.good(feature, condition));
        let lift = list(feature, "rows").iter().any(|row| row["characteristic"] == "lift");
        let mut readings = Vec::new();
        for position in list(feature, "positions") {
            for station in list(feature, "stations") {
                // A lift is read at once on the dial, or from two diameters.
                let directions = list(feature, "directions").iter().filter(|d| !lift || *d == "dial");
                readings.extend(directions.map(|direction| {
                    json!({"feature": key, "position": position, "station": station, "direction": direction,
                        "value": value})
                }));
            }
        }
        let unit = feature["unit"].as_str().unwrap_or_else(|| text(&self.sheet, "unit"));
        let mut body = json!({"condition": condition, "unit": unit, "readings": readings});
        if let Some(bolts) = bolts.or_else(|| self.clamp(key).map(|_| "old")) {
            body["bolts"] = bolts.into();
        }
        self.write(format!("{word} {key}"), "measurements", "LM", body);
    }

    /// The fastener group that clamps a feature when it is measured.
    fn clamp(&self, feature: &str) -> Option<Value> {
        self.asked("fasteners").into_iter().find(|group| list(group, "clamps").iter().any(|f| f == feature))
    }

    /// The cut that gives a feature, or the part it belongs to, its size.
    fn cut(&self, feature: &Value) -> Option<Cut> {
        if let Some(own) = self.plan.cuts.iter().find(|cut| feature["feature"] == cut.feature) {
            return Some(*own);
        }
        let part = list(&self.sheet, "parts").iter().find(|part| part["part"] == feature["part"])?;
        self.cut_of_group(text(part, "sized-by"))
    }

    fn cut_of_group(&self, group: &str) -> Option<Cut> {
        let in_group = |cut: &&Cut| {
            let feature = list(&self.sheet, "features").iter().find(|f| f["feature"] == cut.feature).unwrap();
            !group.is_empty() && text(feature, "group") == group
        };
        self.plan.cuts.iter().find(in_group).copied()
    }

    /// A value well inside what judges the feature in a condition, in millionths.
    fn good(&self, feature: &Value, condition: &str) -> i64 {
        const OF_SEVERAL: [&str; 5] = ["out-of-round", "taper", "wear", "spread", "removed"];
        let own = |row: &&Value| !OF_SEVERAL.contains(&text(row, "characteristic"));
        let row = list(feature, "rows").iter().find(own).unwrap();
        let standard = row["nominal"]
            .as_str()
            .map(millionths)
            .or_else(|| inside(&row["new"]))
            .or_else(|| inside(&row["service"]))
            .unwrap();
        let resized = condition != "as received"
            || self.drops.iter().any(|(name, _)| *name == format!("replace {}", text(feature, "part")));
        let Some(cut) = self.cut(feature).filter(|_| resized && !feature["sizes"].is_null()) else {
            return standard;
        };
        let step = millionths(cut.size.split_once(' ').unwrap().0);
        let step = if is(&feature["sizes"], "halved") { step / 2 } else { step };
        // A shaft is ground smaller, a bore and what goes into it is bigger, and a shell wall is thicker.
        let grows = feature["sizes"]["sense"] == "over" || feature["shape"] == "wall";
        let finish = inside(&feature["sizes"]["finish"]).unwrap_or(standard);
        if grows { finish + step } else { finish - step }
    }
}
