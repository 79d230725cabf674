//! `check-in`: an engine was received, and what its owner wants.

use crate::sheets::same_name;
use serde::Deserialize;

/// An engine was received.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct CheckIn {
    /// Key of the sheet.
    pub sheet: String,
    /// Whose engine it is.
    pub customer: Customer,
    /// Which engine it is.
    pub engine: Engine,
    /// What came: scopes of the sheet.
    pub scope: Vec<String>,
    /// The complaint in the customer's words.
    #[serde(default)]
    pub complaint: String,
    /// What is missing or broken on arrival.
    #[serde(default)]
    pub remarks: String,
    /// What the customer wants.
    #[serde(default)]
    pub wishes: Wishes,
    /// Who may approve money.
    #[serde(default)]
    pub approver: String,
    /// Hours or miles, as told.
    #[serde(default)]
    pub hours: String,
    /// It can be turned by hand.
    #[serde(default = "turns")]
    pub turns: bool,
    /// What is missing or broken on arrival.
    #[serde(default)]
    pub missing: Vec<String>,
    /// Fluids still in it.
    #[serde(default)]
    pub fluids: String,
    /// Where it stands.
    #[serde(default)]
    pub place: String,
    /// Names of pictures.
    #[serde(default)]
    pub pictures: Vec<String>,
    /// Promised date, as written.
    #[serde(default)]
    pub promised: Option<String>,
}

impl CheckIn {
    /// Who may approve money: the customer where nobody else is named.
    #[must_use]
    pub fn may_approve(&self) -> &str {
        if self.approver.is_empty() { &self.customer.name } else { &self.approver }
    }

    /// Is this who is named to approve? What stands behind the name there says who they are.
    #[must_use]
    pub fn is_approver(&self, by: &str) -> bool {
        let name =
            |written: &str| written.split([',', '(', ';']).next().unwrap_or_default().trim().to_owned();
        let named = self.may_approve();
        // What stands behind the name may be left out by one of the two; where both have it, it tells them apart.
        let without = |cut: &str, whole: &str| !name(cut).is_empty() && same_name(&name(cut), whole);
        same_name(named, by) || without(named, by) || without(by, named)
    }
}

/// An engine turns unless somebody says it does not.
const fn turns() -> bool {
    true
}

/// Whose engine it is.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Customer {
    /// Name.
    pub name: String,
    /// Telephone, mail, or where to find them.
    #[serde(default)]
    pub reach: String,
}

/// Which engine it is.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Engine {
    /// Serial number.
    #[serde(default)]
    pub serial: String,
    /// Casting numbers.
    #[serde(default)]
    pub castings: Vec<String>,
}

/// What the customer wants.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Wishes {
    /// Keep the standard bore if it can be kept.
    #[serde(default)]
    pub keep_standard_bore: bool,
    /// `least metal`, `least cost` or `soonest`.
    #[serde(default)]
    pub aim: Option<String>,
    /// The most it may cost, as written.
    #[serde(default)]
    pub ceiling: Option<String>,
}
