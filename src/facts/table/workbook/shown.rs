//! A number as its cell shows it.
//!
//! A cell holds 2.249 where 2.2490 was typed and is shown: the closing zero stands in the cell's format alone. A reading is as
//! fine as it was written, so what is shown is what counts. Where a cell shows fewer decimals than it holds, nobody knows
//! which of the two was read, and both are said for the slip.

/// Figures a spreadsheet computes with; what is behind them is the error of binary fractions (ECMA-376 part 1, 18.17).
const FIGURES: usize = 15;

/// A number in a cell with this format code.
pub(super) fn in_format(value: f64, format: &str) -> String {
    let held = held(value);
    // What is in percent is held as its hundredth: the number read is another than the one kept.
    if unquoted(format).contains('%') {
        return format!("{held} (shown in percent, {})", self::held(value * 100.0));
    }
    match decimals(format) {
        Some(decimals) => either(&held, &format!("{value:.decimals$}")),
        None => held,
    }
}

/// A number of which the cell says itself what it shows.
pub(super) fn as_written(value: f64, shown: &str) -> String {
    either(&held(value), shown.trim())
}

/// What is shown where it is the number that is held; both where it is another; what is held where a number is shown in
/// another way, as with a currency.
fn either(held: &str, shown: &str) -> String {
    let point = if shown.contains('.') { shown.to_owned() } else { shown.replacen(',', ".", 1) };
    let same = |digits: &str| digits.trim_end_matches('0').trim_end_matches('.').to_owned();
    let plain = |digits: &str| if digits.contains('.') { same(digits) } else { digits.to_owned() };
    match point.parse::<f64>() {
        Err(_) => held.to_owned(),
        Ok(_) if plain(&point) == plain(held) => shown.to_owned(),
        Ok(_) => format!("{held} (shown as {shown})"),
    }
}

/// A format code without what stands in quotes or behind a backslash, which is text.
fn unquoted(format: &str) -> String {
    let (mut plain, mut quoted, mut escaped) = (String::new(), false, false);
    for c in format.chars() {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => quoted = !quoted,
            c if !quoted => plain.push(c),
            _ => {}
        }
    }
    plain
}

/// Every figure that the cell holds.
fn held(value: f64) -> String {
    let figures = format!("{value:.*e}", FIGURES - 1);
    figures.parse::<f64>().unwrap_or(value).to_string()
}

/// Decimals that a format code always shows (`0.0000`: four); `None` for a general format, and for one that shows more than
/// digits.
fn decimals(format: &str) -> Option<usize> {
    let first = format.split(';').next().unwrap_or(format);
    let bare = first.trim_end_matches(['_', ' ', ')']);
    let (whole, decimals) = bare.split_once('.').unwrap_or((bare, ""));
    let is_plain = |digits: &str| digits.chars().all(|c| matches!(c, '0' | '#'));
    let fixed = decimals.chars().all(|c| c == '0');
    (whole.ends_with('0') && is_plain(whole) && fixed).then_some(decimals.len())
}
