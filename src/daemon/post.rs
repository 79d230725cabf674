//! Letters between the ledger and the sender: rendered once, handed over, noted.

use crate::clock::Clock;
use crate::config::Config;
use crate::daemon::direct::Direct;
use crate::daemon::error::DaemonError;
use crate::daemon::house::House;
use crate::daemon::steps::Step;
use crate::facts::Digest;
use crate::ledger::{LetterMark, Marked, NewLetter};
use crate::notices::Letter;
use crate::outbox::{Draft, IN_FLIGHT, Outgoing, Sender, Sent, render};
use jiff::Timestamp;
use std::collections::BTreeMap;
use std::sync::mpsc::{Receiver, channel};
use std::sync::{Arc, Mutex};
use std::time::Duration;

/// The sender, what is on its way, and what came back.
pub(super) struct Post {
    sender: Option<Sender>,
    from: String,
    from_name: String,
    /// When each letter on its way was rendered. It stays here until the ledger has noted what became of it, so that
    /// none is sent again and again while the ledger cannot be written.
    in_flight: BTreeMap<i64, i64>,
    /// What became of letters, and is not in the ledger yet.
    outcomes: Vec<LetterMark>,
    reports: Receiver<(i64, Sent)>,
    /// What does not pass the ledger.
    direct: Direct,
}

/// Letters are tried for this long; then they are given up and shown.
const GIVE_UP_AFTER: i64 = 5 * 24 * 3_600_000;

impl Post {
    pub(super) fn open(config: &Config, wake: Arc<dyn Fn() + Send + Sync>) -> Result<Self, DaemonError> {
        let (tell, reports) = channel();
        // The channel end is not shared between threads; a lock makes it so for the callback's type.
        let tell = Mutex::new(tell);
        let report = move |id, sent| {
            if let Ok(tell) = tell.lock() {
                // The loop may have ended; then the letter is still due in the ledger.
                tell.send((id, sent)).unwrap_or_default();
            }
            wake();
        };
        let sender = Sender::start(config.route.clone(), Box::new(report))?;
        let (from, from_name) = (config.from.clone(), config.from_name.clone());
        Ok(Self {
            sender: Some(sender),
            from,
            from_name,
            in_flight: BTreeMap::new(),
            outcomes: Vec::new(),
            reports,
            direct: Direct::default(),
        })
    }

    /// From the next letter on sends as this configuration says.
    pub(super) fn adopt(&mut self, config: &Config) {
        (self.from, self.from_name) = (config.from.clone(), config.from_name.clone());
        if let Some(sender) = &self.sender {
            sender.reroute(config.route.clone());
        }
    }

    /// A letter as it will be sent, an answer to the first of its thread. One that cannot be rendered is the fault of
    /// its address; it is logged and does not stop the facts that caused it.
    pub(super) fn render(
        &self,
        letter: &Letter,
        in_reply_to: Option<&str>,
        now: Timestamp,
    ) -> Option<NewLetter> {
        let message_id = self.message_id(&letter.key);
        let draft = Draft {
            from: &self.from,
            from_name: &self.from_name,
            to: &letter.to,
            to_name: &letter.to_name,
            subject: &letter.subject,
            text: &letter.text(),
            html: &letter.html(),
            message_id: &message_id,
            date: now,
            in_reply_to,
        };
        match render(&draft) {
            Ok(mail) => Some(NewLetter {
                key: letter.key.clone(),
                job: letter.job.clone(),
                recipient: letter.to.clone(),
                message_id,
                mail,
                created: now.as_millisecond(),
            }),
            Err(error) => {
                tracing::error!(%error, to = %letter.to, "a letter cannot be written; mend the address in people");
                None
            }
        }
    }

    /// The same letter always has the same name.
    fn message_id(&self, key: &str) -> String {
        let digest = Digest::of(key.as_bytes()).hex();
        let domain = self.from.split_once('@').map_or("localhost", |(_, domain)| domain);
        format!("<{}@{domain}>", digest.get(..32).unwrap_or(&digest))
    }

    /// Lets letters in flight end for a moment and ends the sender.
    pub(super) fn stop(&mut self, within: Duration) {
        if let Some(sender) = self.sender.take() {
            sender.stop(within);
        }
    }

    /// Sends letters that the ledger cannot take.
    pub(super) fn send_past_ledger(&mut self, letters: &[Letter], now: Timestamp) {
        for letter in letters {
            if let Some(letter) = self.render(letter, None, now) {
                self.direct.add(letter, &self.from);
            }
        }
    }

    /// While the ledger cannot be written: hears what became of letters, and hands over those that do not pass it.
    pub(super) fn go_on_past_ledger(&mut self, clock: &dyn Clock) {
        self.hear(clock);
        if let Some(sender) = &self.sender {
            self.direct.hand_over(sender, clock.since_start());
        }
    }

    /// The ledger can be written again.
    pub(super) fn back_to_ledger(&mut self) {
        self.direct.forget();
    }

    fn hear(&mut self, clock: &dyn Clock) {
        let now = clock.now().as_millisecond();
        while let Ok((id, sent)) = self.reports.try_recv() {
            if Direct::is_one(id) {
                self.direct.heard(id, &sent, clock.since_start());
                continue;
            }
            let created = self.in_flight.get(&id).copied().unwrap_or(now);
            let retry = |wait: Duration| {
                let wait = i64::try_from(wait.as_millis()).unwrap_or(i64::MAX);
                if now - created > GIVE_UP_AFTER {
                    Marked::Dead
                } else {
                    Marked::RetryAt(now.saturating_add(wait))
                }
            };
            let (marked, text) = match sent {
                Sent::Accepted => (Marked::Sent, String::new()),
                Sent::Later { why, wait } => (retry(wait), why),
                Sent::Setup { why, wait } => (retry(wait), why),
                Sent::Refused { why } => (Marked::Dead, why),
            };
            if marked != Marked::Sent {
                tracing::warn!(letter = id, why = %text, "a letter was not delivered");
            }
            self.outcomes.push(LetterMark { id, at: now, marked, text });
        }
    }
}

impl House {
    /// Notes in the ledger what became of letters.
    pub(super) fn note(&mut self) -> Result<(), DaemonError> {
        self.post.hear(self.clock.as_ref());
        if self.post.outcomes.is_empty() {
            return Ok(());
        }
        self.press.letters_changed();
        self.ledger.mark_letters(&self.post.outcomes)?;
        for mark in self.post.outcomes.drain(..) {
            self.post.in_flight.remove(&mark.id);
        }
        self.after(Step::Noted)
    }

    /// Hands letters that are due to the sender, no more than it can have on their way: one that the relay has and the
    /// ledger has not noted comes again after a kill, and a long turn would let many come together.
    pub(super) fn hand_over(&mut self) -> Result<(), DaemonError> {
        if self.post.sender.as_ref().is_some_and(|sender| !sender.is_running()) {
            return Err(DaemonError::SenderGone);
        }
        let now = self.clock.now().as_millisecond();
        let free = IN_FLIGHT.saturating_sub(self.post.in_flight.len());
        if free == 0 {
            return Ok(());
        }
        let mut due = self.ledger.due_letters(now, IN_FLIGHT)?;
        due.retain(|letter| !self.post.in_flight.contains_key(&letter.id));
        let mut handed = false;
        for letter in due.into_iter().take(free) {
            let id = letter.id;
            let created = letter.created;
            let outgoing = Outgoing {
                id,
                recipient: letter.recipient,
                sender: self.post.from.clone(),
                mail: letter.mail,
                message_id: letter.message_id,
                attempts: letter.attempts,
            };
            if !self.post.sender.as_ref().is_some_and(|sender| sender.submit(outgoing)) {
                break;
            }
            self.post.in_flight.insert(id, created);
            handed = true;
        }
        if handed { self.after(Step::Posted) } else { Ok(()) }
    }

    /// How many letters are on their way to the relay or the folder, or came back and are not noted yet.
    #[must_use]
    pub fn posting(&self) -> usize {
        self.post.in_flight.len()
    }
}
