//! Spreadsheets as other programs write them: openpyxl, and LibreOffice from its files.
//!
//! Guards promise 2: the same statement by table, by `.xlsx`, by `.ods` and by JSON is one.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/python.rs"]
mod python;
#[path = "support/tables.rs"]
mod tables;

use benchdrop::facts::{Fact, Refusal, decode, slip};
use python::ask;
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use tables::flat_examples;
use tempfile::TempDir;

/// Tables become workbooks: cells of text, or numbers with a format that shows their decimals.
const WRITE: &str = r#"
import csv, io, openpyxl
for path, text, numbers in cases:
    book = openpyxl.Workbook()
    book.active.title = 'Read me'
    book.active['A1'] = 'Fill in the next sheet'
    sheet = book.create_sheet('Bench')
    for row, cells in enumerate(csv.reader(io.StringIO(text), delimiter=';'), 2):
        for column, said in enumerate(cells, 1):
            cell = sheet.cell(row, column)
            whole, point, decimals = said.lstrip('-').partition('.')
            if numbers and whole.isdigit() and (decimals.isdigit() or not point):
                cell.value = float(said)
                cell.number_format = '0' + ('.' + '0' * len(decimals) if point else '')
            elif said:
                cell.value, cell.number_format, cell.data_type = said, '@', 's'
    book.save(path)
answers = len(cases)
"#;

/// LibreOffice makes each file anew in another format.
fn convert(files: &[PathBuf], to: &str, folder: &Path) {
    let home = format!("-env:UserInstallation=file://{}", folder.join("profile").display());
    let output = Command::new("soffice")
        .args([&home, "--headless", "--convert-to", to, "--outdir"])
        .arg(folder.join(to))
        .args(files)
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
}

fn taken(path: &Path) -> Fact {
    let bytes = fs::read(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    decode(&bytes, "main").unwrap_or_else(|refusal| panic!("{}: {}", path.display(), slip("it", &refusal)))
}

/// Writes these tables and gives the files of each program.
fn written(tables: &[(String, bool)], folder: &TempDir) -> [Vec<PathBuf>; 3] {
    let path = |index: usize| folder.path().join(format!("drop-{index}.xlsx"));
    let cases: Vec<Value> = tables
        .iter()
        .enumerate()
        .map(|(index, (text, numbers))| json!([path(index), text, numbers]))
        .collect();
    assert_eq!(ask(WRITE, &json!(cases)), json!(tables.len()));
    let files: Vec<PathBuf> = (0..tables.len()).map(path).collect();
    for to in ["ods", "xlsx"] {
        convert(&files, to, folder.path());
    }
    let made = |to: &str| -> Vec<PathBuf> {
        (0..tables.len()).map(|index| folder.path().join(to).join(format!("drop-{index}.{to}"))).collect()
    };
    [files, made("ods"), made("xlsx")]
}

#[test]
#[ignore = "needs LibreOffice and openpyxl; tests/run runs it"]
fn a_workbook_says_what_the_same_table_says() {
    let examples = flat_examples();
    assert!(examples.len() > 40, "{}", examples.len());
    // As text, and as numbers that show their decimals.
    let tables: Vec<(String, bool)> = [false, true]
        .into_iter()
        .flat_map(|numbers| examples.iter().map(move |(_, _, table, _)| (table.clone(), numbers)))
        .collect();
    let folder = TempDir::new().unwrap();
    for files in written(&tables, &folder) {
        for (file, (path, _, table, document)) in files.iter().zip(examples.iter().cycle()) {
            let of_json = decode(document.to_string().as_bytes(), "main").unwrap();
            assert_eq!(taken(file).id, of_json.id, "{} as {}\n{table}", path.display(), file.display());
        }
    }
}

/// What is wrong is said by sheet, row and column, and the same of every program's file.
#[test]
#[ignore = "needs LibreOffice and openpyxl; tests/run runs it"]
fn faults_are_said_by_sheet_row_and_column() {
    let table = "kind;measurements\njob;24-017\nwho;LM\nrecorded;2026-03-02T09:15:00+01:00\ngauge;MIC-23\nunit;in\n\
        condition;as received\nfeature;position;station;direction;value\n\
        main journal;1;front;X;ditto\nmain journal;1;front;Y;2 1/4\nmain journal;2;front;X;2\n";
    let folder = TempDir::new().unwrap();
    for files in written(&[(table.to_owned(), false), (table.to_owned(), true)], &folder) {
        for file in files {
            let Err(Refusal::Faults(faults)) = decode(&fs::read(&file).unwrap(), "main") else {
                panic!("{} is taken", file.display())
            };
            let places: Vec<&str> = faults.iter().map(|fault| fault.at.as_str()).collect();
            let cell = |row: u32| format!("sheet Bench, row {row}, column E (value)");
            assert_eq!(places, [cell(10), cell(11), cell(12)], "{}: {faults:?}", file.display());
        }
    }
}
