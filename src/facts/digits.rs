//! Digits as they were written.

use serde::{Deserialize, Deserializer};

/// A decimal number as it was written: a JSON string keeps its trailing zeros, a JSON number is taken by its
/// shortest decimal form. Not yet known to be a length.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Digits(pub String);

impl<'de> Deserialize<'de> for Digits {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        #[derive(Deserialize)]
        #[serde(untagged)]
        enum Either {
            Text(String),
            Number(serde_json::Number),
        }
        Ok(match Either::deserialize(deserializer)? {
            Either::Text(text) => Self(text),
            Either::Number(number) => Self(super::json::number_digits(&number)),
        })
    }
}

impl std::fmt::Display for Digits {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}
