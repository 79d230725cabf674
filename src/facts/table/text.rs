//! The text of a table: its encoding, its separator, and whether it is all there.

use crate::facts::json::Unreadable;

/// The text of a table with line ends made alike.
pub(super) struct Text {
    pub(super) text: String,
    /// What stands between cells.
    pub(super) separator: char,
}

const SEPARATORS: [char; 3] = [';', '\t', ','];

/// Keys that a table may begin with; a paper that stops inside one of them is not all there.
const FIRST_KEYS: [&str; 7] = ["last-row", "kind", "job", "who", "recorded", "version", "device"];

/// The bytes as the text of a table; `None` when they are no table.
pub(super) fn of(bytes: &[u8]) -> Option<Result<Text, Unreadable>> {
    // Nearly every drop is JSON; its first byte says so.
    let bare = bytes.strip_prefix(&[0xEF, 0xBB, 0xBF]).unwrap_or(bytes);
    if bare.iter().find(|b| !b.is_ascii_whitespace()).is_none_or(|b| matches!(b, b'{' | b'[')) {
        return None;
    }
    let (text, is_cut) = decoded(bare)?;
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    // Zeros at the end were reserved and not written yet; anywhere else they are no text.
    let is_cut = is_cut || text.ends_with('\0');
    let text = text.trim_end_matches('\0').to_owned();
    if text.contains('\0') {
        return None;
    }
    match begin(&text) {
        Begin::Table(separator) if !is_cut && is_ended(&text, separator) => {
            Some(Ok(Text { text, separator }))
        }
        Begin::Table(_) | Begin::Cut => Some(Err(Unreadable::CutShort)),
        Begin::Other => None,
    }
}

/// UTF-16 by its mark, UTF-8, else the one-byte code of Western spreadsheets; true when a character is cut.
fn decoded(bytes: &[u8]) -> Option<(String, bool)> {
    let units = |to: fn([u8; 2]) -> u16| {
        let rest = bytes.get(2..).unwrap_or_default();
        let (pairs, odd) = rest.as_chunks::<2>();
        let units: Vec<u16> = pairs.iter().map(|pair| to(*pair)).collect();
        Some((String::from_utf16_lossy(&units), !odd.is_empty()))
    };
    if bytes.starts_with(&[0xFF, 0xFE]) {
        return units(u16::from_le_bytes);
    }
    if bytes.starts_with(&[0xFE, 0xFF]) {
        return units(u16::from_be_bytes);
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => Some((text.to_owned(), false)),
        Err(_) => Some((bytes.iter().map(|byte| western(*byte)).collect(), false)),
    }
}

/// Windows code page 1252, which contains Latin-1; its five unused bytes stand for themselves, as in the WHATWG
/// encoding standard.
fn western(byte: u8) -> char {
    const HIGH: [char; 32] = [
        '\u{20ac}', '\u{81}', '\u{201a}', '\u{192}', '\u{201e}', '\u{2026}', '\u{2020}', '\u{2021}',
        '\u{2c6}', '\u{2030}', '\u{160}', '\u{2039}', '\u{152}', '\u{8d}', '\u{17d}', '\u{8f}', '\u{90}',
        '\u{2018}', '\u{2019}', '\u{201c}', '\u{201d}', '\u{2022}', '\u{2013}', '\u{2014}', '\u{2dc}',
        '\u{2122}', '\u{161}', '\u{203a}', '\u{153}', '\u{9d}', '\u{17e}', '\u{178}',
    ];
    let high = byte.checked_sub(0x80).and_then(|index| HIGH.get(usize::from(index)));
    high.copied().unwrap_or(char::from(byte))
}

enum Begin {
    /// A table with this separator.
    Table(char),
    /// The beginning of one.
    Cut,
    Other,
}

/// What the first row that is no remark begins with: a word, then a separator.
fn begin(text: &str) -> Begin {
    let mut remarked = false;
    let mut lines = text.split_inclusive('\n').peekable();
    while let Some(whole) = lines.next() {
        let line = whole.trim_end_matches('\n');
        if let Some(separator) = line.strip_prefix("sep=").and_then(|rest| rest.chars().next()) {
            return if SEPARATORS.contains(&separator) { Begin::Table(separator) } else { Begin::Other };
        }
        let bare = line.trim_start_matches('"');
        if bare.trim_matches(SEPARATORS).trim().is_empty() {
            continue;
        }
        if is_remark(bare) {
            remarked = true;
            continue;
        }
        let is_last = lines.peek().is_none() && !whole.ends_with('\n');
        return first_word(bare, is_last, remarked);
    }
    if remarked { Begin::Cut } else { Begin::Other }
}

fn first_word(line: &str, is_last: bool, remarked: bool) -> Begin {
    let Some((word, separator)) = line.find(SEPARATORS).and_then(|at| {
        let (word, rest) = line.split_at(at);
        Some((word, rest.chars().next()?))
    }) else {
        let word = line.trim_end_matches('"');
        let begins = FIRST_KEYS.iter().any(|key| key.starts_with(&word.trim().to_lowercase()));
        return if is_last && (begins || remarked) { Begin::Cut } else { Begin::Other };
    };
    let word = word.trim_end_matches('"').trim();
    let is_word = word.chars().next().is_some_and(char::is_alphabetic)
        && word.chars().all(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '.' | '_'));
    if is_word { Begin::Table(separator) } else { Begin::Other }
}

/// A row that begins with `#` and a space is for people.
pub(super) fn is_remark(line: &str) -> bool {
    line == "#" || line.starts_with("# ")
}

/// A table cut anywhere looks whole, so its last row ends in a line end or is the row `end`.
fn is_ended(text: &str, separator: char) -> bool {
    let last = text.rsplit('\n').next().unwrap_or(text);
    last.is_empty() || is_end(last.trim_end_matches(separator).trim_matches('"'))
}

/// The cell that closes a table.
pub(super) fn is_end(cell: &str) -> bool {
    cell.trim().eq_ignore_ascii_case("end")
}
