//! A mail relay and a mail reader of others, as processes: aiosmtpd and Python's email, out of what `tests/run` has
//! installed.
#![allow(dead_code, unreachable_pub, reason = "each test file uses its own part of this")]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should panic")]

use crate::state::delivered;
use serde_json::Value;
use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use tempfile::TempDir;

/// The Python that has the packages.
fn python() -> Command {
    #[expect(clippy::disallowed_methods, reason = "tests/run says here where it put the peers")]
    let python = std::env::var_os("BENCHDROP_PEERS");
    Command::new(python.expect("BENCHDROP_PEERS names a Python with the peers; tests/run sets it"))
}

/// A relay on this machine; ends with the test.
pub struct Peer {
    child: Child,
    pub port: u16,
    folder: TempDir,
}

impl Peer {
    /// Starts one in this mode (ok, tempfail, reject) on this port; 0 for any free one.
    pub fn start(mode: &str, port: u16) -> Self {
        let folder = TempDir::new().unwrap();
        let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/peers/smtp_peer.py");
        let mut child = python()
            .arg(script)
            .arg(folder.path())
            .args(["--mode", mode, "--port", &port.to_string()])
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let said = line.trim().strip_prefix("PORT ").and_then(|port| port.parse().ok());
        let peer = Self { child, port: said.unwrap_or(0), folder };
        assert_ne!(peer.port, 0, "the relay does not start: {line:?}");
        peer
    }

    fn files(&self) -> Vec<PathBuf> {
        let mut files: Vec<PathBuf> =
            fs::read_dir(self.folder.path()).unwrap().map(|entry| entry.unwrap().path()).collect();
        files.retain(|path| path.extension().is_some_and(|ending| ending == "eml"));
        files.sort();
        files
    }

    /// Every letter it has taken, with its file.
    pub fn letters(&self) -> Vec<(PathBuf, String)> {
        self.files().into_iter().map(|file| (file.clone(), delivered(&file))).collect()
    }

    /// Moves the letters it has taken into a folder.
    pub fn give(&self, to: &Path) {
        for file in self.files() {
            fs::copy(&file, to.join(file.file_name().unwrap())).unwrap();
            fs::remove_file(file).unwrap();
        }
    }
}

impl Drop for Peer {
    fn drop(&mut self) {
        // Gone already is as good.
        self.child.kill().unwrap_or_default();
        drop(self.child.wait());
    }
}

/// Reads a letter; the relay's own line says to whom it came.
const READER: &str = r#"
import email, email.policy, json, sys
mail = email.message_from_binary_file(open(sys.argv[1], "rb"), policy=email.policy.default)
parts = list(mail.walk())
to, sender = mail["To"].addresses[0], mail["From"].addresses[0]
print(json.dumps({
    "defects": sum(len(part.defects) for part in parts) + sum(len(mail[name].defects) for name in mail.keys()),
    "types": [part.get_content_type() for part in parts],
    "subject": mail["Subject"], "to": to.addr_spec, "to-name": to.display_name, "from": sender.addr_spec,
    "peer-to": mail["X-Peer-To"], "message-id": mail["Message-ID"], "auto-submitted": mail["Auto-Submitted"],
    "date": int(mail["Date"].datetime.timestamp()),
    "text": mail.get_body(("plain",)).get_content(), "html": mail.get_body(("html",)).get_content(),
}))
"#;

/// What Python's mail reader finds in this file.
pub fn read(file: &Path) -> Value {
    let output = python().args(["-c", READER]).arg(file).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}
