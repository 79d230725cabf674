//! What people type instead of a value (trade.md I2): a fault with words, at its row and column.

use super::*;

fn with_value(value: &str) -> String {
    TABLE.replace("bore;1;top;X;3,6155;", &format!("bore;1;top;X;{value};"))
}

#[test]
fn what_is_no_reading_is_said_in_words() {
    for (value, words) in [
        ("same", "nothing is taken from the row above"),
        ("ditto", "nothing is taken from the row above"),
        ("\"\"\"\"", "nothing is taken from the row above"),
        ("OK", "what was read"),
        ("n/a", "an empty cell"),
        ("-", "an empty cell"),
        ("1 5/8", "decimals"),
        ("5/8", "decimals"),
        ("1\u{bd}", "decimals"),
        ("249", "thousandths"),
        ("3", "thousandths"),
        ("3,6155 in", "decimal point"),
        ("3.615,5", "decimal point"),
        ("3,61,55", "decimal point"),
        ("#DIV/0!", "decimal point"),
        ("3,6155e0", "decimal point"),
        ("3,1234567", "decimal point"),
    ] {
        let text = with_value(value);
        let found = faults(&text);
        assert_eq!(found.len(), 1, "{value}: {found:#?}");
        let fault = &found[0];
        assert_eq!(fault.at, "row 15, column E (value)", "{value}");
        assert!(fault.expected.contains(words), "{value}: {fault}");
    }
}

/// In millimetres a whole number is a size like any other.
#[test]
fn whole_millimetres_are_read() {
    let text = with_value("92").replace("unit;in", "unit;mm");
    taken(text.as_bytes());
}

/// `57,13` between commas would be 57 and a remark.
#[test]
fn a_decimal_comma_between_commas_is_never_two_cells() {
    let head =
        TABLE.split("\n\n").next().unwrap().replace("unit;in", "unit;mm").replace(',', ".").replace(';', ",");
    for header in
        ["feature,position,value,# remark,# more", "feature,position,value,value 2", "feature,position,value"]
    {
        for rest in ["57,13", "57,13,", "57,13,late"] {
            let text = format!("{head}\n{header}\nbore,1,{rest}\n");
            let found = faults(&text);
            assert!(found.iter().any(|f| f.expected.contains("comma")), "{header} {rest}: {found:#?}");
        }
    }
    let good = format!("{head}\nfeature,position,value,# remark\nbore,1,57.13,13\nbore,2,\"57,15\",late\n");
    taken(good.as_bytes());
}

#[test]
fn every_fault_is_named_at_once_by_row_and_column() {
    let text = "kind;measurements\njob;24-017\nrecorded;yesterday\ngage;MIC-23\nunit;inch\nplate;perhaps\n\
        condition;as received\ncondition;cleaned\nfeature;position;value;valu\n\
        bore;1;2,25x;\n;2;3,6150;\nbore;same;3,6150\nbore;3;3,6150;;more\n";
    let found = faults(text);
    let at: Vec<(&str, &str)> = found.iter().map(|f| (f.at.as_str(), f.found.as_str())).collect();
    for (place, what) in [
        ("the head rows", "no \"who\""),
        ("row 3 (recorded)", "\"yesterday\""),
        ("row 4", "\"gage\""),
        ("row 5 (unit)", "\"inch\""),
        ("row 6 (plate)", "perhaps"),
        ("row 8 (condition)", "condition"),
        ("row 9, column D (valu)", "the column \"valu\""),
        ("row 10, column C (value)", "\"2.25x\""),
        ("row 11", "no \"feature\""),
        ("row 12, column B (position)", "same"),
        ("row 13", "5 cells"),
    ] {
        assert!(at.contains(&(place, what)), "{place} {what} is missing from {at:#?}");
    }
    assert_eq!(found.len(), 11, "{at:#?}");
    let of = |place: &str| found.iter().find(|f| f.at == place).unwrap();
    assert_eq!(of("the head rows").example, "who;LM", "{}", of("the head rows"));
    assert_eq!(of("row 4").example, "gauge");
    assert_eq!(of("row 5 (unit)").example, "unit;in");
    assert_eq!(of("row 9, column D (valu)").example, "value");
    assert_eq!(of("row 10, column C (value)").example, "2.2488");
}

#[test]
fn a_table_without_a_filled_row_says_nothing() {
    let empty = TABLE
        .replace("2,2488", "")
        .replace("2,2487", "")
        .replace("2,2490", "")
        .replace("3,6155", "")
        .replace("3,6150", "");
    let found = faults(&empty);
    assert!(found.len() == 1 && found[0].found.contains("no row filled in"), "{found:#?}");
}

#[test]
fn rows_behind_the_end_are_not_dropped_in_silence() {
    let found = faults(&format!("{TABLE}end\nbore;2;top;X;3,6160;\n"));
    assert!(found.len() == 1 && found[0].at == "row 18", "{found:#?}");
}

/// A file that is all rows cannot make the door stand still or the slip endless.
#[test]
fn a_hostile_table_is_bounded() {
    let mut text = TABLE.to_owned();
    text.push_str(&"same;same;same\n".repeat(60_000));
    let found = faults(&text);
    assert!(found.len() <= 420, "{}", found.len());
    assert!(found.iter().any(|f| f.found == "more than 5000 rows"), "{:?}", found.first());
    let wide = format!("{TABLE}bore{}\n", ";".repeat(200_000));
    assert!(faults(&wide).iter().any(|f| f.found == "200001 cells"), "");
    let columns = format!("{}\n{}\n1\n", TABLE.split("\n\n").next().unwrap(), "value;".repeat(20_000));
    assert!(faults(&columns).len() <= 420);
}

/// A row for the whole file that was typed below the columns reads like a row that nobody filled in; it is returned.
#[test]
fn a_head_row_below_the_columns_is_not_passed_over() {
    for row in ["gauge;MIC", "Setting;3,6100", "temperatures.part;21,5"] {
        let found = faults(&format!("{}\n{row}\n", TABLE.trim_end()));
        assert_eq!(found.len(), 1, "{row}: {found:#?}");
        assert!(found[0].expected.contains("above the column names"), "{row}: {}", found[0]);
    }
}
