//! Rows into the document they stand for.

use super::cells::{self, Wrong};
use super::layout::{Key, Layout, List, find};
use super::listing::NAMING;
use super::rows::{Row, Rows};
use super::spots::{Spot, Spots};
use super::{CellFault, Table};
use crate::facts::json::Unreadable;
use crate::facts::schema;
use crate::sheets::Fault;
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

/// The head row that says how the table ends, written either way.
const LAST_ROW: [&str; 2] = ["last-row", "last row"];

/// Figures that are lengths where the unit is one.
const LENGTHS: [&str; 11] = [
    "value",
    "deviation",
    "blades.goes-in",
    "blades.goes",
    "blades.not-in",
    "blades.not",
    "setting",
    "before",
    "after",
    "removed",
    "finished",
];

/// Faults are collected up to this many, as of a schema.
pub(super) const MOST_FAULTS: usize = 200;

/// A document being filled.
pub(super) struct Filling {
    pub(super) document: Value,
    pub(super) faults: Vec<CellFault>,
    pub(super) spots: BTreeMap<String, Spot>,
    pub(super) separator: char,
    is_inch: bool,
}

/// The document that the rows stand for.
///
/// # Errors
/// [`Unreadable::CutShort`] when the rows stop before a list that the kind cannot be without, or before the row `end`
/// that the table says it has.
pub(super) fn document(rows: &Rows, separator: char) -> Result<Table, Unreadable> {
    let is_closed = rows.is_whole || rows.rows.iter().any(Row::is_end);
    if !is_closed && rows.rows.iter().any(|row| LAST_ROW.iter().any(|key| row.is_head(key, "end"))) {
        return Err(Unreadable::CutShort);
    }
    let mut filling = Filling {
        document: json!({}),
        faults: Vec::new(),
        spots: BTreeMap::new(),
        separator,
        is_inch: rows.rows.iter().any(|row| row.is_head("unit", "in")),
    };
    if let Some(number) = rows.too_many {
        filling.row_fault(
            number,
            "more than 5000 rows",
            "a table with fewer rows; split it into several files",
        );
    }
    let kind =
        rows.rows.iter().find(|row| row.cells.first().is_some_and(|cell| cell.to_lowercase() == "kind"));
    let kind = kind.and_then(|row| row.cells.get(1)).map(|kind| kind.to_lowercase()).unwrap_or_default();
    let layout = schema::schema_of(&kind).map(Layout::of).unwrap_or_default();
    if layout.heads.is_empty() {
        // Decoding says which kinds there are.
        filling.document = if kind.is_empty() { json!({}) } else { json!({ "kind": kind }) };
    } else {
        filling.rows(&rows.rows, &layout);
        let lacks =
            layout.required.iter().any(|list| filling.document.pointer(&format!("/body/{list}")).is_none());
        if lacks && !is_closed && filling.faults.is_empty() {
            return Err(Unreadable::CutShort);
        }
    }
    let spots = Spots { by_pointer: filling.spots, separator };
    Ok(Table { document: filling.document, faults: filling.faults, spots, sheet: None })
}

impl Row {
    fn is_head(&self, key: &str, value: &str) -> bool {
        let at = |index: usize| self.cells.get(index).map(|cell| cell.to_lowercase());
        at(0).as_deref() == Some(key) && at(1).as_deref() == Some(value)
    }
}

impl Filling {
    /// Reads head rows and the tables below them.
    fn rows(&mut self, rows: &[Row], layout: &Layout) {
        // A table may leave out its version; what was recorded without one stays a drop of the first.
        set(&mut self.document, &["version"], json!(1));
        set(&mut self.document, &["body"], json!({}));
        let mut heads: Vec<&str> = Vec::new();
        let mut rows = rows.iter().peekable();
        let mut named: Option<&List> = None;
        while let Some(row) = rows.next() {
            let names: Vec<String> = row.cells.iter().map(|cell| cell.to_lowercase()).collect();
            let first = names.first().map_or("", String::as_str);
            if row.is_end() {
                if let Some(after) = rows.next() {
                    self.row_fault(
                        after.number,
                        "a row behind the row \"end\"",
                        "\"end\" in the last row only",
                    );
                }
                return;
            }
            if LAST_ROW.contains(&first) {
                continue;
            }
            if first == "table" {
                named = self.named(row, layout);
                continue;
            }
            if let Some(key) = find(&layout.heads, first).filter(|_| named.is_none()) {
                if row.cells.get(1).is_some_and(|cell| !cell.is_empty()) {
                    heads.push(layout.heads.get_key_value(first).map_or("", |(name, _)| name.as_str()));
                }
                self.head(row, first, key);
                continue;
            }
            let fitting = named.take().map_or_else(|| layout.lists_of(&names, &heads), |list| vec![list]);
            match fitting.as_slice() {
                [] => self.no_head(row, first, layout),
                [list] => {
                    self.table(row, &names, list, &mut rows, layout);
                }
                several => {
                    let lists: Vec<String> =
                        several.iter().map(|list| format!("table{}{}", self.separator, list.name)).collect();
                    let expected =
                        format!("a row above that says which list this is: {}", lists.join(" or "));
                    self.row_fault(row.number, "columns that several lists have", &expected);
                    return;
                }
            }
        }
    }

    fn named<'a>(&mut self, row: &Row, layout: &'a Layout) -> Option<&'a List> {
        let name = row.cells.get(1).map(|cell| cell.to_lowercase()).unwrap_or_default();
        let list = layout.lists.iter().find(|list| list.name == name);
        if list.is_none() {
            let known: Vec<&str> = layout.lists.iter().map(|list| list.name.as_str()).collect();
            self.row_fault(row.number, &format!("table {name:?}"), &format!("one of {}", known.join(", ")));
        }
        list
    }

    fn head(&mut self, row: &Row, name: &str, key: &Key) {
        let pointer = pointer(&key.path);
        let spot = Spot { row: row.number, column: Some((1, name.to_owned())), is_head: true };
        if self.spots.contains_key(&pointer) {
            self.fault(&pointer, &spot, name, "each head row once", "");
            return;
        }
        let more = row.cells.iter().skip(2).find(|cell| !cell.is_empty() && !cell.starts_with('#'));
        if let Some(more) = more {
            let expected =
                "one value behind the name; a decimal comma needs ; between cells, a remark begins with #";
            self.fault(&pointer, &spot, more, expected, "");
        }
        self.spots.insert(pointer.clone(), spot.clone());
        let Some(cell) = row.cells.get(1).filter(|cell| !cell.is_empty()) else { return };
        if let Some(value) = self.value(&pointer, &spot, cell, key, name) {
            set(&mut self.document, &key.path, value);
        }
    }

    fn no_head(&mut self, row: &Row, first: &str, layout: &Layout) {
        let known: Vec<&str> = layout.heads.keys().map(String::as_str).collect();
        let nearest = nearest(first, &known);
        let columns: Vec<String> = layout
            .lists
            .iter()
            .map(|list| {
                let names: Vec<&str> = list.columns.keys().map(String::as_str).collect();
                names.join(", ")
            })
            .collect();
        let mut expected = format!("a head row ({})", known.join(", "));
        if !columns.is_empty() {
            expected.push_str(&format!(" or column names ({})", columns.join("; or ")));
        }
        let fault =
            Fault::new(format!("row {}", row.number), format!("{first:?}"), expected).with_example(nearest);
        self.push(String::new(), row.number, fault);
    }

    pub(super) fn value(
        &mut self,
        pointer: &str,
        spot: &Spot,
        cell: &str,
        key: &Key,
        name: &str,
    ) -> Option<Value> {
        let bare_name = name.split(' ').next().unwrap_or(name);
        let read = cells::value(cell, key.schema, NAMING.contains(&bare_name) && !spot.is_head);
        let wrong = match read {
            Ok(value) => {
                let is_length = self.is_inch && LENGTHS.contains(&bare_name);
                match cells::whole_inches(&value).filter(|_| is_length) {
                    None => return Some(value),
                    Some(wrong) => wrong,
                }
            }
            Err(wrong) => wrong,
        };
        let Wrong { expected, example } = wrong;
        self.fault(pointer, spot, cell, &expected, &example);
        None
    }

    pub(super) fn fault(&mut self, pointer: &str, spot: &Spot, found: &str, expected: &str, example: &str) {
        let fault = Fault::new(spot.said(), found, expected).with_example(example);
        self.push(pointer.to_owned(), spot.row, fault);
    }

    pub(super) fn row_fault(&mut self, number: u64, found: &str, expected: &str) {
        self.push(String::new(), number, Fault::new(format!("row {number}"), found, expected));
    }

    pub(super) fn push(&mut self, pointer: String, row: u64, fault: Fault) {
        if self.faults.len() < MOST_FAULTS {
            self.faults.push(CellFault { pointer, row, fault });
        }
    }
}

pub(super) fn nearest(name: &str, known: &[&str]) -> String {
    let close = |word: &&str| strsim::jaro_winkler(name, word);
    let best = known.iter().max_by(|a, b| close(a).total_cmp(&close(b)).then_with(|| b.cmp(a)));
    best.filter(|word| close(word) > 0.8).map_or_else(String::new, |word| (*word).to_owned())
}

pub(super) fn pointer(path: &[&str]) -> String {
    path.iter().map(|key| format!("/{key}")).collect()
}

/// Sets a value at a path, making the objects on the way.
pub(super) fn set(node: &mut Value, path: &[&str], value: Value) {
    let Some((last, parents)) = path.split_last() else { return };
    let mut node = node;
    for key in parents {
        let Some(object) = node.as_object_mut() else { return };
        node = object.entry(*key).or_insert_with(|| Value::Object(Map::new()));
    }
    if let Some(object) = node.as_object_mut() {
        object.insert((*last).to_owned(), value);
    }
}
