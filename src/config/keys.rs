//! Which keys there are, so that a wrong one is answered with the right one.

use toml::{Table, Value};

/// Every key with its table in front of it.
const KNOWN: [&str; 27] = [
    "site",
    "timezone",
    "summary-at",
    "watch-folder",
    "ledger",
    "intake",
    "intake.settle-seconds",
    "intake.grace-seconds",
    "intake.watch",
    "letters",
    "letters.from",
    "letters.from-name",
    "letters.to",
    "letters.folder",
    "letters.smtp",
    "letters.smtp.host",
    "letters.smtp.port",
    "letters.smtp.security",
    "letters.smtp.user",
    "letters.smtp.password-file",
    "letters.smtp.extra-root",
    "drop-point",
    "drop-point.listen",
    "drop-point.address",
    "drop-point.certificate",
    "drop-point.private-key",
    "drop-point.unencrypted-on-the-network",
];

/// A sentence for every key that is not ours, with the nearest that is.
pub(super) fn unknown(table: &Table) -> Vec<String> {
    let mut found = Vec::new();
    walk("", table, &mut found);
    found
}

fn walk(before: &str, table: &Table, found: &mut Vec<String>) {
    for (key, value) in table {
        let path = if before.is_empty() { key.clone() } else { format!("{before}.{key}") };
        if !KNOWN.contains(&path.as_str()) {
            found.push(format!("unknown key {path}: did you mean {}?", nearest(&path)));
        } else if let Value::Table(inner) = value {
            walk(&path, inner, found);
        }
    }
}

fn nearest(path: &str) -> &'static str {
    let alike = |known: &&&str| strsim::damerau_levenshtein(path, known);
    KNOWN.iter().min_by_key(alike).copied().unwrap_or("site")
}
