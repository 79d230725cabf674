//! What the drop point shows: every way that the board has, and no other.

use crate::device::{Device, listening, shop, with_drop_point};
use crate::process::Chance;
use std::collections::BTreeSet;
use std::fs;
use std::os::unix::fs::symlink;

/// What paths that lead elsewhere are made of.
const PARTS: [&str; 31] = [
    "..",
    ".",
    "%2e%2e",
    "%2f",
    "%5c",
    "\\",
    "board",
    "board.html",
    "jobs",
    "orders",
    "issued",
    "benchdrop.toml",
    "ledger",
    "benchdrop.db",
    "devices.json",
    "drop",
    "filed",
    ".benchdrop",
    "%00",
    "a.html",
    "pictures",
    "x.jpg",
    "~",
    "etc",
    "passwd",
    "%252e%252e",
    ";",
    "?",
    "#",
    "enter",
    "became",
];

/// Where the links of a page lead on the board.
fn links(page: &str, text: &str) -> Vec<String> {
    let hrefs = text.split("href=\"").skip(1).filter_map(|rest| rest.split('"').next());
    let own = hrefs.filter_map(|href| href.split('#').next()).filter(|href| !href.is_empty());
    own.map(|href| {
        let mut at: Vec<&str> = page.trim_start_matches('/').split('/').collect();
        at.pop();
        for part in href.split('/') {
            if part == ".." {
                at.pop();
            } else {
                at.push(part);
            }
        }
        format!("/{}", at.join("/"))
    })
    .collect()
}

/// Every name that leads elsewhere, some thousand of them grown by chance from what leads elsewhere; links too.
#[test]
fn nothing_but_the_board_is_shown() {
    let shop = shop();
    let port = with_drop_point(&shop);
    let device = Device::of(&shop, port, "tablet");
    let board = shop.watch_folder().join("board");
    symlink(shop.configuration(), board.join("secret.html")).unwrap();
    symlink(shop.dir(), board.join("jobs/deep")).unwrap();
    symlink(shop.dir(), board.join("plans-away")).unwrap();
    fs::create_dir_all(board.join("orders/x")).unwrap();
    fs::write(board.join("hidden.json"), "x").unwrap();
    let service = listening(&shop, port);
    for path in [
        "/secret.html",
        "/jobs/deep/benchdrop.toml",
        "/hidden.json",
        "/jobs/deep",
        "/.reach",
        "/board.html?x=1",
    ] {
        assert_eq!(device.get(path).status, 404, "{path}");
    }
    // Every way from the board leads somewhere: what a page names is there, and shown.
    let mut pages = BTreeSet::from(["/board.html".to_owned()]);
    let mut unread: Vec<String> = pages.iter().cloned().collect();
    while let Some(page) = unread.pop() {
        let answer = device.get(&page);
        assert_eq!(answer.status, 200, "{page}");
        for link in links(&page, &answer.text()) {
            if pages.insert(link.clone()) {
                unread.push(link);
            }
        }
    }
    assert!(pages.iter().any(|page| page.starts_with("/forms/")) && pages.len() >= 8, "{pages:?}");
    let mut chance = Chance(17);
    let mut seen = 0;
    for _ in 0..3_000 {
        let path: String = (0..=chance.between(1, 5))
            .map(|_| format!("/{}", PARTS[usize::try_from(chance.between(0, PARTS.len() as u64)).unwrap()]))
            .collect();
        let answer = device.get(&path);
        let own = path == "/board.html"
            || path.starts_with("/enter/")
            || path.starts_with("/became/")
            || path.starts_with("/?")
            || path.contains('#');
        seen += 1;
        assert!(own || [400, 404, 405].contains(&answer.status), "{path}: {}", answer.status);
        for secret in ["watch-folder =", "key-sha256", "SQLite format", "root:"] {
            assert!(!answer.text().contains(secret), "{path} shows {secret}");
        }
    }
    assert_eq!(seen, 3_000);
    // What is shown may do nothing but be read.
    let page = device.get("/board.html");
    for rule in ["default-src 'none'", "frame-ancestors 'none'", "nosniff", "no-referrer", "no-store"] {
        assert!(page.head.contains(rule), "{rule}: {}", page.head);
    }
    shop.ends_cleanly(service);
}
