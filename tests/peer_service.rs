//! The service under tools of the system: its unit as systemd judges it, the calls it makes against the filter it runs
//! under, a loop that hangs, and the Debian package.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "support/device.rs"]
mod device;
#[path = "support/process.rs"]
mod process;
#[path = "support/script.rs"]
mod script;
#[path = "support/state.rs"]
mod state;
mod support;

use device::{Device, with_drop_point};
use process::{PROGRAM, Shop, some_days_ago};
use script::shop_and_engine;
use std::collections::BTreeSet;
use std::fs;
use std::os::unix::net::UnixDatagram;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::time::Duration;

fn in_tree(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn ran(command: &mut Command) -> String {
    let Output { status, stdout, stderr } = command.output().unwrap();
    assert!(status.success(), "{command:?}: {}", String::from_utf8_lossy(&stderr));
    String::from_utf8(stdout).unwrap()
}

/// systemd's own analysis: below 2.0 of 10, where 10 is a service that may do anything.
#[test]
#[ignore = "needs systemd-analyze; tests/run runs it"]
fn the_unit_is_hardened() {
    let unit = in_tree("packaging/benchdrop.service");
    let analysed = Command::new("systemd-analyze")
        .args(["security", "--offline=true", "--threshold=20", "--no-pager"])
        .arg(&unit)
        .output()
        .unwrap();
    let text = String::from_utf8_lossy(&analysed.stdout);
    assert!(analysed.status.success(), "{text}{}", String::from_utf8_lossy(&analysed.stderr));
    // The analysis sees what is missing: without its filter of calls the unit no longer passes.
    let soft = tempfile::tempdir().unwrap();
    let weaker =
        fs::read_to_string(unit).unwrap().replace("SystemCallFilter=", "#").replace("Capability", "#");
    fs::write(soft.path().join("benchdrop.service"), weaker).unwrap();
    let analysed = Command::new("systemd-analyze")
        .args(["security", "--offline=true", "--threshold=20", "--no-pager"])
        .arg(soft.path().join("benchdrop.service"))
        .output()
        .unwrap();
    assert!(!analysed.status.success());
}

/// Every call of a whole life (papers, letters, pages, a reload, the clean end) is one the unit's filter lets through:
/// the one that is not would end the service on a shop's machine and on none of ours.
#[test]
#[ignore = "needs strace and systemd-analyze; tests/run runs it"]
fn the_units_filter_lets_every_call_through() {
    let shop = Shop::empty();
    shop.drop_in(&shop_and_engine(some_days_ago()));
    let port = with_drop_point(&shop);
    let device = Device::of(&shop, port, "tablet");
    let log = shop.dir().join("calls.log");
    let mut strace = Command::new("strace");
    strace.args(["-f", "-qq", "-o"]).arg(&log).arg(PROGRAM).arg("--config").arg(shop.configuration());
    strace.arg("run");
    let service = shop.start(strace);
    shop.wait_for_arrivals(5);
    let arrived = shop.n_arrivals();
    assert_eq!(device.get("/board.html").status, 200);
    assert_eq!(device.hand_in("a.json", b"{}").unwrap().status, 201);
    assert_eq!(device.get(&format!("/became/0/{}", "0".repeat(64))).status, 200);
    shop.wait_for_arrivals(arrived + 1);
    shop.wait_for_rest();
    assert!(service.end().0.success(), "{}", shop.log());
    let calls: BTreeSet<String> =
        fs::read_to_string(log).unwrap().lines().filter_map(call_of).map(str::to_owned).collect();
    assert!(calls.contains("accept4") && calls.contains("fsync") && calls.contains("renameat2"), "{calls:?}");
    let allowed = filter("@system-service");
    let refused: BTreeSet<String> = filter("@privileged").union(&filter("@resources")).cloned().collect();
    // The program is started before the filter is in force; SQLite gives its log the ledger's owner only as root.
    let others = ["execve", "fchown"];
    let over: Vec<&String> = calls
        .iter()
        .filter(|call| !others.contains(&call.as_str()))
        .filter(|call| !allowed.contains(*call) || refused.contains(*call))
        .collect();
    assert!(over.is_empty(), "{over:?}");
}

/// `123 fsync(7) = 0`
fn call_of(line: &str) -> Option<&str> {
    let call = line.split_once(' ')?.1.trim_start();
    let (name, _) = call.split_once('(')?;
    name.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'_').then_some(name)
}

/// The calls of a set and of the sets in it.
fn filter(set: &str) -> BTreeSet<String> {
    let mut calls = BTreeSet::new();
    for line in ran(Command::new("systemd-analyze").args(["syscall-filter", "--no-pager", set])).lines() {
        let name = line.trim();
        if name == set || name.is_empty() || name.starts_with('#') {
        } else if name.starts_with('@') {
            calls.extend(filter(name));
        } else {
            calls.insert(name.to_owned());
        }
    }
    calls
}

/// A look at a folder that never comes back, as on a dead share: the watchdog hears nothing, so the supervisor ends it.
#[test]
#[ignore = "needs strace; tests/run runs it"]
fn a_loop_that_hangs_feeds_no_watchdog() {
    let shop = Shop::empty();
    let path = shop.dir().join("notify");
    let socket = UnixDatagram::bind(&path).unwrap();
    let hears = |within: Duration| {
        socket.set_read_timeout(Some(within)).unwrap();
        let mut buffer = [0; 4096];
        socket.recv(&mut buffer).ok().map(|n| String::from_utf8_lossy(&buffer[..n]).into_owned())
    };
    // The fourth look hangs for longer than anybody waits here; notifications are off, so it is no sooner.
    shop.set("watch = true", "watch = false");
    let mut strace = Command::new("strace");
    strace.args(["-f", "-qq", "-o"]).arg(shop.dir().join("strace.log"));
    strace.args(["-e", "trace=getdents64", "-e", "inject=getdents64:delay_enter=60000000:when=5+"]);
    strace.arg("-P").arg(shop.watch_folder().join("drop"));
    strace.arg(PROGRAM).arg("--config").arg(shop.configuration()).arg("run");
    strace.env("NOTIFY_SOCKET", &path);
    let service = shop.start(strace);
    assert!(hears(process::LIMIT).unwrap().contains("READY=1"));
    let mut signs = 1;
    // A turn comes every five seconds at least; three times that without a sign is a hang.
    while let Some(sign) = hears(Duration::from_secs(15)) {
        assert!(sign.contains("WATCHDOG=1"), "{sign}");
        signs += 1;
        assert!(signs < 20, "the look never hung");
    }
    service.kill();
}

/// While the disk is full people go on dropping. Each paper stirs the folder; the service still takes its pause between
/// two tries and does not spend the machine on failing.
#[test]
#[ignore = "needs strace; tests/run runs it"]
fn a_full_disk_is_not_tried_again_at_every_paper() {
    let shop = Shop::empty();
    assert!(shop.once().status.success());
    let path = shop.dir().join("notify");
    let socket = UnixDatagram::bind(&path).unwrap();
    socket.set_nonblocking(true).unwrap();
    let mut strace = Command::new("strace");
    strace.args(["-f", "-qq", "-o"]).arg(shop.dir().join("strace.log"));
    strace.args(["-e", "trace=pwrite64", "-e", "inject=pwrite64:error=ENOSPC:when=1+"]);
    strace.arg("-P").arg(shop.dir().join("ledger/benchdrop.db-wal"));
    strace.arg(PROGRAM).arg("--config").arg(shop.configuration()).arg("run").env("NOTIFY_SOCKET", &path);
    let papers = shop_and_engine(some_days_ago());
    shop.drop_in(&papers);
    let service = shop.start(strace);
    shop.wait_until("the trouble", || shop.says("the disk is full") > 0);
    let turns = || {
        let mut buffer = [0; 4096];
        std::iter::from_fn(|| socket.recv(&mut buffer).ok()).count()
    };
    turns();
    // Twelve seconds hold two pauses of five, or three where one began just before.
    for n in 0..120 {
        fs::write(shop.watch_folder().join(format!("drop/more {n}.json")), &papers[0].bytes).unwrap();
        std::thread::sleep(Duration::from_millis(100));
    }
    let tried = turns();
    assert!((1..=4).contains(&tried), "{tried} turns in twelve seconds");
    assert_eq!(shop.says("the disk is full"), 1);
    service.kill();
}

/// What a shop installs: everything in its place, nothing of this machine in it, and the program in it runs.
#[test]
#[ignore = "needs dpkg-deb; tests/run runs it"]
fn the_debian_package_holds_a_program_that_runs() {
    let dir = tempfile::tempdir().unwrap();
    let package = ran(Command::new(in_tree("packaging/deb.sh")).arg(PROGRAM).arg(dir.path().join("out")));
    let package = package.trim();
    assert!(package.ends_with(".deb"), "{package}");
    let control = ran(Command::new("dpkg-deb").args(["--info", package]));
    let version = concat!("Version: ", env!("CARGO_PKG_VERSION"));
    assert!(control.contains("Package: benchdrop") && control.contains(version), "{control}");
    let tree = dir.path().join("tree");
    ran(Command::new("dpkg-deb").arg("-x").arg(package).arg(&tree));
    for file in [
        "usr/bin/benchdrop",
        "lib/systemd/system/benchdrop.service",
        "usr/lib/sysusers.d/benchdrop.conf",
        "usr/share/man/man1/benchdrop.1.gz",
        "usr/share/bash-completion/completions/benchdrop",
        "usr/share/zsh/vendor-completions/_benchdrop",
        "usr/share/fish/vendor_completions.d/benchdrop.fish",
        "usr/share/doc/benchdrop/copyright",
        "usr/share/benchdrop/schemas/measurements.v1.json",
    ] {
        assert!(fs::metadata(tree.join(file)).is_ok_and(|file| file.len() > 0), "{file}");
    }
    let own = ran(Command::new(tree.join("usr/bin/benchdrop")).arg("--version"));
    assert_eq!(own.trim(), concat!("benchdrop ", env!("CARGO_PKG_VERSION")));
    let shop = dir.path().join("shop");
    ran(Command::new(tree.join("usr/bin/benchdrop")).arg("init").arg(&shop));
    let unit = fs::read_to_string(tree.join("lib/systemd/system/benchdrop.service")).unwrap();
    assert!(unit.contains("ExecStart=/usr/bin/benchdrop "), "{unit}");
    for script in ["postinst", "prerm", "postrm"] {
        ran(Command::new("sh").arg("-n").arg(in_tree("packaging").join(script)));
    }
}
