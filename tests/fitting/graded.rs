//! Graded shells by the sheet's own table (trade notes B5). The grades and colours here are invented.

use super::*;
use benchdrop::metrology::Unit;
use benchdrop::planning::GradedShell;
use benchdrop::sheets::Sheet;

fn graded_sheet() -> Value {
    let mut sheet: Value = serde_json::from_str(OV24).unwrap();
    let grade = |name: &str, min: &str, max: &str| json!({"grade": name, "limits": {"min": min, "max": max}});
    for feature in sheet["body"]["features"].as_array_mut().unwrap() {
        match feature["feature"].as_str().unwrap() {
            "main housing" => {
                feature["grades"] = json!([grade("A", "2.4015", "2.4017"), grade("B", "2.4018", "2.4020")])
            }
            "main journal" => {
                feature["grades"] = json!([grade("1", "2.2493", "2.2495"), grade("2", "2.2490", "2.2492")])
            }
            "main shell" => {
                feature["grades"] =
                    json!([grade("red", "0.0752", "0.0753"), grade("blue", "0.0753", "0.0754")])
            }
            _ => {}
        }
    }
    let pair = sheet["body"]["pairs"]
        .as_array_mut()
        .unwrap()
        .iter_mut()
        .find(|pair| pair["pair"] == "main clearance");
    pair.unwrap()["shell-grades"] = json!([
        {"outer": "A", "inner": "1", "shell": "red"}, {"outer": "A", "inner": "2", "shell": "blue"},
        {"outer": "B", "inner": "1", "shell": "blue"}]);
    sheet
}

fn engine(sheet: &Value) -> Vec<Value> {
    let mut drops = short_block(false);
    let own = drops.iter_mut().find(|drop| drop["kind"] == "sheet").unwrap();
    *own = sheet.clone();
    drops
}

fn shells(drops: &[Value]) -> Vec<GradedShell> {
    fit(drops).shells.into_iter().find(|set| set.pair == "main clearance").unwrap().graded
}

/// Housing A and journal 2 get blue: 2.4016 and 2.4017 less two of 0.0753 to 0.0754 less 2.2490 and 2.2492 is 0.0016 to 0.0021.
/// A pair that the table does not have, and a housing between its grades, are said as they are.
#[test]
fn the_table_of_the_sheet_gives_the_shell() {
    let base = engine(&graded_sheet());
    let bearings = [
        shells::main_bearing(0, [24016, 24017], [22490, 22491, 22492, 22492]),
        shells::main_bearing(1, [24016, 24017], [22493, 22493, 22494, 22494]),
        shells::main_bearing(2, [24018, 24019], [22490; 4]),
        shells::main_bearing(3, [24016, 24019], [22490; 4]),
    ];
    let mut drops = base.clone();
    for (index, bearing) in bearings.into_iter().enumerate() {
        for (at, mut drop) in bearing.into_iter().enumerate() {
            let minute = 20 + u32::try_from(index * 2 + at).unwrap();
            drop["recorded"] = drop_at("measurements", minute, json!({}))["recorded"].clone();
            drops.push(drop);
        }
    }
    let found = shells(&drops);
    let told: Vec<[Option<&str>; 3]> = found
        .iter()
        .map(|shell| [shell.outer.as_deref(), shell.inner.as_deref(), shell.shell.as_deref()])
        .collect();
    assert_eq!(
        told,
        [
            [Some("A"), Some("2"), Some("blue")],
            [Some("A"), Some("1"), Some("red")],
            [Some("B"), Some("2"), None],
            [None, Some("2"), None],
        ]
    );
    let (tight, loose) = found[0].clearance.unwrap();
    assert_eq!((tight.show(Unit::Inch).as_str(), loose.show(Unit::Inch).as_str()), ("0.0016", "0.0021"));
    assert!(
        shells(&[short_block(false), shells::main_bearing(0, [24016; 2], [22490; 4])].concat()).is_empty()
    );
}

/// A grade that its feature does not have is a fault of the sheet, each of them.
#[test]
fn grades_are_those_of_their_features() {
    let mut sheet = graded_sheet();
    let pairs = sheet["body"]["pairs"].as_array_mut().unwrap();
    let pair = pairs.iter_mut().find(|pair| pair["pair"] == "main clearance").unwrap();
    pair["shell-grades"] = json!([{"outer": "C", "inner": "9", "shell": "green"}]);
    let faults = Sheet::read(&serde_json::from_value(sheet["body"].clone()).unwrap()).unwrap_err();
    let words: Vec<String> = faults.iter().map(|fault| format!("{fault:?}")).collect();
    for (grade, feature) in [("C", "main housing"), ("9", "main journal"), ("green", "main shell")] {
        let said = |words: &&String| words.contains(&format!("{grade:?}")) && words.contains(feature);
        assert!(words.iter().any(|words| said(&words)), "{grade}: {words:#?}");
    }
}
