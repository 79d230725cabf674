//! What there is to compare with.

use super::drops::SHEET;
use benchdrop::clock::{Clock as _, SystemClock};
use benchdrop::facts::{Digest, schema_text};
use std::fs::{self, File};
use std::io::Write as _;
use std::path::Path;
use std::process::Command;
use std::time::Duration;

/// Lays the backlog out and lets the disk take it.
pub(super) fn lay_out(folder: &Path, backlog: &[(String, String)]) {
    fs::create_dir_all(folder).unwrap();
    for (name, text) in backlog {
        fs::write(folder.join(name), text).unwrap();
    }
    rustix::fs::sync();
}

/// List, read, hash and rename every file, one fsync of the folder: nothing that files papers is quicker.
pub(super) fn bare_move(folder: &Path, backlog: &[(String, String)]) -> Duration {
    let (from, to) = (folder.join("drop"), folder.join("filed"));
    lay_out(&from, backlog);
    fs::create_dir(&to).unwrap();
    let clock = SystemClock::new();
    let mut names: Vec<_> = fs::read_dir(&from).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    names.sort_unstable();
    let mut last = None;
    for name in names {
        let path = from.join(&name);
        last = Some(Digest::of(&fs::read(&path).unwrap()));
        fs::rename(&path, to.join(&name)).unwrap();
    }
    File::open(&to).unwrap().sync_all().unwrap();
    assert!(last.is_some());
    clock.since_start()
}

/// The careful way, file by file: write 2 KiB, fsync, rename, fsync the folder.
pub(super) fn floor(folder: &Path, count: usize) -> Duration {
    let bytes = vec![b'x'; 2_048];
    rustix::fs::sync();
    let clock = SystemClock::new();
    let handle = File::open(folder).unwrap();
    for index in 0..count {
        let part = folder.join(".part");
        let mut file = File::create(&part).unwrap();
        file.write_all(&bytes).unwrap();
        file.sync_all().unwrap();
        fs::rename(&part, folder.join(format!("{index:05}.json"))).unwrap();
        handle.sync_all().unwrap();
    }
    clock.since_start()
}

/// The afternoon's script. `None`, with a word about it, where Python or its validator is missing.
pub(super) fn script(folder: &Path, backlog: &[(String, String)]) -> Option<Duration> {
    #[allow(clippy::disallowed_methods, reason = "tests/run says there which Python has the validator")]
    let python = std::env::var("BENCHDROP_PEERS").unwrap_or_else(|_| "python3".to_owned());
    let has_validator = Command::new(&python).args(["-c", "import jsonschema"]).output();
    if !has_validator.is_ok_and(|answer| answer.status.success()) {
        println!(
            "the script is left out: {python} has no jsonschema; name one that has it in BENCHDROP_PEERS"
        );
        return None;
    }
    lay_out(&folder.join("drop"), backlog);
    fs::create_dir(folder.join("filed")).unwrap();
    fs::write(folder.join("schema.json"), schema_text("measurements").unwrap()).unwrap();
    fs::write(folder.join("sheet.json"), SHEET).unwrap();
    // Cargo runs benches in the package's folder.
    let script = fs::canonicalize("benches/script.py").unwrap();
    let answer = Command::new(&python)
        .arg(script)
        .args(["drop", "filed", "script.db", "schema.json", "sheet.json"])
        .current_dir(folder)
        .output()
        .unwrap();
    assert!(answer.status.success(), "{}", String::from_utf8_lossy(&answer.stderr));
    let answer: serde_json::Value = serde_json::from_slice(&answer.stdout).unwrap();
    assert_eq!(answer["files"], backlog.len());
    assert!(0 < answer["beyond"].as_u64().unwrap(), "the script found nothing out of limits");
    Some(Duration::from_secs_f64(answer["seconds"].as_f64().unwrap()))
}
