//! Conversions between the units of a shop: exact where the definitions are.

use crate::workbench::answer::Answer;
use crate::workbench::given::{Amount, Faults, Given};
use crate::workbench::number::{digits, double, exact, figure};
use crate::workbench::units::{Quantity, Unit};

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
        source: vec![source(to.quantity).to_owned()],
        ..Answer::default()
    };
    answer.result("result", vec![(shown, to.symbol)]);
    if whole.is_none() {
        answer.result("exactly", vec![(digits(value), to.symbol)]);
    }
    let (typed, value, symbol) = (digits(amount.value), digits(value), to.symbol);
    let (formula, step) = match (amount.unit.symbol, symbol) {
        ("degC", "degF") => ("degF = degC x 9/5 + 32".to_owned(), format!("{typed} x 9/5 + 32")),
        ("degF", "degC") => ("degC = (degF - 32) x 5/9".to_owned(), format!("({typed} - 32) x 5/9")),
        (from, _) => {
            let one = digits(amount.unit.factor(to));
            (format!("1 {from} = {one} {symbol} exactly"), format!("{typed} x {one}"))
        }
    };
    answer.formula.push(formula);
    answer.step(format!("{step} = {value} {symbol}."));
    answer
}

/// What the factors rest on.
fn source(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Temperature => {
            "SI brochure: 0 degC = 273.15 K; 1 degF = 5/9 K and 32 degF = 0 degC. Exact."
        }
        Quantity::Speed => "1 min = 60 s.",
        Quantity::Length
        | Quantity::Volume
        | Quantity::Force
        | Quantity::Torque
        | Quantity::Pressure
        | Quantity::Viscosity
        | Quantity::Rate => {
            "International yard and pound agreement of 1959 (1 in = 25.4 mm, 1 lb = 0.45359237 kg) and the SI brochure \
             (standard gravity 9.80665 m/s2): exact by definition, so every factor is."
        }
    }
}
