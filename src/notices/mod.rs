//! Notices: what people are told, when, and the memory of what they were told.
//!
//! [`standing_alerts`] says what must be known now, one file a kind of news. [`Told`] remembers what was said of each,
//! by its evidence. [`compare`] finds what is new, what changed, what no longer holds and what still waits a day later;
//! [`alert`] words one letter a person from that. The first letter of a job leaves at once, what follows gathers for a
//! quarter of an hour; a [`Budget`] bounds what one person gets within the hour, and [`in_one`] holds the rest.
//! [`recorded`] mails every statement back to whoever it names; [`ordered`] sends a work order to whoever does the work.
//! [`summary`] words the daily page and decides on which local dates one is due.
//!
//! What is told depends on arrival and is kept apart from a job's state (promise 3). Nothing is sent here:
//! a [`Letter`] is a value.

mod alert;
mod budget;
mod html;
mod items;
mod letter;
mod ordered;
mod recorded;
mod summary;
mod told;
mod trouble;

pub use alert::alert;
pub use budget::{Budget, in_one};
pub use items::{AlertItem, next_date, standing_alerts};
pub use letter::{Letter, Sections};
pub use ordered::ordered;
pub use recorded::recorded;
pub use summary::{Due, SummaryInput, due, summary, summary_json, summary_page, summary_text};
pub use told::{Changes, Told, ToldItem, compare};
pub use trouble::{disk_full, folder_trouble, ledger_damaged};
