//! The evidence code: what a person saw when they signed, in a form they can quote.
//!
//! Two times ten hexadecimal digits (40 bits each), `3f9a0c11d2-70be55a1e9`: a digest of the facts a thing rests on,
//! and one of the outcome. Shown beside whatever can be signed, quoted by who signs it, compared for ever after.

use crate::facts::Digest;
use std::fmt;

/// An evidence code.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Code {
    facts: String,
    outcome: String,
}

impl Code {
    /// Of the facts and of the outcome.
    #[must_use]
    pub fn of(facts: Digest, outcome: Digest) -> Self {
        Self { facts: facts.short(), outcome: outcome.short() }
    }

    /// Of lists, whose order does not count.
    #[must_use]
    pub fn of_lists(facts: &[String], outcome: &[String]) -> Self {
        let half = |list: &[String]| Self::half(list.iter().map(String::as_str).collect());
        Self::of(half(facts), half(outcome))
    }

    /// One half, of a list whose order does not count.
    #[must_use]
    pub fn half(mut list: Vec<&str>) -> Digest {
        list.sort_unstable();
        list.dedup();
        let pieces: Vec<&[u8]> = list.into_iter().map(str::as_bytes).collect();
        Digest::of_pieces(&pieces)
    }

    /// As a person quotes it, in either case; `None` for what is no code.
    #[must_use]
    pub fn parse(written: &str) -> Option<Self> {
        let (facts, outcome) = written.split_once('-')?;
        let half = |text: &str| text.len() == 10 && text.bytes().all(|b| b.is_ascii_hexdigit());
        (half(facts) && half(outcome))
            .then(|| Self { facts: facts.to_ascii_lowercase(), outcome: outcome.to_ascii_lowercase() })
    }

    /// The half that stands for the facts.
    #[must_use]
    pub fn facts(&self) -> &str {
        &self.facts
    }

    /// The half that stands for the outcome.
    #[must_use]
    pub fn outcome(&self) -> &str {
        &self.outcome
    }
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}-{}", self.facts, self.outcome)
    }
}

/// How the evidence now compares with the evidence a statement was made on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Evidence {
    /// The same facts, the same outcome.
    Same,
    /// The same facts, judged otherwise now: the rules have changed. It stands.
    OtherOutcome,
    /// Other facts, the same outcome. It stands.
    OtherFacts,
    /// Other facts and another outcome. It does not stand.
    Other,
}

/// A statement held against the evidence there is now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Checked {
    /// The code as it was quoted; `None` where none was.
    pub quoted: Option<String>,
    /// The code now.
    pub now: Code,
    /// How they compare.
    pub evidence: Evidence,
}

impl Checked {
    /// Compares what was quoted with what is now. A statement without a code is held against the evidence recorded
    /// up to its own time, which `then` works out. What is quoted and is no code agrees with nothing.
    #[must_use]
    pub fn against(quoted: Option<&str>, now: Code, then: impl FnOnce() -> Code) -> Self {
        let before = match quoted {
            None => Some(then()),
            Some(written) => Code::parse(written),
        };
        let same = |half: fn(&Code) -> &str| before.as_ref().is_some_and(|code| half(code) == half(&now));
        let evidence = match (same(Code::facts), same(Code::outcome)) {
            (true, true) => Evidence::Same,
            (true, false) => Evidence::OtherOutcome,
            (false, true) => Evidence::OtherFacts,
            (false, false) => Evidence::Other,
        };
        Self { quoted: quoted.map(str::to_owned), now, evidence }
    }

    /// It counts.
    #[must_use]
    pub const fn stands(&self) -> bool {
        !matches!(self.evidence, Evidence::Other)
    }

    /// What a reader should know of it; empty where the code quoted is the code now.
    #[must_use]
    pub fn words(&self) -> String {
        let how = match self.evidence {
            Evidence::Same => "",
            Evidence::OtherOutcome => "the same facts are judged otherwise now: the rules have changed since",
            Evidence::OtherFacts => "other facts since, with the same outcome",
            Evidence::Other => "on other evidence: facts and outcome have changed since",
        };
        let codeless = if self.quoted.is_none() {
            "no evidence code: it covers what was recorded up to its time, and files that came late could not be \
             noticed"
        } else {
            ""
        };
        [how, codeless].into_iter().filter(|text| !text.is_empty()).collect::<Vec<_>>().join("; ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn code(facts: &str, outcome: &str) -> Code {
        Code::of_lists(&[facts.to_owned()], &[outcome.to_owned()])
    }

    #[test]
    fn a_code_reads_back_in_either_case_and_nothing_else_does() {
        let code = code("a", "b");
        assert_eq!(Code::parse(&code.to_string()), Some(code.clone()));
        assert_eq!(Code::parse(&code.to_string().to_uppercase()), Some(code.clone()));
        for wrong in
            ["", "abcd", "0123456789", "0123456789-", "0123456789-012345678g", "0123456789-0123456789-0"]
        {
            assert_eq!(Code::parse(wrong), None, "{wrong}");
        }
        // Forty bits a half at least.
        assert_eq!((code.facts().len() * 4, code.outcome().len() * 4), (40, 40));
    }

    #[test]
    fn the_four_combinations() {
        let now = code("facts", "outcome");
        let held = |quoted: &Code| {
            Checked::against(Some(&quoted.to_string()), now.clone(), || panic!("a code was quoted")).evidence
        };
        assert_eq!(held(&now), Evidence::Same);
        assert_eq!(held(&code("facts", "other")), Evidence::OtherOutcome);
        assert_eq!(held(&code("other", "outcome")), Evidence::OtherFacts);
        assert_eq!(held(&code("other", "other")), Evidence::Other);
        let nothing = Checked::against(Some("not-a-code"), now.clone(), || now.clone());
        assert!(!nothing.stands());
        let codeless = Checked::against(None, now.clone(), || now.clone());
        assert!(codeless.stands() && codeless.words().contains("late"));
    }
}
