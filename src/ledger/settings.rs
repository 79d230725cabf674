//! The settings a ledger is safe with. Each is set, then read back; one that did not take is refused.

use super::LedgerError;
use super::Result;
use super::error::failed;
use rusqlite::Connection;
use rusqlite::types::Value;

/// Before 3.51.3 two connections could corrupt the write-ahead log (sqlite.org/wal.html, "WAL-reset bug").
const OLDEST_SQLITE: i32 = 3_051_003;

/// Prepared statements kept per connection; the ledger has fewer.
const KEPT_STATEMENTS: usize = 64;

/// One pragma: its name, the value to set, and how that value reads back.
type Setting = (&'static str, &'static str, &'static str);

/// Milliseconds that other programs are waited for.
pub(super) const WAIT: &str = "5000";

/// The writer's settings, in the order they are set: waiting for locks comes first, since changing the
/// journal needs one.
pub(super) const WRITER: &[Setting] = &[
    ("busy_timeout", WAIT, WAIT),
    ("journal_mode", "WAL", "wal"),
    // FULL: a commit is on the disk when it returns. NORMAL loses acknowledged drops when the power goes.
    ("synchronous", "FULL", "2"),
    // macOS only syncs the drive's own cache when asked to.
    ("fullfsync", "1", "1"),
    ("checkpoint_fullfsync", "1", "1"),
    // The ledger folds the log itself, because SQLite would drop an error of its own folding.
    ("wal_autocheckpoint", "0", "0"),
    ("journal_size_limit", "67108864", "67108864"),
    ("foreign_keys", "1", "1"),
    ("trusted_schema", "0", "0"),
    ("cell_size_check", "1", "1"),
    ("mmap_size", "0", "0"),
    // Nothing is written outside the ledger's own folder.
    ("temp_store", "MEMORY", "2"),
    // Kibibytes. Four times as much took some tenth off a backlog in a ledger of a million drops, nothing off one in a
    // young ledger, and stood in memory for as long as the service ran.
    ("cache_size", "-8192", "-8192"),
];

/// A reader's settings: it changes nothing and stays small.
pub(super) const READER: &[Setting] = &[
    ("busy_timeout", WAIT, WAIT),
    ("query_only", "1", "1"),
    ("trusted_schema", "0", "0"),
    ("cell_size_check", "1", "1"),
    ("mmap_size", "0", "0"),
    ("temp_store", "MEMORY", "2"),
    ("cache_size", "-2048", "-2048"),
];

/// Sets each setting and reads it back.
pub(super) fn apply(conn: &Connection, settings: &[Setting]) -> Result<()> {
    conn.set_prepared_statement_cache_capacity(KEPT_STATEMENTS);
    for (name, value, wanted) in settings {
        conn.pragma_update(None, name, value).map_err(failed("change a setting of the ledger"))?;
        let found = read(conn, name)?;
        if found != *wanted {
            return Err(LedgerError::Setting { name, wanted, found });
        }
    }
    Ok(())
}

fn read(conn: &Connection, name: &str) -> Result<String> {
    let value = conn
        .pragma_query_value(None, name, |row| row.get::<_, Value>(0))
        .map_err(failed("read back a setting of the ledger"))?;
    Ok(match value {
        Value::Integer(number) => number.to_string(),
        Value::Text(text) => text,
        Value::Null => "nothing".to_owned(),
        Value::Real(number) => number.to_string(),
        Value::Blob(_) => "bytes".to_owned(),
    })
}

/// Refuses an SQLite that can damage a ledger; the number is 3051003 for 3.51.3.
pub(super) fn require_sqlite(number: i32) -> Result<()> {
    if number < OLDEST_SQLITE { Err(LedgerError::OldSqlite { found: number }) } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A database in memory has no write-ahead log, so the second setting cannot take.
    #[test]
    fn a_setting_that_does_not_take_is_refused() {
        let conn = Connection::open_in_memory().unwrap();
        let error = apply(&conn, WRITER).unwrap_err();
        assert!(matches!(error, LedgerError::Setting { name: "journal_mode", .. }), "{error}");
    }

    #[test]
    fn an_old_sqlite_is_refused() {
        assert!(require_sqlite(3_051_002).is_err());
        assert!(require_sqlite(3_051_003).is_ok());
        assert!(require_sqlite(rusqlite::version_number()).is_ok());
    }
}
