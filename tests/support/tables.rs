//! Drops as the tables that say the same.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

use benchdrop::facts::KINDS;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};

/// Every example of every kind that is flat enough: where it lies, its kind, the same as a table, and what that table says
/// as JSON.
pub fn flat_examples() -> Vec<(PathBuf, &'static str, String, Value)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("schemas/examples");
    let mut found = Vec::new();
    for (kind, _, _) in KINDS {
        for entry in fs::read_dir(folder.join(format!("{kind}.v1/pass"))).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_none_or(|e| e != "json") {
                continue;
            }
            let mut document: Value = serde_json::from_slice(&fs::read(&path).unwrap()).unwrap();
            let Some(table) = as_table(&document) else { continue };
            digits_as_text(&mut document, "");
            found.push((path, kind, table, document));
        }
    }
    found.sort_by(|a, b| a.0.cmp(&b.0));
    found
}

/// A document as head rows and the rows of one list; `None` when a table cannot carry it.
fn as_table(document: &Value) -> Option<String> {
    let mut heads = Vec::new();
    let mut list: Option<(String, Vec<Value>)> = None;
    for (key, value) in document.as_object()? {
        if key != "body" {
            heads.push((key.clone(), cell(value)?));
        }
    }
    heads_of(&document["body"], "", &mut heads, &mut list)?;
    let mut text: String = heads.iter().map(|(key, value)| format!("{key};{value}\n")).collect();
    if let Some((name, items)) = list {
        let rows: Vec<Vec<(String, String)>> = items
            .iter()
            .map(|item| {
                let mut cells = Vec::new();
                heads_of(item, "", &mut cells, &mut None)?;
                Some(cells)
            })
            .collect::<Option<_>>()?;
        let mut columns: Vec<&String> = rows.iter().flatten().map(|(key, _)| key).collect();
        columns.sort();
        columns.dedup();
        text.push_str(&format!(
            "table;{name}\n{}\n",
            columns.iter().map(|c| c.as_str()).collect::<Vec<_>>().join(";")
        ));
        for row in &rows {
            let of = |column: &String| {
                row.iter().find(|(key, _)| key == column).map_or("", |(_, value)| value.as_str())
            };
            text.push_str(&format!("{}\n", columns.iter().map(|c| of(c)).collect::<Vec<_>>().join(";")));
        }
    }
    Some(text)
}

fn heads_of(
    node: &Value,
    prefix: &str,
    heads: &mut Vec<(String, String)>,
    list: &mut Option<(String, Vec<Value>)>,
) -> Option<()> {
    for (key, value) in node.as_object()? {
        let name = format!("{prefix}{key}");
        match value {
            Value::Object(_) => heads_of(value, &format!("{name}."), heads, list)?,
            Value::Array(items) if items.iter().any(Value::is_object) => {
                if list.is_some() {
                    return None;
                }
                *list = Some((name, items.clone()));
            }
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) | Value::Array(_) => {
                heads.push((name, cell(value)?));
            }
        }
    }
    Some(())
}

fn cell(value: &Value) -> Option<String> {
    Some(format!("\"{}\"", bare(value)?.replace('"', "\"\"")))
}

fn bare(value: &Value) -> Option<String> {
    match value {
        Value::String(text) => Some(text.clone()),
        Value::Bool(yes) => Some((if *yes { "yes" } else { "no" }).to_owned()),
        Value::Number(number) => Some(number.to_string()),
        Value::Array(items) => Some(items.iter().map(bare).collect::<Option<Vec<_>>>()?.join(" | ")),
        Value::Null | Value::Object(_) => None,
    }
}

/// Where JSON takes a number or a text, a table has the text; an empty cell is no text.
fn digits_as_text(node: &mut Value, key: &str) {
    const WHOLE: [&str; 9] =
        ["version", "severity", "count", "troubled", "stages", "revision", "sheet", "item", "house-rules"];
    match node {
        Value::Object(entries) => {
            entries.retain(|_, value| value != "");
            entries.iter_mut().for_each(|(key, value)| digits_as_text(value, key));
        }
        Value::Array(items) => items.iter_mut().for_each(|item| digits_as_text(item, key)),
        Value::Number(number) if !WHOLE.contains(&key) => *node = Value::String(number.to_string()),
        Value::Number(_) | Value::Null | Value::Bool(_) | Value::String(_) => {}
    }
}
