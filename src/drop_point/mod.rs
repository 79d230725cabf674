//! The drop point: an optional listener through which tablets and phones read the board and hand in drops.
//!
//! It is off unless the configuration has a `[drop-point]`. It shows what lies in `board/`, takes a drop or a picture into
//! the same `drop/` as everybody else's, and nothing else: no path from a request is ever joined, only names of known shape
//! in known folders are looked up, without following links. A paper is taken when it lies in `drop/` under its own name and
//! the disk has it; the answer is sent after that. From there on it is a paper like any other.
//!
//! Each device has a key of its own, which an owner hands out and can withdraw; only its hash is kept. The listener has a
//! thread of its own with bounds on connections, sizes and times, so the loop of the service never waits for it.
//!
//! Not here: what becomes of a paper, and what is on a page. What became of one is asked of the caller.

mod answers;
mod bounds;
mod doors;
mod entrance;
mod handed;
mod keys;
mod room;
mod shelf;
mod taking;
mod tls;
mod wire;

pub use doors::{Fate, Hooks, Word};
pub use keys::{Device, Keys, KeysError};
pub use wire::DropPoint;
