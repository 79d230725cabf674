//! The order of bolts: the reverse of the sheet's own list, drawn where the bolts stand.

use super::{KD3, OV24, engine, sheet};
use crate::support::drop_at;
use benchdrop::pages::{JobView, job_page};
use benchdrop::sheets::Sheet;
use benchdrop::stages::{Actor, Stage};
use serde_json::{Value, json};
use std::collections::BTreeMap;

fn read(sheet: &Value) -> Sheet {
    Sheet::read(&serde_json::from_value(sheet["body"].clone()).unwrap()).unwrap()
}

fn texts(value: &Value) -> Vec<String> {
    value.as_array().into_iter().flatten().map(|text| text.as_str().unwrap().to_owned()).collect()
}

fn group<'a>(sheet: &'a Value, name: &str) -> &'a Value {
    sheet["body"]["fasteners"].as_array().unwrap().iter().find(|group| group["group"] == name).unwrap()
}

/// The first figure with this title.
fn figure<'a>(page: &'a str, title: &str) -> &'a str {
    let mut figures = page.split("<figure").skip(1).map(|rest| rest.split("</figure>").next().unwrap());
    figures.find(|figure| figure.contains(title)).unwrap()
}

/// The numbers of the first drawing with this title: place to number, and place to where its label stands.
fn drawn(page: &str, title: &str) -> (BTreeMap<String, usize>, BTreeMap<String, (i64, i64)>) {
    let figure = figure(page, title);
    let attribute = |text: &str, name: &str| -> i64 {
        let rest = text.split(&format!("{name}=\"")).nth(1).unwrap();
        rest.split('"').next().unwrap().parse().unwrap()
    };
    let (mut numbers, mut spots, mut number) = (BTreeMap::new(), BTreeMap::new(), None);
    for text in figure.split("<text ").skip(1).filter(|text| text.contains("\"middle\"")) {
        let words = text.split('>').nth(1).unwrap().split('<').next().unwrap();
        if text.contains("font-weight") {
            number = Some(words.parse().unwrap());
        } else {
            numbers.insert(words.to_owned(), number.take().unwrap());
            spots.insert(words.to_owned(), (attribute(text, "x"), attribute(text, "y")));
        }
    }
    (numbers, spots)
}

fn numbered(order: &[String]) -> BTreeMap<String, usize> {
    order.iter().cloned().zip(1..).collect()
}

/// Trade notes H1, its own words: tighten C3, P3, P4, C4, C2, P2, P1, C1, C5, P5, loosen exactly the reverse.
#[test]
fn the_head_of_the_first_engine_is_let_go_as_printed() {
    let read = read(&sheet(OV24));
    let head = read.fasteners("G03").unwrap();
    assert_eq!(head.loosening().places, ["P5", "C5", "C1", "P1", "P2", "C2", "C4", "P4", "P3", "C3"]);
    assert!(head.loosening().own && head.loosening_rounds() == 3);
}

#[test]
fn every_list_of_a_sheet_is_let_go_backwards() {
    let mut lists = 0;
    for sheet in [sheet(OV24), sheet(KD3)] {
        let read = read(&sheet);
        for written in sheet["body"]["fasteners"].as_array().unwrap() {
            let mut list = texts(&written["pattern"]);
            let group = read.fasteners(written["group"].as_str().unwrap()).unwrap();
            if list.is_empty() {
                continue;
            }
            lists += 1;
            assert_eq!(group.tightening().places, list);
            list.reverse();
            assert_eq!(group.loosening().places, list);
        }
    }
    assert_eq!(lists, 3, "mains and head of the first engine, head of the second");
}

/// The drawing of trade notes H1: `P1(7) P2(6) P3(2) P4(3) P5(10)` over `C1(8) C2(5) C3(1) C4(4) C5(9)`, front to the left.
#[test]
fn numbers_stand_where_the_bolts_stand() {
    let ov24 = sheet(OV24);
    let page = job_page(&engine(&ov24, &[]));
    let mut list = texts(&group(&ov24, "G03")["pattern"]);
    list.reverse();
    let (numbers, spots) = drawn(&page, "G03 Cylinder head: loosen in this order");
    assert_eq!(numbers, numbered(&list));
    for row in ["P", "C"] {
        let along: Vec<(i64, i64)> = (1..=5).map(|n| spots[&format!("{row}{n}")]).collect();
        assert!(
            along.windows(2).all(|two| two[0].0 < two[1].0 && two[0].1 == two[1].1),
            "front to rear: {along:?}"
        );
    }
    assert!(
        spots["P1"].1 < spots["C1"].1 && spots["P1"].0 == spots["C1"].0,
        "plug side above the camshaft's"
    );
    let head = figure(&page, "G03");
    assert!(head.contains("Cold") && head.contains("three rounds") && !head.contains("aluminium"), "{head}");
    // Nobody has begun to tighten it: the pattern waits for the assembly.
    assert!(!page.contains("tighten in this order"));
    // What is off needs no loosening.
    let off = ["head", "head gasket"]
        .map(|part| drop_at("part", 20, json!({"part": part, "event": "off", "where": "rack A"})));
    let page = job_page(&engine(&ov24, &off));
    assert!(!page.contains("G03 Cylinder head: loosen") && page.contains("G01 Main caps: loosen"));
}

#[test]
fn a_joint_half_done_shows_the_tightening_order() {
    let ov24 = sheet(OV24);
    let torque = json!({"torque": [
        {"group": "G03", "stages": [1], "lubricant": "oil threads and under head", "bolts": "new"},
        {"group": "G03", "places": ["C3", "P3"], "stages": [2], "lubricant": "oil threads and under head", "bolts": "new"}]});
    let page = job_page(&engine(&ov24, &[drop_at("assembly", 30, torque)]));
    let (numbers, _) = drawn(&page, "G03 Cylinder head: tighten in this order");
    let list = texts(&group(&ov24, "G03")["pattern"]);
    let ticked = list.iter().map(|place| {
        if ["C3", "P3"].contains(&place.as_str()) { format!("{place} \u{2713}") } else { place.clone() }
    });
    assert_eq!(numbers, numbered(&ticked.collect::<Vec<_>>()));
    assert!(page.contains("25, then 40 lbf ft, then 90 deg") && page.contains("Next: stage 2"));
}

/// Trade notes D: rocker shafts and cam caps are turned to the least load first, then all stands evenly, never one by one; at
/// three quarters of a turn the springs still push.
#[test]
fn what_springs_push_is_let_go_evenly() {
    let evenly = |sheet: &Value| job_page(&engine(sheet, &[])).matches("Valve springs push on it").count();
    let mut ov24 = sheet(OV24);
    assert_eq!((evenly(&ov24), evenly(&sheet(KD3))), (1, 1), "the rocker shaft, the cam caps");
    let page = job_page(&engine(&sheet(KD3), &[]));
    assert!(page.contains("The sheet: turn to least load first, then all evenly."), "{page}");
    for group in ov24["body"]["fasteners"].as_array_mut().unwrap() {
        if group["group"] == "G15" {
            group["holds"] = json!(["rocker cover"]);
        }
    }
    assert_eq!(evenly(&ov24), 0);
}

/// Aluminium lets itself be bent, and more so hot.
#[test]
fn an_aluminium_head_says_why_cold() {
    let kd3 = sheet(KD3);
    let page = job_page(&engine(&kd3, &[]));
    let figure = figure(&page, "loosen in this order");
    assert!(
        figure.contains("The head is aluminium alloy") && figure.contains("while hot: it warps"),
        "{figure}"
    );
    assert!(figure.contains("not the maker"), "its list is a general one: {figure}");
}

/// A joint in stages without an order of the maker's is the owner's to answer, from the first day, until somebody does.
#[test]
fn what_the_sheet_does_not_say_is_asked() {
    let kd3 = sheet(KD3);
    let asked = |more: &[Value]| -> Vec<String> {
        let view = engine(&kd3, more);
        assert_eq!(view.standing.stage, Stage::CheckedIn);
        let early = view.standing.waits().filter(|b| b.rule.word() == "order of bolts");
        early.inspect(|b| assert_eq!(b.actor, Actor::Owner)).map(|b| b.about.clone()).collect()
    };
    assert_eq!(
        asked(&[]),
        ["main caps Main caps", "head Head"],
        "rods, cam caps and pan have words of the sheet"
    );
    let waiver = json!({"waiver": {"gate": "reassembly", "rule": "order of bolts", "about": "head Head",
        "why": "the general order will do", "by": "Rowan Holt"}});
    assert_eq!(asked(&[drop_at("decision", 30, waiver)]), ["main caps Main caps"]);
    let view = engine(&sheet(OV24), &[]);
    assert!(
        !view.standing.blockers.iter().any(|b| b.rule.word() == "order of bolts"),
        "it has an order for each"
    );
}

/// Without a list the general order is worked out from where the bolts stand: never farther out before nearer in.
#[test]
fn a_general_order_goes_from_the_middle_outwards() {
    for (rows, columns) in [(1, 4), (2, 4), (2, 5), (3, 5), (2, 7), (3, 4)] {
        let mut written = sheet(KD3);
        let places: Vec<Vec<String>> =
            (0..rows).map(|row| (0..columns).map(|column| format!("{row}-{column}")).collect()).collect();
        let all: Vec<String> = places.iter().flatten().cloned().collect();
        let head = written["body"]["fasteners"]
            .as_array_mut()
            .unwrap()
            .iter_mut()
            .find(|g| g["group"] == "head")
            .unwrap();
        head["sizes"][0]["count"] = all.len().into();
        head["sizes"][0]["places"] = json!(all);
        head["pattern"] = json!([]);
        head["pattern-words"] = "".into();
        head["pattern-source"] = "sheet".into();
        head["layout"] = json!({"rows": places.iter().map(|row| json!({"places": row})).collect::<Vec<_>>()});
        let read = read(&written);
        let head = read.fasteners("head").unwrap();
        let (tighten, mut loosen) = (head.tightening(), head.loosening());
        assert!(!tighten.own && head.lacks_order());
        loosen.places.reverse();
        assert_eq!(tighten.places, loosen.places);
        let out = |place: &str| {
            let (row, column) = place.split_once('-').unwrap();
            let off = |at: &str, count: usize| at.parse::<f64>().unwrap() - (count as f64 - 1.0) / 2.0;
            off(row, rows).hypot(off(column, columns))
        };
        assert!(
            tighten.places.windows(2).all(|two| out(two[0]) < out(two[1]) + 1e-9),
            "{:?}",
            tighten.places
        );
        let mut sorted: Vec<String> = tighten.places.iter().map(|place| (*place).to_owned()).collect();
        sorted.sort();
        assert_eq!(sorted, all, "each once");
    }
}

/// The order is said before the bolts are out, the play before what takes it away, the safe position before the drive comes off
/// (trade notes A, step 5).
#[test]
fn what_cannot_be_done_afterwards_is_said_before() {
    let asked = |text: &str, more: &[Value]| engine(&sheet(text), more);
    let says = |view: &JobView, rule: &str, about: &str| -> String {
        let own =
            view.standing.blockers.iter().filter(|b| b.rule.word() == rule && b.about.starts_with(about));
        own.map(|b| b.what.clone()).collect()
    };
    let petrol = asked(OV24, &[]);
    let head = says(&petrol, "bagged", "G03");
    assert!(head.contains("let them go cold, in 3 rounds, in the reverse of tightening: "), "{head}");
    let last = sheet(OV24)["body"]["fasteners"][2]["pattern"].as_array().unwrap().last().unwrap().clone();
    assert!(head.contains(&format!("tightening: {},", last.as_str().unwrap())), "{head}");
    assert!(says(&petrol, "bagged", "G15").contains("evenly"), "springs push on the rocker shaft");
    assert!(!says(&petrol, "bagged", "G07").contains("let them go"), "one bolt has no order");
    let out = json!({"group": "G03", "state": "bagged", "pieces": [{"count": 9}]});
    let late = asked(OV24, &[drop_at("hardware", 20, out)]);
    assert!(
        says(&late, "bagged", "G03").contains("9 of 10")
            && !says(&late, "bagged", "G03").contains("let them go")
    );
    let diesel = asked(KD3, &[]);
    assert!(
        says(&diesel, "accounted for", "belt").contains("safe position"),
        "{}",
        says(&diesel, "accounted for", "belt")
    );
    assert!(
        !says(&petrol, "accounted for", "timing chain").contains("safe position"),
        "its valves do not meet the pistons"
    );
    assert!(!says(&diesel, "accounted for", "main cap").contains("safe position"));
    let page = job_page(&petrol);
    let at = |words: &str| page.find(words).unwrap_or_else(|| panic!("{words}"));
    assert!(at("measure it before anything comes off") < at("not accounted for: say that it is off"));
}
