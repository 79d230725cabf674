//! What can go wrong with the ledger, and which of it must end the daemon.

use rusqlite::ErrorCode;
use std::error::Error;
use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

/// Why the ledger could not do what was asked. The cause is its `source`.
#[derive(Debug)]
#[non_exhaustive]
pub enum LedgerError {
    /// SQLite could not do one operation.
    Sqlite {
        /// What was tried, as words that follow "cannot".
        doing: &'static str,
        /// SQLite's answer.
        source: rusqlite::Error,
    },
    /// A file beside or under the ledger could not be made, locked or looked at.
    File {
        /// What was tried, as words that follow "cannot".
        doing: &'static str,
        /// The file or folder.
        path: PathBuf,
        /// The system's answer.
        source: io::Error,
    },
    /// There is no ledger at this path.
    Missing {
        /// Where it was looked for.
        path: PathBuf,
    },
    /// The file is something else.
    NotALedger {
        /// The file.
        path: PathBuf,
    },
    /// The ledger's tables are not of the version this program knows.
    OtherVersion {
        /// The file.
        path: PathBuf,
        /// Version of its tables.
        found: i64,
        /// Version this program writes.
        known: i64,
    },
    /// The ledger belongs to another site.
    OtherSite {
        /// The file.
        path: PathBuf,
        /// The site it was made for.
        stored: String,
        /// The site that was asked for.
        asked: String,
    },
    /// A safety setting did not take.
    Setting {
        /// The pragma.
        name: &'static str,
        /// The value it must have.
        wanted: &'static str,
        /// The value read back.
        found: String,
    },
    /// This SQLite is too old to be trusted with two connections.
    OldSqlite {
        /// Its version number, 3051003 for 3.51.3.
        found: i32,
    },
    /// The place is a file system that cannot keep a ledger safe.
    Share {
        /// The place.
        path: PathBuf,
        /// The kind of file system.
        kind: &'static str,
    },
    /// Another program writes in this ledger.
    InUse {
        /// The lock file.
        path: PathBuf,
    },
    /// A letter was marked that is not in the queue.
    UnknownLetter {
        /// The number given.
        id: i64,
    },
    /// A copy was to be made where something lies already.
    Exists {
        /// What lies there.
        path: PathBuf,
    },
    /// An earlier write failed in a way that a second try would hide.
    Stopped,
}

impl LedgerError {
    /// The disk is full: keep papers where they are, try again later, do not exit.
    #[must_use]
    pub fn is_disk_full(&self) -> bool {
        match self {
            Self::Sqlite { source, .. } => {
                source.sqlite_error_code() == Some(ErrorCode::DiskFull) || is_full_index(source)
            }
            Self::File { source, .. } => {
                matches!(source.kind(), io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded)
            }
            Self::Missing { .. }
            | Self::NotALedger { .. }
            | Self::OtherVersion { .. }
            | Self::OtherSite { .. }
            | Self::Setting { .. }
            | Self::OldSqlite { .. }
            | Self::Share { .. }
            | Self::InUse { .. }
            | Self::UnknownLetter { .. }
            | Self::Exists { .. }
            | Self::Stopped => false,
        }
    }

    /// Another connection held the write lock for longer than the ledger waits; try again.
    #[must_use]
    pub fn is_busy(&self) -> bool {
        let Self::Sqlite { source, .. } = self else { return false };
        matches!(source.sqlite_error_code(), Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked))
    }

    /// The disk or the file failed. Acknowledge nothing more and exit, to be started anew: a failed fsync
    /// tried again reports success for pages that are lost.
    #[must_use]
    pub fn must_stop(&self) -> bool {
        match self {
            Self::Sqlite { source, .. } => is_broken(source) && !is_full_index(source),
            Self::Stopped => true,
            Self::File { .. }
            | Self::Missing { .. }
            | Self::NotALedger { .. }
            | Self::OtherVersion { .. }
            | Self::OtherSite { .. }
            | Self::Setting { .. }
            | Self::OldSqlite { .. }
            | Self::Share { .. }
            | Self::InUse { .. }
            | Self::UnknownLetter { .. }
            | Self::Exists { .. } => false,
        }
    }
}

/// True where the disk gave wrong answers, or the file holds what the ledger never wrote.
fn is_broken(error: &rusqlite::Error) -> bool {
    let broken_disk = matches!(
        error.sqlite_error_code(),
        Some(
            ErrorCode::SystemIoFailure
                | ErrorCode::DatabaseCorrupt
                | ErrorCode::NotADatabase
                | ErrorCode::CannotOpen
        )
    );
    let strange_row = matches!(
        error,
        rusqlite::Error::FromSqlConversionFailure(..) | rusqlite::Error::InvalidColumnType(..)
    );
    broken_disk || strange_row
}

/// The index of the write-ahead log could not grow. It is never synced, so trying again is safe, and the
/// reason is a full disk.
fn is_full_index(error: &rusqlite::Error) -> bool {
    error.sqlite_extended_error_code() == Some(rusqlite::ffi::SQLITE_IOERR_SHMSIZE)
}

/// Makes SQLite's answer into the error of one operation, for `map_err`.
pub(super) fn failed(doing: &'static str) -> impl Fn(rusqlite::Error) -> LedgerError {
    move |source| LedgerError::Sqlite { doing, source }
}

impl fmt::Display for LedgerError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Sqlite { doing, .. } => write!(f, "cannot {doing}: {}", self.advice()),
            Self::File { doing, path, .. } => write!(f, "cannot {doing} {}", path.display()),
            Self::Missing { path } => {
                write!(
                    f,
                    "there is no ledger at {}; check the configured path, or set the shop up first",
                    path.display()
                )
            }
            Self::NotALedger { path } => {
                write!(
                    f,
                    "{} is not a benchdrop ledger; name another path, it was left untouched",
                    path.display()
                )
            }
            Self::OtherVersion { path, found, known } => other_version(f, path, *found, *known),
            Self::OtherSite { path, stored, asked } => write!(
                f,
                "the ledger {} belongs to site {stored}, not {asked}; correct the site or the path in the configuration",
                path.display()
            ),
            Self::Setting { name, wanted, found } => write!(
                f,
                "the safety setting {name} reads {found} instead of {wanted}; move the ledger to an ordinary local disk"
            ),
            Self::OldSqlite { found } => {
                write!(
                    f,
                    "SQLite {found} is older than 3051003 and can damage a ledger; build with the bundled one"
                )
            }
            Self::Share { path, kind } => write!(
                f,
                "{} is on {kind}, where a ledger is not safe; put it on a disk of this machine",
                path.display()
            ),
            Self::InUse { path } => {
                write!(
                    f,
                    "another benchdrop writes in this ledger ({} is locked); stop it first",
                    path.display()
                )
            }
            Self::Exists { path } => {
                write!(f, "{} is there already and is never written over; name another file", path.display())
            }
            Self::UnknownLetter { id } => write!(f, "letter {id} is not in the queue; nothing was marked"),
            Self::Stopped => {
                f.write_str("the ledger stopped after a failed write; end the program and start it anew")
            }
        }
    }
}

fn other_version(f: &mut fmt::Formatter<'_>, path: &Path, found: i64, known: i64) -> fmt::Result {
    let path = path.display();
    if found > known {
        write!(
            f,
            "the ledger {path} was made by a newer benchdrop (tables {found}, this one knows {known}); install that or a later one"
        )
    } else {
        write!(
            f,
            "the ledger {path} has tables {found}, this benchdrop reads {known}; start the daemon once, it brings them up"
        )
    }
}

impl LedgerError {
    fn advice(&self) -> &'static str {
        if self.is_disk_full() {
            "the disk is full; free some space, papers wait where they are"
        } else if self.is_busy() {
            "another program holds the ledger; try again"
        } else if self.must_stop() {
            "the disk or the file failed; end the program, check the disk, start it anew"
        } else {
            "nothing was changed; report this with its cause"
        }
    }
}

impl Error for LedgerError {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        match self {
            Self::Sqlite { source, .. } => Some(source),
            Self::File { source, .. } => Some(source),
            Self::Missing { .. }
            | Self::NotALedger { .. }
            | Self::OtherVersion { .. }
            | Self::OtherSite { .. }
            | Self::Setting { .. }
            | Self::OldSqlite { .. }
            | Self::Share { .. }
            | Self::InUse { .. }
            | Self::UnknownLetter { .. }
            | Self::Exists { .. }
            | Self::Stopped => None,
        }
    }
}
