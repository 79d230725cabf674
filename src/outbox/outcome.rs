//! What became of a letter, judged from the command at which things stopped and the relay's answer.
//!
//! RFC 5321 gives the codes, RFC 3463 the enhanced ones ("5.7.1"). The line is drawn so that a letter is
//! given up only when the answer is plainly about its recipient; whatever may be our own settings is kept.

use super::back_off::back_off;
use super::back_off::hourly;
use super::route::{Outgoing, Relay};
use lettre::transport::smtp::Error as SmtpError;
use std::error::Error;
use std::fmt;
use std::time::Duration;

/// What became of one try. `why` is one line of plain text, for pages and the log.
#[derive(Debug, Clone, PartialEq, Eq)]
#[must_use = "an outcome that is not recorded means the letter is sent again"]
pub enum Sent {
    /// The relay, or the folder, has it.
    Accepted,
    /// Not this time: the relay is away, slow or busy. Whether it took the letter may be unknown.
    Later {
        /// What happened.
        why: String,
        /// How long to wait before the next try.
        wait: Duration,
    },
    /// The relay will never take it for this recipient. Show it to people; do not try again.
    Refused {
        /// The relay's answer.
        why: String,
    },
    /// Login, certificate, sender, policy or quota: our own settings are wrong and no letter will get through
    /// until a person acts. Keep the letter, show health as red, try hourly.
    Setup {
        /// What happened, and what to look at.
        why: String,
        /// How long to wait before the next try.
        wait: Duration,
    },
}

/// One try: the outcome, and whether the relay itself is in trouble, so that others should hold back.
pub(super) struct Tried {
    pub(super) sent: Sent,
    pub(super) relay_failing: bool,
}

/// The commands of one delivery, in the order they are spoken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Step {
    Prepare,
    Greeting,
    StartTls,
    Login,
    Sender,
    Recipient,
    Data,
    Letter,
}

impl fmt::Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Prepare => "before calling the mail relay",
            Self::Greeting => "calling the mail relay",
            Self::StartTls => "changing to TLS",
            Self::Login => "logging in at the mail relay",
            Self::Sender => "naming the sender to the mail relay",
            Self::Recipient => "naming the recipient to the mail relay",
            Self::Data => "asking the mail relay to take the letter",
            Self::Letter => "handing the letter to the mail relay",
        })
    }
}

/// Why a delivery stopped.
#[derive(Debug)]
pub(super) enum Fault {
    /// Something of ours is wrong; said in words.
    Settings(String),
    /// No answer within this time.
    Silent(Duration),
    /// No line came about; said in words.
    Broken(String),
    /// The relay said no, or the line broke.
    Smtp(SmtpError),
}

/// Where and why a delivery stopped.
#[derive(Debug)]
pub(super) struct Stopped {
    pub(super) at: Step,
    pub(super) fault: Fault,
}

impl Stopped {
    /// What this means for the letter.
    pub(super) fn judge(&self, relay: &Relay, letter: &Outgoing) -> Tried {
        let wait = back_off(letter.attempts, letter.id);
        let sent = match &self.fault {
            Fault::Settings(words) => self.setup(letter, words),
            Fault::Silent(limit) => {
                Sent::Later { why: format!("{}: no answer within {} s", self.at, limit.as_secs_f32()), wait }
            }
            Fault::Broken(words) => Sent::Later { why: format!("{}: {}", self.at, one_line(words)), wait },
            Fault::Smtp(error) => self.judge_answer(relay, letter, error, wait),
        };
        Tried { sent, relay_failing: self.at < Step::Recipient }
    }

    fn judge_answer(&self, relay: &Relay, letter: &Outgoing, error: &SmtpError, wait: Duration) -> Sent {
        /// First wait asked of a sender that is put off on purpose ("greylisted").
        const PUT_OFF: Duration = Duration::from_secs(5 * 60);
        let words = in_words(relay, error);
        let Some(code) = error.status().map(u16::from) else {
            // "Client" errors are the library's own: no TLS or no login offered. A certificate that does not
            // fit will not fit tomorrow either; the TLS library tells of it in words only. The rest is a
            // broken line.
            let is_certificate = self.at <= Step::StartTls && words.contains("certificate");
            return if error.is_client() || is_certificate {
                self.setup(letter, &words)
            } else {
                Sent::Later { why: format!("{}: {words}", self.at), wait }
            };
        };
        let why = format!("{}: answer {code} {words}", self.at);
        match code {
            421 | 450 | 451 => Sent::Later { why, wait: wait.max(PUT_OFF) },
            400..=499 => Sent::Later { why, wait },
            _ if self.at >= Step::Recipient && is_about_the_recipient(code, &words) => Sent::Refused { why },
            _ => self.setup(letter, &format!("answer {code} {words}")),
        }
    }

    fn setup(&self, letter: &Outgoing, words: &str) -> Sent {
        let why = format!("{}: {words}; check the mail settings and the account at the relay", self.at);
        Sent::Setup { why, wait: hourly(letter.attempts, letter.id) }
    }
}

/// Is a 5xx answer plainly about this recipient? Policy (5.7.x), login, quota and protocol are not.
fn is_about_the_recipient(code: u16, words: &str) -> bool {
    let enhanced = words.split_whitespace().next().unwrap_or_default();
    if enhanced.starts_with("5.7.") {
        return false;
    }
    // 556: the recipient's domain takes no mail (RFC 7504). 5.1.x: an address is bad (RFC 3463).
    matches!(code, 501 | 550 | 551 | 553 | 556) || (code == 554 && enhanced.starts_with("5.1."))
}

/// The relay's own words, or else the innermost cause, as one short line: what wraps it says less. They go into the
/// ledger, the log and a page, so a relay that says our login back is not quoted on it.
fn in_words(relay: &Relay, error: &SmtpError) -> String {
    let mut innermost: &dyn Error = error;
    while let Some(cause) = innermost.source() {
        innermost = cause;
    }
    one_line(&relay.without_login(&innermost.to_string()))
}

/// Text from outside made fit for a log line: one line, no control characters, at most 300 characters.
pub(super) fn one_line(text: &str) -> String {
    let plain: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let joined = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    joined.chars().take(300).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_answers_about_the_recipient_give_up() {
        assert!(is_about_the_recipient(550, "5.1.1 no such user"));
        assert!(is_about_the_recipient(550, "no such user"));
        assert!(is_about_the_recipient(554, "5.1.2 bad domain"));
        for (code, words) in [
            (550, "5.7.1 relaying denied"),
            (554, "5.7.1 relay access denied"),
            (554, "transaction failed"),
            (530, "authentication required"),
            (552, "5.2.2 over quota"),
            (503, "bad sequence"),
        ] {
            assert!(!is_about_the_recipient(code, words), "{code} {words}");
        }
    }

    #[test]
    fn text_from_outside_is_one_short_line() {
        assert_eq!(one_line("5.1.1 no\r\n\x1b[31m such\tuser "), "5.1.1 no [31m such user");
        assert_eq!(one_line(&"x".repeat(5000)).len(), 300);
    }
}
