//! Where in the table a fault of the document stands.

use crate::sheets::Fault;
use serde_json::Value;
use std::collections::BTreeMap;

/// A row, or one cell of it.
#[derive(Clone)]
pub(super) struct Spot {
    /// Its row, from 1.
    pub(super) row: u64,
    /// Its column, from 0, and the column's name.
    pub(super) column: Option<(usize, String)>,
    /// Is it a head row?
    pub(super) is_head: bool,
}

/// Spots by JSON pointer.
pub(super) struct Spots {
    pub(super) by_pointer: BTreeMap<String, Spot>,
    pub(super) separator: char,
}

impl Spot {
    /// `row 14, column E (value)`.
    pub(super) fn said(&self) -> String {
        match &self.column {
            Some((_, name)) if self.is_head => format!("row {} ({name})", self.row),
            Some((at, name)) => format!("row {}, column {} ({name})", self.row, letters(*at)),
            None => format!("row {}", self.row),
        }
    }
}

/// A column as spreadsheets letter it: A to Z, AA.
pub(super) fn letters(column: usize) -> String {
    let alphabet = b"ABCDEFGHIJKLMNOPQRSTUVWXYZ";
    let letter = |n: usize| alphabet.get(n % 26).map_or('?', |byte| char::from(*byte));
    let last = letter(column);
    match column / 26 {
        0 => last.to_string(),
        more => format!("{}{last}", letters(more - 1)),
    }
}

impl Spots {
    /// The same fault said by row and column, with its row; 0 for the head rows at large.
    pub(super) fn located(&self, fault: Fault) -> (u64, Fault) {
        let exact = self.by_pointer.get(&fault.at);
        let mut pointer = fault.at.as_str();
        let spot = loop {
            if let Some(spot) = self.by_pointer.get(pointer) {
                break Some(spot);
            }
            match pointer.rsplit_once('/') {
                Some((parent, _)) if !parent.is_empty() => pointer = parent,
                Some(_) | None => break None,
            }
        };
        // A key missing from an item has no cell yet: its row says enough.
        let at = match spot {
            Some(spot) => spot.said(),
            None => "the head rows".to_owned(),
        };
        let is_head = exact.or(spot).is_none_or(|spot| spot.is_head);
        let example = self.example(&fault.example, &fault.at, is_head);
        (spot.map_or(0, |spot| spot.row), Fault { at, example, ..fault })
    }

    /// An example as it would stand in a table.
    fn example(&self, example: &str, pointer: &str, is_head: bool) -> String {
        let plain = |value: &Value| match value {
            Value::String(text) => text.clone(),
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::Array(_) | Value::Object(_) => {
                value.to_string()
            }
        };
        let name = pointer.trim_start_matches('/').trim_start_matches("body/").replace('/', ".");
        if let Ok(value) = serde_json::from_str::<Value>(example) {
            return if is_head && self.by_pointer.contains_key(pointer) {
                format!("{name}{}{}", self.separator, plain(&value))
            } else {
                plain(&value)
            };
        }
        match serde_json::from_str::<Value>(&format!("{{{example}}}")) {
            Ok(Value::Object(entries)) if is_head => {
                let pair = |(key, value)| format!("{key}{}{}", self.separator, plain(value));
                entries.iter().map(pair).next().unwrap_or_default()
            }
            Ok(Value::Object(entries)) => entries.values().map(plain).next().unwrap_or_default(),
            Ok(_) | Err(_) => example.to_owned(),
        }
    }
}

/// Does this fault say that what should stand at `pointer` is not there?
pub(super) fn is_missing(fault: &Fault, pointer: &str) -> bool {
    let parent = if fault.at == "the drop" { "" } else { fault.at.as_str() };
    let missing = pointer.strip_prefix(parent).and_then(|rest| rest.strip_prefix('/'));
    missing.is_some_and(|key| fault.found == format!("no {key:?}"))
}
