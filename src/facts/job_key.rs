//! Which job: a site and a number.

use smol_str::{SmolStr, SmolStrBuilder};
use std::fmt;

/// A job's key, SITE/NO. Compared without case, spaces and leading zeros; never used raw in a path, a mail
/// header or a page.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct JobKey {
    site: SmolStr,
    number: SmolStr,
}

impl JobKey {
    /// From what was written, `NO` or `SITE/NO`; a bare number takes `own_site`. `None` when nothing is left
    /// of the number.
    #[must_use]
    pub fn of(written: &str, own_site: &str) -> Option<Self> {
        let (site, number) = written.split_once('/').unwrap_or((own_site, written));
        let (site, number) = (folded(site), folded(number));
        (!site.is_empty() && !number.is_empty()).then_some(Self { site, number })
    }

    /// A name that is safe in a file system: letters, digits and hyphens, none in front, with a digest so that
    /// two keys never share one.
    #[must_use]
    pub fn slug(&self) -> String {
        let plain: String = self
            .to_string()
            .chars()
            .map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' })
            .take(40)
            .collect();
        let digest = super::Digest::of(self.to_string().as_bytes()).hex();
        let slug = format!("{plain}-{}", digest.get(..8).unwrap_or_default());
        slug.trim_start_matches('-').to_owned()
    }
}

/// Upper case, without spaces, each run of digits without its leading zeros.
fn folded(written: &str) -> SmolStr {
    let mut out = SmolStrBuilder::new();
    let mut chars = written
        .chars()
        .filter(|c| !c.is_whitespace() && !c.is_control())
        .flat_map(char::to_uppercase)
        .peekable();
    let mut in_number = false;
    while let Some(c) = chars.next() {
        let more_digits = chars.peek().is_some_and(char::is_ascii_digit);
        if c == '0' && !in_number && more_digits {
            continue;
        }
        in_number = c.is_ascii_digit();
        out.push(c);
    }
    out.finish()
}

impl fmt::Display for JobKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.site, self.number)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_job_however_it_is_written() {
        let key = JobKey::of("24-017", "Main").expect("key");
        for written in ["24-17", " 24-017 ", "main/24-017", "MAIN / 024-17", "Main/24-0017"] {
            assert_eq!(JobKey::of(written, "main"), Some(key.clone()), "{written}");
        }
        assert_ne!(JobKey::of("24-170", "main"), Some(key.clone()));
        assert_ne!(JobKey::of("north/24-17", "main"), Some(key));
        assert_eq!(JobKey::of(" / ", "main"), None);
        assert_eq!(JobKey::of("A0", "m").expect("key").to_string(), "M/A0");
    }

    #[test]
    fn slugs_are_safe_and_distinct() {
        let slug = |text: &str| JobKey::of(text, "s").expect("key").slug();
        assert!(slug("../../etc/passwd").chars().all(|c| c.is_ascii_alphanumeric() || c == '-'));
        assert_ne!(slug("a/b.c"), slug("a/b-c"));
    }
}
