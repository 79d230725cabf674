//! A bench: writes what a shop would write of one engine, read off the engine's own sheet, so that a chapter of the
//! story is a few lines and nothing that the sheet asks for is forgotten.

use super::digits::{digits, inside, millionths};
use super::scenario::OTHER_GAUGES;
use jiff::{Timestamp, ToSpan as _};
use serde_json::{Map, Value, json};

/// Work on all positions of a feature, to a size.
#[derive(Clone, Copy)]
pub(super) struct Cut {
    pub(super) feature: &'static str,
    pub(super) size: &'static str,
}

/// The papers of one engine as they are written.
pub(super) struct Bench {
    pub(super) job: &'static str,
    pub(super) sheet: Value,
    pub(super) cuts: &'static [Cut],
    at: Timestamp,
    papers: Vec<(String, String)>,
}

pub(super) fn list<'a>(value: &'a Value, key: &str) -> &'a [Value] {
    value.get(key).and_then(Value::as_array).map_or(&[], Vec::as_slice)
}

pub(super) fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value.get(key).and_then(Value::as_str).unwrap_or("")
}

pub(super) fn is(value: &Value, key: &str) -> bool {
    value.get(key).and_then(Value::as_bool).unwrap_or(false)
}

/// An object with more members.
pub(super) fn with(mut value: Value, more: &Value) -> Value {
    if let (Some(object), Some(more)) = (value.as_object_mut(), more.as_object()) {
        object.extend(more.clone());
    }
    value
}

impl Bench {
    pub(super) fn of(job: &'static str, sheet: &str, cuts: &'static [Cut], at: Timestamp) -> Self {
        let drop: Value = serde_json::from_str(sheet).unwrap_or_default();
        let sheet = drop.get("body").cloned().unwrap_or_default();
        Self { job, sheet, cuts, at, papers: Vec::new() }
    }

    /// What was written since the last chapter.
    pub(super) fn chapter(&mut self) -> Vec<(String, String)> {
        std::mem::take(&mut self.papers)
    }

    /// Some hours go by.
    pub(super) fn later(&mut self, hours: i64) {
        self.at = self.at.checked_add(hours.hours()).unwrap_or(self.at);
    }

    /// A day, so many from where the story is.
    pub(super) fn day(&self, days: i64) -> String {
        let at = self.at.checked_add((24 * days).hours()).unwrap_or(self.at);
        at.strftime("%Y-%m-%d").to_string()
    }

    /// Writes a paper and gives its text.
    pub(super) fn write(&mut self, name: &str, kind: &str, who: &str, body: &Value) -> String {
        self.at = self.at.checked_add(1.minutes()).unwrap_or(self.at);
        let recorded = self.at.strftime("%Y-%m-%dT%H:%M:%SZ").to_string();
        let mut head = Map::new();
        for (key, value) in [("kind", kind), ("who", who), ("recorded", &recorded), ("job", self.job)] {
            head.insert(key.to_owned(), value.into());
        }
        head.insert("version".to_owned(), 1.into());
        head.insert("device".to_owned(), "demo tablet".into());
        head.insert("body".to_owned(), body.clone());
        let paper = format!("{:#}\n", Value::Object(head));
        self.papers.push((format!("{} {name}.json", self.job), paper.clone()));
        paper
    }

    /// Rows of a list of the sheet that are for a complete engine.
    pub(super) fn rows(&self, key: &str) -> Vec<Value> {
        list(&self.sheet, key).iter().filter(|row| for_complete(row)).cloned().collect()
    }

    /// Answers the checks of a stage.
    pub(super) fn answer(&mut self, stage: &str) {
        for check in self.rows("checks").iter().filter(|check| text(check, "stage") == stage) {
            let key = text(check, "check");
            let who = if text(check, "by") == "checker" { "SK" } else { "LM" };
            let mut made = json!({"check": key, "result": "yes"});
            if check.get("reads").is_some() {
                made = with(made, &json!({"value": read_on_gauges(key)}));
            }
            let body = json!({"checks": [made]});
            self.write(&format!("check {key}"), "assembly", who, &body);
        }
    }

    pub(super) fn sign(&mut self, step: &str) {
        let body = json!({"step": step, "name": "Rowan Holt"});
        self.write(&format!("signed {step}"), "sign-off", "RH", &body);
    }

    /// A part of every position: something happens to it.
    pub(super) fn part(&mut self, name: &str, part: &Value, more: &Value) {
        let mut body = json!({"part": text(part, "part")});
        if !list(part, "positions").is_empty() {
            body = with(body, &json!({"positions": ["all"]}));
        }
        let body = with(body, more);
        self.write(&format!("{name} {}", text(part, "part")), "part", "LM", &body);
    }

    /// Everything comes off and lies in trays and bags, counted; plugs and pins are out; it is cleaned.
    pub(super) fn take_apart(&mut self) {
        let parts = self.rows("parts");
        for (index, part) in parts.iter().filter(|part| is(part, "strip")).enumerate() {
            let mut more = json!({"event": "off", "where": format!("rack A, tray {}", index + 1)});
            if matches!(text(part, "part"), "piston" | "main cap" | "rod" | "rod cap") {
                more = with(
                    more,
                    &json!({"way-round": "arrow to the front", "marks": "numbered 1 from the front"}),
                );
            }
            self.part("off", part, &more);
        }
        for key in ["fasteners", "plugs", "pins"] {
            for (index, group) in self.rows(key).iter().enumerate() {
                let bag =
                    json!({"bag": format!("{} {}", text(group, "group"), index + 1), "place": "shelf B"});
                self.count("bag", group, "bagged", &bag);
            }
        }
        self.answer("teardown");
        let kept = |part: &&Value| (is(part, "strip") || is(part, "look")) && !is(part, "renewed");
        for part in parts.iter().filter(kept) {
            self.part("clean", part, &json!({"event": "cleaned", "method": "spray cabinet"}));
        }
    }

    /// Counts every size of a group as the sheet has them.
    pub(super) fn count(&mut self, name: &str, group: &Value, state: &str, more: &Value) {
        let size = |size: &Value| json!({"size": size.get("size"), "count": size.get("count")});
        let pieces: Vec<Value> = list(group, "sizes").iter().map(size).collect();
        let key = text(group, "group");
        let body = json!({"group": key, "state": state, "pieces": pieces});
        self.write(&format!("{name} {key} {state}"), "hardware", "LM", &with(body, more));
    }

    fn is_aluminium(&self, part: &Value) -> bool {
        let own = |material: &&Value| text(material, "material") == text(part, "material");
        let material = list(&self.sheet, "materials").iter().find(own);
        material.is_some_and(|material| text(material, "metal") == "aluminium")
    }

    /// Everything is looked at and tested; nothing is found.
    pub(super) fn look(&mut self) {
        let mut findings = Vec::new();
        for part in self.rows("parts") {
            let key = text(&part, "part");
            let crack = if self.is_aluminium(&part) { "dye penetrant" } else { "magnetic particle" };
            let tests = [("crack-test", crack), ("pressure-test", "pressure test")];
            let done: Vec<&str> =
                tests.iter().filter(|(asked, _)| is(&part, asked)).map(|(_, test)| *test).collect();
            let seen = json!({"part": key, "defect": "nothing found", "severity": 0});
            for test in &done {
                let how = match *test {
                    "pressure test" => "60 psi, ten minutes",
                    "dye penetrant" => "after blasting, half an hour",
                    _ => "wet, both directions",
                };
                let test = json!({"test": {"kind": test, "result": "passed", "how": how}});
                findings.push(with(seen.clone(), &test));
            }
            if done.is_empty() && is(&part, "look") {
                findings.push(seen);
            }
        }
        self.write("looked at and tested", "finding", "LM", &json!({"findings": findings}));
    }

    /// Reads every feature that is asked in a condition at a good value, but for those named.
    pub(super) fn read(&mut self, condition: &str, but: &[&str]) {
        for feature in self.asked(condition) {
            if !but.contains(&text(&feature, "feature")) {
                self.measure(&feature, condition, "read");
            }
        }
    }

    /// Features with a row that is asked in a condition.
    pub(super) fn asked(&self, condition: &str) -> Vec<Value> {
        let asked = |row: &Value| {
            list(row, "asked")
                .iter()
                .any(|asked| text(asked, "condition") == condition && for_complete(asked))
        };
        let features = list(&self.sheet, "features").iter();
        features.filter(|feature| list(feature, "rows").iter().any(asked)).cloned().collect()
    }

    pub(super) fn feature(&self, key: &str) -> Value {
        let features = list(&self.sheet, "features");
        features.iter().find(|feature| text(feature, "feature") == key).cloned().unwrap_or_default()
    }

    /// A part bought new is measured as received, at its size.
    pub(super) fn measure_new(&mut self, feature: &Value) {
        let value = digits(self.good(feature, "bought"));
        self.set(feature, "as received", "new", &|_| value.clone());
    }

    /// Every place of a feature at a good value.
    pub(super) fn measure(&mut self, feature: &Value, condition: &str, word: &str) {
        let value = digits(self.good(feature, condition));
        self.set(feature, condition, word, &|_| value.clone());
    }

    /// Every place of a feature, a value for each position.
    pub(super) fn measure_each(&mut self, feature: &Value, condition: &str, word: &str, values: &[&str]) {
        self.set(feature, condition, word, &|position| {
            values.get(position).copied().unwrap_or_default().to_owned()
        });
    }

    fn set(&mut self, feature: &Value, condition: &str, word: &str, value: &dyn Fn(usize) -> String) {
        let key = text(feature, "feature");
        let lift = list(feature, "rows").iter().any(|row| text(row, "characteristic") == "lift");
        let mut readings = Vec::new();
        for (index, position) in list(feature, "positions").iter().enumerate() {
            for station in list(feature, "stations") {
                // A lift is read at once on the dial, or from two diameters.
                let directions = list(feature, "directions").iter().filter(|d| !lift || *d == "dial");
                readings.extend(directions.map(|direction| {
                    json!({"feature": key, "position": position, "station": station, "direction": direction,
                        "value": value(index)})
                }));
            }
        }
        let unit =
            if text(feature, "unit").is_empty() { text(&self.sheet, "unit") } else { text(feature, "unit") };
        let mut body = json!({"condition": condition, "gauge": Self::gauge(feature), "unit": unit, "readings": readings});
        let clamped =
            |group: &Value| list(group, "clamps").iter().any(|clamped| clamped.as_str() == Some(key));
        if self.rows("fasteners").iter().any(clamped) {
            body = with(body, &json!({"bolts": "old"}));
        }
        self.write(&format!("{word} {key} {condition}"), "measurements", "LM", &body);
    }

    /// What it is read with.
    fn gauge(feature: &Value) -> &'static str {
        let directions: Vec<&str> = list(feature, "directions").iter().filter_map(Value::as_str).collect();
        let is_read = |with: &[&str]| directions.iter().any(|direction| with.contains(direction));
        match text(feature, "shape") {
            "shaft" => "MIC-12",
            "bore" => "BORE-1",
            _ => OTHER_GAUGES.iter().find(|(_, _, with)| is_read(with)).map_or("CAL-1", |(mark, _, _)| mark),
        }
    }

    /// The cut that gives a part its size: of the group it is sized by.
    pub(super) fn cut_of_group(&self, group: &str) -> Option<Cut> {
        let fits = |cut: &&Cut| !group.is_empty() && text(&self.feature(cut.feature), "group") == group;
        self.cuts.iter().find(fits).copied()
    }

    fn cut(&self, feature: &Value) -> Option<Cut> {
        let own = self.cuts.iter().find(|cut| text(feature, "feature") == cut.feature).copied();
        let part = list(&self.sheet, "parts").iter().find(|part| text(part, "part") == text(feature, "part"));
        own.or_else(|| self.cut_of_group(text(part?, "sized-by")))
    }

    /// A value well inside what judges the feature in a condition, in millionths: new, at the size it is then.
    fn good(&self, feature: &Value, condition: &str) -> i64 {
        const OF_SEVERAL: [&str; 5] = ["out-of-round", "taper", "wear", "spread", "removed"];
        let own = |row: &&Value| !OF_SEVERAL.contains(&text(row, "characteristic"));
        let row = list(feature, "rows").iter().find(own);
        let of = |key: &str| row.and_then(|row| inside(row.get(key)));
        let nominal = row.and_then(|row| millionths(text(row, "nominal")));
        let standard = nominal.or_else(|| of("new")).or_else(|| of("service")).unwrap_or_default();
        let sizes = feature.get("sizes").unwrap_or(&Value::Null);
        let Some(cut) = self.cut(feature).filter(|_| condition != "as received" && !sizes.is_null()) else {
            return standard;
        };
        let step = cut.size.split_once(' ').and_then(|(step, _)| millionths(step)).unwrap_or_default();
        let step = if is(sizes, "halved") { step / 2 } else { step };
        let finish = inside(sizes.get("finish")).unwrap_or(standard);
        // A shaft is ground smaller, a bore and what goes into it is bigger, and a shell wall is thicker.
        let grows = text(sizes, "sense") == "over" || text(feature, "shape") == "wall";
        if grows { finish + step } else { finish - step }
    }
}

/// What the gauges showed when the pump was primed, and when the engine was started and run in.
fn read_on_gauges(check: &str) -> &'static str {
    match check {
        "pump primed" => "35 psi",
        "time to oil pressure" => "4 s",
        "oil pressure cold idle" => "48 psi",
        "oil pressure hot idle" => "22 psi",
        "oil pressure at speed" => "52 psi",
        "coolant temperature" => "187 deg F",
        _ => "",
    }
}

fn for_complete(row: &Value) -> bool {
    let scopes = list(row, "scopes");
    scopes.is_empty() || scopes.iter().any(|scope| scope == "complete")
}
