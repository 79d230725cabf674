//! Histories: what one engine and its shop could have been told, plausible or not, grown from moves.
//!
//! A *move* is a number that chooses what happens and a seed for its details: leaving one out leaves the others
//! much as they were, so a failing history shrinks. Moves are made in an order in which drops can name each
//! other; the times they are *recorded* at run freely, ties and latecomers included. All numbers are invented.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]

use super::support::{fact, gauge, house_rules, measured, reading, shop_drop};
use benchdrop::facts::{Body, Fact};
use jiff::{SignedDuration, Timestamp};
use serde_json::{Value, json};
use std::sync::Arc;

/// What happens, and the seed of its details.
pub type Move = (usize, u64);

/// Dice that fall the same way for the same seed (SplitMix64).
pub struct Dice(pub u64);

impl Dice {
    pub fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        usize::try_from((z ^ (z >> 31)) % n as u64).unwrap()
    }
    pub fn pick<T: Clone>(&mut self, from: &[T]) -> T {
        from[self.below(from.len())].clone()
    }
    fn near(&mut self, most: u32) -> i64 {
        self.below(2 * most as usize + 1) as i64 - i64::from(most)
    }
}

/// What people type where they may type anything: the job, who, why and the customer, and what stands behind
/// the mark of every gauge and the name of every person and sheet.
pub struct Words {
    pub job: &'static str,
    pub said: &'static str,
    pub tail: &'static str,
}
pub static PLAIN: Words = Words { job: "24-017", said: "Ferrowmere Mill", tail: "" };

/// One accepted paper: the document and the fact it is.
#[derive(Clone)]
pub struct Paper {
    pub value: Value,
    pub fact: Arc<Fact>,
}

/// Name, positions, stations (an unworn one last), directions, gauge, the new limit that wear leads away from
/// in ten-thousandths of an inch, and its way. The last two are not asked for, and that lobe lifts nothing.
type Feature = (&'static str, usize, &'static str, &'static str, &'static str, i64, i64);
const FEATURES: [Feature; 8] = [
    ("main journal", 2, "front/rear", "X/Y", "MIC", 22495, -1),
    ("bore", 2, "top/middle/bottom/unworn", "X/Y", "BORE", 36100, 1),
    ("crankpin", 1, "front/rear", "X/Y", "MIC", 19995, -1),
    ("main housing", 2, "front/rear", "vertical/60 left/60 right", "BORE", 24015, 1),
    ("main shell", 2, "upper/lower", "crown", "BALL", 754, -1),
    ("piston skirt", 2, "gauge height", "across the pin", "MIC", 36096, -1),
    ("ring gap", 2, "bottom", "feeler", "MIC", 460, 1),
    ("cam lobe", 1, "lobe", "nose/base circle", "MIC", 15640, -1),
];
/// Operation, feature and size; also a size and a feature that the sheet does not have.
#[rustfmt::skip]
const WORK: [(&str, &str, &str); 9] = [
    ("grind", "main journal", "0.010 under"), ("grind", "main journal", "0.020 under"), ("hone", "bore", ""),
    ("grind", "crankpin", "0.010 under"), ("bore and hone", "bore", "0.020 over"), ("polish", "main journal", ""),
    ("grind", "main journal", "standard"), ("grind", "crankpin", "0.015 under"), ("grind", "cam", "0.010 under"),
];
const GAUGES: [(&str, &str); 3] =
    [("MIC", "micrometer"), ("BORE", "dial bore gauge"), ("BALL", "ball micrometer")];
#[rustfmt::skip]
const CONDITIONS: [&str; 6] = ["as received", "as received", "cleaned", "after work", "at assembly", "at assembly"];

/// Devices of two measurements whose digests begin alike, found by trying, and the short form of both.
const TWINS: ([&str; 2], &str) = (["twin 24899", "twin 69159"], "2759a882");

/// What can happen, and how often.
type Make = (usize, fn(&mut Growing));
#[rustfmt::skip]
const MOVES: [Make; 20] = [
    (12, Growing::measure), (8, Growing::whole_engine), (7, Growing::again), (9, Growing::correct),
    (7, Growing::withdraw), (7, Growing::operate), (5, Growing::part), (13, Growing::decide),
    (2, Growing::check_in), (4, Growing::revised), (3, Growing::gauge), (2, Growing::people),
    (5, Growing::stripped), (4, Growing::looked_at), (4, Growing::bagged), (4, Growing::sent_out),
    (3, Growing::supplied), (5, Growing::gauge_event), (4, Growing::put_together), (6, Growing::said_of_it),
];

/// The moves of a seed, for tests that count.
pub fn moves_of(seed: u64) -> Vec<Move> {
    let mut dice = Dice(seed ^ 0x5EED);
    (0..8 + dice.below(26)).map(|_| (dice.below(1000), dice.below(1 << 40) as u64)).collect()
}

/// A history of one move or more. More moves behind the same moves give the same papers first.
pub fn history(moves: &[Move], words: &'static Words) -> Vec<Paper> {
    let mut growing = Growing { words, dice: Dice(moves[0].1), minute: 0, papers: vec![] };
    growing.usual();
    let makes: Vec<_> = MOVES.iter().flat_map(|(often, make)| vec![*make; *often]).collect();
    for (kind, seed) in moves {
        growing.dice = Dice(*seed);
        growing.minute += 7;
        makes[kind % makes.len()](&mut growing);
    }
    growing.papers
}

/// Minutes after eight on the first morning.
pub fn at(minute: i64) -> String {
    ("2026-03-02T08:00:00Z".parse::<Timestamp>().unwrap() + SignedDuration::from_mins(minute)).to_string()
}

fn inches(ticks: i64) -> String {
    format!("{}.{:04}", ticks / 10_000, ticks % 10_000)
}

#[path = "things.rs"]
mod things;

struct Growing {
    words: &'static Words,
    dice: Dice,
    minute: i64,
    papers: Vec<Paper>,
}

impl Growing {
    fn say(&mut self, kind: &str, body: Value) {
        self.say_shop(joined(shop_drop(kind, 0, body), json!({"job": self.words.job})));
    }

    /// Recorded as it happens, or at the time of another drop, or at any time.
    fn say_shop(&mut self, mut drop: Value) {
        drop["who"] = self.dice.pick(&["LM", "RH", self.words.said]).into();
        drop["recorded"] = match self.dice.below(10) {
            0 | 1 if !self.papers.is_empty() => self.dice.pick(&self.papers).value["recorded"].clone(),
            2 | 3 => at(120 + self.dice.near(120)).into(),
            4 => at(self.minute + 60).replace('Z', "+01:00").into(),
            _ => at(self.minute).into(),
        };
        self.keep(drop);
    }

    fn keep(&mut self, value: Value) {
        self.papers.push(Paper { fact: fact(&value), value });
    }

    fn tailed(&self, text: &str) -> String {
        format!("{text}{}", self.words.tail)
    }

    /// What most shops have in order before an engine comes; people always, though not always with addresses.
    fn usual(&mut self) {
        self.people();
        let gauges = GAUGES.map(|(mark, kind)| gauge(0, &self.tailed(mark), kind, None));
        for drop in [self.small_sheet(), house_rules(0)].into_iter().chain(gauges) {
            self.minute += 1;
            if self.dice.below(16) > 0 {
                self.say_shop(drop);
            }
        }
        self.check_in();
    }

    /// A sheet with few positions and no rods, so that readings of one place meet more often.
    fn small_sheet(&self) -> Value {
        let mut sheet: Value = serde_json::from_str(include_str!("../data/small_sheet.json")).unwrap();
        sheet["body"]["name"] = self.tailed("Ostervane").into();
        sheet
    }

    /// Sheet or rules once more: a rival of the first revision, or the second.
    fn revised(&mut self) {
        let (mut drop, limit, values) = match self.dice.below(2) {
            0 => (self.small_sheet(), "/body/features/2/rows/0/service/min", ["2.2470", "2.2486"]),
            _ => (house_rules(0), "/body/instruments/0/expanded", ["0.0004", "0.0006"]),
        };
        *drop.pointer_mut(limit).unwrap() = self.dice.pick(&values).into();
        drop["body"]["revision"] = (1 + self.dice.below(2)).into();
        self.say_shop(drop);
    }

    fn people(&mut self) {
        let people = ["owner", "bench", "parts"].map(|role| {
            let person = json!({"name": self.tailed(role), "initials": role, "roles": [role]});
            let mail = json!({"mail": format!("{role}@shop.example")});
            if self.dice.below(3) == 0 { person } else { joined(person, mail) }
        });
        let body = json!({"revision": 1 + self.dice.below(3), "people": people});
        self.say_shop(shop_drop("people", 0, body));
    }

    fn check_in(&mut self) {
        let (said, dice) = (self.words.said, &mut self.dice);
        let scopes = ["block and crankshaft", "short block", "complete", "short block", "gearbox"];
        let scope = [dice.pick(&scopes[..3]), dice.pick(&scopes)];
        let (sheet, serial) = (if dice.below(12) > 0 { "OV-24" } else { "OV-99" }, dice.below(9).to_string());
        let body = json!({"sheet": sheet, "customer": {"name": said, "reach": said}, "scope": scope, "remarks": said,
            "engine": {"serial": serial, "castings": [said]}, "complaint": said, "approver": said});
        self.say("check-in", body);
    }

    /// Readings of one position of a feature, some of its places or all; slips, and places nobody knows.
    fn measure(&mut self) {
        let feature = self.dice.below(8).min(self.dice.below(8));
        let (condition, position) = (self.dice.pick(&CONDITIONS), self.dice.below(FEATURES[feature].1));
        let mut readings = self.places(feature, position, condition, false);
        readings.truncate(self.dice.pick(&[1, 2, 4, 99, 99, 99]));
        if self.dice.below(9) == 0 {
            readings[0]["position"] = self.tailed("7").into();
        }
        self.measured(condition, FEATURES[feature].4, &readings);
    }

    /// Everything there is, well read: what lets a history get past inspection.
    fn whole_engine(&mut self) {
        let condition = self.dice.pick(&["as received", "as received", "after work"]);
        for (feature, (_, positions, _, _, mark, ..)) in FEATURES.iter().take(6).enumerate() {
            for position in 0..*positions {
                let readings = self.places(feature, position, condition, true);
                self.measured(condition, mark, &readings);
            }
        }
    }

    fn measured(&mut self, condition: &str, mark: &str, readings: &[Value]) {
        let mut body = json!({"condition": condition, "unit": "in", "readings": readings});
        let part = self.dice.pick(&["20", "31.5", "12.125"]);
        match self.dice.below(16) {
            0 => {}
            1 => body["gauge"] = self.tailed("GHOST").into(),
            2 => body = joined(body, json!({"gauge": mark, "temperatures": {"part": part, "gauge": "20.0"}})),
            3 => body["unit"] = "lbf".into(),
            4 | 5 => body = joined(body, json!({"gauge": mark, "plate": self.dice.below(2) == 0})),
            _ => body["gauge"] = self.tailed(mark).into(),
        }
        self.say("measurements", body);
    }

    /// All places of a position with plausible values; a slip here and there by who is not careful.
    fn places(&mut self, feature: usize, position: usize, condition: &str, careful: bool) -> Vec<Value> {
        let (name, _, stations, directions, _, fresh, way) = FEATURES[feature];
        let worked = ["after work", "at assembly"].contains(&condition);
        let shift = if worked { self.dice.pick(&[0, -100, 200]) } else { 0 };
        let evenly = if !careful && self.dice.below(3) == 0 { 40 * way } else { 0 };
        let most = self.dice.pick(if careful { &[2; 4] } else { &[1, 4, 10, 40] });
        let position = format!("{}{}", self.dice.pick(&["", "", "#", "no. ", "0"]), position + 1);
        let mut readings = Vec::new();
        for station in stations.split('/') {
            for direction in directions.split('/') {
                let worn = if station == "unworn" { 0 } else { evenly };
                let value = fresh + shift + worn + way * self.dice.below(most) as i64;
                let slip = !careful && evenly == 0 && self.dice.below(7) == 0;
                let value = if slip { self.slip(value, fresh, way) } else { inches(value) };
                readings.push(reading(name, &position, station, direction, &value));
            }
        }
        readings
    }

    /// A value as somebody tired would type it, or as a part warm from the wash would read.
    fn slip(&mut self, value: i64, fresh: i64, way: i64) -> String {
        let text = inches(value);
        let (whole, digits) = text.split_at(text.len() - 4);
        match self.dice.below(10) {
            0 => format!("{}.{:03}", value * 254 / 100_000, value * 254 % 100_000 / 100),
            1 => inches(value * 10),
            2 => format!("{whole}{}{}{}", &digits[1..2], &digits[..1], &digits[2..]),
            3 => self.dice.pick(&["9.9", "0.003"]).to_owned(),
            4 => digits[..3].to_owned(),
            5 => inches(value - 250),
            6 | 7 => inches(fresh + way * self.dice.pick(&[16, 57])),
            _ => inches(fresh - way * (5 + self.dice.near(1))),
        }
    }

    /// An earlier set of readings, and it again, moved by up to one of these in ten-thousandths.
    fn earlier(&mut self, most: &[u32]) -> Option<(Paper, Value)> {
        let most = self.dice.pick(most);
        let is_set =
            |paper: &&Paper| matches!(paper.fact.body, Body::Measurements(_)) && paper.fact.job.is_some();
        let sets: Vec<Paper> = self.papers.iter().filter(is_set).cloned().collect();
        let target = (!sets.is_empty()).then(|| self.dice.pick(&sets))?;
        let mut body = target.value["body"].clone();
        body.as_object_mut()?.remove("corrects");
        for reading in body["readings"].as_array_mut()? {
            let digits = reading["value"].as_str()?.replace('.', "");
            if digits.len() == 5 && most > 0 {
                reading["value"] = inches(digits.parse::<i64>().unwrap() + self.dice.near(most)).into();
            }
        }
        Some((target, body))
    }

    /// A repeat in agreement or in conflict, a row said again, a device that sends one row for ever.
    fn again(&mut self) {
        let Some((target, mut body)) = self.earlier(&[0, 1, 2, 30]) else { return };
        match self.dice.below(8) {
            0 => body["readings"] = vec![body["readings"][0].clone(); 101].into(),
            1 | 2 => return self.keep(joined(target.value, json!({"device": "tablet 2"}))),
            _ => {}
        }
        self.say("measurements", body);
    }

    /// How a person names a drop: in full, in short, by its bytes; wrongly, or by what two begin with.
    fn named(&mut self, fact: &Fact) -> String {
        match self.dice.below(14) {
            0 | 1 => fact.id.short(),
            2 => fact.bytes.hex().to_uppercase(),
            3 => "00000000feed".to_owned(),
            4 if self.words.job == PLAIN.job => {
                let rows = vec![reading("main journal", "1", "front", "X", "2.2471")];
                let twin = measured(120, "as received", "MIC", rows);
                TWINS.0.iter().for_each(|device| self.keep(joined(twin.clone(), json!({"device": device}))));
                TWINS.1.to_owned()
            }
            5 | 6 => self.dice.pick(&self.papers).fact.id.hex(),
            _ => fact.id.hex(),
        }
    }

    fn correct(&mut self) {
        let Some((target, mut body)) = self.earlier(&[1, 3, 12]) else { return };
        body["readings"].as_array_mut().unwrap().truncate(1 + self.dice.below(6));
        body["corrects"] = json!({"drop": self.named(&target.fact), "why": self.words.said});
        self.say("measurements", body);
    }

    /// Of anything, also of withdrawals, and those again.
    fn withdraw(&mut self) {
        let mut target = self.dice.pick(&self.papers).fact;
        for _ in 0..self.dice.pick(&[1, 1, 1, 2, 3, 4, 5]) {
            let name = self.named(&target);
            self.say_shop(withdrawal(&target, &name, self.words.said));
            target = Arc::clone(&self.papers[self.papers.len() - 1].fact);
        }
    }

    /// A piece of work, as operations and agreements write it, and its size where it has one.
    fn work(&mut self) -> (&'static str, Value, Value) {
        let (operation, feature, size) = WORK[self.dice.below(9).min(self.dice.below(9))];
        let positions = self.dice.pick(&[json!(["all"]), json!([1]), json!(["#1", "2"])]);
        let size = if size.is_empty() { json!({}) } else { json!({"finished": size}) };
        (operation, json!({"feature": feature, "positions": positions}), size)
    }

    fn operate(&mut self) {
        let (operation, place, size) = self.work();
        let body = json!({"operation": operation, "places": [place], "unit": "in", "note": self.words.said});
        self.say("operation", joined(body, size));
    }

    /// Work agreed, a value accepted, a reading confirmed, a step signed.
    fn decide(&mut self) {
        let said = self.words.said;
        let feature = self.dice.pick(&["bore", "main journal", "crankpin", "sump"]);
        let accept = json!({"feature": feature, "positions": ["all"], "why": said, "accepted-by": said});
        let step = self.dice.pick(&["inspection", "machining", "reassembly", "engine"]);
        let decision = match self.dice.below(4) {
            0 => {
                let (operation, place, size) = self.work();
                let work = joined(joined(place, size), json!({"operation": operation}));
                json!({"agreed-work": {"unit": "in", "work": [work], "agreed-by": said}})
            }
            1 => {
                let Some((target, body)) = self.earlier(&[0]) else { return };
                let (drop, row) = (self.named(&target.fact), &body["readings"][0]);
                let also = self.dice.pick(&["feature", "station"]);
                json!({"confirm-reading": {"drop": drop, "feature": row["feature"], also: row[also], "why": said}})
            }
            2 => json!({"accept": accept}),
            _ => return self.say("sign-off", json!({"step": step, "name": said})),
        };
        self.say("decision", decision);
    }

    fn part(&mut self) {
        let dice = &mut self.dice;
        let group = dice.pick(&["mains", "mains", "pins", "cams"]);
        let size = dice.pick(&["0.010 under", "standard", "0.020 under", "0.005 under"]);
        let part = dice.pick(&["crankshaft", "crankshaft", "block", "camshaft"]);
        let event = dice.pick(&["replaced", "replaced", "stamp read"]);
        let body = json!({"part": part, "event": event, "state": dice.pick(&["used", "new"]), "unit": "in",
            "stamps": [{"group": group, "size": size}], "why": self.words.said});
        self.say("part", body);
    }
}

/// A withdrawal of a drop under this name, for whom the drop was for.
pub fn withdrawal(target: &Fact, name: &str, why: &str) -> Value {
    let drop = shop_drop("withdrawal", 300, json!({"drop": name, "why": why}));
    if target.job.is_some() { joined(drop, json!({"job": target.head.job_written})) } else { drop }
}

fn joined(mut one: Value, other: Value) -> Value {
    one.as_object_mut().unwrap().extend(other.as_object().unwrap().clone());
    one
}
