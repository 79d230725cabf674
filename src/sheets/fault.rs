//! One fault of something a person wrote, worded for that person.

use std::fmt;

/// What is wrong, where, what was found, what was expected, and an example that passes.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    /// JSON path, line, or row; empty for the whole.
    pub at: String,
    /// What was found there, shortened.
    pub found: String,
    /// What was expected instead.
    pub expected: String,
    /// Something that would pass; empty where none helps.
    pub example: String,
}

/// Every fault that was found; never empty when used as an error.
pub type Faults = Vec<Fault>;

impl Fault {
    /// A fault without an example.
    #[must_use]
    pub fn new(at: impl Into<String>, found: impl Into<String>, expected: impl Into<String>) -> Self {
        Self {
            at: at.into(),
            found: shortened(&found.into()),
            expected: expected.into(),
            example: String::new(),
        }
    }

    /// The same with an example that passes.
    #[must_use]
    pub fn with_example(mut self, example: impl Into<String>) -> Self {
        self.example = example.into();
        self
    }
}

/// At most 80 characters of a stranger's text, without control characters.
fn shortened(text: &str) -> String {
    const MOST: usize = 80;
    let clean: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).take(MOST).collect();
    if text.chars().count() > MOST { clean + "..." } else { clean }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.at.is_empty() {
            write!(f, "{}: ", self.at)?;
        }
        write!(f, "found {}; expected {}", self.found, self.expected)?;
        if !self.example.is_empty() {
            write!(f, "; for example {}", self.example)?;
        }
        Ok(())
    }
}
