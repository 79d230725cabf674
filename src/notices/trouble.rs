//! Trouble of the shop itself: told to the owner once when it lasts, and once when it is over.

use crate::facts::Role;
use crate::notices::letter::Letter;
use crate::shop::Shop;

/// Letters to the owner about the watch folder: away since, or back. `since` names the absence, so that it is
/// told once however often it is asked for.
#[must_use]
pub fn folder_trouble(shop: &Shop, since: &str, is_back: bool, why: &str) -> Vec<Letter> {
    let (word, subject, next) = if is_back {
        let next = "Nothing was lost; what waits in it is taken in now.";
        ("back", "The watch folder is back".to_owned(), next)
    } else {
        let next = "next: see whether the share or disk is there. Nothing is lost; whatever lies in it is taken in \
                    when it is back, by itself.";
        ("away", format!("The watch folder is away since {since}: nothing can be taken in"), next)
    };
    let sections = vec![(String::new(), vec![format!("{why}\n  {next}")])];
    let key = format!("folder/{word}/{since}");
    let owners = shop.letters_to(Role::Owner).into_iter();
    owners.filter_map(|person| Letter::to(person, &key, None, &subject, &sections)).collect()
}

/// Letters to the owner about a damaged ledger: how many faults, and the first of them in words. `date` names it, so that
/// a service that is started often tells it once a day.
#[must_use]
pub fn ledger_damaged(shop: &Shop, date: &str, count: u64, faults: &[String]) -> Vec<Letter> {
    const SHOWN: usize = 10;
    let subject = format!("The ledger is damaged, faults: {count}");
    let next = "next: end the service, keep a copy of the ledger's folder, and make the ledger anew from the last backup and \
                the filed papers (README, As a service: ledger rebuild). Until then papers are still taken in and \
                recorded. A disk that damages one file damages others: have it looked at.";
    let first = faults.iter().take(SHOWN).cloned().collect();
    let sections = vec![(String::new(), vec![next.to_owned()]), ("The first faults".to_owned(), first)];
    let key = format!("ledger-damaged/{date}");
    let owners = shop.letters_to(Role::Owner).into_iter();
    owners.filter_map(|person| Letter::to(person, &key, None, &subject, &sections)).collect()
}

/// Letters to the owner about a full disk, on which `ledger` lies. `since` names the trouble.
#[must_use]
pub fn disk_full(shop: &Shop, since: &str, why: &str, ledger: &str) -> Vec<Letter> {
    let subject = format!("The disk is full since {since}: nothing can be taken in");
    let next = format!(
        "next: free some space on the disk of {ledger}. Nothing is lost; papers stay in the drop folder and are taken \
         in when there is room, by itself."
    );
    let alone = "This letter is not in the ledger, which cannot be written now. Other letters wait too, and for some \
                 hours no second one like this follows.";
    let sections = vec![(String::new(), vec![format!("{why}\n  {next}"), alone.to_owned()])];
    let key = format!("disk-full/{since}");
    let owners = shop.letters_to(Role::Owner).into_iter();
    owners.filter_map(|person| Letter::to(person, &key, None, &subject, &sections)).collect()
}
