//! The records of a table, each with the row a spreadsheet shows it in.

use super::text::{Text, is_end, is_remark};
use crate::facts::json::Unreadable;

/// One row that is neither empty nor a remark.
pub(super) struct Row {
    /// Its number, from 1.
    pub(super) number: u64,
    /// Its cells, without the spaces around them.
    pub(super) cells: Vec<String>,
}

/// Rows a table may have; a drop has at most 2,000 readings.
const MOST_ROWS: usize = 5_000;

/// The rows of a table, the closing one among them.
pub(super) struct Rows {
    pub(super) rows: Vec<Row>,
    /// The number of the first row past the limit, if there are so many.
    pub(super) too_many: Option<u64>,
    /// Is it known that no row is missing at the end?
    pub(super) is_whole: bool,
}

/// Rows being gathered.
#[derive(Default)]
pub(super) struct Gathered {
    rows: Vec<Row>,
    too_many: Option<u64>,
}

impl Gathered {
    /// Takes a row, unless it is empty, a remark, or for the spreadsheet alone.
    pub(super) fn take(&mut self, number: u64, cells: Vec<String>) {
        let cells: Vec<String> = cells.iter().map(|cell| bare(cell)).collect();
        let first = cells.first().map_or("", String::as_str);
        if cells.iter().all(String::is_empty) || is_remark(first) || first.starts_with("sep=") {
            return;
        }
        if self.rows.len() == MOST_ROWS {
            self.too_many = self.too_many.or(Some(number));
        } else {
            self.rows.push(Row { number, cells });
        }
    }

    /// All of them.
    pub(super) fn ended(self, is_whole: bool) -> Rows {
        Rows { rows: self.rows, too_many: self.too_many, is_whole }
    }
}

/// A row that no table holds: if it is not the last one, a quotation mark before it is still open.
const GUARD: &str = "\u{1}guard\u{1}";

/// Splits a table into its rows.
///
/// # Errors
/// [`Unreadable::CutShort`] when it ends inside quotation marks.
pub(super) fn split(text: &Text) -> Result<Rows, Unreadable> {
    let guarded = format!("{}\n{GUARD}\n", text.text);
    let delimiter = u8::try_from(text.separator).unwrap_or(b';');
    let mut reader = ::csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .has_headers(false)
        .flexible(true)
        .from_reader(guarded.as_bytes());
    let mut gathered = Gathered::default();
    let (mut is_guarded, mut inner_lines) = (false, 0_u64);
    for record in reader.records() {
        // Text in memory that is UTF-8 with any number of cells gives no error.
        let Ok(record) = record else { return Err(Unreadable::CutShort) };
        let line = record.position().map_or(0, ::csv::Position::line);
        let number = line.saturating_sub(inner_lines);
        inner_lines += record.iter().map(|cell| cell.matches('\n').count() as u64).sum::<u64>();
        is_guarded = record.get(0) == Some(GUARD);
        if !is_guarded {
            gathered.take(number, record.iter().map(str::to_owned).collect());
        }
    }
    if is_guarded { Ok(gathered.ended(false)) } else { Err(Unreadable::CutShort) }
}

/// A cell without the spaces around it, and without the mark that keeps a spreadsheet from computing it.
fn bare(cell: &str) -> String {
    let cell = cell.trim();
    let computed = |rest: &&str| rest.starts_with(['=', '+', '-', '@']);
    cell.strip_prefix('\'').filter(computed).unwrap_or(cell).to_owned()
}

impl Row {
    /// Is this the row that closes the table?
    pub(super) fn is_end(&self) -> bool {
        let mut cells = self.cells.iter();
        cells.next().is_some_and(|cell| is_end(cell)) && cells.all(String::is_empty)
    }

    /// Does a table that is named begin here?
    pub(super) fn begins_table(&self) -> bool {
        self.cells.first().is_some_and(|cell| cell.eq_ignore_ascii_case("table"))
    }
}
