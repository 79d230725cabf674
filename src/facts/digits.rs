//! Digits as they were written.

use serde::de::Error as _;
use serde::{Deserialize, Deserializer};
use serde_json::Value;
use smol_str::SmolStr;

/// A decimal number as it was written: a JSON string keeps its trailing zeros, a JSON number is taken by its
/// shortest decimal form. Not yet known to be a length.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Digits(pub SmolStr);

impl<'de> Deserialize<'de> for Digits {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        match Value::deserialize(deserializer)? {
            Value::String(text) => Ok(Self(text.into())),
            Value::Number(number) => Ok(Self(super::json::number_digits(&number).into())),
            Value::Null | Value::Bool(_) | Value::Array(_) | Value::Object(_) => {
                Err(D::Error::custom("digits are a text or a number"))
            }
        }
    }
}

impl std::fmt::Display for Digits {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}
