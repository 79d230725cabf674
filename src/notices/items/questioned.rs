//! A reading that looks like a slip.

use crate::facts::{Digest, Role};
use crate::judgement::Question;
use crate::notices::items::AlertItem;
use crate::pages::JobView;
use crate::shop::{SetKey, SurfaceKey};
use std::collections::BTreeMap;

/// One item a surface: twenty swapped digits are one slip.
pub(super) fn items(view: &JobView) -> Vec<AlertItem> {
    let mut by_surface: BTreeMap<(SurfaceKey, SetKey), Vec<&Question>> = BTreeMap::new();
    for question in view.judgement.questions.iter().filter(|question| question.stands) {
        by_surface.entry((question.surface, question.set)).or_default().push(question);
    }
    let all = by_surface.into_iter();
    all.map(|((surface, set), questions)| item(&view.job.surface_name(surface), set, &questions)).collect()
}

fn item(name: &str, set: SetKey, questions: &[&Question]) -> AlertItem {
    let mut evidence = String::new();
    // Places that were read the same and are asked about for the same reason are one line.
    let mut lines: Vec<(String, String)> = Vec::new();
    for question in questions {
        let (fact, row) = (question.reading.fact.hex(), question.reading.row);
        evidence.push_str(&format!("{fact}:{row}:{}|", question.why));
        let read = format!("read {} by {}: {}", question.digits, question.who, question.why);
        match lines.iter_mut().find(|(_, said)| *said == read) {
            Some((places, _)) => {
                let place = question.name.strip_prefix(name).unwrap_or(&question.name);
                places.push_str(&format!(", {}", place.trim_start()));
            }
            None => lines.push((question.name.clone(), read)),
        }
    }
    let mut lines: Vec<String> = lines.into_iter().map(|(places, read)| format!("{places} {read}")).collect();
    let first = lines.remove(0);
    lines.push("kept out of every verdict until it is answered".to_owned());
    lines.push("next: measure again and drop a correction, or confirm the reading by name".to_owned());
    AlertItem {
        key: format!("question/{name}/{}/{}", set.instance, set.condition.word()),
        evidence: Digest::of(evidence.as_bytes()),
        role: Role::Bench,
        heading: "Asked again",
        headline: format!("{name} questioned"),
        first,
        lines,
        corrected: false,
        waits: true,
        cautions: Vec::new(),
    }
}
