//! The name of a drop: SHA-256 of its bytes, or of its decoded content.

use sha2::{Digest as _, Sha256};
use std::fmt;

/// SHA-256, 32 bytes (FIPS 180-4). Ordered, so that ties in recorded time have one answer.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Digest([u8; 32]);

impl Digest {
    /// The digest of these bytes.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// The digest of several pieces, each preceded by its length so that pieces cannot run together.
    #[must_use]
    pub fn of_pieces(pieces: &[&[u8]]) -> Self {
        let mut hasher = Sha256::new();
        for piece in pieces {
            hasher.update((piece.len() as u64).to_be_bytes());
            hasher.update(piece);
        }
        Self(hasher.finalize().into())
    }

    /// From 32 stored bytes; `None` for any other length.
    #[must_use]
    pub fn from_bytes(bytes: &[u8]) -> Option<Self> {
        bytes.try_into().ok().map(Self)
    }

    /// From 64 hexadecimal digits, either case; `None` for anything else.
    #[must_use]
    pub fn from_hex(text: &str) -> Option<Self> {
        if text.len() != 64 || !text.is_ascii() {
            return None;
        }
        let mut bytes = [0_u8; 32];
        for (byte, pair) in bytes.iter_mut().zip(text.as_bytes().chunks(2)) {
            let pair = std::str::from_utf8(pair).ok()?;
            if !pair.bytes().all(|b| b.is_ascii_hexdigit()) {
                return None;
            }
            *byte = u8::from_str_radix(pair, 16).ok()?;
        }
        Some(Self(bytes))
    }

    /// The 32 bytes.
    #[must_use]
    pub const fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// All 64 hexadecimal digits, lower case.
    #[must_use]
    pub fn hex(&self) -> String {
        let digits =
            |byte: &u8| [byte >> 4, byte & 15].map(|four| char::from_digit(four.into(), 16).unwrap_or('0'));
        let mut text = String::with_capacity(64);
        text.extend(self.0.iter().flat_map(digits));
        text
    }

    /// The first ten hexadecimal digits (40 bits), as shown on pages and typed by people.
    #[must_use]
    pub fn short(&self) -> String {
        let mut text = self.hex();
        text.truncate(10);
        text
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.short())
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.hex())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4 example vector for "abc" (NIST, from memory of the published example).
    #[test]
    fn matches_the_published_vector() {
        assert_eq!(
            Digest::of(b"abc").hex(),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }

    #[test]
    fn hex_round_trips_and_refuses_junk() {
        let digest = Digest::of(b"x");
        assert_eq!(Digest::from_hex(&digest.hex().to_uppercase()), Some(digest));
        assert_eq!(Digest::from_hex(&"+1".repeat(32)), None);
        assert_eq!(Digest::from_hex("12"), None);
    }
}
