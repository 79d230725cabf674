//! A sheet is checked by computing. `printed` holds both invented engines against their printed tables, `planted`
//! plants faults that the check must name; here every number that a stack rests on is moved by its last digit.
//! Guards promise 4.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test stops at what it did not expect")]

#[path = "sheets/planted.rs"]
mod planted;
#[path = "sheets/printed.rs"]
mod printed;
mod support;

use benchdrop::facts::{Body, Refusal, decode};
use benchdrop::metrology::{Length, Unit};
use benchdrop::sheets::written::SheetWritten;
use benchdrop::sheets::{Fault, Sheet, agreements};
use serde_json::Value;
use support::OV24;

fn faults(sheet: &Value) -> Vec<Fault> {
    match decode(&serde_json::to_vec(sheet).unwrap(), "main") {
        Ok(_) => Vec::new(),
        Err(Refusal::Faults(faults)) => faults,
        Err(other) => panic!("{other:?}"),
    }
}

/// As [`faults`], past the schema: for a check of many planted sheets.
fn faults_of(sheet: &Value) -> Vec<Fault> {
    let written: SheetWritten = serde_json::from_value(sheet["body"].clone()).unwrap();
    Sheet::read(&written).err().unwrap_or_default()
}

fn read(sheet: &Value) -> Sheet {
    Sheet::read(&serde_json::from_value(sheet["body"].clone()).unwrap()).unwrap()
}

fn ov24() -> Value {
    serde_json::from_str(OV24).unwrap()
}

fn kd3() -> Value {
    serde_json::from_str(include_str!("../schemas/examples/sheet.v1/pass/kd-3.json")).unwrap()
}

/// The stacks printed in the trade notes (computed there with exact fractions): main 0.0012 to 0.0026, rod
/// 0.0010 to 0.0024, piston 0.0012 to 0.0020, at standard and at every size.
#[test]
fn every_stack_of_the_demonstration_sheet_agrees() {
    let Body::Sheet(sheet) = decode(OV24.as_bytes(), "main").unwrap().body else { panic!("a sheet") };
    let found = agreements(&sheet);
    let rows = found.iter().filter(|a| a.of.starts_with("row"));
    assert_eq!(rows.count(), 10, "rows 9, 28, 29, 34, 35, 36, 59 (new and after work), 60, 61");
    assert!(found.iter().all(benchdrop::sheets::Agreement::holds));
    let inch = |digits: &str| Length::parse(digits, Unit::Inch).unwrap().exact();
    for (pair, count, min, max) in [
        ("main clearance", 4, "0.0012", "0.0026"),
        ("rod clearance", 4, "0.0010", "0.0024"),
        ("piston clearance", 7, "0.0012", "0.0020"),
    ] {
        let of_pair: Vec<_> = found.iter().filter(|a| a.of == format!("pair {pair}")).collect();
        assert_eq!(of_pair.len(), count, "{pair}: standard or grades, and every size");
        assert!(
            of_pair.iter().all(|a| a.computed.min == Some(inch(min)) && a.computed.max == Some(inch(max)))
        );
    }
}

/// Paths of every limit of a pair: of its members, and as it is stated.
fn stacked_numbers(sheet: &Value) -> Vec<String> {
    let pairs = sheet["body"]["pairs"].as_array().unwrap();
    let members = |key: &Value| {
        pairs.iter().any(|p| ["outer", "walls", "inner"].iter().any(|m| p[*m]["feature"] == *key))
    };
    let mut paths = Vec::new();
    for (f, feature) in sheet["body"]["features"].as_array().unwrap().iter().enumerate() {
        if !members(&feature["feature"]) {
            continue;
        }
        let at = format!("/body/features/{f}");
        // The new limits of graded features are spanned by their grades, and a bore's finish has limits of its own.
        if feature.get("grades").is_none() {
            paths.extend(["min", "max"].map(|b| format!("{at}/rows/0/new/{b}")));
        }
        if feature.pointer("/sizes/finish").is_some() {
            paths.extend(["min", "max"].map(|b| format!("{at}/sizes/finish/{b}")));
        }
        let grades = feature.get("grades").and_then(Value::as_array).map_or(0, Vec::len);
        paths.extend((0..grades).flat_map(|g| ["min", "max"].map(|b| format!("{at}/grades/{g}/limits/{b}"))));
    }
    for p in 0..pairs.len() {
        paths.extend(["min", "max"].map(|b| format!("/body/pairs/{p}/row/new/{b}")));
    }
    paths
}

#[test]
fn a_last_digit_anywhere_in_a_stack_is_noticed() {
    for (sheet, least) in [(ov24(), 70), (kd3(), 50)] {
        let paths = stacked_numbers(&sheet);
        assert!(paths.len() >= least, "{paths:?}");
        for path in paths {
            let mut planted = sheet.clone();
            let number = planted.pointer_mut(&path).unwrap_or_else(|| panic!("{path}"));
            let digits = number.as_str().unwrap();
            let places = digits.split_once('.').unwrap().1.len();
            let whole: u32 = digits.replace('.', "").parse().unwrap();
            let tens = 10_u32.pow(u32::try_from(places).unwrap());
            *number = Value::String(format!("{}.{:0places$}", (whole + 1) / tens, (whole + 1) % tens));
            let found = faults_of(&planted);
            let noticed = found.iter().any(|f| f.at.starts_with("pair") || f.at.contains("grades"));
            assert!(noticed, "{path} moved by its last digit passed: {found:?}");
        }
    }
}

#[test]
fn a_size_that_cannot_be_bought_is_noticed() {
    let mut sheet = ov24();
    let shells =
        sheet["body"]["features"].as_array_mut().unwrap().iter_mut().find(|f| f["feature"] == "main shell");
    shells.unwrap()["sizes"]["steps"] = serde_json::json!(["0.010", "0.020"]);
    let found = faults(&sheet);
    assert!(found.iter().any(|f| f.at == "pair main clearance at size 0.0300"), "{found:?}");
}

#[test]
fn what_leads_nowhere_is_named_all_at_once() {
    let mut sheet = ov24();
    sheet["body"]["pairs"][3]["inner"]["feature"] = "crank journal".into();
    sheet["body"]["features"][0]["rows"][0]["asked"][0]["scopes"][0] = "long block".into();
    sheet["body"]["features"][2]["part"] = "balance shaft".into();
    let found = faults(&sheet);
    for word in ["crank journal", "long block", "balance shaft"] {
        assert!(found.iter().any(|f| f.found == word), "{word} is missing from {found:?}");
    }
}

/// Two surfaces that pages and letters would call by one name could not be told apart in what was told.
#[test]
fn two_surfaces_of_one_name_are_refused() {
    let mut sheet: Value =
        serde_json::from_str(include_str!("../schemas/examples/sheet.v1/pass/plain.json")).unwrap();
    let mut second = sheet["body"]["features"][0].clone();
    second["feature"] = "crankpin 1".into();
    second["positions"] = serde_json::json!(["1"]);
    second["rows"][0]["row"] = 2.into();
    sheet["body"]["features"].as_array_mut().unwrap().push(second);
    assert!(faults(&sheet).iter().any(|f| f.at == "surface crankpin1"), "{:?}", faults(&sheet));
}
