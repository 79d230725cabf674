//! The codes on printed labels, read by programs of others: Chromium prints the page, poppler draws it as a printer would,
//! ZXing reads the codes. A4 and Letter.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/browser.rs"]
mod browser;
#[path = "support/demo_shop.rs"]
mod demo_shop;
#[path = "support/python.rs"]
mod python;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use benchdrop::facts::JobKey;
use browser::Browser;
use demo_shop::DemoShop;
use python::ask;
use serde_json::json;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Name, width and height in inches.
const PAPERS: [(&str, f64, f64); 2] = [("a4", 210.0 / 25.4, 297.0 / 25.4), ("letter", 8.5, 11.0)];
/// What fits on a sheet: three columns of seven.
const ON_A_SHEET: usize = 21;

/// The sheets as pictures of 200 dots an inch, as a plain office printer draws.
fn sheets(folder: &Path, name: &str, pdf: &str) -> Vec<PathBuf> {
    let file = folder.join(format!("{name}.pdf"));
    std::fs::write(&file, STANDARD.decode(pdf).unwrap()).unwrap();
    let mut poppler = Command::new("pdftoppm");
    poppler.args(["-r", "200", "-gray", "-png"]).arg(&file).arg(folder.join(name));
    assert!(poppler.status().expect("poppler-utils is installed; tests/run does that").success());
    let entries = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let is_sheet = |path: &PathBuf| {
        let file = path.file_name().unwrap().to_string_lossy().into_owned();
        file.starts_with(&format!("{name}-")) && file.ends_with(".png")
    };
    let mut sheets: Vec<PathBuf> = entries.filter(is_sheet).collect();
    sheets.sort();
    sheets
}

/// The texts of all codes in a picture.
fn read(picture: &Path) -> Vec<String> {
    let answers = ask(READER, &json!(picture));
    answers.as_array().unwrap().iter().map(|text| text.as_str().unwrap().to_owned()).collect()
}

const READER: &str = "
import zxingcpp
from PIL import Image
answers = [code.text for code in zxingcpp.read_barcodes(Image.open(cases), formats=zxingcpp.BarcodeFormat.QRCode)]
";

#[test]
#[ignore = "needs Chromium, poppler and ZXing; tests/run runs it"]
fn every_code_on_every_sheet_says_the_text_below_it() {
    let shop = DemoShop::new();
    let browser = Browser::start(1000, 800);
    let folder = tempfile::tempdir().unwrap();
    for job in ["24-017", "24-018"] {
        let said = shop.job(job);
        let labels = said["labels"].as_array().unwrap();
        let wanted: BTreeSet<String> =
            labels.iter().map(|label| label["text"].as_str().unwrap().to_owned()).collect();
        assert!(wanted.len() > 5 && !wanted.contains(""), "{wanted:?}");
        let slug = JobKey::of(job, "MAIN").unwrap().slug();
        browser.open(&shop.board(&format!("labels/{slug}.html")));
        for (paper, width, height) in PAPERS {
            let name = format!("{paper}-{job}");
            let sheets = sheets(folder.path(), &name, &browser.print(width, height));
            let found: Vec<Vec<String>> = sheets.iter().map(|sheet| read(sheet)).collect();
            let all: Vec<String> = found.iter().flatten().cloned().collect();
            assert_eq!(all.iter().cloned().collect::<BTreeSet<_>>(), wanted, "{name}");
            assert_eq!(all.len(), labels.len(), "each stands on one sheet: {name}");
            // Labels with many lines are taller.
            let most = found.iter().map(Vec::len).max().unwrap();
            assert!(sheets.len() <= labels.len().div_ceil(ON_A_SHEET) + 1, "{name}: {most} on the fullest");
        }
    }
}
