//! Where is it: parts that lie in a bath, and parts of which nobody says where they lie, as questions to the bench. How long
//! it has been is said in the summary, which is written anew as days pass.

use crate::facts::HouseRules;
use crate::pages::JobView;
use crate::pages::section::{Cell, Section, Table};
use crate::shop::{Job, PartLife, PartPlace, Said};
use crate::stages::cautions::{DISSOLVING, is_dissolving};
use std::collections::BTreeMap;

/// Parts that are asked about for the same reason.
pub(in crate::pages) struct Lying {
    /// `piston 2, 3`.
    pub(in crate::pages) about: String,
    /// It dissolves them.
    pub(in crate::pages) dissolving: bool,
    /// The bath; empty where nobody says where they lie.
    pub(in crate::pages) bath: String,
    /// Who put them there, or took them off.
    pub(in crate::pages) said: Said,
    /// Hours after which it is asked.
    pub(in crate::pages) hours: u32,
}

/// Everything that lies in a bath, or nobody knows where, the oldest first.
pub(in crate::pages) fn lying(job: &Job) -> Vec<Lying> {
    let rules = job.rules.as_deref();
    let (in_bath, unplaced) = (HouseRules::hours_in_a_bath(rules), HouseRules::hours_unplaced(rules));
    let mut found: BTreeMap<_, (Vec<PartPlace>, String, &Said, u32)> = BTreeMap::new();
    for (place, life) in &job.parts {
        if let Some((bath, said, is_bath)) = asked(life) {
            let hours = if is_bath { in_bath } else { unplaced };
            let entry = found.entry((said.at, said.fact, place.0, is_bath));
            entry.or_insert_with(|| (Vec::new(), bath, said, hours)).0.push(*place);
        }
    }
    let one = |(places, bath, said, hours): (Vec<PartPlace>, String, &Said, u32)| Lying {
        about: job.parts_name(&places),
        dissolving: places
            .iter()
            .filter_map(|place| job.sheet.as_ref()?.parts.get(place.0))
            .any(|part| is_dissolving(part, &bath)),
        bath,
        said: said.clone(),
        hours,
    };
    found.into_values().map(one).collect()
}

fn asked(life: &PartLife) -> Option<(String, &Said, bool)> {
    if let Some((said, bath)) = &life.in_bath {
        let named = if bath.is_empty() { "bath" } else { bath };
        return Some((named.to_owned(), said, true));
    }
    life.nobody_knows_where().map(|said| (String::new(), said, false))
}

/// The questions.
pub(in crate::pages) fn whereabouts(view: &JobView) -> Section {
    let mut section = Section::new("where", "Where is it?");
    let mut table = Table::of("", &["Part", "What is known", "Asked of the bench"]);
    for lying in lying(&view.job) {
        let since = lying.said.words();
        if lying.dissolving {
            let known = format!("in {} since {since}", lying.bath);
            table.row(vec![Cell::strong(lying.about), known.into(), Cell::strong(DISSOLVING)]);
            continue;
        }
        let (known, ask) = if lying.bath.is_empty() {
            (
                format!("off, and nobody says where it lies ({since})"),
                format!("say where it lies; the summary asks after {} hours", lying.hours),
            )
        } else {
            (
                format!("in {} since {since}", lying.bath),
                format!("take it out, or say that it stays; the summary asks after {} hours", lying.hours),
            )
        };
        table.row(vec![Cell::strong(lying.about), known.into(), ask.into()]);
    }
    section.table(table);
    section
}
