//! Things that are not files, and names that want to be paths, lines or commands.

use super::support::{gauges, shop_drop};
use super::temp_shop::TempShop;
use rustix::fs::{CWD, FileType, Mode};
use serde_json::json;
use std::ffi::{OsStr, OsString};
use std::fs;
use std::os::unix::ffi::OsStrExt as _;
use std::os::unix::fs::symlink;
use std::os::unix::net::UnixListener;

#[test]
fn links_pipes_and_sockets_are_returned_unopened() {
    let mut shop = TempShop::new();
    let good = gauges()[0].to_string();
    let outside = shop.path("outside.json");
    fs::write(&outside, &good).unwrap();
    let at = |name: &str| shop.drop_folder().join(name);
    symlink(&outside, at("to-a-good-drop.json")).unwrap();
    symlink("/etc/passwd", at("to-the-accounts.json")).unwrap();
    symlink("nowhere", at("dangling.json")).unwrap();
    symlink("loop.json", at("loop.json")).unwrap();
    symlink(shop.path("letters"), at("to-a-folder")).unwrap();
    rustix::fs::mknodat(CWD, at("pipe.json"), FileType::Fifo, Mode::from(0o644), 0).unwrap();
    let _socket = UnixListener::bind(at("socket.json")).unwrap();
    shop.settle();
    assert_eq!(shop.left().len(), 0);
    let arrivals = shop.arrivals();
    assert_eq!(arrivals.len(), 7);
    for arrival in &arrivals {
        let what = match arrival.name.as_str() {
            "pipe.json" => "a pipe",
            "socket.json" => "a socket",
            _ => "a link",
        };
        assert_eq!((arrival.outcome.word(), arrival.hash), ("returned", None), "{}", arrival.name);
        assert!(arrival.slip.contains(what), "{}: {}", arrival.name, arrival.slip);
        let moved = shop.path("watch-folder").join(&arrival.place);
        assert!(
            !moved.symlink_metadata().unwrap().is_file(),
            "the thing itself was moved, not what it leads to"
        );
    }
    assert_eq!(fs::read_to_string(&outside).unwrap(), good);
    assert_eq!(shop.ledger().drops_of("").unwrap(), []);
}

#[test]
fn folders_are_not_papers() {
    let mut shop = TempShop::new();
    let good = gauges();
    fs::create_dir_all(shop.drop_folder().join("folder.json/deeper.json")).unwrap();
    shop.put("folder.json/inside.json", good[0].to_string());
    shop.put("folder.json/deeper.json/too-deep.json", good[1].to_string());
    shop.settle();
    assert_eq!(shop.outcome("folder.json/inside.json"), "filed");
    assert_eq!(shop.arrivals().len(), 1);
    assert!(shop.drop_folder().join("folder.json/deeper.json/too-deep.json").exists());
    assert!(shop.page("arrivals.html").contains("a folder inside a folder"));
}

#[test]
fn a_huge_file_is_never_read() {
    let mut shop = TempShop::new();
    let size = 1 << 30;
    fs::File::create(shop.drop_folder().join("huge.json")).unwrap().set_len(size).unwrap();
    shop.settle();
    let arrival = shop.arrival("huge.json");
    assert_eq!((arrival.outcome.word(), arrival.size, arrival.hash), ("returned", size, None));
    assert!(arrival.slip.contains("1073741824 bytes"), "{}", arrival.slip);
    assert!(shop.ledger().verify(&mut |_, _| {}).unwrap().is_sound());
}

/// Names with the bytes that break lines, paths, terminals and programs.
fn bad_names() -> Vec<OsString> {
    let long: Vec<u8> = [vec![b'n'; 250], b".json".to_vec()].concat();
    let wide: Vec<u8> = "\u{1f980}".repeat(62).into_bytes();
    let names: [&[u8]; 19] = [
        b"a..json",
        b"a%2f..%2fetc%2fpasswd.json",
        b"a\\..\\..\\windows.json",
        b"new\nline.json",
        b"new\r\nBcc: x@y.example\r\n.json",
        b"tab\tbell\x07escape\x1b[2J.json",
        "\u{202e}nosj.exe".as_bytes(),
        "\u{200b}zero-width\u{feff}.json".as_bytes(),
        b"not-utf8-\xff\xfe\xc3.json",
        b"-rf",
        b"--config=evil.toml",
        b"$(reboot).json",
        b"`reboot`; rm -r x.json",
        b"<script>alert(1)<_script>.json",
        b"\"><img src=x onerror=y>.json",
        b"CON.json",
        b" ",
        &long,
        &wide,
    ];
    names.iter().map(|name| OsStr::from_bytes(name).to_owned()).collect()
}

#[test]
fn names_harm_nothing() {
    let mut shop = TempShop::new();
    let names = bad_names();
    for (index, name) in names.iter().enumerate() {
        // Every second one is a good drop, the others are refused: both ways out see every kind of name.
        let drop = if index % 2 == 0 {
            shop_drop("gauge", 1, json!({"gauge": format!("G{index}"), "instrument": "micrometer"}))
                .to_string()
        } else {
            format!("{{\"kind\": \"nothing\", \"n\": {index}}}")
        };
        shop.put(name, drop);
    }
    shop.settle();
    assert_eq!(shop.left(), [] as [std::path::PathBuf; 0]);
    let arrivals = shop.arrivals();
    assert_eq!(arrivals.len(), names.len());
    let is_bad = |c: char| c.is_control() || matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}');
    for arrival in &arrivals {
        assert!(!arrival.name.chars().any(is_bad), "{:?}", arrival.name);
        assert!(!arrival.slip.lines().any(|line| line.chars().any(is_bad)), "{:?}", arrival.slip);
        let parts: Vec<&str> = arrival.place.split('/').collect();
        assert_eq!(parts.len(), 3, "{}", arrival.place);
        let plain = |part: &str| {
            !part.starts_with(['.', '-'])
                && part.chars().all(|c| c.is_ascii_alphanumeric() || "._-".contains(c))
        };
        assert!(parts.iter().all(|part| plain(part) && part.len() < 130), "{}", arrival.place);
        assert!(shop.path("watch-folder").join(&arrival.place).is_file(), "{}", arrival.place);
    }
    super::tags::only_ours(&shop);
}
