//! Names: which are never input, which tell of a conflict, and how a name is shown to people or used in a path.

use std::ffi::OsStr;
use std::os::unix::ffi::OsStrExt as _;

/// Endings of downloads and copies still under way; what they belong to has the same name without them.
const PARTIAL: [&str; 9] =
    [".crdownload", ".part", ".partial", ".download", ".opdownload", ".filepart", ".aria2", ".!ut", ".!sync"];

/// Endings of what a program has not finished; nothing says what it belongs to.
const UNFINISHED: [&str; 2] = [".tmp", ".temp"];

/// Both, in words.
const UNDER_WAY: &str = "a download or copy under way";

/// Endings that editors and operating systems leave behind.
const LEFT_BEHIND: [&str; 5] = ["~", ".swp", ".swx", ".bak", ".lock"];

/// Names that operating systems put into any folder.
const HOUSEKEEPING: [&str; 4] = ["thumbs.db", "desktop.ini", "$recycle.bin", "system volume information"];

/// At most so many characters of a name are shown.
const SHOWN: usize = 120;

/// At most so many bytes of a name go into a path.
const SAFE: usize = 80;

/// Why a name is never input, whatever its file holds; `None` for a name that may be. Case does not count.
pub(super) fn why_never_input(name: &OsStr) -> Option<&'static str> {
    let lower = name.as_bytes().to_ascii_lowercase();
    let ends = |endings: &[&str]| endings.iter().any(|ending| lower.ends_with(ending.as_bytes()));
    if lower.starts_with(b".") {
        Some("hidden")
    } else if lower.starts_with(b"~$") || lower.starts_with(b"~wrd") {
        Some("an office program's lock")
    } else if ends(&PARTIAL) || ends(&UNFINISHED) {
        Some(UNDER_WAY)
    } else if ends(&LEFT_BEHIND) {
        Some("a backup or lock that a program left")
    } else if HOUSEKEEPING.iter().any(|own| lower == own.as_bytes()) {
        Some("the operating system's own")
    } else {
        None
    }
}

/// True for what may be a paper that its sender never gave its own name.
pub(super) fn is_under_way(name: &OsStr) -> bool {
    why_never_input(name) == Some(UNDER_WAY)
}

/// True for the temporary name of a download or copy under way.
pub(super) fn is_partial(name: &OsStr) -> bool {
    let lower = name.as_bytes().to_ascii_lowercase();
    PARTIAL.iter().any(|ending| lower.ends_with(ending.as_bytes()))
}

/// The part of a name before its last dot; the whole name when there is none.
pub(super) fn stem(name: &OsStr) -> &[u8] {
    let bytes = name.as_bytes();
    let end = bytes.iter().rposition(|byte| *byte == b'.').unwrap_or(bytes.len());
    bytes.get(..end).unwrap_or(bytes)
}

/// True for a list in rows, which looks whole wherever it is cut.
pub(super) fn is_rows(name: &OsStr) -> bool {
    let lower = name.as_bytes().to_ascii_lowercase();
    [".csv", ".tsv", ".txt"].iter().any(|ending| lower.ends_with(ending.as_bytes()))
}

/// True for the names that sync tools and browsers give to a second version of one file.
pub(super) fn is_conflict_copy(name: &OsStr) -> bool {
    let lower = String::from_utf8_lossy(name.as_bytes()).to_ascii_lowercase();
    let stem = lower.rsplit_once('.').map_or(lower.as_str(), |(stem, _)| stem);
    let numbered = stem
        .strip_suffix(')')
        .and_then(|rest| rest.rsplit_once(" ("))
        .is_some_and(|(_, n)| (1..=3).contains(&n.len()) && n.bytes().all(|b| b.is_ascii_digit()));
    let second_desk = stem
        .rsplit_once("-desktop-")
        .is_some_and(|(_, id)| id.len() >= 4 && id.bytes().all(|b| b.is_ascii_alphanumeric()));
    lower.contains(".sync-conflict-") || lower.contains("conflicted copy") || numbered || second_desk
}

/// A name as people may see it: what is not text, controls a terminal or turns the direction of writing becomes
/// U+FFFD, and what is longer than 120 characters ends in an ellipsis.
#[must_use]
pub fn shown_name(name: &OsStr) -> String {
    let text = String::from_utf8_lossy(name.as_bytes());
    let clean = |c: char| if is_unshowable(c) { char::REPLACEMENT_CHARACTER } else { c };
    if text.chars().count() <= SHOWN {
        text.chars().map(clean).collect()
    } else {
        text.chars().map(clean).take(SHOWN - 1).chain(['\u{2026}']).collect()
    }
}

/// Control characters, line separators, and the invisible ones that hide or turn text.
fn is_unshowable(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{00ad}' | '\u{061c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}')
        || matches!(c, '\u{2060}'..='\u{206f}' | '\u{feff}')
}

/// A name fit for a path on any file system: ASCII letters, digits, `.`, `_` and `-`, at most 80 bytes, no dot in
/// front or behind, never empty. A short ending such as `.json` survives the cutting.
#[must_use]
pub fn safe_name(name: &str) -> String {
    let keep = |c: char| if c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '-') { c } else { '_' };
    let text: String = name.chars().map(keep).collect();
    let text = text.trim_matches('.');
    if text.is_empty() {
        return "paper".to_owned();
    }
    if text.len() <= SAFE {
        return text.to_owned();
    }
    let (stem, ending) = match text.rsplit_once('.') {
        Some((stem, ending)) if ending.len() <= 10 => (stem, format!(".{ending}")),
        Some(_) | None => (text, String::new()),
    };
    // All ASCII here, so every byte is a character.
    let cut: String = stem.chars().take(SAFE - ending.len()).collect();
    format!("{cut}{ending}").trim_end_matches('.').to_owned()
}

/// True for a part of a path that [`safe_name`] could have made.
pub(super) fn is_safe(part: &str) -> bool {
    let plain = |b: u8| b.is_ascii_alphanumeric() || matches!(b, b'.' | b'_' | b'-');
    !part.is_empty() && !part.starts_with('.') && part.bytes().all(plain)
}

/// A safe name with a number before its ending: `a.json` and 2 give `a-2.json`.
pub(super) fn numbered(name: &str, number: u32) -> String {
    match name.rsplit_once('.') {
        Some((stem, ending)) => format!("{stem}-{number}.{ending}"),
        None => format!("{name}-{number}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn junk_is_never_input_and_conflict_copies_are() {
        for junk in [
            ".DS_Store",
            "._a.json",
            ".~lock.a.csv#",
            ".a.json.Xy12Z3",
            "~$sheet.xlsx",
            "~WRD0001.json",
            "a.json~",
            "Thumbs.db",
            "DESKTOP.INI",
            "$RECYCLE.BIN",
            "a.json.crdownload",
            "a.PART",
            "a.json.tmp",
            "~x.tmp",
            "a.bak",
        ] {
            assert!(why_never_input(OsStr::new(junk)).is_some(), "{junk}");
        }
        for data in [
            "a.sync-conflict-20261125-101500-ABCDEFG.json",
            "a (bench's conflicted copy 2026-11-25).json",
            "a (1).json",
            "a-DESKTOP-4F2K9.json",
        ] {
            assert_eq!(why_never_input(OsStr::new(data)), None, "{data}");
            assert!(is_conflict_copy(OsStr::new(data)), "{data}");
        }
        for plain in
            ["a.json", "partition.json", "bore (cyl 3).json", "a (2026).json", "a-desktop-x.json", "("]
        {
            assert_eq!(why_never_input(OsStr::new(plain)), None, "{plain}");
            assert!(!is_conflict_copy(OsStr::new(plain)), "{plain}");
        }
    }

    #[test]
    fn shown_names_stay_on_their_line() {
        assert_eq!(shown_name(OsStr::new("a\nb\x1b[31m\u{202e}c")), "a\u{fffd}b\u{fffd}[31m\u{fffd}c");
        assert_eq!(shown_name(OsStr::from_bytes(b"z\xff.json")), "z\u{fffd}.json");
        assert_eq!(shown_name(OsStr::new(&"x".repeat(255))).chars().count(), 120);
    }

    #[test]
    fn safe_names() {
        for (name, safe) in [
            ("..", "paper"),
            ("", "paper"),
            (".hidden", "hidden"),
            ("a b/c.json", "a_b_c.json"),
            ("é.csv", "_.csv"),
            ("x.", "x"),
        ] {
            assert_eq!(safe_name(name), safe);
        }
        assert!(safe_name(&format!("{}.json", "y".repeat(250))).ends_with("y.json"));
        assert_eq!(numbered("a.json", 2), "a-2.json");
        assert_eq!(numbered("a", 3), "a-3");
    }

    proptest! {
        #[test]
        fn any_name_becomes_safe_and_showable(bytes in proptest::collection::vec(any::<u8>(), 0..256)) {
            let name = OsStr::from_bytes(&bytes);
            let shown = shown_name(name);
            prop_assert!(shown.chars().count() <= 120 && !shown.chars().any(char::is_control));
            let safe = safe_name(&shown);
            prop_assert!((1..=80).contains(&safe.len()) && !safe.starts_with('.') && !safe.ends_with('.'));
            prop_assert!(safe.bytes().all(|b| b.is_ascii_alphanumeric() || b"._-".contains(&b)));
        }
    }
}
