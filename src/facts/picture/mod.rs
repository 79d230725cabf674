//! Pictures that are embedded in a drop: told by their bytes, kept as they are, named by their hash.
//!
//! `header` tells the kind of a picture and how large it is, by its first bytes within limits; nobody here decodes one, or
//! makes it smaller. What it is called decides nothing: where the name says another kind than the bytes, the slip says so.
//!
//! The bytes stay in the drop, and so in the ledger; whoever shows a picture takes them from there by its hash.

mod header;

pub use header::{Media, media_of, size_of};

use crate::facts::Digest;
use crate::sheets::{Fault, Faults};
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use serde_json::Value;

/// More bytes than this nobody embeds: a drop has 1 MiB, and base 64 needs a third more.
pub const MOST_BYTES: usize = 700 * 1024;
/// The longest side, in pixels.
const LONGEST_SIDE: u32 = 16_384;
/// The most pixels: what a tablet can still show.
const MOST_PIXELS: u64 = 50_000_000;

/// A picture that was embedded. Its bytes stay in the drop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// The name it is called by.
    pub name: String,
    /// Of its bytes.
    pub hash: Digest,
    /// What its bytes are.
    pub media: Media,
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// How many bytes it has.
    pub bytes: usize,
}

impl Picture {
    /// The name of its file on the board: hash and ending.
    #[must_use]
    pub fn file(&self) -> String {
        format!("{}.{}", self.hash.hex(), self.media.endings().first().copied().unwrap_or_default())
    }

    /// `JPEG, 1600 x 1200, 312 KiB`.
    #[must_use]
    pub fn words(&self) -> String {
        let kib = self.bytes.div_ceil(1024);
        format!("{}, {} x {}, {kib} KiB", self.media.word(), self.width, self.height)
    }
}

/// Reads an embedded picture; what is wrong with it is said at `at`.
pub(super) fn read(name: &str, data: &str, at: &str, faults: &mut Faults) -> Option<Picture> {
    let mut fault = |key: &str, found: String, expected: String| {
        faults.push(Fault::new(format!("{at}/{key}"), found, expected));
        None
    };
    let Ok(bytes) = BASE64_STANDARD.decode(data) else {
        return fault(
            "data",
            "something else".to_owned(),
            "the picture's bytes in base 64, nothing between".to_owned(),
        );
    };
    if bytes.len() > MOST_BYTES {
        let expected = format!("at most {} KiB; make it smaller: the bench form does", MOST_BYTES / 1024);
        return fault("data", format!("{} KiB", bytes.len().div_ceil(1024)), expected);
    }
    let kept = "a JPEG, PNG or WebP picture";
    let media = match media_of(&bytes) {
        Some(media @ (Media::Jpeg | Media::Png | Media::Webp)) => media,
        Some(Media::Other(name)) => {
            return fault("data", format!("a {name} picture"), format!("{kept}: save it as one"));
        }
        None => return fault("data", "bytes that are no picture".to_owned(), kept.to_owned()),
    };
    if !is_called(name, media) {
        let endings = media.endings().join(" or .");
        let expected =
            format!("a name that ends in .{endings}: by its bytes it is a {} picture", media.word());
        return fault("name", name.to_owned(), expected);
    }
    let Some((width, height)) = size_of(media, &bytes) else {
        let expected = format!("a whole {} picture; was it copied to the end?", media.word());
        return fault("data", "a picture without its header".to_owned(), expected);
    };
    if width.max(height) > LONGEST_SIDE || u64::from(width) * u64::from(height) > MOST_PIXELS {
        let expected =
            format!("at most {LONGEST_SIDE} pixels a side and {} million in all", MOST_PIXELS / 1_000_000);
        return fault("data", format!("{width} x {height} pixels"), expected);
    }
    Some(Picture {
        name: name.to_owned(),
        hash: Digest::of(&bytes),
        media,
        width,
        height,
        bytes: bytes.len(),
    })
}

fn is_called(name: &str, media: Media) -> bool {
    let ending = name.rsplit_once('.').map(|(_, ending)| ending.to_ascii_lowercase());
    ending.is_some_and(|ending| media.endings().contains(&ending.as_str()))
}

/// The bytes of a picture in the document of the drop that holds it; `None` where it holds none of this hash.
#[must_use]
pub(super) fn bytes_in(document: &Value, hash: &Digest) -> Option<Vec<u8>> {
    let embedded = document.pointer("/body/embedded")?.as_array()?;
    let bytes = embedded.iter().filter_map(|one| BASE64_STANDARD.decode(one.get("data")?.as_str()?).ok());
    bytes.into_iter().find(|bytes| Digest::of(bytes) == *hash)
}

#[cfg(test)]
mod tests;
