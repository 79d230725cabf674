//! Our arithmetic against that of others: thousands of random cases, computed by libraries from PyPI.
//!
//! Each suite asks one Python process: the cases go in as JSON, the answers come back as JSON. `tests/run` installs the
//! libraries.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on should panic")]

#[path = "peer_numbers/assigned.rs"]
mod assigned;
#[path = "peer_numbers/budgets.rs"]
mod budgets;
#[path = "support/chance.rs"]
mod chance;
#[path = "peer_numbers/conversions.rs"]
mod conversions;
#[path = "peer_numbers/fits.rs"]
mod fits;
#[path = "peer_numbers/forms.rs"]
mod forms;
#[path = "peer_numbers/quantiles.rs"]
mod quantiles;
#[path = "peer_numbers/studies.rs"]
mod studies;

use serde_json::Value;
use std::io::Write as _;
use std::process::{Command, Stdio};

/// What a script answers that reads `cases` and leaves `answers`.
fn ask(script: &str, cases: &Value) -> Value {
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
