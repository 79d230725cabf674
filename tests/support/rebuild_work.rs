//! The second half of a rebuild: agreed and paid for, machined, plugged, put together, handed over.

use super::{APPROVER, Rebuild, is, list, text};
use serde_json::{Value, json};
use std::collections::BTreeMap;

impl Rebuild {
    pub(super) fn agree(&mut self) {
        let unit = text(&self.sheet, "unit").to_owned();
        for cut in self.plan.cuts {
            self.write(
                format!("agree {}", cut.feature),
                "decision",
                "RH",
                json!({"agreed-work": {"unit": unit,
                "agreed-by": "Rowan Holt", "work": [{"operation": cut.operation, "feature": cut.feature,
                "positions": ["all"], "finished": cut.size}]}}),
            );
        }
        self.write(
            "estimate",
            "account",
            "RH",
            json!({"estimate": {"lines": [{"what": "labour", "amount": "900.00"},
            {"what": "machining and parts", "amount": "700.00"}], "not-to-exceed": "1800.00",
            "expires": "2026-12-31"}}),
        );
        self.write(
            "approval",
            "decision",
            "RH",
            json!({"approval": {"granted": true, "by": APPROVER,
            "how": "mail"}}),
        );
        for part in self.asked("parts") {
            if let Some(cut) = self.cut_of_group(text(&part, "sized-by")) {
                let key = text(&part, "part");
                let count = list(&part, "positions").len();
                self.write(
                    format!("in hand {key}"),
                    "supply",
                    "RH",
                    json!({"item": key, "unit": unit,
                    "size": cut.size, "count": count, "state": "received", "stamped": cut.size}),
                );
            }
        }
        self.sign("inspection");
    }

    pub(super) fn machine(&mut self) {
        let unit = text(&self.sheet, "unit").to_owned();
        for cut in self.plan.cuts {
            let feature =
                list(&self.sheet, "features").iter().find(|f| f["feature"] == cut.feature).unwrap().clone();
            let places = json!([{"feature": cut.feature, "positions": ["all"]}]);
            if let Some(order) = cut.order {
                let parts = json!([{"part": feature["part"], "count": 1}]);
                self.write(
                    format!("order {order} out"),
                    "work-order",
                    "LM",
                    json!({"order": order, "out": {
                    "to": "Stenning Machine", "operation": cut.operation, "parts": parts, "places": places,
                    "unit": unit, "finished": cut.size, "due": "2026-12-20"}}),
                );
                self.write(
                    format!("order {order} back"),
                    "work-order",
                    "LM",
                    json!({"order": order, "back": {
                    "parts": parts, "result": "accepted", "unit": unit, "finished": cut.size, "demagnetised": true}}),
                );
            } else {
                self.write(
                    format!("cut {}", cut.feature),
                    "operation",
                    "LM",
                    json!({"operation": cut.operation,
                    "unit": unit, "places": places, "finished": cut.size}),
                );
            }
            self.measure("again", &feature, "after work", None);
            // What the cut moved is what is left of it: the wall around a bore.
            for moved in self
                .features("after work")
                .iter()
                .filter(|f| list(f, "moved-by").contains(&json!(cut.feature)))
            {
                self.measure("again", moved, "after work", None);
            }
        }
        let ground: BTreeMap<String, Value> =
            self.ground().into_iter().map(|p| (text(&p, "part").to_owned(), p)).collect();
        for part in ground.values() {
            self.finding("crack test again", part, Some(self.shows_cracks(part)));
        }
        self.replace();
    }

    /// Parts that are crack tested and were ground.
    fn ground(&self) -> Vec<Value> {
        let grinds = self.plan.cuts.iter().filter(|cut| cut.operation.contains("grind"));
        let parts = grinds.map(|cut| {
            let feature = list(&self.sheet, "features").iter().find(|f| f["feature"] == cut.feature).unwrap();
            list(&self.sheet, "parts").iter().find(|part| part["part"] == feature["part"]).unwrap().clone()
        });
        parts.filter(|part| is(part, "crack-test")).collect()
    }

    /// Parts bought in the size of a cut take the place of those that came in, and are measured like them.
    fn replace(&mut self) {
        let unit = text(&self.sheet, "unit").to_owned();
        for part in self.asked("parts") {
            let group = text(&part, "sized-by").to_owned();
            let Some(cut) = self.cut_of_group(&group) else { continue };
            self.part(
                "replace",
                &part,
                json!({"event": "replaced", "state": "new", "unit": unit,
                "stamps": [{"group": group, "size": cut.size}]}),
            );
            for feature in self.features("as received").iter().filter(|f| f["part"] == part["part"]) {
                self.measure("read new", feature, "as received", None);
            }
        }
    }

    pub(super) fn plug(&mut self) {
        self.answer("machining");
        for group in self.asked("plugs") {
            self.count("plugs in", &group, if is(&group, "renewed") { "replaced" } else { "used" });
        }
        self.sign("machining");
    }

    pub(super) fn measure_as_fitted(&mut self) {
        for feature in self.features("at assembly") {
            self.measure("as fitted", &feature, "at assembly", None);
        }
        // What single-use bolts clamp is measured again under the new ones.
        for group in self.asked("fasteners").iter().filter(|group| is(group, "single-use")) {
            for key in list(group, "clamps") {
                let feature =
                    list(&self.sheet, "features").iter().find(|f| f["feature"] == *key).unwrap().clone();
                self.measure("under new bolts", &feature, "at assembly", Some("new"));
            }
        }
    }

    pub(super) fn assemble(&mut self) {
        let unit = text(&self.sheet, "unit").to_owned();
        for part in self.asked("parts").iter().filter(|part| is(part, "fitted")) {
            let key = text(part, "part");
            let cut = self.cut_of_group(text(part, "sized-by"));
            let new = is(part, "renewed") || cut.is_some();
            let mut fitted = json!({"part": key, "state": if new { "new" } else { "used" }});
            if let Some(cut) = cut {
                fitted["size"] = cut.size.into();
            }
            self.write(format!("fit {key}"), "assembly", "LM", json!({"unit": unit, "fitted": [fitted]}));
        }
        for group in self.asked("fasteners") {
            let key = text(&group, "group");
            let bolts = if all_new(&group) { "new" } else { "used" };
            self.write(
                format!("torque {key}"),
                "assembly",
                "LM",
                json!({"torque": [{"group": key,
                "lubricant": group["lubricant"], "wrench": "TW-1", "bolts": bolts}]}),
            );
        }
        self.answer("reassembly");
        for group in self.asked("pins") {
            self.count("pins in", &group, "used");
        }
        for group in self.asked("fasteners") {
            self.count("bag used", &group, if all_new(&group) { "replaced" } else { "used" });
            // Nuts and washers that are always new.
            for new in list(&group, "always-new").iter().filter(|new| !is_size(&group, new)) {
                let key = text(&group, "group");
                let pieces = json!([{"size": new["what"], "count": new["count"]}]);
                let body = json!({"group": key, "state": "replaced", "pieces": pieces});
                self.write(format!("always new {key}"), "hardware", "LM", body);
            }
        }
        self.sign("reassembly");
    }

    pub(super) fn hand_over(&mut self) {
        self.answer("released");
        self.write("deposit", "account", "RH", json!({"deposit": {"amount": "400.00"}}));
        self.write("price", "account", "RH", json!({"price": {"amount": "1650.00"}}));
        self.write("paid", "account", "RH", json!({"paid": {"amount": "1250.00", "how": "transfer"}}));
        self.sign("engine");
        self.write(
            "sign delivered",
            "sign-off",
            "RH",
            json!({"step": "delivered", "name": "Rowan Holt",
            "old-parts": "offered back"}),
        );
    }
}

fn is_size(group: &Value, new: &Value) -> bool {
    list(group, "sizes").iter().any(|size| size["size"] == new["what"])
}

/// Every piece of the group is new when it goes in.
fn all_new(group: &Value) -> bool {
    let new = |size: &Value| list(group, "always-new").iter().any(|new| new["what"] == size["size"]);
    is(group, "single-use") || list(group, "sizes").iter().all(new)
}
