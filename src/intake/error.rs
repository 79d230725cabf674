//! What can go wrong at the door, and what a person should do about it.

use std::error::Error;
use std::path::PathBuf;
use std::{fmt, io};

/// A failed operation on a watch folder. No paper is lost by any of these: each stays where it is and is tried again.
#[derive(Debug)]
pub enum IntakeError {
    /// The folder, or its `drop/`, is unreachable or lacks its marker. Everything known of it is frozen until it
    /// is back; nothing was read and nothing moved.
    Away {
        /// The folder that could not be entered.
        folder: PathBuf,
        /// Why it could not be read; `None` when it could, but its marker is missing.
        source: Option<io::Error>,
    },
    /// Another process has this folder open.
    Taken {
        /// The watch folder.
        folder: PathBuf,
        /// What the other process wrote into the lock: its process number.
        holder: String,
    },
    /// The lock file could not be made or locked.
    Lock {
        /// The lock file.
        path: PathBuf,
        /// The cause.
        source: io::Error,
    },
    /// A part of the folder's layout could not be made.
    LayOut {
        /// What was to be made.
        path: PathBuf,
        /// The cause.
        source: io::Error,
    },
    /// The caller named a place outside `filed/` and `returned/`, or one with unsafe characters.
    Place {
        /// The place as given.
        place: String,
    },
    /// The slip of a returned paper could not be written; the paper still lies in `drop/`.
    Slip {
        /// Where the paper was to go.
        place: String,
        /// The cause.
        source: io::Error,
    },
    /// A paper could not be moved; it lies where it was.
    Move {
        /// The paper, as shown to people.
        name: String,
        /// Where it was to go.
        place: String,
        /// The cause.
        source: io::Error,
    },
    /// A paper that a power cut has cut short could not be written whole again; the ledger has its bytes.
    Restore {
        /// Where it lies, or was to lie.
        place: String,
        /// The cause.
        source: io::Error,
    },
    /// A paper was moved, but the disk did not confirm it. After a power cut it may lie in `drop/` again, where
    /// taking it in a second time is harmless.
    Sync {
        /// The folder, relative to the watch folder.
        folder: String,
        /// The cause.
        source: io::Error,
    },
}

impl IntakeError {
    /// True when the folder is away: wait and look again, there is nothing else to do.
    #[must_use]
    pub fn is_away(&self) -> bool {
        matches!(self, Self::Away { .. })
    }
}

impl IntakeError {
    /// The cause in the system's words, or our own when there is none.
    pub(super) fn cause(&self) -> String {
        self.source().map_or_else(|| self.to_string(), ToString::to_string)
    }
}

impl fmt::Display for IntakeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Away { folder, source: None } => write!(
                f,
                "the folder {} is away: its marker file is missing; connect the disk or share it belongs to",
                folder.display()
            ),
            Self::Away { folder, source: Some(_) } => write!(
                f,
                "the folder {} is away: it cannot be read; connect the disk or share, and check its permissions",
                folder.display()
            ),
            Self::Taken { folder, holder } => {
                write!(
                    f,
                    "the folder {} is in use by another process ({holder}); stop that one first",
                    folder.display()
                )
            }
            Self::Lock { path, source: _ } => write!(
                f,
                "cannot lock {}; make the folder writable, on a file system that has locks",
                path.display()
            ),
            Self::LayOut { path, source: _ } => {
                write!(
                    f,
                    "cannot make {}; check the permissions and that nothing else has that name",
                    path.display()
                )
            }
            Self::Place { place } => {
                write!(f, "will not file a paper at {place:?}; use a plain path under filed/ or returned/")
            }
            Self::Slip { place, source: _ } => {
                write!(f, "cannot write the slip for {place}; check space and permissions in returned/")
            }
            Self::Move { name, place, source: _ } => write!(
                f,
                "cannot move {name} to {place}; it stays where it is and is tried again; check space and permissions"
            ),
            Self::Restore { place, source: _ } => write!(
                f,
                "cannot write {place} whole again after a power cut; its bytes are in the ledger; check space and \
                 permissions, the next start tries again"
            ),
            Self::Sync { folder, source: _ } => {
                write!(f, "the disk did not confirm the papers moved in or out of {folder}; check the disk")
            }
        }
    }
}

impl Error for IntakeError {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        match self {
            Self::Away { source, .. } => source.as_ref().map(|cause| cause as _),
            Self::Lock { source, .. }
            | Self::LayOut { source, .. }
            | Self::Slip { source, .. }
            | Self::Move { source, .. }
            | Self::Restore { source, .. }
            | Self::Sync { source, .. } => Some(source),
            Self::Taken { .. } | Self::Place { .. } => None,
        }
    }
}
