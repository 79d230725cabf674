//! What bytes are by their first few: the kind of picture, and its size from its header. Nothing is decoded.
//!
//! PNG: ISO/IEC 15948, signature and IHDR. JPEG: ISO/IEC 10918-1, segments up to the first frame header. WebP: RFC 9649,
//! the first chunk. Others are told by their signatures only, so that a slip can name them.

/// A kind of file that pictures come in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Media {
    /// JPEG.
    Jpeg,
    /// PNG.
    Png,
    /// WebP.
    Webp,
    /// Known, and not kept: not every browser of a shop shows it.
    Other(&'static str),
}

impl Media {
    /// For people.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Jpeg => "JPEG",
            Self::Png => "PNG",
            Self::Webp => "WebP",
            Self::Other(name) => name,
        }
    }

    /// The endings of its file names; empty for what is not kept.
    #[must_use]
    pub const fn endings(self) -> &'static [&'static str] {
        match self {
            Self::Jpeg => &["jpg", "jpeg"],
            Self::Png => &["png"],
            Self::Webp => &["webp"],
            Self::Other(_) => &[],
        }
    }
}

/// What the bytes are; `None` for no picture.
#[must_use]
pub fn media_of(bytes: &[u8]) -> Option<Media> {
    let at = |from: usize, what: &[u8]| bytes.get(from..).is_some_and(|rest| rest.starts_with(what));
    let brand = |names: &[&[u8]]| at(4, b"ftyp") && names.iter().any(|name| at(8, name));
    if at(0, &[0xFF, 0xD8, 0xFF]) {
        Some(Media::Jpeg)
    } else if at(0, b"\x89PNG\r\n\x1a\n") {
        Some(Media::Png)
    } else if at(0, b"RIFF") && at(8, b"WEBP") {
        Some(Media::Webp)
    } else if at(0, b"GIF87a") || at(0, b"GIF89a") {
        Some(Media::Other("GIF"))
    } else if brand(&[b"heic", b"heix", b"mif1", b"msf1", b"hevc"]) {
        Some(Media::Other("HEIC"))
    } else if brand(&[b"avif", b"avis"]) {
        Some(Media::Other("AVIF"))
    } else if at(0, b"II*\0") || at(0, b"MM\0*") {
        Some(Media::Other("TIFF"))
    } else if at(0, b"BM") && at(6, &[0, 0, 0, 0]) {
        Some(Media::Other("BMP"))
    } else {
        None
    }
}

/// Width and height as the header says; `None` where there is no whole header of that kind.
#[must_use]
pub fn size_of(media: Media, bytes: &[u8]) -> Option<(u32, u32)> {
    let (width, height) = match media {
        Media::Png => png(bytes)?,
        Media::Jpeg => jpeg(bytes)?,
        Media::Webp => webp(bytes)?,
        Media::Other(_) => return None,
    };
    (width > 0 && height > 0).then_some((width, height))
}

fn array<const N: usize>(bytes: &[u8], at: usize) -> Option<[u8; N]> {
    bytes.get(at..at.checked_add(N)?)?.try_into().ok()
}

/// The header is the first chunk, 13 bytes long.
fn png(bytes: &[u8]) -> Option<(u32, u32)> {
    let is_header = array(bytes, 8) == Some([0, 0, 0, 13]) && array(bytes, 12) == Some(*b"IHDR");
    let number = |at| array(bytes, at).map(u32::from_be_bytes).filter(|number| *number <= 0x7FFF_FFFF);
    if is_header { Some((number(16)?, number(20)?)) } else { None }
}

/// Goes from segment to segment by their lengths until the first frame header.
fn jpeg(bytes: &[u8]) -> Option<(u32, u32)> {
    let mut at = 2;
    loop {
        let [mark, code] = array(bytes, at)?;
        if mark != 0xFF {
            return None;
        }
        match code {
            // A fill byte, and marks that stand alone.
            0xFF => at += 1,
            0x01 | 0xD0..=0xD7 => at += 2,
            // The picture itself, or its end, before any header.
            0xD8..=0xDA => return None,
            0xC0..=0xC3 | 0xC5..=0xC7 | 0xC9..=0xCB | 0xCD..=0xCF => {
                let height = array(bytes, at.checked_add(5)?).map(u16::from_be_bytes)?;
                let width = array(bytes, at.checked_add(7)?).map(u16::from_be_bytes)?;
                return Some((width.into(), height.into()));
            }
            _ => {
                let length = array(bytes, at.checked_add(2)?).map(u16::from_be_bytes)?;
                if length < 2 {
                    return None;
                }
                at = at.checked_add(2)?.checked_add(length.into())?;
            }
        }
    }
}

fn webp(bytes: &[u8]) -> Option<(u32, u32)> {
    let three = |at| array::<3>(bytes, at).map(|[a, b, c]| u32::from_le_bytes([a, b, c, 0]));
    match &array::<4>(bytes, 12)? {
        // A canvas of so much plus one.
        b"VP8X" => Some((three(24)? + 1, three(27)? + 1)),
        // A key frame: its start code, then twice 14 bits and a scale.
        b"VP8 " => {
            let side = |at| array(bytes, at).map(|pair| u32::from(u16::from_le_bytes(pair) & 0x3FFF));
            (array(bytes, 23) == Some([0x9D, 0x01, 0x2A])).then_some(())?;
            Some((side(26)?, side(28)?))
        }
        // A signature, then twice 14 bits less one.
        b"VP8L" => {
            let bits = array(bytes, 21).map(u32::from_le_bytes)?;
            (bytes.get(20) == Some(&0x2F)).then_some(((bits & 0x3FFF) + 1, ((bits >> 14) & 0x3FFF) + 1))
        }
        _ => None,
    }
}
