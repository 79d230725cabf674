//! Which statements are void: a withdrawal that is not itself void names them.

use crate::facts::{Body, Digest, Fact, Withdrawal};
use crate::shop::held::{Held, HeldWhy};
use crate::shop::set::{FactSet, Named};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Statements that count, in recorded order, and withdrawals that wait for their target.
pub(super) struct Standing<'a> {
    pub(super) facts: Vec<&'a Arc<Fact>>,
    pub(super) void: BTreeSet<Digest>,
    pub(super) held: Vec<Held>,
}

pub(super) fn standing(set: &FactSet) -> Standing<'_> {
    let ordered = set.in_order();
    let mut held = Vec::new();
    // Target, and the withdrawals that name it.
    let mut named_by: BTreeMap<Digest, Vec<Digest>> = BTreeMap::new();
    for fact in &ordered {
        let Body::Withdrawal(Withdrawal { drop, .. }) = &fact.body else { continue };
        match resolve(set, drop) {
            Ok(target) => named_by.entry(target.id).or_default().push(fact.id),
            Err(why) => held.push(Held { fact: fact.id, kind: fact.body.kind(), part: String::new(), why }),
        }
    }
    let mut known = BTreeMap::new();
    for fact in &ordered {
        is_void(fact.id, &named_by, &mut known);
    }
    let void: BTreeSet<Digest> = known.into_iter().filter_map(|(id, void)| void.then_some(id)).collect();
    // A withdrawal that is itself void waits for nothing.
    held.retain(|held| !void.contains(&held.fact));
    let facts = ordered.into_iter().filter(|fact| !void.contains(&fact.id)).collect();
    Standing { facts, void, held }
}

/// The one statement a written digest names.
pub(super) fn resolve<'a>(set: &'a FactSet, written: &str) -> Result<&'a Arc<Fact>, HeldWhy> {
    match set.named(written) {
        Named::One(fact) => Ok(fact),
        Named::Nothing => Err(HeldWhy::NamesNothing(written.to_owned())),
        Named::Several => Err(HeldWhy::NamesSeveral(written.to_owned())),
    }
}

/// Void when any withdrawal that is not void names it. Withdrawals can only name each other in a circle by
/// forged short digests; entered again, one counts as standing, and since the walk starts in recorded order
/// the answer is the same for the same set. The walk keeps its own stack: a chain may be long.
fn is_void(start: Digest, named_by: &BTreeMap<Digest, Vec<Digest>>, known: &mut BTreeMap<Digest, bool>) {
    let mut open: Vec<Digest> = vec![start];
    let mut entered = BTreeSet::new();
    while let Some(&id) = open.last() {
        if known.contains_key(&id) {
            open.pop();
            continue;
        }
        let by = named_by.get(&id).map_or(&[][..], Vec::as_slice);
        entered.insert(id);
        let unknown = by.iter().find(|w| !known.contains_key(w) && !entered.contains(w));
        match unknown {
            Some(withdrawal) => open.push(*withdrawal),
            None => {
                let void = by.iter().any(|w| !known.get(w).copied().unwrap_or(false));
                known.insert(id, void);
                open.pop();
            }
        }
    }
}
