//! What is open, kept apart from the house: the written sheet says what is asked, and each paper closes what it says.
//!
//! An obligation is named by the fact that ends it; what it is printed as is the gate, the rule, who must act, and what
//! it is about.

use super::story::{CUTS, cut_of_group, fits, list, positions, row, text};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// The gates in order, each with what is signed there.
const STEPS: [(&str, &str); 6] = [
    ("teardown", "teardown"),
    ("inspection", "inspection"),
    ("machining", "machining"),
    ("reassembly", "reassembly"),
    ("released", "engine"),
    ("released", "delivered"),
];
const GATES: [&str; 6] = ["checked in", "teardown", "inspection", "machining", "reassembly", "released"];

/// What is open now.
pub(super) struct Truth {
    sheet: Value,
    /// By the fact that ends them.
    open: BTreeMap<String, Vec<String>>,
    /// Features that were read as they are now.
    known: BTreeSet<String>,
    /// Of those, surfaces whose readings are questioned.
    questioned: BTreeSet<String>,
    signed: usize,
}

impl Truth {
    pub(super) fn of(sheet: &Value) -> Self {
        Self {
            sheet: sheet.clone(),
            open: BTreeMap::new(),
            known: BTreeSet::new(),
            questioned: BTreeSet::new(),
            signed: 0,
        }
    }

    fn owe(&mut self, until: String, brief: String) {
        self.open.entry(until).or_default().push(brief);
    }

    /// A fact is said: what it ends, and what it begins.
    pub(super) fn say(&mut self, name: &str) {
        self.open.remove(name);
        match name.split_once(' ').unwrap_or((name, "")) {
            ("check-in", _) => self.checked_in(),
            ("sign", _) => self.signed += 1,
            // Whoever tests a part has looked at it.
            ("crack" | "pressure", rest) => drop(self.open.remove(&rest.replace("test ", "look "))),
            ("agree", feature) => self.agreed(feature),
            ("estimate", _) => self.owe("approval".to_owned(), "inspection approved customer".to_owned()),
            ("price", _) => self.owe("paid".to_owned(), "released paid customer".to_owned()),
            ("order", rest) => self.ordered(rest),
            ("cut", feature) => self.cut(feature),
            ("replace", part) => self.replaced(part),
            ("read", feature) => drop(self.known.insert(feature.trim_start_matches("new ").to_owned())),
            ("again", feature) => drop(self.known.insert(feature.to_owned())),
            ("as", rest) => drop(self.known.insert(rest.trim_start_matches("fitted ").to_owned())),
            ("correct", surface) => drop(self.questioned.remove(surface)),
            ("swapped", surface) => {
                self.questioned.insert(surface.to_owned());
                self.owe(format!("correct {surface}"), format!("inspection questioned bench {surface}"));
            }
            ("found", part) => {
                self.owe(format!("decide {part}"), format!("inspection what becomes of it bench {part} 2"));
            }
            ("decide", part) => {
                self.given_up(part);
                self.owe(format!("replace {part}"), format!("reassembly carried out bench {part}"));
            }
            ("used", group) => {
                self.open.remove(&format!("torque {group}"));
                let name = self.group(group);
                self.owe(format!("withdraw {group}"), format!("reassembly new bolts bench {name}"));
            }
            ("withdraw", group) => {
                let name = self.group(group);
                self.owe(format!("torque {group}"), format!("reassembly tightened bench {name}"));
            }
            _ => {}
        }
    }

    /// Something was read beyond its limit: until the bore or journal is to be cut, somebody decides or measures again.
    pub(super) fn is_beyond(&mut self, feature: &str, about: &str, proven: bool) {
        let actor = if proven { "owner" } else { "bench" };
        self.owe(format!("agree {feature}"), format!("inspection decided {actor} {about}"));
    }

    /// One of the values beyond a limit, not proven, was accepted by name.
    pub(super) fn accept(&mut self, feature: &str, position: &str) {
        let briefs = self.open.get_mut(&format!("agree {feature}")).unwrap();
        let brief = format!("inspection decided bench {feature} {position}");
        briefs.remove(briefs.iter().position(|known| *known == brief).unwrap());
    }

    fn checked_in(&mut self) {
        let sheet = self.sheet.clone();
        self.owe("authority".to_owned(), "checked in leave to take apart customer".to_owned());
        self.owe("estimate".to_owned(), "inspection estimated owner".to_owned());
        self.owe("price".to_owned(), "released priced owner".to_owned());
        for check in list(&sheet, "checks").iter().filter(|check| fits(check)) {
            let (key, stage, by) = (text(check, "check"), text(check, "stage"), text(check, "by"));
            self.owe(format!("check {key}"), format!("{stage} checked {by} {key}"));
        }
        for part in list(&sheet, "parts").iter().filter(|part| fits(part)) {
            let is = |key: &str| part[key] == true;
            let name = text(part, "part");
            let asked = [
                (is("strip"), "off", "teardown accounted for"),
                ((is("strip") || is("look")) && !is("renewed"), "clean", "teardown cleaned"),
                (is("look"), "look", "inspection looked at"),
                (is("crack-test"), "crack test", "inspection tested"),
                (is("pressure-test"), "pressure test", "inspection tested"),
                (is("fitted"), "fit", "reassembly fitted"),
            ];
            for (_, verb, brief) in asked.iter().filter(|(asked, ..)| *asked) {
                self.owe(format!("{verb} {name}"), format!("{brief} bench {name}"));
            }
        }
        self.owe_counts(&sheet);
        self.owe_readings(&sheet);
    }

    fn owe_counts(&mut self, sheet: &Value) {
        let of_lists: [(&str, &[(&str, &str)]); 3] = [
            (
                "fasteners",
                &[
                    ("bag", "teardown bagged"),
                    ("torque", "reassembly tightened"),
                    ("bag used", "reassembly bags used up"),
                ],
            ),
            ("plugs", &[("plugs out", "teardown plugs out"), ("plugs in", "machining plugs in")]),
            ("pins", &[("pins out", "teardown pins out"), ("pins in", "reassembly pins in")]),
        ];
        for (key, asked) in of_lists {
            for group in list(sheet, key).iter().filter(|group| fits(group)) {
                let name = self.group(text(group, "group"));
                for (verb, brief) in asked {
                    self.owe(format!("{verb} {}", text(group, "group")), format!("{brief} bench {name}"));
                }
                // Nuts and washers that are always new are counted in beside the bolts.
                let is_size =
                    |new: &Value| list(group, "sizes").iter().any(|size| size["size"] == new["what"]);
                if list(group, "always-new").iter().any(|new| !is_size(new)) && group["single-use"] != true {
                    self.owe(
                        format!("always new {}", text(group, "group")),
                        format!("reassembly always new bench {name}"),
                    );
                }
            }
        }
    }

    fn owe_readings(&mut self, sheet: &Value) {
        for (condition, verb, brief) in [
            ("as received", "read", "inspection measured"),
            ("at assembly", "as fitted", "reassembly as fitted"),
        ] {
            for feature in self.asked(condition) {
                let about = positions(sheet, &feature);
                // What is gone once the engine is apart has a rule of its own.
                let gone = verb == "read" && self.is_play(&feature);
                let brief = if gone { "inspection measured before stripping" } else { brief };
                self.owe(format!("{verb} {feature}"), format!("{brief} bench {about}"));
            }
        }
    }

    fn is_play(&self, feature: &str) -> bool {
        let found = list(&self.sheet, "features").iter().find(|found| text(found, "feature") == feature);
        let play = |row: &Value| ["end play", "backlash"].contains(&text(row, "characteristic"));
        found.is_some_and(|feature| list(feature, "rows").iter().any(play))
    }

    /// Features with a row that is asked in a condition.
    fn asked(&self, condition: &str) -> Vec<String> {
        let asked = |row: &Value| {
            list(row, "asked").iter().any(|asked| asked["condition"] == condition && fits(asked))
        };
        let features = list(&self.sheet, "features").iter();
        let features = features.filter(|feature| list(feature, "rows").iter().any(asked));
        features.map(|feature| text(feature, "feature").to_owned()).collect()
    }

    fn group(&self, key: &str) -> String {
        let mut groups = ["fasteners", "plugs", "pins"].iter().flat_map(|kind| list(&self.sheet, kind));
        format!("{key} {}", text(groups.find(|group| text(group, "group") == key).unwrap(), "name"))
    }

    /// Agreed work is to be done, and what is bought in its size to be had.
    fn agreed(&mut self, feature: &str) {
        let sheet = self.sheet.clone();
        let cut = CUTS.iter().find(|cut| cut.feature == feature).unwrap();
        let done = cut.order.map_or_else(|| format!("cut {feature}"), |order| format!("order {order} back"));
        self.owe(done, format!("machining done machinist {}", positions(&sheet, feature)));
        for part in list(&sheet, "parts").iter().filter(|part| fits(part)) {
            if cut_of_group(&sheet, text(part, "sized-by")).is_some_and(|of| of.feature == feature) {
                let (name, size) = (text(part, "part"), cut.size);
                let until = format!("in hand {name}");
                self.owe(until.clone(), format!("inspection can be had owner {name}, {size}"));
                self.owe(until, format!("machining in hand supplier {name}, {size}"));
            }
        }
    }

    fn ordered(&mut self, rest: &str) {
        let (order, way) = rest.split_once(' ').unwrap();
        if way == "out" {
            self.owe(format!("order {order} back"), format!("machining out machinist work order {order}"));
        } else {
            self.cut(CUTS.iter().find(|cut| cut.order == Some(order)).unwrap().feature);
        }
    }

    /// What is cut is measured again, and crack tested again where it was ground.
    fn cut(&mut self, feature: &str) {
        let sheet = self.sheet.clone();
        self.known.remove(feature);
        let about = positions(&sheet, feature);
        self.owe(format!("again {feature}"), format!("machining measured again bench {about}"));
        // What the cut moves is measured too where the sheet asks for it: the wall around a bore.
        for moved in self.asked("after work") {
            if list(row(&sheet, "features", "feature", &moved), "moved-by").iter().any(|by| by == feature) {
                let about = positions(&sheet, &moved);
                self.owe(format!("again {moved}"), format!("machining measured again bench {about}"));
            }
        }
        let cut = CUTS.iter().find(|cut| cut.feature == feature).unwrap();
        let part = text(row(&sheet, "features", "feature", feature), "part");
        let until = format!("crack test again {part}");
        let is_tested = row(&sheet, "parts", "part", part)["crack-test"] == true;
        if cut.operation == "grind" && is_tested && !self.open.contains_key(&until) {
            self.owe(until, format!("machining tested again bench {part}"));
        }
    }

    /// Nobody measures what is to be thrown away, or decides how loose it is.
    fn given_up(&mut self, part: &str) {
        let features = self.asked_of(part);
        for feature in &features {
            self.open.remove(&format!("read {feature}"));
        }
        let is_of = |pair: &&Value| {
            ["inner", "outer"]
                .iter()
                .any(|key| features.iter().any(|feature| text(&pair[key], "feature") == feature))
        };
        let pairs =
            list(&self.sheet, "pairs").iter().filter(is_of).map(|pair| format!(" {} ", text(pair, "pair")));
        let pairs: Vec<String> = pairs.collect();
        for briefs in self.open.values_mut() {
            briefs.retain(|brief| {
                !brief.starts_with("inspection decided") || !pairs.iter().any(|pair| brief.contains(pair))
            });
        }
    }

    /// A new part is measured like the one it replaces.
    fn replaced(&mut self, part: &str) {
        for feature in self.asked_of(part) {
            self.known.remove(&feature);
            let about = positions(&self.sheet, &feature);
            self.owe(format!("read new {feature}"), format!("inspection measured bench {about}"));
        }
    }

    /// Features of a part that are measured as it comes.
    fn asked_of(&self, part: &str) -> Vec<String> {
        let is_of = |feature: &String| text(row(&self.sheet, "features", "feature", feature), "part") == part;
        self.asked("as received").into_iter().filter(is_of).collect()
    }

    /// Everything that is open, as it is printed: gate, rule, who must act, what it is about; sorted.
    pub(super) fn open(&self) -> Vec<String> {
        if self.open.is_empty() && self.signed == STEPS.len() {
            return Vec::new();
        }
        let mut all: Vec<String> = self.open.values().flatten().cloned().collect();
        all.extend(list(&self.sheet, "pairs").iter().flat_map(|pair| self.unknown(pair)));
        // A signature is asked for where nothing before it is open.
        if let Some((gate, _)) = STEPS.get(self.signed) {
            let upto = GATES.iter().position(|known| known == gate).unwrap();
            if !all.iter().any(|brief| GATES[..=upto].iter().any(|gate| brief.starts_with(gate))) {
                all.push(format!("{gate} signed owner"));
            }
        }
        all.sort();
        all
    }

    /// A pair is known when its members are, as they are now; positions that lack the same members are one line.
    fn unknown(&self, pair: &Value) -> Vec<String> {
        let asked = |asked: &Value| asked["condition"] == "at assembly" && fits(asked);
        if !list(&pair["row"], "asked").iter().any(asked) {
            return Vec::new();
        }
        let members = ["inner", "outer", "walls"].map(|key| text(&pair[key], "feature"));
        let inner = row(&self.sheet, "features", "feature", members[0]);
        let mut lines: BTreeMap<Vec<&str>, Vec<&str>> = BTreeMap::new();
        for position in list(inner, "positions").iter().filter_map(Value::as_str) {
            let is_open = |member: &&str| {
                !self.known.contains(*member) || self.questioned.contains(&format!("{member} {position}"))
            };
            let open: Vec<&str> =
                members.into_iter().filter(|member| !member.is_empty()).filter(is_open).collect();
            lines.entry(open).or_default().push(position);
        }
        lines.remove(&Vec::new());
        let brief =
            |at: &Vec<&str>| format!("reassembly as fitted bench {} {}", text(pair, "pair"), at.join(", "));
        lines.values().map(brief).collect()
    }
}
