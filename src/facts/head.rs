//! The head of a drop: who says this, when, and on what device.

use jiff::Timestamp;
use jiff::fmt::temporal::Pieces;
use jiff::tz::Offset;
use smol_str::SmolStr;

/// When something was recorded, as the device wrote it: an instant and the offset it was written with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Recorded {
    instant: Timestamp,
    written: SmolStr,
}

impl Recorded {
    /// From RFC 3339 text with an offset; `None` for anything else. A leap second, which only the last minute of a day
    /// of UTC can have, counts as the second before it.
    #[must_use]
    pub fn parse(written: &str) -> Option<Self> {
        Self::kept(written).filter(|recorded| !recorded.never_was())
    }

    /// The same of a drop that was accepted before: an early release took a leap second in any minute, and it counts as the
    /// second before it there too.
    #[must_use]
    pub(super) fn kept(written: &str) -> Option<Self> {
        let has_time = matches!(written.as_bytes().get(10), Some(b'T' | b't' | b' '));
        let instant = written.parse::<Timestamp>().ok()?;
        has_time.then(|| Self { instant, written: written.into() })
    }

    /// A leap second where there can be none.
    #[must_use]
    pub fn never_was(&self) -> bool {
        let is_leap = self.written.as_bytes().get(17..19) == Some(b"60");
        is_leap && self.instant.as_second().rem_euclid(86_400) != 86_399
    }

    /// The instant.
    #[must_use]
    pub const fn instant(&self) -> Timestamp {
        self.instant
    }

    /// How far the device's clock was from UTC.
    #[must_use]
    pub fn offset(&self) -> Offset {
        let pieces = Pieces::parse(&self.written).ok();
        pieces.and_then(|pieces| pieces.to_numeric_offset()).unwrap_or(Offset::UTC)
    }

    /// As it was written.
    #[must_use]
    pub fn written(&self) -> &str {
        &self.written
    }

    /// Date and minute as the device wrote them, for people.
    #[must_use]
    pub fn short(&self) -> String {
        let minute = self.written.get(..16).unwrap_or(&self.written);
        minute.replace(['T', 't'], " ")
    }
}

/// Who says this, when, with what. The kind and the job stand in [`super::Fact`].
#[derive(Clone, Debug)]
pub struct Head {
    /// The job number as it was written; empty for the shop.
    pub job_written: SmolStr,
    /// Initials or name, as written.
    pub who: SmolStr,
    /// When it was recorded.
    pub recorded: Recorded,
    /// The device, as it calls itself; may be empty.
    pub device: SmolStr,
}
