//! The outbox: brings letters that are already written to a mail relay, or to a folder of `.eml` files.
//!
//! [`render`] turns a [`Draft`] into RFC 5322 bytes, the same bytes every time, so that they can be stored in
//! the transaction that caused them (promise 8). [`send`] tries one [`Outgoing`] letter once over a [`Route`]
//! and answers what became of it, a [`Sent`], which also says how long to wait. [`Sender`] does that on a
//! thread of its own, two letters at a time, and reports each outcome. [`back_off`] is the waiting table.
//!
//! Choices and why. Letters go through lettre's low-level connection, one connection, one recipient, one
//! letter: its transport hides at which command a relay said no, and that decides between a bad address, a
//! busy relay and wrong settings; its `send` also gives up on all recipients when one is bad, and its pool
//! hands out connections that died or were dropped half-way. Its own timeout covers the TCP connection only,
//! so here every command runs under one of tokio's, and a connection that ran out of time is dropped, never
//! used again. A relay that talks without end is cut off (`line`). Cut after the final dot, the relay may hold the letter already: it is sent again, byte for
//! byte, and the receiver knows it by its Message-ID. Trusted certificates are read anew for each
//! connection, a few milliseconds, so that a renewed one needs no restart.
//!
//! What it does not do: it keeps nothing. Which letters wait, how often they were tried and when they count
//! as dead (after five days of tries) is the ledger's and the daemon's. It writes no text of its own, asks no
//! clock, and never sends a letter about a letter: what went wrong goes into `why`, for pages and the log.

mod back_off;
mod error;
mod folder;
mod letter;
mod line;
mod outcome;
mod route;
mod sender;
mod smtp;
#[cfg(test)]
mod tests;

pub use back_off::back_off;
pub use error::OutboxError;
pub use letter::Draft;
pub use letter::render;
pub use outcome::Sent;
pub use route::Outgoing;
pub use route::Relay;
pub use route::Route;
pub use route::Secret;
pub use route::Security;
pub use sender::{IN_FLIGHT, Sender};

use outcome::Tried;

/// Tries one letter once and says what became of it. Call it inside a tokio runtime with time and net.
///
/// It ends within the route's timeouts, whatever the other side does. Dropping it half-way drops the
/// connection; the relay may have taken the letter all the same.
pub async fn send(route: &Route, letter: &Outgoing) -> Sent {
    try_once(route, letter).await.sent
}

async fn try_once(route: &Route, letter: &Outgoing) -> Tried {
    match route {
        Route::Folder(folder) => folder::put(folder, letter).await,
        Route::Smtp(relay) => smtp::hand_over(relay, letter).await,
    }
}
