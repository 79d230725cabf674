//! Where letters go, and what a letter is on its way.

use base64::Engine as _;
use base64::prelude::BASE64_STANDARD as STANDARD;
use std::fmt;
use std::path::PathBuf;
use std::time::Duration;

/// One letter to one recipient, ready to go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outgoing {
    /// The caller's number for it; the report names it.
    pub id: i64,
    /// The recipient's address, plain ASCII.
    pub recipient: String,
    /// The sender's address, to which the relay returns what it cannot deliver.
    pub sender: String,
    /// The letter as stored, from [`super::render`].
    pub mail: Vec<u8>,
    /// Its Message-ID, with angle brackets; names the file in a folder.
    pub message_id: String,
    /// How often it was tried before; decides the wait after a failure.
    pub attempts: u32,
}

/// The way letters take.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Route {
    /// Written as `.eml` files into this folder, which must exist. A resend overwrites the same name.
    Folder(PathBuf),
    /// Handed to a mail relay.
    Smtp(Relay),
}

/// A mail relay and how to talk to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Relay {
    /// Host name, or an address. A certificate must name it.
    pub host: String,
    /// TCP port: usually 587 with [`Security::StartTls`], 465 with [`Security::ImplicitTls`].
    pub port: u16,
    /// How the line is protected.
    pub security: Security,
    /// User name and password, when the relay asks for them.
    pub login: Option<(String, Secret)>,
    /// For one command. Connecting up to the relay's greeting gets twice this; one of several addresses half.
    pub connect_timeout: Duration,
    /// From the first byte of the letter to the relay's word that it has taken it. RFC 5321 (4.5.3.2) asks
    /// for 10 minutes after the dot, and slow relays need some of it.
    pub after_dot_timeout: Duration,
    /// A PEM file with the shop's own certificate, trusted beside the system's.
    pub extra_root: Option<PathBuf>,
}

impl Relay {
    /// A relay without login, with the usual timeouts: 30 s, and 10 minutes for the letter itself.
    #[must_use]
    pub fn new(host: impl Into<String>, port: u16, security: Security) -> Self {
        Self {
            host: host.into(),
            port,
            security,
            login: None,
            connect_timeout: Duration::from_secs(30),
            after_dot_timeout: Duration::from_secs(600),
            extra_root: None,
        }
    }

    /// A text from outside without our password, as it is and as the line carries it (RFC 4616, and LOGIN).
    pub(super) fn without_login(&self, text: &str) -> String {
        let Some((user, password)) = &self.login else { return text.to_owned() };
        let password = password.reveal();
        let plain = STANDARD.encode(format!("\0{user}\0{password}"));
        [plain.as_str(), &STANDARD.encode(password), password]
            .into_iter()
            .filter(|form| !form.is_empty())
            .fold(text.to_owned(), |text, form| text.replace(form, HIDDEN))
    }
}

/// What stands for a secret.
const HIDDEN: &str = "(hidden)";

/// How the line to the relay is protected. There is no "if the relay offers it": that protects from nobody.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Security {
    /// Begins in the clear and must change to TLS before anything of ours is said.
    StartTls,
    /// TLS from the first byte. Prefer it where the relay has it.
    ImplicitTls,
    /// No TLS; refused unless the relay is on this machine.
    PlainLoopback,
}

/// A password. Prints as "(hidden)".
#[derive(Clone, PartialEq, Eq)]
pub struct Secret(String);

impl Secret {
    /// Keeps this text out of logs and pages.
    #[must_use]
    pub fn new(text: impl Into<String>) -> Self {
        Self(text.into())
    }

    pub(super) fn reveal(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(HIDDEN)
    }
}

impl fmt::Display for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(HIDDEN)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_password_does_not_print() {
        let mut relay = Relay::new("mail.example.org", 587, Security::StartTls);
        relay.login = Some(("shop".to_owned(), Secret::new("hunter2")));
        let printed = format!("{relay:?} {}", Secret::new("hunter2"));
        assert!(!printed.contains("hunter2"), "{printed}");
        assert!(printed.contains("(hidden)"), "{printed}");
    }
}
