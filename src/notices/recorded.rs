//! "Recorded in your name": every signature and every decision is mailed back to whoever it names.
//!
//! A file proves no identity, so the person named must hear of it (promise 9). A name or initials among the people
//! with an address gets the letter; any other name, a customer's too, is told to the owner: no letter goes to a customer
//! unless a person says send. Each statement is told once, whatever becomes of it.

use crate::facts::{AgreedWork, Body, Confirm, Decision, Digest, Fact, Person, RevisionChange, Role, Work};
use crate::notices::letter::{Letter, Sections};
use crate::notices::told::Told;
use crate::pages::JobView;
use crate::sheets::same_name;
use crate::shop::Shop;
use crate::stages::{Act, person};
use std::collections::{BTreeMap, BTreeSet};

/// A statement with a name to it.
struct Recorded {
    fact: Digest,
    /// `inspection signed`.
    what: String,
    by: String,
    why: String,
    quoted: Option<String>,
}

/// The letters about statements that nobody was told of yet, and the memory after them. Without anybody to reach
/// nothing counts as told.
#[must_use]
pub fn recorded(view: &JobView, shop: &Shop, told: &Told) -> (Vec<Letter>, Told) {
    let new: Vec<Recorded> =
        statements(view).into_iter().filter(|now| !told.recorded.contains(&now.fact.hex())).collect();
    // By address: whom it goes to, whether the name is theirs, and what.
    let mut mail: BTreeMap<(&str, bool), (&Person, Vec<&Recorded>)> = BTreeMap::new();
    let mut after = told.clone();
    for statement in &new {
        let own = person(shop, &statement.by).filter(|person| person.mail.is_some());
        let readers = own.map_or_else(|| shop.letters_to(Role::Owner), |person| vec![person]);
        for reader in readers {
            if let Some(address) = reader.mail.as_deref() {
                let entry = mail.entry((address, own.is_some())).or_insert_with(|| (reader, Vec::new()));
                entry.1.push(statement);
                after.recorded.insert(statement.fact.hex());
            }
        }
    }
    let letters = mail.into_iter().filter_map(|((_, own), (reader, what))| letter(view, reader, own, &what));
    (letters.collect(), after)
}

fn statements(view: &JobView) -> Vec<Recorded> {
    // Agreed work says more in its own words below.
    let said = view.standing.statements.iter().filter(|now| !matches!(now.act, Act::Agreed { .. }));
    let said = said.map(|now| Recorded {
        fact: now.fact,
        what: now.what.clone(),
        by: now.by.clone(),
        why: String::new(),
        quoted: now.checked.as_ref().and_then(|checked| checked.quoted.clone()),
    });
    let waived = view.standing.waived.iter().map(|now| {
        let waiver = &now.waiver;
        let about = if waiver.about.is_empty() { String::new() } else { format!(", {}", waiver.about) };
        Recorded {
            fact: now.said.fact,
            what: format!("waived: {}{about} at {}", waiver.rule, waiver.gate),
            by: waiver.by.clone(),
            why: waiver.why.clone(),
            quoted: waiver.evidence.clone(),
        }
    });
    let mut all: Vec<Recorded> = said.chain(waived).collect();
    let known: BTreeSet<Digest> = all.iter().map(|now| now.fact).collect();
    let waits = |fact: &Fact| view.job.held.iter().any(|held| held.fact == fact.id && held.part.is_empty());
    let more = view.job.statements().iter().filter(|fact| !known.contains(&fact.id) && !waits(fact));
    all.extend(more.filter_map(|fact| of_fact(fact)));
    all
}

/// What stands in a drop alone, in its own words; `None` for what names nobody.
fn of_fact(fact: &Fact) -> Option<Recorded> {
    if let Body::Decision(decision) = &fact.body {
        return Some(of_decision(fact, decision));
    }
    let Body::SignOff(signed) = &fact.body else { return None };
    Some(Recorded {
        fact: fact.id,
        what: format!("{} signed", signed.step.word()),
        by: signed.name.clone(),
        why: signed.note.clone(),
        quoted: signed.evidence.clone(),
    })
}

fn of_decision(fact: &Fact, decision: &Decision) -> Recorded {
    let none = None;
    let (what, by, why, quoted) = match decision {
        Decision::AgreedWork(agreed) => {
            (agreed_words(agreed), agreed.agreed_by.as_str(), "", &agreed.evidence)
        }
        Decision::Disposition(disposed) => {
            let about = thing(&disposed.part, disposed.positions.iter().map(|p| p.0.as_str()));
            let what = format!("{about}: {}", disposed.what.word());
            (what, disposed.by.as_str(), disposed.why.as_str(), &disposed.evidence)
        }
        Decision::HalfSteps(half) => {
            let about = thing(&half.pair, half.positions.iter().map(|p| p.0.as_str()));
            let what = format!("half steps allowed at {about}");
            (what, half.by.as_str(), half.why.as_str(), &half.evidence)
        }
        Decision::Authority(leave) => {
            let word = if leave.granted { "given" } else { "refused" };
            let price = leave.price.map_or_else(String::new, |price| format!(" at {price}"));
            let what = format!("leave to take it apart {word}{price}");
            (what, leave.by.as_str(), leave.if_declined.as_str(), &none)
        }
        // A confirmation names nobody else: it is the word of whoever wrote the drop.
        Decision::ConfirmReading(confirm) => {
            (confirm_words(confirm), fact.head.who.as_str(), confirm.why.as_str(), &confirm.evidence)
        }
        Decision::Revision(change) => {
            (revision_words(change), change.by.as_str(), change.why.as_str(), &none)
        }
        Decision::Accept(accept) => {
            let about = thing(&accept.feature, accept.positions.iter().map(|p| p.0.as_str()));
            (format!("{about} accepted"), accept.accepted_by.as_str(), accept.why.as_str(), &accept.evidence)
        }
        Decision::Approval(approval) => {
            let word = if approval.granted { "approved" } else { "declined" };
            (format!("money {word}"), approval.by.as_str(), approval.why.as_str(), &approval.evidence)
        }
        Decision::Waiver(waiver) => {
            let what = format!("waived: {} at {}", thing(&waiver.rule, [waiver.about.as_str()]), waiver.gate);
            (what, waiver.by.as_str(), waiver.why.as_str(), &waiver.evidence)
        }
    };
    Recorded { fact: fact.id, what, by: by.to_owned(), why: why.to_owned(), quoted: quoted.clone() }
}

fn agreed_words(agreed: &AgreedWork) -> String {
    let one = |work: &Work| {
        let about = thing(&work.feature, work.positions.iter().map(|p| p.0.as_str()));
        let size = work.written.as_ref().map_or_else(String::new, |size| format!(" to {size}"));
        format!("{} {about}{size}", work.operation)
    };
    let work: Vec<String> = agreed.work.iter().map(one).collect();
    format!("work agreed: {}", work.join("; "))
}

fn confirm_words(confirm: &Confirm) -> String {
    let place = [&confirm.station, &confirm.direction].into_iter().flatten().map(String::as_str);
    let positions = confirm.position.iter().map(|p| p.0.as_str());
    let about = thing(&confirm.feature, [positions.chain(place).collect::<Vec<_>>().join(" ").as_str()]);
    format!("reading of {about} confirmed")
}

fn revision_words(change: &RevisionChange) -> String {
    let sheet = change.sheet.map(|revision| format!("sheet revision {revision}"));
    let rules = change.house_rules.map(|revision| format!("house rules revision {revision}"));
    let moved: Vec<String> = sheet.into_iter().chain(rules).collect();
    format!("moved to {}", moved.join(" and "))
}

/// `main journal 1, 2`; just the name where all or none are written.
fn thing<'a>(name: &str, positions: impl IntoIterator<Item = &'a str>) -> String {
    let named: Vec<&str> = positions.into_iter().filter(|p| !p.is_empty() && !same_name(p, "all")).collect();
    format!("{name} {}", named.join(", ")).trim_end().to_owned()
}

fn letter(view: &JobView, reader: &Person, own: bool, what: &[&Recorded]) -> Option<Letter> {
    let first = what.first()?;
    let more = if what.len() > 1 { format!(", and {} more", what.len() - 1) } else { String::new() };
    let whose = if own {
        "recorded in your name".to_owned()
    } else {
        format!("recorded in the name of {}, whom no letter reaches", first.by)
    };
    let subject = format!("{}: {whose}: {}{more}", view.job.written, first.what);
    let one_line = |c: char| if c.is_control() { ' ' } else { c };
    let subject: String = subject.chars().map(one_line).collect();
    let names: Vec<&[u8]> = what.iter().map(|statement| statement.fact.as_bytes().as_slice()).collect();
    let key = format!("recorded/{}/{}/{own}", view.job.key, Digest::of_pieces(&names).short());
    let heading = if own { "Recorded in your name" } else { "Recorded in a name no letter reaches" };
    let paragraphs = what.iter().map(|statement| paragraph(view, statement)).collect();
    let next = if own {
        "A file proves no identity. If this was not you, say so and have the drop withdrawn."
    } else {
        "A file proves no identity. Ask whoever is named, and withdraw the drop if they did not say it; who works here \
         and has an address stands in the people drop."
    };
    let sections: Sections = vec![(heading.to_owned(), paragraphs), (String::new(), vec![next.to_owned()])];
    let letter = Letter::to(reader, &key, Some(view.job.key.to_string()), &subject, &sections)?;
    Some(Letter { may_wait: true, ..letter })
}

fn paragraph(view: &JobView, statement: &Recorded) -> String {
    let mut text = format!("Job {}: {}, by {}", view.job.written, statement.what, statement.by);
    if !statement.why.is_empty() {
        text.push_str(&format!("\n  why: {}", statement.why));
    }
    if let Some(fact) = view.job.statements().iter().find(|fact| fact.id == statement.fact) {
        let on =
            if fact.head.device.is_empty() { String::new() } else { format!(" on {}", fact.head.device) };
        text.push_str(&format!("\n  recorded {} by {}{on}", fact.head.recorded.short(), fact.head.who));
    }
    let code = statement.quoted.as_deref().map_or_else(|| "none".to_owned(), str::to_owned);
    text.push_str(&format!("\n  drop {}, evidence code {code}", statement.fact.short()));
    text
}
