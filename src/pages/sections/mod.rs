//! What is known of a job, section by section, in the order a person asks. The job page, the terminal, the build
//! record and the work orders take from here, so that each thing is worded once.
//!
//! Each function makes one section from a view; one with nothing to say is left out by whoever shows it. Nothing is judged
//! or counted against limits here.

mod bags;
mod care;
mod doubts;
mod engine;
mod findings;
mod first_start;
mod fits;
mod issued;
mod joints;
mod loosening;
mod money;
mod orders;
mod parts;
mod signed;
mod waits;
mod whereabouts;
mod work;

pub(super) use bags::{accounted, bags};
pub(super) use care::{
    care, care_beside, care_json, care_of_order, care_of_plans, care_of_plans_json, steps_at_hand,
};
pub(super) use doubts::{doubts, gauges_of, place};
pub(super) use engine::about;
pub(super) use findings::{findings, problems, usual_of};
pub(super) use first_start::{first_start, first_start_checks};
pub(super) use fits::{fits, label, ring_label, shells_words, why};
pub(super) use issued::issued;
pub(super) use joints::{checks, joints, stages_words, tightened};
pub(super) use loosening::loosening;
pub(super) use money::money;
pub(super) use orders::{orders, supplies};
pub(super) use parts::{fitted, parts};
pub(super) use signed::{codes, decided, held, signatures};
pub(super) use waits::{beyond, questions, waits};
pub(super) use whereabouts::{lying, whereabouts};
pub(super) use work::{proposals, work};

use crate::facts::SizeWord;
use crate::metrology::Unit;
use crate::shop::Job;

/// The unit of the sheet's sizes; inches before there is a sheet.
pub(super) fn unit_of(job: &Job) -> Unit {
    job.sheet.as_ref().map_or(Unit::Inch, |sheet| sheet.unit)
}

/// `0.010 in under`; empty without a size.
pub(super) fn size_words(job: &Job, size: Option<SizeWord>) -> String {
    size.map_or_else(String::new, |size| size.show(unit_of(job)))
}

/// What is not empty, after each other.
pub(super) fn joined(words: &[&str], between: &str) -> String {
    words.iter().filter(|word| !word.is_empty()).copied().collect::<Vec<_>>().join(between)
}

/// `before` and the text, nothing without the text.
pub(super) fn headed(before: &str, text: &str) -> String {
    if text.is_empty() { String::new() } else { format!("{before}{text}") }
}
