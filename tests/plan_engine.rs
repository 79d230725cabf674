//! The plan of whole engines against a second planner: plain numbers, every combination, no tree and no scoring shared
//! with the first. Engines are worn, scored, thin-walled and short of parts by chance; prices, times and wishes too.
//! Guards that a plan is the best there is for its aim, keeps every limit, and does not depend on which place is which.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/chance.rs"]
mod chance;
#[path = "plan_engine/engines.rs"]
mod engines;
mod support;

use benchdrop::pages::plan_json;
use chance::Chance;
use engines::{BORE_SIZES, Drawn, Engine, UNDERSIZES, WELD, drops, engine};
use serde_json::{Value, json};
use support::*;

/// What a choice costs: places left beyond, parts given up, patches, metal in thousandths, money, days.
type Plain = [i64; 6];

fn sum(a: Plain, b: Plain) -> Plain {
    std::array::from_fn(|i| if i == 5 { a[i].max(b[i]) } else { a[i] + b[i] })
}

/// The least that cleans a bore up, or the most of a shaft, with U: worked out anew, in thousandths of tenths.
fn need(shaft: bool, value: i64, score: i64) -> f64 {
    let (value, score) = (value as f64, score as f64);
    let depth = if score > 0.0 { 2.0 * 5.0 / 3_f64.sqrt() } else { 0.0 };
    if shaft {
        // D - 2 wear - 2 score - stock; the upper new limit stood in: twice the reading counts.
        let upper = if value > 21_000.0 { 22_495.0 } else { 19_995.0 };
        let u = (2.0 * 1.25_f64).hypot(depth);
        upper - 2.0 * (upper - value + score) - 10.0 - 2.0 * u
    } else {
        let (repeat, shared) = (1.0, 1.436_14);
        let u = (5_f64.sqrt() * repeat).hypot(shared).hypot(depth);
        36_110.0 + 2.0 * (value - 36_110.0 + score) + 30.0 + 2.0 * u
    }
}

fn journals(drawn: &Drawn, engine: &Engine, shells: (i64, u32)) -> Vec<Plain> {
    let (service, upper) = if drawn.feature == "crankpin" { (19_980, 19_995) } else { (22_480, 22_495) };
    let count = i64::try_from(drawn.values.len()).unwrap();
    let (grind, once) = (engine.prices[2], engine.prices[3]);
    let each = || drawn.values.iter().zip(&drawn.scores);
    let bought = i64::from(shells.1);
    let mut all = Vec::new();
    // New metal is put on what no size cleans up, and on nothing else.
    let lost = |value: i64, score: i64| need(true, value, score) < (upper - 300) as f64;
    let mut welded = |failing: Vec<(i64, i64)>, size: i64, ground: i64, money: i64, days: i64| {
        if !failing.is_empty() && failing.iter().all(|(value, score)| lost(*value, *score)) {
            let welds = i64::try_from(failing.len()).unwrap();
            let days = days.max(bought + i64::from(WELD.1));
            all.push([0, 0, welds, size * (ground + welds), money + WELD.0 * welds, days]);
        }
    };
    let of = |fails: &dyn Fn(i64, i64) -> bool| -> Vec<(i64, i64)> {
        each().map(|(value, score)| (*value, *score)).filter(|(value, score)| fails(*value, *score)).collect()
    };
    let beyond = of(&|value, score| value < service || score > 0);
    welded(beyond.clone(), 0, 0, shells.0 * count, bought);
    for size in UNDERSIZES {
        let failing = of(&|value, score| need(true, value, score) < (upper - size * 10) as f64);
        let ground = count - i64::try_from(failing.len()).unwrap();
        let (days, set_up) = if ground > 0 { (bought + i64::from(grind.1), once.0) } else { (bought, 0) };
        welded(failing, size, ground, shells.0 * count + grind.0 * ground + set_up, days);
    }
    all.push([i64::try_from(beyond.len()).unwrap(), 0, 0, 0, shells.0 * count, bought]);
    for size in UNDERSIZES {
        let finish = (upper - size * 10) as f64;
        let short = each().filter(|(value, score)| need(true, **value, **score) < finish).count();
        let short = i64::try_from(short).unwrap();
        // Of what does not come to the size nothing is paid and nothing is spent.
        let ground = count - short;
        // The stone begins when the shells are here; setting it up is paid only where something is ground.
        let (days, set_up) = if ground > 0 { (bought + i64::from(grind.1), once.0) } else { (bought, 0) };
        all.push([short, 0, 0, size * ground, shells.0 * count + grind.0 * ground + set_up, days]);
    }
    all
}

fn crank(engine: &Engine) -> Vec<Plain> {
    let (main, rod) = (engine.prices[8], engine.prices[9]);
    let mut all = Vec::new();
    for mains in journals(&engine.mains, engine, main) {
        all.extend(journals(&engine.pins, engine, rod).into_iter().map(|pins| sum(mains, pins)));
    }
    // What is ground or welded is crack tested again, once, when all of it is done.
    let test = engine.prices[10];
    for kept in all.iter_mut().filter(|kept| kept[2] > 0 || kept[3] > 0) {
        kept[4] += test.0;
        kept[5] += i64::from(test.1);
    }
    let new = engine.prices[4];
    let days = [new.1, main.1, rod.1].into_iter().max().unwrap();
    let is_needy = |drawn: &Drawn, service: i64| {
        drawn.values.iter().any(|value| *value < service) || drawn.scores.iter().any(|score| *score > 0)
    };
    if is_needy(&engine.mains, 22_480) || is_needy(&engine.pins, 19_980) {
        all.push([0, 1, 0, 0, new.0 + 5 * main.0 + 4 * rod.0, i64::from(days)]);
    }
    all
}

fn block(engine: &Engine) -> Vec<Plain> {
    let [bore, sleeve, ..] = engine.prices;
    let (piston, rings) = (engine.prices[6], engine.prices[7]);
    let bought = 4 * (piston.0 + rings.0);
    let here = i64::from(piston.1.max(rings.1));
    let each = || engine.bores.values.iter().zip(&engine.bores.scores).zip(&engine.walls);
    let mut all = Vec::new();
    let mut sizes = Vec::new();
    let mut one = |(size, failing): (i64, i64), few: bool| {
        let good = 4 - failing;
        let machined = if size > 0 { good } else { 0 };
        let days = if machined > 0 { here + i64::from(bore.1) } else { here };
        all.push([failing, 0, 0, size * machined, bought + bore.0 * machined, days]);
        // A sleeve for the few that do not come to the size by themselves; for all where no size does without.
        if failing > 0 && few {
            let money = bought + bore.0 * machined + sleeve.0 * failing;
            all.push([0, 0, failing, size * 4, money, days.max(here + i64::from(sleeve.1))]);
        }
    };
    // As it is: within service, unscored, and a new piston of the largest grade fits at the new limits of the pair.
    let stays = |(value, score): (&i64, &i64)| *value <= 36_150 && *score == 0 && *value - 36_096 <= 20;
    sizes.push((0, i64::try_from(each().filter(|(reading, _)| !stays(*reading)).count()).unwrap()));
    for size in BORE_SIZES.into_iter().filter(|size| !engine.no_pistons.contains(size)) {
        let finish = (36_100 + size * 10) as f64;
        let comes = |((value, score), wall): ((&i64, &i64), &i64)| {
            need(false, *value, *score) <= finish && *wall - size * 5 >= 1_200
        };
        sizes.push((size, i64::try_from(each().filter(|bore| !comes(*bore)).count()).unwrap()));
    }
    let some_works = sizes.iter().any(|(_, failing)| *failing == 0);
    for size in sizes {
        one(size, size.1 * 2 < 4 || !some_works);
    }
    let needy = each().any(|(reading, _)| !stays(reading));
    if needy {
        let new = engine.prices[5];
        all.push([0, 1, 0, 0, new.0 + bought, here.max(i64::from(new.1))]);
    }
    all
}

fn slow_best(engine: &Engine, order: [usize; 6]) -> Plain {
    let mut all = Vec::new();
    for crank in crank(engine) {
        all.extend(block(engine).into_iter().map(|block| sum(crank, block)));
    }
    all.into_iter().min_by_key(|plain| order.map(|index| plain[index])).unwrap()
}

fn total(plan: &Value, index: usize) -> Plain {
    let total = &plan["alternatives"][index]["total"];
    let number = |key: &str| total[key].as_i64().unwrap();
    let text = |key: &str| total[key].as_str().unwrap().parse::<f64>().unwrap();
    assert_eq!((number("unpriced"), number("undated")), (0, 0), "{total}");
    #[expect(clippy::cast_possible_truncation, reason = "thousandths of an inch and whole crowns")]
    let (metal, money) = ((text("metal") * 1000.0).round() as i64, text("money").round() as i64);
    [number("unsolved"), number("parts-given-up"), number("built-up"), metal, money, number("days")]
}

const AIMS: [(&str, [usize; 6]); 3] = [
    ("least metal", [0, 1, 3, 2, 4, 5]),
    ("least cost", [0, 4, 1, 2, 3, 5]),
    ("soonest", [0, 5, 4, 1, 2, 3]),
];

#[test]
fn every_plan_is_the_best_of_all_that_could_be_done() {
    let mut chance = Chance(6);
    let mut shapes = std::collections::BTreeSet::new();
    for _ in 0..60 {
        let engine = engine(&mut chance);
        for (aim, order) in AIMS {
            let plan = plan_json(&look(&drops(&engine, aim)));
            let short = plan["alternatives"][0]["in-short"].as_str().unwrap().to_owned();
            assert_eq!(total(&plan, 0), slow_best(&engine, order), "{aim}: {short}\n{:#}", plan["needs"]);
            shapes.insert(short);
        }
    }
    // Machining, sleeves, other parts: the engines differ enough to try them all.
    for word in ["Bore and hone", "sleeve", "Grind", "another block", "another crankshaft"] {
        let there = shapes.iter().any(|short| short.to_lowercase().contains(&word.to_lowercase()));
        assert!(there, "{word}: {shapes:#?}");
    }
}

/// Which bore is which changes nothing but its name, nor does the order in which the readings of a drop stand.
#[test]
fn turning_places_and_readings_round_changes_no_total() {
    let mut chance = Chance(60);
    for round in 0..30 {
        let mut engine = engine(&mut chance);
        let (aim, _) = AIMS[round % AIMS.len()];
        let straight = plan_json(&look(&drops(&engine, aim)));
        let mut turned = drops(&engine, aim);
        for drop in &mut turned {
            if let Some(readings) = drop.pointer_mut("/body/readings").and_then(Value::as_array_mut) {
                chance.shuffle(readings);
            }
        }
        // What confirms a drop names it, and it is another drop now.
        let named: Vec<String> = turned.iter().map(|drop| fact(drop).id.hex()).collect();
        for index in 0..turned.len() {
            if let Some(of) = turned[index].pointer_mut("/body/confirm-reading/drop") {
                *of = named[index - 1].as_str().into();
            }
        }
        let turned = plan_json(&look(&turned));
        let told = |plan: &Value| {
            let all = plan["alternatives"].as_array().unwrap().iter();
            let all: Vec<Value> = all.map(|a| json!([a["in-short"], a["total"], a["serves"]])).collect();
            (all, plan["refused"].clone())
        };
        assert_eq!(told(&straight), told(&turned));
        let mut order: Vec<usize> = (0..5).collect();
        chance.shuffle(&mut order);
        for drawn in [&mut engine.bores, &mut engine.mains, &mut engine.pins] {
            let own: Vec<usize> = order.iter().copied().filter(|at| *at < drawn.values.len()).collect();
            drawn.values = own.iter().map(|at| drawn.values[*at]).collect();
            drawn.scores = own.iter().map(|at| drawn.scores[*at]).collect();
        }
        let own = order.iter().copied().filter(|at| *at < 4);
        engine.walls = own.map(|at| engine.walls[at]).collect();
        let turned = plan_json(&look(&drops(&engine, aim)));
        let count = straight["alternatives"].as_array().unwrap().len();
        assert_eq!(count, turned["alternatives"].as_array().unwrap().len());
        for index in 0..count {
            assert_eq!(total(&straight, index), total(&turned, index));
        }
    }
}
