//! What stops a turn, and what it means for the loop.

use crate::intake::IntakeError;
use crate::ledger::LedgerError;
use crate::outbox::OutboxError;
use std::fmt;
use std::path::PathBuf;

/// Why a turn could not be finished.
#[derive(Debug)]
pub enum DaemonError {
    /// The watch folder cannot be worked with.
    Intake(IntakeError),
    /// The ledger did not take what it was given.
    Ledger(LedgerError),
    /// Letters cannot be made or the sender cannot be started.
    Outbox(OutboxError),
    /// The ledger holds a drop that this program cannot read any more.
    Unreadable {
        /// Digest of the drop.
        drop: String,
    },
    /// A ledger that something is to be made from is damaged.
    Unsound {
        /// Which one.
        what: &'static str,
        /// What was found, in words.
        faults: Vec<String>,
    },
    /// Filed papers cannot be read.
    Papers {
        /// The watch folder they lie in.
        folder: PathBuf,
        /// The cause.
        source: std::io::Error,
    },
    /// The sender's thread has ended by itself: letters would wait for ever.
    SenderGone,
    /// A test stopped the turn here, as a power cut would.
    Stopped(crate::daemon::steps::Step),
}

impl DaemonError {
    /// Nothing may be acknowledged any more: end, and start again from what is on disk.
    #[must_use]
    pub fn must_stop(&self) -> bool {
        match self {
            Self::Ledger(error) => !error.is_disk_full() && error.must_stop(),
            Self::Intake(error) => matches!(error, IntakeError::Sync { .. }),
            Self::Outbox(_) | Self::Unreadable { .. } | Self::Unsound { .. } | Self::Papers { .. } => false,
            Self::SenderGone | Self::Stopped(_) => true,
        }
    }

    /// The ledger's disk is full; it mends itself once there is room.
    #[must_use]
    pub fn is_disk_full(&self) -> bool {
        matches!(self, Self::Ledger(error) if error.is_disk_full())
    }

    /// The watch folder is gone for now; it comes back by itself.
    #[must_use]
    pub fn is_away(&self) -> bool {
        matches!(self, Self::Intake(error) if error.is_away())
    }
}

impl fmt::Display for DaemonError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Intake(error) => write!(f, "{error}"),
            Self::Ledger(error) => write!(f, "{error}"),
            Self::Outbox(error) => write!(f, "{error}"),
            Self::Unreadable { drop } => {
                write!(f, "the drop {drop} in the ledger cannot be read by this version; run ledger verify")
            }
            Self::Unsound { what, faults } => {
                write!(f, "{what} is damaged, use another one: {}", faults.join("; "))
            }
            Self::Papers { folder, .. } => write!(f, "reading the papers filed in {}", folder.display()),
            Self::SenderGone => f.write_str("the sender of letters has ended by itself; start again"),
            Self::Stopped(step) => write!(f, "stopped after {step:?}"),
        }
    }
}

impl std::error::Error for DaemonError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Intake(error) => error.source(),
            Self::Ledger(error) => error.source(),
            Self::Outbox(error) => error.source(),
            Self::Papers { source, .. } => Some(source),
            Self::Unreadable { .. } | Self::Unsound { .. } | Self::SenderGone | Self::Stopped(_) => None,
        }
    }
}

impl From<IntakeError> for DaemonError {
    fn from(error: IntakeError) -> Self {
        Self::Intake(error)
    }
}

impl From<LedgerError> for DaemonError {
    fn from(error: LedgerError) -> Self {
        Self::Ledger(error)
    }
}

impl From<OutboxError> for DaemonError {
    fn from(error: OutboxError) -> Self {
        Self::Outbox(error)
    }
}
