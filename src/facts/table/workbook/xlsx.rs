//! The cells of an Office Open XML spreadsheet.

use super::{MOST_CELLS, MOST_COLUMNS, Sheet, shown, unreadable};
use crate::facts::json::Unreadable;
use calamine::{DataRef, ExcelDateTime, Reader as _, SheetType, Style, Xlsx, XlsxError};
use std::io::Cursor;

pub(super) fn sheets(bytes: &[u8]) -> Result<Vec<Sheet>, Unreadable> {
    let broken = |error: XlsxError| unreadable(error.to_string());
    let mut book = Xlsx::new(Cursor::new(bytes)).map_err(broken)?;
    let known = book.sheets_metadata().iter().filter(|sheet| sheet.typ == SheetType::WorkSheet);
    let names: Vec<String> = known.map(|sheet| sheet.name.clone()).collect();
    let (mut sheets, mut left) = (Vec::new(), MOST_CELLS);
    for name in names {
        let mut reader = book.worksheet_cells_reader(&name).map_err(broken)?;
        let mut cells = Vec::new();
        while let Some((cell, style)) = reader.next_cell_with_style_id().map_err(broken)? {
            let text = text(cell.get_value(), reader.styles().get(style));
            if text.is_empty() {
                continue;
            }
            left = left
                .checked_sub(1)
                .ok_or_else(|| unreadable("more cells are filled than a drop can have"))?;
            let (row, column) = cell.get_position();
            let column = usize::try_from(column).unwrap_or(MOST_COLUMNS).min(MOST_COLUMNS);
            cells.push((usize::try_from(row).unwrap_or(usize::MAX), column, text));
        }
        sheets.push(Sheet { name, cells });
    }
    Ok(sheets)
}

/// What a cell shows.
fn text(value: &DataRef<'_>, style: Option<&Style>) -> String {
    match value {
        DataRef::Empty => String::new(),
        DataRef::Int(whole) => whole.to_string(),
        DataRef::Float(number) => {
            let format = style.and_then(|style| style.number_format.as_ref());
            shown::in_format(*number, format.map_or("", |format| &format.format_code))
        }
        DataRef::String(text) | DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => text.clone(),
        DataRef::SharedString(text) => (*text).to_owned(),
        DataRef::Bool(yes) => if *yes { "yes" } else { "no" }.to_owned(),
        DataRef::DateTime(date) => day(date),
        DataRef::Error(error) => error.to_string(),
    }
}

/// A date as drops write one, with its time where it has one.
fn day(date: &ExcelDateTime) -> String {
    let (year, month, day, hour, minute, second, _) = date.to_ymd_hms_milli();
    let day = format!("{year:04}-{month:02}-{day:02}");
    if (hour, minute, second) == (0, 0, 0) { day } else { format!("{day}T{hour:02}:{minute:02}:{second:02}") }
}
