//! What a check of the sheet looks over: the parts that were fitted and the bolts that were tightened for it, by whom and
//! when. Where the sheet does not say, what a second person looks at and what is looked at before release is about the
//! whole assembly.

use crate::sheets::{Check, CheckStage, Follows, fold_name, same_name};
use crate::shop::{Job, Said};
use crate::stages::asked::{day, parts};
use crate::stages::bags::named;
use crate::stages::people::person;
use std::collections::BTreeSet;

/// Work that a check looks over.
pub(super) struct Hand<'j> {
    pub(super) said: &'j Said,
    /// `main cap 3`, `G03 Cylinder head`.
    what: String,
    /// `fitted`, `tightened`, `taken off`.
    how: &'static str,
}

/// Everything done to what a check looks over.
pub(super) fn hands<'j>(job: &'j Job, check: &Check) -> Vec<Hand<'j>> {
    let Some(sheet) = job.sheet.as_deref() else { return Vec::new() };
    if check.stage == CheckStage::Machining {
        // It looks at what was cut, and that goes in later.
        return Vec::new();
    }
    let assembled = match check.stage {
        CheckStage::Released => true,
        CheckStage::Reassembly => check.second,
        CheckStage::CheckedIn | CheckStage::Teardown | CheckStage::Inspection | CheckStage::Machining => {
            false
        }
    };
    let is_of = |follows: Follows| check.after.as_ref().map_or(assembled, |all| all.contains(&follows));
    let mut hands = Vec::new();
    for (place, _, life) in
        parts(job, |part| part.fitted).filter(|(place, _, _)| is_of(Follows::Part(place.0)))
    {
        let fitted = life.fitted.as_ref().map(|fitted| (&fitted.said, "fitted"));
        if let Some((said, how)) = fitted.or(life.off.as_ref().map(|off| (off, "taken off"))) {
            hands.push(Hand { said, what: job.parts_name(&[place]), how });
        }
    }
    for (index, group) in sheet.fasteners.iter().enumerate() {
        let joint = job.joints.get(&fold_name(&group.group));
        if let Some(joint) = joint.filter(|_| is_of(Follows::Group(index)) && job.concerns(&group.scopes)) {
            let what = named(&group.group, &group.name);
            let entry = |said| Hand { said, what: what.clone(), how: "tightened" };
            hands.extend(joint.entries.iter().map(|entry_of| entry(&entry_of.said)));
        }
    }
    hands
}

/// What was done after an answer that it does not know of, in words.
pub(super) fn since(hands: &[Hand<'_>], answer: &Said) -> Option<String> {
    let later = hands.iter().filter(|hand| hand.said.at > answer.at);
    let last = later.max_by_key(|hand| hand.said.order())?;
    Some(format!("asked again: {} was {} since ({})", last.what, last.how, last.said.words()))
}

/// The answer is of one who did some of it: what, in words. In a shop of one it counts on a later day.
pub(super) fn own_work(job: &Job, hands: &[Hand<'_>], answer: &Said) -> Option<String> {
    let own = hands.iter().filter(|hand| hand.how != "taken off" && is_one(job, &hand.said.who, &answer.who));
    let last = own.max_by_key(|hand| hand.said.order())?;
    let alone = job.shop().people().len() < 2;
    if alone && day(answer) > day(last.said) {
        return None;
    }
    let who = if alone { "look again on a later day" } else { "a second person looks" };
    Some(format!("answered by {}, who {} {}: {who}", answer.words(), last.how, last.what))
}

/// Two names, or initials, of one person.
fn is_one(job: &Job, one: &str, other: &str) -> bool {
    let shop = job.shop();
    let known: BTreeSet<&str> =
        [one, other].iter().filter_map(|who| Some(person(shop, who)?.name.as_str())).collect();
    let both = person(shop, one).is_some() && person(shop, other).is_some();
    same_name(one, other) || (both && known.len() == 1)
}
