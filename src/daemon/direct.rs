//! The one letter that does not pass the ledger: the disk is full, so nothing can be written there (promise 8). It is
//! kept in memory, handed to the sender with a number that no letter of the ledger has, and tried again while the
//! trouble lasts.

use crate::ledger::NewLetter;
use crate::outbox::{Outgoing, Sender, Sent};
use std::time::Duration;

/// Letters past the ledger that are not out yet.
#[derive(Debug, Default)]
pub(super) struct Direct {
    letters: Vec<Tracked>,
    /// Counts down; the ledger counts up from 1.
    last_id: i64,
}

#[derive(Debug)]
struct Tracked {
    outgoing: Outgoing,
    /// When it is to be tried, monotonic; none while it is on its way.
    due: Option<Duration>,
}

impl Direct {
    /// Is this the number of such a letter?
    pub(super) const fn is_one(id: i64) -> bool {
        id < 0
    }

    /// To be sent at once.
    pub(super) fn add(&mut self, letter: NewLetter, sender: &str) {
        self.last_id = self.last_id.saturating_sub(1);
        let outgoing = Outgoing {
            id: self.last_id,
            recipient: letter.recipient,
            sender: sender.to_owned(),
            mail: letter.mail,
            message_id: letter.message_id,
            attempts: 0,
        };
        self.letters.push(Tracked { outgoing, due: Some(Duration::ZERO) });
    }

    /// Hands over what is due.
    pub(super) fn hand_over(&mut self, sender: &Sender, now: Duration) {
        for letter in &mut self.letters {
            if letter.due.is_some_and(|due| due <= now) && sender.submit(letter.outgoing.clone()) {
                letter.due = None;
            }
        }
    }

    /// What became of one.
    pub(super) fn heard(&mut self, id: i64, sent: &Sent, now: Duration) {
        match sent {
            Sent::Accepted => self.letters.retain(|letter| letter.outgoing.id != id),
            Sent::Refused { why } => {
                tracing::error!(%why, "the letter about the full disk is refused; mend the address in people");
                self.letters.retain(|letter| letter.outgoing.id != id);
            }
            Sent::Later { why, wait } | Sent::Setup { why, wait } => {
                tracing::warn!(%why, "the letter about the full disk was not delivered");
                for letter in self.letters.iter_mut().filter(|letter| letter.outgoing.id == id) {
                    letter.outgoing.attempts = letter.outgoing.attempts.saturating_add(1);
                    letter.due = Some(now.saturating_add(*wait));
                }
            }
        }
    }

    /// The trouble is over: nobody needs what is not out yet.
    pub(super) fn forget(&mut self) {
        self.letters.clear();
    }
}
