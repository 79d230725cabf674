//! The rules of the house that a machine can hold, checked on the text of the tree: who may import whom, what the
//! pure half may not touch, front pages, sizes, words that have no place here, and that each promise has its test.
//!
//! Each check is a function from a path and its text to faults, and each fault says what to do. That each can
//! fail is proven in `planted`. What a lint can hold is left to the lint tables in `Cargo.toml`.

#[path = "tidy/planted.rs"]
mod planted;
#[path = "tidy/reading.rs"]
mod reading;

use reading::{after, code, expand, is_name, module_of, test_files, tree};

/// The house from top to bottom, as in DEVELOPERS.md. A module uses only what stands on a line above its own;
/// modules on one line do not know each other.
const HOUSE: [&[&str]; 16] = [
    &["metrology"],
    &["workbench"],
    &["sheets"],
    &["facts"],
    &["shop"],
    &["judgement"],
    &["planning"],
    &["stages"],
    &["pages"],
    &["notices"],
    &["respond"],
    &["ledger", "intake", "outbox"],
    &["config", "clock"],
    &["drop_point"],
    &["daemon"],
    &["cli"],
];
/// The last line of the pure half.
const LAST_PURE: &str = "respond";

/// What the pure half never names. One word alone is a crate.
const WORLD: [&str; 23] = [
    "std::fs",
    "std::net",
    "std::thread",
    "std::env",
    "std::process",
    "std::os",
    "std::io::stdin",
    "std::io::stdout",
    "std::io::stderr",
    "std::time::Instant",
    "std::time::SystemTime",
    "Instant::now",
    "SystemTime::now",
    "Timestamp::now",
    "Zoned::now",
    "tokio",
    "rusqlite",
    "rustix",
    "notify",
    "lettre",
    "rand",
    "signal_hook",
    "println!",
];

const MOST_LINES: usize = 400;
const MOST_USES: usize = 15;
const LEAST_FRONT_PAGE: usize = 5;
const PROMISES: usize = 10;

/// Words and addresses that stay out of every file, with what to do instead. Written in two halves, so that this
/// file is checked like any other.
const UNWANTED: [(&str, &str); 11] = [
    (concat!("TO", "DO"), "do it or open an issue"),
    (concat!("FIX", "ME"), "fix it or open an issue"),
    (concat!("XX", "X"), "say what is meant"),
    (concat!("se", "ed document"), "the project speaks of itself alone"),
    (concat!("/wo", "rk/"), "write a path inside this tree"),
    (concat!("/ro", "ot/"), "write a path inside this tree"),
    (concat!("/ho", "me/"), "write a path inside this tree"),
    (concat!("crates", ".io"), "name the package, not the registry"),
    (concat!("pypi", ".org"), "name the package, not the registry"),
    (concat!("registry.", "npmjs.org"), "name the package, not the registry"),
    (concat!("deb.", "debian.org"), "name the package, not the registry"),
];

/// Import order, and one module a `use` line.
fn imports(path: &str, text: &str) -> Vec<String> {
    let Some((own, depth)) = module_of(path) else { return Vec::new() };
    let floor = |module: &str| HOUSE.iter().position(|line| line.contains(&module));
    let Some(own_floor) = floor(own) else {
        return vec![format!(
            "{path}: {own} is not in the house; give it its place in HOUSE in tests/tidy.rs"
        )];
    };
    let mut faults = Vec::new();
    for (at, line) in code(text) {
        // As many steps up as the file is deep lead to the crate.
        let up = line.strip_prefix(&format!("use {}", "super::".repeat(depth)));
        let line = up.map_or(line.clone(), |rest| format!("use crate::{rest}"));
        for rest in after(&line, "crate::") {
            let used: String = rest.chars().take_while(|c| is_name(*c)).collect();
            if used.is_empty() {
                faults
                    .push(format!("{path}:{at}: grouped import; write one `use crate::module::..` a module"));
            } else if used != own && floor(&used).is_none_or(|floor| floor >= own_floor) {
                faults.push(format!(
                    "{path}:{at}: {own} may not use {used}, which does not stand above it in HOUSE in \
                     tests/tidy.rs; move what both need up, or pass it as a value"
                ));
            }
        }
    }
    faults
}

/// The pure half names nothing of the world.
fn purity(path: &str, text: &str) -> Vec<String> {
    let above = HOUSE.iter().take_while(|line| !line.contains(&LAST_PURE)).copied().flatten();
    let is_pure = |own: &str| own == LAST_PURE || above.clone().any(|module| *module == own);
    if !module_of(path).is_some_and(|(own, _)| is_pure(own)) {
        return Vec::new();
    }
    let bare: String = code(text).map(|(_, line)| line + "\n").collect();
    let mut named = bare.clone();
    for statement in bare.split(';').filter_map(|s| s.split("use ").last().filter(|u| u.contains('{'))) {
        named.extend(expand(statement).iter().map(|path| format!("\n{path}::")));
    }
    let is_named = |word: &&str| {
        let is_crate = word.chars().all(is_name);
        after(&named, word).any(|rest| {
            !rest.starts_with(is_name) && (!is_crate || rest.starts_with("::") || rest.starts_with(';'))
        })
    };
    let fault = |word| format!("{path}: the pure half names {word}; take what it would tell as an argument");
    WORLD.into_iter().filter(is_named).map(fault).collect()
}

/// Front page, length, number of imports of one source file.
fn shape(path: &str, text: &str) -> Vec<String> {
    let mut faults = Vec::new();
    let front = text.lines().take_while(|line| line.starts_with("//!")).count();
    if front == 0 {
        faults.push(format!("{path}: open with a `//!` line that says what this file is for"));
    } else if path.starts_with("src/") && path.ends_with("/mod.rs") && front < LEAST_FRONT_PAGE {
        faults.push(format!(
            "{path}: a folder's front page has {LEAST_FRONT_PAGE} lines or more; say what it is not"
        ));
    }
    let lines = text.lines().count();
    if lines > MOST_LINES {
        faults.push(format!("{path}: {lines} lines, at most {MOST_LINES}; split it by what it is about"));
    }
    let uses = text.lines().filter(|line| line.starts_with("use ")).count();
    if uses > MOST_USES {
        faults.push(format!("{path}: {uses} `use` lines, at most {MOST_USES}; it does too much, split it"));
    }
    faults
}

/// Every folder of the house has its front page.
fn folders(paths: &[&str]) -> Vec<String> {
    let inside = paths.iter().filter(|path| path.starts_with("src/") && path.ends_with(".rs"));
    let mut folders: Vec<&str> = inside.filter_map(|path| Some(path.rsplit_once('/')?.0)).collect();
    folders.retain(|folder| *folder != "src" && !paths.contains(&format!("{folder}/mod.rs").as_str()));
    folders.dedup();
    folders.iter().map(|folder| format!("{folder}: write {folder}/mod.rs with a front page")).collect()
}

/// Words and addresses that stay out.
fn wording(path: &str, text: &str) -> Vec<String> {
    if path == "Cargo.lock" {
        return Vec::new();
    }
    let mut faults = Vec::new();
    for (at, line) in text.lines().enumerate() {
        for (word, instead) in UNWANTED {
            // People write the lower-case words in any case; the upper-case ones are marks.
            let line =
                if word.chars().any(char::is_uppercase) { line.to_owned() } else { line.to_lowercase() };
            let ends = |rest: &str| word.ends_with('/') || !rest.starts_with(is_name);
            let is_part = |c: char| is_name(c) || (word.starts_with('/') && "-./{}".contains(c));
            let found = line
                .match_indices(word)
                .any(|(from, _)| !line[..from].ends_with(is_part) && ends(&line[from + word.len()..]));
            if found {
                faults.push(format!("{path}:{}: {word:?} has no place here; {instead}", at + 1));
            }
        }
    }
    faults
}

/// Each promise names a test file, and every test file named is there.
fn promises(text: &str, exists: &dyn Fn(&str) -> bool) -> Vec<String> {
    let mut faults = Vec::new();
    for named in test_files(text).filter(|named| !exists(named)) {
        faults.push(format!(
            "DEVELOPERS.md names {named}, which is not there; correct the name or write the test"
        ));
    }
    for number in 1..=PROMISES {
        let opening = format!("{number}. **");
        let mut lines = text.lines().skip_while(|line| !line.starts_with(&opening));
        let first = lines.next().unwrap_or_default();
        let goes_on = |line: &&str| !line.starts_with('#') && !line.contains(". **");
        let block = lines.take_while(goes_on).fold(first.to_owned(), |block, line| block + "\n" + line);
        if !test_files(&block).any(exists) {
            faults.push(format!(
                "DEVELOPERS.md: promise {number} needs a line `{opening}..` that names the test file guarding it"
            ));
        }
    }
    faults
}

// On the tree.

/// Fails with every fault that a check finds in the files it is for.
fn hold(is_for: fn(&str) -> bool, check: fn(&str, &str) -> Vec<String>) {
    let files = tree().into_iter().filter(|(path, _)| is_for(path));
    clean(&files.flat_map(|(path, text)| check(&path, &text)).collect::<Vec<_>>());
}

fn clean(faults: &[String]) {
    assert!(faults.is_empty(), "{} to put right:\n{}", faults.len(), faults.join("\n"));
}

fn is_rust(path: &str) -> bool {
    path.ends_with(".rs")
}

#[test]
fn modules_import_only_what_stands_above_them() {
    hold(is_rust, imports);
}

#[test]
fn the_pure_half_names_nothing_of_the_world() {
    hold(is_rust, purity);
}

#[test]
fn files_have_front_pages_and_are_short() {
    hold(is_rust, shape);
}

#[test]
fn folders_have_front_pages() {
    let files = tree();
    clean(&folders(&files.iter().map(|(path, _)| path.as_str()).collect::<Vec<_>>()));
}

#[test]
fn unwanted_words_stay_out() {
    hold(|_| true, wording);
}

#[test]
fn every_promise_names_its_test() {
    let files = tree();
    let developers = files.iter().find(|(path, _)| path == "DEVELOPERS.md");
    let text =
        &developers.expect("write DEVELOPERS.md: the promises 1 to 10 and the tests that guard them").1;
    let exists = |name: &str| {
        files
            .iter()
            .any(|(path, _)| path == name || path.starts_with(&format!("{}/", name.trim_end_matches('/'))))
    };
    clean(&promises(text, &exists));
}
