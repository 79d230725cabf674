//! Faults planted in the two invented sheets, one at a time, each of which the check must name.

use super::{faults, faults_of, kd3, ov24};
use benchdrop::sheets::written::SheetWritten;
use benchdrop::sheets::{Sheet, questions};
use serde_json::{Value, json};

/// The value with its last digit moved by one.
fn moved(digits: &str) -> String {
    let (head, last) = digits.split_at(digits.len() - 1);
    let last: u8 = last.parse().unwrap();
    format!("{head}{}", if last == 9 { 8 } else { last + 1 })
}

/// Paths of every text below `value` that lies under one of these keys.
fn texts_under(value: &Value, keys: &[&str], at: &str, under: bool, found: &mut Vec<String>) {
    match value {
        Value::String(text) if under && text.ends_with(|c: char| c.is_ascii_digit()) => {
            found.push(at.to_owned())
        }
        Value::Object(object) => {
            for (key, inner) in object.iter().filter(|(key, _)| *key != "what" && *key != "feature") {
                let under = under || keys.contains(&key.as_str());
                texts_under(inner, keys, &format!("{at}/{key}"), under, found);
            }
        }
        Value::Array(list) => {
            for (index, inner) in list.iter().enumerate() {
                texts_under(inner, keys, &format!("{at}/{index}"), under, found);
            }
        }
        Value::String(_) | Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

fn every_one_is_noticed(sheet: &Value, keys: &[&str], least: usize) {
    let mut paths = Vec::new();
    texts_under(&sheet["body"], keys, "/body", false, &mut paths);
    assert!(paths.len() >= least, "{} paths", paths.len());
    for path in paths {
        let mut planted = sheet.clone();
        let text = planted.pointer_mut(&path).unwrap();
        *text = Value::String(moved(text.as_str().unwrap()));
        assert!(!faults_of(&planted).is_empty(), "{path} moved by its last digit passed");
    }
}

#[test]
fn a_digit_of_the_other_unit_is_noticed() {
    let keys = ["other-unit", "other-stages", "other-torque"];
    every_one_is_noticed(&ov24(), &keys, 220);
    every_one_is_noticed(&kd3(), &keys, 80);
}

#[test]
fn a_digit_of_a_stack_is_noticed() {
    // A bolt's stack has room to move: its thread need only be enough.
    let rows = |mut sheet: Value| {
        sheet["body"]["fasteners"] = json!([]);
        // They are looked at after groups that are no more.
        sheet["body"]["checks"] = json!([]);
        sheet
    };
    every_one_is_noticed(&rows(ov24()), &["stack"], 26);
    every_one_is_noticed(&rows(kd3()), &["stack"], 28);
}

fn plant(mut sheet: Value, path: &str, value: Value) -> Value {
    *sheet.pointer_mut(path).unwrap_or_else(|| panic!("{path} is not there")) = value;
    sheet
}

fn index(sheet: &Value, list: &str, key: &str, name: &str) -> usize {
    sheet["body"][list].as_array().unwrap().iter().position(|one| one[key] == name).unwrap()
}

/// The planted sheet has exactly faults at this place, whichever way it is read.
#[track_caller]
fn noticed(sheet: &Value, at: &str) {
    let found = faults(sheet);
    assert!(found.iter().any(|f| f.at == at), "expected {at}, found {found:?}");
}

#[test]
fn a_pattern_goes_to_each_place_once() {
    let head = format!("/body/fasteners/{}", index(&ov24(), "fasteners", "group", "G03"));
    let at = |path: &str, value: Value| plant(ov24(), &format!("{head}/{path}"), value);
    noticed(&at("pattern/3", json!("C3")), "fasteners G03 pattern c3");
    noticed(&at("pattern/3", json!("C3")), "fasteners G03 pattern");
    noticed(&at("pattern/3", json!("C9")), "fasteners G03 pattern");
    noticed(&at("sizes/0/places/3", json!("C3")), "fasteners G03 place c3");
    noticed(&at("sizes/0/count", json!(11)), "fasteners G03");
}

#[test]
fn thread_that_does_not_hold_or_a_bolt_that_bottoms_is_noticed() {
    let head = format!("/body/fasteners/{}", index(&ov24(), "fasteners", "group", "G03"));
    let bolt = |value: Value| {
        let mut sheet = ov24();
        let size = sheet.pointer_mut(&format!("{head}/sizes/0")).unwrap().as_object_mut().unwrap();
        size.extend(value.as_object().unwrap().clone());
        sheet
    };
    // 1.25 x 0.4375 = 0.546875; a length of 4.536875 leaves exactly that over 3.990.
    assert!(faults(&bolt(json!({"length": "4.536875"}))).is_empty());
    noticed(&bolt(json!({"length": "4.536874"})), "fasteners G03 7/16-14 x 4.75");
    assert!(faults(&bolt(json!({"hole": "0.76"}))).is_empty());
    noticed(&bolt(json!({"hole": "0.759"})), "fasteners G03 7/16-14 x 4.75");
    // 0.76 is 1.7 diameters: enough in iron, too little in aluminium.
    let aluminium = plant(ov24(), &format!("{head}/engaged-in"), json!("aluminium"));
    noticed(&aluminium, "fasteners G03 7/16-14 x 4.75");
}

#[test]
fn names_that_lead_nowhere_or_stand_twice_are_noticed() {
    let part = index(&ov24(), "parts", "part", "piston");
    noticed(&plant(ov24(), &format!("/body/parts/{part}/sized-by"), json!("holes")), "part piston sized-by");
    noticed(&plant(ov24(), &format!("/body/parts/{part}/scopes/0"), json!("long block")), "part piston");
    noticed(&plant(ov24(), "/body/fasteners/0/scopes/0", json!("long block")), "fasteners G01");
    noticed(&plant(ov24(), "/body/fasteners/0/clamps/0", json!("main bore")), "fasteners G01 clamps");
    noticed(&plant(ov24(), "/body/plugs/0/group", json!("g 01")), "group g01");
    noticed(&plant(ov24(), "/body/checks/1/check", json!("Numbers-recorded")), "check numbersrecorded");
}

#[test]
fn stages_ascend_and_are_as_many_for_every_size() {
    noticed(&plant(ov24(), "/body/fasteners/0/stages/1", json!("85")), "fasteners G01");
    let cover = index(&ov24(), "fasteners", "group", "G11");
    let path = format!("/body/fasteners/{cover}/sizes/1/stages");
    noticed(&plant(ov24(), &path, json!(["8", "15"])), "fasteners G11");
    noticed(&plant(kd3(), "/body/fasteners/1/angles/0", json!("600")), "fasteners rods");
}

#[test]
fn limits_after_work_and_totals_removed_belong_together() {
    let head = format!("/body/features/{}/rows", index(&ov24(), "features", "feature", "head thickness"));
    // 3.948 less 0.010 is 3.938; less 0.009 never gets there.
    noticed(&plant(ov24(), &format!("{head}/1/after-work/max"), json!("0.009")), "row 56");
    // After work may not be worse than what is reused uncut.
    let margin = index(&ov24(), "features", "feature", "intake valve margin");
    let path = format!("/body/features/{margin}/rows/0/after-work/min");
    noticed(&plant(ov24(), &path, json!("0.030")), "row 51");
    let spring = index(&kd3(), "features", "feature", "spring free length");
    let path = format!("/body/features/{spring}/rows/0/service/min");
    noticed(&plant(kd3(), &path, json!("42.86")), "row 34");
}

/// Gaskets by protrusion, from the notes: each step leaves 0.65 to 0.75, exactly that at both of its ends.
#[test]
fn a_gasket_that_leaves_another_squish_is_noticed() {
    let head = format!("/body/features/{}", index(&kd3(), "features", "feature", "piston protrusion"));
    for (step, thickness) in [(0, "1.21"), (1, "1.29"), (2, "1.41"), (2, "1.39")] {
        let path = format!("{head}/gaskets/{step}/thickness");
        noticed(&plant(kd3(), &path, json!(thickness)), "feature piston protrusion gaskets");
    }
    noticed(
        &plant(kd3(), &format!("{head}/gaskets/1/up-to"), json!("0.66")),
        "feature piston protrusion gaskets",
    );
}

fn asked(sheet: &Value) -> Vec<String> {
    let written: SheetWritten = serde_json::from_value(sheet["body"].clone()).unwrap();
    questions(&Sheet::read(&written).expect("a question refuses nothing"))
        .iter()
        .map(|q| q.at.clone())
        .collect()
}

/// "A torque 90 on a 1/4 inch bolt is lbf in" (trade notes D): asked about, not refused.
#[test]
fn what_is_only_unusual_is_asked() {
    assert_eq!(asked(&ov24()), Vec::<String>::new());
    let asked_of = ["fasteners main caps", "fasteners head"];
    assert_eq!(
        asked(&kd3()),
        asked_of,
        "one has no order of its own, the other's is generic: the owner is asked"
    );
    let cover = index(&ov24(), "fasteners", "group", "G17");
    let mut sheet = plant(ov24(), &format!("/body/fasteners/{cover}/stages"), json!(["90"]));
    sheet = plant(sheet, &format!("/body/fasteners/{cover}/other-stages"), json!(["122"]));
    assert_eq!(asked(&sheet), ["fasteners G17", "fasteners G17"], "beyond proof load, and out of range");
    // Stages before the last, angles and plugs are never asked about: 4 lbf ft on G10, G03 and G24 stand above.
    let mut mains = plant(ov24(), "/body/fasteners/0/lubricant", json!("dry"));
    assert_eq!(asked(&mains), Vec::<String>::new(), "56 percent dry");
    mains = plant(mains, "/body/fasteners/0/lubricant", json!("grease"));
    assert_eq!(asked(&mains), ["fasteners G01"], "no nut factor is known");
}

/// 240 lbf/in over 0.358 in are 85.92 lbf, in the unit that the load is stated in: 382.2 N.
#[test]
fn a_spring_load_is_held_against_the_rate_in_its_own_unit() {
    let with = |unit: &str, nominal: &str, [min, max, service]: [&str; 3]| {
        let mut sheet = ov24();
        let spring = index(&sheet, "features", "feature", "spring load closed");
        let feature = &mut sheet["body"]["features"][spring];
        feature["unit"] = unit.into();
        let row = &mut feature["rows"][0];
        row["nominal"] = nominal.into();
        row["new"] = json!({"min": min, "max": max});
        row["service"] = json!({"min": service});
        faults_of(&sheet)
    };
    assert_eq!(with("N", "382", ["365", "400", "329"]), vec![]);
    let found = with("N", "86", ["82", "90", "74"]);
    let fault = found.iter().find(|fault| fault.at == "geometry springs rate").unwrap();
    assert_eq!(fault.found, "a load of 86 N");
    assert!(fault.expected.starts_with("382.19"), "{}", fault.expected);
    let found = with("in", "0.3", ["0.2", "0.4", "0.1"]);
    assert!(found.iter().any(|fault| fault.expected == "a feature in lbf or N"), "{found:?}");
}

/// What the printed ratio, displacement and spring load rest on, each moved by little; and features in wrong roles.
#[test]
fn geometry_that_does_not_come_out_is_noticed() {
    for (sheet, moves) in [
        (
            ov24(),
            vec![
                ("stroke", json!("3.5820")),
                ("dish", json!("4.1")),
                ("recess", json!("0.1")),
                ("head-gasket/thickness", json!("0.041")),
                ("head-gasket/hole", json!("3.700")),
                ("compression-ratio", json!("9.299")),
                ("displacement", json!("2403")),
                ("springs/rate", json!("242")),
                ("springs/shims", json!(["0.030", "0.015"])),
                ("footprint", json!("0")),
                ("features/1/feature", json!("bore")),
                ("features/2/feature", json!("no such feature")),
                ("banks", json!([{"bank": "left", "cylinders": ["1", "2", "3", "4"]}])),
            ],
        ),
        (
            kd3(),
            vec![
                ("stroke", json!("87.1")),
                ("recess", json!("1.3")),
                ("head-gasket/thickness", json!("1.31")),
                ("compression-ratio", json!("18.27")),
                ("displacement", json!("1344")),
                ("features/7/is", json!("wall")),
            ],
        ),
    ] {
        assert!(faults_of(&sheet).is_empty());
        for (path, to) in moves {
            let mut planted = sheet.clone();
            let (last, above) = path.rsplit_once('/').map_or((path, ""), |(above, last)| (last, above));
            let at = if above.is_empty() {
                "/body/geometry".to_owned()
            } else {
                format!("/body/geometry/{above}")
            };
            planted.pointer_mut(&at).unwrap()[last] = to;
            let found = faults_of(&planted);
            assert!(found.iter().any(|fault| fault.at.starts_with("geometry")), "{path}: {found:?}");
        }
    }
}
