//! Writing a letter: plain values in, RFC 5322 bytes out, the same bytes every time.
//!
//! Text dropped at the door ends up in subjects and names. It is made one plain line before the mail library
//! sees it, because the library stops the program on a name with a line break.

use super::error::OutboxError;
use crate::facts::Digest;
use jiff::Timestamp;
use lettre::Address;
use lettre::message::Body;
use lettre::message::Mailbox;
use lettre::message::Message;
use lettre::message::MultiPart;
use lettre::message::SinglePart;
use lettre::message::header::ContentTransferEncoding;
use lettre::message::header::ContentType;
use lettre::message::header::HeaderName;
use lettre::message::header::HeaderValue;
use std::time::Duration;
use std::time::SystemTime;

/// A word of a header cannot be folded, and a line may have 998 characters (RFC 5322, 2.1.1).
const MAX_SUBJECT: usize = 200;
const MAX_NAME: usize = 100;
const MAX_ID: usize = 250;

/// The plain values of one letter to one recipient.
#[derive(Debug, Clone, Copy)]
pub struct Draft<'a> {
    /// The sender's address, plain ASCII.
    pub from: &'a str,
    /// The sender's name as shown; may be empty.
    pub from_name: &'a str,
    /// The recipient's address, plain ASCII.
    pub to: &'a str,
    /// The recipient's name as shown; may be empty.
    pub to_name: &'a str,
    /// One line; cut at 200 characters.
    pub subject: &'a str,
    /// The letter as plain text.
    pub text: &'a str,
    /// The letter as HTML.
    pub html: &'a str,
    /// `<left@right>`, fixed when the letter is written.
    pub message_id: &'a str,
    /// When it was written; before 1970 counts as 1970.
    pub date: Timestamp,
    /// The Message-ID of the thread's first letter.
    pub in_reply_to: Option<&'a str>,
}

/// The letter as bytes: plain text and HTML as alternatives, 7-bit, no line over 998 characters.
///
/// The same draft gives the same bytes (promise 8): date, Message-ID and part boundary come from the draft.
/// It is marked as sent by a program, so that no out-of-office answer comes back (RFC 3834).
///
/// # Errors
///
/// [`OutboxError::Address`] and [`OutboxError::MessageId`] when one of them cannot stand in a header;
/// [`OutboxError::Write`] when the library refuses the whole. Names and subjects never fail: what cannot
/// stand in a header is taken out.
pub fn render(draft: &Draft<'_>) -> Result<Vec<u8>, OutboxError> {
    let message_id = check_id(draft.message_id)?;
    let mut builder = Message::builder()
        .from(mailbox("From", draft.from, draft.from_name)?)
        .to(mailbox("To", draft.to, draft.to_name)?)
        .subject(plain_line(draft.subject, MAX_SUBJECT))
        .date(since_1970(draft.date))
        .message_id(Some(message_id.to_owned()));
    if let Some(first) = draft.in_reply_to {
        let first = check_id(first)?;
        builder = builder.in_reply_to(first.to_owned()).references(first.to_owned());
    }
    let written = builder
        .raw_header(HeaderValue::new(
            HeaderName::new_from_ascii_str("Auto-Submitted"),
            "auto-generated".to_owned(),
        ))
        .multipart(
            MultiPart::alternative()
                .boundary(boundary(message_id))
                .singlepart(part(ContentType::TEXT_PLAIN, draft.text))
                .singlepart(part(ContentType::TEXT_HTML, draft.html)),
        );
    match written {
        Ok(message) => Ok(message.formatted()),
        Err(source) => Err(OutboxError::Write { message_id: message_id.to_owned(), source }),
    }
}

/// An address we can send: what the library takes, and of that only what needs no quoting and no UTF-8.
pub(super) fn address(header: &'static str, text: &str) -> Result<Address, OutboxError> {
    let refused = |source| OutboxError::Address { header, address: text.to_owned(), source };
    let is_plain = text.chars().all(|c| c.is_ascii_graphic() && !r#"<>"(),;\"#.contains(c));
    if !is_plain {
        return Err(refused(None));
    }
    text.parse().map_err(|source| refused(Some(source)))
}

fn mailbox(header: &'static str, text: &str, name: &str) -> Result<Mailbox, OutboxError> {
    let name = Some(plain_line(name, MAX_NAME)).filter(|name| !name.is_empty());
    Ok(Mailbox::new(name, address(header, text)?))
}

/// Quoted-printable always: 7-bit, short lines, and still readable in the file.
fn part(kind: ContentType, text: &str) -> SinglePart {
    let encoding = ContentTransferEncoding::QuotedPrintable;
    let body = Body::new_with_encoding(text.to_owned(), encoding).unwrap_or_else(|given_back| {
        // Quoted-printable takes any bytes, so this is not reached; base64 takes them too.
        Body::new(given_back)
    });
    SinglePart::builder().header(kind).body(body)
}

/// "=_" cannot occur in a quoted-printable body, so no text can end a part early (RFC 2045, 6.7).
fn boundary(message_id: &str) -> String {
    format!("=_{}", Digest::of(message_id.as_bytes()).hex().chars().take(32).collect::<String>())
}

/// The library stops the program on a date before 1970; a machine with a dead clock battery has one.
fn since_1970(date: Timestamp) -> SystemTime {
    SystemTime::UNIX_EPOCH + Duration::from_secs(u64::try_from(date.as_second()).unwrap_or(0))
}

fn check_id(id: &str) -> Result<&str, OutboxError> {
    let is_word = |word: &str| {
        !word.is_empty() && word.bytes().all(|b| b.is_ascii_alphanumeric() || b"._-+=$%&!#~".contains(&b))
    };
    let halves = id.strip_prefix('<').and_then(|id| id.strip_suffix('>')).and_then(|id| id.split_once('@'));
    match halves {
        Some((left, right)) if id.len() <= MAX_ID && is_word(left) && is_word(right) => Ok(id),
        Some(_) | None => Err(OutboxError::MessageId { id: id.to_owned() }),
    }
}

/// One line of at most `longest` characters, without control characters and marks that turn the reading
/// direction, and without "=?", by which text could pass for an encoded word.
fn plain_line(text: &str, longest: usize) -> String {
    let is_unprintable = |c: char| {
        c.is_control()
            || matches!(c, '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    let plain: String = text.chars().map(|c| if is_unprintable(c) { ' ' } else { c }).collect();
    let line = plain.split_whitespace().collect::<Vec<_>>().join(" ").replace("=?", "= ?");
    if line.chars().count() <= longest {
        return line;
    }
    let kept: String = line.chars().take(longest.saturating_sub(3)).collect();
    format!("{}...", kept.trim_end())
}
