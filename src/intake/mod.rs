//! The door: papers that people drop into a folder, from the first sight of a name until the paper is filed away.
//!
//! What trusted systems taught us, in five sentences. The *scan* is the truth and a notification only a hint, so
//! all of this works with the watcher switched off, only slower. A paper *settles* when two looks, a quiet time
//! apart by our own monotonic clock, find it the same; file times are compared with each other, never with our
//! clock. The *content* decides whether a settled paper is complete: the caller, who can decode, tells us
//! [`Unfinished`] and we keep the paper waiting until its patience ends. The *hash* of the bytes is a paper's
//! identity, names are not; conflict copies of sync tools are data. A folder without its marker is *away*: what
//! we know of it is frozen, and an empty listing is never taken for a deletion.
//!
//! [`Folder`] is one open watch folder. In order: [`Folder::look`] finds what has settled, [`Folder::claim`] reads
//! it, the caller decodes, records and commits, [`Folder::file_away`] moves the papers out of `drop/`, and
//! [`Folder::relook`] a minute later brings back what its sender went on writing to. Every step is harmless when
//! repeated; stop anywhere, and what lies in the folder is the truth.
//!
//! Layout of a watch folder: `drop/` (and one level of folders in it), `filed/DATE/`, `returned/DATE/` with a slip
//! beside each paper, `board/` for the pages, and a marker file in the folder itself and in `drop/`.
//!
//! Not here: decoding, schemas, the wording of slips, the ledger, letters, pages, the wall clock. Nothing is ever
//! deleted or overwritten, links are never followed, and nothing outside the watch folder is touched.

mod claim;
mod error;
mod filing;
mod folder;
mod lock;
mod marker;
mod names;
mod paper;
mod passed_over;
mod relook;
mod remains;
mod scan;
mod settings;
mod settle;
mod shelf;
mod shelved;
mod survey;
mod watcher;

#[cfg(test)]
mod tests;

pub use claim::Claim;
pub use claim::ReadAhead;
pub use error::IntakeError;
pub use filing::Destination;
pub use filing::Filed;
pub use filing::Filing;
pub use folder::Folder;
pub use folder::Look;
pub use marker::BOARD;
pub use marker::DROP;
pub use marker::FILED;
pub use marker::MARKER;
pub use marker::RETURNED;
pub use marker::lay_out;
pub use names::safe_name;
pub use names::shown_name;
pub use paper::Candidate;
pub use remains::Remains;
pub use settings::Settings;
pub use settle::Unfinished;
pub use settle::Waiting;
pub use settle::Why;
pub(crate) use shelf::rename_fresh;
pub use shelved::Shelved;
pub use shelved::read_shelved;
pub use shelved::shelved;
pub use survey::papers_in_drop;
pub use watcher::WatchState;
