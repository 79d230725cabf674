//! A slow, obvious reading of the drops of a rebuild: is everything said that must be, in its order, and is it good?
//!
//! It knows the names that the rebuild gives its drops and what was done to them, and nothing of the house's own rules.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use crate::rebuild::{Cut, Plan};
use jiff::Timestamp;
use serde_json::Value;

/// A drop as it stands among the others.
#[derive(Clone, Debug)]
pub struct Told {
    /// What the rebuild calls it.
    pub name: String,
    /// The drop.
    pub drop: Value,
    /// What it says is as it should be.
    pub good: bool,
    /// It was withdrawn.
    pub void: bool,
}

impl Told {
    /// When it was recorded.
    pub fn at(&self) -> Timestamp {
        self.drop["recorded"].as_str().unwrap().parse().unwrap()
    }
}

const READINGS: [&str; 5] = ["read ", "read new ", "again ", "as fitted ", "under new bolts "];

/// What must be said of the rebuild and is not said well: names of its drops.
pub fn open(plan: &Plan, base: &[String], told: &[Told]) -> Vec<String> {
    let sheet: Value = serde_json::from_str(plan.sheet).unwrap();
    let view = View { plan, sheet: &sheet["body"], told };
    let mut open: Vec<String> =
        base.iter().filter(|name| !view.is_needless(name) && !view.is_well(name)).cloned().collect();
    // A bolt too many that was counted twice is one bolt: the last word on it stands for both.
    let spared = told.iter().any(|t| t.name == "extra hardware" && t.good);
    let answered = |t: &Told| t.good || t.void || (spared && t.name == "extra hardware");
    let unanswered = |t: &&Told| !answered(t);
    open.extend(
        told.iter().filter(|t| t.name.starts_with("extra ")).filter(unanswered).map(|t| t.name.clone()),
    );
    open
}

struct View<'a> {
    plan: &'a Plan,
    sheet: &'a Value,
    told: &'a [Told],
}

impl View<'_> {
    fn of(&self, name: &str) -> Vec<&Told> {
        let mut all: Vec<&Told> = self.told.iter().filter(|told| told.name == name && !told.void).collect();
        all.sort_by_key(|told| told.at());
        all
    }

    fn rows(&self, key: &str) -> &[Value] {
        self.sheet[key].as_array().map_or(&[], Vec::as_slice)
    }

    fn feature(&self, name: &str) -> Option<&Value> {
        self.rows("features").iter().find(|feature| feature["feature"] == name)
    }

    fn cuts_of_part(&self, part: &Value) -> impl Iterator<Item = &Cut> {
        let of_part =
            move |cut: &&Cut| self.feature(cut.feature).is_some_and(|feature| feature["part"] == *part);
        self.plan.cuts.iter().filter(of_part)
    }

    /// When a cut began, and when it was done. An order that is out waits until it may be cut, whatever its day: its work begins
    /// no later than something of it is back, and nobody says when else.
    fn times(&self, cut: &Cut) -> Option<(Timestamp, Timestamp)> {
        let done =
            cut.order.map_or_else(|| format!("cut {}", cut.feature), |order| format!("order {order} back"));
        let done = self.of(&done);
        Some((done.first()?.at(), done.last()?.at()))
    }

    fn is_replaced(&self, part: &Value) -> bool {
        let row = self.rows("parts").iter().find(|row| row["part"] == *part);
        let group = row.and_then(|row| row["sized-by"].as_str()).unwrap_or("-");
        self.plan.cuts.iter().any(|cut| self.feature(cut.feature).is_some_and(|f| f["group"] == group))
    }

    /// Nothing hangs on it, or what hangs on it is read elsewhere: a later fact says it anew.
    fn is_needless(&self, name: &str) -> bool {
        if let Some(feature) = name.strip_prefix("read ").and_then(|name| self.feature(name)) {
            let asked = |row: &Value, condition: &str| {
                row["asked"]
                    .as_array()
                    .is_some_and(|all| all.iter().any(|asked| asked["condition"] == condition))
            };
            let fitted = feature["rows"].as_array().unwrap().iter().any(|row| asked(row, "at assembly"));
            let cut = self.plan.cuts.iter().any(|cut| feature["feature"] == cut.feature);
            let moved = feature["moved-by"]
                .as_array()
                .is_some_and(|by| by.iter().any(|by| self.plan.cuts.iter().any(|cut| *by == cut.feature)));
            let again = format!("under new bolts {}", feature["feature"].as_str().unwrap());
            let again = self.told.iter().any(|told| told.name == again);
            return fitted || cut || moved || again || self.is_replaced(&feature["part"]);
        }
        let part = name.split_once(' ').map_or("", |(_, part)| part);
        let off = name.starts_with("off ") || name.starts_with("clean ");
        // Where nothing is cut there is no work to sign.
        let uncut = name == "sign machining" && self.plan.cuts.is_empty();
        uncut
            || name == "people"
            || name == "deposit"
            || name.starts_with("replace ")
            || (off && self.is_replaced(&Value::from(part)))
    }

    fn is_well(&self, name: &str) -> bool {
        let all = self.of(name);
        let Some(last) = all.last() else { return false };
        if let Some(verb) =
            READINGS.iter().filter(|verb| name.starts_with(*verb)).max_by_key(|verb| verb.len())
        {
            // Repeats of one place all count, but for those under old bolts that were read again under new ones.
            if *verb == "under new bolts " {
                return last.good;
            }
            return all.iter().all(|told| told.good)
                && self.is_read_in_time(verb, &name[verb.len()..], last.at());
        }
        if name.starts_with("look ") {
            return true;
        }
        if let Some(part) =
            name.strip_prefix("crack test again ").or_else(|| name.strip_prefix("crack test "))
        {
            return self.is_crack_tested(part);
        }
        // Every payment counts, a small one too.
        if name == "paid" {
            return self.received() >= 1650;
        }
        if !last.good {
            return false;
        }
        if let Some(part) = name.strip_prefix("fit ") {
            let after =
                |verb: &str| self.of(&format!("{verb} {part}")).iter().all(|told| told.at() <= last.at());
            return after("off") && after("replace");
        }
        if let Some(key) = name.strip_prefix("check ") {
            let check = self.rows("checks").iter().find(|check| check["check"] == key).unwrap();
            if check["stage"] != "machining" {
                return self.is_after_what_it_looks_at(check, last.at());
            }
            // It is asked again after a cut on what it looks at.
            let looks_at = |cut: &&Cut| {
                let part = &self.feature(cut.feature).unwrap()["part"];
                check["after"].as_array().is_none_or(|all| all.contains(part))
            };
            let cuts = self.plan.cuts.iter().filter(looks_at).filter_map(|cut| self.times(cut));
            return cuts.into_iter().all(|(_, done)| done <= last.at());
        }
        match name {
            "approval" => self.plan.cuts.iter().all(|cut| {
                self.of(&format!("agree {}", cut.feature))
                    .last()
                    .is_some_and(|agreed| agreed.at() <= last.at())
            }),
            _ => true,
        }
    }

    /// Nothing that the check looks at was fitted or tightened later.
    fn is_after_what_it_looks_at(&self, check: &Value, at: Timestamp) -> bool {
        let after = check["after"].as_array().into_iter().flatten().filter_map(Value::as_str);
        after.into_iter().all(|name| {
            let went_in = ["fit", "torque"].map(|verb| self.of(&format!("{verb} {name}")));
            went_in.iter().flatten().all(|told| told.at() <= at)
        })
    }

    fn is_read_in_time(&self, verb: &str, feature: &str, at: Timestamp) -> bool {
        match verb {
            "again " => {
                let cut = self.plan.cuts.iter().find(|cut| cut.feature == feature).unwrap();
                self.times(cut).is_some_and(|(_, done)| done <= at)
            }
            "read new " => {
                let part = self.feature(feature).unwrap()["part"].as_str().unwrap();
                self.of(&format!("replace {part}")).iter().all(|told| told.at() <= at)
            }
            _ => true,
        }
    }

    /// The last test was passed; a part that was cut was tested before, and after it was ground.
    fn is_crack_tested(&self, part: &str) -> bool {
        let mut all = self.of(&format!("crack test {part}"));
        all.extend(self.of(&format!("crack test again {part}")));
        all.sort_by_key(|told| told.at());
        let cuts: Vec<&Cut> = self.cuts_of_part(&Value::from(part)).collect();
        let before = cuts
            .iter()
            .filter_map(|cut| self.times(cut))
            .all(|(began, _)| all.iter().any(|told| told.good && told.at() <= began));
        let ground =
            cuts.iter().filter(|cut| cut.operation.contains("grind")).filter_map(|cut| self.times(cut));
        let after = ground.into_iter().all(|(_, done)| all.iter().any(|told| told.at() >= done));
        all.last().is_some_and(|told| told.good) && before && after
    }

    fn received(&self) -> i64 {
        let money = |told: &&Told| {
            let body = &told.drop["body"];
            let amount =
                body["paid"]["amount"].as_str().or_else(|| body["deposit"]["amount"].as_str()).unwrap();
            amount.split_once('.').unwrap().0.parse::<i64>().unwrap()
        };
        self.of("paid").iter().map(money).sum::<i64>() + self.of("deposit").iter().map(money).sum::<i64>()
    }
}
