//! The daemon: one loop that takes papers in, and the one place where the durable steps have their order.
//!
//! [`House`] owns the ledger, the watch folder and the sender. `take_in` is the whole flow on one page: claim, decide,
//! commit, file away; in a backlog the next papers are read meanwhile (`ahead`). [`House::turn`] is one turn of the loop:
//! take in what is there, look at engines that are owed it (`debts`), let go letters that were held, see whether a summary is
//! due, hand letters to the sender, note what became of them, write pages that changed. `run` turns until told to stop and
//! sleeps in between; `once` turns until nothing moves.
//!
//! The daemon decides nothing about engines: it carries values between the pure half and the world. Stop it at
//! any point; what lies in the folder and in the ledger is the truth, and every step is harmless when repeated.

mod ahead;
mod board_rows;
mod debts;
mod deep_check;
mod devices;
mod direct;
mod error;
mod foresee;
mod gather;
mod health;
mod house;
mod issued;
mod job_pages;
mod jobs;
mod once;
mod page_file;
mod papers;
mod pictures;
mod post;
mod press;
mod print;
mod queue;
mod reach;
mod rebuild;
mod record;
mod reload;
mod run;
mod shop_wide;
mod steps;
mod summary;
mod take_in;
mod trouble;
mod turn;
mod vital;

pub use devices::open_drop_point;
pub use error::DaemonError;
pub use foresee::foresee;
pub use gather::{board_of, gauges_of, shop_of, view_of};
pub use health::{Finding, health};
pub use house::{House, Setup};
pub use once::{OnceReport, once};
pub use reach::owes_no_page;
pub use rebuild::{Rebuilt, Sources, rebuild};
pub use reload::Reread;
pub use run::{Call, run};
pub use steps::{Step, Steps, Uninterrupted};
pub use summary::summary_input;
pub use take_in::Taken;
