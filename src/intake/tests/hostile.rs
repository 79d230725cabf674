//! Things that are not papers, and names that mean harm.

use super::Bench;
use crate::intake::Claim;
use crate::intake::Why;
use rustix::fs::{CWD, FileType, Mode};
use std::ffi::OsStr;
use std::fs;
use std::fs::File;
use std::os::unix::ffi::OsStrExt as _;
use std::os::unix::fs::symlink;
use std::os::unix::net::UnixListener;
use std::path::Path;

fn make_pipe(path: &Path) {
    rustix::fs::mknodat(CWD, path, FileType::Fifo, Mode::from(0o644), 0).unwrap();
}

#[test]
fn junk_is_passed_over_and_conflict_copies_are_taken() {
    let mut bench = Bench::new();
    for junk in [".hidden", "~$a.xlsx", "a.json.crdownload", "Thumbs.db", "a.json~"] {
        bench.put(junk, "{junk}");
    }
    bench.put("a.sync-conflict-20261125-101500-ABCDEFG.json", "{1}");
    bench.put("b.json", "{2}");
    let look = bench.look();
    let said: Vec<&str> = look.passed_over.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(said, [".hidden", "Thumbs.db", "a.json.crdownload", "a.json~", "~$a.xlsx"]);
    assert!(bench.look().passed_over.is_empty());
    let papers = bench.settle();
    let flags: Vec<_> = papers.iter().map(|paper| paper.conflict_copy).collect();
    assert_eq!(flags, [true, false]);
}

#[test]
fn links_pipes_and_sockets_are_returned_unopened() {
    let mut bench = Bench::new();
    fs::write(bench.path("secret"), "{secret}").unwrap();
    symlink(bench.path("secret"), bench.drop_path("1-link.json")).unwrap();
    symlink(bench.path("filed"), bench.drop_path("2-link-to-folder")).unwrap();
    make_pipe(&bench.drop_path("3-pipe.json"));
    let _socket = UnixListener::bind(bench.drop_path("4-socket")).unwrap();
    let log = bench.take_in();
    assert_eq!(log, ["link 1-link.json", "link 2-link-to-folder", "pipe 3-pipe.json", "socket 4-socket"]);
    assert_eq!(bench.text("secret"), "{secret}");
    assert_eq!(bench.look().waiting, []);
}

#[test]
fn what_takes_a_papers_place_is_not_opened() {
    let mut bench = Bench::new();
    for name in ["a.json", "b.json", "c.json"] {
        bench.put(name, "{1}");
    }
    let papers = bench.settle();
    for name in ["a.json", "b.json", "c.json"] {
        fs::remove_file(bench.drop_path(name)).unwrap();
    }
    make_pipe(&bench.drop_path("a.json"));
    symlink(bench.path("secret"), bench.drop_path("b.json")).unwrap();
    assert!(bench.folder.claim(&papers).iter().all(|claim| matches!(claim, Claim::Moved { .. })));
}

#[test]
fn one_level_of_folders() {
    let mut bench = Bench::new();
    fs::create_dir_all(bench.drop_path("tablet/deep/deeper")).unwrap();
    fs::create_dir_all(bench.drop_path(".sync")).unwrap();
    bench.put("tablet/a.json", "{1}");
    bench.put("tablet/deep/b.json", "{2}");
    bench.put(".sync/c.json", "{3}");
    assert_eq!(bench.take_in(), ["filed tablet/a.json {1}"]);
    let waiting = bench.look().waiting;
    assert_eq!(waiting.len(), 1);
    assert_eq!((waiting[0].name.as_str(), &waiting[0].why), ("tablet/deep", &Why::TooDeep));
    assert!(bench.drop_path("tablet/deep/b.json").exists());
}

#[test]
fn a_huge_file_is_never_read() {
    let mut bench = Bench::new();
    let size = 1 << 40;
    let sparse = File::create(bench.drop_path("huge.json")).unwrap();
    // Some file systems stop earlier; what counts is the size a stat tells.
    if sparse.set_len(size).is_ok() {
        assert_eq!(bench.take_in(), [format!("too large huge.json {size}")]);
    }
    bench.put("limit.json", vec![b'}'; 1024 * 1024]);
    bench.put("over.json", vec![b'}'; 1024 * 1024 + 1]);
    let log = bench.take_in();
    assert!(log[0].starts_with("filed limit.json") && log[1] == "too large over.json 1048577");
}

#[test]
fn names_that_mean_harm_harm_nothing() {
    let mut bench = Bench::new();
    let names: [&[u8]; 7] = [
        b"..json",
        b"new\nline.json",
        b"\xe2\x80\xaenosj.exe",
        b"not-utf8-\xff\xfe.json",
        b"-rf",
        b"a\\..\\windows.json",
        &[b'y'; 255],
    ];
    for name in names {
        fs::write(bench.drop_path("").join(OsStr::from_bytes(name)), "{1}").unwrap();
    }
    let log = bench.take_in();
    // "..json" begins with a dot and is never input.
    assert_eq!(log.len(), names.len() - 1);
    assert!(log.iter().all(|line| !line.chars().any(|c| c.is_control() || c == '\u{202e}')));
    let filed: Vec<_> =
        fs::read_dir(bench.path("filed/2026-11-25")).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(filed.len(), names.len() - 1);
    assert!(filed.iter().all(|name| name.to_str().is_some_and(|name| name.is_ascii() && name.len() <= 98)));
}
