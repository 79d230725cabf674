//! Engines worn, scored, thin-walled and short of parts by chance, as plain numbers and as drops.

use super::chance::Chance;
use super::support::*;
use serde_json::{Value, json};

/// One group as its readings were drawn: ten thousandths of an inch, by position.
pub(super) struct Drawn {
    pub(super) feature: &'static str,
    pub(super) values: Vec<i64>,
    pub(super) scores: Vec<i64>,
}

pub(super) struct Engine {
    pub(super) bores: Drawn,
    pub(super) mains: Drawn,
    pub(super) pins: Drawn,
    pub(super) walls: Vec<i64>,
    /// Price and days: bore, sleeve, grind, grind once, crankshaft, block, piston, ring set, main shell, rod shell, crack
    /// test.
    pub(super) prices: [(i64, u32); 11],
    /// Sizes in thousandths whose pistons cannot be had.
    pub(super) no_pistons: Vec<i64>,
}

pub(super) const BORE_SIZES: [i64; 4] = [20, 30, 40, 60];
pub(super) const UNDERSIZES: [i64; 3] = [10, 20, 30];
/// Price and days.
pub(super) const WELD: (i64, u32) = (5_000, 40);

pub(super) fn drawn(
    chance: &mut Chance,
    feature: &'static str,
    count: usize,
    fine: i64,
    worn: i64,
    way: i64,
) -> Drawn {
    let value = |chance: &mut Chance| {
        let wear = if chance.between(0, 4) == 0 { chance.between(0, 14) } else { 0 };
        let base = if wear > 0 { worn } else { fine };
        base + way * i64::try_from(wear).unwrap()
    };
    let score = |chance: &mut Chance| match chance.between(0, 8) {
        0 => i64::try_from(chance.between(10, 120)).unwrap(),
        _ => 0,
    };
    Drawn {
        feature,
        values: (0..count).map(|_| value(chance)).collect(),
        scores: (0..count).map(|_| score(chance)).collect(),
    }
}

pub(super) fn engine(chance: &mut Chance) -> Engine {
    let price = |chance: &mut Chance, low: u64, high: u64| {
        (i64::try_from(chance.between(low, high)).unwrap(), u32::try_from(chance.between(1, 15)).unwrap())
    };
    let ranges = [
        (20, 60),
        (20, 300),
        (10, 60),
        (0, 90),
        (200, 900),
        (700, 2500),
        (30, 120),
        (10, 40),
        (5, 20),
        (5, 20),
        (0, 60),
    ];
    Engine {
        bores: drawn(chance, "bore", 4, 36_130, 36_140, 3),
        mains: drawn(chance, "main journal", 5, 22_488, 22_481, -3),
        pins: drawn(chance, "crankpin", 4, 19_987, 19_981, -3),
        walls: (0..4).map(|_| i64::try_from(chance.between(1_280, 2_000)).unwrap()).collect(),
        prices: std::array::from_fn(|index| price(chance, ranges[index].0, ranges[index].1)),
        no_pistons: BORE_SIZES.into_iter().filter(|_| chance.between(0, 4) == 0).collect(),
    }
}

pub(super) fn inches(tenths: i64) -> String {
    format!("{}.{:04}", tenths / 10_000, tenths % 10_000)
}

pub(super) fn drops(engine: &Engine, aim: &str) -> Vec<Value> {
    let mut drops = gauges();
    drops.push(serde_json::from_str(OV24).unwrap());
    drops.push(house_rules(0));
    drops.push(short_block_in(10, &json!({"aim": aim})));
    drops.extend(diameters(engine));
    drops.extend(walls_and_scores(engine));
    drops.push(drop_at(
        "decision",
        46,
        json!({"disposition": {"part": "piston", "positions": ["all"],
        "what": "replace as a set", "why": "worn", "by": "Rowan Holt"}}),
    ));
    for (minute, size) in (47..).zip(&engine.no_pistons) {
        drops.push(drop_at(
            "supply",
            minute,
            json!({"item": "piston", "unit": "in", "size": format!("0.0{size} over"),
            "count": 4, "state": "not available"}),
        ));
    }
    drops.push(prices(engine));
    drops
}

pub(super) fn diameters(engine: &Engine) -> Vec<Value> {
    let mut drops = Vec::new();
    let places = |feature: &str| {
        if feature == "bore" { ["top", "middle", "bottom"].as_slice() } else { &["front", "rear"] }
    };
    for (minute, drawn) in (20..).zip([&engine.bores, &engine.mains, &engine.pins]) {
        let mut readings = Vec::new();
        for (index, value) in drawn.values.iter().enumerate() {
            let position = (index + 1).to_string();
            for station in places(drawn.feature) {
                for direction in ["X", "Y"] {
                    readings.push(reading(drawn.feature, &position, station, direction, &inches(*value)));
                }
            }
            if drawn.feature == "bore" {
                readings.push(reading("bore", &position, "unworn", "X", "3.6110"));
            }
        }
        let gauge = if drawn.feature == "bore" { "BORE" } else { "MIC" };
        drops.push(measured(minute, "as received", gauge, readings));
        // What looks worn past believing is asked about; here it is so, and somebody says it.
        let sure = confirmed(minute + 10, drops.last().unwrap(), drawn.feature);
        drops.push(sure);
    }
    drops
}

pub(super) fn walls_and_scores(engine: &Engine) -> Vec<Value> {
    let mut drops = Vec::new();
    for (minute, feature) in (40..).zip(["wall on the thrust side", "wall on other sides"]) {
        let wall = |(index, wall): (usize, &i64)| {
            json!({"feature": feature, "position": (index + 1).to_string(),
            "value": inches(*wall)})
        };
        let readings: Vec<Value> = engine.walls.iter().enumerate().map(wall).collect();
        drops.push(drop_at(
            "measurements",
            minute,
            json!({"condition": "as received", "unit": "in", "readings": readings}),
        ));
    }
    for (drawn, part) in
        [(&engine.bores, "block"), (&engine.mains, "crankshaft"), (&engine.pins, "crankshaft")]
    {
        let findings: Vec<Value> = drawn
            .scores
            .iter()
            .enumerate()
            .filter(|(_, depth)| **depth > 0)
            .map(|(index, depth)| {
                json!({"part": part, "defect": "scoring", "severity": 3, "score": {"feature": drawn.feature,
                    "position": (index + 1).to_string(), "unit": "in", "depth": inches(*depth), "within": "0.0005"}})
            })
            .collect();
        if !findings.is_empty() {
            drops.push(drop_at("finding", 45, json!({"findings": findings})));
        }
    }
    drops
}

pub(super) fn prices(engine: &Engine) -> Value {
    let [bore, sleeve, grind, once, crank, block, piston, rings, main, rod, test] = engine.prices;
    let money = |amount: i64| format!("{amount}.00");
    let work = |name: &str, (price, days): (i64, u32)| json!({"operation": name, "price": money(price), "days": days});
    let part =
        |name: &str, (price, days): (i64, u32)| json!({"part": name, "price": money(price), "days": days});
    let mut grinding = work("grind", grind);
    grinding["once"] = money(once.0).into();
    // What is bought whatever the plan costs nothing and is here, so that only what is chosen counts.
    let always = [
        "thrust bearing",
        "cam bearing",
        "gasket set",
        "front crank seal",
        "rear crank seal",
        "G21 core plugs",
        "G02 connecting rods nuts",
    ];
    let mut parts: Vec<Value> =
        always.iter().map(|name| json!({"part": name, "price": "0.00", "days": 0})).collect();
    parts.extend([
        part("crankshaft", crank),
        part("block", block),
        part("piston", piston),
        part("ring set", rings),
        part("main shell", main),
        part("rod shell", rod),
    ]);
    shop_drop(
        "price-list",
        1,
        json!({"revision": 1, "currency": "crowns", "hour": "65.00",
        "operations": [work("bore and hone", bore), work("sleeve", sleeve), grinding, work("weld", WELD), work("crack test", test)],
        "parts": parts}),
    )
}
