//! The Python that has the libraries of others, out of what `tests/run` has installed.
#![allow(unreachable_pub, reason = "shared by test files")]
#![allow(clippy::unwrap_used, reason = "a test that cannot go on should panic")]

use serde_json::Value;
use std::io::Write as _;
use std::process::{Command, Stdio};

/// What a script answers that reads `cases` and leaves `answers`.
pub fn ask(script: &str, cases: &Value) -> Value {
    #[expect(clippy::disallowed_methods, reason = "tests/run says here where it put the peers")]
    let python = std::env::var_os("BENCHDROP_PEERS");
    let python = python.expect("BENCHDROP_PEERS names a Python with the peers; tests/run sets it");
    let whole =
        format!("import json, sys\ncases = json.load(sys.stdin)\n{script}\njson.dump(answers, sys.stdout)\n");
    let mut child = Command::new(python)
        .args(["-c", &whole])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(cases.to_string().as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success(), "the script ends badly; what it says stands above");
    serde_json::from_slice(&output.stdout).unwrap()
}
