//! The two invented engines against their printed tables (trade notes H, copied cell by cell into
//! `tests/data/printed_sheets.json`): every limit, in both units, every torque, count and rule.

use super::{kd3, ov24, read};
use benchdrop::metrology::{Exact, Length, Unit};
use benchdrop::sheets::{Fasteners, Limits, Printed, Row, Sheet, proof_loads};
use serde_json::Value;

const PRINTED: &str = include_str!("../data/printed_sheets.json");

fn printed(engine: &str, table: &str) -> Vec<Value> {
    let all: Value = serde_json::from_str(PRINTED).unwrap();
    all[engine][table].as_array().unwrap().clone()
}

fn cell<'a>(row: &'a Value, column: &str) -> &'a str {
    row.get(column).and_then(Value::as_str).unwrap_or("-")
}

/// What a cell says: one value, or bounds. A lower bound of nought says nothing about a deviation.
#[derive(Debug, Default, PartialEq)]
struct Cell {
    one: Option<String>,
    min: Option<String>,
    max: Option<String>,
}

fn parsed(cell: &str) -> Cell {
    let text = |digits: &str| Some(digits.trim().to_owned());
    if cell == "-" {
        Cell::default()
    } else if let Some(digits) = cell.strip_prefix("max ") {
        Cell { max: text(digits), ..Cell::default() }
    } else if let Some(digits) = cell.strip_prefix("min ") {
        Cell { min: text(digits), ..Cell::default() }
    } else if let Some((min, max)) = cell.split_once(" - ") {
        Cell { one: None, min: text(min).filter(|m| m.parse::<f64>().unwrap() > 0.0), max: text(max) }
    } else {
        Cell { one: text(cell), ..Cell::default() }
    }
}

/// `min 3.938 (100.03)` is both units in one cell.
fn both_units(cell: &str) -> (String, String) {
    let Some((own, other)) = cell.split_once(" (") else { return (cell.to_owned(), "-".to_owned()) };
    let other = other.trim_end_matches(')');
    let side = own.split_once(' ').map_or("", |(word, _)| word);
    let other = if matches!(side, "min" | "max") { format!("{side} {other}") } else { other.to_owned() };
    (own.to_owned(), other)
}

fn exact(digits: &str, unit: Unit) -> Exact {
    Length::parse(digits, unit).unwrap().exact()
}

fn states(row: &Row, unit: Unit, column: Option<Limits>, cell: &Cell) -> bool {
    let value = |digits: &Option<String>| digits.as_deref().map(|d| exact(d, unit));
    if cell.one.is_some() {
        return row.nominal == value(&cell.one);
    }
    let stated = column.map_or((None, None), |l| (l.min.filter(|m| *m != Exact::ZERO), l.max));
    stated == (value(&cell.min), value(&cell.max))
}

fn prints(row: &Row, column: &Printed, cell: &Cell) -> bool {
    if cell.one.is_some() {
        return row.other_unit.nominal == cell.one;
    }
    (&column.min, &column.max) == (&cell.min, &cell.max)
}

/// Every row of the sheet with the unit it is written in.
fn rows(sheet: &Sheet) -> impl Iterator<Item = (&Row, Unit)> {
    let of_features = sheet.features.iter().flat_map(|f| f.rows.iter().map(|row| (row, f.unit)));
    of_features.chain(sheet.pairs.iter().map(|pair| (&pair.row, sheet.unit)))
}

fn hold_against(sheet: &Sheet, engine: &str, count: usize) {
    let table = printed(engine, "rows");
    assert_eq!(table.len(), count);
    for line in &table {
        let number = u32::try_from(line["row"].as_u64().unwrap()).unwrap();
        let (after, after_other) = both_units(cell(line, "after-work"));
        let [new, service, after] = [cell(line, "new"), cell(line, "service"), &after].map(parsed);
        let others = [cell(line, "new-other"), cell(line, "service-other"), &after_other].map(parsed);
        let agrees = |(row, unit): &(&Row, Unit)| {
            states(row, *unit, row.new, &new)
                && states(row, *unit, row.service, &service)
                && states(row, *unit, row.after_work, &after)
                && prints(row, &row.other_unit.new, &others[0])
                && prints(row, &row.other_unit.service, &others[1])
                && prints(row, &row.other_unit.after_work, &others[2])
        };
        let of_number: Vec<(&Row, Unit)> = rows(sheet).filter(|(row, _)| row.number == number).collect();
        assert!(
            of_number.iter().any(agrees),
            "{engine} row {number}: printed {line:#}, found {of_number:#?}"
        );
    }
    let most = u32::try_from(count).unwrap();
    assert!(rows(sheet).all(|(row, _)| (1..=most).contains(&row.number)));
}

#[test]
fn every_printed_row_is_on_its_sheet() {
    hold_against(&read(&ov24()), "ov-24", 70);
    hold_against(&read(&kd3()), "kd-3", 47);
}

/// Both kinds of journal carry the one printed row about form; both kinds of guide the one about guides.
#[test]
fn a_printed_row_about_several_features_is_on_all_of_them() {
    let sheet = read(&kd3());
    for (number, count) in [(22, 4), (29, 2)] {
        assert_eq!(rows(&sheet).filter(|(row, _)| row.number == number).count(), count, "row {number}");
    }
    assert_eq!(rows(&sheet).filter(|(r, _)| r.number == 22).filter(|(r, _)| r.service.is_some()).count(), 4);
}

/// Totals ever removed and other limits that the tables print as remarks.
#[test]
fn totals_and_tolerances_of_the_remarks_are_on_the_sheets() {
    let total = |sheet: &Sheet, number: u32| {
        let found =
            rows(sheet).find(|(row, _)| row.number == number && row.characteristic.word() == "removed");
        found.and_then(|(row, _)| row.after_work).and_then(|limits| limits.max)
    };
    let (inch, mm) = (read(&ov24()), read(&kd3()));
    for (number, most) in [(56, "0.010"), (58, "0.010"), (69, "0.030"), (70, "0.015")] {
        assert_eq!(total(&inch, number), Some(exact(most, Unit::Inch)), "row {number}");
    }
    for (number, most) in [(44, "0.15"), (47, "0.05")] {
        assert_eq!(total(&mm, number), Some(exact(most, Unit::Millimetre)), "row {number}");
    }
    // Lash: the printed value, plus or minus 0.001.
    for (number, min, max) in [(42, "0.011", "0.013"), (43, "0.015", "0.017")] {
        let lash = rows(&inch).find(|(row, _)| row.number == number).unwrap().0.new.unwrap();
        assert_eq!((lash.min, lash.max), (Some(exact(min, Unit::Inch)), Some(exact(max, Unit::Inch))));
    }
}

/// `41 / 75 / 108 + 90 deg, centre-out` and `7 (1/4), 15 (5/16)`: torques size by size, and angles.
fn stages(cell: &str) -> (Vec<Vec<String>>, Vec<String>) {
    let (mut sizes, mut angles) = (Vec::new(), Vec::new());
    for part in cell.split(", ").filter(|part| part.starts_with(|c: char| c.is_ascii_digit())) {
        let bare = part.split(" (").next().unwrap();
        let mut terms = bare.split(" + ");
        sizes.push(terms.next().unwrap().split(" / ").map(str::to_owned).collect());
        angles.extend(terms.map(|angle| angle.trim_end_matches(" deg").to_owned()));
    }
    (sizes, angles)
}

/// `1/4-20 x 1.00, 7; 5/16-18 x 2.50, 2` is nine pieces, `5/16-18 x 0.75, 1 and strap 1` two.
fn pieces(cell: &str) -> u32 {
    let counts = cell.split("; ").map(|part| part.rsplit(", ").next().unwrap());
    counts.flat_map(|words| words.split(' ').filter_map(|word| word.parse::<u32>().ok())).sum()
}

fn torques(group: &Fasteners, of: fn(&benchdrop::sheets::FastenerSize) -> &Vec<String>) -> Vec<Vec<String>> {
    group.sizes.iter().map(|size| of(size).clone()).filter(|stages| !stages.is_empty()).collect()
}

fn hold_group(group: &Fasteners, line: &Value) {
    let name = &group.group;
    assert_eq!(group.count(), pieces(cell(line, "fastener")), "{name}");
    let grade = cell(line, "grade").split(',').next().unwrap();
    assert_eq!(group.grade, if grade == "-" { "" } else { grade }, "{name}");
    assert_eq!(group.lubricant, cell(line, "lubricant"), "{name}");
    let (sizes, angles) = stages(cell(line, "stages"));
    let own = torques(group, |size| &size.stages);
    assert_eq!(if own.is_empty() { vec![group.stages.clone()] } else { own }, sizes, "{name}");
    assert_eq!(group.angles, angles, "{name}");
    let (others, _) = stages(cell(line, "stages-other"));
    let first = group.sizes.iter().map(|size| &size.other_stages).find(|s| !s.is_empty());
    let first = first.unwrap_or(&group.other_stages);
    assert_eq!(Some(first).filter(|s| !s.is_empty()), others.first(), "{name}");
    let rule = cell(line, "rule");
    assert_eq!(group.single_use, rule.contains("SINGLE USE"), "{name}");
    let renewed = rule.split_whitespace().any(|word| word.trim_end_matches(';') == "new");
    // What is a part of its own (a gasket, a nozzle washer) is counted there, and only said here.
    let counted = !group.always_new.is_empty() || !group.renewed.is_empty();
    assert_eq!(counted, renewed && !group.single_use, "{name}: {rule}");
}

#[test]
fn every_printed_torque_is_on_its_sheet() {
    for (engine, sheet, count) in [("ov-24", read(&ov24()), 24), ("kd-3", read(&kd3()), 8)] {
        let table = printed(engine, "torques");
        assert_eq!(table.len(), count);
        assert_eq!(sheet.fasteners.len() + sheet.plugs.len(), count);
        for line in &table {
            let printed = cell(line, "group");
            let key =
                printed.split_once(' ').filter(|(key, _)| key.starts_with('G')).map_or(printed, |(k, _)| k);
            if let Some(group) = sheet.fasteners(key) {
                hold_group(group, line);
                continue;
            }
            let plugs = sheet.plugs(key).unwrap_or_else(|| panic!("{key} is not on the sheet"));
            assert_eq!(plugs.count(), pieces(cell(line, "fastener")), "{key}");
            assert_eq!(plugs.sealant, cell(line, "lubricant"), "{key}");
            assert_eq!(plugs.renewed, cell(line, "rule") == "always new", "{key}");
            let torques = plugs.sizes.iter().map(|size| vec![size.torque.clone()]);
            let torques: Vec<_> = torques.filter(|t| !t.concat().is_empty()).collect();
            assert_eq!(torques, stages(cell(line, "stages")).0, "{key}");
        }
    }
}

/// "Torque sanity, percent of proof load" under both torque tables, computed there in Python.
#[test]
fn tension_is_what_the_notes_computed() {
    let found = |sheet: &Sheet, group: &str| {
        let all: Vec<String> = proof_loads(sheet)
            .iter()
            .filter(|load| load.group == group)
            .map(|load| format!("{:.0}", load.percent))
            .collect();
        all.join(" ")
    };
    let sheet = read(&ov24());
    for (group, percent) in [
        ("G01", "75"),
        ("G02", "77"),
        ("G04", "61"),
        ("G06", "74"),
        ("G07", "65"),
        ("G15", "60"),
        ("G05", "61"),
        ("G09", "61 61"),
        ("G12", "61 61"),
        ("G18", "61"),
        ("G08", "65"),
        ("G11", "62 65"),
        ("G13", "65"),
        ("G19", "60"),
        ("G10", "62"),
        ("G17", "53"),
        ("G16", "35"),
        ("G23", "73 68"),
        ("G14", "73"),
        ("G03", ""),
        ("G22", ""),
        ("G24", ""),
    ] {
        assert_eq!(found(&sheet, group), percent, "{group}");
    }
    let sheet = read(&kd3());
    for (group, percent) in
        [("main caps", "75"), ("cam caps", "78"), ("injector clamp", "77"), ("pan", "71"), ("head", "")]
    {
        assert_eq!(found(&sheet, group), percent, "{group}");
    }
}

/// The head drawing of the notes: front to rear, with the turn of each bolt in brackets.
#[test]
fn the_head_is_tightened_as_drawn() {
    let drawn = "P1(7) P2(6) P3(2) P4(3) P5(10) C1(8) C2(5) C3(1) C4(4) C5(9)";
    let mut order: Vec<(u32, &str)> = drawn
        .split(' ')
        .map(|bolt| {
            let (place, turn) = bolt.trim_end_matches(')').split_once('(').unwrap();
            (turn.parse().unwrap(), place)
        })
        .collect();
    order.sort_unstable();
    let order: Vec<&str> = order.into_iter().map(|(_, place)| place).collect();
    assert_eq!(read(&ov24()).fasteners("G03").unwrap().pattern, order);
}
