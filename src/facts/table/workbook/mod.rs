//! Spreadsheets (`.xlsx`, `.ods`) as the rows of a table: what each cell shows, with the row it stands in.
//!
//! - `package`: the packed files inside, and that they unpack to no more than a bench form needs.
//! - `xlsx`, `ods`: the cells of each kind of spreadsheet.
//! - `shown`: a number as its cell shows it; closing zeros say how fine a reading is.

mod ods;
mod package;
mod shown;
#[cfg(test)]
mod tests;
mod xlsx;

use super::rows::{Gathered, Rows};
use crate::facts::json::Unreadable;
use package::Package;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Cells that are looked at in all sheets together; a drop has at most 2,000 readings.
const MOST_CELLS: usize = 100_000;

/// Columns of one row; no kind of drop has a tenth of them.
const MOST_COLUMNS: usize = 256;

/// One sheet with what its cells show, row by row; rows and columns from 0. Empty cells are not there.
struct Sheet {
    name: String,
    cells: Vec<(usize, usize, String)>,
}

/// What a whole workbook says.
pub(super) struct Workbook {
    /// The name of the sheet that is a drop.
    pub(super) sheet: String,
    /// Its rows.
    pub(super) rows: Rows,
}

/// Are these the bytes of a spreadsheet, of another packed file, or the beginning of one?
pub(super) fn is_one(bytes: &[u8]) -> bool {
    package::is_one(bytes)
}

/// The rows of the one sheet that is a drop.
///
/// # Errors
/// [`Unreadable::CutShort`] while the end of the file is missing; [`Unreadable::Spreadsheet`] where it is none, holds
/// several drops, or is larger than a drop can be.
pub(super) fn read(bytes: &[u8]) -> Result<Workbook, Unreadable> {
    // The libraries below are made for honest files. Whatever a hostile one makes them do is the end of that paper, and
    // not of the service.
    let read = catch_unwind(AssertUnwindSafe(|| sheets(bytes)));
    let sheets = read.unwrap_or_else(|_| Err(unreadable("it breaks in the middle")))?;
    let Sheet { name, cells } = the_drop(sheets)?;
    Ok(Workbook { sheet: name, rows: rows(cells) })
}

fn sheets(bytes: &[u8]) -> Result<Vec<Sheet>, Unreadable> {
    match package::open(bytes)? {
        Package::Office => xlsx::sheets(bytes),
        Package::OpenDocument(content) => ods::sheets(&content),
    }
}

fn unreadable(why: impl Into<String>) -> Unreadable {
    Unreadable::Spreadsheet { why: why.into() }
}

/// The sheet that names a kind; where none does, the first with anything in it, so that the slip says what is missing.
fn the_drop(sheets: Vec<Sheet>) -> Result<Sheet, Unreadable> {
    let mut sheets: Vec<Sheet> = sheets.into_iter().filter(|sheet| !sheet.cells.is_empty()).collect();
    let named: Vec<&str> =
        sheets.iter().filter(|sheet| sheet.names_a_kind()).map(|sheet| sheet.name.as_str()).collect();
    if named.len() > 1 {
        let names = named.join("\", \"");
        return Err(unreadable(format!("several of its sheets are drops: \"{names}\"")));
    }
    let at = sheets.iter().position(Sheet::names_a_kind).unwrap_or(0);
    if sheets.is_empty() { Err(unreadable("nothing stands in it")) } else { Ok(sheets.swap_remove(at)) }
}

impl Sheet {
    fn names_a_kind(&self) -> bool {
        self.cells.iter().any(|(_, column, text)| *column == 0 && text.trim().eq_ignore_ascii_case("kind"))
    }
}

/// Cells as rows with every column up to the last that is filled.
fn rows(mut cells: Vec<(usize, usize, String)>) -> Rows {
    cells.sort_by_key(|(row, column, _)| (*row, *column));
    let mut gathered = Gathered::default();
    let mut cells = cells.into_iter().peekable();
    while let Some((row, column, text)) = cells.next() {
        let mut line = vec![String::new(); column];
        line.push(text);
        while let Some((_, column, text)) = cells.next_if(|next| next.0 == row) {
            line.resize(column.max(line.len()), String::new());
            line.push(text);
        }
        gathered.take(row as u64 + 1, line);
    }
    gathered.ended(true)
}
