//! Who a written name is. A file proves no identity: a name is looked up among the people, and who bears it is told.

use crate::facts::{Person, Role};
use crate::sheets::same_name;
use crate::shop::Shop;

/// The person that a name or initials mean; `None` for a name that the people do not know.
#[must_use]
pub fn person<'s>(shop: &'s Shop, written: &str) -> Option<&'s Person> {
    let means = |p: &&Person| same_name(&p.name, written) || same_name(&p.initials, written);
    shop.people().iter().find(means)
}

/// Does the person of this name answer for this?
pub(super) fn has_role(shop: &Shop, written: &str, role: Role) -> bool {
    person(shop, written).is_some_and(|person| person.roles.contains(&role))
}
