//! benchdrop: a background service for a shop that rebuilds engines. Files dropped at the bench become verdicts,
//! stages, letters and pages.
//!
//! The modules are the stations a dropped file passes, in this order. The upper half is pure: values in, values
//! out; no files, no clock, no network, no database, no threads, no chance. Everything that can be right or
//! wrong about an engine is decided there, and so everything can be tested, and any order of files gives the
//! same answer. The lower half touches the world and decides nothing.
//!
//! - [`metrology`] measures: exact lengths, how sure they are, and the decision that follows.
//! - [`workbench`] answers the owner's small questions: fits, bolts, compression, units, oil film.
//! - [`sheets`] are an engine family's features, limits, sizes and pairs, checked by computing.
//! - [`facts`] are the words of the file drop: one type a kind, their names and their faults.
//! - [`shop`] folds facts into jobs and shop-wide things; what cannot be understood yet is held.
//! - [`judgement`] gives every row of the sheet its verdict, with its reasons, and questions what looks like a slip.
//! - [`planning`] proposes sizes that clean up whole groups.
//! - [`stages`] says where an engine stands and who must act.
//! - [`pages`] and [`notices`] put all that into words: board, job page, JSON; alerts and the daily summary.
//! - [`respond`](mod@respond) is the one door of the pure half.
//!
//! - [`ledger`] keeps facts and letters in one SQLite file.
//! - [`intake`] watches the folder: settle, claim, file away.
//! - [`outbox`] sends letters.
//! - [`config`] and [`clock`] are settings and time.
//! - [`drop_point`] lets tablets and phones read the board and hand in drops, where a shop wants that.
//! - [`daemon`] joins them; `take_in` holds the durable steps in their one order.
//! - [`cli`] is the command line, one file a command.
//!
//! A module imports only what stands above it in this list; `tests/tidy.rs` holds that.

pub mod metrology;

pub mod workbench;

pub mod sheets;

pub mod facts;

pub mod shop;

pub mod judgement;

pub mod planning;

pub mod stages;

pub mod pages;

pub mod notices;

pub mod respond;

pub mod ledger;

pub mod intake;

pub mod outbox;

pub mod config;

pub mod clock;

pub mod drop_point;

pub mod daemon;

pub mod cli;
