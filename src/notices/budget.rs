//! How many letters a person may get within an hour, and the one letter that holds what is over.
//!
//! Only letters that may wait are counted and held; the daily summary, answers to what a person has said and word of what
//! stops a job always leave. All times are Unix milliseconds.

use crate::notices::letter::{ABOUT, Letter};
use serde::{Deserialize, Serialize};

/// Within any hour a person gets at most so many letters.
const LETTERS_AN_HOUR: usize = 10;

const HOUR: i64 = 3_600_000;

/// When letters left to one person, within the last hour, oldest first.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Budget {
    left: Vec<i64>,
}

impl Budget {
    /// A letter leaves now, if the hour has room for one. Times ahead were written by a clock that has been put back.
    pub fn spend(&mut self, now: i64) -> bool {
        self.left.retain(|left| *left <= now && now < left.saturating_add(HOUR));
        let has_room = self.left.len() < LETTERS_AN_HOUR;
        if has_room {
            self.left.push(now);
        }
        has_room
    }

    /// When there is room again for one letter, seen from a moment when there was none.
    #[must_use]
    pub fn room_at(&self) -> Option<i64> {
        self.left.first().map(|left| left.saturating_add(HOUR))
    }
}

/// Letters that waited for one person, as one letter, in the order they were written; none of none.
#[must_use]
pub fn in_one(held: &[Letter]) -> Option<Letter> {
    let last = held.last()?;
    if held.len() == 1 {
        return Some(last.clone());
    }
    let mut jobs: Vec<&str> = held.iter().filter_map(|letter| letter.job.as_deref()).collect();
    jobs.sort_unstable();
    jobs.dedup();
    let engines = if jobs.len() == 1 { "1 engine".to_owned() } else { format!("{} engines", jobs.len()) };
    let subject = format!("{} letters about {engines} in one", held.len());
    let lines = held.iter().map(|letter| letter.subject.clone()).collect();
    let why = "There was more to say within the hour than anybody reads letter by letter. Where an engine comes twice, \
               the later word stands.";
    let mut sections = vec![("In short".to_owned(), lines), (String::new(), vec![why.to_owned()])];
    for letter in held {
        let news = letter.sections.iter().filter(|(heading, _)| heading != ABOUT);
        let paragraphs = news.flat_map(|(_, paragraphs)| paragraphs.clone());
        sections.push((letter.subject.clone(), paragraphs.collect()));
    }
    // The engines are named above; the reminder that ends every letter is said once.
    let about = last.sections.iter().rfind(|(heading, _)| heading == ABOUT);
    let reminder = about.and_then(|(_, paragraphs)| paragraphs.last());
    sections.extend(reminder.map(|reminder| (ABOUT.to_owned(), vec![reminder.clone()])));
    Some(Letter {
        key: format!("in-one/{}", last.key),
        job: None,
        to: last.to.clone(),
        to_name: last.to_name.clone(),
        subject,
        sections,
        may_wait: true,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Counted the slow way: within any hour of a busy day never more than the budget, and never idle while there is room.
    #[test]
    fn never_more_than_the_budget_within_any_hour() {
        let mut budget = Budget::default();
        let mut left: Vec<i64> = Vec::new();
        for minute in 0..600 {
            let now = minute * 60_000;
            let within = left.iter().filter(|time| now - **time < HOUR).count();
            assert_eq!(budget.spend(now), within < LETTERS_AN_HOUR, "{minute}");
            if within < LETTERS_AN_HOUR {
                left.push(now);
            } else {
                assert_eq!(
                    budget.room_at(),
                    left.iter().rev().nth(LETTERS_AN_HOUR - 1).map(|time| time + HOUR)
                );
            }
        }
        assert_eq!(left.len(), 100);
    }

    #[test]
    fn a_clock_that_is_put_back_locks_nobody_out() {
        let mut budget = Budget::default();
        assert!((0..10).all(|_| budget.spend(1_000 * HOUR)));
        assert!(!budget.spend(1_000 * HOUR));
        assert!(budget.spend(10 * HOUR));
    }
}
