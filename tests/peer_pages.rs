//! Every page and letter of the demonstration in Debian's Chromium: nothing is wider than a phone, axe-core finds nothing
//! serious in light and in dark, and html-validate nothing that is no HTML. Where `BENCHDROP_PICTURES` names a folder, a
//! picture of each is written there for a reviewer: wide, dark, on a phone, printed.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/browser.rs"]
mod browser;
#[path = "support/demo_shop.rs"]
mod demo_shop;
mod support;
#[path = "support/temp_shop.rs"]
mod temp_shop;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use browser::Browser;
use demo_shop::DemoShop;
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use temp_shop::{Mail, files_below};

const PHONE: u32 = 390;

/// What `tests/run` has installed of npm.
fn node_modules() -> PathBuf {
    #[expect(clippy::disallowed_methods, reason = "tests/run says here where it put the peers")]
    let folder = std::env::var_os("BENCHDROP_NODE");
    PathBuf::from(folder.expect("BENCHDROP_NODE names node_modules with the peers; tests/run sets it"))
}

/// Name and file of every page, and of the HTML of every letter.
fn pages(shop: &DemoShop, letters: &Path) -> Vec<(String, PathBuf)> {
    let board = shop.board("");
    let mut pages: Vec<(String, PathBuf)> = Vec::new();
    for path in files_below(&board).into_keys().filter(|path| path.extension().is_some_and(|e| e == "html")) {
        let name = path.strip_prefix(&board).unwrap().with_extension("").to_string_lossy().replace('/', "-");
        pages.push((name, path));
    }
    for (path, bytes) in files_below(&shop.path("letters")) {
        if path.extension().is_none_or(|ending| ending != "eml") {
            continue;
        }
        let name = format!("letter-{}", path.file_stem().unwrap().to_string_lossy());
        let page = letters.join(format!("{name}.html"));
        fs::write(&page, Mail::read(&bytes).html).unwrap();
        pages.push((name, page));
    }
    pages
}

fn shown(browser: &Browser, width: u32, scheme: &str) {
    let size = json!({"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": false});
    browser.devtools("Emulation.setDeviceMetricsOverride", &size);
    browser.devtools("Emulation.setScrollbarsHidden", &json!({"hidden": true}));
    let media = json!({"features": [{"name": "prefers-color-scheme", "value": scheme}]});
    browser.devtools("Emulation.setEmulatedMedia", &media);
}

/// What axe-core calls serious or critical, a line each.
fn serious(browser: &Browser, axe: &str) -> Vec<String> {
    let script = format!(
        "{axe}; return axe.run(document, {{resultTypes: ['violations']}}).then((found) => found.violations
            .filter((one) => ['serious', 'critical'].includes(one.impact))
            .map((one) => one.id + ': ' + one.nodes.slice(0, 3).map((node) => node.html.slice(0, 160)).join(' | ')));"
    );
    let found = browser.run(&script);
    found.as_array().unwrap().iter().map(|line| line.as_str().unwrap().to_owned()).collect()
}

fn write(folder: &Path, name: &str, data: &Value) {
    fs::write(folder.join(name), STANDARD.decode(data.as_str().unwrap()).unwrap()).unwrap();
}

/// The whole page as it is shown now.
fn picture(browser: &Browser) -> Value {
    browser.devtools("Page.captureScreenshot", &json!({"captureBeyondViewport": true}))["data"].clone()
}

#[test]
#[ignore = "needs Chromium and npm's axe-core and html-validate; tests/run runs it"]
fn every_page_is_sound_on_every_screen() {
    let shop = DemoShop::new();
    let letters = tempfile::tempdir().unwrap();
    let pages = pages(&shop, letters.path());
    assert!(pages.len() > 20, "{}", pages.len());
    let axe = fs::read_to_string(node_modules().join("axe-core/axe.min.js")).unwrap();
    #[expect(clippy::disallowed_methods, reason = "a reviewer says where the pictures go")]
    let pictures = std::env::var_os("BENCHDROP_PICTURES").map(PathBuf::from);
    let browser = Browser::start(1280, 900);
    let mut faults = Vec::new();
    for (name, page) in &pages {
        for (kind, width, scheme) in
            [("wide", 1280, "light"), ("dark", 1280, "dark"), ("phone", PHONE, "light")]
        {
            shown(&browser, width, scheme);
            browser.open(page);
            // On a phone the same is shown in other places.
            let found = if width > PHONE { serious(&browser, &axe) } else { Vec::new() };
            faults.extend(found.into_iter().map(|line| format!("{name}, {kind}: {line}")));
            let wide = browser.run("return document.scrollingElement.scrollWidth");
            // A letter may be read in any frame, but none wider than a phone.
            if wide.as_u64().unwrap() > u64::from(width) {
                faults.push(format!("{name}, {kind}: {wide} points wide"));
            }
            if let Some(folder) = &pictures {
                write(folder, &format!("{name}-{kind}.png"), &picture(&browser));
            }
        }
        let printed = browser.print(210.0 / 25.4, 297.0 / 25.4);
        let sheets = sheets(&printed);
        // What hangs beside an engine is short; a record is the whole file of it, a form asks for everything, and what
        // arrived is a list without end.
        let is_long = ["records-", "issued-", "forms-", "arrivals"].iter().any(|long| name.starts_with(long));
        if !is_long && sheets > 15 {
            faults.push(format!("{name}: {sheets} sheets of paper"));
        }
        if let Some(folder) = &pictures {
            write(folder, &format!("{name}-print.pdf"), &json!(printed));
        }
    }
    faults.extend(invalid(&pages));
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
}

/// The sheets of a printed page.
fn sheets(printed: &str) -> usize {
    let bytes = STANDARD.decode(printed).unwrap();
    let text = String::from_utf8_lossy(&bytes);
    let sheets = text.matches("/Type /Page").count() - text.matches("/Type /Pages").count();
    assert!(sheets > 0, "no sheet in {} bytes", bytes.len());
    sheets
}

/// What html-validate says of the pages, a line each.
fn invalid(pages: &[(String, PathBuf)]) -> Vec<String> {
    let modules = node_modules();
    let config = tempfile::tempdir().unwrap();
    let rules = json!({"root": true, "extends": ["html-validate:standard"], "rules": {
        // maud writes void elements and attributes in its own way; style of writing is no fault of a page.
        "void-style": "off", "attribute-boolean-style": "off", "no-inline-style": "off", "doctype-style": "off",
        "no-trailing-whitespace": "off", "long-title": "off", "attr-case": "off"
    }});
    let file = config.path().join(".htmlvalidate.json");
    fs::write(&file, rules.to_string()).unwrap();
    let out = Command::new("node")
        .arg(modules.join("html-validate/bin/html-validate.mjs"))
        .arg("--config")
        .arg(&file)
        .args(["--formatter", "text"])
        .args(pages.iter().map(|(_, page)| page))
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&out.stdout).into_owned();
    assert!(out.status.success() || !said.is_empty(), "{}", String::from_utf8_lossy(&out.stderr));
    said.lines().filter(|line| line.contains("error")).map(str::to_owned).collect()
}

/// Each of the three sees what it is there for.
#[test]
#[ignore = "needs Chromium and npm's axe-core and html-validate; tests/run runs it"]
fn what_is_wrong_is_seen() {
    let folder = tempfile::tempdir().unwrap();
    let page = folder.path().join("bad.html");
    let bad = "<!DOCTYPE html><html lang=\"en\"><head><meta charset=\"utf-8\"><title>x</title></head><body><main>\
        <p><div style=\"width: 2000px; color: #ccc; background: #fff\">pale and wide</div></p></main></body></html>";
    fs::write(&page, bad).unwrap();
    let browser = Browser::start(1280, 900);
    shown(&browser, 1280, "light");
    browser.open(&page);
    let axe = fs::read_to_string(node_modules().join("axe-core/axe.min.js")).unwrap();
    let found = serious(&browser, &axe);
    assert!(found.iter().any(|line| line.starts_with("color-contrast")), "{found:?}");
    assert!(browser.run("return document.scrollingElement.scrollWidth").as_u64().unwrap() > 1280);
    let invalid = invalid(&[("bad".to_owned(), page)]);
    assert!(invalid.iter().any(|line| line.contains("close-order")), "{invalid:?}");
}
