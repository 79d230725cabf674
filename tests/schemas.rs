//! Every schema holds its examples, and is itself strict. Guards promise 1 (a refusal names every fault) and
//! the contract with whoever writes drops.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should panic")]

use benchdrop::facts::{KINDS, Refusal, decode, schema_text};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};

fn files(kind: &str, which: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("schemas/examples/{kind}.v1/{which}"));
    let mut found: Vec<PathBuf> = fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    found.sort();
    assert!(!found.is_empty(), "{} holds no example", folder.display());
    found
}

#[test]
fn examples_that_must_pass_do() {
    for (kind, _, _) in KINDS {
        for file in files(kind, "pass") {
            let decoded = decode(&fs::read(&file).unwrap(), "main");
            let fact = decoded.unwrap_or_else(|refusal| panic!("{}: {refusal:?}", file.display()));
            assert_eq!(fact.body.kind(), kind);
        }
    }
}

/// A fail example says why it fails and where the first fault that matters stands.
#[test]
fn examples_that_must_fail_do_and_say_where() {
    for (kind, _, _) in KINDS {
        for file in files(kind, "fail") {
            let example: Value = serde_json::from_slice(&fs::read(&file).unwrap()).unwrap();
            let drop = serde_json::to_vec(&example["drop"]).unwrap();
            let at = example["at"].as_str().unwrap();
            match decode(&drop, "main") {
                Err(Refusal::Faults(faults)) => assert!(
                    faults.iter().any(|fault| fault.at == at),
                    "{}: expected a fault at {at}, got {faults:#?}",
                    file.display()
                ),
                other => panic!("{}: {other:?}", file.display()),
            }
        }
    }
}

#[test]
fn every_fault_is_named_at_once() {
    let drop = br#"{"kind":"measurements","version":3,"job":"1","recorded":"yesterday","colour":"red",
        "body":{"condition":"as received","unit":"inch","readings":[{"feature":"bore","value":"2,25"},{"value":"x"}]}}"#;
    let Err(Refusal::Faults(faults)) = decode(drop, "main") else { panic!("must be refused") };
    let at: Vec<&str> = faults.iter().map(|fault| fault.at.as_str()).collect();
    for expected in [
        "/version",
        "/recorded",
        "the drop",
        "/body/unit",
        "/body/readings/0/value",
        "/body/readings/1/value",
        "/body/readings/1",
    ] {
        assert!(at.contains(&expected), "{expected} is missing from {at:?}");
    }
    assert!(faults.iter().all(|fault| !fault.expected.is_empty()));
}

/// Nobody guesses a word: a slip says every one that may stand there.
#[test]
fn a_word_that_is_none_hears_them_all() {
    let drop = br#"{"kind":"decision","version":1,"job":"1","who":"RH","recorded":"2026-03-02T09:15:00+01:00",
        "device":"tablet 1","body":{"disposition":{"part":"head","what":"weld","why":"cracked","by":"Rowan Holt"}}}"#;
    let Err(Refusal::Faults(faults)) = decode(drop, "main") else { panic!("must be refused") };
    let words = faults.iter().find(|fault| fault.at == "/body/disposition/what").unwrap();
    for word in ["repair", "replace as a set", "hold for owner"] {
        assert!(words.expected.contains(word), "{}", words.expected);
    }
    assert_eq!(words.found, "\"weld\"");
}

/// Our own rules for our own schemas: closed objects, bounded lists and strings, no reference, words for
/// people at every property.
#[test]
fn schemas_are_strict() {
    for (kind, text, _) in KINDS {
        let schema: Value = serde_json::from_str(text).unwrap();
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
        assert_eq!(schema["properties"]["kind"]["const"], kind);
        assert_eq!(schema_text(kind), Some(text));
        strict(&schema, kind);
    }
}

const KEYWORDS: [&str; 23] = [
    "$schema",
    "$id",
    "title",
    "description",
    "examples",
    "type",
    "properties",
    "required",
    "additionalProperties",
    "items",
    "minItems",
    "maxItems",
    "minLength",
    "maxLength",
    "minimum",
    "maximum",
    "pattern",
    "format",
    "enum",
    "const",
    "minProperties",
    "maxProperties",
    "dependentRequired",
];

fn strict(node: &Value, at: &str) {
    let object = node.as_object().unwrap_or_else(|| panic!("{at}: a schema is an object"));
    for key in object.keys() {
        assert!(KEYWORDS.contains(&key.as_str()), "{at}: {key} is not a keyword we use");
    }
    assert!(object.contains_key("description"), "{at}: no description for the slip");
    let types: Vec<&str> = match &node["type"] {
        Value::String(one) => vec![one],
        Value::Array(many) => many.iter().filter_map(Value::as_str).collect(),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::Object(_) => vec![],
    };
    assert!(!types.is_empty() || node.get("enum").is_some() || node.get("const").is_some(), "{at}: no type");
    if types.contains(&"object") {
        assert_eq!(node["additionalProperties"], Value::Bool(false), "{at}: an open object");
        for (name, child) in node["properties"].as_object().unwrap() {
            strict(child, &format!("{at}/{name}"));
        }
        for name in node["required"].as_array().unwrap() {
            assert!(
                node["properties"].get(name.as_str().unwrap()).is_some(),
                "{at}: requires unknown {name}"
            );
        }
    }
    if types.contains(&"array") {
        assert!(node.get("maxItems").is_some(), "{at}: an unbounded list");
        strict(&node["items"], &format!("{at}/items"));
    }
    if types.contains(&"string") {
        assert!(node.get("maxLength").is_some(), "{at}: an unbounded text");
    }
}
