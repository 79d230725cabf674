//! Notices: what people are told, and the memory of what they were told.
//!
//! [`standing_alerts`] says what must be known now: verdicts beyond the limit that decides, questioned readings, work
//! to a size nobody agreed. [`Told`] remembers what was said of each, by its evidence. [`compare`] finds
//! what is new, what changed and what no longer holds; [`alert`] words one letter a person from that.
//! [`summary`] words the daily page and decides on which local dates one is due.
//!
//! What is told depends on arrival and is kept apart from a job's state (promise 3). Nothing is sent here:
//! a [`Letter`] is a value.

mod alert;
mod html;
mod items;
mod letter;
mod summary;
mod told;
mod trouble;

pub use alert::alert;
pub use items::{AlertItem, standing_alerts};
pub use letter::Letter;
pub use summary::{Due, SummaryInput, due, summary, summary_text};
pub use told::{Changes, Told, ToldItem, compare};
pub use trouble::folder_trouble;
