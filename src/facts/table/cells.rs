//! One cell as a value of the document. What stands there instead of a value is a fault with words, never a guess.

use serde_json::{Number, Value};

/// What is wrong with a cell: what was expected, and an example that passes.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Wrong {
    pub(super) expected: String,
    pub(super) example: String,
}

impl Wrong {
    fn new(expected: &str, example: &str) -> Self {
        Self { expected: expected.to_owned(), example: example.to_owned() }
    }
}

/// What a schema lets stand in a cell.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Holds {
    /// Decimal digits: lengths, temperatures, money.
    Digits,
    /// A whole number.
    Whole,
    /// Yes or no.
    YesNo,
    /// Several values in one cell.
    Several,
    /// Any text.
    Text,
}

/// What a place of the document holds.
pub(super) fn holds(schema: &Value) -> Holds {
    let is = |word: &str| match schema.get("type") {
        Some(Value::String(one)) => one == word,
        Some(Value::Array(many)) => many.iter().any(|one| one == word),
        Some(_) | None => false,
    };
    let pattern = schema.get("pattern").and_then(Value::as_str).unwrap_or_default();
    if is("array") {
        Holds::Several
    } else if is("number") || pattern.contains("[0-9]") {
        Holds::Digits
    } else if is("string") {
        Holds::Text
    } else if is("integer") || schema.get("const").is_some_and(Value::is_number) {
        Holds::Whole
    } else if is("boolean") {
        Holds::YesNo
    } else {
        Holds::Text
    }
}

/// The value of a cell that is not empty; `names` for a column that says where a row belongs.
pub(super) fn value(cell: &str, schema: &Value, names: bool) -> Result<Value, Wrong> {
    if let Some(wrong) = ditto(cell) {
        return Err(wrong);
    }
    match holds(schema) {
        Holds::Digits => digits(cell).map(Value::String),
        Holds::Whole => {
            no_value(cell).map_or(Ok(()), Err)?;
            cell.parse::<i64>()
                .map(|n| Value::Number(Number::from(n)))
                .map_err(|_| Wrong::new(&format!("a whole number: {}", described(schema)), &example(schema)))
        }
        Holds::YesNo => match cell.to_lowercase().as_str() {
            "yes" | "true" | "on" => Ok(Value::Bool(true)),
            "no" | "false" | "off" => Ok(Value::Bool(false)),
            _ => Err(Wrong::new(&format!("yes or no: {}", described(schema)), "yes")),
        },
        Holds::Several => several(cell, schema.get("items").unwrap_or(&Value::Null)),
        Holds::Text => {
            no_value(cell).filter(|_| names).map_or(Ok(()), Err)?;
            Ok(Value::String(as_spelled(cell, schema)))
        }
    }
}

/// Positions and words of a list stand between commas or bars; free texts only between bars, since they have commas.
fn several(cell: &str, items: &Value) -> Result<Value, Wrong> {
    let is_free = holds(items) == Holds::Text
        && items.get("enum").is_none()
        && items.get("type").is_some_and(Value::is_string);
    let parts: Vec<&str> = if is_free || cell.contains('|') {
        cell.split('|').collect()
    } else {
        cell.split([',', ';', '\n']).collect()
    };
    let parts = parts.into_iter().map(str::trim).filter(|part| !part.is_empty());
    parts.map(|part| value(part, items, true)).collect::<Result<Vec<Value>, Wrong>>().map(Value::Array)
}

/// A spreadsheet begins a cell with a capital of its own accord; words of a list are spelled as the list has them.
fn as_spelled(cell: &str, schema: &Value) -> String {
    let words = schema.get("enum").and_then(Value::as_array).into_iter().flatten();
    let fixed = schema.get("const").into_iter();
    let lower = cell.to_lowercase();
    let same = words.chain(fixed).filter_map(Value::as_str).find(|word| word.to_lowercase() == lower);
    same.unwrap_or(cell).to_owned()
}

/// Digits with the decimal point where the cell has a decimal comma. What else the schema asks of them it checks.
fn digits(cell: &str) -> Result<String, Wrong> {
    if let Some(wrong) = no_value(cell).or_else(|| fraction(cell)) {
        return Err(wrong);
    }
    let (number, words) = cell.split_once(' ').unwrap_or((cell, ""));
    // `0,010 under` is a size.
    let number = if number.matches(',').count() == 1 && !number.contains('.') {
        number.replace(',', ".")
    } else {
        number.to_owned()
    };
    Ok(if words.is_empty() { number } else { format!("{number} {words}") })
}

/// A mark that leans on the row above.
fn ditto(cell: &str) -> Option<Wrong> {
    const MARKS: [&str; 10] =
        ["same", "ditto", "idem", "do.", "\"", "''", "\u{3003}", "\u{2033}", "\u{201c}", "\u{201d}"];
    MARKS
        .contains(&cell.to_lowercase().as_str())
        .then(|| Wrong::new("the value itself in every row; nothing is taken from the row above", ""))
}

/// A word that says there is no value.
fn no_value(cell: &str) -> Option<Wrong> {
    match cell.to_lowercase().as_str() {
        "ok" | "o.k." | "okay" | "good" | "fine" | "pass" => {
            Some(Wrong::new("what was read; that a part is good follows from the readings", ""))
        }
        "n/a" | "na" | "n.a." | "none" | "nil" | "-" | "--" | "\u{2013}" | "\u{2014}" | "?" => {
            Some(Wrong::new("an empty cell where there is nothing to say", ""))
        }
        _ => None,
    }
}

fn fraction(cell: &str) -> Option<Wrong> {
    let is_digit_or = |c: char| c.is_ascii_digit() || matches!(c, '/' | ' ' | '-' | '+');
    let plain = cell.contains('/') && cell.chars().all(is_digit_or);
    let has_sign = cell.chars().any(|c| matches!(c, '\u{bc}'..='\u{be}' | '\u{2150}'..='\u{215e}'));
    (plain || has_sign)
        .then(|| Wrong::new("decimals; a fraction does not say how fine it was read", "1.6250"))
}

/// A whole number where inches are meant: thousandths, or a point left out.
pub(super) fn whole_inches(value: &Value) -> Option<Wrong> {
    let text = value.as_str()?;
    let number = text.trim_start_matches(['+', '-']);
    let is_whole = !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit());
    let is_zero = number.bytes().all(|b| b == b'0');
    (is_whole && !is_zero).then(|| {
        let expected =
            "inches with all their decimals; a whole number may be thousandths, or a point left out";
        Wrong::new(expected, "2.2490")
    })
}

/// Words of the schema for a place.
fn described(schema: &Value) -> &str {
    schema.get("description").and_then(Value::as_str).unwrap_or_default()
}

fn example(schema: &Value) -> String {
    match schema.pointer("/examples/0") {
        Some(Value::String(text)) => text.clone(),
        Some(other) => other.to_string(),
        None => String::new(),
    }
}
