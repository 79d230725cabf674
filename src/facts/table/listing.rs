//! The rows below column names, into the items of a list.

use super::cells::{self, Holds};
use super::fill::{Filling, MOST_FAULTS, nearest, pointer, set};
use super::layout::{Key, Layout, List, find};
use super::rows::Row;
use super::spots::Spot;
use crate::sheets::Fault;
use serde_json::{Map, Value};
use std::iter::Peekable;

/// Columns that say where a row belongs. A form comes with them filled in: a row with nothing else says nothing.
pub(super) const NAMING: [&str; 10] =
    ["feature", "part", "position", "positions", "station", "direction", "group", "size", "check", "places"];

/// A column of the table being read.
struct Column<'a> {
    name: String,
    key: &'a Key,
    /// 1, or the number of the repeat it holds.
    repeat: usize,
}

impl Filling {
    /// Reads the rows below column names, up to the next table or the end. Of a list that the
    /// kind cannot be without some row has to say something.
    pub(super) fn table<'a>(
        &mut self,
        header: &Row,
        names: &[String],
        list: &List,
        rows: &mut Peekable<impl Iterator<Item = &'a Row>>,
        layout: &Layout,
    ) {
        let must = layout.required.contains(&list.name);
        let (columns, at_list) = (self.columns(header, names, list), pointer(&list.path));
        self.spots.insert(at_list.clone(), Spot { row: header.number, column: None, is_head: false });
        let (mut items, mut read) = (Vec::new(), 0_usize);
        while let Some(row) = rows.next_if(|row| !row.is_end() && !row.begins_table()) {
            // Rows past the most faults are only passed over.
            if self.faults.len() >= MOST_FAULTS {
                continue;
            }
            read += 1;
            if row.cells.len() > header.cells.len() {
                let most = header.cells.len();
                let expected = format!(
                    "{most} cells as in row {}; a decimal comma needs ; between cells",
                    header.number
                );
                let found = format!("{} cells", row.cells.len());
                let fault = Fault::new(format!("row {}", row.number), found, expected);
                self.push(at_list.clone(), row.number, fault);
                continue;
            }
            let before = items.len();
            self.items(row, &columns, list, &mut items);
            // It would pass for a row of a form that nobody filled in.
            let first = row.cells.first().map(|cell| cell.to_lowercase()).unwrap_or_default();
            if items.len() == before && find(&layout.heads, &first).is_some() {
                let found = format!("{first:?} below the columns of row {}", header.number);
                self.row_fault(
                    row.number,
                    &found,
                    "rows that hold for the whole file above the column names",
                );
            }
        }
        if items.is_empty() && must && read > 0 && self.faults.is_empty() {
            let expected = "at least one row with something in it beside its place";
            let found = "a table with no row filled in";
            let fault = Fault::new(format!("row {}", header.number), found, expected);
            self.push(at_list, header.number, fault);
        }
        // A form holds tables that nobody had a word for.
        if !items.is_empty() {
            set(&mut self.document, &list.path, Value::Array(items));
        }
    }

    fn columns<'a>(&mut self, header: &Row, names: &[String], list: &'a List) -> Vec<Option<Column<'a>>> {
        let mut seen: Vec<(String, usize)> = Vec::new();
        names
            .iter()
            .enumerate()
            .map(|(at, name)| {
                if name.is_empty() || name.starts_with('#') {
                    return None;
                }
                let here = Spot { row: header.number, column: Some((at, name.clone())), is_head: false };
                let Some((key, repeat)) = list.column(name) else {
                    let known: Vec<&str> = list.columns.keys().map(String::as_str).collect();
                    let expected = format!(
                        "one of {}; a column whose name begins with # is for people",
                        known.join(", ")
                    );
                    let example = nearest(name, &known);
                    self.fault("", &here, &format!("the column {name:?}"), &expected, &example);
                    return None;
                };
                let place = (key.path.join("."), repeat);
                if seen.contains(&place) {
                    self.fault("", &here, name, "each column once; repeats are value 2, value 3", "");
                    return None;
                }
                seen.push(place);
                Some(Column { name: name.clone(), key, repeat })
            })
            .collect()
    }

    /// The items of one row: one, or one a repeat.
    fn items(&mut self, row: &Row, columns: &[Option<Column<'_>>], list: &List, items: &mut Vec<Value>) {
        let filled: Vec<(usize, &Column<'_>, &str)> = columns
            .iter()
            .zip(&row.cells)
            .enumerate()
            .filter_map(|(at, (column, cell))| Some((at, column.as_ref()?, cell.as_str())))
            .filter(|(_, _, cell)| !cell.is_empty())
            .collect();
        let is_naming = |column: &Column<'_>| NAMING.contains(&column.name.as_str());
        let says_more = columns.iter().flatten().any(|column| !is_naming(column));
        if filled.is_empty() || (says_more && filled.iter().all(|(_, column, _)| is_naming(column))) {
            return;
        }
        self.decimal_comma(row, columns);
        let repeated: Vec<&Key> =
            columns.iter().flatten().filter(|column| column.repeat > 1).map(|column| column.key).collect();
        let is_repeated = |column: &Column<'_>| repeated.iter().any(|key| key.path == column.key.path);
        let mut repeats: Vec<usize> = filled
            .iter()
            .filter(|(_, column, _)| is_repeated(column))
            .map(|(_, column, _)| column.repeat)
            .collect();
        repeats.sort_unstable();
        repeats.dedup();
        if repeats.is_empty() {
            repeats.push(1);
        }
        for repeat in repeats {
            let at_item = format!("{}/{}", pointer(&list.path), items.len());
            self.spots.insert(at_item.clone(), Spot { row: row.number, column: None, is_head: false });
            let mut item = Value::Object(Map::new());
            for (at, column, cell) in &filled {
                if is_repeated(column) && column.repeat != repeat {
                    continue;
                }
                let spot = Spot { row: row.number, column: Some((*at, column.name.clone())), is_head: false };
                let here = format!("{at_item}{}", pointer(&column.key.path));
                self.spots.insert(here.clone(), spot.clone());
                if let Some(value) = self.value(&here, &spot, cell, column.key, &column.name) {
                    set(&mut item, &column.key.path, value);
                }
            }
            items.push(item);
        }
    }

    /// Between commas `57,13` is two cells, and the second may fall where nobody looks.
    fn decimal_comma(&mut self, row: &Row, columns: &[Option<Column<'_>>]) {
        let is_digits = |cell: &str| !cell.is_empty() && cell.bytes().all(|b| b.is_ascii_digit());
        if self.separator != ',' {
            return;
        }
        for (at, pair) in row.cells.windows(2).enumerate() {
            let [cell, next] = pair else { continue };
            let column = columns.get(at).and_then(Option::as_ref);
            let is_figure = column.is_some_and(|column| cells::holds(column.key.schema) == Holds::Digits);
            let whole = cell.trim_start_matches(['+', '-']);
            if is_figure && is_digits(whole) && is_digits(next) {
                let expected = "a decimal point, or cells with ; between them: a comma ends a cell here";
                let name = column.map_or("", |column| column.name.as_str());
                let spot = Spot { row: row.number, column: Some((at, name.to_owned())), is_head: false };
                self.fault("", &spot, &format!("{cell},{next}"), expected, &format!("{cell}.{next}"));
            }
        }
    }
}
