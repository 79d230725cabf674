//! "Recorded in your name": every signature and every decision is mailed back to whoever it names.
//!
//! A file proves no identity, so the person named must hear of it (promise 9). A name or initials among the people
//! with an address gets the letter; any other name is told to the owner. The one letter that leaves the shop is the
//! confirmation of money: it goes to whom the check-in names to approve it, where the check-in says their mail, and the
//! owner has it beside. Nothing else goes to a customer unless a person says send. Each statement is told once, whatever
//! becomes of it.

use crate::facts::{AgreedWork, Body, Confirm, Decision, Digest, Fact, Person, RevisionChange, Role, Work};
use crate::notices::letter::{Letter, Sections};
use crate::notices::told::Told;
use crate::pages::JobView;
use crate::sheets::same_name;
use crate::shop::{Books, Shop};
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
    /// What a confirmation must repeat of it beside.
    more: String,
}

/// Whom a letter reaches: the person named, by this name and address, or an owner beside or instead.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Reader {
    /// The person named, who works here.
    Own,
    /// The customer who answered about money, in words of nobody's shop.
    Customer,
    /// An owner, and the person named has a letter too.
    Beside,
    /// An owner, because nothing reaches the person named.
    Instead,
}

/// The letters about statements that nobody was told of yet, and the memory after them. Without anybody to reach
/// nothing counts as told.
#[must_use]
pub fn recorded(view: &JobView, shop: &Shop, told: &Told) -> (Vec<Letter>, Told) {
    let new: Vec<Recorded> =
        statements(view).into_iter().filter(|now| !told.recorded.contains(&now.fact.hex())).collect();
    // By address: whom it goes to, whether the name is theirs, and what.
    let mut mail: BTreeMap<(String, Reader), (Person, Vec<&Recorded>)> = BTreeMap::new();
    let mut after = told.clone();
    for statement in &new {
        for (reader, how) in readers(view, shop, statement) {
            if let Some(address) = reader.mail.clone() {
                let entry = mail.entry((address, how)).or_insert_with(|| (reader, Vec::new()));
                entry.1.push(statement);
                after.recorded.insert(statement.fact.hex());
            }
        }
    }
    let letters = mail.into_iter().filter_map(|((_, how), (reader, what))| letter(view, &reader, how, &what));
    (letters.collect(), after)
}

fn readers(view: &JobView, shop: &Shop, statement: &Recorded) -> Vec<(Person, Reader)> {
    let own = person(shop, &statement.by).filter(|person| person.mail.is_some());
    if let Some(own) = own {
        return vec![(own.clone(), Reader::Own)];
    }
    let approver = approver(view, statement);
    let how = if approver.is_some() { Reader::Beside } else { Reader::Instead };
    let owners = shop.letters_to(Role::Owner).into_iter().map(|owner| (owner.clone(), how));
    approver.map(|approver| (approver, Reader::Customer)).into_iter().chain(owners).collect()
}

/// Who approved or declined money, where it is whom the check-in names for it and it says their mail.
fn approver(view: &JobView, statement: &Recorded) -> Option<Person> {
    let is_money = view.job.books.approvals.iter().any(|now| now.said.fact == statement.fact);
    let check_in = view.job.check_in.as_ref().filter(|_| is_money)?;
    let mail = mail_in(&check_in.customer.reach).filter(|_| check_in.is_approver(&statement.by))?;
    let (name, mail) = (statement.by.clone(), Some(mail.to_owned()));
    Some(Person { name, initials: String::new(), roles: Vec::new(), mail })
}

/// The first mail address among the words of how somebody is reached.
fn mail_in(reach: &str) -> Option<&str> {
    let between = |c: char| c.is_whitespace() || matches!(c, ',' | ';' | '<' | '>' | '(' | ')' | '"');
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_' | '+');
    let is_mail = |word: &&str| {
        let Some((name, host)) = word.split_once('@') else { return false };
        let labels = || host.split('.');
        !name.is_empty()
            && name.chars().all(plain)
            && labels().count() > 1
            && labels().all(|label| {
                !label.is_empty() && label.chars().all(|c| c.is_ascii_alphanumeric() || c == '-')
            })
    };
    reach.split(between).map(|word| word.trim_end_matches('.')).find(is_mail)
}

fn statements(view: &JobView) -> Vec<Recorded> {
    // Agreed work says more in its own words below.
    let said = view.standing.statements.iter().filter(|now| !matches!(now.act, Act::Agreed { .. }));
    let said = said.map(|now| {
        let answer = view.job.books.approvals.iter().find(|answer| answer.said.fact == now.fact);
        let up_to =
            answer.map_or_else(String::new, |answer| Books::up_to(answer, |amount| view.money(amount)));
        Recorded {
            fact: now.fact,
            what: format!("{} {up_to}", now.what).trim_end().to_owned(),
            by: now.by.clone(),
            why: answer.map_or_else(String::new, |answer| answer.approval.why.clone()),
            quoted: now.checked.as_ref().and_then(|checked| checked.quoted.clone()),
            more: answer.map_or_else(String::new, |answer| {
                view.job.books.answered_words(answer, |amount| view.money(amount))
            }),
        }
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
            more: String::new(),
        }
    });
    let mut all: Vec<Recorded> = said.chain(waived).collect();
    let known: BTreeSet<Digest> = all.iter().map(|now| now.fact).collect();
    let waits = |fact: &Fact| view.job.held.iter().any(|held| held.fact == fact.id && held.part.is_empty());
    let more = view.job.statements().iter().filter(|fact| !known.contains(&fact.id) && !waits(fact));
    all.extend(more.filter_map(|fact| of_fact(view, fact)));
    all
}

/// What stands in a drop alone, in its own words; `None` for what names nobody.
fn of_fact(view: &JobView, fact: &Fact) -> Option<Recorded> {
    if let Body::Decision(decision) = &fact.body {
        return Some(of_decision(view, fact, decision));
    }
    let Body::SignOff(signed) = &fact.body else { return None };
    Some(Recorded {
        fact: fact.id,
        what: format!("{} signed", signed.step.word()),
        by: signed.name.clone(),
        why: signed.note.clone(),
        quoted: signed.evidence.clone(),
        more: String::new(),
    })
}

fn of_decision(view: &JobView, fact: &Fact, decision: &Decision) -> Recorded {
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
        Decision::Apart(apart) => {
            let about = thing(&apart.feature, apart.positions.iter().map(|p| p.0.as_str()));
            let what = format!("{about} kept apart at {}", apart.written);
            (what, apart.by.as_str(), apart.why.as_str(), &apart.evidence)
        }
        Decision::Authority(leave) => {
            let word = if leave.granted { "given" } else { "refused" };
            let price = leave.price.map_or_else(String::new, |price| format!(" at {}", view.money(price)));
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
            let amount =
                approval.amount.map_or_else(String::new, |amount| format!(" up to {}", view.money(amount)));
            (format!("money {word}{amount}"), approval.by.as_str(), approval.why.as_str(), &approval.evidence)
        }
        Decision::Waiver(waiver) => {
            let what = format!("waived: {} at {}", thing(&waiver.rule, [waiver.about.as_str()]), waiver.gate);
            (what, waiver.by.as_str(), waiver.why.as_str(), &waiver.evidence)
        }
    };
    let (by, why, quoted) = (by.to_owned(), why.to_owned(), quoted.clone());
    Recorded { fact: fact.id, what, by, why, quoted, more: String::new() }
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

fn letter(view: &JobView, reader: &Person, how: Reader, what: &[&Recorded]) -> Option<Letter> {
    let first = what.first()?;
    let more = if what.len() > 1 { format!(", and {} more", what.len() - 1) } else { String::new() };
    let job = &view.job.written;
    let whose = match how {
        Reader::Own => format!("{job}: recorded in your name"),
        Reader::Customer => format!("Your {}", engine(view)),
        Reader::Beside => format!("{job}: recorded in the name of {}, who has a letter too", first.by),
        Reader::Instead => format!("{job}: recorded in the name of {}, whom no letter reaches", first.by),
    };
    let subject = format!("{whose}: {}{more}", first.what);
    let one_line = |c: char| if c.is_control() { ' ' } else { c };
    let subject: String = subject.chars().map(one_line).collect();
    let names: Vec<&[u8]> = what.iter().map(|statement| statement.fact.as_bytes().as_slice()).collect();
    let own = matches!(how, Reader::Own | Reader::Customer);
    let key = format!("recorded/{}/{}/{own}", view.job.key, Digest::of_pieces(&names).short());
    let heading = match how {
        Reader::Own => "Recorded in your name",
        Reader::Customer => "Your answer, as we wrote it down",
        Reader::Beside => "Recorded in a customer's name",
        Reader::Instead => "Recorded in a name no letter reaches",
    };
    let paragraph = if how == Reader::Customer { plain_paragraph } else { paragraph };
    let paragraphs = what.iter().map(|statement| paragraph(view, statement)).collect();
    let next = match how {
        Reader::Customer => {
            "Is this not what you said, or was it not you? Tell the shop at once, before the work is begun."
        }
        Reader::Own => "A file proves no identity. If this was not you, say so and have the drop withdrawn.",
        Reader::Beside => "A file proves no identity. If they say that it was not them, withdraw the drop.",
        Reader::Instead => {
            "A file proves no identity. Ask whoever is named, and withdraw the drop if they did not say it; who works here \
         and has an address stands in the people drop."
        }
    };
    let sections: Sections = vec![(heading.to_owned(), paragraphs), (String::new(), vec![next.to_owned()])];
    let letter = Letter::to(reader, &key, Some(view.job.key.to_string()), &subject, &sections)?;
    Some(Letter { may_wait: true, ..letter })
}

/// Which engine it is, for whom does not know it by the number of its job: `engine OV-24 OV24-00317`.
fn engine(view: &JobView) -> String {
    let sheet = view.job.sheet.as_ref().map_or("", |sheet| sheet.key.as_str());
    let serial = view.job.check_in.as_ref().map_or("", |check_in| check_in.engine.serial.as_str());
    ["engine", sheet, serial].into_iter().filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}

/// For whom knows neither drops nor codes: the engine, what was answered, the sums, and when it was written down.
fn plain_paragraph(view: &JobView, statement: &Recorded) -> String {
    let mut text = format!("Your {}: {}", engine(view), statement.what);
    let mut line = |words: &str| text.push_str(&format!("\n  {words}"));
    if !statement.more.is_empty() {
        line(&statement.more);
    }
    if !statement.why.is_empty() {
        line(&format!("why: {}", statement.why));
    }
    if let Some(fact) = view.job.statements().iter().find(|fact| fact.id == statement.fact) {
        line(&format!("written down {} by {}", fact.head.recorded.short(), fact.head.who));
    }
    line(&format!("job {}, statement {}", view.job.written, statement.fact.short()));
    text
}

fn paragraph(view: &JobView, statement: &Recorded) -> String {
    let (job, what, by) = (&view.job.written, &statement.what, &statement.by);
    let mut text = format!("Job {job}, {}: {what}, by {by}", engine(view));
    if !statement.more.is_empty() {
        text.push_str(&format!("\n  {}", statement.more));
    }
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
