//! A small spreadsheet: opens the form that the program prints, types into its empty cells, and writes it in one of the
//! ways that spreadsheets write.

use crate::support::JOB;
use serde_json::Value;
use std::path::Path;
use std::process::Command;

/// Columns that say which row it is.
const NAMING: [&str; 7] = ["feature", "part", "position", "positions", "station", "direction", "group"];

/// The form as the program prints it.
pub(super) fn printed(config: &Path, kind: &str, feature: &str) -> String {
    let mut form = Command::new(env!("CARGO_BIN_EXE_benchdrop"));
    form.arg("--config").arg(config).args(["form", JOB, "--csv", "--kind", kind]);
    if !feature.is_empty() {
        form.args(["--feature", feature]);
    }
    let output = form.output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// How it is written.
#[derive(Clone, Copy, Debug)]
pub(super) enum Way {
    /// `;` between cells, decimal comma.
    Semicolons,
    /// `,` between cells, decimal point.
    Commas,
}

/// A form that is open.
pub(super) struct Spreadsheet {
    rows: Vec<Vec<String>>,
    way: Way,
}

impl Spreadsheet {
    pub(super) fn open(form: &str, way: Way) -> Self {
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(b';')
            .has_headers(false)
            .flexible(true)
            .from_reader(form.as_bytes());
        let rows = reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect();
        Self { rows, way }
    }

    /// Types a value behind the name of its row.
    pub(super) fn head(&mut self, name: &str, value: &str) {
        let value = self.cell(value);
        let mut rows = self.rows.iter_mut().take_while(|row| row[0] != "table");
        let row = rows.find(|row| row[0] == name).unwrap_or_else(|| panic!("the form has no row {name}"));
        row.resize(row.len().max(2), String::new());
        row[1] = value;
    }

    /// Types what a body says.
    pub(super) fn body(&mut self, body: &Value, above: &str) {
        for (key, value) in body.as_object().unwrap() {
            let name = format!("{above}{key}");
            match value {
                Value::Object(_) => self.body(value, &format!("{name}.")),
                Value::Array(items) if items.iter().any(Value::is_object) => self.list(&name, items),
                Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) | Value::Array(_) => {
                    self.head(&name, &words(value))
                }
            }
        }
    }

    fn list(&mut self, name: &str, items: &[Value]) {
        let table = self.rows.iter().position(|row| row[0] == "table" && row[1] == name);
        let top = table.unwrap_or_else(|| panic!("the form has no table {name}")) + 1;
        for item in items {
            let cells = cells(item, "");
            let rest = &self.rows[top + 1..];
            let end = top + 1 + rest.iter().position(|row| row[0] == "table" || row[0] == "end").unwrap();
            let columns = self.rows[top].clone();
            let at = |name: &str| {
                columns
                    .iter()
                    .position(|column| column == name)
                    .unwrap_or_else(|| panic!("no column {name} in {columns:?}"))
            };
            let is_naming = |name: &&(String, String)| NAMING.contains(&name.0.as_str());
            let is_its = |row: &Vec<String>| {
                let named = cells.iter().filter(is_naming);
                named.clone().count() > 0
                    && named.clone().all(|(name, value)| value == "all" || row.get(at(name)) == Some(value))
            };
            let mut its: Vec<usize> = (top + 1..end).filter(|row| is_its(&self.rows[*row])).collect();
            let is_free = |row: &usize| {
                cells
                    .iter()
                    .filter(|cell| !is_naming(cell))
                    .all(|(name, _)| self.rows[*row].get(at(name)).is_none_or(String::is_empty))
            };
            its.retain(is_free);
            if its.is_empty() {
                let mut new = vec![String::new(); columns.len()];
                cells.iter().filter(is_naming).for_each(|(name, value)| new[at(name)].clone_from(value));
                self.rows.insert(end, new);
                its.push(end);
            }
            for row in its {
                for (name, value) in cells.iter().filter(|cell| !is_naming(cell)) {
                    let value = self.cell(value);
                    let row = &mut self.rows[row];
                    row.resize(columns.len(), String::new());
                    row[at(name)] = value;
                }
            }
        }
    }

    /// As the spreadsheet shows it: figures with its own decimal sign.
    fn cell(&self, value: &str) -> String {
        let (figure, rest) = value.split_once(' ').unwrap_or((value, ""));
        let is_figure = figure.contains('.')
            && figure.bytes().all(|b| b.is_ascii_digit() || b".+-".contains(&b))
            && ["", "under", "over"].contains(&rest);
        match self.way {
            Way::Semicolons if is_figure => value.replacen('.', ",", 1),
            Way::Semicolons | Way::Commas => value.to_owned(),
        }
    }

    /// Writes it: as many cells in every row, quoted where they must be.
    pub(super) fn save(&self) -> String {
        let delimiter = match self.way {
            Way::Semicolons => b';',
            Way::Commas => b',',
        };
        let width = self.rows.iter().map(Vec::len).max().unwrap();
        let mut writer = csv::WriterBuilder::new()
            .delimiter(delimiter)
            .terminator(csv::Terminator::CRLF)
            .from_writer(Vec::new());
        for row in &self.rows {
            let mut row = row.clone();
            row.resize(width, String::new());
            writer.write_record(&row).unwrap();
        }
        String::from_utf8(writer.into_inner().unwrap()).unwrap()
    }
}

fn cells(item: &Value, above: &str) -> Vec<(String, String)> {
    let inner = |(key, value): (&String, &Value)| match value {
        Value::Object(_) => cells(value, &format!("{above}{key}.")),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) | Value::Array(_) => {
            vec![(format!("{above}{key}"), words(value))]
        }
    };
    item.as_object().unwrap().iter().flat_map(inner).collect()
}

fn words(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Bool(yes) => (if *yes { "yes" } else { "no" }).to_owned(),
        Value::Array(items) => items.iter().map(words).collect::<Vec<_>>().join(" | "),
        Value::Null | Value::Number(_) | Value::Object(_) => value.to_string(),
    }
}
