//! The slip that goes back with a paper: what was wrong, where, and what would pass.

use crate::facts::decode::Refusal;
use crate::facts::json::Unreadable;
use crate::sheets::Fault;

/// A slip prints this many faults and says how many more there are.
const SHOWN: usize = 20;

/// The slip for a refused paper, in plain words.
#[must_use]
pub fn slip(name: &str, refusal: &Refusal) -> String {
    slip_of(name, &faults_of(refusal))
}

/// Every fault of a refused paper; one where it cannot be read at all.
#[must_use]
pub fn faults_of(refusal: &Refusal) -> Vec<Fault> {
    match refusal {
        Refusal::Unreadable(break_) => vec![unreadable(break_)],
        Refusal::Faults(faults) => faults.clone(),
    }
}

/// The slip for these faults.
#[must_use]
pub fn slip_of(name: &str, faults: &[Fault]) -> String {
    let count = match faults.len() {
        1 => "one fault".to_owned(),
        n => format!("{n} faults"),
    };
    let mut text =
        format!("Returned: {name}\n{count}. Nothing of it was recorded. Mend it and drop it again.\n");
    for (index, fault) in faults.iter().take(SHOWN).enumerate() {
        text.push_str(&format!(
            "\n{}. {}\n   found:    {}\n   expected: {}\n",
            index + 1,
            place(fault),
            fault.found,
            fault.expected
        ));
        if !fault.example.is_empty() {
            text.push_str(&format!("   example:  {}\n", fault.example));
        }
    }
    if faults.len() > SHOWN {
        text.push_str(&format!("\nand {} more.\n", faults.len() - SHOWN));
    }
    text
}

/// The first fault in one line, for lists.
#[must_use]
pub fn first_fault(refusal: &Refusal) -> String {
    match refusal {
        Refusal::Unreadable(break_) => unreadable(break_).to_string(),
        Refusal::Faults(faults) => faults.first().map_or_else(String::new, ToString::to_string),
    }
}

fn place(fault: &Fault) -> &str {
    if fault.at.is_empty() { "the whole paper" } else { &fault.at }
}

fn unreadable(break_: &Unreadable) -> Fault {
    match break_ {
        Unreadable::Empty => Fault::new("", "nothing in it", "a JSON document or a table"),
        Unreadable::CutShort => Fault::new(
            "the end",
            "the document stops in the middle",
            "a whole JSON document, or a table whose last row ends in a line end or is \"end\" and whose quotation marks close; was it copied to the end?",
        ),
        Unreadable::Broken { line, column, why } => Fault::new(
            format!("line {line}, column {column}"),
            why.clone(),
            "JSON: double quotes, commas between, none at the end",
        ),
        Unreadable::Utf16 => Fault::new("", "text in UTF-16", "text in UTF-8; save it as UTF-8"),
        Unreadable::Picture(media) => Fault::new(
            "",
            format!("a {} picture, not UTF-8 text", media.word()),
            "a drop: a picture comes inside a finding; choose it on the bench form under findings, which makes it small \
             enough and names it",
        ),
        Unreadable::Spreadsheet { why } => Fault::new(
            "",
            why.clone(),
            "a spreadsheet saved as .xlsx or .ods without a password, one of whose sheets is the drop: a row \"kind\" in column \
             A says which",
        ),
        Unreadable::NotUtf8 { offset } => Fault::new(
            format!("byte {}", offset + 1),
            "a byte that is not UTF-8",
            "text in UTF-8; save it as UTF-8",
        ),
    }
}
