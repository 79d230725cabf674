//! A letter as a value.

use crate::facts::Person;
use crate::notices::html;
use serde::{Deserialize, Serialize};

/// A letter to one person, worded and not yet sent.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Letter {
    /// Two letters with one key are one letter; the Message-ID is made from it.
    pub key: String,
    /// The job it is about, as its key; `None` for the shop. Letters of one job to one person are a thread.
    pub job: Option<String>,
    /// Address.
    pub to: String,
    /// Name.
    pub to_name: String,
    /// Subject, which says it all.
    pub subject: String,
    /// What it says.
    pub sections: Sections,
    /// It may wait and be put into one with others when its reader has had many within the hour.
    pub may_wait: bool,
}

/// Heads what stands at the end of a letter of one engine: which it is, and the reminder.
pub(super) const ABOUT: &str = "About";

/// Headings with their paragraphs; the first line of a paragraph is what it says in short.
pub type Sections = Vec<(String, Vec<String>)>;

impl Letter {
    /// To one person; none for a person without an address. `key` is completed by the address.
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
            sections: sections.clone(),
            may_wait: false,
        })
    }

    /// The letter as plain text.
    #[must_use]
    pub fn text(&self) -> String {
        html::text(&self.subject, &self.sections)
    }

    /// The same as HTML, without remote content.
    #[must_use]
    pub fn html(&self) -> String {
        html::letter(&self.subject, &self.sections)
    }
}
