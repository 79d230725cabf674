//! The schemas, compiled in, and their faults in plain words.
//!
//! A schema's own `description` says what is expected at a place and its `examples` show it, so the words on
//! a slip and the contract are one text. Validators are compiled once; nothing is ever fetched.

use crate::sheets::Fault;
use jsonschema::error::ValidationErrorKind;
use jsonschema::{Draft, PatternOptions, ValidationError, Validator};
use serde_json::Value;
use std::sync::OnceLock;

macro_rules! kind {
    ($name:literal) => {
        (
            $name,
            include_str!(concat!("../../schemas/", $name, ".v1.json")),
            include_str!(concat!("../../schemas/examples/", $name, ".v1/pass/plain.json")),
        )
    };
}
/// Kinds with the text of their schema and an example that passes.
pub const KINDS: [(&str, &str, &str); 18] = [
    kind!("check-in"),
    kind!("measurements"),
    kind!("part"),
    kind!("finding"),
    kind!("hardware"),
    kind!("operation"),
    kind!("work-order"),
    kind!("supply"),
    kind!("assembly"),
    kind!("decision"),
    kind!("account"),
    kind!("withdrawal"),
    kind!("sign-off"),
    kind!("gauge"),
    kind!("sheet"),
    kind!("house-rules"),
    kind!("people"),
    kind!("price-list"),
];

struct Compiled {
    schema: Value,
    validator: Validator,
}

fn compiled() -> &'static [(&'static str, Compiled)] {
    static COMPILED: OnceLock<Vec<(&'static str, Compiled)>> = OnceLock::new();
    COMPILED.get_or_init(|| KINDS.iter().map(|(name, text, _)| (*name, compile(text))).collect())
}

fn compile(text: &str) -> Compiled {
    let schema: Value = serde_json::from_str(text).expect("our own schemas are JSON (tested)");
    let validator = jsonschema::options()
        .with_draft(Draft::Draft202012)
        .should_validate_formats(true)
        .with_pattern_options(PatternOptions::regex())
        .build(&schema)
        .expect("our own schemas compile (tested)");
    Compiled { schema, validator }
}

/// The text of a kind's schema.
#[must_use]
pub fn schema_text(kind: &str) -> Option<&'static str> {
    KINDS.iter().find(|(name, _, _)| *name == kind).map(|(_, text, _)| *text)
}

/// A kind's schema.
pub(super) fn schema_of(kind: &str) -> Option<&'static Value> {
    compiled().iter().find(|(name, _)| *name == kind).map(|(_, compiled)| &compiled.schema)
}

/// A drop of this kind that passes.
#[must_use]
pub fn example(kind: &str) -> Option<&'static str> {
    KINDS.iter().find(|(name, _, _)| *name == kind).map(|(_, _, example)| *example)
}

/// The pattern of texts that end up in a subject or a heading.
const ONE_LINE: &str = r"^[^\x00-\x1F\x7F]*$";

/// Faults are collected up to this many; a slip prints the first twenty.
const MOST_FAULTS: usize = 200;

/// Every way in which a document breaks its kind's schema; `None` for a kind that is not ours.
pub(super) fn faults(kind: &str, document: &Value) -> Option<Vec<Fault>> {
    let (_, compiled) = compiled().iter().find(|(name, _)| *name == kind)?;
    // Nearly every drop is good, and saying only that is several times faster than looking for errors.
    if compiled.validator.is_valid(document) {
        return Some(Vec::new());
    }
    let errors = compiled.validator.iter_errors(document).take(MOST_FAULTS);
    Some(errors.flat_map(|error| worded(&error, &compiled.schema, document)).collect())
}

fn worded(error: &ValidationError<'_>, schema: &Value, document: &Value) -> Vec<Fault> {
    let at = error.instance_path().to_string();
    // The path ends in the keyword; what stands before it describes the place.
    let path = error.schema_path().to_string();
    let node = path.rsplit_once('/').and_then(|(parent, _)| schema.pointer(parent)).unwrap_or(schema);
    #[expect(clippy::wildcard_enum_match_arm, reason = "the library's enum; all others are worded alike")]
    match error.kind() {
        ValidationErrorKind::Required { property } => {
            let name = property.as_str().unwrap_or_default();
            let described = node.pointer(&format!("/properties/{name}")).unwrap_or(node);
            vec![fault(&at, format!("no {name:?}"), described, "this key")]
        }
        ValidationErrorKind::Pattern { pattern } if pattern == ONE_LINE => {
            let described = node.get("description").and_then(Value::as_str).unwrap_or("text");
            let found = document.pointer(&at).map_or_else(String::new, brief);
            vec![Fault::new(at, found, format!("{described}, on one line, without control characters"))]
        }
        ValidationErrorKind::AdditionalProperties { unexpected } => {
            unexpected.iter().map(|key| unknown_key(&at, key, node)).collect()
        }
        ValidationErrorKind::Enum { options } => {
            let found = document.pointer(&at).map_or_else(String::new, brief);
            vec![one_of(&at, found, node, options)]
        }
        kind => {
            let found = document.pointer(&at).map_or_else(String::new, brief);
            let fallback = expectation(kind, error);
            vec![fault(&at, found, node, &fallback)]
        }
    }
}

fn fault(at: &str, found: String, described: &Value, fallback: &str) -> Fault {
    let text = |key: &str| described.get(key).and_then(Value::as_str);
    let expected = text("description").map_or_else(|| fallback.to_owned(), str::to_owned);
    let example = described.pointer("/examples/0").map_or_else(String::new, Value::to_string);
    let at = if at.is_empty() { "the drop" } else { at };
    Fault::new(at, found, expected).with_example(example)
}

/// A word that is none of those that may stand there: all of them are said.
fn one_of(at: &str, found: String, described: &Value, options: &Value) -> Fault {
    let word = |option: &Value| option.as_str().map_or_else(|| option.to_string(), str::to_owned);
    let words: Vec<String> = options.as_array().into_iter().flatten().map(word).collect();
    let mut fault = fault(at, found, described, "a word");
    // `in or mm` has said so already.
    if !words.iter().all(|word| fault.expected.contains(word.as_str())) {
        fault.expected = format!("{}: one of {}", fault.expected, words.join(", "));
    }
    fault
}

fn unknown_key(at: &str, key: &str, node: &Value) -> Fault {
    let known: Vec<&str> = node
        .get("properties")
        .and_then(Value::as_object)
        .map(|p| p.keys().map(String::as_str).collect())
        .unwrap_or_default();
    let nearest = known.iter().copied().max_by(|a, b| {
        strsim::jaro_winkler(key, a).total_cmp(&strsim::jaro_winkler(key, b)).then_with(|| b.cmp(a))
    });
    let hint =
        nearest.filter(|n| strsim::jaro_winkler(key, n) > 0.8).map_or_else(String::new, |n| format!("{n:?}"));
    let at = if at.is_empty() { "the drop" } else { at };
    Fault::new(at, format!("the key {key:?}"), format!("only the keys {}", known.join(", ")))
        .with_example(hint)
}

fn expectation(kind: &ValidationErrorKind, error: &ValidationError<'_>) -> String {
    #[expect(clippy::wildcard_enum_match_arm, reason = "the library's own masked words serve for the rest")]
    match kind {
        ValidationErrorKind::Constant { expected_value } => expected_value.to_string(),
        ValidationErrorKind::MaxItems { limit } => format!("at most {limit} entries"),
        ValidationErrorKind::MinItems { limit } => format!("at least {limit} entries"),
        ValidationErrorKind::MaxLength { limit } => format!("at most {limit} characters"),
        _ => error.masked().to_string(),
    }
}

/// A value, short enough for a slip.
fn brief(value: &Value) -> String {
    match value {
        Value::Object(_) => "an object".to_owned(),
        Value::Array(items) => format!("a list of {}", items.len()),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => value.to_string(),
    }
}
