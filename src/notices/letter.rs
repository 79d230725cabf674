//! A letter as a value.

use crate::facts::Person;
use crate::notices::html;

/// A letter to one person, worded and not yet sent.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Letter {
    /// Two letters with one key are one letter; the Message-ID is made from it.
    pub key: String,
    /// The job it is about, as its key; `None` for the shop.
    pub job: Option<String>,
    /// Address.
    pub to: String,
    /// Name.
    pub to_name: String,
    /// Subject, which says it all.
    pub subject: String,
    /// The letter as plain text.
    pub text: String,
    /// The same as HTML, without remote content.
    pub html: String,
}

/// Headings with their paragraphs; the first line of a paragraph is what it says in short.
pub(super) type Sections = Vec<(String, Vec<String>)>;

impl Letter {
    /// The same sections as text and as HTML, to one person; none for a person without an address. `key` is
    /// completed by the address.
    pub(super) fn to(
        person: &Person,
        key: &str,
        job: Option<String>,
        subject: &str,
        sections: &Sections,
    ) -> Option<Self> {
        let mail = person.mail.as_deref()?;
        Some(Self {
            key: format!("{key}/{mail}"),
            job,
            to: mail.to_owned(),
            to_name: person.name.clone(),
            subject: subject.to_owned(),
            text: html::text(subject, sections),
            html: html::letter(subject, sections),
        })
    }
}
