//! What the checks of the house read with: the tree as text, code without comments, paths out of imports.

use std::fs;
use std::path::Path;

/// The module of the house that a file belongs to, and how many modules deep the file is.
pub(super) fn module_of(path: &str) -> Option<(&str, usize)> {
    let inside = path.strip_prefix("src/")?.strip_suffix(".rs")?;
    let inside = inside.strip_suffix("/mod").unwrap_or(inside);
    let own = inside.split('/').next()?;
    (own != "lib" && own != "main").then(|| (own, inside.split('/').count()))
}

/// Numbered lines without their comments.
pub(super) fn code(text: &str) -> impl Iterator<Item = (usize, String)> {
    let bare = |line: &str| line.split("//").next().unwrap_or_default().to_owned();
    text.lines().enumerate().map(move |(at, line)| (at + 1, bare(line)))
}

/// What follows each `word` that is not the end of a longer one.
pub(super) fn after<'a>(text: &'a str, word: &'a str) -> impl Iterator<Item = &'a str> {
    let starts = |from: usize| !text[..from].ends_with(is_name);
    text.match_indices(word)
        .filter(move |(from, _)| starts(*from))
        .map(|(from, _)| &text[from + word.len()..])
}

pub(super) const fn is_name(c: char) -> bool {
    c.is_ascii_alphanumeric() || c == '_'
}

/// A grouped import as its single paths.
pub(super) fn expand(group: &str) -> Vec<String> {
    let Some((before, inside)) = group.split_once('{') else { return vec![group.trim().to_owned()] };
    let inside = inside.trim_end().strip_suffix('}').unwrap_or(inside);
    let (mut depth, mut parts) = (0_usize, vec![String::new()]);
    for c in inside.chars() {
        match c {
            '{' => depth += 1,
            '}' => depth = depth.saturating_sub(1),
            ',' if depth == 0 => parts.push(String::new()),
            _ => {}
        }
        if let Some(part) = parts.last_mut().filter(|_| c != ',' || depth > 0) {
            part.push(c);
        }
    }
    parts.iter().flat_map(|part| expand(part)).map(|part| format!("{}{part}", before.trim())).collect()
}

/// The test files that a text names.
pub(super) fn test_files(text: &str) -> impl Iterator<Item = &str> {
    let words =
        text.split(|c: char| !(is_name(c) || "./-".contains(c))).map(|word| word.trim_end_matches('.'));
    words.filter(|word| word.starts_with("tests/") || (word.starts_with("src/") && word.contains("/tests")))
}

/// Every text file of the tree as path and text, sorted; what is built is not read.
pub(super) fn tree() -> Vec<(String, String)> {
    // Cargo runs tests in the package's folder. A path compiled in would read another clone of a shared target folder.
    let root = Path::new(".");
    let (mut folders, mut files) = (vec![root.to_owned()], Vec::new());
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("the tree can be listed").map(Result::unwrap) {
            let (path, kind) = (entry.path(), entry.file_type().expect("an entry has a kind"));
            let name =
                path.strip_prefix(root).expect("is inside").to_str().expect("names are plain").to_owned();
            if kind.is_dir() && name != "target" && name != ".git" {
                folders.push(path);
            } else if kind.is_file() {
                files.extend(fs::read_to_string(&path).ok().map(|text| (name, text)));
            }
        }
    }
    files.sort();
    files
}
