//! The short text of a label: what its code holds and what stands below it, to be typed where nothing reads codes.
//!
//! `B 24.017 G03 S`: the kind (`J` job, `B` bag, `P` part), the job's number, the label, a check character; of a job no label.
//! Only letters A to Z, digits, the space between the four and the full stop for everything else: a reader that types as a
//! keyboard does types hyphens and slashes wrong where its keyboard is another country's than the computer's. `J`, `B` and `P`
//! lie alike on those of all countries that use Latin letters; where `Y` and `Z` lie otherwise the check character sees it.

/// What a label is stuck on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum LabelKind {
    /// The whole engine.
    Job,
    /// A bag of bolts, plugs or pins.
    Bag,
    /// A part that is off the engine.
    Part,
}

/// Longer than this nobody types, and the code gets fine.
const MOST: usize = 60;

impl LabelKind {
    const fn letter(self) -> char {
        match self {
            Self::Job => 'J',
            Self::Bag => 'B',
            Self::Part => 'P',
        }
    }

    /// As printed.
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Job => "job",
            Self::Bag => "bag",
            Self::Part => "part",
        }
    }
}

/// The short text; `None` where the number of the job or the label has no letter or digit that it can carry, or is too long.
pub(super) fn label_text(kind: LabelKind, job: &str, label: &str) -> Option<String> {
    let mut text = format!("{} {}", kind.letter(), plain(job)?);
    if kind != LabelKind::Job {
        text.push(' ');
        text.push_str(&plain(label)?);
    }
    let check = check_character(text.chars().filter(char::is_ascii_alphanumeric))?;
    (text.len() <= MOST).then(|| format!("{text} {check}"))
}

/// Upper case letters and digits, with a full stop for whatever stands between them.
fn plain(written: &str) -> Option<String> {
    let upper = written.to_uppercase();
    let words: Vec<&str> =
        upper.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| !word.is_empty()).collect();
    (!words.is_empty()).then(|| words.join("."))
}

/// The check character of ISO/IEC 7064, MOD 37,36: it sees every single wrong character and nearly all that changed
/// places with their neighbour. `None` of anything but `0` to `9` and `A` to `Z`.
fn check_character(letters: impl Iterator<Item = char>) -> Option<char> {
    let mut product = 36;
    for letter in letters {
        let sum = match (product + letter.to_digit(36)?) % 36 {
            0 => 36,
            sum => sum,
        };
        product = sum * 2 % 37;
    }
    char::from_digit((37 - product) % 36, 36).map(|check| check.to_ascii_uppercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A1-2425G-ABC1234002-M, the example of the Global Release Identifier standard; 0000-0000-3A8D-0000-Z-0000-0000-6, a
    /// published ISAN (ISO 15706-2), which has two.
    #[test]
    fn check_characters_that_others_published() {
        for (text, check) in
            [("A12425GABC1234002", 'M'), ("000000003A8D0000", 'Z'), ("000000003A8D000000000000", '6')]
        {
            assert_eq!(check_character(text.chars()), Some(check), "{text}");
        }
        assert_eq!(check_character("24-017".chars()), None);
    }

    /// What the standard promises of this system: every single wrong character is seen.
    #[test]
    fn one_wrong_character_is_seen() {
        let text = "B24017HEADBOLTS7Y";
        let check = check_character(text.chars());
        for at in 0..text.len() {
            for wrong in ('0'..='9').chain('A'..='Z').filter(|c| Some(*c) != text.chars().nth(at)) {
                let mistyped = text.chars().enumerate().map(|(i, c)| if i == at { wrong } else { c });
                assert_ne!(check_character(mistyped), check, "{wrong} at {at}");
            }
        }
    }

    #[test]
    fn only_what_every_keyboard_types_alike() {
        let said = label_text(LabelKind::Bag, "24-017", "b/12 (long)").expect("text");
        let (words, check) = said.rsplit_once(' ').expect("check character");
        assert_eq!((words, check.len()), ("B 24.017 B.12.LONG", 1));
        assert_eq!(label_text(LabelKind::Job, "24-017", ""), label_text(LabelKind::Job, " 24/017", "x"));
        assert_eq!(label_text(LabelKind::Part, "24-017", "\u{e4}\u{f6}"), None);
        assert_eq!(label_text(LabelKind::Bag, "24-017", &"x".repeat(60)), None);
    }
}
