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
        let bytes = written.as_bytes();
        let has_time = matches!(bytes.get(10), Some(b'T' | b't' | b' '));
        let instant = written.parse::<Timestamp>().ok()?;
        let is_leap = bytes.get(17..19) == Some(b"60");
        let could_be = !is_leap || instant.as_second().rem_euclid(86_400) == 86_399;
        (has_time && could_be).then(|| Self { instant, written: written.into() })
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
