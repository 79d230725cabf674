//! What may be shown: pages, papers and pictures of the board, by names of known shape in known folders.

use crate::intake::BOARD;
use rustix::fs::{CWD, Mode, OFlags, openat};
use std::fs::File;
use std::io::{self, Read as _};
use std::path::Path;

/// Far more than a page is, in bytes.
const MOST: u64 = 16 << 20;

/// Folders of the board whose pages lie in them, and those with a folder a job.
const PAGES: [&str; 5] = ["jobs", "plans", "records", "customers", "labels"];
const BY_JOB: [&str; 2] = ["orders", "issued"];

/// Something on the board.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Shown<'p> {
    segments: Vec<&'p str>,
    /// Its media type.
    pub(super) media: &'static str,
}

impl<'p> Shown<'p> {
    /// What a path of a request means, as it was sent; `None` for anything that is no page, paper or picture of the board.
    pub(super) fn of(path: &'p str) -> Option<Self> {
        let segments: Vec<&str> = path.strip_prefix('/')?.split('/').collect();
        let plain = |b: u8| b.is_ascii_alphanumeric() || matches!(b, b'.' | b'_' | b'-');
        let is_name = |name: &&str| {
            !name.is_empty() && name.len() <= 120 && !name.starts_with('.') && name.bytes().all(plain)
        };
        if !segments.iter().all(is_name) {
            return None;
        }
        let (_, ending) = segments.last()?.rsplit_once('.')?;
        let is_page = ending == "html";
        let media = match ending {
            "html" => "text/html; charset=utf-8",
            "json" => "application/json",
            "jpg" => "image/jpeg",
            "png" => "image/png",
            "webp" => "image/webp",
            _ => return None,
        };
        let is_there = match segments.as_slice() {
            [_] => is_page,
            // What became of the drops of a form lies beside it.
            ["forms", _] => is_page || ending == "json",
            [folder, _] => is_page && PAGES.contains(folder),
            ["pictures", _, _] => media.starts_with("image/"),
            [folder, _, _] => is_page && BY_JOB.contains(folder),
            _ => false,
        };
        is_there.then_some(Self { segments, media })
    }

    /// Its bytes; `None` where it is not there, or is no plain file.
    ///
    /// # Errors
    /// The folder is away or cannot be read.
    pub(super) fn read(&self, watch_folder: &Path) -> io::Result<Option<Vec<u8>>> {
        let way = OFlags::RDONLY | OFlags::NOFOLLOW | OFlags::CLOEXEC | OFlags::NONBLOCK;
        let board = openat(CWD, watch_folder.join(BOARD), way | OFlags::DIRECTORY, Mode::empty())?;
        let mut at = board;
        let (name, folders) = match self.segments.split_last() {
            Some(split) => split,
            None => return Ok(None),
        };
        for folder in folders {
            match openat(&at, *folder, way | OFlags::DIRECTORY, Mode::empty()) {
                Ok(next) => at = next,
                Err(_) => return Ok(None),
            }
        }
        let Ok(file) = openat(&at, *name, way, Mode::empty()) else { return Ok(None) };
        let file = File::from(file);
        let found = file.metadata()?;
        if !found.is_file() || found.len() > MOST {
            return Ok(None);
        }
        let mut bytes = Vec::new();
        file.take(MOST).read_to_end(&mut bytes)?;
        Ok(Some(bytes))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_the_board_has() {
        for path in [
            "/board.html",
            "/jobs/main-24-17-5c89ed86.html",
            "/forms/check-in.html",
            "/orders/main-24-17-5c89ed86/W-31-1a2b.html",
            "/issued/main-24-17-5c89ed86/build-record-1.html",
            "/pictures/main-24-17-5c89ed86/0a1b.jpg",
            "/forms/main-24-17-5c89ed86.json",
        ] {
            assert!(Shown::of(path).is_some(), "{path}");
        }
        for path in [
            "",
            "/",
            "//board.html",
            "board.html",
            "/board",
            "/.benchdrop",
            "/../benchdrop.toml",
            "/jobs/../board.html",
            "/jobs/%2e%2e/board.html",
            "/jobs//a.html",
            "/jobs/.a.html",
            "/drop/a.json",
            "/filed/2026-01-01/a.html",
            "/pictures/x/a.html",
            "/jobs/x/a.html",
            "/issued/a.html",
            "/issued/x/a.jpg",
            "/jobs\\a.html",
            "/a.html/",
            "/a\0.html",
            "/jobs/a.json",
            "/a.json",
            "/pictures/x/a.json",
            "/orders/x/a.json",
            "/board.html?x",
            "/ledger/benchdrop.db",
            "/orders/x/y/z.html",
        ] {
            assert_eq!(Shown::of(path), None, "{path}");
        }
    }
}
