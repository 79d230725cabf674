//! What must be known now, item by item; one file a kind of item.
//!
//! An [`AlertItem`] has a key that stays while its evidence changes, the digest of that evidence, and the words of its
//! paragraph in a letter: what and where, by how much and how sure, what it means, what to do next. It goes to the role
//! that must act. Items hold as long as what they tell of holds; when they were told is not their business.

mod as_agreed;
mod bad_gauge;
mod beyond;
mod bolts;
mod damaged;
mod dates;
mod held_orders;
mod lost;
mod no_size;
mod out_of_turn;
mod questioned;
mod started;

use crate::facts::{Digest, Role};
use crate::judgement::{Judgement, Verdict, words};
use crate::pages::JobView;
use crate::stages::cautions::Caution;
use jiff::Timestamp;

/// Something people must know at once.
#[derive(Clone, Debug)]
pub struct AlertItem {
    /// One name for it, whatever its evidence.
    pub key: String,
    /// Digest of what it rests on and of what came out.
    pub evidence: Digest,
    /// Whose business it is.
    pub role: Role,
    /// What kind of news it is, as letters head it: `Out of limits`.
    pub heading: &'static str,
    /// In a few words, for subject lines: `main journal 3 too small`.
    pub headline: String,
    /// First line: what and where, reading against limit.
    pub first: String,
    /// Further lines: by how much and how sure, what it means for the plan, what to do next.
    pub lines: Vec<String>,
    /// It rests on a named correction.
    pub corrected: bool,
    /// Whoever it is told still has to act; what waits for nobody is not told again.
    pub waits: bool,
    /// What can hurt on the way.
    pub cautions: Vec<Caution>,
}

impl AlertItem {
    /// It can end the job: word of it never waits for room among other letters.
    #[must_use]
    pub fn stops_the_job(&self) -> bool {
        self.heading == damaged::STOPS
    }
}

/// Everything that must be known of a job as it is now, what weighs most first; of one kind in the sheet's order.
#[must_use]
pub fn standing_alerts(view: &JobView, now: Timestamp) -> Vec<AlertItem> {
    let kinds: [fn(&JobView) -> Vec<AlertItem>; 11] = [
        damaged::items,
        started::items,
        lost::items,
        no_size::items,
        bad_gauge::items,
        beyond::items,
        out_of_turn::items,
        held_orders::items,
        bolts::items,
        as_agreed::items,
        questioned::items,
    ];
    if view.job.sheet.is_none() {
        return Vec::new();
    }
    let mut items: Vec<AlertItem> = kinds.iter().flat_map(|kind| kind(view)).collect();
    items.extend(dates::items(view, now));
    items
}

/// When something becomes news without a drop, Unix milliseconds.
#[must_use]
pub fn next_date(view: &JobView, now: Timestamp) -> Option<i64> {
    dates::next(view, now)
}

/// What holds now of something that no longer alarms; for letters that clear.
pub(super) fn now_words(judgement: &Judgement, key: &str) -> String {
    if key.starts_with(held_orders::KEY) {
        return "cleared: nothing holds it any more; its letter goes, where it did not go before and who does the work \
                has an address"
            .to_owned();
    }
    // A question is about a surface; what answers it is what the surface is now, its size before its form.
    let asked = key.strip_prefix("question/").and_then(|rest| rest.split('/').next());
    let about = |verdict: &&Verdict| match asked {
        Some(name) => verdict.stands && verdict.name == name,
        None => verdict.told_key() == key,
    };
    let Some(verdict) = judgement.verdicts.iter().filter(about).min_by_key(|v| v.key.characteristic) else {
        return "cleared: what it rested on is withdrawn, replaced or answered".to_owned();
    };
    match (&verdict.judged, verdict.stands) {
        (_, false) => "cleared: history now; worked on, replaced or measured again since".to_owned(),
        (None, true) => "cleared: no reading that counts any more; measure it again".to_owned(),
        (Some(judged), true) => {
            let word = if judged.corrected { "corrected" } else { "cleared" };
            let (value, limit) =
                (words::length(judged.value, verdict.unit), judged.limit_words(verdict.unit));
            format!("{word}: now {value}, {limit} ({})", judged.state())
        }
    }
}
