//! A part that was here and is lost: what was made together with it is made anew, and the owner hears of it before anybody
//! looks for another.

use crate::facts::{Digest, Role};
use crate::notices::items::AlertItem;
use crate::pages::JobView;
use crate::shop::{PartLife, PartPlace};

pub(super) fn items(view: &JobView) -> Vec<AlertItem> {
    view.job.parts.iter().filter_map(|(place, life)| item(view, *place, life)).collect()
}

fn item(view: &JobView, place: PartPlace, life: &PartLife) -> Option<AlertItem> {
    // What never came is no loss of the shop's.
    let said = life.missing.as_ref().filter(|_| life.off.is_some())?;
    let about = view.job.parts_name(&[place]);
    let features = view.job.sheet.iter().flat_map(|sheet| &sheet.features);
    let made: Vec<&str> = features
        .filter(|feature| feature.made_with.contains(&place.0))
        .map(|feature| feature.name.as_str())
        .collect();
    let mut lines = vec![format!("recorded by {}", said.words())];
    if !made.is_empty() {
        lines.push(format!(
            "made together with it, and to be made and measured anew with another: {}",
            made.join(", ")
        ));
    }
    lines.push(
        "next: look for it where it was last, and decide with the customer before another takes its place"
            .to_owned(),
    );
    Some(AlertItem {
        key: format!("lost/{about}"),
        evidence: Digest::of(said.fact.hex().as_bytes()),
        role: Role::Owner,
        heading: "A part is lost",
        headline: format!("{about} is lost"),
        first: format!("{about}: it came off this engine, and is missing now"),
        lines,
        corrected: false,
        waits: true,
        cautions: Vec::new(),
    })
}
