//! Strict JSON: what a drop may look like before anyone asks what it means.

use crate::facts::picture::{Media, media_of};
use serde::de::{DeserializeSeed, Error as _, MapAccess, SeqAccess, Visitor};
use serde_json::map::Entry;
use serde_json::{Map, Number, Value};
use std::cell::Cell;
use std::fmt;

/// Objects, arrays and values one drop may have; a full engine's readings need about 20,000.
const MOST_NODES: u32 = 200_000;

/// Why bytes are not JSON.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unreadable {
    /// Nothing, or only white space: not yet there.
    Empty,
    /// Ends before it is complete, or in zeros that were reserved and not yet written.
    CutShort,
    /// Breaks at this line and column.
    Broken {
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What is wrong there.
        why: String,
    },
    /// Written in UTF-16.
    Utf16,
    /// A picture, by its bytes.
    Picture(Media),
    /// A packed file that is no spreadsheet with one drop.
    Spreadsheet {
        /// Why not.
        why: String,
    },
    /// Not UTF-8 from this byte on.
    NotUtf8 {
        /// Offset of the first wrong byte.
        offset: usize,
    },
}

/// Parses strictly: UTF-8 (one byte-order mark allowed), no repeated key in an object, nothing after the
/// end, depth at most 128, a bounded number of nodes.
///
/// # Errors
/// [`Unreadable`] with the first break.
pub(super) fn parse(bytes: &[u8]) -> Result<Value, Unreadable> {
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        return Err(Unreadable::Utf16);
    }
    let bytes = bytes.strip_prefix(&[0xEF, 0xBB, 0xBF]).unwrap_or(bytes);
    if bytes.iter().all(|b| b.is_ascii_whitespace()) {
        return Err(Unreadable::Empty);
    }
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        // A cut inside a multi-byte character is a cut, not a wrong byte.
        Err(error) if error.error_len().is_none() => return Err(Unreadable::CutShort),
        Err(error) => {
            let offset = error.valid_up_to();
            return Err(media_of(bytes).map_or(Unreadable::NotUtf8 { offset }, Unreadable::Picture));
        }
    };
    let left = Cell::new(MOST_NODES);
    let mut parser = serde_json::Deserializer::from_str(text);
    let parsed = Node { left: &left }.deserialize(&mut parser).and_then(|value| parser.end().map(|()| value));
    parsed.map_err(|error| {
        if error.is_eof() || text.ends_with('\0') {
            Unreadable::CutShort
        } else {
            Unreadable::Broken { line: error.line(), column: error.column(), why: bare(&error) }
        }
    })
}

/// serde_json puts " at line 1 column 2" behind its message; line and column are printed apart.
fn bare(error: &serde_json::Error) -> String {
    let text = error.to_string();
    text.split(" at line ").next().unwrap_or(&text).chars().take(120).collect()
}

struct Node<'a> {
    left: &'a Cell<u32>,
}

impl<'de> DeserializeSeed<'de> for Node<'_> {
    type Value = Value;
    fn deserialize<D: serde::Deserializer<'de>>(self, deserializer: D) -> Result<Value, D::Error> {
        let left =
            self.left.get().checked_sub(1).ok_or_else(|| D::Error::custom("too many values in one drop"))?;
        self.left.set(left);
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Node<'_> {
    type Value = Value;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("JSON")
    }
    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }
    fn visit_bool<E>(self, value: bool) -> Result<Value, E> {
        Ok(Value::Bool(value))
    }
    fn visit_i64<E>(self, value: i64) -> Result<Value, E> {
        Ok(Value::Number(value.into()))
    }
    fn visit_u64<E>(self, value: u64) -> Result<Value, E> {
        Ok(Value::Number(value.into()))
    }
    fn visit_f64<E: serde::de::Error>(self, value: f64) -> Result<Value, E> {
        Number::from_f64(value).map(Value::Number).ok_or_else(|| E::custom("a number out of range"))
    }
    fn visit_str<E>(self, value: &str) -> Result<Value, E> {
        Ok(Value::String(value.to_owned()))
    }
    fn visit_string<E>(self, value: String) -> Result<Value, E> {
        Ok(Value::String(value))
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Value, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element_seed(Node { left: self.left })? {
            list.push(item);
        }
        Ok(Value::Array(list))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Value, A::Error> {
        let mut object = Map::new();
        while let Some(key) = entries.next_key::<String>()? {
            match object.entry(key) {
                Entry::Vacant(place) => {
                    place.insert(entries.next_value_seed(Node { left: self.left })?);
                }
                Entry::Occupied(first) => {
                    let key = first.key();
                    return Err(A::Error::custom(format!("the key {key:?} stands twice in one object")));
                }
            }
        }
        Ok(Value::Object(object))
    }
}

/// Writes a value so that equal content gives equal bytes: keys sorted, no spaces, numbers by their shortest
/// decimal form, whole numbers without a fraction.
pub(super) fn canonical(value: &Value, out: &mut Vec<u8>) {
    match value {
        Value::Null => out.extend_from_slice(b"null"),
        Value::Bool(value) => out.extend_from_slice(if *value { b"true" } else { b"false" }),
        Value::Number(number) => out.extend_from_slice(number_digits(number).as_bytes()),
        // Writing to a vector cannot fail.
        Value::String(text) => serde_json::to_writer(&mut *out, text).unwrap_or_default(),
        Value::Array(items) => {
            out.push(b'[');
            for (index, item) in items.iter().enumerate() {
                if index > 0 {
                    out.push(b',');
                }
                canonical(item, out);
            }
            out.push(b']');
        }
        Value::Object(entries) => {
            let mut keys: Vec<&String> = entries.keys().collect();
            keys.sort_unstable();
            out.push(b'{');
            for (index, key) in keys.into_iter().enumerate() {
                if index > 0 {
                    out.push(b',');
                }
                serde_json::to_writer(&mut *out, key).unwrap_or_default();
                out.push(b':');
                canonical(entries.get(key).unwrap_or(&Value::Null), out);
            }
            out.push(b'}');
        }
    }
}

/// The shortest decimal form of a JSON number, without an exponent; `-0` and `3.0` lose what says nothing.
pub(super) fn number_digits(number: &Number) -> String {
    // A double prints by its shortest digits and never with an exponent: 0.00005, not 5e-5.
    let double = number.as_f64().filter(|_| number.is_f64());
    let text = double.map_or_else(|| number.to_string(), |value| value.to_string());
    if text == "-0" { "0".to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// JSONTestSuite: what must be refused is, and what must be taken is.
    #[test]
    fn decided_cases_of_the_json_suite() {
        for good in ["[0e+1]", "[-0]", "42", "[\"\\u0000\"]", "[\"\\uD834\\uDd1e\"]"] {
            assert!(parse(good.as_bytes()).is_ok(), "{good}");
        }
        for bad in [
            "[-01]",
            "[.2e-3]",
            "[NaN]",
            "[+1]",
            "[2.e3]",
            "[\"\",]",
            "{\"id\":0,}",
            "{'a':0}",
            "[\"\t\"]",
            "{\"a\":\"b\"}#{}",
            "{a: \"b\"}",
        ] {
            assert!(matches!(parse(bad.as_bytes()), Err(Unreadable::Broken { .. })), "{bad}");
        }
        let deep = "[".repeat(100_000);
        assert!(parse(deep.as_bytes()).is_err());
    }

    /// Valid JSON, but never a drop: which of the two would count?
    #[test]
    fn repeated_keys_are_refused_even_escaped() {
        for text in ["{\"a\":1,\"a\":2}", "{\"a\":1,\"\\u0061\":2}", "[{\"x\":{\"b\":1,\"b\":1}}]"] {
            let Err(Unreadable::Broken { why, .. }) = parse(text.as_bytes()) else { panic!("{text}") };
            assert!(why.contains("twice"), "{why}");
        }
    }

    #[test]
    fn every_cut_of_a_drop_is_cut_short() {
        let whole = "{\"kind\":\"gauge\",\"who\":\"J\u{fc}rg\",\"n\":[1,true,null,-2.50]}";
        for cut in 1..whole.len() {
            let got = parse(&whole.as_bytes()[..cut]);
            assert_eq!(got, Err(Unreadable::CutShort), "cut at {cut}");
        }
        let mut reserved = whole.as_bytes()[..20].to_vec();
        reserved.resize(64, 0);
        assert_eq!(parse(&reserved), Err(Unreadable::CutShort));
        assert_eq!(parse(b" \n"), Err(Unreadable::Empty));
    }

    #[test]
    fn encodings_are_named() {
        assert_eq!(parse(&[0xFF, 0xFE, b'{', 0]), Err(Unreadable::Utf16));
        assert_eq!(parse(b"{\"a\":\"\xFF\"}"), Err(Unreadable::NotUtf8 { offset: 6 }));
        assert!(parse(b"\xEF\xBB\xBF{}").is_ok());
    }

    #[test]
    fn canonical_form_ignores_spacing_and_order() {
        let form = |text: &str| {
            let mut out = Vec::new();
            canonical(&parse(text.as_bytes()).expect("json"), &mut out);
            String::from_utf8(out).expect("utf-8")
        };
        assert_eq!(form("{ \"b\" : 2.50,\r\n \"a\":[1.0, -0] }"), "{\"a\":[1,0],\"b\":2.5}");
        assert_eq!(form("[5e-5, 0.000010, -0.0, 1e2]"), "[0.00005,0.00001,0,100]");
        assert_ne!(form("\"2.2488\""), form("\"2.24880\""), "written digits are kept");
    }
}
