//! The way back: a table to be filled in.

use std::fmt::Write as _;

/// A table for a person to fill in: what is known stands in it, what is asked is empty.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TableSheet {
    /// Lines for people, above everything.
    pub remarks: Vec<String>,
    /// Head rows: key, value, remark.
    pub heads: Vec<(String, String, String)>,
    /// Column names; those that begin with `#` are for people. None for a kind that is head rows alone.
    pub columns: Vec<String>,
    /// Rows, as many cells as columns.
    pub rows: Vec<Vec<String>>,
}

/// Writes the table with `;` between cells, as spreadsheets with a decimal comma expect it; others ask or take it
/// too. It begins by saying that it ends in a row `end`, so that a copy cut short is known as one.
#[must_use]
pub fn write_sheet(sheet: &TableSheet) -> String {
    let mut text = String::from("last-row;end\n");
    for remark in &sheet.remarks {
        line(&mut text, &[format!("# {remark}")]);
    }
    for (key, value, remark) in &sheet.heads {
        let remark = if remark.is_empty() { String::new() } else { format!("# {remark}") };
        line(&mut text, &[key.clone(), value.clone(), remark]);
    }
    if !sheet.columns.is_empty() {
        text.push('\n');
        line(&mut text, &sheet.columns);
    }
    for row in &sheet.rows {
        line(&mut text, row);
    }
    text.push_str("end\n");
    // Spreadsheets take a file without the mark for one in their own old code.
    if text.is_ascii() { text } else { format!("\u{feff}{text}") }
}

fn line(text: &mut String, cells: &[String]) {
    let filled = cells.iter().rposition(|cell| !cell.is_empty()).map_or(0, |last| last + 1);
    for (index, cell) in cells.iter().take(filled).enumerate() {
        let between = if index > 0 { ";" } else { "" };
        // Writing to a String cannot fail.
        write!(text, "{between}{}", quoted(cell)).unwrap_or_default();
    }
    text.push('\n');
}

/// Quoted where it must be (RFC 4180), and never a formula.
fn quoted(cell: &str) -> String {
    let cell = if cell.starts_with(['=', '+', '-', '@']) { format!("'{cell}") } else { cell.to_owned() };
    if cell.contains([';', ',', '\t', '"', '\n', '\r']) {
        format!("\"{}\"", cell.replace('"', "\"\""))
    } else {
        cell
    }
}
