//! Tables that mean harm, through the real door: what is not read is returned with its reason, what is read is text.

use super::support::*;
use super::temp_shop::TempShop;
use std::time::Duration;

const HEAD: &str = "kind;measurements\njob;24-017\nwho;LM\nrecorded;2026-03-02T09:20:00+00:00\nunit;in\n\
    condition;as received\ngauge;MIC\n";

/// A table lies ten seconds before it is read.
fn settle(shop: &mut TempShop) {
    shop.settle();
    shop.turn_after(Duration::from_secs(11));
    shop.settle();
}

#[test]
fn what_no_table_may_hold_is_returned_with_the_reason() {
    let row = |value: &str| format!("{HEAD}feature;position;station;direction;value\nbore;1;top;X;{value}\n");
    let cases: Vec<(&str, Vec<u8>, &str)> = vec![
        ("formula.csv", row("=1+1").into_bytes(), "row 9, column E (value)"),
        ("link.csv", row("\"=HYPERLINK(\"\"http://x.example\"\")\"").into_bytes(), "row 9, column E (value)"),
        ("bell.csv", row("3.6155").replace("LM", "L\u{7}M").into_bytes(), "row 3 (who)"),
        ("two-lines.csv", row("3.6155").replace("LM", "\"L\nBcc: x\"").into_bytes(), "row 3 (who)"),
        (
            "path.csv",
            row("3.6155").replace("kind;measurements", "kind;../measurements").into_bytes(),
            "\"kind\"",
        ),
        ("deep.csv", format!("{HEAD}{}a;1\n", "a.".repeat(50_000)).into_bytes(), "row 8"),
        ("body.csv", format!("{HEAD}body;1\n").into_bytes(), "row 8"),
        ("nested.csv", format!("{HEAD}readings;1\n").into_bytes(), "row 8"),
        (
            "many.csv",
            format!("{}{}", row("3.6155"), "bore;1;top;X;3.6155\n".repeat(20_000)).into_bytes(),
            "5000 rows",
        ),
        (
            "most.csv",
            format!("{}{}", row("3.6155"), "bore;1;top;X;3.6155\n".repeat(2_500)).into_bytes(),
            "a list of 2501",
        ),
    ];
    let mut shop = TempShop::new();
    for (name, bytes, _) in &cases {
        shop.put(name, bytes);
    }
    settle(&mut shop);
    for (name, bytes, why) in &cases {
        let arrival = shop.arrival(name);
        assert!(arrival.slip.contains(why), "{name}: {}", arrival.slip);
        assert!(arrival.slip.len() < 20_000, "{name}: a slip of {}", arrival.slip.len());
        assert_eq!(
            shop.ledger().bytes_of(&arrival.hash.unwrap()).unwrap().as_deref(),
            Some(bytes.as_slice())
        );
    }
    assert!(shop.ledger().verify(&mut |_, _| {}).unwrap().is_sound());
}

/// The ledger keeps the table; read back it is the same fact, and by JSON it is a copy.
#[test]
fn a_table_in_the_ledger_is_the_same_fact_after_a_new_start() {
    let mut shop = TempShop::new();
    shop.take(&shop_with_engine());
    let table = format!("{HEAD}feature;position;station;direction;value\nmain journal;3;front;X;2,2479\n");
    // Its name says nothing about it.
    shop.put("reading.json", &table);
    settle(&mut shop);
    assert_eq!(shop.arrival("reading.json").outcome.word(), "filed");
    let before = shop.dump("24-017");
    assert!(before.contains("2.2479"), "{before}");
    shop.put("same.json", serde_json::json!({
        "kind": "measurements", "version": 1, "job": "24-017", "who": "LM", "recorded": "2026-03-02T09:20:00+00:00",
        "body": {"unit": "in", "condition": "as received", "gauge": "MIC", "readings": [
            {"feature": "main journal", "position": "3", "station": "front", "direction": "X", "value": "2.2479"}]}
    }).to_string());
    settle(&mut shop);
    assert_eq!(shop.arrival("same.json").outcome.word(), "copy");
    shop.once();
    assert_eq!(shop.dump("24-017"), before);
}
