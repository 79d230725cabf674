//! The way back: a table to be filled in.

use super::cells::{self, Holds};
use super::layout::{Key, Layout};
use crate::facts::schema;
use serde_json::Value;
use std::fmt::Write as _;

/// A table for a person to fill in: what is known stands in it, what is asked is empty.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TableSheet {
    /// Lines for people, above everything.
    pub remarks: Vec<String>,
    /// Head rows: key, value, remark.
    pub heads: Vec<(String, String, String)>,
    /// Lists to fill in; none for a kind that is head rows alone.
    pub lists: Vec<SheetList>,
}

/// A list of a table to be filled in.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SheetList {
    /// Its name in the kind's body: `readings`, `out.parts`.
    pub name: String,
    /// Column names; those that begin with `#` are for people.
    pub columns: Vec<String>,
    /// Rows, as many cells as columns.
    pub rows: Vec<Vec<String>>,
}

/// Empty rows under a list that has none prepared.
const EMPTY_ROWS: usize = 3;

/// A table with every head row and list of a kind, empty but for the kind; `None` for a kind that is not ours.
#[must_use]
pub fn empty_sheet(kind: &str) -> Option<TableSheet> {
    let layout = Layout::of(schema::schema_of(kind)?);
    let (own, deeper): (Vec<_>, Vec<_>) =
        layout.heads.iter().filter(|(name, _)| *name != "version").partition(|(_, key)| key.path.len() == 1);
    let head = |(name, key): (&String, &Key)| {
        let value = if name == "kind" { kind.to_owned() } else { String::new() };
        (name.clone(), value, wanted(key))
    };
    // As people begin a paper.
    const FIRST: [&str; 5] = ["kind", "job", "who", "recorded", "device"];
    let rank = |name: &str| FIRST.iter().position(|first| *first == name).unwrap_or(FIRST.len());
    let mut heads: Vec<_> = own.into_iter().map(head).collect();
    heads.sort_by_key(|(name, _, _)| rank(name));
    heads.extend(deeper.into_iter().map(head));
    let list = |list: &super::layout::List| SheetList {
        name: list.name.clone(),
        columns: list.columns.keys().cloned().collect(),
        rows: Vec::new(),
    };
    Some(TableSheet { remarks: Vec::new(), heads, lists: layout.lists.iter().map(list).collect() })
}

/// What a place holds, as the schema words it.
fn wanted(key: &Key) -> String {
    let described = key.schema.get("description").and_then(Value::as_str).unwrap_or_default();
    let more = match cells::holds(key.schema) {
        Holds::YesNo => "; yes or no",
        Holds::Several => "; with | between several",
        Holds::Digits | Holds::Whole | Holds::Text => "",
    };
    format!("{described}{more}")
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
    for list in &sheet.lists {
        text.push('\n');
        line(&mut text, &["table".to_owned(), list.name.clone()]);
        line(&mut text, &list.columns);
        for row in &list.rows {
            line(&mut text, row);
        }
        if list.rows.is_empty() {
            text.push_str(&"\n".repeat(EMPTY_ROWS));
        }
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

#[cfg(test)]
mod tests {
    use super::*;

    /// A spreadsheet runs a cell that begins so, whoever wrote it; and a cell ends where it ends.
    #[test]
    fn what_a_spreadsheet_would_run_stays_text() {
        for (cell, written) in [
            ("=HYPERLINK(A1)", "'=HYPERLINK(A1)"),
            ("+1", "'+1"),
            ("-2;3", "\"'-2;3\""),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("say \"so\"", "\"say \"\"so\"\"\""),
            ("2.2488", "2.2488"),
        ] {
            assert_eq!(quoted(cell), written);
        }
    }
}
