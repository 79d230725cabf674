//! What may happen to bytes, from one seed: the same seed spoils in the same way.

use super::chance::Chance;

/// Chance in sizes.
pub(super) struct Dice(pub(super) Chance);

/// What readers trip over.
const WORDS: [&[u8]; 44] = [
    b"\0",
    b"\xff\xfe",
    b"\xef\xbb\xbf",
    b"\xed\xa0\x80",
    b"\xf4\x90\x80\x80",
    b"\xc0\xaf",
    b"\r",
    b"\r\n",
    b"\n\n",
    b"\"",
    b"\"\"",
    b";",
    b"\t",
    b",",
    b"{",
    b"}",
    b"[",
    b"]",
    b":",
    b"\\",
    b"\\u0000",
    b"\\ud800",
    "\u{202e}".as_bytes(),
    "\u{200b}".as_bytes(),
    "\u{2028}".as_bytes(),
    "e\u{301}".as_bytes(),
    "\u{ff12}".as_bytes(),
    b"null",
    b"true",
    b"-0",
    b"1e308",
    b"1e400",
    b"1e-400",
    b"9223372036854775808",
    b"99999999999999999999999999",
    b"0.0000000000000000000000001",
    b"4294967296",
    b"-9999-01-01T00:00:00Z",
    b"9999-12-31T23:59:59Z",
    b"2016-12-31T23:59:60Z",
    b"../../",
    b"<script>",
    b"all",
    b"=1+1",
];

impl Dice {
    pub(super) fn below(&mut self, bound: usize) -> usize {
        let bound = u64::try_from(bound.max(1)).unwrap();
        usize::try_from(self.0.between(0, bound)).unwrap()
    }

    fn span(&mut self, len: usize, most: usize) -> std::ops::Range<usize> {
        let from = self.below(len + 1);
        from..(from + self.below(most)).min(len)
    }
}

/// Up to four accidents. `tokens` are pieces of other papers of the corpus, `other` is one of them whole.
pub(super) fn spoil(bytes: &mut Vec<u8>, dice: &mut Dice, other: &[u8], tokens: &[Vec<u8>]) {
    // Every third is spoilt gently, so that more of them are taken and go on to the pages.
    if dice.below(3) == 0 {
        if dice.below(2) == 0 {
            swap_token(bytes, dice, tokens)
        } else {
            swap_number(bytes, dice)
        }
        return;
    }
    for _ in 0..=dice.below(4) {
        accident(bytes, dice, other, tokens);
    }
}

fn accident(bytes: &mut Vec<u8>, dice: &mut Dice, other: &[u8], tokens: &[Vec<u8>]) {
    let at = dice.below(bytes.len() + 1);
    match dice.below(13) {
        0 => {
            if let Some(byte) = bytes.get_mut(at) {
                *byte ^= 1 << dice.below(8);
            }
        }
        1 => bytes.truncate(at),
        2 => drop(bytes.drain(dice.span(bytes.len(), 200))),
        3 => {
            let chunk = bytes[dice.span(bytes.len(), 200)].to_vec();
            bytes.splice(at..at, chunk.repeat(1 + dice.below(8)));
        }
        4 => {
            let chunk = other[dice.span(other.len(), 400)].to_vec();
            bytes.splice(at..at, chunk);
        }
        5 => bytes[dice.span(at, 64)].fill(0),
        6 => {
            let deep = 1 + dice.below(300);
            bytes.splice(at..at, [b"[", &b"{\"a\":"[..]][dice.below(2)].repeat(deep));
        }
        7 => {
            bytes.splice(at..at, WORDS[dice.below(WORDS.len())].iter().copied());
        }
        8 => {
            let digits: Vec<u8> =
                (0..dice.below(400)).map(|_| b'0' + u8::try_from(dice.below(10)).unwrap()).collect();
            bytes.splice(at..at, digits);
        }
        // A whole value, a whole line: what is left still parses more often.
        9 | 10 => swap_token(bytes, dice, tokens),
        11 => swap_number(bytes, dice),
        _ => {
            let lines: Vec<&[u8]> = bytes.split_inclusive(|byte| *byte == b'\n').collect();
            let line = lines[dice.below(lines.len().max(1)).min(lines.len().saturating_sub(1))..].first();
            let line = line.copied().unwrap_or_default().repeat(1 + dice.below(3));
            bytes.splice(at..at, line);
        }
    }
}

/// Words and numbers, in quotes or without.
pub(super) fn tokens_of(bytes: &[u8]) -> Vec<std::ops::Range<usize>> {
    let is_inside = |byte: u8| byte.is_ascii_alphanumeric() || b"-.+ /_".contains(&byte) || byte >= 0x80;
    let mut tokens = Vec::new();
    let mut from = None;
    for (at, byte) in bytes.iter().chain(b"\0").enumerate() {
        match (is_inside(*byte), from) {
            (true, None) => from = Some(at),
            (false, Some(begin)) => {
                tokens.push(begin..at);
                from = None;
            }
            (true, Some(_)) | (false, None) => {}
        }
    }
    tokens.retain(|range| bytes[range.clone()].iter().any(|byte| *byte != b' '));
    tokens
}

fn swap_token(bytes: &mut Vec<u8>, dice: &mut Dice, tokens: &[Vec<u8>]) {
    let own = tokens_of(bytes);
    if !own.is_empty() && !tokens.is_empty() {
        let with = tokens[dice.below(tokens.len())].clone();
        bytes.splice(own[dice.below(own.len())].clone(), with);
    }
}

/// One digit of a number becomes another: what is read stays plausible.
fn swap_number(bytes: &mut [u8], dice: &mut Dice) {
    let digits: Vec<usize> = (0..bytes.len()).filter(|at| bytes[*at].is_ascii_digit()).collect();
    if !digits.is_empty() {
        bytes[digits[dice.below(digits.len())]] = b'0' + u8::try_from(dice.below(10)).unwrap();
    }
}
