//! How patient the door is, and how much it carries at once.

use crate::intake::settle::Unfinished;
use std::time::Duration;

/// The measures of one watch folder. All times run on the caller's monotonic clock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settings {
    /// Between the first and the last of the equal looks that settle a paper.
    pub quiet: Duration,
    /// The same for a list in rows (`.csv`, `.tsv`, `.txt`): cut at the end of a row it looks whole, so only more
    /// time can tell. Counts when longer than `quiet`.
    pub quiet_rows: Duration,
    /// The same on a share, where sizes and times reach us late. Counts when longer than `quiet`.
    pub quiet_share: Duration,
    /// How long a paper whose content is cut short may lie unchanged before it is returned.
    pub grace: Duration,
    /// The same for a paper whose content is broken rather than short; never longer than `grace`.
    pub broken_wait: Duration,
    /// Papers larger than this, in bytes, are never read.
    pub size_limit: u64,
    /// One look hands out at most so many papers.
    pub batch_files: usize,
    /// One look hands out at most so many bytes, but always one paper.
    pub batch_bytes: u64,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            quiet: Duration::from_secs(1),
            quiet_rows: Duration::from_secs(10),
            quiet_share: Duration::from_secs(3),
            grace: Duration::from_secs(60),
            broken_wait: Duration::from_secs(5),
            size_limit: 1024 * 1024,
            batch_files: 10_000,
            batch_bytes: 32 * 1024 * 1024,
        }
    }
}

impl Settings {
    /// How long a paper in this state may lie unchanged. An empty one waits longest: some senders make the name
    /// first and bring the content after a long download, and an empty file tells nobody anything.
    pub(super) fn patience(&self, state: Unfinished) -> Duration {
        match state {
            Unfinished::Empty => self.grace.saturating_mul(60),
            Unfinished::CutShort => self.grace,
            Unfinished::Broken => self.grace.min(self.broken_wait),
        }
    }
}
