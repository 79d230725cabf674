//! What can go wrong before a letter is on its way.

use lettre::address::AddressError;
use std::error::Error;
use std::fmt;
use std::io;

/// A letter that cannot be written, or a sender that cannot start.
///
/// What happens to a letter on its way is not an error but an outcome: see [`super::Sent`].
#[derive(Debug)]
#[non_exhaustive]
pub enum OutboxError {
    /// An address cannot be used.
    Address {
        /// Which one, as a header names it: "From" or "To".
        header: &'static str,
        /// The address as given.
        address: String,
        /// What the mail library found; `None` when it holds characters we do not send.
        source: Option<AddressError>,
    },
    /// A Message-ID is not of the form `<left@right>` in plain characters.
    MessageId {
        /// The id as given.
        id: String,
    },
    /// The mail library would not put the letter together.
    Write {
        /// The letter's Message-ID.
        message_id: String,
        /// What it said.
        source: lettre::error::Error,
    },
    /// The sender's thread could not be started.
    Start {
        /// What the system said.
        source: io::Error,
    },
}

impl fmt::Display for OutboxError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Address { header, address, source: _ } => write!(
                f,
                "writing a letter: the {header} address {address:?} cannot be used; give one like \
                 name@example.org in plain ASCII (a domain with other letters in its xn-- form)"
            ),
            Self::MessageId { id } => write!(
                f,
                "writing a letter: the Message-ID {id:?} must look like <left@right>, in plain ASCII \
                 and of at most 250 characters; check the configured mail domain"
            ),
            Self::Write { message_id, source: _ } => {
                write!(f, "writing letter {message_id}: the mail library refused it; please report this")
            }
            Self::Start { source: _ } => f.write_str(
                "starting the letter sender: the system gave no thread or event queue; raise its limits \
                 and start again",
            ),
        }
    }
}

impl Error for OutboxError {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        match self {
            Self::Address { source, .. } => source.as_ref().map(|cause| cause as &(dyn Error + 'static)),
            Self::MessageId { .. } => None,
            Self::Write { source, .. } => Some(source),
            Self::Start { source } => Some(source),
        }
    }
}
