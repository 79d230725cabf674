//! A letter as a value.

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
