//! The form's script and its digest for the page's security policy: no other script runs on the page.

use crate::facts::Digest;

/// The script, as it stands on every form.
pub(super) const TEXT: &str = concat!(
    include_str!("form.js"),
    include_str!("pictures.js"),
    include_str!("start.js"),
    include_str!("labels.js"),
    include_str!("sending.js"),
    include_str!("keypad.js")
);

/// `sha256-...` as a content security policy names a script (W3C Content Security Policy Level 3).
pub(super) fn hash() -> String {
    format!("sha256-{}", base64(Digest::of(TEXT.as_bytes()).as_bytes()))
}

/// Base 64 with padding (RFC 4648).
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::new();
    for three in bytes.chunks(3) {
        let bits =
            three.iter().fold(0_u32, |bits, byte| bits << 8 | u32::from(*byte)) << (8 * (3 - three.len()));
        for place in 0..4 {
            let letter = LETTERS.get((bits >> (18 - 6 * place) & 63) as usize).copied().unwrap_or(b'=');
            out.push(if place <= three.len() { char::from(letter) } else { '=' });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4648, section 10.
    #[test]
    fn the_published_vectors() {
        let vectors = [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ];
        for (bytes, text) in vectors {
            assert_eq!(base64(bytes.as_bytes()), text);
        }
    }
}
