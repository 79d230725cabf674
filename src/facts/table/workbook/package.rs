//! The packed file that a spreadsheet is: whole or not, of which kind, and no larger inside than a drop can be.

use super::unreadable;
use crate::facts::json::Unreadable;
use std::io::{Cursor, Read as _};
use zip::ZipArchive;

/// What all packed files may come to, in bytes. A workbook of 2,000 readings has a few hundred thousand.
const MOST_UNPACKED: u64 = 16 << 20;

/// Packed files in one; a workbook has some twenty.
const MOST_FILES: usize = 1_000;

/// What opens every packed file, what closes it, and what an old or a locked spreadsheet begins with (ZIP application note
/// 4.3.7 and 4.3.16; Compound File Binary 2.2).
const OPENS: &[u8] = b"PK\x03\x04";
const CLOSES: &[u8] = b"PK\x05\x06";
const COMPOUND: &[u8] = &[0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1];

/// The longest that can stand behind the closing mark: its own record and a remark.
const LONGEST_END: usize = 22 + 0xFFFF;

/// A spreadsheet of one of the two kinds.
pub(super) enum Package {
    /// Office Open XML.
    Office,
    /// Open Document, with its content.
    OpenDocument(Vec<u8>),
}

pub(super) fn is_one(bytes: &[u8]) -> bool {
    bytes.starts_with(OPENS) || bytes.starts_with(COMPOUND)
}

/// Which kind it is, after every file inside was unpacked once to see that it can be and is not too large: what a file says of
/// its own size is not believed.
pub(super) fn open(bytes: &[u8]) -> Result<Package, Unreadable> {
    if bytes.starts_with(COMPOUND) {
        return Err(unreadable("it is an old spreadsheet (.xls), or locked with a password"));
    }
    let tail = bytes.get(bytes.len().saturating_sub(LONGEST_END)..).unwrap_or(bytes);
    if !tail.windows(CLOSES.len()).any(|four| four == CLOSES) {
        return Err(Unreadable::CutShort);
    }
    let broken = |error: &dyn std::fmt::Display| unreadable(format!("it cannot be unpacked: {error}"));
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|error| broken(&error))?;
    if archive.len() > MOST_FILES {
        return Err(unreadable("more files are packed in it than a spreadsheet has"));
    }
    let (mut left, mut content, mut is_office) = (MOST_UNPACKED, None, false);
    for index in 0..archive.len() {
        let file = archive.by_index(index).map_err(|error| broken(&error))?;
        let name = file.name().map(std::borrow::Cow::into_owned).unwrap_or_default();
        let mut unpacked = Vec::new();
        let read = file.take(left + 1).read_to_end(&mut unpacked).map_err(|error| broken(&error))?;
        left =
            left.checked_sub(read as u64).ok_or_else(|| unreadable("unpacked it is larger than 16 MiB"))?;
        is_office |= name == "xl/workbook.xml";
        if name == "content.xml" {
            content = Some(unpacked);
        }
    }
    match content {
        _ if is_office => Ok(Package::Office),
        Some(content) => Ok(Package::OpenDocument(content)),
        None => Err(unreadable("it is a packed file, and no spreadsheet")),
    }
}
