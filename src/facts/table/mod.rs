//! Tables: drops as a spreadsheet writes them, read into the same document as JSON.
//!
//! A table is head rows (`job;24-017`), a row of column names, and rows; the same keys as in JSON, dotted where they
//! lie deeper (`temperatures.part`). [`read`] tells a table by its content, never by a file's name, and gives the
//! JSON document it stands for, so that everything after it is one path and the same statement said both ways has
//! one digest. Which keys there are comes from the schemas: a new kind is a table without a line here.
//!
//! - `text`: encodings, separators, and whether all of it is there.
//! - `workbook`: spreadsheets, what their cells show.
//! - `rows`: records with the row they stand in.
//! - `layout`: head keys and columns of a kind, read off its schema.
//! - `cells`: one cell as a value; what people write instead of a value is a fault with words.
//! - `fill`: head rows into the document; `listing`: the rows below column names into the items of a list.
//! - `spots`: faults of the document said as row and column.
//! - `sheet`: the way back, a table to be filled in.
//!
//! Nothing is guessed: a ditto mark, a fraction, `OK`, `n/a` or thousandths as a whole number are faults. A row whose
//! measuring columns are empty says nothing and is passed over. What is measured or missing is judged elsewhere.

mod cells;
mod fill;
mod layout;
mod listing;
mod rows;
mod sheet;
mod spots;
mod text;
mod workbook;

pub use sheet::{SheetList, TableSheet, empty_sheet, write_sheet};

use crate::facts::json::Unreadable;
use crate::sheets::{Fault, Faults};
use serde_json::Value;
use spots::Spots;
use workbook::Workbook;

/// Stands between the cells of an example for a workbook, where nothing does.
const BETWEEN_CELLS: char = '|';

/// A table, read.
pub(super) struct Table {
    /// The document it stands for.
    pub(super) document: Value,
    faults: Vec<CellFault>,
    spots: Spots,
    /// The sheet it is, in a workbook.
    sheet: Option<String>,
}

/// What is wrong with a row or a cell.
struct CellFault {
    /// The place of the document that it leaves empty; none for what belongs nowhere.
    pointer: String,
    row: u64,
    fault: Fault,
}

/// Reads bytes as a table; `None` when they are none, and so are JSON or nothing of ours.
pub(super) fn read(bytes: &[u8]) -> Option<Result<Table, Unreadable>> {
    if workbook::is_one(bytes) {
        return Some(workbook::read(bytes).and_then(|Workbook { sheet, rows }| {
            fill::document(&rows, BETWEEN_CELLS).map(|table| Table { sheet: Some(sheet), ..table })
        }));
    }
    let text = match text::of(bytes)? {
        Ok(text) => text,
        Err(unreadable) => return Some(Err(unreadable)),
    };
    Some(rows::split(&text).and_then(|rows| fill::document(&rows, text.separator)))
}

impl Table {
    /// The faults of its cells and those found in its document, each said once, by row and column.
    pub(super) fn all_faults(self, of_document: Faults) -> Faults {
        // A cell that could not be read is missing from the document; that it is missing is no second fault.
        let is_said = |fault: &Fault| {
            let says = |cell: &CellFault| cell.pointer == fault.at || spots::is_missing(fault, &cell.pointer);
            self.faults.iter().any(says)
        };
        let unsaid: Faults = of_document.into_iter().filter(|fault| !is_said(fault)).collect();
        let mut all: Vec<(u64, Fault)> = self.faults.into_iter().map(|cell| (cell.row, cell.fault)).collect();
        all.extend(unsaid.into_iter().map(|fault| self.spots.located(fault)));
        all.sort_by_key(|(row, _)| *row);
        let in_sheet = |fault: Fault| match &self.sheet {
            Some(sheet) => Fault { at: format!("sheet {sheet}, {}", fault.at), ..fault },
            None => fault,
        };
        all.into_iter().map(|(_, fault)| in_sheet(fault)).collect()
    }

    /// True when a cell or a row is wrong in itself.
    pub(super) fn is_faulty(&self) -> bool {
        !self.faults.is_empty()
    }
}
