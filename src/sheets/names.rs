//! Names and positions as people type them.

/// A name without case, spaces, hyphens and underscores, for keys of maps.
#[must_use]
pub fn fold_name(written: &str) -> String {
    folded(written).collect()
}

/// The same name, however both are written. Asked many times a reading, so nothing is allocated.
#[must_use]
pub fn same_name(a: &str, b: &str) -> bool {
    a == b
        || if a.is_ascii() && b.is_ascii() {
            folded_bytes(a).eq(folded_bytes(b))
        } else {
            folded(a).eq(folded(b))
        }
}

/// Does a word of these, each with a space before it, begin like this? Asked of every row of a table, so nothing is allocated.
pub(crate) fn has_word_with(words: &str, stem: &str) -> bool {
    words.match_indices(stem).any(|(at, _)| words.get(..at).is_some_and(|before| before.ends_with(' ')))
}

/// Is this the one name with the other behind it?
#[must_use]
pub(crate) fn is_joined(first: &str, second: &str, written: &str) -> bool {
    folded(first).chain(folded(second)).eq(folded(written))
}

/// The same of what has no letters beyond the plain ones, which is nearly every name.
fn folded_bytes(written: &str) -> impl Iterator<Item = u8> {
    let counts = |byte: &u8| !char::from(*byte).is_whitespace() && !matches!(byte, b'-' | b'_');
    written.bytes().filter(counts).map(|byte| byte.to_ascii_lowercase())
}

fn folded(written: &str) -> impl Iterator<Item = char> {
    written.chars().filter(|c| !c.is_whitespace() && !matches!(c, '-' | '_')).flat_map(char::to_lowercase)
}

/// Where a name stands among names that are all different. Most are written as the sheet writes them, and equal letters
/// are found much sooner than equal names.
pub(super) fn place_of<'a>(
    mut names: impl Iterator<Item = &'a String> + Clone,
    written: &str,
) -> Option<usize> {
    names.clone().position(|name| name == written).or_else(|| names.position(|name| same_name(name, written)))
}

/// Finds what was meant among names: the same name, or its only continuation ("mid" for "middle", "F" for
/// "front").
pub(crate) fn find_name<'a>(names: impl Iterator<Item = &'a String> + Clone, written: &str) -> Option<usize> {
    if let Some(found) = place_of(names.clone(), written) {
        return Some(found);
    }
    let wanted = fold_name(written);
    let mut begins = names.enumerate().filter(|(_, name)| fold_name(name).starts_with(&wanted));
    let first = begins.next().filter(|_| !wanted.is_empty())?;
    begins.next().is_none().then_some(first.0)
}

/// Finds a position: the same name, or, in a list of numbers, the only number in what was typed
/// ("3", "#3", "M3", "main 3", "3rd", "03").
#[must_use]
pub fn find_position(positions: &[String], written: &str) -> Option<usize> {
    if let Some(found) = place_of(positions.iter(), written) {
        return Some(found);
    }
    if !positions.iter().all(|p| p.bytes().all(|b| b.is_ascii_digit())) {
        return None;
    }
    let mut numbers = written.split(|c: char| !c.is_ascii_digit()).filter(|run| !run.is_empty());
    let number = numbers.next()?.trim_start_matches('0');
    if numbers.next().is_some() {
        return None;
    }
    positions.iter().position(|p| p.trim_start_matches('0') == number)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn list(names: &[&str]) -> Vec<String> {
        names.iter().map(|n| (*n).to_owned()).collect()
    }

    #[test]
    fn positions_as_people_type_them() {
        let mains = list(&["1", "2", "3", "4", "5"]);
        for typed in ["3", "#3", "M3", "main 3", "3rd", "03", " No. 3 "] {
            assert_eq!(find_position(&mains, typed), Some(2), "{typed}");
        }
        for typed in ["6", "", "3 of 5", "three", "33"] {
            assert_eq!(find_position(&mains, typed), None, "{typed}");
        }
        assert_eq!(find_position(&list(&["C1", "P1"]), "p 1"), Some(1));
        assert_eq!(find_position(&list(&["C1", "P1"]), "1"), None, "two could be meant");
    }

    #[test]
    fn stations_by_their_beginning() {
        let levels = list(&["top", "middle", "bottom", "unworn"]);
        assert_eq!(find_name(levels.iter(), "mid"), Some(1));
        assert_eq!(find_name(levels.iter(), "B"), Some(2));
        assert_eq!(find_name(list(&["front", "far"]).iter(), "f"), None, "two could be meant");
    }
}
