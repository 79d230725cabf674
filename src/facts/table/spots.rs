//! Where in the table a fault of the document stands.

use crate::sheets::Fault;
use serde_json::{Map, Value};
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
        let example = self.example(&fault, is_head);
        (spot.map_or(0, |spot| spot.row), Fault { at, example, ..fault })
    }

    /// An example as it would stand in a table: behind its name in a head row, else the cell alone.
    fn example(&self, fault: &Fault, is_head: bool) -> String {
        let missing = fault.found.strip_prefix("no \"").and_then(|rest| rest.strip_suffix('"'));
        let deeper = fault.at.strip_prefix('/').unwrap_or_default();
        let mut name: Vec<&str> = deeper.split('/').filter(|key| !key.is_empty() && *key != "body").collect();
        name.extend(missing);
        let is_named = is_head && (missing.is_some() || self.by_pointer.contains_key(&fault.at));
        let row = |name: &str, value: &Value| format!("{name}{}{}", self.separator, plain(value));
        if let Ok(value) = serde_json::from_str::<Value>(&fault.example) {
            return if is_named { row(&name.join("."), &value) } else { plain(&value) };
        }
        // Some examples show a key with its value.
        let entries = serde_json::from_str::<Map<String, Value>>(&format!("{{{}}}", fault.example)).ok();
        let shown = entries.as_ref().and_then(|entries| entries.iter().next());
        match shown {
            Some((key, value)) if is_head => row(key, value),
            Some((_, value)) => plain(value),
            None => fault.example.clone(),
        }
    }
}

fn plain(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::Array(_) | Value::Object(_) => {
            value.to_string()
        }
    }
}

/// Does this fault say that what should stand at `pointer` is not there?
pub(super) fn is_missing(fault: &Fault, pointer: &str) -> bool {
    let parent = if fault.at == "the drop" { "" } else { fault.at.as_str() };
    let missing = pointer.strip_prefix(parent).and_then(|rest| rest.strip_prefix('/'));
    missing.is_some_and(|key| fault.found == format!("no {key:?}"))
}
