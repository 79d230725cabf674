//! The alert: one letter a person, one batch of a job.

use crate::facts::{Person, Role};
use crate::judgement::Judgement;
use crate::notices::items::{AlertItem, now_words};
use crate::notices::letter::{Letter, Sections};
use crate::notices::told::{Changes, Told};
use crate::shop::{Job, RULE_SET, Shop};
use std::collections::BTreeMap;

/// Always said where work can follow from a letter.
const REMINDER: &str = "Limits are those of the sheet named above. Local codes, the equipment maker's instructions and \
                        licensed or qualified practice govern; where they differ, follow them.";

/// Letters that tell these changes, one to each person who answers for something in them. Empty when nobody
/// has an address: then nothing counts as told.
#[must_use]
pub fn alert(
    job: &Job,
    judgement: &Judgement,
    shop: &Shop,
    changes: &Changes<'_>,
    told: &Told,
) -> Vec<Letter> {
    let mut people: BTreeMap<&str, (&Person, Vec<Role>)> = BTreeMap::new();
    for role in [Role::Owner, Role::Bench] {
        for person in shop.letters_to(role) {
            if let Some(mail) = person.mail.as_deref() {
                people.entry(mail).or_insert_with(|| (person, Vec::new())).1.push(role);
            }
        }
    }
    people
        .into_values()
        .filter_map(|(person, roles)| letter(job, judgement, changes, told, person, &roles))
        .collect()
}

fn letter(
    job: &Job,
    judgement: &Judgement,
    changes: &Changes<'_>,
    told: &Told,
    person: &Person,
    roles: &[Role],
) -> Option<Letter> {
    let mine = |role: Role| roles.contains(&role);
    let new: Vec<&AlertItem> = changes.new.iter().copied().filter(|item| mine(item.role)).collect();
    let changed: Vec<_> = changes.changed.iter().filter(|(item, _)| mine(item.role)).collect();
    let cleared: Vec<_> = changes.cleared.iter().filter(|(_, item)| mine(item.role())).collect();
    let headlines = new
        .iter()
        .map(|item| item.headline.clone())
        .chain(changed.iter().map(|(item, _)| format!("{} {}", word_changed(item), item.headline)))
        .chain(cleared.iter().map(|(_, item)| format!("cleared: {}", item.headline)));
    let headlines: Vec<String> = headlines.collect();
    let subject = subject(job, &headlines)?;
    let mut sections: Sections = vec![(String::new(), vec![about(job)])];
    let of_role = |items: &[&AlertItem], role: Role| -> Vec<String> {
        items.iter().filter(|item| item.role == role).map(|item| paragraph(item)).collect()
    };
    sections.push(("Out of limits".to_owned(), of_role(&new, Role::Owner)));
    sections.push(("Asked again".to_owned(), of_role(&new, Role::Bench)));
    let update = |(item, before): &&(&AlertItem, crate::notices::ToldItem)| {
        format!("{}\n  {}: before this you were told: {}", paragraph(item), word_changed(item), before.first)
    };
    sections.push(("Changed".to_owned(), changed.iter().map(update).collect()));
    let clear = |(key, item): &&(String, crate::notices::ToldItem)| {
        format!("{}\n  {}", item.first, now_words(judgement, key))
    };
    sections.push(("Cleared".to_owned(), cleared.iter().map(clear).collect()));
    sections.push((String::new(), vec![format!("{REMINDER}\nRule set {RULE_SET}.")]));
    sections.retain(|(_, paragraphs)| !paragraphs.is_empty());
    let key = format!("alert/{}/{}", job.key, told.letters + 1);
    Letter::to(person, &key, Some(job.key.to_string()), &subject, &sections)
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
