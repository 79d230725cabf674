//! `people`: who is who, what they answer for and where their letters go.

use serde::{Deserialize, Serialize};

/// Who is who.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct People {
    /// Revision, 1 and up.
    pub revision: u32,
    /// The people.
    pub people: Vec<Person>,
}

/// One person.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Person {
    /// Name.
    pub name: String,
    /// Initials, as used in drops.
    pub initials: String,
    /// What they answer for.
    pub roles: Vec<Role>,
    /// Where letters go; none for a person who gets none.
    #[serde(default)]
    pub mail: Option<String>,
}

/// What a person answers for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Money, customers, the last word.
    Owner,
    /// Teardown, measuring, assembly.
    Bench,
    /// Machine work.
    Machinist,
    /// Second pair of eyes.
    Checker,
    /// Ordering.
    Parts,
}

impl Role {
    /// Every role.
    pub const ALL: [Self; 5] = [Self::Owner, Self::Bench, Self::Machinist, Self::Checker, Self::Parts];
}
