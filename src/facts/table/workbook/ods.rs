//! The cells of an Open Document spreadsheet.
//!
//! Read here and not by the library that reads the other kind: the document itself has what each cell shows, which that
//! library passes over, and a few bytes can say that a row is there a million times, for which it makes room.

use super::{MOST_CELLS, MOST_COLUMNS, Sheet, shown, unreadable};
use crate::facts::json::Unreadable;
use quick_xml::escape::resolve_predefined_entity;
use quick_xml::events::{BytesRef, BytesStart, Event};
use quick_xml::{Reader, XmlVersion};

/// Rows that one row may stand for; more than a table may have.
const MOST_REPEATS: usize = 6_000;

/// The sheets of a document, from its content.
pub(super) fn sheets(content: &[u8]) -> Result<Vec<Sheet>, Unreadable> {
    let content = std::str::from_utf8(content).map_err(|_| unreadable("its content is not UTF-8"))?;
    let mut reader = Reader::from_str(content);
    let mut reading = Reading { left: MOST_CELLS, ..Reading::default() };
    loop {
        match reader.read_event().map_err(|error| unreadable(format!("its content breaks: {error}")))? {
            Event::Start(tag) => reading.opened(&tag)?,
            Event::Empty(tag) => {
                reading.opened(&tag)?;
                reading.closed(tag.name().as_ref())?;
            }
            Event::End(tag) => reading.closed(tag.name().as_ref())?,
            Event::Text(text) => reading.said(&text.xml10_content()),
            Event::GeneralRef(name) => reading.said(&entity(&name)),
            Event::CData(data) => reading.said(&data.xml10_content()),
            Event::Eof => return Ok(reading.sheets),
            Event::Comment(_) | Event::Decl(_) | Event::PI(_) | Event::DocType(_) => {}
        }
    }
}

/// What an entity stands for; the five of XML, and characters by number.
fn entity(name: &BytesRef<'_>) -> String {
    let known = resolve_predefined_entity(name).map(str::to_owned);
    known.or_else(|| name.resolve_char_ref().ok().flatten().map(String::from)).unwrap_or_default()
}

/// Where the reader stands.
#[derive(Default)]
struct Reading {
    sheets: Vec<Sheet>,
    left: usize,
    row: usize,
    column: usize,
    /// Cells of the row that is open: column and text.
    line: Vec<(usize, String)>,
    row_repeats: usize,
    cell: Option<Cell>,
    /// Remarks that a person hung on a cell are no part of it.
    in_remark: bool,
    in_paragraph: bool,
}

/// The cell that is open.
struct Cell {
    repeats: usize,
    kind: String,
    value: String,
    shown: String,
}

impl Reading {
    fn opened(&mut self, tag: &BytesStart<'_>) -> Result<(), Unreadable> {
        match tag.name().as_ref() {
            "table:table" => {
                self.sheets.push(Sheet { name: attribute(tag, "table:name"), cells: Vec::new() });
                self.row = 0;
            }
            "table:table-row" => {
                self.row_repeats = repeats(tag, "table:number-rows-repeated");
                (self.column, self.line) = (0, Vec::new());
            }
            "table:table-cell" | "table:covered-table-cell" => self.cell = Some(Cell::of(tag)),
            "office:annotation" => self.in_remark = true,
            "text:p" => {
                if let Some(cell) =
                    self.cell.as_mut().filter(|cell| !cell.shown.is_empty() && !self.in_remark)
                {
                    cell.shown.push('\n');
                }
                self.in_paragraph = true;
            }
            "text:s" => self.said(&" ".repeat(repeats(tag, "text:c").min(MOST_COLUMNS))),
            "text:tab" => self.said("\t"),
            "text:line-break" => self.said("\n"),
            _ => {}
        }
        if self.sheets.len() > MOST_COLUMNS {
            return Err(unreadable("more sheets than a drop has use for"));
        }
        Ok(())
    }

    fn said(&mut self, text: &str) {
        if let Some(cell) = self.cell.as_mut().filter(|_| self.in_paragraph && !self.in_remark) {
            cell.shown.push_str(text);
        }
    }

    fn closed(&mut self, name: &str) -> Result<(), Unreadable> {
        match name {
            "office:annotation" => self.in_remark = false,
            "text:p" => self.in_paragraph = false,
            "table:table-cell" | "table:covered-table-cell" => {
                if let Some(cell) = self.cell.take() {
                    self.fill(&cell)?;
                }
            }
            "table:table-row" => self.end_row()?,
            _ => {}
        }
        Ok(())
    }

    /// A filled cell stands in as many columns as it says.
    fn fill(&mut self, cell: &Cell) -> Result<(), Unreadable> {
        let text = cell.text();
        if !text.is_empty() {
            let columns = cell.repeats.min(MOST_COLUMNS);
            self.count(columns)?;
            let of = |column: usize| (column.min(MOST_COLUMNS), text.clone());
            self.line.extend((self.column..self.column.saturating_add(columns)).map(of));
        }
        self.column = self.column.saturating_add(cell.repeats);
        Ok(())
    }

    /// A filled row stands in as many rows as it says.
    fn end_row(&mut self) -> Result<(), Unreadable> {
        let line = std::mem::take(&mut self.line);
        if !line.is_empty() {
            let rows = self.row_repeats.min(MOST_REPEATS);
            self.count(line.len().saturating_mul(rows - 1))?;
            let Some(sheet) = self.sheets.last_mut() else { return Ok(()) };
            for row in self.row..self.row.saturating_add(rows) {
                sheet.cells.extend(line.iter().map(|(column, text)| (row, *column, text.clone())));
            }
        }
        self.row = self.row.saturating_add(self.row_repeats);
        Ok(())
    }

    fn count(&mut self, cells: usize) -> Result<(), Unreadable> {
        let left = self.left.checked_sub(cells);
        self.left = left.ok_or_else(|| unreadable("more cells are filled than a drop can have"))?;
        Ok(())
    }
}

impl Cell {
    fn of(tag: &BytesStart<'_>) -> Self {
        let kind = attribute(tag, "office:value-type");
        let value = match kind.as_str() {
            "date" => attribute(tag, "office:date-value"),
            "boolean" => attribute(tag, "office:boolean-value"),
            _ => attribute(tag, "office:value"),
        };
        Self { repeats: repeats(tag, "table:number-columns-repeated"), kind, value, shown: String::new() }
    }

    /// What it shows; dates and yes or no as drops write them, since how they are shown hangs on the country.
    fn text(&self) -> String {
        match (self.kind.as_str(), self.value.parse::<f64>()) {
            ("date", _) => self.value.clone(),
            ("boolean", _) => if self.value == "true" { "yes" } else { "no" }.to_owned(),
            ("float", Ok(value)) => shown::as_written(value, &self.shown),
            (_, _) => self.shown.clone(),
        }
    }
}

/// An attribute; empty where it is missing.
fn attribute(tag: &BytesStart<'_>, name: &str) -> String {
    let found = tag.try_get_attribute(name).ok().flatten();
    found
        .and_then(|found| found.normalized_value(XmlVersion::Implicit1_0).ok())
        .unwrap_or_default()
        .into_owned()
}

/// How often a row, a cell or a space stands there; once where it does not say.
fn repeats(tag: &BytesStart<'_>, name: &str) -> usize {
    attribute(tag, name).parse().unwrap_or(1).max(1)
}
