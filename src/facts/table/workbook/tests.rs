//! Workbooks written by hand, honest and hostile. What real programs write is read in `tests/peer_workbooks.rs`.

use super::{MOST_COLUMNS, Workbook, is_one, read, shown};
use crate::facts::json::Unreadable;
use std::io::{Cursor, Write as _};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

fn packed(files: &[(&str, &str)]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    for (name, text) in files {
        writer.start_file(*name, options).unwrap();
        writer.write_all(text.as_bytes()).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

const MAIN: &str = "xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\"";
const LINKS: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";

/// An `.xlsx` of these sheets: a name and its rows.
fn xlsx(sheets: &[(&str, &str)]) -> Vec<u8> {
    let mut files = vec![(
        "xl/styles.xml".to_owned(),
        format!(
            "<styleSheet {MAIN}><numFmts count=\"1\"><numFmt numFmtId=\"164\" formatCode=\"0.0000\"/></numFmts><cellXfs \
             count=\"3\"><xf numFmtId=\"0\"/><xf numFmtId=\"164\" applyNumberFormat=\"1\"/><xf numFmtId=\"14\" \
             applyNumberFormat=\"1\"/></cellXfs></styleSheet>"
        ),
    )];
    let (mut list, mut links) = (String::new(), String::new());
    for (index, (name, rows)) in sheets.iter().enumerate() {
        list += &format!("<sheet name=\"{name}\" sheetId=\"{}\" r:id=\"r{index}\"/>", index + 1);
        links += &format!(
            "<Relationship Id=\"r{index}\" Type=\"{LINKS}/worksheet\" Target=\"worksheets/sheet{index}.xml\"/>"
        );
        files.push((
            format!("xl/worksheets/sheet{index}.xml"),
            format!("<worksheet {MAIN}><sheetData>{rows}</sheetData></worksheet>"),
        ));
    }
    files.push((
        "xl/workbook.xml".to_owned(),
        format!("<workbook {MAIN} xmlns:r=\"{LINKS}\"><sheets>{list}</sheets></workbook>"),
    ));
    let of = "xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\"";
    files.push((
        "xl/_rels/workbook.xml.rels".to_owned(),
        format!("<Relationships {of}>{links}</Relationships>"),
    ));
    files.push((
        "_rels/.rels".to_owned(),
        format!(
            "<Relationships {of}><Relationship Id=\"a\" Type=\"{LINKS}/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>"
        ),
    ));
    let files: Vec<(&str, &str)> = files.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect();
    packed(&files)
}

/// An `.ods` whose one sheet has these rows.
fn ods(rows: &str) -> Vec<u8> {
    let content = format!(
        "<office:document-content xmlns:office=\"o\" xmlns:table=\"t\" xmlns:text=\"x\"><office:body><office:spreadsheet>\
         <table:table table:name=\"Bench\">{rows}</table:table></office:spreadsheet></office:body></office:document-content>"
    );
    packed(&[("mimetype", "application/vnd.oasis.opendocument.spreadsheet"), ("content.xml", &content)])
}

fn lines(book: &Workbook) -> Vec<(u64, Vec<&str>)> {
    book.rows.rows.iter().map(|row| (row.number, row.cells.iter().map(String::as_str).collect())).collect()
}

fn why(bytes: &[u8]) -> String {
    match read(bytes) {
        Err(Unreadable::Spreadsheet { why }) => why,
        Err(other) => panic!("{other:?}"),
        Ok(book) => panic!("{:?}", lines(&book)),
    }
}

const KIND: &str = "<row r=\"2\"><c r=\"A2\" t=\"inlineStr\"><is><t>kind</t></is></c><c r=\"B2\" t=\"str\"><v>measurements</v></c></row>";

#[test]
fn a_cell_is_what_it_shows() {
    let rows = format!(
        "{KIND}<row r=\"4\"><c r=\"A4\" s=\"1\"><v>2.249</v></c><c r=\"B4\"><v>2.249</v></c><c r=\"C4\" s=\"2\"><v>46101</v></c>\
         <c r=\"E4\" t=\"b\"><v>1</v></c><c r=\"F4\" t=\"e\"><v>#DIV/0!</v></c><c r=\"G4\" s=\"1\"><v>2.24937</v></c></row>"
    );
    let book = read(&xlsx(&[("Notes", ""), ("Bench", &rows)])).unwrap();
    assert_eq!(book.sheet, "Bench");
    // 46,101 days from the end of 1899 are 2026-03-20, by the calendar.
    let wanted = vec!["2.2490", "2.249", "2026-03-20", "", "yes", "#DIV/0!", "2.24937 (shown as 2.2494)"];
    assert_eq!(lines(&book), [(2, vec!["kind", "measurements"]), (4, wanted)]);
}

#[test]
fn an_open_document_is_what_it_shows() {
    let cell = |kind: &str, more: &str, text: &str| {
        format!(
            "<table:table-cell office:value-type=\"{kind}\" {more}><text:p>{text}</text:p></table:table-cell>"
        )
    };
    let rows = format!(
        "<table:table-row table:number-rows-repeated=\"3\"><table:table-cell table:number-columns-repeated=\"9\"/></table:table-row>\
         <table:table-row>{}{}</table:table-row>\
         <table:table-row table:number-rows-repeated=\"2\">{}<table:table-cell/>{}{}{}{}</table:table-row>\
         <table:table-row table:number-rows-repeated=\"1048000\"><table:table-cell table:number-columns-repeated=\"16384\"/></table:table-row>",
        cell("string", "", "kind"),
        cell("string", "", "check-in<office:annotation><text:p>a remark</text:p></office:annotation>"),
        cell("float", "office:value=\"2.249\" table:number-columns-repeated=\"2\"", "2,2490"),
        cell("date", "office:date-value=\"2026-03-20\"", "20. Mär"),
        cell("boolean", "office:boolean-value=\"true\"", "WAHR"),
        cell("string", "", "a &lt;b&gt; c<text:s text:c=\"2\"/>d&#228;"),
        cell("float", "office:value=\"2.24937\"", "2,249"),
    );
    let book = read(&ods(&rows)).unwrap();
    let line =
        vec!["2,2490", "2,2490", "", "2026-03-20", "yes", "a <b> c  d\u{e4}", "2.24937 (shown as 2,249)"];
    assert_eq!(lines(&book), [(4, vec!["kind", "check-in"]), (5, line.clone()), (6, line)]);
}

/// What spreadsheets show of a number in each of these formats.
#[test]
fn closing_zeros_are_those_of_the_format() {
    for (value, format, text) in [
        (2.249, "0.0000", "2.2490"),
        (2.249, "General", "2.249"),
        (2.249, "", "2.249"),
        (2.0, "0.000", "2.000"),
        (2.0, "0", "2"),
        (-0.5, "0.00_ ", "-0.50"),
        (0.1 + 0.2, "General", "0.3"),
        (0.1 + 0.2, "0.00", "0.30"),
        (2.5, "0", "2.5 (shown as 2)"),
        (0.25, "0%", "0.25 (shown in percent, 25)"),
        (0.07, "0%", "0.07 (shown in percent, 7)"),
        (0.25, "0.00 \"%\"", "0.25"),
        (12.5, "0.00 \"mm\"", "12.5"),
        (1e-7, "General", "0.0000001"),
        (24017.0, "#,##0", "24017"),
    ] {
        assert_eq!(shown::in_format(value, format), text, "{value} as {format}");
    }
    for (value, written, text) in [
        (2.249, "2,2490", "2,2490"),
        (1234.5, "1.234,50", "1234.5"),
        (100.0, "100", "100"),
        (10.0, "1", "10 (shown as 1)"),
    ] {
        assert_eq!(shown::as_written(value, written), text);
    }
}

#[test]
fn until_its_end_is_there_it_is_cut_short() {
    let whole = xlsx(&[("Bench", KIND)]);
    assert!(is_one(&whole) && read(&whole).is_ok());
    for length in 4..whole.len() - 22 {
        assert!(matches!(read(&whole[..length]), Err(Unreadable::CutShort)), "{length}");
    }
}

#[test]
fn what_is_no_spreadsheet_with_one_drop_is_said() {
    assert!(why(&packed(&[("word/document.xml", "<a/>")])).contains("no spreadsheet"));
    assert!(why(&[0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1, 0]).contains(".xls"));
    assert!(why(&xlsx(&[("Left", KIND), ("Right", KIND)])).contains("\"Left\", \"Right\""));
    assert!(why(&xlsx(&[("Empty", "")])).contains("nothing stands in it"));
    assert!(
        why(&packed(&[("content.xml", "<office:document-content><table:table>&broken")])).contains("breaks")
    );
}

/// A few thousand bytes that would be gigabytes in memory.
#[test]
fn what_is_packed_into_little_is_refused_or_bounded() {
    let zeros = " ".repeat(20 << 20);
    assert!(why(&packed(&[("xl/workbook.xml", &zeros)])).contains("16 MiB"));
    let far = format!("{KIND}<row r=\"1048576\"><c r=\"XFD1048576\"><v>1</v></c></row>");
    let book = read(&xlsx(&[("Bench", &far)])).unwrap();
    assert_eq!(book.rows.rows.last().unwrap().cells.len(), MOST_COLUMNS + 1);
    let cell = "<table:table-cell office:value-type=\"string\" table:number-columns-repeated=\"2000000000\"><text:p>x</text:p>";
    let row = format!(
        "<table:table-row table:number-rows-repeated=\"2000000000\">{cell}</table:table-cell></table:table-row>"
    );
    assert!(why(&ods(&row)).contains("more cells"));
}

/// Bytes changed anywhere: it ends in words, never in the service's end.
#[test]
fn a_damaged_one_is_refused() {
    let whole = xlsx(&[("Bench", KIND)]);
    for at in (0..whole.len()).step_by(3) {
        for bit in [0x01, 0x10, 0x80] {
            let mut bytes = whole.clone();
            bytes[at] ^= bit;
            if is_one(&bytes) {
                // Either it can still be read, or the reason is one of ours.
                drop(read(&bytes));
            }
        }
    }
}
