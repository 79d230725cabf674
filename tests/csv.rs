//! Tables as spreadsheets write them: the same statements as JSON, never half of one, and no guess at what a cell may
//! have meant.
//!
//! Guards promise 1 (nothing dropped is lost), promise 2 (the same statement by table and by JSON is one) and
//! promise 7 (ask, never correct).
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use benchdrop::facts::{Fact, Fault, Refusal, Unreadable, decode};
use serde_json::{Value, json};

#[path = "csv/cuts.rs"]
mod cuts;
#[path = "csv/kinds.rs"]
mod kinds;
#[path = "support/tables.rs"]
mod tables;
#[path = "csv/traps.rs"]
mod traps;

/// A drop of six readings, as a bench in continental Europe saves it.
const TABLE: &str = "kind;measurements\njob;24-017\nwho;LM\nrecorded;2026-03-02T09:15:00+01:00\n\
    gauge;MIC-23\nunit;in\ncondition;as received\ntemperatures.part;20,5\n\n\
    feature;position;station;direction;value;# remark\n\
    main journal;1;front;X;2,2488;\nmain journal;1;front;Y;2,2487;wobbly\nmain journal;2;front;X;2,2490;\n\
    main journal;2;front;Y;;not reached\nbore;1;top;X;3,6155;\nbore;1;top;Y;3,6150;\n";

fn json_of_table() -> Value {
    let reading = |feature: &str, position: &str, station: &str, direction: &str, value: &str| json!({"feature": feature, "position": position, "station": station, "direction": direction, "value": value});
    json!({
        "kind": "measurements", "version": 1, "job": "24-017", "who": "LM",
        "recorded": "2026-03-02T09:15:00+01:00",
        "body": {
            "gauge": "MIC-23", "unit": "in", "condition": "as received", "temperatures": {"part": "20.5"},
            "readings": [
                reading("main journal", "1", "front", "X", "2.2488"),
                reading("main journal", "1", "front", "Y", "2.2487"),
                reading("main journal", "2", "front", "X", "2.2490"),
                reading("bore", "1", "top", "X", "3.6155"),
                reading("bore", "1", "top", "Y", "3.6150"),
            ]
        }
    })
}

fn taken(bytes: &[u8]) -> Fact {
    decode(bytes, "main").unwrap_or_else(|refusal| panic!("{refusal:?}\n{}", String::from_utf8_lossy(bytes)))
}

fn faults(text: &str) -> Vec<Fault> {
    match decode(text.as_bytes(), "main") {
        Err(Refusal::Faults(faults)) => faults,
        other => panic!("{other:?}\n{text}"),
    }
}

fn unfinished(bytes: &[u8]) -> bool {
    matches!(decode(bytes, "main"), Err(Refusal::Unreadable(Unreadable::CutShort | Unreadable::Empty)))
}

/// The table and the JSON drop are two files and one statement.
#[test]
fn a_table_says_what_the_same_json_says() {
    let of_json = taken(json_of_table().to_string().as_bytes());
    let of_table = taken(TABLE.as_bytes());
    assert_eq!(of_table.id, of_json.id);
    assert_eq!(of_table.bytes.hex(), sha256_of(TABLE.as_bytes()), "the bytes are those of the file");
    assert_ne!(of_table.bytes, of_json.bytes);
    // One digit other is another statement.
    assert_ne!(taken(TABLE.replace("2,2488", "2,2489").as_bytes()).id, of_json.id);
}

fn sha256_of(bytes: &[u8]) -> String {
    use sha2::{Digest as _, Sha256};
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Every spreadsheet writes it its own way; all of them say the same.
#[test]
fn encodings_separators_and_line_ends_say_the_same() {
    let id = taken(TABLE.as_bytes()).id;
    let utf16 = |text: &str, to: fn(u16) -> [u8; 2]| {
        let units = std::iter::once(0xFEFF).chain(text.encode_utf16());
        units.flat_map(to).collect::<Vec<u8>>()
    };
    let dotted = TABLE.replace(',', ".");
    let quoted: String = TABLE
        .lines()
        .map(|line| line.split(';').map(|cell| format!("\"{cell}\"")).collect::<Vec<_>>().join(","))
        .fold(String::new(), |text, line| text + &line + "\r\n");
    let padded: String = TABLE
        .lines()
        .map(|line| {
            let cells = line.matches(';').count() + 1;
            format!("{line}{}\n", ";".repeat(6_usize.saturating_sub(cells)))
        })
        .collect();
    let ways: Vec<(&str, Vec<u8>)> = vec![
        ("CRLF", TABLE.replace('\n', "\r\n").into_bytes()),
        ("CR", TABLE.replace('\n', "\r").into_bytes()),
        ("tabs", TABLE.replace(';', "\t").into_bytes()),
        ("commas and points", dotted.replace(';', ",").into_bytes()),
        ("commas and quotes", quoted.into_bytes()),
        ("padded head rows", padded.into_bytes()),
        ("UTF-8 with its mark", [b"\xEF\xBB\xBF", TABLE.as_bytes()].concat()),
        ("UTF-16 LE", utf16(TABLE, u16::to_le_bytes)),
        ("UTF-16 BE", utf16(TABLE, u16::to_be_bytes)),
        ("a separator line", format!("sep=;\n{TABLE}").into_bytes()),
        ("an end row", format!("{TABLE}end\n").into_bytes()),
        ("an end row and no line end", format!("{TABLE}end").into_bytes()),
        ("a padded end row", format!("{TABLE}end;;;;;").into_bytes()),
        ("remarks", format!("# fill in; save\n{TABLE}").into_bytes()),
        (
            "capitals",
            TABLE
                .replace("job;", "Job;")
                .replace("feature;", "Feature;")
                .replace("as received", "As received")
                .into_bytes(),
        ),
        ("spaces", TABLE.replace(';', " ; ").into_bytes()),
        ("a version", format!("version;1\n{TABLE}").into_bytes()),
    ];
    for (way, bytes) in ways {
        assert_eq!(taken(&bytes).id, id, "{way}");
    }
}

/// Code page 1252 and Latin-1 agree with UTF-8 on what a European keyboard has.
#[test]
fn one_byte_codes_are_read() {
    let text = TABLE.replace("who;LM", "who;J\u{fc}rgen \u{d8}");
    let latin: Vec<u8> = text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect();
    assert!(std::str::from_utf8(&latin).is_err());
    assert_eq!(taken(&latin).id, taken(text.as_bytes()).id);
    // 0x92 is the apostrophe that word processors type; 0x80 the euro (Unicode's table CP1252.TXT).
    let apostrophe = TABLE.replace("who;LM", "who;O@Neil").replace('@', "\u{2019}");
    let bytes: Vec<u8> =
        TABLE.replace("who;LM", "who;O@Neil").bytes().map(|b| if b == b'@' { 0x92 } else { b }).collect();
    assert_eq!(taken(&bytes).id, taken(apostrophe.as_bytes()).id);
}

/// One reading a row, or one place a row with its repeats beside each other.
#[test]
fn repeats_may_stand_beside_each_other() {
    let head = TABLE.split("\n\n").next().unwrap();
    let rows = format!(
        "{head}\nfeature;position;station;direction;value\nbore;1;top;X;3,6155\nbore;1;top;X;3,6156\nbore;1;top;Y;3,6150\n"
    );
    let beside = format!(
        "{head}\nfeature;position;station;direction;value;value 2;value 3\nbore;1;top;X;3,6155;3,6156;\nbore;1;top;Y;;3,6150;\n"
    );
    assert_eq!(taken(rows.as_bytes()).id, taken(beside.as_bytes()).id);
}

/// What is no table stays what it was.
#[test]
fn json_and_junk_are_no_tables() {
    for text in ["{\"kind\": [,]}", "[1,2]", "hello", "1;2;3\n", "null", "\u{1};x\n"] {
        let refusal = decode(text.as_bytes(), "main").unwrap_err();
        let is_json_word = matches!(&refusal, Refusal::Unreadable(Unreadable::Broken { .. }))
            || matches!(&refusal, Refusal::Faults(faults) if faults[0].at == "/kind");
        assert!(is_json_word, "{text:?}: {refusal:?}");
    }
    // A table without its kind is told what kinds there are, not that it is no JSON.
    let fault = &faults(&TABLE.replace("kind;measurements\n", ""))[0];
    assert!(fault.expected.contains("check-in, measurements"), "{fault}");
}
