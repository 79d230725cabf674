//! The alert: one letter a person, one batch of a job.

use crate::facts::{Person, Role};
use crate::notices::items::{AlertItem, now_words};
use crate::notices::letter::{ABOUT, Letter, Sections};
use crate::notices::told::{Changes, Told, ToldItem};
use crate::pages::JobView;
use crate::shop::{Job, RULE_SET, Shop};
use crate::stages::cautions::{Caution, REMINDER};
use std::collections::BTreeMap;

/// Said with the reminder of every caution.
const LIMITS: &str = "Limits are those of the sheet.";

/// Letters that tell these changes, one to each person who answers for something in them. Empty when nobody
/// has an address: then nothing counts as told.
#[must_use]
pub fn alert(view: &JobView, shop: &Shop, changes: &Changes<'_>, told: &Told) -> Vec<Letter> {
    let mut people: BTreeMap<&str, (&Person, Vec<Role>)> = BTreeMap::new();
    for role in Role::ALL {
        for person in shop.letters_to(role) {
            if let Some(mail) = person.mail.as_deref() {
                people.entry(mail).or_insert_with(|| (person, Vec::new())).1.push(role);
            }
        }
    }
    let key = format!("alert/{}/{}", view.job.key, told.letters + 1);
    let letter = |(person, roles): (&Person, Vec<Role>)| {
        let mine = Mine::of(changes, &roles);
        let subject = subject(&view.job, &mine.headlines())?;
        let letter =
            Letter::to(person, &key, Some(view.job.key.to_string()), &subject, &mine.sections(view))?;
        let may_wait = !mine.new.iter().any(|item| item.stops_the_job());
        Some(Letter { may_wait, ..letter })
    };
    people.into_values().filter_map(letter).collect()
}

/// What of the changes is one person's business.
struct Mine<'a> {
    new: Vec<&'a AlertItem>,
    changed: Vec<(&'a AlertItem, &'a ToldItem)>,
    cleared: Vec<(&'a str, &'a ToldItem)>,
    still: Vec<&'a AlertItem>,
}

impl<'a> Mine<'a> {
    fn of(changes: &'a Changes<'a>, roles: &[Role]) -> Self {
        let mine = |role: Role| roles.contains(&role);
        let of_role = |items: &[&'a AlertItem]| -> Vec<&'a AlertItem> {
            let mut own: Vec<&'a AlertItem> = Vec::new();
            for item in items.iter().copied().filter(|item| mine(item.role)) {
                // What several roles must know is told once to whoever has them all.
                if !own.iter().any(|other| (&other.first, &other.lines) == (&item.first, &item.lines)) {
                    own.push(item);
                }
            }
            own
        };
        let (mut new, mut changed) = (of_role(&changes.new), Vec::new());
        for (item, before) in &changes.changed {
            // Whoever was told before is told what became of it, also where it is another's business now.
            match (mine(before.role), mine(item.role)) {
                (true, _) => changed.push((*item, before)),
                (false, true) => new.push(item),
                (false, false) => {}
            }
        }
        let cleared = changes.cleared.iter().filter(|(_, item)| mine(item.role));
        Self {
            new,
            changed,
            cleared: cleared.map(|(key, item)| (key.as_str(), item)).collect(),
            still: of_role(&changes.still),
        }
    }

    /// In a few words each, the newest news first.
    fn headlines(&self) -> Vec<String> {
        let new = self.new.iter().map(|item| item.headline.clone());
        let changed =
            self.changed.iter().map(|(item, _)| format!("{} {}", word_changed(item), item.headline));
        let cleared = self.cleared.iter().map(|(_, item)| format!("cleared: {}", item.headline));
        let still = self.still.iter().map(|item| format!("still waiting: {}", item.headline));
        new.chain(changed).chain(cleared).chain(still).collect()
    }

    fn sections(&self, view: &JobView) -> Sections {
        // What and where first: on a telephone the first lines are what is read.
        let mut sections: Sections = Vec::new();
        for item in &self.new {
            match sections.iter_mut().find(|(heading, _)| heading == item.heading) {
                Some((_, paragraphs)) => paragraphs.push(paragraph(item)),
                None => sections.push((item.heading.to_owned(), vec![paragraph(item)])),
            }
        }
        let update = |(item, before): &(&AlertItem, &ToldItem)| {
            let was = &before.first;
            format!("{}\n  {}: before this you were told: {was}", paragraph(item), word_changed(item))
        };
        sections.push(("Changed".to_owned(), self.changed.iter().map(update).collect()));
        let clear = |(key, item): &(&str, &ToldItem)| {
            format!("{}\n  {}", item.first, now_words(&view.judgement, key))
        };
        sections.push(("Cleared".to_owned(), self.cleared.iter().map(clear).collect()));
        let still = |item: &&AlertItem| {
            format!("{}\n  told a day ago; from here the daily summary carries it", paragraph(item))
        };
        sections.push(("Still waiting".to_owned(), self.still.iter().map(still).collect()));
        sections.push(("Take care".to_owned(), self.cautions()));
        let about = about(&view.job);
        sections.push((ABOUT.to_owned(), vec![about, format!("{LIMITS} {REMINDER}\nRule set {RULE_SET}.")]));
        sections.retain(|(_, paragraphs)| !paragraphs.is_empty());
        sections
    }

    /// Each caution once.
    fn cautions(&self) -> Vec<String> {
        let changed = self.changed.iter().map(|(item, _)| *item);
        let items = self.new.iter().copied().chain(changed).chain(self.still.iter().copied());
        let mut cautions: Vec<String> = Vec::new();
        for caution in items.flat_map(|item| &item.cautions).map(Caution::line) {
            if !cautions.contains(&caution) {
                cautions.push(caution);
            }
        }
        cautions
    }
}

/// Evidence changed because of a named correction, or for another reason.
const fn word_changed(item: &AlertItem) -> &'static str {
    if item.corrected { "corrected" } else { "changed" }
}

fn subject(job: &Job, headlines: &[String]) -> Option<String> {
    let first = headlines.first()?;
    let more =
        if headlines.len() > 1 { format!(", and {} more", headlines.len() - 1) } else { String::new() };
    // One line, whatever was typed: what stands behind a line break would read as another header.
    let one_line = |c: char| if c.is_control() { ' ' } else { c };
    Some(format!("{}: {first}{more}", job.written).chars().map(one_line).collect())
}

fn about(job: &Job) -> String {
    let customer = job.check_in.as_ref().map_or_else(String::new, |c| format!(", {}", c.customer.name));
    let sheet = job
        .sheet
        .as_ref()
        .map_or_else(String::new, |s| format!("\n  sheet {} revision {}: {}", s.key, s.revision, s.name));
    let notice = job.sheet.as_ref().map_or_else(String::new, |s| {
        if s.notice.is_empty() { String::new() } else { format!("\n  {}", s.notice) }
    });
    format!("Job {}{customer}{sheet}{notice}", job.written)
}

fn paragraph(item: &AlertItem) -> String {
    let mut text = item.first.clone();
    for line in &item.lines {
        text.push_str(&format!("\n  {line}"));
    }
    text
}
