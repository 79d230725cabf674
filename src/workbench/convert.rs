//! Conversions between the units of a shop: exact where the definitions are.

use crate::workbench::answer::Answer;
use crate::workbench::given::{Amount, Faults, Given};
use crate::workbench::number::{double, exact, figure};
use crate::workbench::units::{Quantity, Unit};
use num_rational::Ratio;

/// Significant digits of a rounded figure.
const DIGITS: i32 = 7;

/// Answers from `AMOUNT` and, when one is asked for, the unit `TO`.
///
/// # Errors
/// Every fault of what was typed.
pub fn answer(given: &mut Given<'_>) -> Result<Answer, Faults> {
    let amount = match given.text("AMOUNT").map(Amount::read) {
        Some(Ok(amount)) => Some(amount),
        Some(Err(words)) => {
            given.faults.add("AMOUNT", format!("{words}; a good one is 2.2488in or \"38 lbf ft\""));
            None
        }
        None => {
            given.faults.add("AMOUNT", "nothing to convert; a good one is 2.2488in or \"38 lbf ft\"");
            None
        }
    };
    let to = given.text("TO").map(|text| (text, Unit::named(text)));
    let wrong = to.filter(|(_, unit)| unit.is_none()).map(|(text, _)| text);
    if let Some(text) = wrong {
        given.faults.add("TO", format!("{text:?} is no unit known here; known are {}", Unit::all()));
    }
    let to = to.and_then(|(_, unit)| unit);
    if let Some((amount, to)) =
        amount.as_ref().zip(to).filter(|(amount, to)| amount.unit.quantity != to.quantity)
    {
        let same = Unit::list(amount.unit.quantity);
        given.faults.add("TO", format!("{} never becomes {}; it becomes {same}", amount.show(), to.symbol));
    }
    let amount = given.done(amount)?;
    Ok(converted(&amount, to.unwrap_or_else(|| amount.unit.counterpart())))
}

fn converted(amount: &Amount, to: &'static Unit) -> Answer {
    let value = amount.unit.bring(amount.value, to);
    let whole = exact(value).filter(|digits| digits.len() <= 12);
    let shown = whole.clone().unwrap_or_else(|| figure(double(value), DIGITS));
    let mut answer = Answer {
        title: format!("{} = {shown} {}", amount.show(), to.symbol),
        source: vec![SOURCE.to_owned()],
        ..Answer::default()
    };
    answer.result("result", vec![(shown, to.symbol)]);
    if whole.is_none() {
        answer.result("exactly", vec![(exact(value).unwrap_or_else(|| value.to_string()), to.symbol)]);
    }
    let factor = amount.unit.factor(to);
    let (from, symbol) = (amount.unit.symbol, to.symbol);
    if amount.unit.quantity == Quantity::Temperature {
        let apart = amount.unit.bring(Ratio::from_integer(0), to);
        let at = exact(apart).unwrap_or_else(|| apart.to_string());
        answer.formula.push(format!("{symbol} = {from} x {factor} + {at}"));
        answer.step(format!("{} x {factor} + {at} = {value} {symbol}.", amount.value));
    } else {
        let one = exact(factor).unwrap_or_else(|| factor.to_string());
        answer.formula.push(format!("1 {from} = {one} {symbol} exactly"));
        let digits = exact(amount.value).unwrap_or_default();
        answer.step(format!(
            "{digits} x {one} = {} {symbol}.",
            exact(value).unwrap_or_else(|| value.to_string())
        ));
    }
    answer
}

const SOURCE: &str = "International yard and pound agreement of 1959 (1 in = 25.4 mm, 1 lb = 0.45359237 kg) and the SI \
                      brochure (standard gravity 9.80665 m/s2): exact by definition, so every factor is.";
