//! Moves of a history that are no readings: parts, findings, bags, orders, supplies, joints, money and words.

use super::{GAUGES, Growing, at, gauge, joined, shop_drop};
use benchdrop::facts::{Body, Fact};
use serde_json::{Value, json};

/// A small picture (`tests/data/pictures/lossy.webp`).
const PICTURE: &str = "UklGRnIAAABXRUJQVlA4IGYAAABQBACdASolABcAPrVUo02nJKMiJWmY4BaJZACdMoSEVIDxEjAgN8gZs/qgAP7tFKmZizov7enesJL+3spKuCScrsmCGCWt2GzHe/rwf7xY2Zlc9bqWVsKK7TzMH+2oUsA8UFboAAA=";

impl Growing {
    /// A gauge described again, differently, or for the first time.
    pub(super) fn gauge(&mut self) {
        let kind = self.dice.pick(&["micrometer", "dial bore gauge", "ball micrometer", "caliper"]);
        let (mark, by) = (self.dice.pick(&["MIC", "BORE", "GHOST"]), self.dice.pick(&[None, Some("BALL")]));
        self.say_shop(gauge(0, &self.tailed(mark), kind, by));
    }

    /// Something happens to a gauge: now, or on the day before.
    pub(super) fn gauge_event(&mut self) {
        let (mark, kind) = self.dice.pick(&GAUGES);
        let by = self.dice.pick(&[None, None, Some("MIC")]).filter(|by| *by != mark);
        let mut drop = gauge(0, &self.tailed(mark), kind, by);
        let (key, what) = match self.dice.below(8) {
            0 | 1 => ("zero", json!({"error": self.dice.pick(&["0", "+0.0001", "-0.0004"]), "unit": "in"})),
            2 => ("bad-since", at(self.dice.near(180)).into()),
            3 => ("resolution", json!({"step": self.dice.pick(&["0.0001", "0.001"]), "unit": "in"})),
            4 | 5 => return self.study(mark),
            _ => {
                let due = self.dice.pick(&["2026-02-20", "2026-03-01", "2026-03-02", "2027-03-01"]);
                let found = self.dice.pick(&[None, Some("good"), Some("off")]);
                let certificate = json!({"due": due, "certificate": self.tailed("C-1")});
                let causes = json!({"expanded": self.dice.pick(&["0.00010", "0.0008"]), "unit": "in"});
                let certificate =
                    if self.dice.below(2) == 0 { joined(certificate, causes) } else { certificate };
                (
                    "calibrated",
                    found.map_or(certificate.clone(), |f| joined(certificate, json!({"as-found": f}))),
                )
            }
        };
        drop["body"][key] = what;
        let before = self.dice.below(3) == 0;
        self.say_shop(drop);
        if before && let Some(mut paper) = self.papers.pop() {
            paper.value["recorded"] = at(self.minute - 1440).into();
            self.keep(paper.value);
        }
    }

    /// The same pins are read several times with a gauge, by whoever it is, mostly before the engine is.
    fn study(&mut self, mark: &str) {
        let pins = ["1", "2", "3"].into_iter().flat_map(|pin| [pin; 3]);
        let row =
            |pin| json!({"feature": "pin", "position": pin, "value": self.dice.pick(&["2.2488", "2.2489"])});
        let readings: Vec<Value> = pins.map(row).collect();
        let body = json!({"study": "three pins", "condition": "cleaned", "gauge": self.tailed(mark), "unit": "in",
            "readings": readings});
        self.say_shop(shop_drop("measurements", 0, body));
        if self.dice.below(3) > 0
            && let Some(mut paper) = self.papers.pop()
        {
            paper.value["recorded"] = at(self.minute - 1440).into();
            self.keep(paper.value);
        }
    }

    /// A part comes off, lies somewhere, is cleaned, is thrown away.
    pub(super) fn stripped(&mut self) {
        let said = self.words.said;
        let part = self.dice.pick(&["block", "crankshaft", "piston", "piston", "sump"]);
        let positions = self.dice.pick(&[json!(["all"]), json!(["1"]), json!(["#2"]), json!(["7"])]);
        let event = self.dice.pick(&[
            "off",
            "off",
            "moved",
            "into bath",
            "out of bath",
            "cleaned",
            "fitted",
            "scrapped",
            "missing",
        ]);
        let mut body =
            json!({"part": part, "positions": positions, "event": event, "method": "brushed", "why": said});
        if self.dice.below(2) == 0 {
            body["where"] = self.dice.pick(&["tray 1", "rack A", said]).into();
        }
        if self.dice.below(4) == 0 {
            body["trouble"] = self.dice.pick(&["seized", "broken", "doubtful"]).into();
        }
        self.say("part", body);
    }

    /// Findings, tests, problems; a problem of an earlier drop is closed.
    pub(super) fn looked_at(&mut self) {
        let said = self.words.said;
        if self.dice.below(3) == 0 {
            let opens = |fact: &Fact| matches!(fact.body, Body::Finding(_) | Body::Part(_));
            let Some(target) = self.one_of(opens) else { return };
            if self.dice.below(2) == 0 {
                let mut tried = json!({"drop": self.named(&target), "what": said});
                if self.dice.below(2) == 0 {
                    tried["waits-on"] = self.dice.pick(&["the customer", said]).into();
                }
                return self.say("finding", json!({"tries": [tried]}));
            }
            let mut closes = json!({"drop": self.named(&target), "how": said});
            if self.dice.below(2) == 0 {
                closes["item"] = self.dice.pick(&[1, 1, 2]).into();
            }
            return self.say("finding", json!({"closes": closes}));
        }
        let seen = ["block", "crankshaft", "piston", "gearbox"].map(|part| {
            let (defect, severity) = self.dice.pick(&[("nothing found", 0), ("nothing found", 0), ("scoring", 3), ("crack", 5)]);
            let mut seen = json!({"part": part, "defect": defect, "severity": severity, "note": said});
            if self.dice.below(2) == 0 {
                let result = self.dice.pick(&["passed", "passed", "failed"]);
                seen["test"] = json!({"kind": self.dice.pick(&["magnetic particle", "pressure test"]), "result": result});
            }
            if self.dice.below(5) == 0 {
                seen["problem"] = said.into();
                if self.dice.below(2) == 0 {
                    seen["waits-on"] = "parts".into();
                }
            }
            if self.dice.below(4) == 0 {
                let (feature, station) = self.dice.pick(&[("bore", "middle"), ("main journal", "rear"), ("crankpin", "top")]);
                seen["score"] = json!({"feature": feature, "position": "2", "station": station, "unit": "in",
                    "depth": self.dice.pick(&["0.004", "0.009"])});
            }
            seen
        });
        let most = 1 + self.dice.below(4);
        let mut body = json!({"findings": seen[..most]});
        if self.dice.below(4) == 0 {
            body["embedded"] =
                json!([{"name": self.dice.pick(&["crank.webp", "pin.webp"]), "data": PICTURE}]);
        }
        self.say("finding", body);
    }

    pub(super) fn bagged(&mut self) {
        let (group, size) = self.dice.pick(&[
            ("G01", Some("1/2-13 x 3.75")),
            ("G01", Some("1/2-13 x 4.00")),
            ("g 01", Some("9/16")),
            ("G03", None),
            ("G20", None),
            ("P1", None),
            ("G99", None),
        ]);
        let state =
            self.dice.pick(&["bagged", "bagged", "used", "replaced", "spare", "lost", "broken", "scrapped"]);
        let mut pieces = json!({"count": self.dice.below(6)});
        if let Some(size) = size {
            pieces["size"] = size.into();
        }
        if state == "bagged" && pieces["count"] != 0 {
            pieces["trouble"] = "stretched".into();
            pieces["troubled"] = 1.into();
        }
        self.say(
            "hardware",
            json!({"group": group, "state": state, "pieces": [pieces], "bag": "B-1", "why": self.words.said}),
        );
    }

    /// An order goes out, comes back whole or refused, or comes back that never went.
    pub(super) fn sent_out(&mut self) {
        let said = self.words.said;
        let order = self.dice.pick(&["WO-1", "wo 1", "WO-2"]);
        let parts = json!([{"part": "crankshaft", "count": 1}]);
        let size = self.dice.pick(&[
            json!({}),
            json!({"unit": "in", "finished": "0.010 under"}),
            json!({"unit": "in", "finished": "0.015 under"}),
        ]);
        let body = if self.dice.below(2) == 0 {
            let places = json!([{"feature": "main journal", "positions": ["all"]}]);
            let out = json!({"to": said, "operation": "grind", "parts": parts, "places": places, "due": "2026-03-13", "untouched": said});
            json!({"order": order, "out": joined(out, size)})
        } else {
            let result = self.dice.pick(&["accepted", "accepted", "accepted with note", "refused"]);
            json!({"order": order, "back": joined(json!({"parts": parts, "result": result, "note": said}), size)})
        };
        self.say("work-order", body);
    }

    pub(super) fn supplied(&mut self) {
        let item = self.dice.pick(&["piston", "Piston", "main shell", self.words.said]);
        let state = self.dice.pick(&["available", "not available", "ordered", "late", "received", "wrong"]);
        let size = self.dice.pick(&["0.020 over", "0.010 under", "standard"]);
        self.say("supply", json!({"item": item, "unit": "in", "size": size, "count": 2, "state": state, "why": self.words.said}));
    }

    pub(super) fn put_together(&mut self) {
        let said = self.words.said;
        let state = self.dice.pick(&["new", "used"]);
        let body = match self.dice.below(3) {
            0 => {
                json!({"fitted": [{"part": self.dice.pick(&["piston", "main shell", "sump"]), "state": state, "note": said}]})
            }
            1 => {
                let group = self.dice.pick(&["G01", "G03", "G77"]);
                let mut torque =
                    json!({"group": group, "lubricant": self.dice.pick(&["oil", "dry"]), "bolts": state});
                if self.dice.below(2) == 0 {
                    torque["stages"] = self.dice.pick(&[json!([1]), json!([1, 2]), json!([9])]);
                }
                if self.dice.below(3) == 0 {
                    torque["places"] = json!([self.dice.pick(&["1a", "2b", "C9"])]);
                }
                // A wrench that the shop may find bad, or that nobody ever described.
                torque["wrench"] = if state == "new" { "MIC" } else { "GHOST" }.into();
                torque["final"] = "5 lbf ft".into();
                // Bolts that yield are pulled twice, which is once too often.
                let twice = group == "G03";
                json!({"torque": vec![torque; if twice { 2 } else { 1 }]})
            }
            _ => {
                let check = self.dice.pick(&["galleries brushed", "caps seen", "oil pressure", "rags"]);
                let result = self.dice.pick(&["yes", "yes", "no", "not on this engine"]);
                json!({"checks": [{"check": check, "result": result, "value": said, "why": said}]})
            }
        };
        self.say("assembly", body);
    }

    /// Money, leave, dispositions, waivers, another revision.
    pub(super) fn said_of_it(&mut self) {
        let said = self.words.said;
        let (granted, revision) = (self.dice.below(4) > 0, 1 + self.dice.below(3));
        let body = match self.dice.below(7) {
            0 => {
                let estimate = json!({"lines": [{"what": said, "amount": "900.00"}], "not-to-exceed": "1000.00", "expires": "2026-04-01"});
                let account = [
                    json!({"estimate": estimate}),
                    json!({"hours": {"hours": "3.5", "what": said}}),
                    json!({"paid": {"amount": "400.00"}}),
                    json!({"price": {"amount": "990.00"}}),
                ];
                let account = self.dice.pick(&account);
                return self.say("account", account);
            }
            1 => json!({"authority": {"granted": granted, "by": said, "how": "mail"}}),
            2 => {
                let mut approval = json!({"granted": granted, "by": said, "how": "telephone", "why": said});
                if let Some(target) =
                    self.one_of(|fact| matches!(fact.body, Body::Account(_) | Body::Supply(_)))
                    && self.dice.below(2) == 0
                {
                    approval["estimate"] = self.named(&target).into();
                }
                json!({"approval": approval})
            }
            3 => {
                json!({"disposition": {"part": self.dice.pick(&["crankshaft", "piston", "gearbox"]), "what": "replace", "why": said, "by": said}})
            }
            4 | 5 => {
                let (gate, rule, about) = self.dice.pick(&[
                    ("inspection", "measured", "crankpin 1"),
                    ("inspection", "crack test", "block"),
                    ("reassembly", "signed", ""),
                ]);
                json!({"waiver": {"gate": gate, "rule": rule, "about": about, "why": said, "by": said}})
            }
            _ if self.dice.below(2) == 0 => json!({"revision": {"sheet": revision, "why": said, "by": said}}),
            _ => json!({"revision": {"house-rules": revision, "why": said, "by": said}}),
        };
        self.say("decision", body);
    }

    /// A statement of some kind that was made before.
    fn one_of(&mut self, is: impl Fn(&Fact) -> bool) -> Option<std::sync::Arc<Fact>> {
        let found: Vec<_> =
            self.papers.iter().map(|paper| &paper.fact).filter(|fact| is(fact)).cloned().collect();
        (!found.is_empty()).then(|| self.dice.pick(&found))
    }
}
